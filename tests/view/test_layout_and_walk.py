"""The window holds its controls whole in every size, theme and language, and stands a long shift."""

from __future__ import annotations

import random

import pytest
from PySide6.QtCore import QEvent
from PySide6.QtGui import QColor

from legtide.day import edits
from legtide.draw.colours import DARK, LIGHT, Palette
from legtide.view.theme import mixed
from legtide.workspace.workspace import Workspace
from support.clipping import clipped, settle

SELECTIONS = ({}, {"service": "s0"}, {"aircraft": "QX-1", "turn": 3}, {"leg": "1-3"}, {"aircraft": "QX-2"})


@pytest.mark.parametrize("size", [(1280, 800), (1000, 640), (1920, 1080)])
@pytest.mark.parametrize("theme", ["light", "dark"])
def test_no_control_is_clipped(window, workspace, preferences, size, theme):
    preferences.put(theme=theme)
    window.resize(*size)
    for selection in SELECTIONS:
        workspace.select(**selection)
        settle()
        assert clipped(window) == []
    window.toggle_table()
    window.banner.show_text("Something to say that is about as long as a sentence gets", [("Do it", lambda: None)])
    settle()
    assert clipped(window) == []


def test_hints_and_every_page_hold_their_words(window, preferences, workspace, qapp, dialog):
    preferences.put(hints_seen=False)
    window.resize(1280, 800)
    qapp.processEvents()
    assert window.panel.hints.isVisible()
    assert clipped(window) == []
    window.panel.hints.close_button.click()
    assert window.panel.hints.isHidden()
    assert preferences.settings.hints_seen
    for name, page in (
        ("keySheet", window.show_keys),
        ("about", window.show_about),
        ("figures", window.beside.show_figures),
    ):
        page()
        shown = dialog(name)
        qapp.processEvents()
        assert clipped(shown) == []
        shown.close()


# colours --------------------------------------------------------------------------------------------------


def luminance(colour: str) -> float:
    """Relative luminance, WCAG 2.2 (W3C Recommendation 2023), definition of relative luminance."""

    def linear(value: float) -> float:
        return value / 12.92 if value <= 0.04045 else ((value + 0.055) / 1.055) ** 2.4

    one = QColor(colour)
    return 0.2126 * linear(one.redF()) + 0.7152 * linear(one.greenF()) + 0.0722 * linear(one.blueF())


def contrast(first: str, second: str) -> float:
    """Contrast ratio, WCAG 2.2."""
    lighter, darker = sorted((luminance(first), luminance(second)), reverse=True)
    return (lighter + 0.05) / (darker + 0.05)


@pytest.mark.parametrize("colours", [LIGHT, DARK], ids=["light", "dark"])
def test_words_of_the_widgets_stand_out_from_what_is_behind_them(colours: Palette):
    chosen = mixed(colours.panel, colours.accent, 0.14)
    pairs = {
        "body": (colours.text, colours.panel),
        "body on ground": (colours.text, colours.ground),
        "secondary": (colours.secondary, colours.panel),
        "secondary on ground": (colours.secondary, colours.ground),
        "accent": (colours.accent, colours.panel),
        "filled button": (colours.on_accent, colours.accent),
        "act": (colours.act, colours.ground),
        "banner": (colours.text, colours.watch_tint),
        "banner, act": (colours.text, colours.act_tint),
        "chosen": (colours.text, chosen),
        "chosen, secondary": (colours.secondary, chosen),
        "chosen, accent": (colours.accent, chosen),
    }
    weak = {name: round(contrast(*pair), 2) for name, pair in pairs.items() if contrast(*pair) < 5.0}
    assert weak == {}


def test_the_contrast_formula_gives_the_published_values():
    # WCAG 2.2, understanding success criterion 1.4.3: black on white is 21:1, #767676 on white 4.54:1.
    assert contrast("#000000", "#FFFFFF") == pytest.approx(21.0)
    assert contrast("#767676", "#FFFFFF") == pytest.approx(4.54, abs=0.01)


# a long shift ---------------------------------------------------------------------------------------------


