"""The long-sector day, across a night on which clocks change, and the winter day."""

from __future__ import annotations

from datetime import date, timedelta
from typing import Final

from demo.building import Hub, Line, at, build, truck
from demo.scenario import PREFIX
from demo.short_days import trucks
from legtide.day.document import Day, GroundTime, Inoperative
from legtide.day.edits import add_rows, change_aircraft, change_leg
from legtide.day.rotations import off_blocks

LONG: Final = date(2027, 3, 27)
"""A Saturday; in the night after it clocks go forward in Europe, at 01:00 UTC on 28 March."""
WINTER: Final = date(2027, 1, 12)

_FROST_C: Final = {
    "OZM": -4.0,
    "RQH": -2.0,
    "TQB": -3.0,
    "JQS": -6.0,
    "LQV": -5.0,
    "WQY": 4.0,
    "DQN": 3.0,
    "HQF": 2.0,
    "KQM": -9.0,
    "NQV": -14.0,
    "UQM": -7.0,
}
_DRAINED: Final = {
    "fresh_percent": 0.0,
    "remark": "Drained overnight against frost; filled before the first leg",
}
_BOARDED: Final = timedelta(minutes=10)


def long() -> Day:
    """Ten aircraft on sectors of 2 to 8 h, many through the night: fill levels, meals, tanks that will not last."""
    hub = Hub(
        (
            truck(LONG, "W1", 3000.0, "03:00-15:00", "09:00-09:30"),
            truck(LONG, "W2", 3000.0, "13:00-34:00", "24:00-24:30"),
            truck(LONG, "T1", 3500.0, "03:00-15:00", "09:30-10:00"),
            truck(LONG, "T2", 3500.0, "13:00-34:00", "24:30-25:00"),
        )
    )
    lines = (
        Line("ALB", "09:30", "OZM PQR OZM", 120, "F1=75 W1 F2 W2", 0.82, "meal", 11),
        Line("CON", "20:30", "OZM ZQD OZM", 150, "F1=80 W1", 0.84, "meal", 21),
        Line("EMU", "02:30", "ZQD OZM ZQD", 150, "F1=45 W1", 0.80, "meal", 32),
        Line("OST", "05:40", "OZM OQD OZM", 125, "F1=70 F2 W2", 0.86, "meal", 41),
        Line("RHE", "21:30", "PQR OZM PQR", 310, "F1=75 W1", 0.78, "meal", 52),
        Line("GAN", "12:10", "OZM EQK OZM UQM OZM", (60, 75, 60), "F1 W1 F2 W2 F3 W3", 0.84, "drinks", 601),
        Line("PEL", "10:20", "OZM EQK OZM KQM OZM", (60, 80, 60), "F1 W1 F2 W2 F4 W4", 0.80, "drinks", 611),
        Line("STO", "21:50", "OZM EQK OZM UQM OZM", (60, 75, 55), "F1 W1 F2 W2 F3 W3", 0.78, "drinks", 621),
        Line("HER", "17:20", "OZM UQM OZM EQK OZM", (55, 80, 60), "F1 W1 F2 W2", 0.80, "drinks", 631),
        Line("RAV", "13:30", "OZM EQK OZM EQK OZM", (55, 70, 55), "F1 W1 F2 W2 F3 W3", 0.82, number=291),
    )
    day = build("a long-sector day, clocks go forward", LONG, lines, hub)
    return change_aircraft(
        day,
        f"{PREFIX}CON",
        inoperative=(
            Inoperative(item="lavatory", count=2, category="C", since=date(2027, 3, 20), remark="Two aft closed"),
        ),
    )


def winter() -> Day:
    """Ten aircraft in frost: tanks drained overnight, de-icing with people aboard, one parked without heat."""
    lines = (
        Line(
            "AUK", "05:10", "NQV OZM KQM OZM NQV", (70, 60, 75), "F0 F1 W1 F3 W3", 0.74, number=202, changes=_DRAINED
        ),
        Line(
            "COO", "05:40", "KQM OZM DQN OZM KQM", (75, 60, 75), "F0 F1 W1 F3 W3", 0.76, number=212, changes=_DRAINED
        ),
        Line("MAL", "05:20", "OZM NQV OZM LQV OZM", (70, 60, 60), "F2 W2 F4 W4", 0.75, number=221),
        Line("OWL", "06:00", "OZM UQM OZM TQB OZM", (65, 70, 55), "W1 F2 W2 F4 W4", 0.72, number=231),
        Line(
            "SHA", "06:10", "UQM OZM LQV OZM UQM", (70, 60, 70), "F0 F1 W1 F3 W3", 0.70, number=302, changes=_DRAINED
        ),
        Line("CUR", "05:50", "OZM HQF OZM KQM OZM", (60, 65, 190), "F2 W2 F4 W4", 0.74, number=311),
        Line("SNI", "06:20", "OZM LQV OZM WQY OZM", 60, "F2 W2 F4 W4", 0.72, number=321),
        Line("STA", "05:30", "OZM JQS OZM LQV OZM JQS OZM", 55, "F2 W2 F4 W4", 0.68, number=441),
        Line("TAN", "06:40", "OZM DQN OZM TQB OZM", 60, "F2 W2 F4 W4", 0.70, number=451),
        Line("SWI", "06:30", "OZM RQH OZM JQS OZM", 55, "F2 W2 F4 W4", 0.62, number=521),
    )
    late = {"AUK-1": "05:45", "COO-1": "06:10", "MAL-1": "05:50", "OWL-1": "06:35", "SHA-1": "08:30"}
    day = build("a winter day with de-icing", WINTER, lines, trucks(WINTER), air_c=_FROST_C, late=late)
    for leg in late:
        day = _waits(day, leg, "Snow is cleared from the runway" if leg == "SHA-1" else "De-icing")
    return add_rows(
        day,
        ground=(
            GroundTime(
                aircraft=f"{PREFIX}CUR", turn=3, kind="unheated", start=at(WINTER, "13:30"), end=at(WINTER, "15:45")
            ),
        ),
    )


def _waits(day: Day, leg_id: str, why: str) -> Day:
    """A first leg whose people are aboard from ten minutes before the scheduled time until it leaves."""
    leg = next(row for row in day.legs if row.id == leg_id)
    wait = GroundTime(
        aircraft=leg.aircraft, turn=0, kind="people_aboard", start=leg.std - _BOARDED, end=off_blocks(leg)
    )
    return add_rows(change_leg(day, leg_id, remark=why), ground=(wait,))
