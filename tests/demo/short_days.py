"""The quiet day, the tight short-haul day and the training day."""

from __future__ import annotations

from datetime import date

from demo.building import Hub, Line, at, build, truck
from demo.scenario import PREFIX
from legtide.day.document import Day, Inoperative, Reading, ServiceState, Tank
from legtide.day.edits import (
    add_reading,
    change_aircraft,
    change_leg,
    change_service,
    set_service_state,
    set_target,
)

QUIET = date(2027, 4, 13)
TIGHT = date(2027, 5, 21)
TRAINING = date(2027, 2, 9)


def trucks(day: date) -> Hub:
    """Two water and two toilet trucks, from before the first wave to after the last."""
    return Hub(
        (
            truck(day, "W1", 1800.0, "03:00-21:30", "09:00-09:30", "17:30-18:00"),
            truck(day, "W2", 1800.0, "03:30-22:00", "10:00-10:30", "18:30-19:00"),
            truck(day, "T1", 2000.0, "03:00-21:30", "09:30-10:00", "18:00-18:30"),
            truck(day, "T2", 2000.0, "03:30-22:00", "10:30-11:00", "19:00-19:30"),
        )
    )


def quiet() -> Day:
    """Eight aircraft with room in every turn: nothing to do but to look around."""
    lines = (
        Line("AUK", "04:40", "OZM DQN OZM KQM OZM", 55, "F2 W2 F4 W4", number=201, load=0.72),
        Line("COO", "05:20", "OZM HQF OZM LQV OZM", 60, "F2 W2 F4 W4", number=211, load=0.70),
        Line("DUN", "06:05", "OZM TQB OZM UQM OZM TQB OZM", 60, "F2 W2 F4 W4", number=221, load=0.68),
        Line("SKU", "05:00", "OZM LQV OZM WQY OZM LQV OZM", 55, "F2 W2 F4 W4", number=301, load=0.70),
        Line("TEA", "06:45", "OZM RQH OZM HQF OZM RQH OZM", 60, "F2 W2 F4 W4", number=311, load=0.72),
        Line("FIN", "07:10", "OZM DQN OZM TQB OZM", 70, "F2 W2", number=401, load=0.66),
        Line("LIN", "05:40", "OZM TQB OZM LQV OZM RQH OZM", 55, "F2 W2 F4 W4", number=411, load=0.70),
        Line("LAR", "06:20", "OZM JQS OZM RQH OZM JQS OZM", 50, "F2 W2 F4 W4", number=501, load=0.65),
    )
    day = build("a quiet day at Ostermarsh", QUIET, lines, trucks(QUIET))
    day = _read(day, "AUK", 1, fresh=80.0, waste=30.0)
    return _read(day, "SKU", 1, fresh=80.0, waste=30.0)


def tight() -> Day:
    """Twelve aircraft on short turns, three late, one lavatory out: a few legs need a service more."""
    lines = (
        Line("AUK", "04:30", "OZM TQB OZM DQN OZM LQV OZM TQB OZM", 35, "F2 W4 F4 F6 W6", number=201, load=0.86),
        Line("COO", "04:45", "OZM HQF OZM RQH OZM KQM OZM", 35, "F2 W2 F4 W4", number=211, load=0.88),
        Line("DUN", "04:55", "OZM LQV OZM TQB OZM WQY OZM RQH OZM", 35, "F2 W4 F5 W6", number=221, load=0.85),
        Line("EID", "05:05", "OZM DQN OZM HQF OZM DQN OZM", 35, "F2 W2 F4 W4", number=231, load=0.87),
        Line("FUL", "05:20", "OZM KQM OZM TQB OZM LQV OZM", 35, "F2 W2 F4 W4", number=241, load=0.84),
        Line("GUL", "05:30", "OZM TQB OZM LQV OZM TQB OZM LQV OZM", 35, "F2=80 W4 F4 F6 W6", number=251, load=0.86),
        Line("SKU", "04:35", "OZM WQY OZM LQV OZM DQN OZM", 35, "F2 W2 F4 W4", number=301, load=0.86),
        Line("TEA", "05:00", "OZM FQG OZM TQB OZM LQV OZM", 40, "W1 F2 F4 W4", number=311, load=0.84),
        Line("TRN", "05:35", "OZM RQH OZM TQB OZM WQY OZM TQB OZM", 35, "F2 W4 F4 F6", number=321, load=0.85),
        Line("FIN", "04:50", "OZM LQV OZM HQF OZM TQB OZM", 35, "F2 W2 F4 W4", number=401, load=0.85),
        Line("LIN", "05:15", "OZM TQB OZM WQY OZM LQV OZM RQH OZM", 35, "F2 W2 F4 W4 F7", number=411, load=0.84),
        Line("LAR", "05:10", "OZM JQS OZM RQH OZM JQS OZM RQH OZM", 30, "F2 W2 F4 W4 F6 W6", number=501, load=0.78),
    )
    day = build("a tight short-haul day", TIGHT, lines, trucks(TIGHT))
    day = change_leg(day, "EID-1", atd=at(TIGHT, "05:44"), ata=at(TIGHT, "07:07"))
    day = change_leg(day, "EID-2", atd=at(TIGHT, "07:38"), eta=at(TIGHT, "09:01"), remark="Late since the first leg")
    day = change_leg(day, "EID-3", etd=at(TIGHT, "09:36"))
    day = change_leg(day, "COO-3", etd=at(TIGHT, "09:10"), remark="Waits for a crew")
    day = change_aircraft(
        day,
        f"{PREFIX}GUL",
        inoperative=(
            Inoperative(item="lavatory", category="C", since=date(2027, 5, 14), remark="Aft lavatory closed"),
        ),
    )
    day = change_aircraft(
        day,
        f"{PREFIX}FUL",
        inoperative=(Inoperative(item="waste_gauge", category="C", since=date(2027, 5, 19)),),
        remark="The waste gauge shows full all the time",
    )
    day = _read(day, "FUL", 1, fresh=80.0, waste=100.0)
    # More is used on this aircraft today than on most: the gauges say so after two legs.
    return _read(day, "DUN", 2, fresh=50.0, waste=50.0)


