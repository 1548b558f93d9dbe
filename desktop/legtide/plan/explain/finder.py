"""`explain(day, what)`: finds what is asked for and explains it."""

from __future__ import annotations

from collections.abc import Callable

from legtide.day.document import TANKS, Day, Tank
from legtide.engine.projection import project
from legtide.engine.types import AircraftProjection, Projection, ServiceResult
from legtide.language import tr
from legtide.plan.explain.figures import explain_figure
from legtide.plan.explain.levels import explain_level, explain_mass, explain_risk, explain_uplift
from legtide.plan.explain.records import FORMS, ExplainError, Explanation
from legtide.plan.explain.steps import explain_plan, explain_service, explain_trigger
from legtide.plan.explain.warnings import explain_warning


def explain(day: Day, what: str, projection: Projection | None = None) -> Explanation:
    """Explains one number of a day.

    Args:
        day: the day.
        what: one of the forms in `FORMS`.
        projection: the day's projection, if there is one already.

    Raises:
        ExplainError: the form is unknown, or what it names is not in the day.
    """
    kind, _, rest = what.strip().partition(":")
    forms: dict[str, Callable[[_Finder, str], Explanation]] = {
        "risk": _Finder.risk,
        "level": _Finder.level,
        "mass": _Finder.mass,
        "uplift": _Finder.uplift,
        "service": _Finder.service,
        "plan": _Finder.plan,
        "trigger": _Finder.trigger,
        "warning": _Finder.warning,
        "figure": _Finder.figure,
    }
    if kind not in forms or not rest:
        raise ExplainError(
            tr("{what!r} cannot be explained: ask for one of {forms}").format(
                what=what.strip()[:60], forms=", ".join(FORMS)
            )
        )
    return forms[kind](_Finder(day, projection), rest)


class _Finder:
    def __init__(self, day: Day, projection: Projection | None) -> None:
        self.day = day
        self._projection = projection

    @property
    def projection(self) -> Projection:
        if self._projection is None:
            self._projection = project(self.day)
        return self._projection

    def risk(self, rest: str) -> Explanation:
        found, leg, tank = self._leg_and_tank(rest)
        return explain_risk(self.day, found, leg, tank)

    def level(self, rest: str) -> Explanation:
        found, leg, tank = self._leg_and_tank(rest)
        return explain_level(self.day, found, leg, tank)

    def mass(self, rest: str) -> Explanation:
        found, leg = self._aircraft(rest)
        return explain_mass(self.day, found, self._leg(found, leg))

    def uplift(self, rest: str) -> Explanation:
        return explain_uplift(self.day, *self._service(rest))

    def service(self, rest: str) -> Explanation:
        return explain_service(self.day, *self._service(rest))

    def plan(self, rest: str) -> Explanation:
        return explain_plan(self.day, self._aircraft(f"{rest}:")[0].rotation)

    def trigger(self, rest: str) -> Explanation:
        head, tank = _tank(rest)
        found, turn = self._aircraft(head)
        count = len(found.rotation.legs)
        if not turn.isascii() or not turn.isdigit() or int(turn) >= count:
            raise ExplainError(
                tr("{aircraft} has no turn {turn!r} before a leg: name one of 0 to {last}").format(
                    aircraft=found.rotation.registration, turn=turn, last=count - 1
                )
            )
        return explain_trigger(self.day, found.rotation, int(turn), tank)

    def warning(self, rest: str) -> Explanation:
        rows = self.projection.warnings
        if not rest.isascii() or not rest.isdigit() or not 1 <= int(rest) <= len(rows):
            raise ExplainError(
                tr("there is no warning {name!r}: the day has {n}, counted from 1").format(name=rest, n=len(rows))
            )
        return explain_warning(self.day, self.projection, rows[int(rest) - 1], f"warning:{rest}")

    def figure(self, rest: str) -> Explanation:
        return explain_figure(self.day, rest)

    # what a name means

    def _leg_and_tank(self, rest: str) -> tuple[AircraftProjection, int, Tank]:
        head, tank = _tank(rest)
        found, leg = self._aircraft(head)
        return found, self._leg(found, leg), tank

    def _aircraft(self, rest: str) -> tuple[AircraftProjection, str]:
        """The aircraft that a text begins with, and what follows: names may hold colons themselves."""
        aircraft = self.projection.aircraft
        for name in sorted(aircraft, key=len, reverse=True):
            if rest.startswith(f"{name}:"):
                return aircraft[name], rest[len(name) + 1 :]
        raise ExplainError(tr("no aircraft of the day is named at the start of {text!r}").format(text=rest[:60]))

    def _leg(self, found: AircraftProjection, name: str) -> int:
        legs = found.rotation.legs
        for keys in ([leg.id for leg in legs], [leg.flight for leg in legs]):
            if keys.count(name) == 1:
                return keys.index(name)
        known = ", ".join(leg.id for leg in legs)
        raise ExplainError(
            tr("{aircraft} has no leg or flight {name!r}: its legs are {legs}").format(
                aircraft=found.rotation.registration, name=name[:60], legs=known
            )
        )

    def _service(self, name: str) -> tuple[AircraftProjection, ServiceResult]:
        for found in self.projection.aircraft.values():
            for row in found.services:
                if row.service.id == name:
                    return found, row
        raise ExplainError(tr("no service {name!r} takes part in the day").format(name=name[:60]))


def _tank(rest: str) -> tuple[str, Tank]:
    head, _, name = rest.rpartition(":")
    for tank in TANKS:
        if name == tank:
            return head, tank
    raise ExplainError(tr("{text!r} has to end in :fresh or :waste").format(text=rest[:60]))
