"""All actions of the window, in the order of its menus."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import Protocol

from legtide.language import inside, tr
from legtide.view.actions import SEPARATOR, Action
from legtide.view.alternatives import AlternativesMenu
from legtide.view.copying import Copying
from legtide.view.day_parts import DayParts
from legtide.view.editing import Editing
from legtide.view.exports import Exports
from legtide.view.languages import NAMES, SYSTEM
from legtide.view.opening import Opening
from legtide.view.pages import Pages
from legtide.view.places import Places
from legtide.view.planning import Planning
from legtide.view.preferences import Preferences
from legtide.view.printed import PageCheck
from legtide.view.split import Split
from legtide.view.theme import CHOICES, Theme
from legtide.view.timeline.canvas import BoardCanvas
from legtide.view.units import UNITS, Unit
from legtide.view.why import Why
from legtide.workspace.workspace import Workspace

LANGUAGES = (SYSTEM, *NAMES)


class WindowParts(Protocol):
    """What the actions act on."""

    workspace: Workspace
    preferences: Preferences
    theme: Theme
    board: BoardCanvas
    editing: Editing
    opening: Opening
    day_parts: DayParts
    places: Places
    planning: Planning
    why: Why
    pages: Pages
    exports: Exports
    page_check: PageCheck
    copying: Copying
    split: Split
    alternatives: AlternativesMenu

    def undo(self) -> None: ...
    def redo(self) -> None: ...
    def paste_messages(self) -> None: ...
    def show_figures(self) -> None: ...
    def show_wall(self) -> None: ...
    def show_calls(self) -> None: ...
    def show_training(self) -> None: ...
    def show_comparison(self) -> None: ...
    def show_tanks(self) -> None: ...
    def show_commands(self) -> None: ...
    def show_keys(self) -> None: ...
    def show_reports(self) -> None: ...
    def show_about(self) -> None: ...
    def toggle_table(self) -> None: ...
    def toggle_now(self) -> None: ...
    def table_shown(self) -> bool: ...
    def reset_layout(self) -> None: ...
    def choose_language(self, choice: str) -> None: ...
    def close(self) -> bool: ...


def actions_of(parts: WindowParts) -> list[Action]:
    """Every action, group by group."""
    groups = (_file, _edit, _service, _turn, _leg_and_aircraft, _station_and_fit, _why, _plan, _view, _go, _help)
    return [action for group in groups for action in group(parts)]


def _file(parts: WindowParts) -> Iterator[Action]:
    opening, workspace = parts.opening, parts.workspace
    yield Action(
        "file.new", tr("New day…"), parts.day_parts.new_day, ("Ctrl+N",), "day", tr("Begin a day from nothing")
    )
    yield Action("file.open", tr("Open…"), opening.choose, ("Ctrl+O",), "open", tr("Open a day or a schedule"))
    yield Action(
        "file.recent",
        tr("Open recent…"),
        opening.choose_recent,
        ("Ctrl+Shift+O",),
        enabled=lambda: bool(parts.preferences.settings.recent),
    )
    yield Action("file.demo", tr("Open a demo day…"), opening.choose_demo, icon="day")
    yield Action("file.import", tr("Import a schedule…"), opening.choose_schedule, ("Ctrl+I",), "import")
    yield Action(
        "file.messages",
        tr("Paste messages…"),
        parts.paste_messages,
        ("Ctrl+Shift+V",),
        "copy",
        tr("Movement and load messages and weather reports move times, heads and temperatures"),
        parts.editing.can_edit,
    )
    yield Action("file.save", tr("Save"), opening.save, ("Ctrl+S",), "save", enabled=lambda: not workspace.read_only)
    yield Action("file.save_as", tr("Save as…"), opening.save_as, ("Ctrl+Shift+S",))
    yield Action(
        "file.briefing",
        tr("Briefing page…"),
        parts.pages.show_briefing,
        ("Ctrl+P",),
        tip=tr("One page about an aircraft: water mass, services to ask for, readings that decide"),
        enabled=parts.pages.can_brief,
    )
    yield Action(
        "file.runs",
        tr("Run sheets…"),
        parts.pages.show_runs,
        ("Ctrl+Shift+P",),
        tip=tr("A sheet for each truck of a station, with a line to sign"),
        enabled=parts.pages.can_run,
    )
    yield Action(
        "file.tables",
        tr("Save a table…"),
        parts.exports.choose_table,
        tip=tr("Plan, levels and warnings for a spreadsheet"),
        enabled=parts.exports.can_write,
    )
    yield Action(
        "file.calls",
        tr("Save calls as a calendar…"),
        parts.exports.choose_calls,
        tip=tr("The calls for services with alarms, for a calendar program"),
        enabled=parts.exports.can_write,
    )
    yield Action(
        "file.print_board",
        tr("Print the board…"),
        parts.pages.show_board,
        ("Ctrl+Alt+P",),
        tip=tr("The board on landscape pages, the whole day or what is in view"),
    )
    yield Action(
        "file.check_page",
        tr("Is a page still true?…"),
        parts.page_check.ask,
        ("Ctrl+Alt+H",),
        tip=tr("Compare the checksum at the foot of a page with the day that is open"),
    )
    yield Action("file.quit", tr("Close"), parts.close, ("Ctrl+Q",))


def _edit(parts: WindowParts) -> Iterator[Action]:
    workspace = parts.workspace
    yield Action(
        "edit.undo",
        tr("Undo"),
        parts.undo,
        ("Ctrl+Z",),
        "undo",
        enabled=workspace.can_undo,
        tip=tr("Take the last step back"),
    )
    yield Action(
        "edit.redo",
        tr("Redo"),
        parts.redo,
        ("Ctrl+Shift+Z", "Ctrl+Y"),
        "redo",
        enabled=workspace.can_redo,
        tip=tr("Do the step again that was taken back"),
    )
    yield from _copy(parts)
    yield Action(
        "day.title", tr("Title and date…"), parts.day_parts.edit_title, icon="day", enabled=parts.editing.can_edit
    )
    yield Action("day.figures", tr("Policy and assumptions…"), parts.show_figures, ("Ctrl+Shift+A",), "figures")


def _copy(parts: WindowParts) -> Iterator[Action]:
    do = parts.copying
    rows = (
        ("edit.copy_board", tr("Board as picture"), do.board, "C", tr("Copy the board as it is looked at")),
        ("edit.copy_services", tr("Services as cells"), do.services, "V", tr("Copy all services for a spreadsheet")),
        ("edit.copy_levels", tr("Levels as cells"), do.levels, "L", tr("Copy both tanks at both ends of each leg")),
        ("edit.copy_warnings", tr("Warnings as cells"), do.warnings, "W", tr("Copy all warnings for a spreadsheet")),
    )
    for name, text, run, key, tip in rows:
        yield Action(name, text, run, (f"Ctrl+Alt+{key}",), "copy", tip)


def _service(parts: WindowParts) -> Iterator[Action]:
    do = parts.editing
    states = (
        ("service.done", tr("Done"), "done", "D", "done"),
        ("service.skip", tr("Skip"), "skipped", "K", "skip"),
        ("service.missed", tr("Missed"), "missed", "M", "missed"),
        ("service.planned", tr("Planned"), "planned", "P", "planned"),
    )
    for name, text, state, key, icon in states:
        yield Action(
            name,
            text,
            lambda state=state: do.set_state(state),  # type: ignore[misc]
            (key,),
            icon,
            enabled=do.has_service,
            checked=lambda state=state: do.in_state(state),  # type: ignore[misc]
            tip=tr("Mark the selected service: {state}").format(state=inside(text)),
        )
    yield Action(
        "service.level",
        tr("Level…"),
        do.open_level,
        ("L",),
        "level",
        tr("Change the level after the service"),
        do.has_service,
    )
    yield Action(
        "service.move",
        tr("Move…"),
        do.open_move,
        ("T",),
        "truck",
        tr("Turn, start, truck and remark"),
        do.has_service,
    )
    yield Action(
        "service.pin",
        tr("Pin"),
        do.toggle_pin,
        ("F",),
        "pin",
        tr("Hold the service where it is when a plan is made"),
        do.has_service,
        lambda: do.service is not None and do.service.pinned,
    )
    yield Action(
        "service.delete",
        tr("Delete"),
        do.delete,
        ("Delete",),
        "delete",
        tr("Delete the selected service"),
        do.has_service,
    )


def _turn(parts: WindowParts) -> Iterator[Action]:
    do = parts.editing
    water, waste = tr("Add water service"), tr("Add waste service")
    yield Action(
        "turn.add_water", water, lambda: do.add("fresh"), ("W",), "drop", enabled=do.has_turn, short=tr("+ Water")
    )
    yield Action(
        "turn.add_waste", waste, lambda: do.add("waste"), ("B",), "bucket", enabled=do.has_turn, short=tr("+ Waste")
    )
    yield Action(
        "turn.reading",
        tr("Gauge reading…"),
        do.open_reading,
        ("R",),
        "level",
        enabled=do.has_turn,
        short=tr("Reading"),
    )


def _leg_and_aircraft(parts: WindowParts) -> Iterator[Action]:
    do = parts.editing
    day = parts.day_parts
    yield Action(
        "leg.edit",
        tr("Leg…"),
        do.open_leg,
        ("E",),
        "leg",
        tr("Aircraft, flight, places, times, heads and stand of the selected leg"),
        do.has_leg,
    )
    yield Action(
        "leg.add",
        tr("Add a leg…"),
        day.add_leg,
        ("Insert",),
        "leg",
        tr("At the end of the selected aircraft's rotation, or in the turn where legs do not chain"),
        day.can_add_leg,
        short=tr("+ Leg"),
    )
    yield Action(
        "leg.return",
        tr("Add the flight back…"),
        day.add_return,
        ("Shift+Insert",),
        tip=tr("A copy of the selected leg the other way, after the usual turn"),
        enabled=do.has_leg,
        short=tr("+ Flight back"),
    )
    yield Action(
        "leg.delete",
        tr("Delete the leg…"),
        day.delete_leg,
        ("Shift+Delete",),
        "delete",
        tr("Says first what becomes of the services and readings around it"),
        do.has_leg,
    )
    yield Action("aircraft.edit", tr("Aircraft…"), do.open_aircraft, ("A",), "aircraft", enabled=do.has_aircraft)
    yield Action(
        "aircraft.add", tr("Add an aircraft…"), day.add_aircraft, ("Ctrl+Insert",), "aircraft", enabled=do.can_edit
    )
    yield Action(
        "aircraft.remove",
        tr("Remove the aircraft…"),
        day.remove_aircraft,
        icon="delete",
        tip=tr("Says first what goes with it: legs, services and readings"),
        enabled=do.has_aircraft,
    )
    yield Action(
        "aircraft.tanks",
        tr("Open the tanks of this aircraft"),
        parts.show_tanks,
        ("Ctrl+D",),
        "level",
        tr("Both tanks large, with the readings and the day factor that they taught"),
        lambda: parts.workspace.selection.aircraft is not None,
        short=tr("Tanks"),
    )


def _station_and_fit(parts: WindowParts) -> Iterator[Action]:
    do, day = parts.editing, parts.day_parts
    yield Action(
        "station.edit",
        tr("Station…"),
        day.edit_station,
        ("Ctrl+E",),
        "truck",
        tr("Services and their hours, places, ways and trucks of a station"),
        day.has_station,
    )
    yield Action("station.add", tr("Add a station…"), day.add_station, enabled=do.can_edit)
    yield Action(
        "station.remove",
        tr("Remove a station…"),
        day.remove_station,
        icon="delete",
        tip=tr("Only one that no leg uses"),
        enabled=day.has_station,
    )
    yield Action(
        "fit.edit",
        tr("Fit…"),
        day.edit_fit,
        icon="level",
        tip=tr("Tanks, cabin and gauges of an aircraft type, each figure with its source"),
        enabled=day.has_fit,
    )
    yield Action("fit.add", tr("Add a generic fit…"), day.add_fit, enabled=do.can_edit)
    yield Action(
        "fit.copy", tr("Copy a fit…"), day.copy_fit, icon="copy", tip=tr("Under a new id"), enabled=day.has_fit
    )
    yield Action(
        "fit.remove",
        tr("Remove a fit…"),
        day.remove_fit,
        icon="delete",
        tip=tr("Only one that no aircraft has"),
        enabled=day.has_fit,
    )


def _why(parts: WindowParts) -> Iterator[Action]:
    yield Action(
        "view.why",
        tr("Why?"),
        parts.why.selected,
        ("Y",),
        tip=tr("The inputs, the formula and the sources behind the numbers of what is selected"),
        enabled=parts.why.can_answer,
    )


def _plan(parts: WindowParts) -> Iterator[Action]:
    planning = parts.planning
    yield Action(
        "plan.all",
        tr("Find better plan"),
        planning.plan_all,
        ("F9",),
        tip=tr("Propose the cheapest services for all rotations; nothing changes before you take them"),
        enabled=lambda: planning.idle,
    )
    yield Action(
        "plan.aircraft",
        tr("Plan this aircraft"),
        planning.plan_aircraft,
        ("Shift+F9",),
        "aircraft",
        tr("Propose the cheapest services for the selected aircraft"),
        planning.can_plan_aircraft,
        short=tr("Plan"),
    )
    yield Action(
        "plan.trucks",
        tr("Plan the trucks here"),
        planning.plan_trucks,
        ("F7",),
        "truck",
        tr("Propose runs for the trucks of the station whose local time is shown"),
        lambda: planning.idle,
    )
    yield Action(
        "plan.mend",
        tr("Mend the trucks' plan here"),
        planning.mend_trucks,
        ("Shift+F7",),
        tip=tr("After a change: keep the trucks' plan where it still works, and change few services"),
        enabled=lambda: planning.idle,
    )
    yield Action(
        "plan.stop",
        tr("Stop and look at the best so far"),
        planning.stop,
        ("Ctrl+Shift+F9",),
        enabled=lambda: not planning.idle,
    )
    yield Action(
        "plan.take", tr("Take this plan"), planning.take, ("Ctrl+Return",), "done", enabled=planning.can_take
    )
    yield Action(
        "plan.leave", tr("Leave the plan"), planning.leave, ("Ctrl+Backspace",), enabled=lambda: planning.open
    )
    alternatives, workspace = parts.alternatives, parts.workspace
    yield Action(
        "plan.alternative",
        tr("Try an alternative…"),
        alternatives.ask_name,
        ("Ctrl+Alt+N",),
        tip=tr("Go on with a copy of the day under a name; the present plan stays as it is"),
        enabled=lambda: not workspace.read_only,
    )
    yield Action(
        "plan.switch",
        tr("Switch alternative…"),
        alternatives.choose,
        ("Ctrl+Alt+S",),
        tip=tr("Open another alternative of the day, with its own steps to undo"),
        enabled=lambda: len(workspace.alternatives) > 1,
    )
    yield Action(
        "plan.drop_alternative",
        tr("Drop an alternative…"),
        alternatives.choose_dropped,
        enabled=lambda: len(workspace.alternatives) > 1,
    )
    yield Action(
        "plan.train",
        tr("Train on a sampled day…"),
        parts.show_training,
        ("Ctrl+Shift+T",),
        tip=tr(
            "A class plays a day drawn by chance, sees how it came out, and is scored; the day file stays as it is"
        ),
        enabled=lambda: bool(workspace.day.legs),
    )
    yield Action(
        "plan.preview",
        tr("Show as if taken"),
        planning.toggle_preview,
        ("S",),
        tip=tr("Show the day on the board as if the plan had been taken"),
        enabled=planning.can_preview,
        checked=lambda: planning.previewing,
    )


def _view(parts: WindowParts) -> Iterator[Action]:
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
        parts.show_comparison,
        ("Ctrl+Shift+C",),
        "baseline",
        tr("Risk, litres, kilograms, truck minutes and cost: the baseline or another alternative, and now"),
    )
    yield Action(
        "view.calls",
        tr("Calls to make…"),
        parts.show_calls,
        ("Ctrl+Shift+K",),
        "clock",
        tr("What has to be asked for, the one that becomes too late first at the top"),
    )
    yield Action(
        "view.wall",
        tr("Wall view"),
        parts.show_wall,
        ("F11",),
        "now",
        tr("The saved file on the whole screen, without anything to edit; it follows the file (Esc leaves)"),
        lambda: workspace.path is not None,
    )
    yield from _looks(parts)
    yield from _languages(parts)
    yield Action("view.reset", tr("Reset layout"), parts.reset_layout)


def _looks(parts: WindowParts) -> Iterator[Action]:
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


def _languages(parts: WindowParts) -> Iterator[Action]:
    for choice in LANGUAGES:
        yield Action(
            f"view.language_{choice}",
            NAMES.get(choice) or tr("Follow the system"),
            lambda choice=choice: parts.choose_language(choice),  # type: ignore[misc]
            checked=lambda choice=choice: parts.preferences.settings.language == choice,  # type: ignore[misc]
        )


def unit_action(unit: Unit) -> str:
    """Id of the action that takes a unit."""
    return "view.unit_" + {"L": "l", "US gal": "gal", "kg": "kg", "lb": "lb", "%": "percent"}[unit]


def _go(parts: WindowParts) -> Iterator[Action]:
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


def _help(parts: WindowParts) -> Iterator[Action]:
    yield Action("help.commands", tr("All commands…"), parts.show_commands, ("Ctrl+K",), "commands")
    yield Action("help.keys", tr("Keys"), parts.show_keys, ("F1",), "keys")
    yield Action(
        "help.reports",
        tr("Crash reports…"),
        parts.show_reports,
        tip=tr("What went wrong inside the program, and where that is kept; nothing is sent"),
    )
    yield Action("help.about", tr("About and cautions"), parts.show_about, icon="about")


MENUS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "Day",
        (
            "file.new",
            "file.open",
            "file.recent",
            "file.demo",
            "file.import",
            "file.messages",
            SEPARATOR,
            "file.save",
            "file.save_as",
            SEPARATOR,
            "file.briefing",
            "file.runs",
            "file.tables",
            "file.calls",
            "file.print_board",
            "file.check_page",
            SEPARATOR,
            "file.quit",
        ),
    ),
    (
        "Edit",
        (
            "edit.undo",
            "edit.redo",
            SEPARATOR,
            ">Copy",
            SEPARATOR,
            ">Leg",
            ">Aircraft",
            ">Station",
            ">Fit",
            SEPARATOR,
            "day.title",
            "day.figures",
        ),
    ),
    (
        "Service",
        (
            "turn.add_water",
            "turn.add_waste",
            "turn.reading",
            SEPARATOR,
            "service.planned",
            "service.done",
            "service.skip",
            "service.missed",
            SEPARATOR,
            "service.level",
            "service.move",
            "service.pin",
            SEPARATOR,
            "service.delete",
        ),
    ),
    (
        "Plan",
        (
            "plan.all",
            "plan.aircraft",
            SEPARATOR,
            "plan.trucks",
            "plan.mend",
            SEPARATOR,
            "plan.preview",
            "plan.take",
            "plan.leave",
            "plan.stop",
            SEPARATOR,
            "plan.alternative",
            "plan.switch",
            "plan.drop_alternative",
            SEPARATOR,
            "plan.train",
        ),
    ),
    (
        "Go to",
        (
            "go.find",
            "go.next_warning",
            "go.last_warning",
            "go.next_warning_here",
            "go.now",
            "go.bank",
            "go.leg",
            "go.board",
        ),
    ),
    (
        "View",
        (
            "view.zoom_day",
            "view.zoom_12",
            "view.zoom_6",
            "view.zoom_in",
            "view.zoom_out",
            "view.split",
            "view.other",
            SEPARATOR,
            "view.table",
            "view.calls",
            "view.wall",
            "aircraft.tanks",
            "view.why",
            "view.now",
            "view.station",
            SEPARATOR,
            "view.keep_baseline",
            "view.drop_baseline",
            "view.compare",
            SEPARATOR,
            ">Theme",
            ">Units",
            ">Language",
            SEPARATOR,
            "view.reset",
        ),
    ),
    ("Help", ("help.commands", "help.keys", "help.reports", "help.about")),
)
"""Title of a menu and its actions; `>` names one of the submenus below."""

SUBMENUS: dict[str, tuple[str, ...]] = {
    "Copy": ("edit.copy_board", "edit.copy_services", "edit.copy_levels", "edit.copy_warnings"),
    "Theme": tuple(f"view.theme_{choice}" for choice in CHOICES),
    "Units": tuple(unit_action(unit) for unit in UNITS),
    "Language": tuple(f"view.language_{choice}" for choice in LANGUAGES),
    "Leg": ("leg.edit", SEPARATOR, "leg.add", "leg.return", "leg.delete"),
    "Aircraft": ("aircraft.edit", SEPARATOR, "aircraft.add", "aircraft.remove"),
    "Station": ("station.edit", SEPARATOR, "station.add", "station.remove"),
    "Fit": ("fit.edit", SEPARATOR, "fit.add", "fit.copy", "fit.remove"),
}
CONTEXT: dict[str, tuple[str, ...]] = {
    "service": (
        "service.done",
        "service.skip",
        "service.missed",
        "service.planned",
        SEPARATOR,
        "service.level",
        "service.move",
        "service.pin",
        "view.why",
        SEPARATOR,
        "turn.add_water",
        "turn.add_waste",
        "turn.reading",
        SEPARATOR,
        "service.delete",
    ),
    "turn": (
        "turn.add_water",
        "turn.add_waste",
        "turn.reading",
        "view.why",
        SEPARATOR,
        "aircraft.tanks",
        "plan.aircraft",
        "aircraft.edit",
        SEPARATOR,
        "leg.add",
    ),
    "leg": (
        "leg.edit",
        "leg.add",
        "leg.return",
        "leg.delete",
        "view.why",
        SEPARATOR,
        "aircraft.tanks",
        "plan.aircraft",
        "aircraft.edit",
    ),
}
"""What was activated on the board -> its menu."""
