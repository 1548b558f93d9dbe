"""Importing in the window: columns that are asked for once, sheets, dates, and what is remembered."""

from __future__ import annotations

from datetime import date, time

import pytest
from PySide6.QtWidgets import QApplication, QDialog

from legtide.files.schedule_source import read_source
from legtide.view.mapper_dialog import first_guess
from legtide.workspace.settings import MOST_LAYOUTS, ColumnLayout, Settings, layout_of, names_key, with_layout
from support.schedule_files import file, leg
from support.workbooks import xlsx

HEADER = ("A/C", "FLT", "DEP", "ARR", "DATE", "STD (UTC)", "STA (UTC)", "<img src=x>")
ROWS = (
    ("QX-A", "0123", "ABLE", "BAKE", date(2031, 3, 5), time(6, 10), time(7, 35), "<b>1</b>"),
    ("QX-A", "124", "BAKE", "ABLE", date(2031, 3, 5), "soon", time(9, 45), ""),
    ("QX-B", "007", "ABLE", "CAKE", date(2031, 3, 5), time(23, 20), "0055", ""),
)
COLUMNS = {
    "registration": "A/C",
    "flight": "FLT",
    "from": "DEP",
    "to": "ARR",
    "std": "STD (UTC)",
    "sta": "STA (UTC)",
    "date": "DATE",
}


@pytest.fixture
def book(folder):
    path = folder / "plan.xlsx"
    path.write_bytes(xlsx({"Plan": (HEADER, *ROWS)}))
    return path


@pytest.fixture
def folder(tmp_path):
    made = tmp_path / "schedules"
    made.mkdir()
    return made


def is_open(name: str) -> bool:
    dialogs = (one for one in QApplication.topLevelWidgets() if isinstance(one, QDialog))
    return any(one.objectName() == name and one.isVisible() for one in dialogs)


def mapped(window, path, dialog):
    """The dialog that asks for the columns of a schedule."""
    window.import_schedule(path)
    return dialog("mapper")


def test_unknown_columns_are_asked_for_with_the_guesses_filled_in(window, book, qtbot, dialog, workspace, click):
    page = mapped(window, book, dialog)
    assert page.mapping.columns == COLUMNS
    assert page.times.currentText() == "in UTC"
    assert page.rows.rows == [
        ("row 2", "QX-A", "0123", "ABLE", "BAKE", "2031-03-05 06:10Z", "2031-03-05 07:35Z", "", ""),
        (
            *("row 3", "QX-A", "124", "BAKE", "ABLE", "soon", "09:45:00", ""),
            "std: is not a date and time written like 2031-03-05T06:10Z",
        ),
        ("row 4", "QX-B", "007", "ABLE", "CAKE", "2031-03-05 23:20Z", "2031-03-06 00:55Z", "", ""),
    ]
    click(page.use)
    imported = dialog("import")
    qtbot.waitUntil(lambda: imported.imported is not None)
    assert imported.refused.rows[0][:3] == ("F3", "std", "soon")
    click(imported.take)
    assert [leg.flight for leg in workspace.day.legs] == ["0123", "007"]


def test_names_and_cells_are_only_text(window, book, dialog):
    page = mapped(window, book, dialog)
    page.boxes["pax"].setCurrentText("<img src=x>")
    assert page.boxes["pax"].currentData() == "<img src=x>"
    assert page.boxes["pax"].toolTip().startswith("<qt>&lt;b&gt;1&lt;/b&gt;")


def test_a_field_that_is_needed_has_to_be_chosen(window, book, qtbot, dialog):
    page = mapped(window, book, dialog)
    page.boxes["std"].setCurrentIndex(0)
    assert not page.use.isEnabled()
    assert page.problem.text() == "Still needed: STD"
    page.boxes["std"].setCurrentText("STA (UTC)")
    assert page.problem.text() == "Chosen more than once: STA (UTC)"
    assert not page.use.isEnabled()
    page.boxes["std"].setCurrentText("STD (UTC)")
    assert page.use.isEnabled()


def test_the_same_columns_are_not_asked_for_again(window, book, qtbot, dialog, preferences, folder, click):
    click(mapped(window, book, dialog).use)
    dialog("import").reject()
    again = folder / "later.csv"
    # Another order, another case, another kind of file: the same set of names.
    again.write_text(
        "flt;a/c;DEP;ARR;DATE;STA (UTC);STD (UTC);<img src=x>\n9;QX-C;ABLE;BAKE;2031-03-06;07:30;06:10;\n"
    )
    window.import_schedule(again)
    page = dialog("import")
    qtbot.waitUntil(lambda: page.imported is not None)
    assert not is_open("mapper")
    assert page.times.currentText() == "in UTC"
    assert [leg.flight for leg in page.imported.day.legs] == ["9"]
    kept = preferences.__class__(preferences._path).settings
    assert [row.columns for row in kept.layouts] == [COLUMNS]


