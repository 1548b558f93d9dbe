"""The detail of one aircraft in words and numbers: for its heading, its table, its cursor and screen readers."""

from __future__ import annotations

from typing import Final

from legtide.day.document import TANKS, Tank
from legtide.draw.words import NBSP, TANK_NAME, hhmm, likely
from legtide.engine.types import DayFactor
from legtide.language import counted, tr
from legtide.view.facts import turn_text
from legtide.view.panels.tank_detail_stages import Band, Detail, ReadingFact, WhyNot, band_at, factor_at
from legtide.view.units import Unit, volume_text

KNOWN_L: Final = 0.05
"""A band narrower than this is a level that is known: just filled, just drained."""
WHY_NOT: Final[dict[WhyNot, str]] = {
    "": "used",
    "no turn": "not used: the day has no such turn",
    "gauge": "not used: the gauge is inoperative",
    "implausible": "not used: too far off",
}


def band_text(band: Band, unit: Unit, capacity_l: float) -> str:
    """Such as "100–140 L"."""
    low, high = (volume_text(value, unit, capacity_l) for value in (band.low, band.high))
    return f"{low.split(NBSP)[0]}–{high}"


def factor_text(factor: DayFactor) -> str:
    """Such as "×1.12 (0.98–1.27)"."""
    return f"×{factor.mean:.2f} ({factor.p05:.2f}–{factor.p95:.2f})"


def off_text(fact: ReadingFact, unit: Unit, capacity_l: float) -> str:
    """How far a reading is from what was projected, such as "12 L above"."""
    off = fact.off_l
    if off is None:
        return "–"
    distance = volume_text(abs(off), unit, capacity_l)
    if distance.startswith(f"0{NBSP}"):
        return tr("as expected")
    return (tr("{distance} above") if off > 0.0 else tr("{distance} below")).format(distance=distance)


def signed_off(fact: ReadingFact, unit: Unit, capacity_l: float) -> str:
    """The same for a small label, such as "+12 L"; empty when there is nothing to say."""
    off = fact.off_l
    if off is None:
        return ""
    distance = volume_text(abs(off), unit, capacity_l)
    if distance.startswith(f"0{NBSP}"):
        return f"±{distance}"
    return f"{'+' if off > 0.0 else '−'}{distance}"


def turn_of(detail: Detail, fact: ReadingFact) -> str:
    """The turn of a reading, such as "2 · HOLN 13:40–14:40"."""
    turns = detail.projection.rotation.turns
    number = fact.reading.turn
    return f"{number} · {turn_text(turns[number])}" if number < len(turns) else str(number)


def read_at(fact: ReadingFact) -> str:
    """When it was read: HH:MM, or a dash."""
    return "–" if fact.result is None else hhmm(fact.result.minutes)


def reading_sentence(detail: Detail, fact: ReadingFact, unit: Unit) -> str:
    """A reading with what was expected, what became of it, and what it changed."""
    tank = fact.reading.tank
    capacity = detail.projection.curve(tank).capacity_l
    start = tr("{tank} read as {level}").format(
        tank=tr(TANK_NAME[tank]), level=volume_text(fact.reading.percent * capacity / 100.0, unit, capacity)
    )
    if fact.result is None or fact.before is None or fact.after is None:
        return f"{start}; {tr(WHY_NOT[fact.why_not])}."
    parts = [
        tr("{start} at {time}").format(start=start, time=read_at(fact)),
        tr("expected {band}").format(band=band_text(fact.before, unit, capacity)),
        off_text(fact, unit, capacity),
        tr(WHY_NOT[fact.why_not]),
    ]
    if not fact.why_not:
        parts.append(tr("afterwards {band}").format(band=band_text(fact.after, unit, capacity)))
    return "; ".join(parts) + "."


