"""Explains risks, levels, water mass and uplifts: the numbers of the projection."""

from __future__ import annotations

from typing import Final

from legtide.day.document import Day, Tank
from legtide.day.rotations import Rotation, block_hours, on_blocks, stations
from legtide.engine.mass import water_density_kg_per_l
from legtide.engine.types import AircraftProjection, LegResult, ServiceResult, Spread
from legtide.engine.warnings import leg_risk, percent_text
from legtide.language import tr
from legtide.plan.explain.figures import fit_inputs, gauge_inputs, limit_inputs, use_inputs
from legtide.plan.explain.records import Explanation, Input, Part
from legtide.plan.explain.segments import Segment, segment

_SAME: Final = 2e-4
"""The closed form stands for the shown number where the two differ by no more than this."""
_NAMES: dict[Tank, str] = {"fresh": "fresh water", "waste": "waste"}


def explain_risk(day: Day, found: AircraftProjection, leg: int, tank: Tank) -> Explanation:
    """The probability of a breach of one tank by the end of a leg."""
    rotation, result = found.rotation, found.legs[leg]
    at, risk = segment(day, rotation, leg, tank), leg_risk(result, tank)
    closed = not _learned(found, leg) and abs(at.risk - risk) <= _SAME
    side = tr("below its reserve") if tank == "fresh" else tr("above its usable limit")
    return Explanation(
        what=f"risk:{rotation.registration}:{rotation.legs[leg].id}:{tank}",
        title=tr("{leg}: {chance} likely that {tank} is {side} by its end").format(
            leg=_leg_name(rotation, leg), chance=percent_text(risk), tank=tr(_NAMES[tank]), side=side
        ),
        value=risk,
        unit="probability",
        words=_risk_words(tank, closed),
        formula=_risk_formula(closed),
        parts=(
            *_parts(at, closed),
            *_learned_parts(found, leg),
            Part(tr("Risk of a breach"), "P", risk, "probability"),
        ),
        inputs=tuple(_inputs(day, found, at, leg, tank)),
        notes=_notes(found, at, leg, tank),
    )


def explain_level(day: Day, found: AircraftProjection, leg: int, tank: Tank) -> Explanation:
    """The level of one tank at the end of a leg."""
    rotation, result = found.rotation, found.legs[leg]
    at, spread = segment(day, rotation, leg, tank), arrival(result, tank)
    closed = not _learned(found, leg) and abs(at.risk - leg_risk(result, tank)) <= _SAME
    sum_of = (
        tr("level after the last fill less the use")
        if tank == "fresh"
        else tr("level after the last drain plus inflow")
    )
    return Explanation(
        what=f"level:{rotation.registration}:{rotation.legs[leg].id}:{tank}",
        title=tr("{leg}: {tank} {mean:.0f} L on arrival (5-95 %: {low:.0f}-{high:.0f} L)").format(
            leg=_leg_name(rotation, leg), tank=tr(_NAMES[tank]), mean=spread.mean, low=spread.p05, high=spread.p95
        ),
        value=spread.mean,
        unit="L",
        words=tr(
            "The {sum} since, kept between empty and full: a random sum over lavatory visits and galley water"
        ).format(sum=sum_of),
        formula=tr("L = min(max(room - U, 0), capacity)")
        if tank == "fresh"
        else tr("L = capacity - max(room - U, 0)"),
        parts=(*_parts(at, closed), *_learned_parts(found, leg), *_spread_parts(spread)),
        inputs=tuple(_inputs(day, found, at, leg, tank)),
        notes=_notes(found, at, leg, tank),
    )


