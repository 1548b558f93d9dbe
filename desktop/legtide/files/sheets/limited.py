"""A function run in a process of its own, with limits on its time and, where the system has them, on its memory.

What comes back is bytes, never an object: unpickling what a process made that has read a stranger's file could let
the file run code.
"""

from __future__ import annotations

import contextlib
import multiprocessing
import os
import sys
import time
from collections.abc import Callable
from multiprocessing.connection import Connection
from typing import Final

MOST_ANSWER: Final = 256 * 2**20
_LOOK_S: Final = 0.05


class LimitError(RuntimeError):
    """The process was ended, or ended itself, without an answer; the message is a sentence's end."""


def run_limited(
    work: Callable[[bytes, str], bytes],
    data: bytes,
    argument: str,
    *,
    seconds: float,
    memory_mb: int,
    watch: Callable[[], object] = lambda: None,
) -> bytes:
    """Runs `work(data, argument)` in a spawned process and gives its answer.

    Args:
        work: a function of a module; it answers with bytes.
        data: what it is given.
        argument: what else it is given.
        seconds: how long it may take, by the clock.
        memory_mb: address space that it may use, where the system can limit that.
        watch: called many times a second; what it raises ends the process.

    Raises LimitError.
    """
    context = multiprocessing.get_context("spawn")
    ours, theirs = context.Pipe()
    process = context.Process(
        target=_serve,
        args=(theirs, work, argument, round(seconds) + 1, memory_mb),
        name="legtide-sheets",
        daemon=True,
    )
    process.start()
    theirs.close()
    ends = time.monotonic() + seconds
    try:
        ours.send_bytes(data)
        while not ours.poll(_LOOK_S):
            watch()
            if time.monotonic() > ends:
                raise LimitError(f"took longer than {seconds:g} seconds to read, and was left")
        return ours.recv_bytes(MOST_ANSWER)
    except (EOFError, OSError):
        raise LimitError(f"needs more than {memory_mb} MB of memory, or made its reader fail") from None
    finally:
        ours.close()
        process.kill()
        process.join()


def _serve(
    connection: Connection, work: Callable[[bytes, str], bytes], argument: str, seconds: int, memory_mb: int
) -> None:
    """The process: one answer, or none. It says nothing of its own: a fault in it is the parent's sentence."""
    # A panic of a compiled library is no Exception.
    with contextlib.suppress(BaseException):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, 1)
        os.dup2(nowhere, 2)
        data = connection.recv_bytes()
        _limit(seconds, memory_mb)
        connection.send_bytes(work(data, argument))


def _limit(seconds: int, memory_mb: int) -> None:
    """Limits this process; a system without such limits has those of the parent's clock alone."""
    if sys.platform == "win32":
        return
    import resource

    most = memory_mb * 2**20
    for kind, limit in (
        (resource.RLIMIT_AS, most),
        (resource.RLIMIT_CPU, seconds),
        (resource.RLIMIT_CORE, 0),
        (resource.RLIMIT_FSIZE, 0),
    ):
        with contextlib.suppress(ValueError, OSError):
            resource.setrlimit(kind, (limit, limit))
