"""What the numbers on the card of the selection are: the formula in words, and where its figures come from."""

from __future__ import annotations

from typing import Final

from legtide.language import tr

_LEVEL: Final = (
    "Median level, in brackets the band that holds nine outcomes in ten. Level = what was there - what is used: "
    "heads x visits an hour x litres a visit, each uncertain. Rates: Policy and assumptions, Usage."
)
_RISK: Final = (
    "Probability that the level passes its limit by the end of the leg. Limit: Policy and assumptions, Policy."
)
_TRIGGER: Final = (
    "With this reading the risk limit is kept up to the next service. Without one in between: the gauge decides. "
    "Steps and error of the gauge: the fit."
)
TIPS: Final = {
    "Before": _LEVEL,
    "After": _LEVEL,
    "Fresh water": _LEVEL,
    "Waste": _LEVEL,
    "Water at departure": _LEVEL,
    "Water on arrival": _LEVEL,
    "Waste on arrival": _LEVEL,
    "Fills": "Litres that go in: the level after the service less that before it. Median, and nine outcomes in ten.",
    "Drains": "Litres that come out: the level before it less the pre-charge. Median, and nine outcomes in ten.",
    "Worked": "Connecting, then litres / flow of a fill, or the time of a drain. Figures: those of the fit.",
    "Latest start": "The latest at which the work ends in time before off blocks. Margins: those of the policy.",
    "Water mass": "Mean level at departure x density of water at the temperature of the last fill (load sheet).",
    "Below reserve": _RISK,
    "Above waste limit": _RISK,
    "Skip water at": _TRIGGER,
    "Skip waste at": _TRIGGER,
    "Length": "On blocks to off blocks, estimates and actual times before the schedule.",
}
"""English label on the card -> what it is."""


def tip_of(label: str) -> str:
    """What a label of the card means; empty where the label says it all."""
    return next((tr(tip) for words, tip in TIPS.items() if tr(words) == label), "")
