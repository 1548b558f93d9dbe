"""Where the rows lie, and where things lie inside a row: pure layout, shared by painting and hit testing.

A normal row has an 18 px leg bar, 5 px of gap and one strip in which both tanks run. The selected row has a strip
for each tank. Dense rows have a thin bar and one strip behind it. Heights are multiples of 4, so that rows begin on
whole device pixels at every usual display scale.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import accumulate
from typing import Final, Literal

from legtide.day.document import Tank
from legtide.draw.fan import Strip
from legtide.draw.services import MARKER_DENSE_PX, MARKER_PX

RowStyle = Literal["normal", "focus", "dense"]
NORMAL_PX: Final = 60
FOCUS_PX: Final = 172
TIGHT_PX: Final = 56
TALL_PX: Final = 120
"""Rows of few aircraft on a large screen: the levels take the room that there is."""
OPENED_SHARE: Final = 2.2
"""An opened row among tall ones is this many times as tall."""
DENSE_PX: Final = 20
LEAST_NORMAL_PX: Final = 48
LEAST_DENSE_PX: Final = 14
DENSE_ABOVE: Final = 15
"""Number of aircraft above which rows are dense."""
BAR_PX: Final = 18
GAP_PX: Final = 5


@dataclass(frozen=True, slots=True)
class Frame:
    """Where things lie inside a row, pixels from its top."""

    style: RowStyle
    height: int
    bar_top: float
    bar_bottom: float
    fresh: Strip
    waste: Strip
    marker_y: float
    marker_px: float

    def strip(self, tank: Tank) -> Strip:
        """The strip of a tank."""
        return self.fresh if tank == "fresh" else self.waste


@lru_cache(maxsize=64)
def frame(style: RowStyle, height: int) -> Frame:
    """The inside of a row of a style and height."""
    if style == "dense":
        both = Strip(4.0, height - 3.0)
        return Frame(style, height, 2.0, 6.0, both, both, height / 2.0, min(MARKER_DENSE_PX, height - 3.0))
    top = float(min(max(3, (height - 48) // 2), 6)) if style == "normal" else 6.0
    bar_bottom = top + BAR_PX
    first = bar_bottom + GAP_PX
    if style == "normal":
        both = Strip(first, height - 6.0)
        return Frame(style, height, top, bar_bottom, both, both, top + BAR_PX / 2.0, MARKER_PX)
    # Room above 100 % and below 0 % keeps the hatches of the two tanks apart.
    deep = (height - first - 7.0 - 10.0 - 18.0) / 2.0
    fresh = Strip(first + 7.0, first + 7.0 + deep)
    waste = Strip(fresh.bottom + 18.0, fresh.bottom + 18.0 + deep)
    return Frame(style, height, top, bar_bottom, fresh, waste, top + BAR_PX / 2.0, MARKER_PX)


@dataclass(frozen=True, slots=True)
class RowBox:
    """One row's place on the board, pixels from the top of all rows."""

    index: int
    top: int
    frame: Frame

    @property
    def bottom(self) -> int:
        """First pixel below the row."""
        return self.top + self.frame.height


@dataclass(frozen=True, slots=True)
class RowStack:
    """All rows, one below the other."""

    boxes: tuple[RowBox, ...]
    tops: tuple[int, ...]
    height: int

    def at(self, y: float) -> RowBox | None:
        """The row at a pixel; None above the first and below the last."""
        if not 0 <= y < self.height:
            return None
        return self.boxes[bisect_right(self.tops, y) - 1]

    def between(self, top: float, bottom: float) -> Sequence[RowBox]:
        """The rows that lie at least partly between two pixels."""
        if not self.boxes or bottom <= 0 or top >= self.height:
            return ()
        first = max(bisect_right(self.tops, max(top, 0.0)) - 1, 0)
        last = bisect_left(self.tops, min(bottom, self.height))
        return self.boxes[first:last]


def stacked(count: int, focus: int | None, style: RowStyle, height: int) -> RowStack:
    """`count` rows of one style and height, the row `focus` opened."""
    ordinary, opened = frame(style, height), frame("focus", opened_height(height))
    frames = [opened if place == focus else ordinary for place in range(count)]
    tops = tuple(accumulate((inside.height for inside in frames), initial=0))
    boxes = tuple(RowBox(place, tops[place], inside) for place, inside in enumerate(frames))
    return RowStack(boxes, tops[:-1], tops[-1])


def style_for(count: int) -> RowStyle:
    """Style of the ordinary rows of a window with `count` aircraft."""
    return "dense" if count > DENSE_ABOVE else "normal"


def opened_height(height: int) -> int:
    """Height of the opened row among ordinary rows of a height."""
    return max(FOCUS_PX, int(height * OPENED_SHARE) // 4 * 4)


def normal_height(count: int, room_px: float) -> int:
    """Height of normal rows, one row being open: a little less than usual where that spares a scroll bar.

    Where there is room to spare, as few aircraft have on a large screen, they are taller.
    """
    for height in range(TALL_PX, NORMAL_PX, -4):
        if (count - 1) * height + opened_height(height) <= room_px:
            return height
    open_too = FOCUS_PX - NORMAL_PX
    tight = count * NORMAL_PX + open_too > room_px >= count * TIGHT_PX + open_too
    return TIGHT_PX if tight else NORMAL_PX


def style_to_fit(count: int, room_px: float, *, opens: bool = True) -> tuple[RowStyle, int]:
    """Style and height of rows that share a fixed room, as in a picture: as tall as fits, never below the least.

    `opens`: whether one of them may be opened, and takes its part of the room.
    """
    each = int(room_px // max(count, 1))
    if each >= LEAST_NORMAL_PX:
        tallest = normal_height(count, room_px) if opens else TALL_PX
        return "normal", min(each, tallest)
    return "dense", min(max(each, LEAST_DENSE_PX), DENSE_PX + 8)
