"""Whether the window toolkit can start here. It would end the process itself, with words for programmers.

Package names are those of Debian 12; they are what a bare system needs for each library that is looked up.
"""

from __future__ import annotations

import ctypes
import os
import sys
from collections.abc import Mapping
from typing import Final

_TO_PAINT: Final = {
    "libglib-2.0.so.0": "libglib2.0-0 (libglib2.0-0t64 on Debian 13 and Ubuntu 24.04)",
    "libEGL.so.1": "libegl1",
    "libGL.so.1": "libgl1",
    "libdbus-1.so.3": "libdbus-1-3",
    "libfontconfig.so.1": "libfontconfig1",
    "libxkbcommon.so.0": "libxkbcommon0",
}
_FOR_A_WINDOW: Final = {
    "libxcb-cursor.so.0": "libxcb-cursor0",
    "libxcb-icccm.so.4": "libxcb-icccm4",
    "libxcb-keysyms.so.1": "libxcb-keysyms1",
    "libxcb-shape.so.0": "libxcb-shape0",
    "libxcb-xkb.so.1": "libxcb-xkb1",
    "libxkbcommon-x11.so.0": "libxkbcommon-x11-0",
}
_NO_DISPLAY: Final = (
    "there is no display to open a window on. `legtide picture DAY -o FILE.png` draws the board without one, and "
    "`legtide project DAY` prints it"
)


def why_no_picture() -> str:
    """A sentence that says what is missing for painting without a window; empty when nothing is."""
    return _missing(_TO_PAINT) if sys.platform == "linux" else ""


def why_no_window() -> str:
    """A sentence that says what is missing for a window; empty when nothing is."""
    if sys.platform != "linux":
        return ""
    platform = os.environ.get("QT_QPA_PLATFORM", "")
    on_x11 = platform.startswith("xcb") or (not platform and not os.environ.get("WAYLAND_DISPLAY"))
    if not platform and on_x11 and not os.environ.get("DISPLAY"):
        return _NO_DISPLAY
    reason = _missing({**_TO_PAINT, **_FOR_A_WINDOW} if on_x11 else _TO_PAINT)
    if not reason and on_x11 and not _x11_answers():
        return f"the display {os.environ.get('DISPLAY', '')} does not answer: " + _NO_DISPLAY
    return reason


def _missing(libraries: Mapping[str, str]) -> str:
    packages = []
    for library, package in libraries.items():
        try:
            ctypes.CDLL(library)
        except OSError:
            packages.append(package)
    if not packages:
        return ""
    return f"libraries of the system are missing that the window toolkit needs. Install: {', '.join(packages)}"


def _x11_answers() -> bool:
    """Whether the X server takes a connection; True when that cannot be tried."""
    try:
        xcb = ctypes.CDLL("libxcb.so.1")
    except OSError:
        return True
    xcb.xcb_connect.restype = ctypes.c_void_p
    connection = ctypes.c_void_p(xcb.xcb_connect(None, None))
    try:
        return not xcb.xcb_connection_has_error(connection)
    finally:
        xcb.xcb_disconnect(connection)
