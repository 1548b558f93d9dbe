"""Which part of the board is in view: zoom and scroll positions, always within what there is."""

from __future__ import annotations

import math
from dataclasses import replace
from typing import Final

from legtide.draw.board import BoardLayout
from legtide.draw.lanes import LaneGroup
from legtide.draw.rows import RowStack, stacked
from legtide.draw.scale import TimeScale, fitted

MARGIN_MIN: Final = 25.0
"""Room before the first and after the last thing of the day, minutes."""
DAY_MIN: Final = 1440.0


def whole_step(device_ratio: float) -> int:
    """The smallest number of logical pixels that is a whole number of device pixels (1 where none is found)."""
    for step in range(1, 9):
        if abs(step * device_ratio - round(step * device_ratio)) < 1e-6:
            return step
    return 1


class Viewport:
    """Holds the present layout and makes new ones; every change goes through `_put`, which keeps it in bounds."""

    def __init__(self, legend: bool = False) -> None:
        self._start, self._end = 0.0, 60.0
        self._step = 1
        self._whole = True
        self.layout = BoardLayout(800, 600, TimeScale(0.0, 1.0), stacked(0, None, "normal", 60), (), legend=legend)

    # what there is ----------------------------------------------------------------------------------------

    def set_range(self, start: float, end: float, *, may_shrink: bool) -> None:
        """From when to when there is something to see (minutes). Under a held mouse it may grow, not shrink."""
        start, end = start - MARGIN_MIN, end + MARGIN_MIN
        if not may_shrink:
            start, end = min(start, self._start), max(end, self._end)
        if (start, end) == (self._start, self._end):
            return
        self._start, self._end = start, end
        if self._whole and may_shrink:
            self.show_whole()
        else:
            self._put(self.layout)

    def restart(self, start: float, end: float) -> None:
        """Another day: its origin is the midnight before it, and the whole of it is shown."""
        origin = math.floor((start - MARGIN_MIN) / DAY_MIN) * DAY_MIN
        self.layout = replace(self.layout, scale=TimeScale(origin, self.layout.scale.px_per_min), scroll_y=0)
        self._start, self._end = start - MARGIN_MIN, end + MARGIN_MIN
        self.show_whole()

    def set_size(self, width: int, height: int, device_ratio: float) -> None:
        """The size of the view in logical pixels."""
        self._step = whole_step(device_ratio)
        self.layout = replace(self.layout, width=width, height=height)
        if self._whole:
            self.show_whole()
        else:
            self._put(self.layout)

    def set_rows(self, stack: RowStack, keep: int | None = None) -> None:
        """Other rows; row `keep` stays where it is on the screen as far as possible."""
        old = self.layout
        scroll_y = old.scroll_y
        if keep is not None and keep < len(old.stack.boxes) and keep < len(stack.boxes):
            scroll_y += stack.boxes[keep].top - old.stack.boxes[keep].top
        self._put(replace(old, stack=stack, scroll_y=scroll_y))

    def set_groups(self, groups: tuple[LaneGroup, ...]) -> None:
        """Other truck lanes."""
        self._put(replace(self.layout, groups=groups))

    # time -------------------------------------------------------------------------------------------------

    @property
    def whole(self) -> bool:
        """Whether the whole day is kept in view."""
        return self._whole

    def show_whole(self) -> None:
        """Shows the whole day, and keeps it in view when the size changes."""
        self._whole = True
        wanted = fitted(self._start, self._end, self.layout.plot_width)
        scale = TimeScale(self.layout.scale.origin, wanted.px_per_min)
        self.layout = replace(self.layout, scroll_x=math.ceil(scale.x(self._start) / self._step) * self._step)
        self._put(replace(self.layout, scale=scale))

    def show_between(self, start: float, end: float) -> None:
        """Shows a stretch of time (minutes)."""
        self._whole = False
        wanted = fitted(start, end, self.layout.plot_width)
        scale = TimeScale(self.layout.scale.origin, wanted.px_per_min)
        self._put(replace(self.layout, scale=scale, scroll_x=round(scale.x(start))))

    def zoom_at(self, factor: float, view_x: float) -> None:
        """Zooms; the time at the view pixel stays where it is. Zooming out ends at the whole day."""
        layout = self.layout
        least = layout.plot_width / max(self._end - self._start, 1.0)
        if layout.scale.px_per_min * factor <= least:
            self.show_whole()
            return
        self._whole = False
        minutes = layout.minutes_at(view_x)
        scale = layout.scale.zoomed(factor)
        scroll_x = round(scale.x(minutes) - (view_x - layout.view_x(layout.scroll_x)))
        self._put(replace(layout, scale=scale, scroll_x=scroll_x))

    # scrolling --------------------------------------------------------------------------------------------

    @property
    def bounds_x(self) -> tuple[int, int]:
        """Least and most of `scroll_x`."""
        if self._whole:
            return self.layout.scroll_x, self.layout.scroll_x
        scale = self.layout.scale
        least = math.floor(scale.x(self._start))
        return least, max(math.ceil(scale.x(self._end)) - self.layout.plot_width, least)

    def scroll_to(self, x: int | None = None, y: int | None = None, lanes: int | None = None) -> None:
        """Scrolls to pixels of the scale, the rows or the lanes."""
        layout = self.layout
        self._put(
            replace(
                layout,
                scroll_x=layout.scroll_x if x is None else x,
                scroll_y=layout.scroll_y if y is None else y,
                scroll_lanes=layout.scroll_lanes if lanes is None else lanes,
            )
        )

    def reveal_row(self, index: int) -> None:
        """Scrolls as little as needed to see a row whole."""
        layout = self.layout
        if index >= len(layout.stack.boxes):
            return
        box = layout.stack.boxes[index]
        y = min(layout.scroll_y, box.top)
        if box.bottom - y > layout.rows_px:
            y = min(box.bottom - layout.rows_px, box.top)
        self.scroll_to(y=y)

    def reveal_time(self, minutes: float, margin_px: float = 80.0) -> None:
        """Scrolls as little as needed to see a time with some room at both sides."""
        layout = self.layout
        x, window = layout.scale.x(minutes), layout.window
        margin = min(margin_px, layout.plot_width / 3.0)
        if x < window.left + margin:
            self.scroll_to(x=round(x - margin))
        elif x > window.right - margin:
            self.scroll_to(x=round(x + margin - layout.plot_width))

    def _put(self, wanted: BoardLayout) -> None:
        self.layout = wanted
        least, most = self.bounds_x
        snapped = wanted.scroll_x // self._step * self._step
        self.layout = replace(
            wanted,
            scroll_x=min(max(snapped, least), most),
            scroll_y=min(max(wanted.scroll_y // self._step * self._step, 0), wanted.most_scroll_y),
            scroll_lanes=min(max(wanted.scroll_lanes, 0), wanted.most_scroll_lanes),
        )
