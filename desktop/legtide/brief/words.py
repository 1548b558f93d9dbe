"""The sentences of the pages: plain text, UTC as HH:MM, litres and percent with a space."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, datetime
from typing import Final

from legtide.brief.content import Ask, Briefing, Origin
from legtide.brief.weight import LowerFill
from legtide.brief.without import Without
from legtide.day.assumptions import CATALOGUE, PLACES_OF_LAW, REPAIR_INTERVAL_DAYS
from legtide.day.document import Day, Figure, Fit, Inoperative, Leg, Tank
from legtide.day.gauges import gauge_text
from legtide.day.quoting import printable
from legtide.draw.words import NBSP, hhmm, litres, percent
from legtide.engine.types import Caution, Spread
from legtide.engine.warnings import percent_text
from legtide.language import inside, tr
from legtide.plan.triggers import Trigger

SERVICE: Final[dict[Tank, str]] = {"fresh": "water service", "waste": "toilet service"}
ASK: Final[dict[Tank, str]] = {"fresh": "Water", "waste": "Toilet"}
DEFERS: Final = "Legtide advises. The operator's manuals, local rules and licensed staff decide."
_LONGEST_NAME: Final = 80
_ITEMS: Final = {
    "lavatory": "lavatory",
    "fresh_gauge": "fresh water gauge",
    "waste_gauge": "waste gauge",
    "galley_water": "galley water",
}


def clock(moment: datetime | None, day: date) -> str:
    """A time of day in UTC, with the days that it lies after (or before) the day's date: "00:35 (+1)"."""
    if moment is None:
        return tr("time open")
    apart = (moment.date() - day).days
    return hhmm(moment) + (f"{NBSP}({apart:+d})" if apart else "")


def band(spread: Spread) -> str:
    """Such as "169 L (153–184)": what is expected, and the 5-95 % band."""
    return f"{litres(spread.mean)} ({spread.p05:.0f}–{spread.p95:.0f})"


def span(low: float, high: float) -> str:
    """Such as "153–184"."""
    return f"{low:.0f}–{high:.0f}"


def risk_text(probability: float) -> str:
    """A probability as "38 %", never rounded to certainty."""
    return percent_text(probability).replace(" %", f"{NBSP}%")


def route(leg: Leg) -> str:
    """Such as "ABLE → BAKE"."""
    return printable(f"{leg.origin} → {leg.destination}")


# services -------------------------------------------------------------------------------------------------


def ask_title(ask: Ask, day: date) -> str:
    """What to ask for and when: "Water 06:58, ask by 06:28"."""
    what = f"{tr(ASK[ask.service.tank])} {clock(ask.start, day)}"
    if ask.service.state == "done":
        return tr("{service}, done").format(service=what)
    if ask.ask_by is None:
        return what
    return tr("{service}, ask by {time}").format(service=what, time=clock(ask.ask_by, day))


def ask_amount(ask: Ask) -> str:
    """How much: "to 100 %, 61 L (45–79)"."""
    return tr("to {percent}, {litres}").format(percent=f"{ask.service.target:g}{NBSP}%", litres=band(ask.litres))


def without_text(found: Without, day: Day) -> str:
    """What to do if the service does not come, as one sentence or two."""
    start = tr("If no {service} comes: ").format(service=tr(SERVICE[found.tank]))
    if found.until is None:
        return start + tr("no leg follows.")
    if found.fails is None:
        words = tr("it carries through {flight} (risk {risk}).")
        return start + words.format(flight=_flight(found.until), risk=risk_text(found.lasts_risk))
    policy = day.policy
    limit = policy.fresh_reserve_percent if found.tank == "fresh" else policy.waste_limit_percent
    words = tr("{chance} likely below {limit} on {flight}")
    if found.tank == "waste":
        words = tr("{chance} likely above {limit} on {flight}")
    share = f"{limit.value:g}{NBSP}%"
    chance = words.format(chance=risk_text(found.fails_risk), limit=share, flight=_flight(found.fails))
    if found.lasts is None:
        head = tr("it does not carry, {chance}.").format(chance=chance)
    else:
        head = tr("it carries through {flight}; {chance}.").format(flight=_flight(found.lasts), chance=chance)
    return f"{start}{head} {_aid(found)}"


