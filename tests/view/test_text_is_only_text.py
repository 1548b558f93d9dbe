"""Whatever a user typed is shown as typed on every surface, and nothing that it names is loaded."""

from __future__ import annotations

import pytest
from PySide6.QtCore import QAbstractItemModel, Qt
from PySide6.QtGui import QImage
from PySide6.QtWidgets import QAbstractButton, QLabel, QMessageBox, QTableView, QTextEdit, QWidget

from legtide.day.document import Service, Station, Truck
from legtide.view.dialogs import ask, tell
from legtide.workspace.autosave import Leftover
from support.days import rotation_day


@pytest.fixture(scope="module")
def trap(tmp_path_factory):
    """Markup that would load a picture from the disk."""
    path = tmp_path_factory.mktemp("trap") / "x.png"
    image = QImage(8, 8, QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.red)
    assert image.save(str(path))
    return f'<img src="{path}">'


@pytest.fixture
def day(trap):
    """A day in which every text is markup."""
    plain = rotation_day(1.2, 9, title=f"{trap}<b>title</b>")
    name = f"<b>{plain.aircraft[0].registration}</b>"
    markup = f"<i>R</i>{trap}"[:400]
    stations = (
        Station(code="ABLE", name=markup, remark=markup, trucks=(Truck(id="<b>T</b>", tank="waste"),)),
        Station(code="BAKE", name=markup, trucks=(Truck(id="<b>T</b>", tank="waste"),)),
    )
    return plain.model_copy(
        update={
            "stations": stations,
            "aircraft": tuple(type(row)(registration=name, fit="f", remark=markup) for row in plain.aircraft),
            "legs": tuple(
                row.model_copy(
                    update={"aircraft": name, "flight": f"<u>{row.flight}</u>", "remark": markup, "stand": "<s>1</s>"}
                )
                for row in plain.legs
            ),
            "services": (
                Service(
                    id="s0", aircraft=name, turn=3, tank="waste", target_percent=0.0, truck="<b>T</b>", remark=markup
                ),
            ),
        }
    )


def as_rich(text: str) -> bool:
    """Whether markup of the user's stands in a text that Qt may take for rich text."""
    return any(mark in text for mark in ("<img", "<b>", "<i>", "<u>", "<s>"))


def problems(top: QWidget) -> list[str]:
    """Where markup of the user's would be taken for markup."""
    found = []
    for one in [top, *top.findChildren(QWidget)]:
        if as_rich(one.toolTip()):
            found.append(f"tooltip of {one}: {one.toolTip()}")
        if isinstance(one, QLabel) and one.textFormat() != Qt.TextFormat.PlainText and as_rich(one.text()):
            found.append(f"label {one.objectName()}: {one.text()}")
        if isinstance(one, QTextEdit) and "<img" not in one.toPlainText() and "<img" in one.toHtml():
            found.append(f"text {one}")
        if isinstance(one, QTableView):
            found += tips(one.model())
    return found


def tips(model: QAbstractItemModel) -> list[str]:
    out = []
    for row in range(min(model.rowCount(), 50)):
        for column in range(model.columnCount()):
            tip = model.index(row, column).data(Qt.ItemDataRole.ToolTipRole)
            if isinstance(tip, str) and as_rich(tip):
                out.append(f"tooltip of a cell: {tip}")
    return out


def shown_texts(top: QWidget) -> str:
    labels = [one.text() for one in top.findChildren(QLabel)]
    buttons = [one.text() for one in top.findChildren(QAbstractButton)]
    return "\n".join([*labels, *buttons])


def test_the_window_shows_names_as_typed(window, workspace, day):
    window.toggle_table()
    for selection in (
        {"service": "s0"},
        {"leg": day.legs[2].id},
        {"aircraft": day.aircraft[0].registration, "turn": 2},
    ):
        workspace.select(**selection)
        assert problems(window) == []
        assert "<b>QX-0</b>" in shown_texts(window.panel)
    assert window.top_bar._title._whole == day.title
    assert window.windowTitle().startswith(day.title)


