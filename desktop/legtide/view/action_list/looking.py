"""Actions of looking: zoom, panels and pages, themes, units, languages, going to places, help."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from legtide.language import tr
from legtide.view.action_list.parts import WindowParts
from legtide.view.actions import Action
from legtide.view.languages import NAMES
from legtide.view.menus import LANGUAGES, unit_action
from legtide.view.theme import CHOICES
from legtide.view.units import UNITS, Unit


def view_actions(parts: WindowParts) -> Iterator[Action]:
    split, workspace = parts.split, parts.workspace
    yield Action("view.zoom_day", tr("Day"), split.show_day, ("Ctrl+0",), tip=tr("The whole day"))
    yield Action(
        "view.zoom_12", tr("12 h"), lambda: split.navigate.show_hours(12.0), ("Ctrl+2",), tip=tr("Twelve hours")
    )
    yield Action("view.zoom_6", tr("6 h"), lambda: split.navigate.show_hours(6.0), ("Ctrl+6",), tip=tr("Six hours"))
    yield Action("view.zoom_in", tr("Zoom in"), lambda: split.navigate.zoom(1.25), ("Ctrl++", "Ctrl+="))
    yield Action("view.zoom_out", tr("Zoom out"), lambda: split.navigate.zoom(0.8), ("Ctrl+-",))
    yield Action(
        "view.split",
        tr("Split the board"),
        split.toggle,
        ("Ctrl+Alt+B",),
        tip=tr("Two stretches of the day, one below the other; the same again joins them"),
        checked=lambda: split.shown,
    )
    yield Action("view.other", tr("Other half of the board"), split.other, ("Ctrl+F6",), enabled=lambda: split.shown)
    yield Action(
        "view.table", tr("Table of services"), parts.toggle_table, ("Ctrl+T",), "table", checked=parts.table_shown
    )
    yield Action(
        "view.now",
        tr("Now line"),
        parts.toggle_now,
        ("Ctrl+Shift+N",),
        "now",
        tr("Tell past and future apart at the present moment"),
        checked=lambda: workspace.now is not None,
    )
    yield Action("view.station", tr("Local time of…"), parts.places.choose_station, ("Ctrl+L",), "clock")
    yield Action("view.keep_baseline", tr("Keep as baseline"), workspace.keep_baseline, ("Ctrl+B",), "baseline")
    yield Action(
        "view.drop_baseline",
        tr("Drop the baseline"),
        workspace.drop_baseline,
        ("Ctrl+Shift+B",),
        enabled=lambda: workspace.baseline is not None,
    )
    yield Action(
        "view.compare",
        tr("Compare…"),
        parts.beside.show_comparison,
        ("Ctrl+Shift+C",),
        "baseline",
        tr("Risk, litres, kilograms, truck minutes and cost: the baseline or another alternative, and now"),
    )
    yield Action(
        "view.calls",
        tr("Calls to make…"),
        parts.beside.show_calls,
        ("Ctrl+Shift+K",),
        "clock",
        tr("What has to be asked for, the one that becomes too late first at the top"),
    )
    yield Action(
        "view.wall",
        tr("Wall view"),
        parts.beside.show_wall,
        ("F11",),
        "now",
        tr("The saved file on the whole screen, without anything to edit; it follows the file (Esc leaves)"),
        lambda: workspace.path is not None,
    )
    yield from looks_actions(parts)
    yield from languages_actions(parts)
    yield Action("view.reset", tr("Reset layout"), parts.reset_layout)


def looks_actions(parts: WindowParts) -> Iterator[Action]:
    themes = {"system": tr("Follow the system"), "light": tr("Light"), "dark": tr("Dark")}
    for choice in CHOICES:
        yield Action(
            f"view.theme_{choice}",
            themes[choice],
            lambda choice=choice: parts.preferences.put(theme=choice),  # type: ignore[misc]
            checked=lambda choice=choice: parts.preferences.settings.theme == choice,  # type: ignore[misc]
        )
    words: dict[Unit, str] = {
        "L": tr("Litres"),
        "US gal": tr("US gallons"),
        "kg": tr("Kilograms"),
        "lb": tr("Pounds"),
        "%": tr("Percent"),
    }
    for unit in UNITS:
        yield Action(
            unit_action(unit),
            words[unit],
            lambda unit=unit: parts.preferences.put(unit=unit),  # type: ignore[misc]
            checked=lambda unit=unit: parts.preferences.unit == unit,  # type: ignore[misc]
        )


def languages_actions(parts: WindowParts) -> Iterator[Action]:
    for choice in LANGUAGES:
        yield Action(
            f"view.language_{choice}",
            NAMES.get(choice) or tr("Follow the system"),
            lambda choice=choice: parts.choose_language(choice),  # type: ignore[misc]
            checked=lambda choice=choice: parts.preferences.settings.language == choice,  # type: ignore[misc]
        )


def go_actions(parts: WindowParts) -> Iterator[Action]:
    places, workspace = parts.places, parts.workspace
    yield Action("go.find", tr("Find"), places.find, ("Ctrl+F",), "find", tr("Find an aircraft or a flight"))
    yield Action("go.next_warning", tr("Next warning"), lambda: places.step(1), ("F8",), "caution")
    yield Action("go.last_warning", tr("Warning before"), lambda: places.step(-1), ("Shift+F8",))
    yield Action(
        "go.next_warning_here",
        tr("Next warning here"),
        lambda: places.step(1, workspace.selection.aircraft),
        enabled=lambda: workspace.selection.aircraft is not None,
    )
    yield Action(
        "go.now",
        tr("Jump to now"),
        parts.split.jump_to_now,
        ("N",),
        "now",
        enabled=lambda: workspace.now is not None,
    )
    yield Action(
        "go.bank",
        tr("Next bank"),
        _saying(parts.split.zoom_to_bank, parts),
        ("Ctrl+G",),
        tip=tr("Zoom to the next bank at the station of the local time"),
    )
    yield Action(
        "go.leg",
        tr("Leg after this turn"),
        parts.places.select_leg,
        ("G",),
        "leg",
        tr("Select the leg after the selected turn, to slip it with the arrow keys"),
        lambda: workspace.selection.turn is not None,
    )
    yield Action("go.board", tr("Board"), parts.board.setFocus, ("F6",), tip=tr("Move the keyboard to the board"))


def _saying(do: Callable[[], bool], parts: WindowParts) -> Callable[[], None]:
    def run() -> None:
        if not do():
            parts.places.said.emit(tr("There is no further bank at this station."))

    return run


def help_actions(parts: WindowParts) -> Iterator[Action]:
    yield Action("help.commands", tr("All commands…"), parts.show_commands, ("Ctrl+K",), "commands")
    yield Action("help.keys", tr("Keys"), parts.show_keys, ("F1",), "keys")
    yield Action(
        "help.reports",
        tr("Crash reports…"),
        parts.show_reports,
        tip=tr("What went wrong inside the program, and where that is kept; nothing is sent"),
    )
    yield Action("help.about", tr("About and cautions"), parts.show_about, icon="about")
