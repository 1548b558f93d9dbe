"""Named random streams: each draw has a name of its own, so that one aircraft or leg more changes no other."""

from __future__ import annotations

import hashlib

import numpy as np


def stream(seed: int, *names: object) -> np.random.Generator:
    """The random stream of a seed and a name; the same numbers every time, whatever else is drawn."""
    name = "\x1f".join([str(seed), *map(str, names)])
    return np.random.default_rng(int.from_bytes(hashlib.sha256(name.encode()).digest()[:16], "big"))
