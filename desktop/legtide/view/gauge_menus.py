"""What the gauges show, picked from the menu of a turn: two clicks enter a reading."""

from __future__ import annotations

from PySide6.QtWidgets import QMenu

from legtide.day.document import TANKS
from legtide.day.gauges import gauge_text, offered_steps
from legtide.language import tr
from legtide.view.editing import Editing
from legtide.view.texts import menu_text


def add_gauge_menus(menu: QMenu, editing: Editing) -> None:
    """Adds a list of the steps of each working gauge at the selected turn; nothing where no turn is selected."""
    rotation = editing.rotation
    if rotation is None or not editing.has_turn():
        return
    menu.addSeparator()
    broken = {item.item for item in rotation.aircraft.inoperative}
    titles = {"fresh": tr("Water gauge shows"), "waste": tr("Waste gauge shows")}
    for tank in TANKS:
        gauge, capacity = rotation.fit.gauge(tank), rotation.fit.capacity_l(tank)
        steps = QMenu(menu_text(titles[tank]), menu)
        steps.setObjectName(f"{tank}_gauge")
        for percent in offered_steps(gauge):
            entry = steps.addAction(gauge_text(gauge, percent, capacity))
            entry.triggered.connect(
                lambda _checked=False, tank=tank, percent=percent: editing.enter_reading(tank, percent)
            )
        steps.setEnabled(f"{tank}_gauge" not in broken)
        menu.addMenu(steps)
