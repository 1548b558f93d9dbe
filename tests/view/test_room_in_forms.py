"""Every form holds its words whole on a small screen, in both themes, and in a language that needs more room."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QSize
from PySide6.QtWidgets import QAbstractButton, QApplication, QComboBox, QLabel, QTabBar

from legtide.day import edits_stations
from legtide.day.document import Place, Station, Truck
from legtide.day.edits import rebuilt
from legtide.language import use_catalogue
from support.pseudo import pseudo_catalogue

SCREEN = QSize(1280 - 40, 800 - 60)
"""The smallest screen, less the window's frame and a bar of the desktop."""


@pytest.fixture
def busy(workspace) -> Station:
    """A station with places and trucks, in the open day."""
    old = workspace.day.stations[1]
    places = (Place(id="A1"), Place(id="F1", kind="fill_point"), Place(id="D1", kind="dump_point"), Place(id="Base"))
    trucks = tuple(Truck(id=f"W{n}", tank="fresh", start_place="Base", aboard_l=900.0) for n in range(4))
    new = rebuilt(old, places=places, trucks=(*old.trucks, *trucks), outside_air_c=-3.0)
    workspace.apply(edits_stations.put_station(workspace.day, old.code, new), "x")
    return new


@pytest.fixture(params=["as it is", "40 % longer"])
def language(request):
    """English, and every sentence two fifths longer, as German often is."""

    if request.param != "as it is":
        use_catalogue(pseudo_catalogue())
    yield request.param
    use_catalogue({})


def opened_forms(window, workspace, busy):
    """Each form, with the number of its pages."""
    parts, editing = window.day_parts, window.editing
    workspace.select(leg="0-3")
    yield lambda: parts._open_station(busy), 3
    yield parts.add_station, 3
    yield lambda: parts._open_fit(workspace.day.fits[0]), 2
    yield editing.open_aircraft, 1
    yield parts.add_aircraft, 1
    yield editing.open_leg, 1
    yield parts.add_return, 1
    yield parts._ask_new_day, 1
    yield parts.edit_title, 1


def too_small(form) -> list[str]:
    """What does not have the room that its words need."""
    found = []
    for one in form.findChildren(QLabel):
        if one.isVisible() and one.text() and not one.wordWrap():
            needed = one.fontMetrics().horizontalAdvance(one.text())
            if one.contentsRect().width() < needed - 1:
                found.append(f"{one.text()!r} has {one.contentsRect().width()} of {needed}")
    for one in form.findChildren(QAbstractButton):
        if one.isVisible() and one.text() and one.width() < one.sizeHint().width() - 1:
            found.append(f"button {one.text()!r} has {one.width()} of {one.sizeHint().width()}")
    for bar in form.findChildren(QTabBar):
        for number in range(bar.count()):
            rect = bar.tabRect(number)
            if (
                not bar.rect().contains(rect)
                or bar.fontMetrics().horizontalAdvance(bar.tabText(number)) > rect.width()
            ):
                found.append(f"page {bar.tabText(number)!r}")
    for box in form.findChildren(QComboBox):
        if box.isVisible() and box.fontMetrics().horizontalAdvance(box.currentText()) > box.width() - 30:
            found.append(f"choice {box.currentText()!r} has {box.width()}")
    return found


def test_every_form_has_room_for_its_words(window, workspace, busy, language, qapp):
    for make, pages in opened_forms(window, workspace, busy):
        form = make()
        for page in range(pages):
            form.pages.show_page(page)
            for _ in range(3):
                qapp.processEvents()
            wanted = form.sizeHint()
            assert wanted.width() <= SCREEN.width(), form.windowTitle()
            assert wanted.height() <= SCREEN.height(), form.windowTitle()
            form.resize(wanted)
            qapp.processEvents()
            assert too_small(form) == [], (form.windowTitle(), page)
        form.discard()


def test_the_checks_of_room_can_fail(window, workspace, busy, qapp):
    form = window.day_parts._open_station(busy)
    qapp.processEvents()
    assert too_small(form) == []
    form.button.setFixedWidth(20)
    qapp.processEvents()
    assert too_small(form) == [f"button 'Apply' has 20 of {form.button.sizeHint().width()}"]
    form.discard()


def test_the_keyboard_begins_at_the_first_field_and_ends_at_the_buttons(window, workspace, busy, qtbot):
    for make, _pages in opened_forms(window, workspace, busy):
        form = make()
        first = next(iter(form.fields.values()))
        assert form.focusWidget() in (first.focusProxy(), first)
        assert form.cancel.nextInFocusChain() is form.button or form.button in _following(form.cancel)
        form.discard()
    assert QApplication.activeModalWidget() is None


def _following(widget):
    """The next few widgets in the order of the Tab key."""
    out = []
    for _ in range(4):
        widget = widget.nextInFocusChain()
        out.append(widget)
    return out


def test_every_field_has_a_name_for_a_screen_reader(window, workspace, busy):
    from PySide6.QtWidgets import QLineEdit, QTableView

    for make, _pages in opened_forms(window, workspace, busy):
        form = make()
        for kind in (QLineEdit, QComboBox, QTableView):
            nameless = [
                one.objectName()
                for one in form.findChildren(kind)
                if not one.accessibleName()
                and not isinstance(one.parent(), QComboBox)
                and not _inside(one, QComboBox)
            ]
            assert nameless == [], form.windowTitle()
        form.discard()


def _inside(widget, kind) -> bool:
    parent = widget.parent()
    while parent is not None:
        if isinstance(parent, kind):
            return True
        parent = parent.parent()
    return False
