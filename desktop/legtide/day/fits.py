"""The generic fits that come with the program, one JSON file each in the shipped `resources/fits` folder."""

from __future__ import annotations

from functools import cache
from typing import Final

from legtide import shipped
from legtide.day.document import Fit

FIT_IDS: Final = (
    "turboprop-70",
    "jet-70",
    "jet-100",
    "single-aisle-120",
    "single-aisle-180",
    "single-aisle-220",
    "twin-aisle-300",
)
"""Ids of the shipped fits, small to large. Other programs rely on them: none is renamed or taken away."""

DEFAULT_FIT: Final = "single-aisle-180"


class UnknownFitError(LookupError):
    """A fit that is not shipped; the message names those that are."""


@cache
def shipped_fit(fit_id: str) -> Fit:
    """The shipped fit of that id, validated.

    Raises UnknownFitError for any other id.
    """
    if fit_id not in FIT_IDS:
        raise UnknownFitError(f"{fit_id!r} is not a shipped fit; there are {', '.join(FIT_IDS)}")
    return Fit.model_validate_json((shipped.resources() / "fits" / f"{fit_id}.json").read_bytes())


def shipped_fits() -> tuple[Fit, ...]:
    """All shipped fits in the order of `FIT_IDS`."""
    return tuple(shipped_fit(fit_id) for fit_id in FIT_IDS)
