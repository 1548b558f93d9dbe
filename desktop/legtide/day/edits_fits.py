"""Edits of the list of fits: adding, changing, renaming and removing, with the aircraft that have them."""

from __future__ import annotations

from typing import Any

from legtide.day.document import Day, Fit
from legtide.day.edits import EditError, rebuilt
from legtide.language import tr


def add_fit(day: Day, fit: Fit) -> Day:
    """One more fit; the same fit twice changes nothing. Raises EditError when its id is taken by another."""
    if fit in day.fits:
        return day
    _refuse_taken(day, fit.id)
    return day.model_copy(update={"fits": (*day.fits, fit)})


def put_fit(day: Day, fit_id: str, fit: Fit) -> Day:
    """A fit in the place of another; under a new id its aircraft follow. Raises EditError."""
    old = next((row for row in day.fits if row.id == fit_id), None)
    if old is None:
        raise EditError(tr("fit {fit} is not in the day").format(fit=fit_id))
    if old == fit:
        return day
    changes: dict[str, Any] = {"fits": tuple(fit if row is old else row for row in day.fits)}
    if fit.id != fit_id:
        _refuse_taken(day, fit.id)
        if any(row.fit == fit_id for row in day.aircraft):
            changes["aircraft"] = tuple(
                rebuilt(row, fit=fit.id) if row.fit == fit_id else row for row in day.aircraft
            )
    return day.model_copy(update=changes)


def remove_fit(day: Day, fit_id: str) -> Day:
    """The day without a fit. Raises EditError while an aircraft has it."""
    kept = tuple(row for row in day.fits if row.id != fit_id)
    if len(kept) == len(day.fits):
        raise EditError(tr("fit {fit} is not in the day").format(fit=fit_id))
    users = [row.registration for row in day.aircraft if row.fit == fit_id]
    if users:
        words = tr("{users} have the fit {fit}") if len(users) <= 3 else tr("{users} and others have the fit {fit}")
        raise EditError(words.format(users=", ".join(users[:3]), fit=fit_id))
    return day.model_copy(update={"fits": kept})


def unused_fit_id(day: Day, wanted: str) -> str:
    """An id like the wanted one that no fit of the day has: `jet-70`, `jet-70-2`, `jet-70-3` and so on."""
    taken = {row.id for row in day.fits}
    if wanted not in taken:
        return wanted
    number = 2
    while f"{wanted[:60]}-{number}" in taken:
        number += 1
    return f"{wanted[:60]}-{number}"


def _refuse_taken(day: Day, fit_id: str) -> None:
    if any(row.id == fit_id for row in day.fits):
        raise EditError(tr("fit {fit} is in the day already").format(fit=fit_id))
