"""What the canvas shows, kept in step with the workspace: rows, scenes, lanes, and which row is opened.

`refresh` compares by identity and answers with what has to be painted again.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import Final, Literal
from zoneinfo import ZoneInfo

from legtide.day.document import Day, Service
from legtide.day.rotations import Rotation
from legtide.draw.board import BoardLayout
from legtide.draw.content import BoardContent, Marker, RowContent, board_content
from legtide.draw.gutter import fit_column
from legtide.draw.lanes import LaneGroup, kept_lanes, lane_groups
from legtide.draw.row_painter import NO_EXTRAS, Extras
from legtide.draw.rows import DENSE_PX, RowBox, normal_height, stacked, style_for, style_to_fit
from legtide.draw.scene import RowScene
from legtide.draw.services import TriggerMark, trigger_mark
from legtide.draw.truth import TruthCurve
from legtide.engine.types import Projection, to_minutes
from legtide.view.timeline.broken import Broken
from legtide.view.timeline.viewport import Viewport
from legtide.workspace.workspace import Workspace

Density = Literal["auto", "normal", "dense", "fit"]
"""`fit`: rows as tall as fit into the view together, for a view that nobody scrolls."""

WHOLE_PX: Final = 4
"""Rows begin on whole device pixels when their height is a multiple of it."""


@dataclass(slots=True)
class Changes:
    """What has to be painted again."""

    rows: set[int] = field(default_factory=set)
    lanes: bool = False
    everything: bool = False


class BoardModel:
    """The rows of one workspace in one viewport."""

    def __init__(self, workspace: Workspace, *, legend: bool = False) -> None:
        self.workspace = workspace
        self.viewport = Viewport(legend)
        self.content: BoardContent = board_content(workspace.shown, workspace.projection)
        self._with_lanes = True
        self.groups: tuple[LaneGroup, ...] = self._lanes()
        self.fits = fit_column(self.content.rows)
        self.focus: int | None = None
        """Index of the opened row."""
        self._density: Density = "auto"
        self._scenes: dict[str, RowScene] = {}
        self._extras: dict[str, Extras] = {}
        self._opened: tuple[RowContent, Extras, Extras] | None = None
        """The opened row, what it shows besides, and the same with its trigger readings."""
        self._beside: Projection | None = None
        self._moment: datetime | None = None
        self._now: float | None = None
        self._markers: dict[str, Marker] = {}
        self._markers_of: BoardContent | None = None
        self._broken = Broken()
        self.broken: Mapping[str, str] = {}
        """Id of each service that cannot be worked as it stands -> why, in a sentence."""
        self.linked: str | None = None
        """Id of the service under the pointer: shown in its row and in its lane."""
        self.viewport.set_groups(self.groups)
        self.focus = self._wanted_focus()
        self._stack(None)
        self.viewport.restart(self.content.start, self.content.end)
        self._changed_broken()

    @property
    def layout(self) -> BoardLayout:
        """The present layout."""
        return self.viewport.layout

    # following the workspace ------------------------------------------------------------------------------

    def refresh(self) -> Changes:
        """Takes over what the workspace shows now."""
        workspace, old = self.workspace, self.content
        self.content = new = board_content(workspace.shown, workspace.projection, old)
        if list(new.index) != list(old.index):
            return self._other_rows(old)
        changed = {place for place, row in enumerate(new.rows) if row is not old.rows[place]}
        broken = self._changed_broken()
        changes = Changes(rows=changed | self._changed_ghosts() | broken, lanes=bool(broken))
        trucks = any(_has_truck(old.rows[place]) or _has_truck(new.rows[place]) for place in changed)
        if trucks or (new.stations is not old.stations and new.stations != old.stations):
            changes.lanes = True
            groups = kept_lanes(self._lanes(), self.groups)
            changes.everything = [len(g.lanes) for g in groups] != [len(g.lanes) for g in self.groups]
            self.groups = groups
            self.viewport.set_groups(groups)
        if (new.start, new.end) != (old.start, old.end):
            before = self.layout
            self.viewport.set_range(new.start, new.end, may_shrink=not workspace.in_stroke)
            changes.everything |= self.layout != before
        return changes

    def _other_rows(self, old: BoardContent) -> Changes:
        new = self.content
        self.groups = self._lanes()
        self.fits = fit_column(new.rows)
        self.viewport.set_groups(self.groups)
        self._changed_ghosts()
        self._changed_broken()
        self.focus = self._wanted_focus()
        self._stack(None)
        if old.index.keys().isdisjoint(new.index):
            self.viewport.restart(new.start, new.end)
        else:
            self.viewport.set_range(new.start, new.end, may_shrink=not self.workspace.in_stroke)
        return Changes(everything=True)

    def _lanes(self) -> tuple[LaneGroup, ...]:
        return lane_groups(self.content) if self._with_lanes else ()

    def show_lanes(self, shown: bool) -> None:
        """Shows the trucks' lanes, or leaves their room to the rows."""
        self._with_lanes = shown
        self.groups = self._lanes()
        self.viewport.set_groups(self.groups)
        self._stack(self.focus)

    def _changed_ghosts(self) -> set[int]:
        """Rows whose pale curve (of what stands beside, else of the baseline) came, went or changed."""
        baseline, projection = self._beside or self.workspace.baseline, self.workspace.projection
        changed = set()
        for place, row in enumerate(self.content.rows):
            name = row.registration
            ghost = None if baseline is None else baseline.aircraft.get(name)
            if ghost is projection.aircraft.get(name):
                ghost = None
            if self.extras_of(name).ghost is not ghost:
                changed.add(place)
                self._extras[name] = replace(self.extras_of(name), ghost=ghost)
        return changed

    def _changed_broken(self) -> set[int]:
        """Rows in which a service broke, or works again."""
        found = self._broken.found(self.workspace.shown, self.workspace.projection, self.content)
        differ = self.broken.keys() ^ found.keys()
        self.broken = found
        changed = set()
        for place, row in enumerate(self.content.rows if differ else ()):
            ids = {marker.service.id for marker in row.markers}
            broken = frozenset(ids & found.keys())
            if broken != self.extras_of(row.registration).broken:
                changed.add(place)
                self._extras[row.registration] = replace(self.extras_of(row.registration), broken=broken)
        return changed

    def set_proposals(
        self, proposals: tuple[tuple[Service, float], ...], beside: Projection | None = None
    ) -> set[int]:
        """Takes proposed services with their starts, and what to compare with; answers with the rows that change."""
        self._beside = beside
        by_aircraft: dict[str, tuple[tuple[Service, float], ...]] = {}
        for service, start in proposals:
            by_aircraft[service.aircraft] = (*by_aircraft.get(service.aircraft, ()), (service, start))
        changed = self._changed_ghosts()
        for place, row in enumerate(self.content.rows):
            name = row.registration
            own = by_aircraft.get(name, ())
            if own != self.extras_of(name).proposals:
                changed.add(place)
                self._extras[name] = replace(self.extras_of(name), proposals=own)
        return changed

    def set_truths(self, truths: Mapping[str, TruthCurve]) -> set[int]:
        """Takes how a sampled day came out, by registration; answers with the rows that change."""
        changed = set()
        for place, row in enumerate(self.content.rows):
            name = row.registration
            truth = truths.get(name)
            if truth is not self.extras_of(name).truth:
                changed.add(place)
                self._extras[name] = replace(self.extras_of(name), truth=truth)
        return changed

    # rows -------------------------------------------------------------------------------------------------

    def follow_selection(self) -> bool:
        """Opens the selected row; True when the rows have moved."""
        wanted = self._wanted_focus()
        if wanted == self.focus:
            return False
        self.focus = wanted
        self._stack(wanted)
        if wanted is not None:
            self.viewport.reveal_row(wanted)
        return True

    def resize(self, width: int, height: int, device_ratio: float) -> None:
        """The view has another size: rows may be a little taller or less tall."""
        self.viewport.set_size(width, height, device_ratio)
        self._stack(self.focus)

    def set_density(self, density: Density) -> None:
        """Normal rows, dense rows, or whatever suits the number of aircraft."""
        self._density = density
        self._stack(self.focus)

    def _wanted_focus(self) -> int | None:
        name = self.workspace.selection.aircraft
        return None if name is None else self.content.index.get(name)

    def _stack(self, keep: int | None) -> None:
        count = len(self.content.rows)
        if self._density == "fit":
            style, height = style_to_fit(count, self.layout.rows_px, opens=False)
            height -= height % WHOLE_PX if style == "normal" else 0
        else:
            style = style_for(count) if self._density == "auto" else self._density
            height = DENSE_PX if style == "dense" else normal_height(count, self.layout.rows_px)
        self.viewport.set_rows(stacked(count, self.focus, style, height), keep)

    def scene(self, box: RowBox) -> RowScene:
        """The row laid out on the present scale; the same object as long as nothing in it changes."""
        row = self.content.rows[box.index]
        known = self._scenes.get(row.registration)
        if (
            known is not None
            and known.content is row
            and known.frame is box.frame
            and known.scale == self.layout.scale
        ):
            return known
        made = self._scenes[row.registration] = RowScene(row, self.layout.scale, box.frame)
        return made

    def box(self, registration: str) -> RowBox | None:
        """The place of an aircraft's row."""
        place = self.content.index.get(registration)
        return None if place is None else self.layout.stack.boxes[place]

    def row(self, registration: str | None) -> RowContent | None:
        """The row of an aircraft."""
        return self.content.row(registration)

    def marker(self, service_id: str | None) -> Marker | None:
        """The marker of a service."""
        if service_id is None:
            return None
        if self._markers_of is not self.content:
            self._markers_of = self.content
            self._markers = {marker.service.id: marker for row in self.content.rows for marker in row.markers}
        return self._markers.get(service_id)

    def extras_of(self, registration: str) -> Extras:
        """What a row shows besides its projection, but for its trigger readings."""
        return self._extras.get(registration, NO_EXTRAS)

    def extras(self, registration: str) -> Extras:
        """What a row shows besides its projection; the same object as long as it does not change."""
        plain = self.extras_of(registration)
        opened = None if self.focus is None else self.content.rows[self.focus]
        if opened is None or opened.registration != registration or self.workspace.in_stroke:
            return plain
        kept = self._opened
        if kept is None or kept[0] is not opened or kept[1] is not plain:
            marks = trigger_marks(self.workspace.shown, opened.rotation)
            self._opened = kept = (opened, plain, replace(plain, triggers=marks))
        return kept[2]

    # time -------------------------------------------------------------------------------------------------

    @property
    def now(self) -> float | None:
        """The moment taken as now, minutes since 1970; the same object until it changes."""
        moment = self.workspace.now
        if moment is not self._moment:
            self._moment, self._now = moment, None if moment is None else to_minutes(moment)
        return self._now

    @property
    def zone(self) -> ZoneInfo | None:
        """The zone of the station whose local time is shown."""
        code = self.workspace.local_station
        station = None if code is None else self.content.stations.get(code)
        return None if station is None else ZoneInfo(station.time_zone)


def _has_truck(row: RowContent) -> bool:
    return any(marker.service.truck is not None for marker in row.markers)


def trigger_marks(day: Day, rotation: Rotation) -> tuple[TriggerMark, ...]:
    """The readings that decide at a rotation's turns, each in the middle of its turn."""
    from legtide.plan.triggers import rotation_triggers

    out = []
    for row in rotation_triggers(day, rotation):
        if row.answer == "by_reading" and row.trigger_percent is not None:
            out.append(trigger_mark(rotation.turns[row.turn], row.tank, row.trigger_percent))
    return tuple(mark for mark in out if mark is not None)
