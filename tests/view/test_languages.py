"""The language of the window: chosen or the system's, kept, spoken by everything, and by the planner's process."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, QTranslator
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QAbstractButton, QLabel

from legtide.day.document import Service
from legtide.day.edits import rebuilt
from legtide.engine.projection import project
from legtide.language import language, languages
from legtide.view.languages import NAMES, SYSTEM, spoken, take_language
from legtide.view.main_window import build_window
from legtide.view.planning_process import search_station
from legtide.view.planning_wish import Handle, Wish
from legtide.view.preferences import Preferences
from legtide.workspace.settings import Settings, load_settings
from support.station_days import station_day


@pytest.fixture
def german(qapp):
    take_language(qapp, "de")
    yield
    take_language(qapp, "en")


@pytest.mark.parametrize(
    ("choice", "wanted", "name"),
    [
        (SYSTEM, ["de-AT", "en-GB"], "de"),
        (SYSTEM, ["de_CH"], "de"),
        (SYSTEM, ["xx-YY", "de"], "de"),
        (SYSTEM, ["en-GB", "de-DE"], "en"),
        (SYSTEM, ["xx"], "en"),
        (SYSTEM, [], "en"),
        ("de", ["en"], "de"),
        ("en", ["de"], "en"),
        ("xx", ["de"], "en"),
    ],
)
def test_the_choice_comes_first_and_then_what_the_system_wants(choice, wanted, name):
    assert spoken(choice, wanted) == name


def test_every_catalogue_has_a_name_and_an_action(window):
    assert set(NAMES) == set(languages())
    choices = [row.id for row in window.registry if row.id.startswith("view.language_")]
    assert choices == [f"view.language_{name}" for name in (SYSTEM, *NAMES)]


def test_a_choice_is_kept_and_said_to_count_from_the_next_start(window, preferences, tmp_path):
    assert Settings().language == SYSTEM
    assert window.registry["view.language_system"].isChecked()
    window.registry.run("view.language_de")
    assert load_settings(tmp_path / "config" / "settings.json")[0].language == "de"
    assert "next time" in window.footer.message
    window.registry.refresh()
    assert window.registry["view.language_de"].isChecked()
    assert language() == "en"


def test_the_toolkit_speaks_it_too(qapp, german):
    assert QCoreApplication.translate("QPlatformTheme", "Cancel") == "Abbrechen"
    assert QKeySequence("Ctrl+S").toString(QKeySequence.SequenceFormat.NativeText) == "Strg+S"
    take_language(qapp, "de")
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    assert len(qapp.findChildren(QTranslator)) == 1
    take_language(qapp, "en")
    assert QCoreApplication.translate("QPlatformTheme", "Cancel") == "Cancel"


def test_the_window_speaks_german(german, workspace, qtbot):
    window = build_window(workspace, Preferences())
    qtbot.addWidget(window, before_close_func=lambda one: one.forget_changes())
    window.show()
    workspace.select(service="s0")
    said = {one.text() for one in window.findChildren(QLabel) if one.isVisible()}
    said |= {one.text() for one in window.findChildren(QAbstractButton) if one.isVisible()}
    assert {"Was zu tun ist", "Rückgängig", "Besseren Plan suchen", "Erledigt", "Spätester Beginn"} <= said
    assert any(text.startswith(("Wasserservice", "Toilettenservice")) for text in said)
    warnings = [row.message for row in project(workspace.day).warnings]
    assert warnings
    assert all("likely" not in text and " is " not in text for text in warnings)
    english = {"What to do", "Undo", "Find better plan", "Done", "Latest start", "State", "Before", "After"}
    assert not said & english


class Quiet:
    """A report that nobody reads."""

    def progress(self, _done: int, _total: int) -> None:
        """Nothing is shown."""


def test_the_planner_in_its_own_process_gives_its_reasons_in_german(german):
    services = (Service(id="s1", aircraft="QX-0", turn=3, tank="fresh"),)
    day = station_day(1, trucks=1, services=services)
    stations = tuple(
        rebuilt(row, trucks=tuple(one for one in row.trucks if one.tank == "waste")) for row in day.stations
    )
    day = rebuilt(day, stations=stations)
    found = search_station(Wish("mend", day, project(day), station="BAKE"), Quiet(), Handle())
    assert "die Station hat kein Wasserfahrzeug" in [row.text.partition(";")[0] for row in found.result.plan.unserved]
