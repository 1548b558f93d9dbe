"""What the run sheets of a station say: for each truck its stops in order, with reloads and breaks. Pure."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime
from typing import Final

from legtide.brief.content import Origin
from legtide.brief.words import clock
from legtide.day.document import Day, Fit, Tank, Truck
from legtide.day.quoting import printable
from legtide.day.rotations import rotations, stations
from legtide.draw.words import NBSP, litres
from legtide.engine.driving import ELSEWHERE
from legtide.engine.types import to_datetime
from legtide.language import tr
from legtide.plan.station import StationRuns, run_rows

_SHOWN: Final = ("service", "reload", "break")
_RELOAD: Final[dict[Tank, str]] = {"fresh": "Reload water", "waste": "Empty the tank"}


@dataclass(frozen=True, slots=True)
class Stop:
    """One line of a run sheet."""

    kind: str
    """`service`, `reload` or `break`."""
    what: str
    """In words: "to 100 %", "Reload water", "Break"."""
    start: datetime
    end: datetime
    place: str
    """Stand, fill point or dump point."""
    registration: str = ""
    window: tuple[datetime, datetime] | None = None
    litres: str = ""
    remark: str = ""


@dataclass(frozen=True, slots=True)
class RunSheet:
    """One truck's run."""

    day: Day
    station: str
    truck: Truck
    stops: tuple[Stop, ...]
    left_out: tuple[str, ...]
    """Services of this kind at the station that are on no truck's sheet, each with its reason."""
    origin: Origin

    @property
    def summary(self) -> str:
        """Services, litres and reloads in one sentence."""
        served = [row for row in self.stops if row.kind == "service"]
        reloads = sum(row.kind == "reload" for row in self.stops)
        volume = sum(float(row.litres or 0.0) for row in served)
        words = tr("{services} services, {litres} in all, {stops} reloads, tank {capacity}")
        if self.truck.tank == "waste":
            words = tr("{services} services, {litres} in all, {stops} emptyings, tank {capacity}")
        capacity = f"{self.truck.capacity_l:g}{NBSP}L"
        return words.format(services=len(served), litres=litres(volume), stops=reloads, capacity=capacity)

    @property
    def shift(self) -> str:
        """The truck's shift in UTC; empty where none is entered."""
        span = self.truck.shift
        if span is None:
            return ""
        start, end = clock(span.start, self.day.date), clock(span.end, self.day.date)
        return tr("shift {start}–{end}").format(start=start, end=end)


def run_sheets(found: StationRuns, origin: Origin) -> tuple[RunSheet, ...]:
    """A sheet for each truck of a station that has something to do, in the order of the station's trucks."""
    day, code = found.day, found.station
    station = stations(day)[code]
    fits = {name: row.fit for name, row in rotations(day).items()}
    rows: dict[str, list[dict[str, str]]] = {}
    for row in run_rows(found):
        rows.setdefault(row["truck"], []).append(row)
    name = f"{code} {station.name}".strip()
    made = []
    for truck in station.trucks:
        if truck.id in rows:
            stops = tuple(
                _stop(row, truck, fits.get(row["registration"])) for row in rows[truck.id] if row["what"] in _SHOWN
            )
            made.append(RunSheet(day, printable(name), truck, stops, _left_out(found, truck.tank), origin))
    return tuple(made)


def _left_out(found: StationRuns, tank: Tank) -> tuple[str, ...]:
    out = []
    for need, why in found.left_out:
        if need.service.tank == tank:
            window = "–".join(clock(to_datetime(end), found.day.date) for end in need.window)
            out.append(f"{printable(need.rotation.registration)} {window} ({why})")
    return tuple(out)


def _stop(row: dict[str, str], truck: Truck, fit: Fit | None) -> Stop:
    service = row["what"] == "service"
    words = {"reload": tr(_RELOAD[truck.tank]), "break": tr("Break")}
    window = None
    if row["window_start"]:
        window = datetime.fromisoformat(row["window_start"]), datetime.fromisoformat(row["window_end"])
    return Stop(
        kind=row["what"],
        what=tr("to {percent}").format(percent=f"{row['target_percent']}{NBSP}%") if service else words[row["what"]],
        start=datetime.fromisoformat(row["start"]),
        end=datetime.fromisoformat(row["end"]),
        place=tr(ELSEWHERE) if row["to"] == ELSEWHERE else printable(row["to"]),
        registration=printable(row["registration"]),
        window=window,
        litres=row["litres"],
        remark="; ".join(filter(None, (printable(row["remark"]), _limits(truck, fit) if service else ""))),
    )


def _limits(truck: Truck, fit: Fit | None) -> str:
    """What the aircraft's fit asks of the truck: the pressure limit of a fill, the pre-charge after a drain."""
    if fit is None:
        return ""
    if truck.tank == "fresh":
        return tr("at most {pressure}").format(pressure=f"{fit.fill_pressure_limit_bar.value:g}{NBSP}bar")
    return tr("then pre-charge {litres}").format(litres=f"{fit.pre_charge_l.value:g}{NBSP}L")
