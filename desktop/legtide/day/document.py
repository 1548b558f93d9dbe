"""The day file as frozen data: one pydantic model, strict, tuples all through, hashable.

Everything a day file holds is here; what follows from it (rotations, turns, times in force) is in `rotations.py`,
changes are pure functions in `edits.py`, and what the fields cannot say alone is in `checks.py`.

Times are aware datetimes in UTC. Levels are litres unless the name says percent. Figures carry their source.
"""

from __future__ import annotations

from datetime import UTC, date, datetime
from functools import partial
from typing import Annotated, Any, Final, Literal
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from pydantic import (
    AfterValidator,
    AwareDatetime,
    BaseModel,
    ConfigDict,
    Field,
    PlainSerializer,
    ValidationInfo,
    field_validator,
    model_validator,
)
from pydantic_core import PydanticCustomError

from legtide.day.assumptions import CATALOGUE, Status
from legtide.language import tr

FORMAT: Final = "legtide-day"
VERSION: Final = 1

Tank = Literal["fresh", "waste"]
ServiceState = Literal["planned", "done", "skipped", "missed"]
CabinService = Literal["average", "none", "drinks", "meal"]
TANKS: Final[tuple[Tank, Tank]] = ("fresh", "waste")


def _plain_text(value: str) -> str:
    if any(ord(c) < 32 or 0x7F <= ord(c) < 0xA0 or ord(c) in (0x2028, 0x2029) for c in value):
        raise PydanticCustomError("control_characters", tr("must not hold control characters"))
    return value


def _utc(value: datetime) -> datetime:
    if not 1970 <= value.year <= 2199:
        raise PydanticCustomError("year_out_of_range", tr("must lie in the years 1970 to 2199"))
    return value.astimezone(UTC)


def _utc_text(value: datetime) -> str:
    return value.isoformat().replace("+00:00", "Z")


def _zone(value: str) -> str:
    # A zone name becomes a path inside the time-zone data: only plain names get that far.
    if value.startswith("/") or ".." in value or "\\" in value:
        raise PydanticCustomError("unknown_zone", tr("is not a known time zone"))
    try:
        ZoneInfo(value)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise PydanticCustomError("unknown_zone", tr("is not a known time zone")) from None
    return value


Text = Annotated[str, Field(max_length=400), AfterValidator(_plain_text)]
Key = Annotated[str, Field(min_length=1, max_length=64), AfterValidator(_plain_text)]
"""An identifier that other parts of the file refer to."""
Utc = Annotated[AwareDatetime, AfterValidator(_utc), PlainSerializer(_utc_text, return_type=str, when_used="json")]
ZoneName = Annotated[str, Field(min_length=1, max_length=64), AfterValidator(_zone)]
Percent = Annotated[float, Field(ge=0.0, le=100.0)]
Heads = Annotated[int, Field(ge=0, le=2000)]
Minutes = Annotated[float, Field(ge=0.0, le=2880.0)]
Litres = Annotated[float, Field(ge=0.0, le=1e5)]


class Frozen(BaseModel):
    """Base of every part: strict, closed, finite, immutable."""

    model_config = ConfigDict(strict=True, extra="forbid", frozen=True, allow_inf_nan=False, populate_by_name=True)


def _number(value: float) -> float | int:
    return int(value) if value == int(value) and abs(value) < 1e15 else value


Number = Annotated[float, PlainSerializer(_number, return_type=float, when_used="json")]


class Figure(Frozen):
    """One figure of the model with where it comes from."""

    value: Number
    source: Text = ""
    status: Status = "entered"


def known_figure(name: str) -> Figure:
    """The catalogue's default for `group.field` as a figure. Raises KeyError for an unknown name."""
    known = CATALOGUE[name]
    return Figure(value=known.default, source=known.source, status=known.status)


def default_figure(name: str) -> Any:
    """A pydantic field whose default is the catalogue's figure."""
    return Field(default_factory=partial(known_figure, name))


