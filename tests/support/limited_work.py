"""Work for limited processes: they import it by name, which they cannot do with a module of tests."""

from __future__ import annotations

import time


def hungry(_data: bytes, _argument: str) -> bytes:
    """Wants 400 megabytes."""
    return bytes(len(bytearray(400 * 2**20)) // (200 * 2**20))


def endless(_data: bytes, _argument: str) -> bytes:
    """Never answers."""
    while True:
        time.sleep(0.01)


def honest(data: bytes, argument: str) -> bytes:
    """Answers at once."""
    return data[::-1] + argument.encode()
