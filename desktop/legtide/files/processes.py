"""Whether another process still runs, and how this one is named in files that others read."""

from __future__ import annotations

import hashlib
import os
import socket
import sys


def host_token() -> str:
    """Eight hexadecimal digits that stand for this machine."""
    return hashlib.sha256(socket.gethostname().encode("utf-8", "surrogateescape")).hexdigest()[:8]


def alive(pid: int) -> bool:
    """Whether a process of that number runs on this machine; True when that cannot be told."""
    if pid <= 0:
        return False
    if sys.platform == "win32":
        return _alive_on_windows(pid)
    try:
        os.kill(pid, 0)
    except ProcessLookupError:
        return False
    except (OSError, OverflowError):
        return True
    return not _is_defunct(pid)


def _is_defunct(pid: int) -> bool:
    """Whether the process has ended and only waits to be collected (Linux; elsewhere False)."""
    try:
        with open(f"/proc/{pid}/stat", "rb") as stat:  # noqa: PTH123
            return stat.read().rpartition(b")")[2].split()[:1] == [b"Z"]
    except OSError:
        return False


def started(pid: int) -> str:
    """When a process started, as a text to compare; empty where the system does not say (it does on Linux).

    Process numbers are used again: the start tells a process from a later one of the same number.
    """
    try:
        with open(f"/proc/{pid}/stat", "rb") as stat:  # noqa: PTH123
            return stat.read().rpartition(b")")[2].split()[19].decode("ascii")
    except (OSError, IndexError, UnicodeDecodeError):
        return ""


if sys.platform == "win32":

    def _alive_on_windows(pid: int) -> bool:
        # os.kill(pid, 0) would send Ctrl+C there.
        import ctypes

        query_limited_information, still_active = 0x1000, 259
        kernel = ctypes.windll.kernel32
        handle = kernel.OpenProcess(query_limited_information, False, pid)
        if not handle:
            access_denied = 5
            return bool(kernel.GetLastError() == access_denied)
        try:
            code = ctypes.c_ulong()
            return bool(kernel.GetExitCodeProcess(handle, ctypes.byref(code))) and code.value == still_active
        finally:
            kernel.CloseHandle(handle)
