"""Learns usage rates and spreads from the readings of past days, per fit and cabin service."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Final

from legtide.day.document import Day, Usage
from legtide.engine.learn.chains import Chain, chains_of, link_table
from legtide.engine.learn.estimate import Fit, estimates, fit, mean_rates
from legtide.engine.learn.records import Learned, Learning
from legtide.engine.usage import Rates
from legtide.language import tr

FEWEST: Final = 20
"""Fewer readings than this of a fit or cabin service are not estimated by themselves."""


def learn(days: Sequence[Day], usage: Usage | None = None) -> Learning:
    """Usage rates and spreads with their uncertainty.

    Args:
        days: past days with readings; services that the day has as planned or done are taken to have happened.
        usage: what is assumed besides; that of the latest day by default.

    Returns:
        Groups: all together first, then each fit, then each fit with each cabin service. No group where readings are
        too few; the notes say so.
    """
    chains = chains_of(days)
    if not chains:
        return Learning((), (tr("No reading of these days follows a leg from a level that is known"),))
    rates = Rates.of(usage if usage is not None else max(days, key=lambda day: day.date).usage)
    groups, notes = [], []
    fits: dict[tuple[int, ...], Fit] = {}
    last: Fit | None = None
    for name, service, members in _groups(chains):
        readings = sum(len(chain.links) for chain in members)
        if readings < FEWEST:
            what = ", ".join(part for part in (name, service) if part) or tr("all days together")
            notes.append(
                tr("{what}: {readings} readings are too few (at least {fewest})").format(
                    what=what, readings=readings, fewest=FEWEST
                )
            )
            continue
        key = tuple(id(chain) for chain in members)
        if key not in fits:
            fits[key] = fit(link_table(members), rates, last)
        last = fits[key]
        groups.append(_learned(name, service, members, rates, last))
    return Learning(tuple(groups), tuple(notes))


def _groups(chains: list[Chain]) -> list[tuple[str, str, list[Chain]]]:
    """Fit, cabin service and chains of each group. A chain over legs of several services counts for its fit alone."""
    fits = sorted({chain.fit for chain in chains})
    out: list[tuple[str, str, list[Chain]]] = [("", "", chains)]
    for name in fits:
        own = [chain for chain in chains if chain.fit == name]
        out.append((name, "", own))
        pure = {id(chain): next(iter(chain.services)) for chain in own if len(chain.services) == 1}
        for service in sorted(set(pure.values())):
            out.append((name, service, [chain for chain in own if pure.get(id(chain)) == service]))
    return out


def _learned(name: str, service: str, members: list[Chain], rates: Rates, found: Fit) -> Learned:
    return Learned(
        fit=name,
        cabin_service=service,
        days=tuple(sorted({chain.day for chain in members})),
        aircraft_days=len({(chain.day, chain.aircraft) for chain in members}),
        readings=sum(len(chain.links) for chain in members),
        estimates=estimates(found, rates),
        rates=mean_rates(found, rates),
    )
