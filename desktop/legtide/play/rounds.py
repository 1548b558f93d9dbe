"""A round: one class on one sampled day, from a moment on, with a clock that only goes forward.

A round is a frozen value; every function gives another one. Its `day` is what the class knows by its clock: services
that took place or did not, readings that were asked for. The file's day is never touched. The same log of calls
played again gives the same round, so that a new round can begin from any turn of an old one.

What the file says has gone wrong after the round's beginning (services skipped or missed) is the trainer's script:
to the class they are planned, and they fail when their time comes.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Literal, TypeAlias

from legtide.day.document import TANKS, Day, Leg, Reading, Service, Tank
from legtide.day.edits import add_reading, change_service, rebuilt, replace_legs, replace_services
from legtide.day.rotations import Rotation, off_blocks, on_blocks, rotations, service_start
from legtide.engine.course import gauge_works, happens, lay_out
from legtide.engine.types import to_datetime
from legtide.language import tr
from legtide.play.calls import Call, CallError, ReadingCall, ServiceCall
from legtide.play.gauges import shown_percent
from legtide.play.levels import Followed, follow, outcome_score
from legtide.play.placing import placed
from legtide.play.streams import stream
from legtide.play.truth import Truth, played_truth

EventKind: TypeAlias = Literal["done", "missed", "read", "dry", "full"]
Place: TypeAlias = tuple[str, int, Tank]
"""Registration, turn and tank."""


@dataclass(frozen=True, slots=True)
class Event:
    """Something that the class gets to know when it happens."""

    time: datetime
    aircraft: str
    turn: int
    tank: Tank
    kind: EventKind
    percent: float | None = None
    """Of a reading: what the gauge showed. Of a service: the level to which it was done."""


@dataclass(frozen=True, slots=True, eq=False)
class Round:
    """Where a round stands."""

    source: Day
    """The day as the round found it: what had happened before it, and the plan."""
    seed: int
    begin: datetime
    end: datetime
    """When the last aircraft is on blocks."""
    clock: datetime
    day: Day
    """The day as the class knows it."""
    truths: Mapping[str, Truth]
    script: frozenset[Place]
    log: tuple[Call, ...] = ()
    events: tuple[Event, ...] = ()

    @property
    def over(self) -> bool:
        """Whether the day has been played to its end."""
        return self.clock >= self.end


# beginning ------------------------------------------------------------------------------------------------


def day_begin(day: Day) -> datetime | None:
    """When the first turn of a day opens; none for a day without legs."""
    found = [lay_out(row, day.policy).begin for row in rotations(day).values() if row.legs]
    return to_datetime(min(found)) if found else None


def begin_round(day: Day, seed: int, at: datetime | None = None) -> Round:
    """A new round on a day, from a moment on (by default from before the first turn).

    Raises CallError when the day has nothing to play.
    """
    begin = at or day_begin(day)
    known = rotations(day)
    legs = [leg for row in known.values() for leg in row.legs]
    if begin is None or not any(off_blocks(leg) > begin for leg in legs):
        raise CallError(tr("the day has no leg to play after that moment"))
    source, script = _opened(day, begin)
    truths = {name: played_truth(row, source.policy, source.usage, seed) for name, row in rotations(source).items()}
    end = max(on_blocks(leg) for leg in legs)
    made = Round(source, seed, begin, end, begin, source, truths, script)
    return _resolved(made, begin)


def alone(round_: Round, registration: str) -> Round:
    """The same round at its beginning, with one aircraft only and the same truth."""
    whole = round_.source
    day = whole.model_copy(
        update={
            "aircraft": tuple(row for row in whole.aircraft if row.registration == registration),
            **{
                name: tuple(row for row in getattr(whole, name) if row.aircraft == registration)
                for name in ("legs", "services", "readings", "ground")
            },
        }
    )
    made = replace(
        round_,
        source=day,
        day=day,
        clock=round_.begin,
        truths={registration: round_.truths[registration]},
        log=(),
        events=(),
    )
    return _resolved(made, round_.begin)


def _opened(day: Day, begin: datetime) -> tuple[Day, frozenset[Place]]:
    """The day as it is known at the beginning, and what is going to fail."""
    known, margin = rotations(day), day.policy.margin_after_on_blocks_min.value
    script: set[Place] = set()
    services = []
    for row in day.services:
        start = service_start(known[row.aircraft], row, margin) if row.aircraft in known else None
        if start is not None and start >= begin and row.state != "planned":
            if row.state in ("skipped", "missed"):
                script.add((row.aircraft, row.turn, row.tank))
            services.append(rebuilt(row, state="planned", remark=""))
        else:
            services.append(row)
    readings = tuple(row for row in day.readings if _read_before(known.get(row.aircraft), row, begin))
    opened = day if readings == day.readings else day.model_copy(update={"readings": readings})
    opened = replace_services(opened, services)
    return replace_legs(opened, {leg.id: _not_flown(leg, begin) for leg in day.legs}), frozenset(script)


def _read_before(rotation: Rotation | None, row: Reading, begin: datetime) -> bool:
    if rotation is None or row.turn >= len(rotation.turns):
        return False
    moment = row.time or rotation.turns[row.turn].start
    return moment is not None and moment <= begin


def _not_flown(leg: Leg, begin: datetime) -> Leg:
    """A leg whose times after the beginning are only expected; they come out as expected."""
    changes: dict[str, datetime | None] = {}
    if leg.ata is not None and leg.ata > begin:
        changes |= {"eta": leg.ata, "ata": None}
    if leg.atd is not None and leg.atd > begin:
        changes |= {"etd": leg.atd, "atd": None}
        changes.setdefault("eta", on_blocks(leg))
    return rebuilt(leg, **changes)


# the clock ------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Opening:
    """The moment at which an aircraft comes on blocks, and its calls for that turn fall due."""

    time: datetime
    aircraft: str
    turn: int


def openings(round_: Round) -> tuple[Opening, ...]:
    """All turns of a round at which something can be called for, in the order of time."""
    found = []
    for name, rotation in rotations(round_.day).items():
        for turn in rotation.turns[: len(rotation.legs)]:
            if turn.end is not None and turn.end > round_.begin:
                found.append(Opening(max(turn.start or round_.begin, round_.begin), name, turn.number))
    return tuple(sorted(found, key=lambda row: (row.time, row.aircraft)))


def next_opening(round_: Round) -> Opening | None:
    """The next turn to open after the clock's moment."""
    return next((row for row in openings(round_) if row.time > round_.clock), None)