def _aid(found: Without) -> str:
    if found.tank == "waste":
        return tr("If it has to fly: brief the crew on closing lavatories.")
    if found.fails is None or found.until is None:
        return ""
    first, last = _flight(found.fails), _flight(found.until)
    legs = first if first == last else tr("{first} to {last}").format(first=first, last=last)
    words = tr("If it has to fly: load {litres} of bottled water for {legs}.")
    return words.format(litres=litres(found.bottled_l), legs=legs)


def _flight(leg: Leg) -> str:
    """A flight whose parts stay on one line."""
    return printable(leg.flight).replace(" ", NBSP)


def trigger_words(row: Trigger, fit: Fit) -> str:
    """The reading with which the aircraft goes on without a service: "water 40 % or more"."""
    name = tr("water") if row.tank == "fresh" else tr("waste")
    if row.answer == "no_gauge":
        return tr("{tank}: no gauge, ask").format(tank=name)
    if row.answer == "never":
        return tr("{tank}: at no reading").format(tank=name)
    if row.answer == "always":
        return tr("{tank}: at any reading").format(tank=name)
    assert row.trigger_percent is not None  # noqa: S101 - the answer goes by it
    shown = gauge_text(fit.gauge(row.tank), row.trigger_percent, fit.capacity_l(row.tank))
    words = tr("{tank} {reading} or more") if row.tank == "fresh" else tr("{tank} {reading} or less")
    return words.format(tank=name, reading=shown)


def widest_triggers() -> tuple[str, str]:
    """What `trigger_words` may say at the longest, for a column's width."""
    most = f"100{NBSP}%"
    water = tr("{tank} {reading} or more").format(tank=tr("water"), reading=most)
    return water, tr("{tank} {reading} or less").format(tank=tr("waste"), reading=most)


def page_number(number: int, count: int) -> str:
    """Such as "page 1 of 2"."""
    return tr("page {number} of {count}").format(number=number, count=count)


# what else has to be known --------------------------------------------------------------------------------


def warning_lines(rows: tuple[Caution, ...]) -> list[str]:
    """The warnings, each with its way out."""
    return [printable(row.message + (f". {row.remedy.text}" if row.remedy is not None else "")) for row in rows]


def weight_lines(content: Briefing) -> list[str]:
    """What the water carried costs, and the fills that would be cheaper to a lower level."""
    found, policy = content.carried, content.day.policy
    if found.fuel_kg <= 0.0:
        return []
    carried = tr(
        "Water carried: {mass} on average over {hours} burn {fuel} of fuel, {cost} price units "
        "({share} of the mass an hour, {price} a kg)."
    ).format(
        mass=f"{found.mean_kg:.0f}{NBSP}kg",
        hours=f"{found.hours:.1f}{NBSP}h",
        fuel=f"{found.fuel_kg:.1f}{NBSP}kg",
        cost=f"{found.cost:.0f}",
        share=f"{policy.fuel_percent_per_h.value:g}{NBSP}%",
        price=f"{policy.price_fuel_per_kg.value:g}",
    )
    lines = [carried]
    if content.lower_fills:
        lines.append(tr("Each fill by itself, with the added risk priced:"))
    lines += [_lower_fill(content, row) for row in content.lower_fills]
    if not content.lower_fills and any(ask.service.tank == "fresh" for row in content.departures for ask in row.asks):
        lines.append(tr("No lower fill is worth its risk by the policy's prices."))
    return [" ".join(lines)]


def _lower_fill(content: Briefing, row: LowerFill) -> str:
    service, rotation = row.service, content.rotation
    station = printable(rotation.turns[service.turn].station)
    return tr(
        "filling to {low} instead of {target} at {station} before {flight} burns {saved} less and saves {cost} price "
        "units (risk then {risk})."
    ).format(
        low=f"{row.target_percent:g}{NBSP}%",
        target=f"{service.target:g}{NBSP}%",
        station=station,
        flight=_flight(rotation.legs[service.turn]),
        saved=f"{row.saved_kg:.1f}{NBSP}kg",
        cost=f"{row.saved_cost:.1f}",
        risk=risk_text(row.worst_risk),
    )


def inoperative_lines(content: Briefing) -> list[str]:
    """The deferred items, each with its interval where it is known."""
    return [printable(_inoperative(row)) for row in content.rotation.aircraft.inoperative]


