"""The times of the services that a plan has chosen."""

from __future__ import annotations

from legtide.day.document import TANKS, Service, Tank
from legtide.engine.types import to_minutes
from legtide.plan.rotation.situation import Situation
from legtide.plan.rotation.slots import Slot, free, spans, window_minutes


def chosen_slots(at: Situation, place: int, fill: int | None, drain: bool) -> dict[Tank, Slot]:
    """Where the chosen services of a turn go: at the times the day has for them if those still hold."""
    found = at.openings[place]
    slots: dict[Tank, Slot] = {}
    together = found.both[fill] if fill is not None and drain else None
    if together is not None:
        slots = {"fresh": together[0], "waste": together[1]}
    elif fill is not None:
        slot = found.fresh[fill]
        assert slot is not None  # noqa: S101  only what is open is chosen
        slots = {"fresh": slot}
    elif drain:
        assert found.waste is not None  # noqa: S101  only what is open is chosen
        slots = {"waste": found.waste}
    return _as_the_day_has_them(at, place, slots)


def _as_the_day_has_them(at: Situation, place: int, slots: dict[Tank, Slot]) -> dict[Tank, Slot]:
    """The slots moved to the starts that the day's own rows have, one by one, where that disturbs nothing."""
    turn = place + at.first_turn
    if any(row.turn == turn and row.kind == "people_aboard" for row in at.rotation.ground):
        return slots
    out = dict(slots)
    for tank in slots:
        row = kept_row(at, turn, tank)
        if row is None or row.start is None:
            continue
        start = to_minutes(row.start)
        moved = slots[tank].moved(start)
        others = [(slot.start, slot.end) for other, slot in out.items() if other != tank]
        if _fits(at, place, tank, moved) and free(moved.start, moved.end, [*at.busy[place], *others]):
            out[tank] = moved
    return out


def _fits(at: Situation, place: int, tank: Tank, slot: Slot) -> bool:
    turn = at.rotation.turns[place + at.first_turn]
    window, earliest = window_minutes(turn, at.day.policy), at.earliest[place][TANKS.index(tank)]
    return any(
        span.first <= slot.start and slot.end <= span.last and span.price == slot.price
        for span in spans(window, at.places.get(turn.station), tank, at.day.policy, earliest)
    )


def kept_row(at: Situation, turn: int, tank: Tank) -> Service | None:
    """The day's own row, if any, that a service planned at a turn takes the place of."""
    return next((row for row in at.removable if row.turn == turn and row.tank == tank), None)