def advanced(round_: Round, to: datetime) -> Round:
    """The round with its clock at a later moment; the clock never goes back."""
    to = min(to, round_.end)
    if to <= round_.clock:
        return round_
    round_ = _resolved(round_, to)
    return replace(_noticed(round_, to), clock=to)


def _resolved(round_: Round, to: datetime) -> Round:
    """Services whose time has come take place or do not."""
    day, margin, events = round_.day, round_.day.policy.margin_after_on_blocks_min.value, []
    for name, rotation in rotations(day).items():
        for row in rotation.services:
            start = service_start(rotation, row, margin)
            if row.state != "planned" or start is None or start > to or row.turn >= len(rotation.turns):
                continue
            failed = (name, row.turn, row.tank) in round_.script
            takes = happens(row, day.policy) > outcome_score(round_.truths[name], row.turn, row.tank)[0]
            state: Literal["done", "missed"] = "done" if takes and not failed else "missed"
            day = change_service(day, row.id, state=state)
            events.append(Event(start, name, row.turn, row.tank, state, row.target))
    return _with_events(replace(round_, day=day), events)


def _noticed(round_: Round, to: datetime) -> Round:
    """What a cabin crew notices: taps that ran dry, toilets that stopped flushing."""
    events = []
    for name, rotation in rotations(round_.day).items():
        ended = [n for n, leg in enumerate(rotation.legs) if round_.clock < on_blocks(leg) <= to]
        if not ended:
            continue
        exhausted = followed(round_, name).exhausted
        for leg in ended:
            for place, (tank, kind) in enumerate((("fresh", "dry"), ("waste", "full"))):
                if exhausted[place, 0, leg]:
                    events.append(Event(on_blocks(rotation.legs[leg]), name, leg, tank, kind))  # type: ignore[arg-type]
    return _with_events(round_, events)


def _with_events(round_: Round, events: Iterable[Event]) -> Round:
    new = tuple(sorted(events, key=lambda row: (row.time, row.aircraft, row.tank)))
    return replace(round_, events=(*round_.events, *new)) if new else round_


