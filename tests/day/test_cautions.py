"""What is doubtful in a day: each finding has its code, its sentence and its place."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from legtide.day.cautions import Finding, cautions
from legtide.day.document import Day, Figure, Inoperative, Offer, Policy, Span, Station, Usage
from legtide.day.edits import rebuilt
from support.full_day import at, full_day


def changed(part: str, index: int, **changes: Any) -> Day:
    day = full_day()
    rows = list(getattr(day, part))
    rows[index] = rebuilt(rows[index], **changes)
    return day.model_copy(update={part: tuple(rows)})


def figures(**groups: Any) -> Day:
    return full_day().model_copy(update=groups)


def test_the_full_day_is_in_order() -> None:
    assert cautions(full_day()) == ()


CASES = [
    (
        figures(usage=Usage(rinse_l=Figure(value=1.9))),
        "figure-unusual",
        "Rinse water per visit is 1.9 L; usual is 0.1 to 0.5 L",
    ),
    (
        figures(policy=Policy(risk_limit=Figure(value=0.5))),
        "figure-unusual",
        "Risk limit per leg is 0.5; usual is 0.01 to 0.3",
    ),
    (
        changed("fits", 0, crew=Figure(value=40.0)),
        "figure-unusual",
        'Crew aboard of "single-aisle-180" is 40; usual is 2 to 30',
    ),
    (
        changed("legs", 1, origin="ABLE"),
        "broken-chain",
        "QX-AAA arrives at BAKE with ZZ101, but ZZ102 leaves from ABLE: a leg is missing, or another aircraft "
        "flies it",
    ),
    (
        changed("legs", 0, atd=at(0.5), ata=at(2.6)),
        "turn-eaten",
        "ZZ101 leaves no time on the ground at BAKE before ZZ102 08:30: enter a later estimate, or change the "
        "aircraft",
    ),
    (
        changed("legs", 2, passengers=181),
        "passengers-over-seats",
        "ZZ103 ABLE-BAKE has 181 passengers on 180 seats",
    ),
    (
        changed("legs", 2, atd=at(9.0), eta=at(8.0)),
        "estimate-before-departure",
        "ZZ103 ABLE-BAKE is expected to arrive before it departs: enter a new estimate",
    ),
    (changed("legs", 2, sta=at(26)), "leg-long", "ZZ103 ABLE-BAKE takes 21.0 h: is the date right?"),
    (
        changed("aircraft", 1, inoperative=(Inoperative(item="lavatory", count=2),)),
        "lavatories-more-than-fitted",
        "QX-BBB has 2 lavatories marked inoperative, but its fit has 1",
    ),
    (
        changed("readings", 0, time=at(2.6)),
        "reading-outside-turn",
        "A reading at BAKE 08:36 lies outside its turn (07:45 to 08:30)",
    ),
    (
        changed("ground", 1, end=at(3.5)),
        "ground-outside-turn",
        "A ground time at BAKE 09:30 lies outside its turn (08:00 to 09:00)",
    ),
    (
        changed("services", 3, start=at(1.9)),
        "service-outside-turn",
        "A service done at BAKE 07:54 lies outside its turn (08:00 to 09:00)",
    ),
    (
        changed("stations", 0, offers=(Offer(tank="waste"),)),
        "service-not-offered",
        "Water service of QX-AAA is planned at ABLE, which has none",
    ),
    (
        changed(
            "stations", 0, offers=(Offer(tank="fresh", hours=(Span(start=at(0), end=at(4.3)),)), Offer(tank="waste"))
        ),
        "service-outside-hours",
        "Water service of QX-AAA at ABLE 10:12 to 10:21 lies outside the hours there",
    ),
    (
        changed("stations", 0, approved_water=False),
        "water-not-approved",
        "QX-AAA takes water at ABLE, which is not marked as an approved point: water comes only from approved points "
        "(21 CFR 1240.80, 1240.83)",
    ),
]


@pytest.mark.parametrize(("day", "code", "message"), CASES, ids=[case[1] for case in CASES])
def test_a_doubt_is_found_with_its_sentence(day: Day, code: str, message: str) -> None:
    found = cautions(day)
    assert [(row.code, row.severity, row.message) for row in found] == [(code, "caution", message)]


def test_a_finding_says_where() -> None:
    found = cautions(changed("legs", 1, origin="ABLE"))[0]
    assert found == Finding(
        "broken-chain", "caution", found.message, aircraft="QX-AAA", leg="2", station="ABLE", turn=1
    )
    found = cautions(changed("stations", 0, approved_water=False))[0]
    assert (found.aircraft, found.station, found.turn, found.tank) == ("QX-AAA", "ABLE", 2, "fresh")
    assert cautions(figures(usage=Usage(rinse_l=Figure(value=1.9))))[0].place == "usage.rinse_l"
    assert cautions(changed("fits", 1, crew=Figure(value=40.0)))[0].place == "fits[1].crew"


def test_legs_far_from_the_day_are_doubtful() -> None:
    found = cautions(full_day().model_copy(update={"date": date(2031, 3, 8)}))
    assert {row.code for row in found} == {"leg-off-date"}
    assert found[0].message == "ZZ101 ABLE-BAKE leaves on 2031-03-05, the day is 2031-03-08"


def test_a_service_that_did_not_happen_asks_for_nothing() -> None:
    """Skipped and missed services need no offer, no hours and no approved water."""
    day = changed("stations", 1, offers=(), approved_water=False)
    assert {(row.code, row.turn) for row in cautions(day)} == set()


def test_water_already_taken_at_a_point_that_is_not_approved_is_named_too() -> None:
    day = changed("services", 4, state="done").model_copy(
        update={"stations": (Station(code="ABLE", approved_water=False), Station(code="BAKE"))}
    )
    assert [row.code for row in cautions(day)] == ["water-not-approved", "water-not-approved"]
