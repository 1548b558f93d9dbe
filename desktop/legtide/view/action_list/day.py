"""Actions of the day: its file, pages and exports, undo, copying, what it is made with."""

from __future__ import annotations

from collections.abc import Iterator

from legtide.language import tr
from legtide.view.action_list.parts import WindowParts
from legtide.view.actions import Action


def file_actions(parts: WindowParts) -> Iterator[Action]:
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


def edit_actions(parts: WindowParts) -> Iterator[Action]:
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
    yield from copy_actions(parts)
    yield Action(
        "day.title", tr("Title and date…"), parts.day_parts.edit_title, icon="day", enabled=parts.editing.can_edit
    )
    yield Action(
        "day.figures", tr("Policy and assumptions…"), parts.beside.show_figures, ("Ctrl+Shift+A",), "figures"
    )


def copy_actions(parts: WindowParts) -> Iterator[Action]:
    do = parts.copying
    rows = (
        ("edit.copy_board", tr("Board as picture"), do.board, "C", tr("Copy the board as it is looked at")),
        ("edit.copy_services", tr("Services as cells"), do.services, "V", tr("Copy all services for a spreadsheet")),
        ("edit.copy_levels", tr("Levels as cells"), do.levels, "L", tr("Copy both tanks at both ends of each leg")),
        ("edit.copy_warnings", tr("Warnings as cells"), do.warnings, "W", tr("Copy all warnings for a spreadsheet")),
    )
    for name, text, run, key, tip in rows:
        yield Action(name, text, run, (f"Ctrl+Alt+{key}",), "copy", tip)
