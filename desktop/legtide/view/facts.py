"""The facts of what is selected: title, place, and lines of name and value, for the card and for screen readers."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final, Literal

from legtide.day.document import Aircraft, Leg, Service, Tank
from legtide.day.gauges import gauge_text
from legtide.day.rotations import Rotation, Turn, off_blocks, on_blocks
from legtide.day.windows import latest_start
from legtide.draw.words import TANK_NAME, hhmm, likely, service_title
from legtide.engine.types import AircraftProjection, LegResult, ServiceResult, Spread
from legtide.language import inside, tr
from legtide.view.preferences import Preferences
from legtide.view.units import volume_text
from legtide.workspace.workspace import Workspace

ITEMS: Final[dict[str, str]] = {
    "lavatory": "lavatory",
    "fresh_gauge": "fresh gauge",
    "waste_gauge": "waste gauge",
    "galley_water": "galley water",
}
Kind = Literal["service", "turn", "leg", "aircraft"]


@dataclass(frozen=True, slots=True)
class Facts:
    """What the card shows."""

    kind: Kind
    title: str
    where: str
    lines: tuple[tuple[str, str], ...]


def facts_of(workspace: Workspace, preferences: Preferences) -> Facts | None:
    """The facts of the selection; none when nothing is selected, or its aircraft is not projected."""
    chosen = workspace.selection
    one = workspace.projection.aircraft.get(chosen.aircraft or "")
    if one is None:
        return None
    if chosen.service is not None:
        result = next((row for row in one.services if row.service.id == chosen.service), None)
        return None if result is None else _service(workspace, one, result, preferences)
    if chosen.leg is not None:
        for leg, projected in zip(one.rotation.legs, one.legs, strict=False):
            if leg.id == chosen.leg:
                return _leg(one, leg, projected, preferences)
    if chosen.turn is not None and chosen.turn < len(one.rotation.turns):
        return _turn(workspace, one, one.rotation.turns[chosen.turn], preferences)
    return _aircraft(workspace, one, one.rotation.aircraft, preferences)


def turn_text(turn: Turn) -> str:
    """Such as "HOLN 13:40-14:40"."""
    start = tr("start") if turn.start is None else hhmm(turn.start)
    end = tr("end") if turn.end is None else hhmm(turn.end)
    return f"{turn.station} {start}–{end}"


def _level(spread: Spread, tank: Tank, one: AircraftProjection, preferences: Preferences) -> str:
    capacity = one.curve(tank).capacity_l
    low, mid, high = (
        volume_text(value, preferences.unit, capacity) for value in (spread.p05, spread.p50, spread.p95)
    )
    return f"{mid}  ({low.split(chr(0xA0))[0]}–{high})"


def _service(workspace: Workspace, one: AircraftProjection, result: ServiceResult, preferences: Preferences) -> Facts:
    row, rotation = result.service, one.rotation
    turn = rotation.turns[row.turn] if row.turn < len(rotation.turns) else None
    lines = [(tr("State"), tr(row.state) + (tr(", pinned") if row.pinned else ""))]
    lines.append((tr("Before"), _level(result.before, row.tank, one, preferences)))
    lines.append((tr("After"), _level(result.after, row.tank, one, preferences)))
    moved = tr("Fills") if row.tank == "fresh" else tr("Drains")
    lines.append((moved, _volume(result.volume, preferences)))
    if turn is not None:
        lines += _service_times(workspace, rotation, turn, row, result)
    lines.append((tr("Truck"), row.truck or tr("none assigned")))
    where = f"{rotation.registration} · {turn_text(turn)}" if turn is not None else rotation.registration
    return Facts("service", service_title(row, result.start), where, tuple(lines))


def _volume(spread: Spread, preferences: Preferences) -> str:
    low, mid, high = (volume_text(value, preferences.unit) for value in (spread.p05, spread.p50, spread.p95))
    return f"{mid}  ({low.split(chr(0xA0))[0]}–{high})"


def _service_times(
    workspace: Workspace, rotation: Rotation, turn: Turn, row: Service, result: ServiceResult
) -> list[tuple[str, str]]:
    lines = []
    if result.start is not None and result.end is not None:
        lines.append((tr("Worked"), f"{hhmm(result.start)}–{hhmm(result.end)} UTC"))
    place = next((station for station in workspace.day.stations if station.code == turn.station), None)
    latest = latest_start(rotation, turn, place, row, workspace.day.policy)
    lines.append((tr("Latest start"), tr("does not fit this turn") if latest is None else f"{hhmm(latest)} UTC"))
    return lines


def _turn(workspace: Workspace, one: AircraftProjection, turn: Turn, preferences: Preferences) -> Facts:
    rotation = one.rotation
    lines = []
    if turn.minutes is not None:
        lines.append((tr("Length"), f"{turn.minutes:.0f} min"))
    if turn.number > 0:
        arrived = one.legs[turn.number - 1]
        lines.append((tr("Fresh water"), _level(arrived.fresh_arrival, "fresh", one, preferences)))
        lines.append((tr("Waste"), _level(arrived.waste_arrival, "waste", one, preferences)))
    planned = [row for row in rotation.services if row.turn == turn.number]
    words = ", ".join(f"{inside(tr(TANK_NAME[row.tank]))} ({tr(row.state)})" for row in planned)
    lines.append((tr("Services"), words or tr("none")))
    lines.append((tr("Stand"), turn.stand or tr("not known")))
    lines.extend(_triggers(workspace, one, turn))
    return Facts(
        "turn",
        tr("Turn at {station}").format(station=turn.station),
        f"{rotation.registration} · {turn_text(turn)}",
        tuple(lines),
    )


def _triggers(workspace: Workspace, one: AircraftProjection, turn: Turn) -> list[tuple[str, str]]:
    """What each gauge has to show for the aircraft to go on without a service here."""
    from legtide.plan.triggers import rotation_triggers

    words = {"always": tr("any reading"), "never": tr("no reading"), "no_gauge": tr("gauge inoperative")}
    out = []
    for row in rotation_triggers(workspace.shown, one.rotation):
        if row.turn != turn.number:
            continue
        name = tr("Skip water at") if row.tank == "fresh" else tr("Skip waste at")
        if row.trigger_percent is None or row.answer != "by_reading":
            out.append((name, words[row.answer]))
            continue
        fit = one.rotation.fit
        shown = gauge_text(fit.gauge(row.tank), row.trigger_percent, fit.capacity_l(row.tank))
        side = tr("{reading} or more") if row.tank == "fresh" else tr("{reading} or less")
        out.append((name, side.format(reading=shown)))
    return out


def _leg(one: AircraftProjection, leg: Leg, result: LegResult, preferences: Preferences) -> Facts:
    delay = round((off_blocks(leg) - leg.std).total_seconds() / 60.0)
    late = f" ({delay:+d} min)" if delay else ""
    heads = tr("{pax} passengers, {crew} crew").format(pax=leg.passengers, crew=leg.crew)
    lines = (
        (tr("Off blocks"), f"{hhmm(off_blocks(leg))} UTC{late}"),
        (tr("On blocks"), f"{hhmm(on_blocks(leg))} UTC"),
        (tr("Aboard"), heads),
        (tr("Water at departure"), _level(result.fresh_departure, "fresh", one, preferences)),
        (tr("Water mass"), f"{result.water_mass_kg:.0f} kg"),
        (tr("Water on arrival"), _level(result.fresh_arrival, "fresh", one, preferences)),
        (tr("Waste on arrival"), _level(result.waste_arrival, "waste", one, preferences)),
        (tr("Below reserve"), likely(result.risk_fresh_below_reserve)),
        (tr("Above waste limit"), likely(result.risk_waste_over_limit)),
    )
    return Facts("leg", leg.flight, f"{leg.aircraft} · {leg.origin} – {leg.destination}", lines)


def _aircraft(workspace: Workspace, one: AircraftProjection, aircraft: Aircraft, preferences: Preferences) -> Facts:
    fit = one.rotation.fit
    unit = preferences.unit
    fresh = volume_text(aircraft.fresh_percent * fit.fresh_capacity_l.value / 100.0, unit, fit.fresh_capacity_l.value)
    if aircraft.waste_percent is None:
        waste = tr("just drained")
    else:
        litres = aircraft.waste_percent * fit.waste_capacity_l.value / 100.0
        waste = volume_text(litres, unit, fit.waste_capacity_l.value)
    items = ", ".join(f"{tr(ITEMS[row.item])} ×{row.count}" for row in aircraft.inoperative)
    open_ones = [row for row in workspace.projection.warnings if row.aircraft == aircraft.registration]
    lines = (
        (tr("Fit"), tr(fit.name or fit.id)),
        (tr("Legs"), str(len(one.rotation.legs))),
        (tr("Starts with"), tr("{fresh} water; waste {waste}").format(fresh=fresh, waste=waste)),
        (tr("Inoperative"), items or tr("nothing")),
        (tr("Warnings"), str(sum(row.severity != "note" for row in open_ones))),
    )
    return Facts("aircraft", aircraft.registration, aircraft.remark, lines)