class _Figures(Frozen):
    """A group of figures: every field that is a `Figure` is held within the sense of the catalogue."""

    @field_validator("*")
    @classmethod
    def _within_sense(cls, value: Any, info: ValidationInfo) -> Any:
        known = CATALOGUE.get(f"{cls.__name__.lower()}.{info.field_name}")
        if known is not None and isinstance(value, Figure) and not known.least <= value.value <= known.most:
            raise PydanticCustomError(
                "figure_out_of_range",
                "value {value} is outside {least} to {most} {unit}",
                {"value": value.value, "least": known.least, "most": known.most, "unit": known.unit},
            )
        return value


class Usage(_Figures):
    """Rates of use and their spread."""

    visits_per_person_h: Figure = default_figure("usage.visits_per_person_h")
    rinse_l: Figure = default_figure("usage.rinse_l")
    hand_wash_mean_l: Figure = default_figure("usage.hand_wash_mean_l")
    hand_wash_shape: Figure = default_figure("usage.hand_wash_shape")
    galley_l_per_person_h: Figure = default_figure("usage.galley_l_per_person_h")
    body_waste_mean_l: Figure = default_figure("usage.body_waste_mean_l")
    body_waste_shape: Figure = default_figure("usage.body_waste_shape")
    day_factor_cv: Figure = default_figure("usage.day_factor_cv")
    leg_factor_shape: Figure = default_figure("usage.leg_factor_shape")
    quiet_start_share: Figure = default_figure("usage.quiet_start_share")
    quiet_end_share: Figure = default_figure("usage.quiet_end_share")
    hot_drink_l: Figure = default_figure("usage.hot_drink_l")
    hot_drink_share: Figure = default_figure("usage.hot_drink_share")
    lavatory_occupancy_s: Figure = default_figure("usage.lavatory_occupancy_s")


class Policy(_Figures):
    """Limits, margins and prices: the operator's figures."""

    risk_limit: Figure = default_figure("policy.risk_limit")
    fresh_reserve_percent: Figure = default_figure("policy.fresh_reserve_percent")
    waste_limit_percent: Figure = default_figure("policy.waste_limit_percent")
    service_happens_probability: Figure = default_figure("policy.service_happens_probability")
    margin_after_on_blocks_min: Figure = default_figure("policy.margin_after_on_blocks_min")
    margin_before_off_blocks_min: Figure = default_figure("policy.margin_before_off_blocks_min")
    shortest_turn_min: Figure = default_figure("policy.shortest_turn_min")
    call_lead_min: Figure = default_figure("policy.call_lead_min")
    price_fresh_service: Figure = default_figure("policy.price_fresh_service")
    price_waste_service: Figure = default_figure("policy.price_waste_service")
    price_breach: Figure = default_figure("policy.price_breach")
    price_fuel_per_kg: Figure = default_figure("policy.price_fuel_per_kg")
    price_delay_per_min: Figure = default_figure("policy.price_delay_per_min")
    price_truck_per_min: Figure = default_figure("policy.price_truck_per_min")
    fuel_percent_per_h: Figure = default_figure("policy.fuel_percent_per_h")
    freeze_mild_c: Figure = default_figure("policy.freeze_mild_c")
    freeze_mild_h: Figure = default_figure("policy.freeze_mild_h")
    freeze_hard_c: Figure = default_figure("policy.freeze_hard_c")
    freeze_hard_h: Figure = default_figure("policy.freeze_hard_h")
    tarmac_water_by_h: Figure = default_figure("policy.tarmac_water_by_h")
    bottled_l_per_person_h: Figure = default_figure("policy.bottled_l_per_person_h")


class Gauge(Frozen):
    """How a tank's level is shown aboard."""

    shows: Literal["percent", "eighths", "litres"] = "percent"
    step_percent: Annotated[float, Field(gt=0.0, le=50.0)] = 10.0
    """Distance between two steps of the gauge, in percent of capacity."""
    rounds: Literal["nearest", "down"] = "nearest"
    error_percent: Annotated[float, Field(ge=0.0, le=25.0)] = 1.0
    """Standard deviation of the sensor before it is rounded to a step, in percent of capacity."""
    source: Text = "Recalled: steps differ by type"
    status: Status = "memory"


