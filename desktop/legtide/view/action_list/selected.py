"""Actions of what is selected: a service, turn, leg, aircraft, station, fit."""

from __future__ import annotations

from collections.abc import Iterator

from legtide.language import inside, tr
from legtide.view.action_list.parts import WindowParts
from legtide.view.actions import Action


def service_actions(parts: WindowParts) -> Iterator[Action]:
    do = parts.editing
    states = (
        ("service.done", tr("Done"), "done", "D", "done"),
        ("service.skip", tr("Skip"), "skipped", "K", "skip"),
        ("service.missed", tr("Missed"), "missed", "M", "missed"),
        ("service.planned", tr("Planned"), "planned", "P", "planned"),
    )
    for name, text, state, key, icon in states:
        yield Action(
            name,
            text,
            lambda state=state: do.set_state(state),  # type: ignore[misc]
            (key,),
            icon,
            enabled=do.has_service,
            checked=lambda state=state: do.in_state(state),  # type: ignore[misc]
            tip=tr("Mark the selected service: {state}").format(state=inside(text)),
        )
    yield Action(
        "service.level",
        tr("Level…"),
        do.open_level,
        ("L",),
        "level",
        tr("Change the level after the service"),
        do.has_service,
    )
    yield Action(
        "service.move",
        tr("Move…"),
        do.open_move,
        ("T",),
        "truck",
        tr("Turn, start, truck and remark"),
        do.has_service,
    )
    yield Action(
        "service.pin",
        tr("Pin"),
        do.toggle_pin,
        ("F",),
        "pin",
        tr("Hold the service where it is when a plan is made"),
        do.has_service,
        lambda: do.service is not None and do.service.pinned,
    )
    yield Action(
        "service.delete",
        tr("Delete"),
        do.delete,
        ("Delete",),
        "delete",
        tr("Delete the selected service"),
        do.has_service,
    )


def turn_actions(parts: WindowParts) -> Iterator[Action]:
    do = parts.editing
    water, waste = tr("Add water service"), tr("Add waste service")
    yield Action(
        "turn.add_water", water, lambda: do.add("fresh"), ("W",), "drop", enabled=do.has_turn, short=tr("+ Water")
    )
    yield Action(
        "turn.add_waste", waste, lambda: do.add("waste"), ("B",), "bucket", enabled=do.has_turn, short=tr("+ Waste")
    )
    yield Action(
        "turn.reading",
        tr("Gauge reading…"),
        do.open_reading,
        ("R",),
        "level",
        enabled=do.has_turn,
        short=tr("Reading"),
    )


def leg_and_aircraft_actions(parts: WindowParts) -> Iterator[Action]:
    do = parts.editing
    day = parts.day_parts
    yield Action(
        "leg.edit",
        tr("Leg…"),
        do.open_leg,
        ("E",),
        "leg",
        tr("Aircraft, flight, places, times, heads and stand of the selected leg"),
        do.has_leg,
    )
    yield Action(
        "leg.add",
        tr("Add a leg…"),
        day.add_leg,
        ("Insert",),
        "leg",
        tr("At the end of the selected aircraft's rotation, or in the turn where legs do not chain"),
        day.can_add_leg,
        short=tr("+ Leg"),
    )
    yield Action(
        "leg.return",
        tr("Add the flight back…"),
        day.add_return,
        ("Shift+Insert",),
        tip=tr("A copy of the selected leg the other way, after the usual turn"),
        enabled=do.has_leg,
        short=tr("+ Flight back"),
    )
    yield Action(
        "leg.delete",
        tr("Delete the leg…"),
        day.delete_leg,
        ("Shift+Delete",),
        "delete",
        tr("Says first what becomes of the services and readings around it"),
        do.has_leg,
    )
    yield Action("aircraft.edit", tr("Aircraft…"), do.open_aircraft, ("A",), "aircraft", enabled=do.has_aircraft)
    yield Action(
        "aircraft.add", tr("Add an aircraft…"), day.add_aircraft, ("Ctrl+Insert",), "aircraft", enabled=do.can_edit
    )
    yield Action(
        "aircraft.remove",
        tr("Remove the aircraft…"),
        day.remove_aircraft,
        icon="delete",
        tip=tr("Says first what goes with it: legs, services and readings"),
        enabled=do.has_aircraft,
    )
    yield Action(
        "aircraft.tanks",
        tr("Open the tanks of this aircraft"),
        parts.beside.show_tanks,
        ("Ctrl+D",),
        "level",
        tr("Both tanks large, with the readings and the day factor that they taught"),
        lambda: parts.workspace.selection.aircraft is not None,
        short=tr("Tanks"),
    )


def station_and_fit_actions(parts: WindowParts) -> Iterator[Action]:
    do, day = parts.editing, parts.day_parts
    yield Action(
        "station.edit",
        tr("Station…"),
        day.edit_station,
        ("Ctrl+E",),
        "truck",
        tr("Services and their hours, places, ways and trucks of a station"),
        day.has_station,
    )
    yield Action("station.add", tr("Add a station…"), day.add_station, enabled=do.can_edit)
    yield Action(
        "station.remove",
        tr("Remove a station…"),
        day.remove_station,
        icon="delete",
        tip=tr("Only one that no leg uses"),
        enabled=day.has_station,
    )
    yield Action(
        "fit.edit",
        tr("Fit…"),
        day.edit_fit,
        icon="level",
        tip=tr("Tanks, cabin and gauges of an aircraft type, each figure with its source"),
        enabled=day.has_fit,
    )
    yield Action("fit.add", tr("Add a generic fit…"), day.add_fit, enabled=do.can_edit)
    yield Action(
        "fit.copy", tr("Copy a fit…"), day.copy_fit, icon="copy", tip=tr("Under a new id"), enabled=day.has_fit
    )
    yield Action(
        "fit.remove",
        tr("Remove a fit…"),
        day.remove_fit,
        icon="delete",
        tip=tr("Only one that no aircraft has"),
        enabled=day.has_fit,
    )


def why_actions(parts: WindowParts) -> Iterator[Action]:
    yield Action(
        "view.why",
        tr("Why?"),
        parts.why.selected,
        ("Y",),
        tip=tr("The inputs, the formula and the sources behind the numbers of what is selected"),
        enabled=parts.why.can_answer,
    )
