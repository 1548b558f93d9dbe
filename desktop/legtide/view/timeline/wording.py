"""What the board says about what lies under the pointer: plain text that gives the reason, not only the name."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Final

from legtide.day.document import TANKS, Leg, Tank
from legtide.day.rotations import off_blocks, on_blocks
from legtide.draw.content import Marker, RowContent
from legtide.draw.gutter import level_text
from legtide.draw.hits import Hit, HitKind
from legtide.draw.lanes import Lane
from legtide.draw.overlay import BubbleText
from legtide.draw.words import TANK_NAME, breach_sentence, hhmm, likely, litres, percent, service_title
from legtide.engine.types import Spread
from legtide.language import counted, tr
from legtide.view.timeline.leg_stroke import LegStroke
from legtide.view.timeline.model import BoardModel

_STATES: Final = {
    "planned": "planned",
    "done": "done",
    "skipped": "skipped: the levels run on without it",
    "missed": "missed: the levels run on without it",
}


def bubble_text(row: RowContent, service_id: str, title: str, trouble: str = "") -> BubbleText:
    """The bubble of a moved service: what it is, and what it does to its tank, or why it cannot be."""
    marker = next((found for found in row.markers if found.service.id == service_id), None)
    if trouble:
        return BubbleText(title, trouble)
    return BubbleText(title, "" if marker is None else " · ".join(_effect(row, marker)))


def slip_text(row: RowContent, stroke: LegStroke, broken: Mapping[str, str]) -> BubbleText:
    """The bubble of a slipped leg: its new time, what moves with it and what no longer works."""
    parts = [stroke.late()]
    if stroke.following and stroke.delta:
        parts.append(counted(len(stroke.following), "{n} service moves along", "{n} services move along"))
    lost = sum(marker.service.id in broken for marker in row.markers)
    if lost:
        parts.append(counted(lost, "{n} service does not work", "{n} services do not work"))
    return BubbleText(stroke.title(), " · ".join(parts))


def why_fixed(leg: Leg, read_only_because: str) -> str:
    """Why a leg cannot be slipped."""
    if read_only_because:
        return tr("Read only: {reason}").format(reason=read_only_because)
    return tr("{flight} has arrived: its times are facts").format(flight=leg.flight)


def _effect(row: RowContent, marker: Marker) -> list[str]:
    service, result = marker.service, marker.result
    parts = []
    if service.state not in ("planned", "done"):
        parts.append(tr("does not take place"))
    elif result is not None:
        capacity = row.rotation.fit.capacity_l(service.tank)
        parts.append(f"{percent(result.before.mean / capacity)} → {percent(result.after.mean / capacity)}")
        parts.append(tr("about {volume}").format(volume=litres(result.volume.mean)))
    if result is not None:
        parts.append(tr("at {station}").format(station=result.station))
    if service.truck is not None:
        parts.append(tr("truck {truck}").format(truck=service.truck))
    return parts


def hover_text(found: Hit, model: BoardModel) -> str:
    """What to say about a place on the board; empty where there is nothing to say."""
    if found.lane is not None:
        return _with_reason(_lane(found.lane, model.marker(found.service), model), found, model)
    say = _SAY.get(found.kind)
    text = "" if say is None or found.scene is None else say(found, found.scene.content, model.now)
    if text and found.kind in ("service", "flag", "leg", "turn"):
        text += "\n" + tr("Y: formula and sources of the numbers")
    return _with_reason(text, found, model)


def _with_reason(text: str, found: Hit, model: BoardModel) -> str:
    """Why the service under the pointer cannot be worked, after what it is."""
    reason = model.broken.get(found.service or "")
    return text if reason is None else f"{text}\n{reason}"


def _lane(lane: Lane, marker: Marker | None, model: BoardModel) -> str:
    truck = lane.truck
    kind = tr("water truck") if truck.tank == "fresh" else tr("toilet truck")
    head = f"{truck.id}, {kind}, {litres(truck.capacity_l)}"
    if truck.shift is not None:
        head += tr(", on shift {start} – {end}").format(start=hhmm(truck.shift.start), end=hhmm(truck.shift.end))
    row = None if marker is None else model.row(marker.service.aircraft)
    if marker is None or row is None:
        return head
    return f"{row.registration}: {service_text(row, marker)}\n{head}"


def _service(found: Hit, row: RowContent, now: float | None) -> str:
    return "" if found.spot is None else service_text(row, found.spot.marker)


def service_text(row: RowContent, marker: Marker) -> str:
    """A service in a few lines."""
    service = marker.service
    lines = [f"{service_title(service, marker.start)}–{hhmm(marker.end)}, {tr(_STATES[service.state])}"]
    lines.append(", ".join(_effect(row, marker)))
    if service.pinned:
        lines.append(tr("Pinned: a proposal leaves it where it is"))
    if service.remark:
        lines.append(service.remark)
    return "\n".join(line for line in lines if line)


def _flag(found: Hit, row: RowContent, now: float | None) -> str:
    stretch = found.stretch
    if stretch is None:
        return ""
    curve = row.projection.curve(stretch.tank)
    sentence = breach_sentence(stretch.tank, stretch.peak, curve.limit_l, curve.capacity_l)
    lines = [
        tr("{tank}: {sentence} between {start} and {end}").format(
            tank=tr(TANK_NAME[stretch.tank]), sentence=sentence, start=hhmm(stretch.start), end=hhmm(stretch.end)
        )
    ]
    lines += [caution.message for caution in row.cautions if caution.tank == stretch.tank]
    return "\n".join(lines)


def _range(spread: Spread, capacity: float) -> str:
    share = f"{percent(spread.p50 / capacity)} ({percent(spread.p05 / capacity)} – {percent(spread.p95 / capacity)})"
    return tr("{share}, {litres} of {capacity}").format(
        share=share, litres=litres(spread.p50), capacity=litres(capacity)
    )


def _leg(found: Hit, row: RowContent, now: float | None) -> str:
    if found.leg is None:
        return ""
    leg = found.leg.leg
    head = f"{leg.flight} {leg.origin} {hhmm(off_blocks(leg))} – {leg.destination} {hhmm(on_blocks(leg))}"
    late = round((off_blocks(leg) - leg.std).total_seconds() / 60.0)
    if late:
        head += tr(", {minutes} min after schedule").format(minutes=late)
    lines = [head, tr("{passengers} passengers, {crew} crew").format(passengers=leg.passengers, crew=leg.crew)]
    result = row.projection.legs[found.leg.index]
    arrivals: tuple[tuple[Tank, Spread, float], ...] = (
        ("fresh", result.fresh_arrival, result.risk_fresh_below_reserve),
        ("waste", result.waste_arrival, result.risk_waste_over_limit),
    )
    for tank, spread, risk in arrivals:
        level = _range(spread, row.rotation.fit.capacity_l(tank))
        words = tr("{tank} on arrival {level}, risk {risk}")
        lines.append(words.format(tank=tr(TANK_NAME[tank]), level=level, risk=likely(risk)))
    return "\n".join(lines)


def _turn(found: Hit, row: RowContent, now: float | None) -> str:
    if found.turn is None:
        return ""
    turn = found.turn.turn
    start = tr("start of the day") if turn.start is None else hhmm(turn.start)
    end = tr("end of the day") if turn.end is None else hhmm(turn.end)
    minutes = turn.minutes
    long = "" if minutes is None else tr(", {minutes} min on the ground").format(minutes=round(minutes))
    return tr("Turn at {station} {start} – {end}{long}").format(station=turn.station, start=start, end=end, long=long)


def _gutter(found: Hit, row: RowContent, now: float | None) -> str:
    return row_text(row, now)


def row_text(row: RowContent, now: float | None) -> str:
    """An aircraft in a few lines: registration and fit, levels, what is wrong."""
    fit = row.rotation.fit
    lines = [f"{row.registration}, {tr(fit.name or fit.id)}, " + tr("{n} seats").format(n=f"{fit.seats.value:.0f}")]
    if row.rotation.legs:
        for tank in TANKS:
            known = level_text(row.projection.curve(tank), now)
            words = tr("{tank} {level} now") if known.now else tr("{tank} {level} at worst")
            lines.append(words.format(tank=tr(TANK_NAME[tank]), level=known.number))
    lines += [caution.message for caution in row.cautions if caution.severity != "note"]
    return "\n".join(lines)


_SAY: Final[dict[HitKind, Callable[[Hit, RowContent, float | None], str]]] = {
    "service": _service,
    "flag": _flag,
    "leg": _leg,
    "turn": _turn,
    "gutter": _gutter,
}
