"""Every page and dialog that the window opens, in both themes."""

from __future__ import annotations

import pytest
from PySide6.QtWidgets import QApplication

from legtide.day.edits import delete_service
from legtide.shipped import demo_days
from legtide.view.calls_window import CallsWindow
from legtide.view.compare_window import CompareWindow
from legtide.view.figures_window import FiguresWindow
from legtide.view.panels.tank_detail import TankDetail
from legtide.view.wall import WallView

DIALOGS = {
    "commands": "help.commands",
    "keys": "help.keys",
    "about": "help.about",
    "find": "go.find",
    "demo": "file.demo",
    "local-time": "view.station",
    "level": "service.level",
    "move": "service.move",
    "reading": "turn.reading",
    "aircraft": "aircraft.edit",
    "alternative": "plan.alternative",
    "reports": "help.reports",
    "new-day": "file.new",
    "title": "day.title",
    "leg-add": "leg.add",
    "aircraft-add": "aircraft.add",
    "station": "station.edit",
    "station-add": "station.add",
    "fit": "fit.edit",
    "check-page": "file.check_page",
    "why": "view.why",
}
"""Picture -> the action that opens the dialog when a service is selected."""
PAGES = {"calls": CallsWindow, "compare": CompareWindow, "tanks": TankDetail, "figures": FiguresWindow}
OPENED_BY = {"calls": "view.calls", "compare": "view.compare", "tanks": "aircraft.tanks", "figures": "day.figures"}


def newest_dialog(qtbot):
    found = []

    def there():
        found[:] = [one for one in QApplication.topLevelWidgets() if one.inherits("QDialog") and one.isVisible()]
        return bool(found)

    qtbot.waitUntil(there)
    return found[-1]


def test_each_dialog(shown, picture, qtbot, theme):
    window = shown("tight", theme)
    service = next(row for row in window.workspace.day.services if row.turn > 0)
    window.workspace.select(service=service.id)
    window.registry.refresh()
    for name, action in DIALOGS.items():
        window.registry[action].trigger()
        dialog = newest_dialog(qtbot)
        picture(dialog, f"dialog-{name}-{theme}")
        dialog.close()


def test_each_page_beside_the_board(shown, picture, theme):
    window = shown("tight", theme)
    window.workspace.keep_baseline()
    for row in window.workspace.day.services[:2]:
        window.workspace.apply(delete_service(window.workspace.day, row.id), "delete")
    window.workspace.select(window.workspace.day.aircraft[0].registration)
    window.registry.refresh()
    for name, kind in PAGES.items():
        window.registry[OPENED_BY[name]].trigger()
        page = window.findChild(kind)
        picture(page, f"page-{name}-{theme}")
        page.close()


def test_a_leg_form_and_an_invalid_field(shown, picture, qtbot):
    window = shown("tight")
    window.workspace.select(leg=window.workspace.day.legs[3].id)
    window.registry.refresh()
    window.registry["leg.edit"].trigger()
    form = newest_dialog(qtbot)
    picture(form, "dialog-leg-light")


def test_messages_half_understood(shown, picture, qtbot):
    window = shown("tight")
    leg = window.workspace.day.legs[0]
    window.registry["file.messages"].trigger()
    page = newest_dialog(qtbot)
    tail = leg.aircraft.replace("-", "")
    head = f"{leg.flight.replace(' ', '')}/{leg.std:%d}.{tail}.{leg.origin}"
    page.text.insertPlainText(f"MVT\n{head}\nAD{leg.std:%H%M}/{leg.std:%H%M}\nhello\n")
    qtbot.waitUntil(lambda: page.outcome is not None)
    picture(page, "dialog-messages-light")


@pytest.mark.parametrize("name", ["file.briefing", "file.runs", "file.print_board"])
def test_pages_on_paper(shown, picture, qtbot, name):
    window = shown("bank")
    window.registry[name].trigger()
    page = newest_dialog(qtbot)
    qtbot.waitUntil(lambda: bool(page.pages))
    picture(page, f"dialog-{name.replace('.', '-')}")


def test_an_import_with_rows_that_are_refused(shown, picture, qtbot, tmp_path):
    window = shown("tight")
    text = (demo_days() / "schedule-utc.csv").read_text("utf-8").splitlines()
    text[2] = text[2].replace(":", ".")
    target = tmp_path / "schedule.csv"
    target.write_text("\n".join(text), "utf-8")
    window.import_schedule(target)
    page = newest_dialog(qtbot)
    qtbot.waitUntil(page.take.isEnabled)
    picture(page, "dialog-import-light")


def test_a_question(shown, picture, qtbot):
    window = shown("tight")
    window.workspace.apply(delete_service(window.workspace.day, window.workspace.day.services[0].id), "delete")
    window.opening.when_saved(lambda: None)
    picture(newest_dialog(qtbot), "dialog-question-light")


def test_the_wall_view(shown, midday, picture, tmp_path, theme):
    window = shown("tight", theme)
    window.workspace.save_as(tmp_path / "wall.day.json")
    window.registry.run("view.wall")
    wall = window.findChild(WallView)
    wall._tick.stop()
    wall.showNormal()
    wall.resize(1920, 1080)
    wall.workspace.set_now(midday(window))
    wall.refresh()
    picture(wall, f"wall-{theme}")
    wall.close()
