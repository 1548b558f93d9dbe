"""Where the board looks: zoom presets, now, banks, and finding an aircraft or a service."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from legtide.day.rotations import off_blocks
from legtide.draw.gutter import GUTTER_PX
from legtide.engine.types import to_minutes
from legtide.view.timeline.banks import bank_after

if TYPE_CHECKING:
    from legtide.view.timeline.canvas import BoardCanvas

ZOOM_STEP: Final = 1.25
_NOW_SHARE: Final = 0.25
"""Now stands a quarter into the view: what is to come needs the room."""
_BANK_MARGIN_MIN: Final = 20.0


class Navigator:
    """Moves the view of a canvas."""

    def __init__(self, canvas: BoardCanvas) -> None:
        self._canvas = canvas
        self._model = canvas.model

    @property
    def _centre_px(self) -> float:
        return GUTTER_PX + self._model.layout.plot_width / 2.0

    def show_day(self) -> None:
        """Zooms to the whole day, and keeps it in view when the window changes its size."""
        self._model.viewport.show_whole()
        self._canvas.moved()

    def show_hours(self, hours: float) -> None:
        """Zooms to some hours: about now if there is a now, else about what is in the middle."""
        now = self._model.now
        share = 0.5 if now is None else _NOW_SHARE
        centre = self._model.layout.minutes_at(self._centre_px) if now is None else now
        self.show_between(centre - share * hours * 60.0, centre + (1.0 - share) * hours * 60.0)

    def show_between(self, start: float, end: float) -> None:
        """Zooms to a stretch of time, minutes since 1970."""
        self._model.viewport.show_between(start, end)
        self._canvas.moved()

    def jump_to_now(self) -> bool:
        """Scrolls so that now lies a quarter into the view; False when no moment is now."""
        now, layout = self._model.now, self._model.layout
        if now is None:
            return False
        self._model.viewport.scroll_to(x=round(layout.scale.x(now) - layout.plot_width * _NOW_SHARE))
        self._canvas.moved()
        return True

    def zoom(self, factor: float, view_x: float | None = None) -> None:
        """Zooms at a view pixel, or at the middle."""
        self._model.viewport.zoom_at(factor, self._centre_px if view_x is None else view_x)
        self._canvas.moved()

    def zoom_to_bank(self) -> bool:
        """Zooms to the next bank at the local station after now (or after the view's left edge); False if none."""
        station, now = self._canvas.workspace.local_station, self._model.now
        if station is None:
            return False
        after = self._model.layout.minutes_at(GUTTER_PX) if now is None else now
        bank = bank_after(self._model.content, station, after)
        if bank is None:
            return False
        self.show_between(bank.start - _BANK_MARGIN_MIN, bank.end + _BANK_MARGIN_MIN)
        return True

    def reveal(self, registration: str) -> bool:
        """Selects an aircraft and scrolls to it; False when the day does not have it."""
        place = self._model.content.index.get(registration)
        if place is None:
            return False
        self._canvas.workspace.select(registration)
        self._reveal_row(place)
        return True

    def reveal_turn(self, registration: str, turn: int) -> bool:
        """Selects a turn and scrolls to it; False when the day does not have it."""
        place, box = self._model.content.index.get(registration), self._model.box(registration)
        if place is None or box is None:
            return False
        spans = [row for row in self._model.scene(box).turns if row.turn.number == turn]
        if not spans:
            return False
        self._canvas.workspace.select(registration, turn=turn)
        self._model.viewport.reveal_time(self._model.layout.scale.minutes((spans[0].left + spans[0].right) / 2.0))
        self._reveal_row(place)
        return True

    def reveal_leg(self, leg_id: str) -> bool:
        """Selects a leg and scrolls to it; False when the board does not have it."""
        for place, row in enumerate(self._model.content.rows):
            for leg in row.rotation.legs:
                if leg.id == leg_id:
                    self._canvas.workspace.select(leg=leg_id)
                    self._model.viewport.reveal_time(to_minutes(off_blocks(leg)))
                    self._reveal_row(place)
                    return True
        return False

    def reveal_service(self, service_id: str) -> bool:
        """Selects a service and scrolls to it; False when the board does not have it."""
        marker = self._model.marker(service_id)
        if marker is None:
            return False
        self._canvas.workspace.select(service=service_id)
        self._model.viewport.reveal_time(marker.start)
        self._reveal_row(self._model.content.index[marker.service.aircraft])
        return True

    def follow(self, minutes: float) -> None:
        """Scrolls as little as needed to keep a time in view."""
        before = self._model.layout
        self._model.viewport.reveal_time(minutes)
        if self._model.layout != before:
            self._canvas.moved()

    def _reveal_row(self, place: int) -> None:
        self._model.viewport.reveal_row(place)
        self._canvas.moved()
