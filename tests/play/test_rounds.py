"""A round: a clock that only goes forward, calls that stand, a script that fails, the same again from any turn."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from legtide.day.document import Inoperative, Policy, known_figure
from legtide.day.edits import change_aircraft, change_leg
from legtide.day.rotations import off_blocks, on_blocks, rotations
from legtide.engine.projection import project
from legtide.files.day_content import to_bytes
from legtide.play.calls import CallError, ReadingCall, ServiceCall
from legtide.play.rounds import advanced, begin_round, called, followed, next_opening, openings, played
from support.days import rotation_day


def state(round_, service_id):
    return next(row.state for row in round_.day.services if row.id == service_id)


def turn_of(round_, aircraft, number):
    return rotations(round_.day)[aircraft].turns[number]


# beginning ------------------------------------------------------------------------------------------------


def test_a_round_begins_before_the_first_turn_with_everything_still_to_come(opened):
    start = opened("training", 3)
    assert {row.state for row in start.day.services} == {"planned"}
    assert start.day.readings == ()
    assert start.script == {("QM-JAY", 2, "fresh"), ("QM-HAW", 2, "waste")}
    assert not any("No time" in row.remark for row in start.day.services), "the class does not read the script"


def test_the_files_day_is_never_touched(opened):
    start = opened("training", 3)
    before = to_bytes(start.source)
    end = played(start, [ServiceCall("QM-HAW", 3, "waste", True, start.begin)])
    assert end.source is start.source
    assert to_bytes(start.source) == before
    assert end.day is not start.day


def test_what_has_flown_when_a_round_begins_is_history(opened):
    day = opened("training", 3).source
    at = turn_of(opened("training", 3), "QM-HAW", 3).start
    late = begin_round(day, 3, at)
    states = {row.id: row.state for row in late.day.services}
    assert states["HAW-F2"] == "done"
    assert states["HAW-F4"] == "planned"


def test_readings_of_the_file_hold_in_the_truth_of_a_later_round():
    from legtide.files.day_file import load
    from legtide.shipped import demo_days

    day = load(demo_days() / "training.day.json").day
    rotation = rotations(day)["QM-KIT"]
    start = begin_round(day, 8, rotation.turns[3].start)
    assert [row.percent for row in start.day.readings if row.aircraft == "QM-KIT"] == [20.0, 30.0]
    fresh, waste = followed(start, "QM-KIT").arrival[:, 0, 2]
    assert 25.0 < fresh < 55.0, "a gauge in steps of 10 % of 200 L showed 20 %"
    assert 35.0 < waste < 65.0
    assert state(start, "KIT-F2") == "done"
    assert ("QM-JAY", 2, "fresh") not in start.script, "what was skipped before is known to all"


def test_actual_times_after_the_beginning_are_expected_times():
    day = rotation_day(1.2, 3)
    leg = day.legs[1]
    day = change_leg(day, leg.id, atd=leg.std + timedelta(minutes=7), ata=leg.sta + timedelta(minutes=9))
    start = begin_round(day, 1)
    new = start.day.legs[1]
    assert (new.atd, new.ata) == (None, None)
    assert off_blocks(new) == leg.std + timedelta(minutes=7)
    assert on_blocks(new) == leg.sta + timedelta(minutes=9)


def test_a_day_without_legs_cannot_be_played():
    with pytest.raises(CallError):
        begin_round(rotation_day(1.0, 1).model_copy(update={"legs": ()}), 1)


def test_a_round_needs_a_leg_that_has_not_left(opened):
    day = opened("training", 3).source
    last = max(off_blocks(leg) for leg in day.legs)
    assert not begin_round(day, 1, last - timedelta(minutes=1)).over
    with pytest.raises(CallError, match="no leg to play"):
        begin_round(day, 1, last)


# the clock ------------------------------------------------------------------------------------------------


def test_the_clock_never_goes_back(opened):
    start = opened("training", 3)
    later = advanced(start, start.begin + timedelta(hours=3))
    assert advanced(later, start.begin + timedelta(hours=1)) is later
    assert advanced(later, start.end + timedelta(days=1)).clock == start.end


def test_stepping_from_turn_to_turn_visits_all_of_them_in_order(opened):
    round_ = start = opened("training", 3)
    seen = [row for row in openings(start) if row.time == start.begin]
    while (found := next_opening(round_)) is not None:
        round_ = advanced(round_, found.time)
        seen += [row for row in openings(start) if row.time == found.time]
    legs = sum(len(row.legs) for row in rotations(start.day).values())
    assert len(seen) == legs
    assert [row.time for row in seen] == sorted(row.time for row in seen)


def test_services_take_place_when_their_time_comes_and_scripted_ones_fail(opened):
    start = opened("training", 3)
    jay = next(row for row in start.day.services if row.id == "JAY-F2")
    assert jay.start is not None
    assert state(advanced(start, jay.start - timedelta(minutes=1)), "JAY-F2") == "planned"
    after = advanced(start, jay.start)
    assert state(after, "JAY-F2") == "missed"
    assert state(after, "JAY-W2") == "planned"
    assert [row.kind for row in after.events if (row.aircraft, row.tank) == ("QM-JAY", "fresh")] == ["missed"]


def test_small_steps_and_one_leap_come_to_the_same(opened):
    start = opened("training", 3)
    stepped, at = start, start.begin
    while not stepped.over:
        at += timedelta(minutes=7)
        stepped = advanced(stepped, at)
    leaped = advanced(start, start.end)
    assert stepped.day.services == leaped.day.services
    assert sorted(stepped.events, key=str) == sorted(leaped.events, key=str)


def test_services_fail_as_often_as_the_policy_says():
    day = rotation_day(0.8, 2)
    policy = Policy(
        service_happens_probability=known_figure("policy.service_happens_probability").model_copy(
            update={"value": 0.8}
        )
    )
    start = begin_round(day.model_copy(update={"policy": policy}), 0)
    done = 0
    for seed in range(150):
        call = ServiceCall("QX-0", 1, "waste", True, start.begin)
        end = played(begin_round(start.source, seed), [call])
        done += end.day.services[0].state == "done"
    assert done / 150 == pytest.approx(0.8, abs=4 * np.sqrt(0.16 / 150))


# calls ----------------------------------------------------------------------------------------------------


def test_a_service_that_is_left_is_skipped_and_can_be_called_for_again(opened):
    start = opened("training", 3)
    left = called(start, ServiceCall("QM-WIG", 2, "fresh", False, start.begin))
    assert state(left, "WIG-F2") == "skipped"
    again = called(left, ServiceCall("QM-WIG", 2, "fresh", True, start.begin, 75.0))
    rows = [row for row in again.day.services if (row.aircraft, row.turn, row.tank) == ("QM-WIG", 2, "fresh")]
    assert [(row.state, row.target_percent) for row in rows] == [("planned", 75.0)]


def test_leaving_what_nobody_planned_changes_nothing_but_the_log(opened):
    start = opened("training", 3)
    left = called(start, ServiceCall("QM-WIG", 1, "fresh", False, start.begin))
    assert left.day.services == start.day.services


def test_a_call_for_a_turn_that_has_been_left_is_refused(opened):
    start = opened("training", 3)
    leaves = off_blocks(rotations(start.day)["QM-WIG"].legs[0])
    call = ServiceCall("QM-WIG", 0, "waste", True, start.begin)
    assert called(start, call) is not start
    with pytest.raises(CallError, match="has left turn 0"):
        called(advanced(start, leaves), call)


def test_what_was_called_and_done_cannot_be_taken_back(opened):
    start = opened("training", 3)
    row = next(one for one in start.day.services if one.id == "WIG-F2")
    later = advanced(start, row.start)
    with pytest.raises(CallError, match="done or missed already"):
        called(later, ServiceCall("QM-WIG", 2, "fresh", False, later.clock))


def test_a_late_call_starts_late_or_finds_no_room():
    """Lead time 30 min; a turn of 45 min with 5 min before off blocks; a drain takes 8 min."""
    start = begin_round(rotation_day(1.2, 4), 1)
    turn = turn_of(start, "QX-0", 2)
    drain = ServiceCall("QX-0", 2, "waste", True, start.begin)
    in_time, late = (called(advanced(start, at), drain).day.services[0].start for at in (start.begin, turn.start))
    assert in_time == turn.start + timedelta(minutes=3)
    assert late == turn.start + timedelta(minutes=30)
    with pytest.raises(CallError, match="too late"):
        called(advanced(start, turn.start + timedelta(minutes=10)), drain)


def test_both_services_of_a_turn_follow_one_another():
    start = begin_round(rotation_day(1.2, 4), 1)
    both = start
    for tank in ("fresh", "waste"):
        both = called(both, ServiceCall("QX-0", 2, tank, True, start.begin))
    results = project(both.day).aircraft["QX-0"].services
    (one, other) = sorted((row.start, row.end) for row in results)
    assert one[1] <= other[0] + timedelta(minutes=1), "the fill is shorter than the place that was kept for it"


def test_a_reading_is_what_the_gauge_shows_and_sharpens_what_is_known(opened):
    start = opened("training", 3)
    turn = turn_of(start, "QM-VIR", 2)
    with pytest.raises(CallError, match="not on blocks yet"):
        called(start, ReadingCall("QM-VIR", 2, start.begin))
    there = advanced(start, turn.start)
    read = called(there, ReadingCall("QM-VIR", 2, there.clock))
    rows = [row for row in read.day.readings if row.aircraft == "QM-VIR"]
    levels = followed(read, "QM-VIR").arrival[:, 0, 1]
    fit = rotations(read.day)["QM-VIR"].fit
    for row, level in zip(rows, levels, strict=True):
        share = level / fit.capacity_l(row.tank) * 100.0
        assert row.percent % 10.0 == 0.0
        assert abs(row.percent - share) <= 5.0 + 4.0
    before, after = (project(one.day).aircraft["QM-VIR"].legs[3].waste_arrival for one in (there, read))
    assert after.p95 - after.p05 < before.p95 - before.p05
    with pytest.raises(CallError, match="have been read"):
        called(read, ReadingCall("QM-VIR", 2, read.clock))


def test_a_gauge_that_does_not_work_is_not_read():
    out = (Inoperative(item="fresh_gauge"), Inoperative(item="waste_gauge"))
    start = begin_round(change_aircraft(rotation_day(1.2, 3), "QX-0", inoperative=out), 1)
    with pytest.raises(CallError, match="no gauge of QX-0 can be read"):
        called(start, ReadingCall("QX-0", 0, start.begin))


def test_a_crew_reports_taps_that_ran_dry():
    start = begin_round(rotation_day(4.0, 4), 1)
    kinds = {row.kind for row in played(start, ()).events}
    assert kinds == {"dry", "full"}


# again ----------------------------------------------------------------------------------------------------


def test_the_log_played_again_gives_the_same_round(opened):
    round_ = start = opened("training", 3)
    for hours, call in (
        (0.0, ServiceCall("QM-HAW", 3, "waste", True, start.begin)),
        (4.8, ReadingCall("QM-PIP", 2, start.begin)),
        (6.0, ServiceCall("QM-ROB", 4, "fresh", False, start.begin)),
    ):
        round_ = advanced(round_, start.begin + timedelta(hours=hours))
        if isinstance(call, ReadingCall):
            round_ = advanced(round_, max(round_.clock, turn_of(start, "QM-PIP", 2).start))
        round_ = called(round_, call)
    end = advanced(round_, start.end)
    again = played(start, end.log)
    assert again.day.services == end.day.services
    assert again.day.readings == end.day.readings
    assert again.log == end.log


def test_a_new_round_from_a_turn_keeps_what_was_called_before_it(opened):
    start = opened("training", 3)
    at = turn_of(start, "QM-HAW", 3).start
    early = ServiceCall("QM-WIG", 2, "fresh", False, start.begin)
    late = ServiceCall("QM-WIG", 4, "fresh", False, at + timedelta(minutes=5))
    branched = played(start, [early, late], until=at)
    assert branched.clock == at
    assert [row.turn for row in branched.log] == [2]


def test_the_truth_is_the_same_whatever_is_called(opened):
    start = opened("training", 3)
    other = called(start, ServiceCall("QM-HAW", 3, "waste", True, start.begin))
    assert other.truths is start.truths
    assert replace(other, day=start.day).truths is start.truths
