"""Which actions stand in which menu."""

from __future__ import annotations

from legtide.view.actions import SEPARATOR
from legtide.view.languages import NAMES, SYSTEM
from legtide.view.theme import CHOICES
from legtide.view.units import UNITS, Unit

LANGUAGES = (SYSTEM, *NAMES)


def unit_action(unit: Unit) -> str:
    """Id of the action that takes a unit."""
    return "view.unit_" + {"L": "l", "US gal": "gal", "kg": "kg", "lb": "lb", "%": "percent"}[unit]


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
