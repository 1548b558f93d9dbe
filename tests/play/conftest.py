"""The demo days as rounds, opened once."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import pytest

from legtide.files.day_file import load
from legtide.play.rounds import Round, begin_round
from legtide.shipped import demo_days


@cache
def _opened(name: str, seed: int) -> Round:
    return begin_round(load(demo_days() / f"{name}.day.json").day, seed)


@pytest.fixture
def opened() -> Callable[[str, int], Round]:
    """A demo day's round at its beginning, by name and seed."""
    return _opened
