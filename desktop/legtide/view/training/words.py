"""Sentences of training: what happened, what followed, and what a score says."""

from __future__ import annotations

from collections.abc import Callable
from typing import Final

from legtide.day.document import Service
from legtide.day.rotations import Rotation
from legtide.draw.words import NBSP, TANK_SERVICE, hhmm
from legtide.language import capped, counted, tr
from legtide.play.aftermath import Aftermath, LegAfter
from legtide.play.rounds import Event
from legtide.play.scoring import Line, Score
from legtide.view.planning_words import Places

UNSURE: Final = 2.0
"""Standard errors within which a difference may be chance."""
_PLAYERS: Final = {
    "best": "Best plan, same readings",
    "plan": "The day's plan",
    "never": "Never a service",
    "always": "Always both services",
    "hindsight": "Hindsight",
}
_BLEMISHES: Final = {
    "left": "{service} left out at {station}",
    "missed": "{service} missed at {station}",
    "partial": "{service} done only to {percent} at {station}",
    "late": "{service} late by {minutes} min at {station}",
}


def player_text(line: Line) -> str:
    """A player's name: a group's own, or what a reference is."""
    words = _PLAYERS.get(line.player)
    return line.player if words is None else tr(words)


def event_text(event: Event, places: Places, rotation: Rotation) -> str:
    """Such as "Waste service missed at Ostermarsh"."""
    service = tr(TANK_SERVICE[event.tank])
    station = places.station(rotation.turns[event.turn].station)
    if event.kind == "read":
        gauge = capped(tr("fresh gauge") if event.tank == "fresh" else tr("waste gauge"))
        return tr("{gauge} shows {percent}").format(gauge=gauge, percent=f"{event.percent:g}{NBSP}%")
    if event.kind == "done":
        percent = f"{event.percent:g}{NBSP}%"
        return tr("{service} to {percent} at {station}").format(service=service, percent=percent, station=station)
    if event.kind == "missed":
        words = tr("{service} did not take place at {station}")
        return words.format(service=service, station=station)
    flight = rotation.legs[event.turn].flight
    dry = tr("{flight}: the crew reports dry taps")
    full = tr("{flight}: the crew reports toilets that no longer flush")
    return (dry if event.kind == "dry" else full).format(flight=flight)


def aftermath_title(row: Aftermath, places: Places) -> str:
    """Such as "QM-KIT: Water service done only to 50 % at Ostermarsh"."""
    words = tr(_BLEMISHES[row.blemish]).format(
        service=tr(TANK_SERVICE[row.tank]),
        station=places.station(row.station),
        percent=f"{row.target_percent:g}{NBSP}%",
        minutes=f"{row.late_min:.0f}",
    )
    return f"{row.aircraft}: {words}"


def aftermath_verdict(row: Aftermath) -> str:
    """What it came to in one sentence."""
    if row.blemish == "late" and not row.legs:
        return tr("It took place after all; the departure would have waited for it.")
    if not row.breaches:
        last = len(row.legs)
        return counted(last, "Felt on {n} leg; it went well this time.", "Felt on {n} legs; it went well this time.")
    return counted(
        row.breaches,
        "{n} leg ended beyond the limit that would not have.",
        "{n} legs ended beyond the limit that would not have.",
    )


def leg_after_text(leg: LegAfter, volume: Callable[[float], str]) -> str:
    """Such as "46 L on arrival, 146 L with it whole"."""
    words = tr("{was} on arrival, {could} with it whole")
    return words.format(was=volume(leg.as_it_was), could=volume(leg.as_it_could))


def called_text(rows: list[Service], tank: str) -> str:
    """What is called for at a turn: "100 %", "left", "done 50 %", "missed"."""
    for row in rows:
        if row.tank != tank:
            continue
        target = f"{row.target:g}{NBSP}%"
        if row.state in ("skipped", "missed"):
            return tr("left") if row.state == "skipped" else tr("missed")
        done = tr("done, {percent}").format(percent=target)
        return (
            done
            if row.state == "done"
            else tr("{percent} at {time}").format(percent=target, time="" if row.start is None else hhmm(row.start))
        )
    return tr("nothing")


def money(value: float) -> str:
    """A cost in price units."""
    return f"{value:.0f}"


def with_error(mean: float, error: float, *, signed: bool = False) -> str:
    """A mean with its standard error: "412 ± 9"."""
    return f"{mean:+.0f} ± {error:.0f}" if signed else f"{mean:.0f} ± {error:.0f}"


def judgement_text(found: Score) -> str:
    """What a score says of the calls, apart from luck."""
    line = found.group
    over = line.over_best
    if abs(over.mean) <= UNSURE * over.error:
        calls = tr("As good as the best plan as far as {n} days can tell ({over}).")
    elif over.mean > 0:
        calls = tr("Judgement: {over} price units dearer than the best plan, over {n} days that read the same.")
    else:
        calls = tr("Judgement: cheaper than the plan with the same readings ({over}), over {n} days.")
    calls = calls.format(
        n=found.days, over=with_error(over.mean, over.error, signed=over.mean <= UNSURE * over.error)
    )
    if line.luck > 0:
        luck = tr("Luck: this day came out {amount} dearer than such calls do on average.")
    else:
        luck = tr("Luck: this day came out {amount} cheaper than such calls do on average.")
    return f"{calls} {luck.format(amount=money(abs(line.luck)))}"


def outcome_text(found: Score) -> str:
    """What came out, and what was risked."""
    line = found.group
    legs = counted(line.breaches or 0, "{n} leg ended beyond a limit", "{n} legs ended beyond a limit")
    words = tr("{legs}; {risk} were to be expected from what was known when they left.")
    return words.format(legs=legs, risk=f"{line.risk or 0.0:.2f}")
