"""Messages on a day: what moves, what is refused and why, and that nothing is guessed."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta

import pytest

from legtide.day.checks import problems
from legtide.day.document import Day, Station
from legtide.files.messages import Outcome, apply, read_messages
from support.days import rotation_day


@pytest.fixture
def day() -> Day:
    """QX-0: ZZ100 ABLE-BAKE 04:00-05:30, ZZ101 BAKE-ABLE 06:15-07:45, and so on, on 14 May 2026; QX-1 the same."""
    made = rotation_day(1.5, 4, aircraft=2)
    legs = tuple(
        leg.model_copy(update={"flight": f"ZZ {200 + number}"}) if leg.aircraft == "QX-1" else leg
        for number, leg in enumerate(made.legs)
    )
    return made.model_copy(update={"legs": legs})


def at(hour: int, minute: int, day: int = 14) -> datetime:
    return datetime(2026, 5, day, hour, minute, tzinfo=UTC)


def told(day: Day, *lines: str) -> Outcome:
    made = apply(day, read_messages("\n".join(lines)))
    assert problems(made.day) == problems(day)
    return made


def reasons(made: Outcome) -> str:
    return "; ".join(row.reason for row in made.not_understood)


def test_a_departure_moves_its_leg_and_no_other(day: Day) -> None:
    made = told(day, "MVT", "ZZ0100/14.QX0.ABLE", "AD0412/0420 EA0541 BAKE", "PX150+3")
    leg = made.day.legs[0]
    assert (leg.atd, leg.eta, leg.passengers) == (at(4, 12), at(5, 41), 153)
    assert all(new is old for new, old in zip(made.day.legs[1:], day.legs[1:], strict=True))
    assert [str(row) for row in made.changes] == [
        "ZZ100 ABLE-BAKE: ATD none -> 04:12",
        "ZZ100 ABLE-BAKE: ETA none -> 05:41",
        "ZZ100 ABLE-BAKE: passengers 144 -> 153",
    ]
    assert made.not_understood == ()


def test_the_same_again_changes_nothing(day: Day) -> None:
    lines = ("MVT", "ZZ0100/14.QX0.ABLE", "AD0412/0420 EA0541 BAKE")
    once = told(day, *lines).day
    again = told(once, *lines)
    assert again.day is once
    assert again.changes == ()
    assert "has this already" in again.notes[0].text


@pytest.mark.parametrize(
    ("head", "reason"),
    [
        ("ZZ0100/14.QY0.ABLE", "aircraft QY0 is not in the day"),
        ("ZZ0999/14.QX0.ABLE", "flight ZZ999 is not in the day"),
        ("ZZ0100/14.QX0.CAKE", "flight ZZ100 has no leg from CAKE in the day"),
        ("ZZ0100/15.QX0.ABLE", "departs on 2026-05-14, not on a day 15"),
        ("ZZ0100/14.QX1.ABLE", 'flight ZZ100 is flown by "QX-0", not by "QX-1"'),
    ],
)
def test_what_the_day_does_not_know_is_named_and_not_guessed(day: Day, head: str, reason: str) -> None:
    made = told(day, "MVT", head, "AD0412/0420")
    assert made.day is day
    assert reason in reasons(made)
    assert made.not_understood[0].line == 2


@pytest.mark.parametrize(
    ("element", "reason"),
    [
        ("AD2512/0420", "2512 is not a time"),
        ("AD171200/171210", "lies more than a day and a half"),
        ("AD0412/0420 EA0541 CAKE", "the estimate is for CAKE, the leg ends at BAKE"),
        ("AD0412 AD0413", "AD stands twice"),
        ("ADXX", "ADXX is not an element"),
        ("FR0450/0455 RR0500", "RR stands twice"),
        ("DL0010/31", "is not <codes>/<durations HHMM>"),
        ("DL31/0061", "is not HHMM"),
        ("PX9999", "PX9999 is not an element"),
    ],
)
def test_an_element_that_cannot_be_is_listed_and_changes_nothing(day: Day, element: str, reason: str) -> None:
    made = told(day, "MVT", "ZZ0100/14.QX0.ABLE", element)
    assert made.day is day
    assert reason in reasons(made)


def test_the_other_lines_of_a_message_still_count(day: Day) -> None:
    made = told(day, "MVT", "ZZ0100/14.QX0.ABLE", "ADXX/YY", "PX99", "SI BROKEN TRUCK")
    assert made.day.legs[0].passengers == 99
    assert made.day.legs[0].atd is None
    assert [row.line for row in made.not_understood] == [3]
    assert "free text: BROKEN TRUCK" in [note.text for note in made.notes]


def test_an_arrival_before_the_departure_is_refused(day: Day) -> None:
    left = told(day, "MVT", "ZZ0100/14.QX0.ABLE", "AD0412/0420").day
    made = told(left, "MVT", "ZZ0100/14.QX0.BAKE", "AA0350/0400")
    assert made.day is left
    assert "ends before it starts" in reasons(made)


def test_a_correction_takes_the_place_of_what_it_corrects(day: Day) -> None:
    first = ("MVT", "ZZ0100/14.QX0.ABLE", "AD0412/0420 EA0541 BAKE", "PX150")
    made = told(day, *first, "", "MVT COR", "ZZ0100/14.QX0.ABLE", "AD0422/0430")
    leg = made.day.legs[0]
    assert leg.atd == at(4, 22)
    assert (leg.eta, leg.passengers) == (None, day.legs[0].passengers)
    assert "corrected by the message of line 7" in made.notes[0].text
    later = told(told(day, *first).day, "MVT COR", "ZZ0100/14.QX0.ABLE", "AD0422/0430")
    assert later.day.legs[0].atd == at(4, 22)


def test_delay_return_and_next_information(day: Day) -> None:
    made = told(day, "MVT", "ZZ0100/14.QX0.ABLE", "ED140530", "DL34/0130")
    assert made.day.legs[0].etd == at(5, 30)
    waiting = told(day, "MVT", "ZZ0100/14.QX0.ABLE", "NI140600")
    assert waiting.day is day
    assert "next information at 06:00" in waiting.notes[0].text
    left = told(day, "MVT", "ZZ0100/14.QX0.ABLE", "AD0412/0420 EA0541 BAKE").day
    back = told(left, "MVT", "ZZ0100/14.QX0.ABLE", "RR0450")
    assert (back.day.legs[0].atd, back.day.legs[0].eta) == (None, None)
    assert "returned to the ramp at 04:50" in back.notes[0].text
    air = told(left, "MVT", "ZZ0100/14.QX0.ABLE", "FR0455/0502 ED0630")
    assert (air.day.legs[0].atd, air.day.legs[0].etd) == (None, at(6, 30))
    assert "read the gauges" in air.notes[0].text


def test_a_touchdown_alone_is_an_estimate_and_said_to_be_one(day: Day) -> None:
    made = told(day, "MVA", "ZZ0100/14.QX0.BAKE", "AA0531")
    assert (made.day.legs[0].ata, made.day.legs[0].eta) == (None, at(5, 31))
    assert "taken as estimate" in made.notes[0].text


def test_a_flight_goes_by_the_date_of_its_first_leg(day: Day) -> None:
    """A second leg past midnight UTC keeps the flight's date."""
    legs = list(day.legs[:2])
    shift = timedelta(hours=18, minutes=30)
    legs = [
        leg.model_copy(update={"flight": "ZZ 100", "std": leg.std + shift, "sta": leg.sta + shift}) for leg in legs
    ]
    night = day.model_copy(update={"legs": tuple(legs)})
    assert night.legs[1].std == at(0, 45, 15)
    made = told(night, "MVT", "ZZ0100/14.QX0.BAKE", "AD150050/150100")
    assert made.day.legs[1].atd == at(0, 50, 15)
    assert "00:50 on 2026-05-15" in str(made.changes[0])