def explain_mass(day: Day, found: AircraftProjection, leg: int) -> Explanation:
    """The water mass of a departure, for the load sheet."""
    rotation, result = found.rotation, found.legs[leg]
    filled = [
        row.service.turn
        for row in found.services
        if row.service.tank == "fresh" and row.service.turn <= leg and row.volume.p95 > 0.0
    ]
    turn = max(filled, default=0)
    station = stations(day).get(rotation.turns[turn].station)
    water_c = station.water_c if station is not None else 15.0
    density = water_density_kg_per_l(water_c)
    level = result.water_mass_kg / density
    return Explanation(
        what=f"mass:{rotation.registration}:{rotation.legs[leg].id}",
        title=tr("{leg}: {mass:.0f} kg of water at departure").format(
            leg=_leg_name(rotation, leg), mass=result.water_mass_kg
        ),
        value=result.water_mass_kg,
        unit="kg",
        words=tr("Mean level at departure times the density of the water filled last"),
        formula="m = rho(T) L",
        parts=(
            Part(tr("Mean level at departure"), "L", level, "L"),
            Part(tr("Density of the water"), "rho", density, "kg/L"),
            Part(tr("Mass"), "m", result.water_mass_kg, "kg"),
        ),
        inputs=(
            Input(tr("Water temperature at {station}").format(station=rotation.turns[turn].station), water_c, "°C"),
            Input(
                tr("Density of water by temperature"),
                tr("table"),
                "",
                tr("Handbook table; agrees with IAPWS-95 to 0.01"),
                "seen",
            ),
        ),
        notes=(
            tr("Potable water and pre-charge are not in the certified empty weight (14 CFR 25.29; seen)"),
            tr("The operator's load-sheet procedure decides which figure is entered"),
        ),
    )


def explain_uplift(day: Day, found: AircraftProjection, row: ServiceResult) -> Explanation:
    """The litres that a service moves."""
    service, fit = row.service, found.rotation.fit
    word = tr("filled") if service.tank == "fresh" else tr("drained")
    capacity = "fresh_capacity_l" if service.tank == "fresh" else "waste_capacity_l"
    pre_charge = fit_inputs(fit, "pre_charge_l") if service.tank == "waste" else []
    return Explanation(
        what=f"uplift:{service.id}",
        title=tr("{aircraft} at {station}: {mean:.0f} L {what} (5-95 %: {low:.0f}-{high:.0f} L)").format(
            aircraft=found.rotation.registration,
            station=row.station,
            mean=row.volume.mean,
            what=word,
            low=row.volume.p05,
            high=row.volume.p95,
        ),
        value=row.volume.mean,
        unit="L",
        words=(
            tr("Target level less the level found, never below nothing")
            if service.tank == "fresh"
            else tr("What is in the tank when the drain begins (down to the target of a part drain)")
        ),
        formula=tr("V = max(target - L, 0)") if service.tank == "fresh" else "V = L",
        parts=(
            Part(tr("Mean level before"), "L", row.before.mean, "L"),
            Part(tr("Mean level after"), "L'", row.after.mean, "L"),
            *_spread_parts(row.volume, "V"),
        ),
        inputs=(
            Input(tr("Target"), service.target, "% of capacity"),
            Input(tr("State of the service"), tr(service.state)),
            *fit_inputs(fit, capacity),
            *pre_charge,
        ),
    )


def arrival(result: LegResult, tank: Tank) -> Spread:
    """A tank's level at the end of a leg."""
    return result.fresh_arrival if tank == "fresh" else result.waste_arrival


# pieces ---------------------------------------------------------------------------------------------------


def _leg_name(rotation: Rotation, leg: int) -> str:
    row = rotation.legs[leg]
    return f"{row.flight} {row.origin}-{row.destination} {on_blocks(row):%H:%M}"


def _learned(found: AircraftProjection, leg: int) -> bool:
    return any(row.used and row.turn <= leg for row in found.readings)


def _risk_words(tank: Tank, closed: bool) -> str:
    what = tr("use since the last service") if tank == "fresh" else tr("inflow since the last drain")
    room = tr("the room above the reserve") if tank == "fresh" else tr("the room below the usable limit")
    if closed:
        return tr(
            "The probability that the {what} is at least {room}; "
            "it is taken as a shifted lognormal through its mean, variance and skewness"
        ).format(what=what, room=room)
    return tr(
        "The probability that the {what} is at least {room}: given each value of the day factor and of the level "
        "at the last event it follows the cube-root law of Wilson and Hilferty (1931), weighed by how likely these "
        "are after what was read"
    ).format(what=what, room=room)