def test_the_board_shows_names_as_typed(window, workspace, day, qtbot):
    from PySide6.QtCore import QPointF

    from legtide.view.texts import tooltip
    from legtide.view.timeline.wording import hover_text

    said = set()
    for x in range(10, window.board.width() - 10, 40):
        for y in range(60, window.board.height() - 10, 30):
            text = hover_text(window.board.hit(QPointF(x, y)), window.board.model)
            assert not as_rich(tooltip(text)), text
            said.add(text)
    assert any("<" in text for text in said)


def test_footer_and_banner_show_what_they_are_told(window, trap):
    window.footer.say(trap)
    window.banner.show_text(trap, [(f"<b>{trap}</b> & so", lambda: None)])
    assert problems(window) == []
    assert window.footer.message == trap
    assert window.banner.text == trap


@pytest.mark.parametrize("name", ["service.level", "service.move", "turn.reading", "leg.edit", "aircraft.edit"])
def test_forms_show_names_as_typed(window, workspace, day, dialog, name):
    workspace.select(leg=day.legs[2].id) if name == "leg.edit" else workspace.select(service="s0")
    window.registry[name].trigger()
    page = dialog("form")
    assert problems(page) == []
    assert "<" in shown_texts(page)


def test_forms_of_stations_and_fits_show_names_as_typed(window, workspace, dialog):
    parts, day = window.day_parts, workspace.day
    form = parts._open_station(day.stations[0])
    assert problems(form) == []
    assert form.fields["name"].line.text() == day.stations[0].name
    assert form.fields["trucks"].model.index(0, 0).data() == "<b>T</b>"
    form.discard()
    workspace.select(leg=day.legs[2].id)
    box = parts.delete_leg()
    assert problems(box) == []
    assert day.legs[2].flight in shown_texts(box)
    box.close()


def test_choosers_show_names_as_typed(window, dialog):
    window.registry["go.find"].trigger()
    page = dialog("chooser")
    assert problems(page) == []
    assert "<b>QX-0</b>" in shown_texts(page)
    page.close()
    window.registry["view.station"].trigger()
    page = dialog("chooser")
    assert problems(page) == []
    assert "<i>R</i>" in shown_texts(page)


def test_figures_show_sources_as_typed(window, workspace, dialog, trap):
    from legtide.day import edits

    workspace.apply(edits.set_figure(workspace.day, "policy", "risk_limit", 0.2, trap), "x")
    window.beside.show_figures()
    assert problems(dialog("figures")) == []


def test_message_boxes_show_texts_as_typed(window, dialog, trap):
    tell(window, trap, f"{trap}\n<b>bold</b>", details=trap)
    box = dialog("question")
    assert isinstance(box, QMessageBox)
    assert problems(box) == []
    assert trap in shown_texts(box)
    box.close()
    ask(window, "x", "y", [])
    dialog("question").close()


def test_the_import_report_shows_rows_as_typed(window, dialog, qtbot, tmp_path, trap):
    path = tmp_path / "<b>x<img src=a>.csv"
    path.write_text(
        "registration,flight,from,to,std,sta\n"
        "<b>Q</b>,<i>1</i>,A,B,2026-05-14T06:00Z,2026-05-14T07:00Z\n"
        f"Q,1,A,B,{trap.replace(chr(34), '')},2026-05-14T07:00Z\n"
    )
    window.import_schedule(path)
    page = dialog("import")
    qtbot.waitUntil(lambda: page.imported is not None)
    assert problems(page) == []
    assert any("<img" in cell for row in page.refused.rows for cell in row)


def test_the_recovery_offer_shows_names_as_typed(window, workspace, day, dialog, tmp_path):
    from datetime import UTC, datetime

    from legtide.view.recovery import RecoveryDialog

    one = Leftover(tmp_path / "x.journal", None, None, datetime.now(UTC), day)
    page = RecoveryDialog(workspace, [one, one], lambda _one: None, window)
    page.open()
    assert problems(page) == []
    page.close()


@pytest.mark.parametrize("name", ["file.briefing", "file.runs"])
def test_previews_of_pages_show_names_as_typed(window, dialog, qtbot, name):
    window.registry[name].trigger()
    page = dialog("pages")
    qtbot.waitUntil(lambda: not page._jobs.busy("pages"))
    assert problems(page) == []
    assert "<" in page.choice.itemText(0) + page.note.text()


def test_menus_show_an_ampersand():
    from legtide.view.texts import menu_text

    assert menu_text("Save & close") == "Save && close"