class Fit(_Figures):
    """An aircraft type's tanks, gauges, lavatories and seats."""

    id: Key
    name: Text = ""
    seats: Figure = default_figure("fit.seats")
    crew: Figure = default_figure("fit.crew")
    lavatories: Figure = default_figure("fit.lavatories")
    fresh_capacity_l: Figure = default_figure("fit.fresh_capacity_l")
    waste_capacity_l: Figure = default_figure("fit.waste_capacity_l")
    pre_charge_l: Figure = default_figure("fit.pre_charge_l")
    fresh_gauge: Gauge = Gauge()
    waste_gauge: Gauge = Gauge()
    fill_flow_l_per_min: Figure = default_figure("fit.fill_flow_l_per_min")
    drain_min: Figure = default_figure("fit.drain_min")
    connect_min: Figure = default_figure("fit.connect_min")
    fill_pressure_limit_bar: Figure = default_figure("fit.fill_pressure_limit_bar")

    def capacity_l(self, tank: Tank) -> float:
        """Capacity of a tank in litres."""
        return self.fresh_capacity_l.value if tank == "fresh" else self.waste_capacity_l.value

    def gauge(self, tank: Tank) -> Gauge:
        """The gauge of a tank."""
        return self.fresh_gauge if tank == "fresh" else self.waste_gauge

    @model_validator(mode="after")
    def _pre_charge_fits(self) -> Fit:
        if self.pre_charge_l.value >= self.waste_capacity_l.value:
            raise PydanticCustomError("pre_charge", tr("the pre-charge does not leave room in the waste tank"))
        return self


class Span(Frozen):
    """A stretch of time."""

    start: Utc
    end: Utc

    @model_validator(mode="after")
    def _in_order(self) -> Span:
        if self.end <= self.start:
            raise PydanticCustomError("span_order", tr("ends before it starts"))
        return self


class Offer(Frozen):
    """A service that a station offers, with its hours (none: round the clock) and price (none: the policy's)."""

    tank: Tank
    hours: Annotated[tuple[Span, ...], Field(max_length=50)] = ()
    price: Annotated[float, Field(ge=0.0, le=1e6)] | None = None


class Place(Frozen):
    """A place on the station that trucks drive to: a stand, a fill point, a dump point or a base."""

    id: Key
    kind: Literal["stand", "fill_point", "dump_point", "base"] = "stand"
    handling_min: Minutes = 0.0
    """Fixed time at a fill or dump point, besides the flow."""
    flow_l_per_min: Annotated[float, Field(gt=0.0, le=1e4)] = 200.0
    """Flow at a fill or dump point."""


class Travel(Frozen):
    """Driving time between two places, both ways."""

    between: tuple[Key, Key]
    minutes: Minutes


class Truck(Frozen):
    """A water or toilet truck. A truck that handles waste never handles water."""

    id: Key
    tank: Tank
    capacity_l: Annotated[float, Field(gt=0.0, le=1e5)] = 1800.0
    flow_l_per_min: Annotated[float, Field(gt=0.0, le=1e4)] | None = None
    """Flow of the truck's own pump; the slower of this and the fit's flow counts."""
    setup_min: Minutes = 0.0
    shift: Span | None = None
    breaks: Annotated[tuple[Span, ...], Field(max_length=20)] = ()
    start_place: Key | None = None
    aboard_l: Litres | None = None
    """Litres aboard at the start (none: a water truck is full, a toilet truck is empty)."""


class Station(Frozen):
    """A station with what it can do."""

    code: Key
    name: Text = ""
    time_zone: ZoneName = "UTC"
    offers: Annotated[tuple[Offer, ...], Field(max_length=10)] = (Offer(tank="fresh"), Offer(tank="waste"))
    approved_water: bool = True
    outside_air_c: Annotated[float, Field(ge=-80.0, le=60.0)] | None = None
    water_c: Annotated[float, Field(ge=0.0, le=60.0)] = 15.0
    """Temperature of the water filled here, for its density."""
    places: Annotated[tuple[Place, ...], Field(max_length=500)] = ()
    travel: Annotated[tuple[Travel, ...], Field(max_length=20_000)] = ()
    default_travel_min: Minutes = 4.0
    trucks: Annotated[tuple[Truck, ...], Field(max_length=200)] = ()
    remark: Text = ""