def test_loads_are_heads_over_all_destinations(day: Day) -> None:
    made = told(
        day, "LDM", "ZZ0101/14.QX0.Y180.2/4", "-ABLE.80/10/2.T500.PAX/90", "-CAKE.20/0/1.T90.PAX/20", "SI NIL"
    )
    assert (made.day.legs[1].passengers, made.day.legs[1].crew) == (113, 6)
    spoilt = told(day, "LDM", "ZZ0101/14.QX0.Y180.2/4", "-ABLE.80/10/2.T500", "-CAKE.X0/0/1")
    assert spoilt.day is day
    assert "cannot all be read" in reasons(spoilt)
    empty = told(day, "LDM", "ZZ0101/14.QX0.Y180.2/4", "-ABLE.NIL")
    assert empty.day.legs[1].passengers == 0


def test_weather_moves_the_outside_air_and_the_colder_figure_counts(day: Day) -> None:
    stations = (Station(code="ABLE", outside_air_c=14.0), Station(code="BAKE"))
    day = day.model_copy(update={"stations": stations})
    made = told(
        day,
        "METAR ABLE 140350Z 24012KT 9999 04/M01 Q1018=",
        "TAF ABLE 140300Z 1404/1510 24010KT 9999 TX07/1414Z TNM03/1504Z",
        "METAR BAKE 140350Z 24012KT 9999 08/M01 Q1018",
        "METAR CAKE 140350Z 24012KT 9999 08/M01 Q1018",
        "METAR BAKE 140420Z 24012KT 9999 ///// Q1018",
    )
    assert [row.outside_air_c for row in made.day.stations] == [-3.0, 8.0]
    assert [str(row) for row in made.changes] == [
        "ABLE: outside air 14 °C -> -3 °C",
        "BAKE: outside air none -> 8 °C",
    ]
    assert "station CAKE is not in the day" in reasons(made)
    assert "no temperature" in reasons(made)