def _risk_formula(closed: bool) -> str:
    if closed:
        return tr("P = P(U >= R - M), U ~ shifted lognormal(m, v, m3)")
    return tr("P = sum over theta w(theta) sum over rooms r p(r | theta) P(U >= r - M | theta)")


def _parts(at: Segment, closed: bool) -> list[Part]:
    parts = [Part(tr("Margin: room at which the limit is reached"), "M", at.margin, "L")]
    if closed:
        parts += [
            Part(tr("Room after the last service"), "R", at.room, "L"),
            Part(tr("Mean use since"), "m", at.mean, "L"),
            Part(tr("Standard deviation of the use"), "sqrt(v)", at.variance**0.5, "L"),
            Part(tr("Skewness of the use"), "m3 / v^1.5", at.third / max(at.variance, 1e-3) ** 1.5),
        ]
    return parts


def _learned_parts(found: AircraftProjection, leg: int) -> list[Part]:
    if not _learned(found, leg):
        return []
    factor = found.day_factor
    return [
        Part(tr("Day factor as learned: mean"), "theta", factor.mean),
        Part(tr("Day factor as learned: 5 %"), "theta 5 %", factor.p05),
        Part(tr("Day factor as learned: 95 %"), "theta 95 %", factor.p95),
    ]


def _spread_parts(spread: Spread, symbol: str = "L") -> list[Part]:
    quantiles = {"5 %": spread.p05, "25 %": spread.p25, "50 %": spread.p50, "75 %": spread.p75, "95 %": spread.p95}
    parts = [Part(label, f"{symbol} {label}", value, "L") for label, value in quantiles.items()]
    return [Part(tr("Mean"), symbol, spread.mean, "L"), *parts]


def _inputs(day: Day, found: AircraftProjection, at: Segment, leg: int, tank: Tank) -> list[Input]:
    rotation = found.rotation
    start = rotation.aircraft.fresh_percent if tank == "fresh" else rotation.aircraft.waste_percent
    if at.service is None:
        source = _start_input(start)
    else:
        station = rotation.turns[at.service.turn].station
        source = Input(
            tr("Last service: {station}, turn {turn}").format(station=station, turn=at.service.turn),
            at.service.target,
            "% of capacity",
        )
    rows = [source]
    for number in at.legs:
        row = rotation.legs[number]
        heads = tr("{passengers} passengers, {crew} crew, {hours:.2f} h, service {service}").format(
            passengers=row.passengers, crew=row.crew, hours=block_hours(row), service=row.cabin_service
        )
        rows.append(Input(f"{row.flight} {row.origin}-{row.destination}", heads))
    for reading in found.readings:
        if reading.used and reading.turn <= leg:
            where = rotation.turns[reading.turn].station
            rows.append(
                Input(
                    tr("Reading at {station}, {tank}").format(station=where, tank=reading.tank), reading.percent, "%"
                )
            )
    if _learned(found, leg):
        rows += gauge_inputs(rotation.fit.gauge(tank))
    return [*rows, *limit_inputs(day, rotation.fit, tank), *use_inputs(day, rotation, tank)]


def _start_input(percent: float | None) -> Input:
    label = tr("Level at the start of the day")
    return Input(label, tr("just drained")) if percent is None else Input(label, percent, "% of capacity")


def _notes(found: AircraftProjection, at: Segment, leg: int, tank: Tank) -> tuple[str, ...]:
    notes = [
        tr("A reading of {percent:g} % at {station} is not used").format(
            percent=row.percent, station=found.rotation.turns[row.turn].station
        )
        for row in found.readings
        if not row.used and row.turn <= leg and row.tank == tank
    ]
    if len(at.legs) > 1:
        notes.append(tr("The same day factor acts on all {n} legs since the last service").format(n=len(at.legs)))
    notes.append(
        tr("A dry fresh tank stops the rinse and a full waste tank the flush: both are left out, on the safe side")
    )
    return tuple(notes)
