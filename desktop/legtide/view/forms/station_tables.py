"""The tables of a station's form: its places, the minutes between them, and its trucks."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from datetime import date
from typing import Any, Final

from legtide.day.document import Place, Station, Truck
from legtide.day.quoting import quoted
from legtide.language import tr
from legtide.view.amounts import flow_reader, minutes_reader, minutes_typed, volume_reader
from legtide.view.cells import CellsModel, Column, filled, worded
from legtide.view.forms.weighing import sentence
from legtide.view.readers import key_reader
from legtide.view.spans import span_reader, spans_reader, spans_typed
from legtide.view.travel_cells import TravelCells
from legtide.view.units import Unit, flow_typed, volume_typed

KINDS: Final = {"stand": "stand", "fill_point": "fill point", "dump_point": "dump point", "base": "base"}
CARRIES: Final = {"fresh": "fresh water", "waste": "waste"}
MOST_BREAKS: Final = 20


def places_cells(station: Station | None, unit: Unit) -> CellsModel:
    """Stands, fill points, dump points and bases."""
    columns = (
        Column("id", tr("Name"), key_reader(tr("name")), width=120),
        Column(
            "kind",
            tr("Kind"),
            choices=worded(KINDS),
            fresh="stand",
            width=130,
        ),
        Column(
            "handling_min",
            tr("Handling"),
            minutes_reader(),
            typed=minutes_typed,
            fresh="0 min",
            width=110,
            tip=tr("Fixed time at a fill or dump point, besides the flow"),
        ),
        Column(
            "flow_l_per_min",
            tr("Flow"),
            flow_reader(unit),
            typed=lambda value: flow_typed(value, unit),
            fresh=flow_typed(200.0, unit),
            width=130,
            tip=tr("Flow at a fill or dump point"),
        ),
    )
    rows = station.places if station is not None else ()
    return CellsModel(columns, filled(columns, rows), key="id")


def travel_cells(station: Station | None, usual: Callable[[], str]) -> TravelCells:
    """Minutes between the places."""
    places = [row.id for row in station.places] if station is not None else []
    travel = station.travel if station is not None else ()
    return TravelCells(places, travel, minutes_reader(), usual)


def trucks_cells(
    station: Station | None,
    unit: Unit,
    day: date,
    zone: Callable[[], str],
    places: Callable[[], list[str]],
    code: Callable[[], str],
) -> CellsModel:
    """Water and toilet trucks. `places` gives the places as they are now."""

    def starts() -> Mapping[Any, str]:
        return {None: tr("the first base")} | {name: name for name in places()}

    def missing(name: Any) -> str:
        return sentence(tr("{name} is not a place of {station}").format(name=quoted(name), station=quoted(code())))

    litres = lambda value: volume_typed(value, unit)  # noqa: E731
    columns = (
        Column("id", tr("Name"), key_reader(tr("name")), width=84),
        Column(
            "tank",
            tr("Carries"),
            choices=worded(CARRIES),
            fresh="fresh",
            width=104,
        ),
        Column(
            "capacity_l", tr("Capacity"), volume_reader(unit, 0.1, 1e5), typed=litres, fresh=litres(1800.0), width=92
        ),
        Column(
            "flow_l_per_min",
            tr("Pump"),
            flow_reader(unit, empty=tr("as the fit")),
            typed=lambda value: flow_typed(value, unit),
            width=96,
            tip=tr("Flow of the truck's own pump; the slower of this and the fit's flow counts"),
        ),
        Column("setup_min", tr("Set-up"), minutes_reader(), typed=minutes_typed, fresh="0 min", width=70),
        Column(
            "shift",
            tr("Shift (UTC)"),
            span_reader(day, zone, empty=tr("all day")),
            typed=lambda value: spans_typed((value,), day, zone()),
            width=112,
        ),
        Column(
            "breaks",
            tr("Crew breaks (UTC)"),
            spans_reader(day, zone, most=MOST_BREAKS, empty=tr("none")),
            typed=lambda value: spans_typed(value, day, zone()),
            width=150,
        ),
        Column("start_place", tr("Starts at"), choices=starts, fresh=None, width=104, missing=missing),
        Column(
            "aboard_l",
            tr("Aboard at the start"),
            volume_reader(unit, 0.0, 1e5, empty=tr("usual")),
            typed=litres,
            width=124,
            tip=tr("Nothing entered: a water truck is full, a toilet truck is empty"),
        ),
    )
    rows = station.trucks if station is not None else ()
    return CellsModel(columns, filled(columns, rows), key="id", between=_aboard_fits)


def _aboard_fits(values: Mapping[str, Any]) -> tuple[str, str] | None:
    """A truck holds no more than its capacity."""
    aboard, capacity = values["aboard_l"], values["capacity_l"]
    if isinstance(aboard, float) and isinstance(capacity, float) and aboard > capacity:
        return "aboard_l", tr("More than the truck holds.")
    return None


def renames(rows: list[tuple[Any, dict[str, Any]]]) -> dict[str, str]:
    """Old id -> new id of the rows that were renamed."""
    return {origin.id: values["id"] for origin, values in rows if origin is not None and origin.id != values["id"]}


def made_of(kind: type[Place] | type[Truck], rows: list[tuple[Any, dict[str, Any]]]) -> tuple[Any, ...]:
    """The rows as parts of a station; one that nobody changed is the same object."""
    out = []
    for origin, values in rows:
        same = origin is not None and all(getattr(origin, name) == value for name, value in values.items())
        out.append(origin if same else kind(**values))
    return tuple(out)