def test_a_station_of_three_letters_needs_the_name_of_the_report() -> None:
    day = rotation_day(1.5, 1)
    day = day.model_copy(update={"stations": (*day.stations, Station(code="OZM"))})
    assert told(day, "METAR OZM 140350Z 04/M01").day.stations[-1].outside_air_c == 4.0
    assert told(day, "METAR COR OZM 140350Z 04/M01").day.stations[-1].outside_air_c == 4.0
    assert told(day, "OZM 140350Z 04/M01").day is day


def test_a_real_indicator_finds_the_station_by_its_three_letters() -> None:
    """The airport reference library gives the three letters of an ICAO location indicator."""
    day = rotation_day(1.5, 1)
    day = day.model_copy(update={"stations": (*day.stations, Station(code="LHR"))})
    made = apply(day, read_messages("METAR EGLL 140350Z 24012KT 9999 04/M01 Q1018"))
    assert made.day.stations[-1].outside_air_c == 4.0


def test_every_line_that_begins_nothing_is_listed(day: Day) -> None:
    made = told(
        day,
        "QU OZMKKX0 TQBKKX0",
        ".OZMKKX0 140415",
        "Good morning,",
        "MVT",
        "",
        "DIV",
        "ZZ0100/14.QX0.ABLE",
        "EA0600 CAKE",
    )
    assert made.day is day
    assert [row.line for row in made.not_understood] == [3, 4, 6]
    assert [row.line for row in made.notes] == [1, 2]


def test_a_thousand_legs_move_as_one_edit() -> None:
    day = rotation_day(1.0, 5, aircraft=200)
    legs = tuple(leg.model_copy(update={"flight": f"ZZ{n}"}) for n, leg in enumerate(day.legs))
    day = day.model_copy(update={"legs": legs})
    text = "\n".join(f"MVT\n{leg.flight}/14.{leg.aircraft}.{leg.origin}\nAD{leg.std:%H%M}/\n" for leg in legs[:10])
    assert len(apply(day, read_messages(text)).not_understood) == 10
    text = "\n".join(f"MVT\n{leg.flight}/14.{leg.aircraft}.{leg.origin}\nAD{leg.std:%H%M}\n" for leg in legs)
    made = apply(day, read_messages(text))
    assert len(made.changes) == 1000
    assert made.not_understood == ()
    assert all(leg.atd == leg.std for leg in made.day.legs)