class Walk:
    """A random session: edits, drags, undos, saves, selections, themes; seeded and named."""

    def __init__(self, window, folder, seed: str) -> None:
        self.window = window
        self.workspace: Workspace = window.workspace
        self.stream = random.Random(seed)
        self.path = folder / "walk.day.json"

    def service(self) -> str | None:
        rows = self.workspace.day.services
        return self.stream.choice(rows).id if rows else None

    def step(self) -> None:
        self.stream.choice(
            (
                self.select,
                self.mark,
                self.add,
                self.delete,
                self.drag,
                self.undo,
                self.undo,
                self.redo,
                self.save,
                self.look,
            )
        )()

    def select(self) -> None:
        rotation = self.stream.choice(list(self.workspace.projection.aircraft.values())).rotation
        choice = self.stream.randrange(3)
        if choice == 0:
            self.workspace.select(service=self.service())
        elif choice == 1:
            self.workspace.select(rotation.registration, turn=self.stream.randrange(len(rotation.turns)))
        else:
            self.workspace.select(leg=self.stream.choice(rotation.legs).id)

    def mark(self) -> None:
        name = self.stream.choice(("done", "skip", "missed", "planned", "pin"))
        self.window.registry[f"service.{name}"].trigger()

    def add(self) -> None:
        if len(self.workspace.day.services) < 40:
            self.window.registry[self.stream.choice(("turn.add_water", "turn.add_waste"))].trigger()

    def delete(self) -> None:
        self.window.registry["service.delete"].trigger()

    def drag(self) -> None:
        key = self.service()
        if key is None:
            return
        self.workspace.select(service=key)
        self.workspace.begin_stroke("Move")
        for _ in range(self.stream.randrange(1, 6)):
            turn = self.stream.randrange(10)
            self.workspace.preview(edits.move_service(self.workspace.day, key, turn, None))
            if self.stream.random() < 0.5:
                self.workspace._pace.flush()
        (self.workspace.commit_stroke if self.stream.random() < 0.7 else self.workspace.cancel_stroke)()

    def undo(self) -> None:
        self.window.undo()

    def redo(self) -> None:
        self.window.redo()

    def save(self) -> None:
        if self.stream.random() < 0.15:
            self.workspace.save_as(self.path)
            assert not self.workspace.dirty

    def look(self) -> None:
        if self.stream.random() < 0.1:
            self.window.preferences.put(theme=self.stream.choice(("light", "dark")))
            self.window.registry["view.zoom_6"].trigger()

    def check(self) -> None:
        workspace = self.workspace
        assert workspace.shown is workspace.day
        assert workspace.projection.day is workspace.day
        assert {row.aircraft for row in workspace.day.services} <= {
            row.registration for row in workspace.day.aircraft
        }
        chosen = workspace.selection.service
        assert chosen is None or any(row.id == chosen for row in workspace.day.services)


def walk(window, folder, seed: str, steps: int, qapp) -> None:
    session = Walk(window, folder, seed)
    first = window.workspace.day
    for number in range(steps):
        session.step()
        session.check()
        if number % 10 == 0:
            qapp.processEvents()
            # Without a running loop nobody else deletes what asked to be deleted later.
            qapp.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    while window.workspace.undo_stack.canRedo():
        window.redo()
    last = window.workspace.day
    warnings = window.workspace.projection.warnings
    while window.workspace.undo_stack.canUndo():
        window.undo()
    if window.workspace.undo_stack.count() < 500:
        assert window.workspace.day is first
    while window.workspace.undo_stack.canRedo():
        window.redo()
    assert window.workspace.day is last
    assert window.workspace.projection.warnings == warnings


@pytest.mark.parametrize("seed", ["early", "late"])
def test_a_random_session_keeps_its_invariants(window, tmp_path, qapp, seed):
    walk(window, tmp_path, seed, 250, qapp)


@pytest.mark.long
@pytest.mark.timeout(3600)
def test_ten_thousand_random_steps_leave_no_trace_in_memory(window, tmp_path, qapp):
    psutil = pytest.importorskip("psutil")
    walk(window, tmp_path, "warm", 1000, qapp)
    window.workspace.undo_stack.clear()
    before = psutil.Process().memory_info().rss
    for number in range(9):
        walk(window, tmp_path, f"long {number}", 1000, qapp)
        window.workspace.undo_stack.clear()
    assert psutil.Process().memory_info().rss - before < 60e6