def learned_text(detail: Detail) -> str:
    """What the readings have taught of the day factor."""
    first, last = detail.stages[0].factor, detail.stages[-1].factor
    used = sum(not fact.why_not for fact in detail.facts)
    if not used:
        return tr("{factor} is assumed: no reading has been used").format(factor=factor_text(first))
    return tr("{last} after {readings}; {first} was assumed before any").format(
        last=factor_text(last),
        first=factor_text(first),
        readings=counted(used, "{n} reading used", "{n} readings used"),
    )


def tank_sentence(detail: Detail, tank: Tank, unit: Unit) -> str:
    """One tank over the day: its size, its worst moment, its limit and the risk of passing it."""
    curve = detail.projection.curve(tank)
    capacity = curve.capacity_l
    worst = int(curve.levels[2].argmin() if tank == "fresh" else curve.levels[2].argmax())
    words = tr("lowest {level} at {time}") if tank == "fresh" else tr("highest {level} at {time}")
    fresh = tank == "fresh"
    passed = tr("{chance} likely below it at worst") if fresh else tr("{chance} likely above it at worst")
    limit = tr("reserve {limit}") if fresh else tr("usable limit {limit}")
    level = _level(Band(*curve.levels[[0, 2, 4], worst]), unit, capacity)
    parts = [
        volume_text(capacity, unit),
        words.format(level=level, time=hhmm(float(curve.minutes[worst]))),
        limit.format(limit=volume_text(curve.limit_l, unit, capacity)),
        passed.format(chance=likely(float(curve.over_limit.max()))),
    ]
    return " · ".join(parts)


def _level(band: Band, unit: Unit, capacity_l: float) -> str:
    if band.high - band.low < KNOWN_L:
        return volume_text(band.middle, unit, capacity_l)
    return f"{volume_text(band.middle, unit, capacity_l)} ({band_text(band, unit, capacity_l)})"


def moment_text(detail: Detail, minutes: float, unit: Unit) -> str:
    """Both tanks and the day factor at a moment."""
    parts = [f"{hhmm(minutes)}{NBSP}UTC"]
    for tank in TANKS:
        curve = detail.projection.curve(tank)
        level = _level(band_at(curve, minutes), unit, curve.capacity_l)
        parts.append(tr("{tank} {level}").format(tank=tr(TANK_NAME[tank]), level=level))
    parts.append(tr("day factor {factor}").format(factor=factor_text(factor_at(detail.stages, minutes))))
    return "  ·  ".join(parts)


def arrivals_text(detail: Detail, tank: Tank, unit: Unit) -> str:
    """The tank's level on each arrival in words, for those who cannot see the curve."""
    rotation, capacity = detail.projection.rotation, detail.projection.curve(tank).capacity_l
    parts = []
    for leg, result in zip(rotation.legs, detail.projection.legs, strict=False):
        spread = result.fresh_arrival if tank == "fresh" else result.waste_arrival
        level = _level(Band(spread.p05, spread.p50, spread.p95), unit, capacity)
        parts.append(
            tr("{flight} arrives at {station} with {level}").format(
                flight=leg.flight, station=leg.destination, level=level
            )
        )
    return "; ".join(parts)


def factor_steps_text(detail: Detail) -> str:
    """The day factor as it was learned, in words."""
    parts = [tr("Before any reading {factor}").format(factor=factor_text(detail.stages[0].factor))]
    parts += [
        tr("from {time} {factor}").format(time=hhmm(stage.minutes), factor=factor_text(stage.factor))
        for stage in detail.stages[1:]
    ]
    return "; ".join(parts)


def summary(detail: Detail, unit: Unit) -> str:
    """Everything in words."""
    tanks = [f"{tr(TANK_NAME[tank])}: {tank_sentence(detail, tank, unit)}." for tank in TANKS]
    readings = [reading_sentence(detail, fact, unit) for fact in detail.facts]
    learned = tr("Day factor: {learned}.").format(learned=learned_text(detail))
    return " ".join([*tanks, learned, *readings])
