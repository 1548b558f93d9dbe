"""The whole board laid out: header, gutter, rows, truck lanes, legend. A pure object; nothing is painted here.

View coordinates begin at the board's top left corner; `x` of a scale begins where the scale's origin is. The
layout turns one into the other, says what lies where, and is made anew whenever anything moves.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from PySide6.QtCore import QRectF

from legtide.draw.axis import HEADER_PX
from legtide.draw.fan import Window
from legtide.draw.gutter import GUTTER_PX
from legtide.draw.lanes import LANE_PX, LaneGroup, lanes_height
from legtide.draw.legend import LEGEND_PX
from legtide.draw.rows import RowBox, RowStack
from legtide.draw.scale import TimeScale

LANES_SHARE = 0.36
"""Most of the height that truck lanes may take before they scroll on their own."""


@dataclass(frozen=True, slots=True)
class BoardLayout:
    """Where the parts of a board lie, view pixels."""

    width: int
    height: int
    scale: TimeScale
    stack: RowStack
    groups: tuple[LaneGroup, ...]
    scroll_x: int = 0
    """Pixel of the scale at the plot's left edge."""
    scroll_y: int = 0
    """Pixel of the rows at the top of their area."""
    scroll_lanes: int = 0
    legend: bool = True
    """Whether the board ends with a legend."""

    @property
    def plot_width(self) -> int:
        """Width of the part right of the gutter."""
        return max(self.width - GUTTER_PX, 1)

    @property
    def legend_px(self) -> int:
        """Height of the legend strip."""
        return LEGEND_PX if self.legend else 0

    @property
    def lanes_px(self) -> int:
        """Height of the truck lanes' area."""
        room = int((self.height - HEADER_PX - self.legend_px) * LANES_SHARE) // LANE_PX * LANE_PX + 4
        return min(lanes_height(self.groups), max(room, 0))

    @property
    def rows_bottom(self) -> int:
        """First pixel below the rows' area."""
        return max(self.height - self.legend_px - self.lanes_px, HEADER_PX)

    @property
    def rows_px(self) -> int:
        """Height of the rows' area."""
        return self.rows_bottom - HEADER_PX

    @property
    def window(self) -> Window:
        """The pixels of the scale that are in view."""
        return Window(float(self.scroll_x), float(self.scroll_x + self.plot_width))

    @property
    def header(self) -> QRectF:
        """The time header, gutter part included."""
        return QRectF(0.0, 0.0, self.width, HEADER_PX)

    @property
    def rows(self) -> QRectF:
        """The rows' area, gutter included."""
        return QRectF(0.0, HEADER_PX, self.width, self.rows_px)

    @property
    def plot(self) -> QRectF:
        """The rows' area right of the gutter."""
        return QRectF(GUTTER_PX, HEADER_PX, self.plot_width, self.rows_px)

    @property
    def lanes(self) -> QRectF:
        """The truck lanes' area, gutter included."""
        return QRectF(0.0, self.rows_bottom, self.width, self.lanes_px)

    @property
    def legend_rect(self) -> QRectF:
        """The legend strip."""
        return QRectF(0.0, self.height - self.legend_px, self.width, self.legend_px)

    def view_x(self, x: float) -> float:
        """View pixel of a pixel of the scale."""
        return x - self.scroll_x + GUTTER_PX

    def scale_x(self, view_x: float) -> float:
        """Pixel of the scale of a view pixel."""
        return view_x - GUTTER_PX + self.scroll_x

    def x_of(self, minutes: float) -> float:
        """View pixel of a time."""
        return self.view_x(self.scale.x(minutes))

    def minutes_at(self, view_x: float) -> float:
        """Time of a view pixel."""
        return self.scale.minutes(self.scale_x(view_x))

    def view_top(self, box: RowBox) -> int:
        """View pixel of a row's top."""
        return box.top - self.scroll_y + HEADER_PX

    def row_rect(self, box: RowBox) -> QRectF:
        """A row's place in the view, gutter included; it may lie outside the rows' area."""
        return QRectF(0.0, self.view_top(box), self.width, box.frame.height)

    def row_at(self, view_y: float) -> RowBox | None:
        """The row at a view pixel; None outside the rows' area."""
        if not HEADER_PX <= view_y < self.rows_bottom:
            return None
        return self.stack.at(view_y - HEADER_PX + self.scroll_y)

    def rows_in(self, top: float, bottom: float) -> Sequence[RowBox]:
        """The rows that lie between two view pixels."""
        first = max(top, HEADER_PX) - HEADER_PX + self.scroll_y
        last = min(bottom, self.rows_bottom) - HEADER_PX + self.scroll_y
        return self.stack.between(first, last) if last > first else ()

    @property
    def most_scroll_y(self) -> int:
        """Highest useful value of `scroll_y`."""
        return max(self.stack.height - self.rows_px, 0)

    @property
    def most_scroll_lanes(self) -> int:
        """Highest useful value of `scroll_lanes`."""
        return max(lanes_height(self.groups) - self.lanes_px, 0)