def test_known_columns_are_not_asked_for_but_can_be_changed(window, folder, qtbot, dialog, click):
    path = folder / "plan.csv"
    path.write_text(
        "registration,flight,from,to,std,sta,other\nQX-A,1,ABLE,BAKE,2031-03-05T06:10Z,2031-03-05T07:35Z,77\n"
    )
    window.import_schedule(path)
    page = dialog("import")
    qtbot.waitUntil(lambda: page.imported is not None)
    assert not is_open("mapper")
    click(page.columns)
    asked = dialog("mapper")
    asked.boxes["pax"].setCurrentText("other")
    click(asked.use)
    qtbot.waitUntil(lambda: page.imported is not None and page.imported.day.legs[0].passengers == 77)


def test_leaving_the_question_says_what_is_missing(window, book, qtbot, dialog):
    mapped(window, book, dialog).reject()
    page = dialog("import")
    qtbot.waitUntil(lambda: page.summary.text() == "The schedule cannot be taken")
    assert any('column "registration" is missing' in row[3] for row in page.refused.rows)
    assert not page.take.isEnabled()


def test_times_without_a_date_get_one(window, folder, qtbot, dialog, click):
    path = folder / "plan.xlsx"
    header = ("registration", "flight", "from", "to", "std", "sta")
    path.write_bytes(xlsx({"Plan": (header, ("QX-A", "1", "ABLE", "BAKE", "0610Z", "0735Z"))}))
    page = mapped(window, path, dialog)
    assert page.problem.text().startswith("The times have no date")
    click(page.use)
    imported = dialog("import")
    qtbot.waitUntil(lambda: imported.imported is not None)
    assert imported.one_date.isVisible()
    imported.one_date.setDate(date(2031, 3, 7))
    qtbot.waitUntil(lambda: imported.imported is not None and imported.imported.day.date == date(2031, 3, 7))


def test_another_sheet_can_be_chosen(window, folder, qtbot, dialog):
    header = ("registration", "flight", "from", "to", "std", "sta")
    row = ("QX-A", "1", "ABLE", "BAKE", "2031-03-05T06:10Z", "2031-03-05T07:35Z")
    path = folder / "plan.xlsx"
    path.write_bytes(xlsx({"Cover": (("Plan",),), "Wed": (header, row), "Thu": (header, ("QX-B", *row[1:]))}))
    window.import_schedule(path)
    page = dialog("import")
    qtbot.waitUntil(lambda: page.imported is not None)
    assert (page.sheet.isVisible(), page.sheet.currentText()) == (True, "Wed")
    page.sheet.setCurrentText("Thu")
    qtbot.waitUntil(lambda: page.imported is not None and page.imported.day.aircraft[0].registration == "QX-B")


def test_a_schedule_file_offers_the_dates_that_it_covers(window, folder, qtbot, dialog):
    path = folder / "season.txt"
    path.write_bytes(
        file(
            leg("201", "OZM", "0430", "TQB", "0525", c29="1 3 5 7"),
            leg("202", "TQB", "0600", "OZM", "0655", c29="1      "),
        )
    )
    window.import_schedule(path)
    page = dialog("import")
    qtbot.waitUntil(lambda: page.imported is not None)
    assert page.date.isVisible() and not page.times.isVisible() and not page.columns.isVisible()
    first = page.imported.day.date
    assert page.date.itemData(0) == first
    page.date.setCurrentIndex(1)
    other = page.date.itemData(1)
    assert other > first
    qtbot.waitUntil(lambda: page.imported is not None and page.imported.day.date == other)
    legs = int(page.date.currentText().split("(")[1].split()[0])
    assert legs == len(page.imported.day.legs)


def test_a_damaged_workbook_says_so(window, folder, qtbot, dialog):
    path = folder / "plan.xlsx"
    path.write_bytes(xlsx({"Plan": (HEADER, *ROWS)})[:3000])
    window.import_schedule(path)
    page = dialog("import")
    qtbot.waitUntil(lambda: page.summary.text() == "The schedule cannot be taken")
    assert "is a damaged workbook" in page.refused.rows[0][3]


# what is remembered ---------------------------------------------------------------------------------------


def test_only_the_latest_layouts_are_kept():
    settings = Settings()
    for number in range(MOST_LAYOUTS + 5):
        settings = with_layout(settings, ColumnLayout(names=names_key([f"c{number}"]), columns={"pax": f"c{number}"}))
    assert len(settings.layouts) == MOST_LAYOUTS
    assert layout_of(settings, ["c0"]) is None
    assert layout_of(settings, [" C24 ", ""]).columns == {"pax": "c24"}
    assert Settings.model_validate_json(settings.model_dump_json()) == settings


def test_a_guess_keeps_the_kind_of_times_that_is_chosen_where_the_names_say_nothing():
    table = read_source(b"REG,FLT,DEP,ARR,STD,STA\n").table()
    assert first_guess(table, "local").times == "local"
    assert first_guess(read_source(b"REG,FLT,DEP,ARR,STDZ,STAZ\n").table(), "local").times == "utc"