def _inoperative(row: Inoperative) -> str:
    count = f"{row.count} × " if row.count > 1 else ""
    parts = [f"{count}{tr(_ITEMS[row.item])}"]
    if row.category is not None:
        words = tr("category {category} ({days} days)")
        parts.append(words.format(category=row.category, days=REPAIR_INTERVAL_DAYS[row.category]))
    if row.since is not None:
        parts.append(tr("since {date}").format(date=row.since.isoformat()))
    return ", ".join(parts) + (f": {row.remark}" if row.remark else "")


def caution_lines(day: Day) -> list[str]:
    """Freezing and hygiene, with their sources."""
    policy = day.policy
    law = {name: tr(PLACES_OF_LAW[name]) for name in PLACES_OF_LAW}
    return [
        tr(
            "Freezing: parked without heat, drain the fresh tank below {mild_c:g} °C after {mild_h:g} h, below "
            "{hard_c:g} °C after {hard_h:g} h ({source}; {status}). The operator's cold-weather procedure decides."
        ).format(
            mild_c=policy.freeze_mild_c.value,
            mild_h=policy.freeze_mild_h.value,
            hard_c=policy.freeze_hard_c.value,
            hard_h=policy.freeze_hard_h.value,
            source=tr(policy.freeze_mild_c.source),
            status=tr(policy.freeze_mild_c.status),
        ),
        tr("Hygiene: {approved}. {hands}. {disinfection}.").format(
            approved=inside(law["approved_water"]), hands=law["separate_hands"], disinfection=law["disinfection"]
        ),
        tr("Load sheet: {law}. What goes on it is the operator's to say.").format(law=inside(law["load_sheet"])),
    ]


ASSUMED: Final[tuple[str, ...]] = (
    "usage.visits_per_person_h",
    "usage.rinse_l",
    "usage.hand_wash_mean_l",
    "usage.galley_l_per_person_h",
    "usage.body_waste_mean_l",
    "usage.day_factor_cv",
    "policy.risk_limit",
    "policy.fresh_reserve_percent",
    "policy.waste_limit_percent",
    "policy.call_lead_min",
    "policy.bottled_l_per_person_h",
    "policy.fuel_percent_per_h",
    "fit.fresh_capacity_l",
    "fit.waste_capacity_l",
    "fit.pre_charge_l",
)
"""The figures that decide most, in the order of the small print."""


def assumption_lines(content: Briefing) -> list[str]:
    """The figures that the page stands on, those of one source together, in one paragraph."""
    by_source: dict[tuple[str, str], list[str]] = {}
    for name, figure in _figures(content):
        known = CATALOGUE[name]
        unit = "" if known.unit == "1" else f" {tr(known.unit)}"
        words = f"{inside(tr(known.label))} {figure.value:g}{unit}"
        by_source.setdefault((tr(figure.source), tr(figure.status)), []).append(words)
    groups = (
        f"{'; '.join(words)} [{status}{': ' if source else ''}{source}]"
        for (source, status), words in by_source.items()
    )
    return [printable(" • ".join(groups))]


def _figures(content: Briefing) -> Iterator[tuple[str, Figure]]:
    groups = {"usage": content.day.usage, "policy": content.day.policy, "fit": content.rotation.fit}
    for name in ASSUMED:
        group, _, field = name.partition(".")
        yield name, getattr(groups[group], field)


def origin_line(origin: Origin) -> str:
    """File, time and checksum."""
    name = origin.file_name
    if len(name) > _LONGEST_NAME:
        name = f"{name[:_LONGEST_NAME]}…"
    words = tr("{file}, computed {time:%Y-%m-%d %H:%M} UTC, SHA-256 {checksum}")
    return printable(words.format(file=name, time=origin.computed, checksum=origin.checksum))


def tank_words(content: Briefing, tank: Tank) -> str:
    """A tank's capacity and limit: "200 L, reserve 5 %"."""
    curve = content.row.projection.curve(tank)
    words = tr("{capacity}, reserve {limit}") if tank == "fresh" else tr("{capacity}, usable limit {limit}")
    return words.format(capacity=litres(curve.capacity_l), limit=percent(curve.limit_l / curve.capacity_l))
