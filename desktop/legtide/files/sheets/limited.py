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

from legtide.language import language, load_language, tr

MOST_ANSWER: Final = 256 * 2**20
_LOOK_S: Final = 0.05


class LimitError(RuntimeError):
    """The process was ended, or ended itself, without an answer; the message says of the file why."""


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
        args=(theirs, work, argument, round(seconds) + 1, memory_mb, language()),
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
                words = tr("is a workbook that took longer than {seconds:g} seconds to read, and was left")
                raise LimitError(words.format(seconds=seconds))
        return ours.recv_bytes(MOST_ANSWER)
    except (EOFError, OSError):
        words = tr("is a workbook that needs more than {size} MB of memory, or made its reader fail")
        raise LimitError(words.format(size=memory_mb)) from None
    finally:
        ours.close()
        process.kill()
        process.join()


def _serve(
    connection: Connection,
    work: Callable[[bytes, str], bytes],
    argument: str,
    seconds: int,
    memory_mb: int,
    spoken: str,
) -> None:
    """The process: one answer, or none. It says nothing of its own: a fault in it is the parent's sentence.

    `spoken` is the language of the reasons in its answer.
    """
    # A panic of a compiled library is no Exception.
    with contextlib.suppress(BaseException):
        nowhere = os.open(os.devnull, os.O_WRONLY)
        os.dup2(nowhere, 1)
        os.dup2(nowhere, 2)
        data = connection.recv_bytes()
        load_language(spoken)
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
