"""Warnings: what is wrong, where, with which numbers, and the way out.

Severity: `breach` - the risk of a breach passes the policy's limit; `caution` - it comes near, or something that the
plan stands on does not hold; `note` - worth knowing.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from datetime import datetime, timedelta

import numpy as np

from legtide.day.cautions import Finding, figure_cautions, rotation_cautions
from legtide.day.delays import following_legs
from legtide.day.document import Day, Policy, Service, Station, Tank
from legtide.day.rotations import Rotation, off_blocks, on_blocks
from legtide.day.windows import latest_start, nearest_start, turn_window
from legtide.engine.course import gauge_works, happens, working_lavatories
from legtide.engine.types import AircraftProjection, Caution, LegResult, Remedy, ServiceResult, Spread, to_minutes
from legtide.language import counted, tr

_ORDER = {"breach": 0, "caution": 1, "note": 2}
_NEAR = 0.5  # a risk above this share of the limit is cautioned
_LEAST_WATER_L = 1.0  # a tank with less has been drained


def percent_text(probability: float) -> str:
    """A probability as a person reads it: "38 %", "over 99 %", "under 1 %"."""
    if probability > 0.99:
        return tr("over 99 %")
    if probability < 0.01:
        return tr("under 1 %")
    return tr("{share:.0f} %").format(share=probability * 100)


def day_warnings(day: Day, aircraft: Mapping[str, AircraftProjection]) -> tuple[Caution, ...]:
    """All warnings of a day: those of the aircraft and of its figures; the gravest first, then by time."""
    found = [row for projection in aircraft.values() for row in projection.warnings]
    found.extend(_taken_over(row) for row in figure_cautions(day))
    return tuple(sorted(found, key=_rank))


def _taken_over(row: Finding, remedy: Remedy | None = None) -> Caution:
    return Caution(
        code=row.code,
        severity=row.severity,
        message=row.message,
        aircraft=row.aircraft,
        leg=row.leg,
        station=row.station,
        turn=row.turn,
        tank=row.tank,
        remedy=remedy,
    )


def _later_legs(policy: Policy, rotation: Rotation, row: Finding) -> Remedy | None:
    """The legs after a late one leave when they can."""
    legs = following_legs(rotation, row.turn, policy) if row.code in ("turn-eaten", "turn-short") else ()
    if not legs:
        return None
    more = tr("Let {flight} leave at {time}, and what follows later: {n}")
    words = tr("Let {flight} leave at {time}") if len(legs) == 1 else more
    text = words.format(flight=legs[0].flight, time=f"{off_blocks(legs[0]):%H:%M}", n=len(legs) - 1)
    return Remedy("push_legs", text, rotation.registration, row.turn, start=off_blocks(legs[0]))


def _rank(row: Caution) -> tuple[int, float, str, int, str]:
    at = row.act_by.timestamp() if row.act_by is not None else float("inf")
    return _ORDER[row.severity], at, row.aircraft, row.turn, row.code


def aircraft_warnings(day: Day, projection: AircraftProjection, places: Mapping[str, Station]) -> AircraftProjection:
    """The projection with its own warnings filled in."""
    found: list[Caution] = []
    for tank in ("fresh", "waste"):
        found.extend(_risks(day, projection, places, tank))
    found.extend(_readings(projection))
    found.extend(_ground(day, projection, places))
    found.extend(_services(day, projection, places))
    found.extend(_lavatories(day, projection))
    for row in rotation_cautions(day, projection.rotation, places):
        found.append(_taken_over(row, _later_legs(day.policy, projection.rotation, row)))
    return replace(projection, warnings=tuple(sorted(found, key=_rank))) if found else projection


# risks ----------------------------------------------------------------------------------------------------


def leg_risk(leg: LegResult, tank: Tank) -> float:
    """Probability of a breach of one tank by the end of a leg."""
    return leg.risk_fresh_below_reserve if tank == "fresh" else leg.risk_waste_over_limit


def _risks(day: Day, projection: AircraftProjection, places: Mapping[str, Station], tank: Tank) -> Iterator[Caution]:
    """One warning for each run of legs over the limit, or near it, without a service of the tank between."""
    limit = day.policy.risk_limit.value
    served = _served_turns(projection.rotation, day.policy, tank)
    run: list[LegResult] = []
    for leg in (*projection.legs, None):
        bad = leg is not None and leg_risk(leg, tank) > _NEAR * limit
        if run and (not bad or (leg is not None and leg.index in served)):
            yield from _run_warning(day, projection, places, tank, run)
            run = []
        if bad and leg is not None:
            run.append(leg)


def _run_warning(
    day: Day, projection: AircraftProjection, places: Mapping[str, Station], tank: Tank, run: list[LegResult]
) -> Iterator[Caution]:
    limit = day.policy.risk_limit.value
    over = [leg for leg in run if leg_risk(leg, tank) > limit]
    first = over[0] if over else max(run, key=lambda leg: leg_risk(leg, tank))
    rotation = projection.rotation
    leg = rotation.legs[first.index]
    more = len(over) - 1
    remedy = _way_out(day, rotation, places, tank, first.index)
    lead = timedelta(minutes=day.policy.call_lead_min.value)
    yield Caution(
        code=_CODES[tank][0 if over else 1],
        severity="breach" if over else "caution",
        message=_risk_text(day, projection, tank, first)
        + (counted(more, ", and of {n} more leg", ", and of {n} more legs") if more > 0 else ""),
        aircraft=rotation.registration,
        leg=leg.id,
        station=leg.destination,
        turn=first.index,
        tank=tank,
        risk=leg_risk(first, tank),
        act_by=remedy.start - lead if remedy.start is not None else off_blocks(leg) - lead,
        remedy=remedy,
    )


_CODES = {
    "fresh": ("fresh-below-reserve", "fresh-near-reserve"),
    "waste": ("waste-over-limit", "waste-near-limit"),
}


def _risk_text(day: Day, projection: AircraftProjection, tank: Tank, result: LegResult) -> str:
    leg = projection.rotation.legs[result.index]
    spread = result.fresh_arrival if tank == "fresh" else result.waste_arrival
    percent = day.policy.fresh_reserve_percent.value if tank == "fresh" else day.policy.waste_limit_percent.value
    what, side = (tr("Fresh water"), tr("below")) if tank == "fresh" else (tr("Waste"), tr("above"))
    chance = percent_text(leg_risk(result, tank))
    return tr(
        "{what} is {chance} likely {side} {percent:g} % by the end of {flight} "
        "{origin}-{destination} {time:%H:%M} ({level})"
    ).format(
        what=what,
        chance=chance,
        side=side,
        percent=percent,
        flight=leg.flight,
        origin=leg.origin,
        destination=leg.destination,
        time=on_blocks(leg),
        level=_litres(spread),
    )


def _litres(spread: Spread) -> str:
    return tr("expected {mean:.0f} L, 5-95 %: {low:.0f}-{high:.0f} L").format(
        mean=spread.mean, low=spread.p05, high=spread.p95
    )


def _served_turns(rotation: Rotation, policy: Policy, tank: Tank) -> dict[int, Service]:
    return {row.turn: row for row in rotation.services if row.tank == tank and happens(row, policy) > 0.0}


def _way_out(day: Day, rotation: Rotation, places: Mapping[str, Station], tank: Tank, leg: int) -> Remedy:
    """The latest turn before the leg at which a service fits; else a fuller fill; else what to do without one."""
    served = _served_turns(rotation, day.policy, tank)
    last = max((turn for turn in served if turn <= leg), default=-1)
    name = rotation.registration
    for number in range(leg, last, -1):
        turn = rotation.turns[number]
        station = places.get(turn.station)
        if tank == "fresh" and station is not None and not station.approved_water:
            continue  # 21 CFR 1240.80, 1240.83: never a way out
        candidate = Service(aircraft=name, turn=number, tank=tank)
        start = latest_start(rotation, turn, station, candidate, day.policy)
        if start is not None:
            window = turn_window(turn, day.policy)
            # Halfway through what is free leaves time on both sides for a truck that is late.
            start = window[0] + (start - window[0]) / 2 if window and turn.start is not None else start
            start = start.replace(second=0, microsecond=0)
            word = tr("Fill") if tank == "fresh" else tr("Drain")
            text = tr("{word} at {station} {time:%H:%M} before {flight}").format(
                word=word, station=turn.station, time=start, flight=rotation.legs[number].flight
            )
            return Remedy("add_service", text, name, number, tank, start)
    raised = served.get(last)
    if raised is not None and tank == "fresh" and raised.target < 100.0 and raised.state == "planned":
        text = tr("Fill to 100 % instead of {percent:g} % at {station}").format(
            percent=raised.target, station=rotation.turns[last].station
        )
        return Remedy("raise_target", text, name, last, tank, raised.start, raised.id, 100.0)
    later = min((turn for turn in served if turn > leg), default=None)
    aid = (
        tr("load bottled water and brief the crew") if tank == "fresh" else tr("brief the crew on closing lavatories")
    )
    ask = tr("no turn before this leg can take a service: {advice}").format(advice=aid)
    if later is not None:
        ask += tr("; the next service is at {station} after {flight}").format(
            station=rotation.turns[later].station, flight=rotation.legs[later - 1].flight
        )
    return Remedy("none", ask[0].upper() + ask[1:], name, leg, tank)


# what the plan stands on ----------------------------------------------------------------------------------


def _readings(projection: AircraftProjection) -> Iterator[Caution]:
    rotation = projection.rotation
    for reading in projection.readings:
        if reading.used or not gauge_works(rotation, reading.tank):
            continue
        others = [
            row
            for row in projection.readings
            if row is not reading and row.turn == reading.turn and row.tank == reading.tank
        ]
        against = tr(" and the reading of {percent:g} % there").format(percent=others[0].percent) if others else ""
        yield Caution(
            code="reading-implausible",
            severity="caution",
            message=tr(
                "A {tank} reading of {percent:g} % at {station} does "
                "not agree with the projection ({level}){other}; it is not used"
            ).format(
                tank=tr(reading.tank),
                percent=reading.percent,
                station=rotation.turns[reading.turn].station,
                level=_litres(reading.expected),
                other=against,
            ),
            aircraft=rotation.registration,
            station=rotation.turns[reading.turn].station,
            turn=reading.turn,
            tank=reading.tank,
            remedy=Remedy("none", tr("Read the gauge again, or mark it inoperative")),
        )


def _ground(day: Day, projection: AircraftProjection, places: Mapping[str, Station]) -> Iterator[Caution]:
    rotation, policy = projection.rotation, day.policy
    for row in rotation.ground:
        if row.turn >= len(rotation.turns):
            continue
        station = rotation.turns[row.turn].station
        hours = (row.end - row.start).total_seconds() / 3600.0
        if row.kind == "people_aboard" and hours >= policy.tarmac_water_by_h.value:
            due = row.start + timedelta(hours=policy.tarmac_water_by_h.value)
            text = tr(
                "People wait aboard at {station} for {hours:.1f} h: drinking water is due by {time:%H:%M} "
                "(14 CFR 259.4 (b)(3))"
            ).format(station=station, hours=hours, time=due)
            yield _about(
                rotation, "water-due", text, station, row.turn, due, tr("Offer drinking water and food in time")
            )
        if row.kind == "unheated" and _holds_water(projection, row.start):
            yield from _freezing(rotation, policy, places.get(station), row.turn, row.start, hours)


def _holds_water(projection: AircraftProjection, moment: datetime) -> bool:
    """Whether there is anything in the fresh tank that could freeze."""
    curve = projection.fresh
    return float(np.interp(to_minutes(moment), curve.minutes, curve.levels[-1])) >= _LEAST_WATER_L


def _freezing(
    rotation: Rotation, policy: Policy, station: Station | None, turn: int, start: datetime, hours: float
) -> Iterator[Caution]:
    if station is None or station.outside_air_c is None:
        return
    air = station.outside_air_c
    rules = (
        (policy.freeze_hard_c.value, policy.freeze_hard_h.value),
        (policy.freeze_mild_c.value, policy.freeze_mild_h.value),
    )
    for below, after in rules:
        if air < below and hours > after:
            by = start + timedelta(hours=after)
            text = tr(
                "Parked without heat at {station} for {hours:.1f} h at {air:g} °C: drain the fresh tank "
                "by {time:%H:%M}; the operator's cold-weather procedure decides"
            ).format(station=station.code, hours=hours, air=air, time=by)
            way = tr("Drain the fresh tank or keep heat on; fill again before the first leg")
            yield _about(rotation, "freezing", text, station.code, turn, by, way)
            return


def _services(day: Day, projection: AircraftProjection, places: Mapping[str, Station]) -> Iterator[Caution]:
    """Planned services that run out of their turn."""
    rotation = projection.rotation
    for row in projection.services:
        if row.service.state != "planned" or row.start is None or row.end is None:
            continue
        turn = rotation.turns[row.service.turn]
        window = turn_window(turn, day.policy)
        late = turn.end is not None and (window is None or row.end > window[1])
        early = turn.start is not None and row.start < turn.start
        if not (late or early):
            continue
        word = tr("Water service") if row.service.tank == "fresh" else tr("Waste service")
        if late and turn.end is not None:
            ends, departs = f"{row.end:%H:%M}", f"{turn.end:%H:%M}"
            text = tr("{service} at {station} ends {end}, too late for off blocks {departure}").format(
                service=word, station=row.station, end=ends, departure=departs
            )
        else:
            text = tr("{service} at {station} starts {start:%H:%M}, before the aircraft is there").format(
                service=word, station=row.station, start=row.start
            )
        yield Caution(
            code="service-outside-turn",
            severity="caution",
            message=text,
            aircraft=rotation.registration,
            station=row.station,
            turn=row.service.turn,
            tank=row.service.tank,
            act_by=row.start,
            remedy=_inside(day.policy, rotation, places.get(row.station), row),
        )


def _inside(policy: Policy, rotation: Rotation, station: Station | None, row: ServiceResult) -> Remedy:
    """The service moved to where its turn has room for it, as little as can be."""
    service, turn = row.service, rotation.turns[row.service.turn]
    start = None
    if row.start is not None:
        start = nearest_start(rotation, turn, station, service, policy, row.start)
    if start is None:
        return Remedy("none", tr("The turn has no room for the service: use another turn"))
    text = tr("Move the service to {time}").format(time=f"{start:%H:%M}")
    return Remedy("move_service", text, rotation.registration, service.turn, service.tank, start, service.id)


def _lavatories(day: Day, projection: AircraftProjection) -> Iterator[Caution]:
    """Legs on which the lavatories that work cannot take the visits expected."""
    rotation = projection.rotation
    count = working_lavatories(rotation)
    possible = count * 3600.0 / day.usage.lavatory_occupancy_s.value
    rate = day.usage.visits_per_person_h.value
    short = [leg for leg in rotation.legs if rate * (leg.passengers + leg.crew) > possible]
    if short and count < rotation.fit.lavatories.value:
        text = tr("{works} of {all:g} lavatories work: too few for the visits expected on {flight}").format(
            works=count, all=rotation.fit.lavatories.value, flight=short[0].flight
        ) + (tr(" and {n} more").format(n=len(short) - 1) if len(short) > 1 else "")
        yield _about(rotation, "lavatories-short", text, short[0].origin, rotation.legs.index(short[0]), None, "")


def _about(
    rotation: Rotation, code: str, text: str, station: str, turn: int, by: datetime | None, way: str
) -> Caution:
    return Caution(
        code=code,
        severity="caution",
        message=text,
        aircraft=rotation.registration,
        station=station,
        turn=turn,
        tank="fresh",
        act_by=by,
        remedy=Remedy("none", way) if way else None,
    )