def training() -> Day:
    """A day for a class: what a skipped, a missed, a late and a half-done service do some legs later."""
    lines = (
        Line("HAW", "04:40", "OZM DQN OZM HQF OZM LQV OZM TQB OZM", 45, "F2 W2 F4 W4 F6 W6", number=261, load=0.82),
        Line("JAY", "05:00", "OZM LQV OZM TQB OZM KQM OZM", 45, "F2 W2 W4 F5", number=271, load=0.80),
        Line("KIT", "05:20", "OZM HQF OZM DQN OZM LQV OZM", 45, "F2 W2 F4 W4", number=281, load=0.83),
        Line("VIR", "04:50", "OZM TQB OZM LQV OZM WQY OZM TQB OZM", 45, "F2 W2 F4 W4 F6 W6", number=331, load=0.84),
        Line("WIG", "05:30", "OZM DQN OZM LQV OZM DQN OZM", 45, "F2 W2 F4 W4", number=341, load=0.80),
        Line("PIP", "05:10", "OZM LQV OZM TQB OZM HQF OZM", 45, "F2 W2 F4 W4", number=421, load=0.80),
        Line("ROB", "05:45", "OZM TQB OZM DQN OZM TQB OZM", 45, "F2 W2 F4 W4", number=431, load=0.76),
        Line("MAR", "05:00", "OZM RQH OZM JQS OZM RQH OZM", 40, "F2 W2 F4 W4", number=511, load=0.72),
    )
    day = build("training day, a skipped service", TRAINING, lines, trucks(TRAINING))
    for service in day.services:
        if service.turn <= 2:
            day = set_service_state(day, service.id, "done")
    day = _not_served(day, "JAY-F2", "skipped", "No time, said the crew")
    day = _not_served(day, "HAW-W2", "missed", "The truck went to another stand")
    day = set_target(day, "KIT-F2", 50.0)
    day = change_service(day, "KIT-F2", remark="Stopped halfway: boarding had begun")
    day = change_service(day, "VIR-F4", start=at(TRAINING, "11:50"), remark="Asked for late")
    day = _read(day, "HAW", 3, fresh=60.0, waste=60.0)
    return _read(day, "KIT", 3, fresh=20.0, waste=30.0)


def _not_served(day: Day, service: str, state: ServiceState, remark: str) -> Day:
    return change_service(set_service_state(day, service, state), service, remark=remark)


def _read(day: Day, name: str, turn: int, **percent: float) -> Day:
    """Readings of both gauges on arrival at a turn."""
    tanks: tuple[Tank, Tank] = ("fresh", "waste")
    for tank in tanks:
        if tank in percent:
            day = add_reading(day, Reading(aircraft=f"{PREFIX}{name}", turn=turn, tank=tank, percent=percent[tank]))
    return day