class Inoperative(Frozen):
    """A deferred item that matters to water and waste."""

    item: Literal["lavatory", "fresh_gauge", "waste_gauge", "galley_water"]
    count: Annotated[int, Field(ge=1, le=60)] = 1
    category: Literal["B", "C", "D"] | None = None
    since: date | None = None
    remark: Text = ""


class Aircraft(Frozen):
    """One aircraft and how it starts the day."""

    registration: Key
    fit: Key
    fresh_percent: Percent = 100.0
    waste_percent: Percent | None = None
    """Level at the start of the day; none means just drained (the pre-charge alone)."""
    start_is: Literal["level", "reading"] = "level"
    """Whether the start percentages are true levels or readings in the gauge's steps."""
    start_stand: Key | None = None
    inoperative: Annotated[tuple[Inoperative, ...], Field(max_length=20)] = ()
    remark: Text = ""


class Leg(Frozen):
    """One flight, off blocks to on blocks."""

    id: Key
    aircraft: Key
    flight: Key
    origin: Key = Field(alias="from")
    destination: Key = Field(alias="to")
    std: Utc
    sta: Utc
    etd: Utc | None = None
    eta: Utc | None = None
    atd: Utc | None = None
    ata: Utc | None = None
    passengers: Heads
    crew: Heads
    cabin_service: CabinService = "average"
    stand: Key | None = None
    """Stand at the destination, where the next turn's services take place."""
    remark: Text = ""


class Service(Frozen):
    """A fill or a drain at a turn. `turn` is the number of legs already flown (0 = before the first leg)."""

    id: Text = ""
    """Name of the service inside the file; an empty one is given a name on load."""
    aircraft: Key
    turn: Annotated[int, Field(ge=0, le=10_000)]
    tank: Tank
    target_percent: Percent | None = None
    """Level to fill up to or to drain down to; none means a whole service (100 % fresh, 0 % waste)."""
    start: Utc | None = None
    """When it starts; none means as early in the turn as the policy allows."""
    state: ServiceState = "planned"
    truck: Key | None = None
    pinned: bool = False
    asked_start: Utc | None = None
    """The start for which somebody has asked the handler; none means that nobody has called yet."""
    remark: Text = ""

    @property
    def target(self) -> float:
        """Level after the service in percent of capacity (before the pre-charge is added to a drained tank)."""
        if self.target_percent is not None:
            return self.target_percent
        return 0.0 if self.tank == "waste" else 100.0


class Reading(Frozen):
    """A level read from the aircraft's gauge."""

    aircraft: Key
    turn: Annotated[int, Field(ge=0, le=10_000)]
    tank: Tank
    percent: Percent
    time: Utc | None = None
    """When it was read; none means on arrival, before any service of the turn."""


class GroundTime(Frozen):
    """A stretch of a turn that matters to the tanks: people waiting aboard, or parked without heat."""

    aircraft: Key
    turn: Annotated[int, Field(ge=0, le=10_000)]
    kind: Literal["people_aboard", "unheated"]
    start: Utc
    end: Utc
    persons: Heads | None = None
    """People aboard while waiting; none means those of the next leg."""

    @model_validator(mode="after")
    def _in_order(self) -> GroundTime:
        if self.end <= self.start:
            raise PydanticCustomError("span_order", tr("ends before it starts"))
        return self


class Day(Frozen):
    """One day of one carrier: what the window shows and the commands work on."""

    format: Literal["legtide-day"] = FORMAT
    version: Literal[1] = VERSION
    checksum: Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")] | None = None
    """SHA-256 of the content; written on save, taken off on load."""
    title: Text = ""
    date: date
    policy: Policy = Policy()
    usage: Usage = Usage()
    fits: Annotated[tuple[Fit, ...], Field(max_length=500)] = ()
    stations: Annotated[tuple[Station, ...], Field(max_length=5_000)] = ()
    aircraft: Annotated[tuple[Aircraft, ...], Field(max_length=20_000)] = ()
    legs: Annotated[tuple[Leg, ...], Field(max_length=200_000)] = ()
    services: Annotated[tuple[Service, ...], Field(max_length=400_000)] = ()
    readings: Annotated[tuple[Reading, ...], Field(max_length=400_000)] = ()
    ground: Annotated[tuple[GroundTime, ...], Field(max_length=100_000)] = ()