def followed(round_: Round, registration: str) -> Followed:
    """An aircraft's true levels under the services as the class knows them."""
    rotation = rotations(round_.day)[registration]
    return follow(round_.truths[registration], rotation, round_.day.policy)


# calls ----------------------------------------------------------------------------------------------------


def called(round_: Round, call: Call) -> Round:
    """The round after a call at its clock's moment. Raises CallError with a sentence when it cannot be made."""
    rotation = rotations(round_.day).get(call.aircraft)
    if rotation is None or call.turn >= len(rotation.legs):
        raise CallError(
            tr("{aircraft} has no turn {turn} with a leg after it").format(aircraft=call.aircraft, turn=call.turn)
        )
    if off_blocks(rotation.legs[call.turn]) <= round_.clock:
        raise CallError(
            tr("{aircraft} has left turn {turn}: what was called there stands").format(
                aircraft=call.aircraft, turn=call.turn
            )
        )
    call = replace(call, at=round_.clock)
    made = _asked(round_, rotation, call) if isinstance(call, ReadingCall) else _served(round_, rotation, call)
    return replace(made, log=(*made.log, call)) if made is not round_ else round_


def _served(round_: Round, rotation: Rotation, call: ServiceCall) -> Round:
    rows = [row for row in rotation.services if (row.turn, row.tank) == (call.turn, call.tank)]
    if any(row.state in ("done", "missed") for row in rows):
        raise CallError(tr("that service has been done or missed already"))
    planned = [row for row in rows if row.state == "planned"]
    if not call.serve:
        day = round_.day
        for row in planned:
            day = change_service(day, row.id, state="skipped")
        return replace(round_, day=day)
    whole = 100.0 if call.tank == "fresh" else 0.0
    target = whole if call.target_percent is None else call.target_percent
    if planned:
        return replace(round_, day=change_service(round_.day, planned[0].id, target_percent=target))
    start = placed(round_.day, rotation, call.turn, call.tank, target, round_.clock)
    kept = [row for row in round_.day.services if row not in rows]
    new = Service(aircraft=call.aircraft, turn=call.turn, tank=call.tank, target_percent=target, start=start)
    return replace(round_, day=replace_services(round_.day, [*kept, new]))


def _asked(round_: Round, rotation: Rotation, call: ReadingCall) -> Round:
    turn, clock = rotation.turns[call.turn], round_.clock
    if turn.start is not None and clock < turn.start:
        raise CallError(tr("{aircraft} is not on blocks yet").format(aircraft=call.aircraft))
    taken = {row.tank for row in rotation.readings if row.turn == call.turn}
    tanks = [tank for tank in TANKS if gauge_works(rotation, tank) and tank not in taken]
    if not tanks:
        words = tr("both gauges of {aircraft} have been read") if taken else tr("no gauge of {aircraft} can be read")
        raise CallError(words.format(aircraft=call.aircraft))
    day, events, fit = round_.day, [], rotation.fit
    for tank in tanks:
        day = add_reading(day, Reading(aircraft=call.aircraft, turn=call.turn, tank=tank, percent=0.0, time=clock))
    seen = follow(round_.truths[call.aircraft], rotations(day)[call.aircraft], day.policy).read
    rows = rotations(day)[call.aircraft].readings
    readings = {id(row): row for row in rows}
    for number, row in enumerate(rows):
        if row.turn == call.turn and row.tank in tanks and row.time == clock:
            score = stream(round_.seed, call.aircraft, "gauge", call.turn, row.tank).standard_normal(1)
            percent = float(shown_percent(fit, row.tank, seen[number], score)[0])
            readings[id(row)] = rebuilt(row, percent=percent)
            events.append(Event(clock, call.aircraft, call.turn, row.tank, "read", percent))
    read = tuple(readings.get(id(row), row) for row in day.readings)
    return _with_events(replace(round_, day=day.model_copy(update={"readings": read})), events)


def played(start: Round, log: Iterable[Call], until: datetime | None = None) -> Round:
    """The round that a log of calls gives from a beginning, up to a moment (by default to its end).

    Raises CallError, naming the call, for one that could not have been made.
    """
    round_, last = start, until or start.end
    for call in sorted(log, key=lambda row: row.at):
        if call.at > last:
            break
        round_ = called(advanced(round_, call.at), call)
    return advanced(round_, last)
