"""The parts of the day in forms: added, changed and removed, each as one step that can be undone."""

from __future__ import annotations

import random
from datetime import UTC, date, datetime, timedelta

import pytest
from PySide6.QtCore import Qt
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QLineEdit, QMessageBox, QPushButton
from pytest import approx

from legtide.day import edits, edits_aircraft, edits_legs, edits_stations
from legtide.day.checks import problems
from legtide.day.document import Aircraft, Leg, Reading, Station
from legtide.day.suggestions import next_leg
from legtide.engine.projection import project
from legtide.files import day_file

US_GALLON_L = 3.785411784
"""Exact: NIST Handbook 44, appendix C (231 cubic inches)."""


def press(qtbot, window, keys: str) -> None:
    sequence = QKeySequence(keys)[0]
    qtbot.keyClick(window.board, sequence.key(), sequence.keyboardModifiers())


def put(form, **texts: str) -> None:
    """Types into fields, or chooses where there is something to choose."""
    for name, text in texts.items():
        field = form.fields[name]
        if hasattr(field, "box"):
            field.choose(text)
        else:
            field.line.setText(text)


def row(table, **texts: object) -> None:
    """A new row of a table, through its button and its cells."""
    table.add_button.click()
    number = table.model.rowCount() - 1
    for place, column in enumerate(table.model.columns):
        if column.name in texts:
            table.model.setData(table.model.index(number, place), texts[column.name])


def cell(table, number: int, name: str):
    place = next(n for n, column in enumerate(table.model.columns) if column.name == name)
    return table.model.index(number, place)


def accept(qtbot, form) -> None:
    qtbot.mouseClick(form.button, Qt.MouseButton.LeftButton)


def choose(qtbot, chooser, words: str) -> None:
    qtbot.keyClicks(chooser.field, words)
    qtbot.keyClick(chooser.field, Qt.Key.Key_Return)


# from nothing to a working day ----------------------------------------------------------------------------


def test_a_working_day_is_built_from_nothing_by_forms_alone(window, workspace, qtbot, dialog, tmp_path):
    press(qtbot, window, "Ctrl+N")
    form = dialog("form")
    put(form, title="Built by hand", date="2027-05-21", code="HOLM", name="Holmer", time_zone="europe/berlin")
    accept(qtbot, form)
    assert (workspace.day.title, workspace.day.date) == ("Built by hand", date(2027, 5, 21))
    assert workspace.dirty

    press(qtbot, window, "Ctrl+E")
    form = dialog("form")
    put(form, water_c="12", outside_air_c="46 °F", fresh_hours="03:00-22:30")
    row(form.fields["places"], id="A1")
    row(form.fields["places"], id="F", kind="fill_point", handling_min="2 min")
    row(form.fields["places"], id="D", kind="dump_point")
    ways = form.fields["travel"].model
    ways.setData(ways.index(0, 1), "3")
    row(form.fields["trucks"], id="W1", tank="fresh", capacity_l="475 US gal", shift="03:30-14:30", start_place="F")
    row(form.fields["trucks"], id="T1", tank="waste", breaks="09:00-09:30", setup_min="1")
    accept(qtbot, form)
    assert not form.isVisible()
    station = workspace.day.stations[0]
    assert station.trucks[0].capacity_l == approx(475 * US_GALLON_L)
    assert station.outside_air_c == approx((46 - 32) / 1.8)
    assert [(row.between, row.minutes) for row in station.travel] == [(("A1", "F"), 3.0)]
    assert workspace.undo_stack.count() == 1

    window.registry["station.add"].trigger()
    form = dialog("form")
    put(form, code="VIKA", time_zone="Europe/Oslo")
    accept(qtbot, form)

    window.registry["fit.add"].trigger()
    choose(qtbot, dialog("chooser"), "70 seats")
    form = dialog("form")
    put(form, id="jet-70")
    form.fields["fresh_capacity_l"].number.line.setText("20 US gal")
    accept(qtbot, form)
    assert workspace.day.fits[0].fresh_capacity_l.value == approx(20 * US_GALLON_L)

    press(qtbot, window, "Ctrl+Ins")
    form = dialog("form")
    put(form, registration="QM-AAA", fresh_percent="75 %", start_stand="A1")
    accept(qtbot, form)
    assert workspace.selection.aircraft == "QM-AAA"

    for number in range(3):
        press(qtbot, window, "Ins")
        form = dialog("form")
        if number == 0:
            put(form, flight="X0 201", std="04:30", sta="05:40")
        accept(qtbot, form)
        assert not form.isVisible(), [field.problem for field in form.fields.values() if hasattr(field, "problem")]
    assert [(leg.flight, leg.origin, leg.destination) for leg in workspace.day.legs] == [
        ("X0 201", "HOLM", "VIKA"),
        ("X0 202", "VIKA", "HOLM"),
        ("X0 203", "HOLM", "VIKA"),
    ]
    assert workspace.day.legs[1].std == datetime(2027, 5, 21, 6, 25, tzinfo=UTC)

    workspace.select("QM-AAA", turn=2)
    press(qtbot, window, "W")
    press(qtbot, window, "B")
    window.registry["service.move"].trigger()
    form = dialog("form")
    put(form, truck="T1")
    accept(qtbot, form)
    assert problems(workspace.day) == ()

    path = tmp_path / "built.day.json"
    window.opening.save_to(path)
    assert not workspace.dirty
    again = day_file.load(path).day
    assert again == workspace.day
    results = project(again).aircraft["QM-AAA"].legs
    assert len(results) == 3
    assert results[0].fresh_departure.p50 == approx(0.75 * 20 * US_GALLON_L)

    steps = workspace.undo_stack.count()
    for _ in range(steps):
        window.undo()
    assert workspace.day.stations == (Station(code="HOLM", name="Holmer", time_zone="Europe/Berlin"),)
    assert workspace.day.aircraft == ()


def test_a_new_day_asks_about_what_no_file_holds(window, workspace, qtbot, dialog, answer):
    workspace.apply(edits.retitled(workspace.day, "Changed"), "x")
    press(qtbot, window, "Ctrl+N")
    answer("Discard")
    form = dialog("form")
    accept(qtbot, form)
    assert form.isVisible()
    assert form.focusWidget() is form.fields["code"].line
    assert form.fields["code"].problem == "A code is needed."
    assert workspace.day.title == "Changed"


def test_title_and_date_are_changed_in_one_step(window, workspace, qtbot, dialog):
    window.registry["day.title"].trigger()
    form = dialog("form")
    put(form, title="Thursday", date="2026-05-15")
    accept(qtbot, form)
    assert (workspace.day.title, workspace.day.date) == ("Thursday", date(2026, 5, 15))
    assert workspace.undo_stack.count() == 1


# legs -----------------------------------------------------------------------------------------------------


def test_everything_of_a_leg_is_changed_and_what_follows_is_said_before(window, workspace, qtbot, dialog):
    day, _ = edits.add_service(workspace.day, "QX-0", 3, "fresh", truck="W1")
    workspace.apply(day, "x")
    workspace.select(leg="0-2")
    press(qtbot, window, "E")
    form = dialog("form")
    put(form, flight="ZZ777", destination="able", passengers="12", remark="ferry")
    form.weigh()
    assert "Water service of QX-0 moves from BAKE to ABLE, without a truck" in form._follows.text()
    accept(qtbot, form)
    leg = workspace.day.legs[2]
    assert (leg.flight, leg.destination, leg.passengers, leg.remark) == ("ZZ777", "ABLE", 12, "ferry")
    assert workspace.day.services[-1].truck is None
    assert workspace.undo_stack.count() == 2


def test_a_leg_is_given_to_another_aircraft_where_it_fits(window, workspace, qtbot, dialog):
    workspace.select(leg="0-3")
    press(qtbot, window, "E")
    form = dialog("form")
    put(form, aircraft="QX-1")
    accept(qtbot, form)
    assert form.isVisible()
    assert "ZZ103 of the same aircraft is under way" in form.fields["std"].problem
    late = workspace.day.legs[-1].sta + timedelta(minutes=40)
    put(form, std=f"{late:%Y-%m-%d %H:%M}", sta=f"{late + timedelta(hours=1):%Y-%m-%d %H:%M}")
    assert form.fields["std"].problem == ""
    accept(qtbot, form)
    assert workspace.day.legs[3].aircraft == "QX-1"
    assert problems(workspace.day) == ()


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("origin", "NOWH", 'Station "NOWH" is not listed: add it in the menu Edit.'),
        ("sta", "03:00", "The leg ends before it starts"),
        ("flight", "", "A flight number is needed."),
        ("passengers", "many", "A whole number"),
    ],
)
def test_a_wrong_field_of_a_leg_gets_the_keyboard_and_nothing_is_taken(
    window, workspace, qtbot, dialog, name, text, said
):
    workspace.select(leg="0-0")
    press(qtbot, window, "E")
    form = dialog("form")
    put(form, remark="typed", **{name: text})
    accept(qtbot, form)
    assert form.isVisible()
    assert form.focusWidget() is form.fields[name].line
    assert said in form.fields[name].problem
    assert workspace.undo_stack.count() == 0


def test_the_flight_back_is_filled_in_and_its_arrival_follows_its_departure(window, workspace, qtbot, dialog):
    last = workspace.day.legs[8]
    workspace.select(leg="0-8")
    press(qtbot, window, "Shift+Ins")
    form = dialog("form")
    back = form.fields
    assert [back[name].value for name in ("origin", "destination", "flight")] == ["BAKE", "ABLE", "ZZ109"]
    assert back["std"].value == last.sta + timedelta(minutes=45)
    put(form, std=f"{last.sta + timedelta(minutes=60):%Y-%m-%d %H:%M}")
    assert back["sta"].value - back["std"].value == timedelta(minutes=70)
    accept(qtbot, form)
    added = workspace.day.legs[-1]
    assert workspace.selection.leg == added.id
    assert (added.std, added.passengers) == (last.sta + timedelta(minutes=60), last.passengers)
    assert len(workspace.projection.aircraft["QX-0"].legs) == 10


def test_deleting_a_leg_says_what_becomes_of_the_services_around_it(window, workspace, qtbot, dialog, answer):
    day = edits.add_reading(workspace.day, Reading(aircraft="QX-0", turn=3, tank="fresh", percent=70.0))
    day, _ = edits.add_service(day, "QX-0", 2, "waste")
    workspace.apply(day, "x")
    workspace.select(leg="0-2")
    press(qtbot, window, "Shift+Del")
    box = dialog("question")
    assert isinstance(box, QMessageBox)
    said = box.informativeText()
    assert "1 reading" in said
    assert "Waste service of QX-0 moves from BAKE to ABLE" in said
    assert "two planned services of one kind" in said
    answer("Delete")
    assert len(workspace.day.legs) == 26
    assert [row.turn for row in workspace.day.services if row.aircraft == "QX-0"] == [2, 2]
    window.undo()
    assert workspace.day is day


# aircraft -------------------------------------------------------------------------------------------------


def test_an_aircraft_is_renamed_with_all_that_refers_to_it(window, workspace, qtbot, dialog):
    workspace.select("QX-0")
    press(qtbot, window, "A")
    form = dialog("form")
    put(form, registration="QX-1")
    accept(qtbot, form)
    assert form.fields["registration"].problem == '"QX-1" is taken already.'
    put(form, registration="QX-Z")
    accept(qtbot, form)
    assert "QX-0" not in workspace.day.model_dump_json()
    assert len(workspace.projection.aircraft["QX-Z"].legs) == 9
    assert workspace.undo_stack.count() == 1


def test_a_generic_fit_comes_into_the_day_with_the_aircraft_that_has_it(window, workspace, qtbot, dialog):
    window.registry["aircraft.add"].trigger()
    form = dialog("form")
    put(form, registration="QX-T", fit="turboprop-70", fresh_percent="0", waste_percent="50 %")
    accept(qtbot, form)
    added = workspace.day.aircraft[-1]
    assert (added.fit, added.fresh_percent, added.waste_percent) == ("turboprop-70", 0.0, 50.0)
    assert [row.id for row in workspace.day.fits] == ["f", "turboprop-70"]
    assert workspace.undo_stack.count() == 1


def test_inoperative_items_are_rows_of_their_own(window, workspace, qtbot, dialog):
    workspace.select("QX-0")
    press(qtbot, window, "A")
    form = dialog("form")
    row(form.fields["inoperative"], item="lavatory", count="2", category="C", since="2026-05-12", remark="deferred")
    row(form.fields["inoperative"], item="lavatory", count="0")
    accept(qtbot, form)
    items = form.fields["inoperative"]
    assert form.isVisible()
    assert items.view.currentIndex() == cell(items, 1, "count")
    items.model.setData(cell(items, 1, "count"), "1")
    accept(qtbot, form)
    rows = workspace.day.aircraft[0].inoperative
    assert [(one.count, one.category, one.since) for one in rows] == [(2, "C", date(2026, 5, 12)), (1, None, None)]


def test_removing_an_aircraft_says_what_goes_and_is_undone(window, workspace, qtbot, dialog, answer):
    workspace.select("QX-1")
    before = workspace.day
    window.registry["aircraft.remove"].trigger()
    assert "With it goes: 9 legs, 1 service." in dialog("question").informativeText()
    answer("Cancel")
    assert workspace.day is before
    window.registry["aircraft.remove"].trigger()
    answer("Remove")
    assert "QX-1" not in workspace.projection.aircraft
    window.undo()
    assert workspace.day is before


# stations -------------------------------------------------------------------------------------------------


def open_station(window, qtbot, dialog, code: str):
    press(qtbot, window, "Ctrl+E")
    choose(qtbot, dialog("chooser"), code)
    return dialog("form")


def test_a_station_with_its_trucks_is_one_step_and_services_follow_a_renamed_truck(window, workspace, qtbot, dialog):
    workspace.apply(edits.change_service(workspace.day, "s0", truck="T1"), "x")
    form = open_station(window, qtbot, dialog, "bake")
    trucks = form.fields["trucks"]
    trucks.model.setData(cell(trucks, 0, "id"), "T7")
    trucks.model.setData(cell(trucks, 0, "capacity_l"), "2000")
    row(trucks, id="W2", tank="fresh")
    put(form, code="BAKER", waste_offered=False, fresh_price="75")
    accept(qtbot, form)
    station = workspace.day.stations[1]
    assert [(one.id, one.capacity_l) for one in station.trucks] == [("T7", 2000.0), ("W1", 1800.0), ("W2", 1800.0)]
    assert [(one.tank, one.price) for one in station.offers] == [("fresh", 75.0)]
    assert edits.service(workspace.day, "s0").truck == "T7"
    assert {leg.destination for leg in workspace.day.legs} == {"ABLE", "BAKER"}
    assert workspace.undo_stack.count() == 2
    assert problems(workspace.day) == ()


def test_a_truck_that_goes_is_said_to_be_missed(window, workspace, qtbot, dialog):
    workspace.apply(edits.change_service(workspace.day, "s0", truck="T1"), "x")
    form = open_station(window, qtbot, dialog, "bake")
    trucks = form.fields["trucks"]
    trucks.view.setCurrentIndex(cell(trucks, 0, "id"))
    qtbot.keyClick(trucks.view, Qt.Key.Key_Delete)
    assert trucks.model.problem(0, 0) == "A name is needed.", "Delete alone only empties the cell"
    qtbot.keyClick(trucks.view, Qt.Key.Key_Delete, Qt.KeyboardModifier.ControlModifier)
    form.weigh()
    assert form._follows.text() == "1 service loses its truck (T1)."
    accept(qtbot, form)
    assert edits.service(workspace.day, "s0").truck is None


def test_a_wrong_cell_marks_its_page_and_gets_the_keyboard(window, workspace, qtbot, dialog):
    form = open_station(window, qtbot, dialog, "bake")
    trucks = form.fields["trucks"]
    trucks.model.setData(cell(trucks, 1, "id"), "T1")
    trucks.model.setData(cell(trucks, 0, "shift"), "14:00-99:00")
    assert form.pages._tabs.tabText(2) == "! Trucks"
    accept(qtbot, form)
    assert form.isVisible()
    assert form.pages._tabs.currentIndex() == 2
    assert trucks.view.currentIndex() == cell(trucks, 0, "shift")
    assert trucks._note.text() == "There is no such time."
    trucks.model.setData(cell(trucks, 0, "shift"), "")
    accept(qtbot, form)
    assert trucks._note.text() == '"T1" stands already in row 1.'
    trucks.model.setData(cell(trucks, 1, "id"), "W9")
    trucks.model.setData(cell(trucks, 1, "aboard_l"), "1 801 L")
    assert "not one number" in trucks.model.note(1, 8)
    trucks.model.setData(cell(trucks, 1, "aboard_l"), "1801 L")
    assert trucks.model.note(1, 8) == "More than the truck holds."
    trucks.model.setData(cell(trucks, 1, "aboard_l"), "900 kg")
    accept(qtbot, form)
    # Water at 15 degrees Celsius has 999.1026 kg/m3 (handbook table of the model's figures).
    assert workspace.day.stations[1].trucks[1].aboard_l == approx(900 / 0.9991026)


def test_a_renamed_place_keeps_its_minutes_and_trucks_and_one_that_goes_is_missed(window, workspace, qtbot, dialog):
    form = open_station(window, qtbot, dialog, "able")
    places, ways, trucks = form.fields["places"], form.fields["travel"], form.fields["trucks"]
    row(places, id="A1")
    row(places, id="F", kind="fill_point")
    row(trucks, id="W1", start_place="F")
    ways.model.setData(ways.model.index(1, 0), "7")
    places.model.setData(cell(places, 1, "id"), "Pump")
    assert ways.model.index(0, 1).data() == "7"
    assert trucks.model.data(cell(trucks, 0, "start_place")) == "Pump"
    places.view.setCurrentIndex(cell(places, 1, "id"))
    qtbot.mouseClick(places.remove_button, Qt.MouseButton.LeftButton)
    accept(qtbot, form)
    assert form.isVisible()
    assert trucks._note.text() == '"Pump" is not a place of "ABLE".'
    trucks.model.setData(cell(trucks, 0, "start_place"), None)
    accept(qtbot, form)
    station = workspace.day.stations[0]
    assert (station.travel, [one.id for one in station.places]) == ((), ["A1"])


def test_cells_are_typed_into_by_keyboard_alone(window, workspace, qtbot, dialog):
    form = open_station(window, qtbot, dialog, "able")
    form.pages.show_page(2)
    trucks = form.fields["trucks"]
    trucks.view.setFocus()
    qtbot.keyClick(trucks.view, Qt.Key.Key_Insert)
    editor = trucks.view.findChild(QLineEdit)
    qtbot.keyClicks(editor, "W1")
    qtbot.keyClick(editor, Qt.Key.Key_Return)
    qtbot.waitUntil(lambda: trucks.model.keys() == ["W1"])
    trucks.view.setCurrentIndex(cell(trucks, 0, "capacity_l"))
    qtbot.keyClick(trucks.view, Qt.Key.Key_Return)
    editor = trucks.view.findChildren(QLineEdit)[-1]
    editor.selectAll()
    qtbot.keyClicks(editor, "12 bar")
    assert "expected a volume" in trucks._note.text()
    qtbot.keyClick(editor, Qt.Key.Key_Escape)
    qtbot.waitUntil(lambda: trucks._note.text() == "1800 L")
    accept(qtbot, form)
    assert [one.id for one in workspace.day.stations[0].trucks] == ["W1"]


def test_a_station_in_use_is_not_removed_and_why_is_said(window, workspace, qtbot, dialog, answer):
    window.registry["station.remove"].trigger()
    choose(qtbot, dialog("chooser"), "bake")
    box = dialog("question")
    assert "It is still used: ZZ100, ZZ101, ZZ102, ZZ103, ZZ104. And 22 more." in box.informativeText()
    box.close()
    window.registry["station.add"].trigger()
    form = dialog("form")
    put(form, code="COVE")
    accept(qtbot, form)
    window.registry["station.remove"].trigger()
    choose(qtbot, dialog("chooser"), "cove")
    answer("Remove")
    assert [one.code for one in workspace.day.stations] == ["ABLE", "BAKE"]


# fits -----------------------------------------------------------------------------------------------------


def open_fit(window, qtbot, dialog, action: str, words: str):
    window.registry[action].trigger()
    choose(qtbot, dialog("chooser"), words)
    return dialog("form")


def test_a_figure_of_a_fit_is_the_users_own_until_it_has_a_source(window, workspace, qtbot, dialog):
    form = open_fit(window, qtbot, dialog, "fit.edit", "f")
    figure = form.fields["fresh_capacity_l"]
    figure.number.line.setFocus()
    figure.number.line.selectAll()
    qtbot.keyClicks(figure.number.line, "60 US gal")
    assert (figure.value.status, figure.value.source) == ("entered", "")
    figure.source.line.setText("Operations manual")
    figure.status.choose("seen")
    put(form, waste_step_percent="12,5", waste_shows="eighths")
    accept(qtbot, form)
    fit = workspace.day.fits[0]
    assert fit.fresh_capacity_l.value == approx(60 * US_GALLON_L)
    assert (fit.fresh_capacity_l.source, fit.fresh_capacity_l.status) == ("Operations manual", "seen")
    assert (fit.waste_gauge.step_percent, fit.waste_gauge.shows) == (12.5, "eighths")
    assert fit.waste_capacity_l.status != "entered"
    assert workspace.undo_stack.count() == 1


def test_a_value_typed_back_has_its_source_again(window, workspace, qtbot, dialog):
    form = open_fit(window, qtbot, dialog, "fit.edit", "f")
    figure = form.fields["seats"]
    first = figure.value
    for text in ("1", "180"):
        figure.number.line.selectAll()
        qtbot.keyClicks(figure.number.line, text)
    assert figure.value == first
    assert not form.touched


def test_a_pre_charge_that_does_not_fit_is_refused_at_its_field(window, workspace, qtbot, dialog):
    form = open_fit(window, qtbot, dialog, "fit.edit", "f")
    form.fields["pre_charge_l"].number.line.setText("170")
    accept(qtbot, form)
    assert form.isVisible()
    assert form.fields["pre_charge_l"].number.problem == "The pre-charge does not leave room in the waste tank."
    assert workspace.undo_stack.count() == 0


def test_a_fit_is_copied_renamed_and_an_unused_one_removed(window, workspace, qtbot, dialog, answer):
    form = open_fit(window, qtbot, dialog, "fit.copy", "f")
    assert form.fields["id"].value == "f-2"
    put(form, id="own", name="Our own")
    accept(qtbot, form)
    form = open_fit(window, qtbot, dialog, "fit.edit", "f")
    put(form, id="own")
    accept(qtbot, form)
    assert form.fields["id"].problem == '"own" is taken already.'
    put(form, id="ours")
    accept(qtbot, form)
    assert [one.id for one in workspace.day.fits] == ["ours", "own"]
    assert {one.fit for one in workspace.day.aircraft} == {"ours"}
    window.registry["fit.remove"].trigger()
    choose(qtbot, dialog("chooser"), "ours")
    box = dialog("question")
    assert "It is still used: QX-0, QX-1, QX-2." in box.informativeText()
    box.close()
    window.registry["fit.remove"].trigger()
    choose(qtbot, dialog("chooser"), "own")
    answer("Remove")
    assert [one.id for one in workspace.day.fits] == ["ours"]


# leaving, and nothing changed -----------------------------------------------------------------------------


def test_leaving_asks_only_when_something_was_typed(window, workspace, qtbot, dialog, answer):
    form = open_station(window, qtbot, dialog, "able")
    qtbot.keyClick(form, Qt.Key.Key_Escape)
    assert not form.isVisible()
    form = open_station(window, qtbot, dialog, "able")
    row(form.fields["trucks"], id="W1")
    qtbot.mouseClick(
        next(one for one in form.findChildren(QPushButton) if one.text() == "Cancel"), Qt.MouseButton.LeftButton
    )
    answer("Go on editing")
    assert form.isVisible()
    assert form.fields["trucks"].model.keys() == ["W1"]
    form.reject()
    answer("Discard")
    assert not form.isVisible()
    assert workspace.undo_stack.count() == 0


@pytest.mark.parametrize("unit", ["L", "US gal", "kg", "lb", "%"])
def test_a_form_that_is_only_looked_at_changes_nothing_in_any_unit(
    window, workspace, preferences, qtbot, dialog, unit
):
    preferences.put(unit=unit)
    day = workspace.day
    workspace.select(leg="1-2")
    for action in ("aircraft.edit", "leg.edit"):
        window.registry[action].trigger()
        form = dialog("form")
        accept(qtbot, form)
        assert not form.isVisible(), action
    for form in (open_station(window, qtbot, dialog, "bake"), open_fit(window, qtbot, dialog, "fit.edit", "f")):
        accept(qtbot, form)
        assert not form.isVisible()
    assert workspace.day is day
    preferences.put(unit="L")


def test_volumes_are_shown_and_read_in_the_unit_preferred_and_kept_in_litres(
    window, workspace, preferences, qtbot, dialog
):
    preferences.put(unit="US gal")
    form = open_station(window, qtbot, dialog, "bake")
    trucks = form.fields["trucks"]
    assert cell(trucks, 0, "capacity_l").data() == "475.5 US gal"
    trucks.model.setData(cell(trucks, 1, "capacity_l"), "500")
    trucks.model.setData(cell(trucks, 1, "flow_l_per_min"), "20")
    accept(qtbot, form)
    first, second = workspace.day.stations[1].trucks
    assert first.capacity_l == 1800.0
    assert second.capacity_l == approx(500 * US_GALLON_L)
    assert second.flow_l_per_min == approx(20 * US_GALLON_L)
    preferences.put(unit="L")


def test_nothing_can_be_edited_in_a_day_that_is_only_read(window, workspace, monkeypatch):
    workspace.select(leg="0-0")
    monkeypatch.setattr(type(workspace), "read_only", property(lambda _self: True))
    window.registry.refresh()
    for action in window.registry:
        if action.id.split(".")[0] in ("leg", "station", "fit") or action.id in (
            "aircraft.add",
            "aircraft.edit",
            "aircraft.remove",
            "day.title",
        ):
            assert not window.registry[action.id].isEnabled(), action.id


# a long session -------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seed", ["one", "two"])
def test_a_random_session_of_edits_of_the_day_can_be_undone_to_where_it_began(window, workspace, qapp, seed):
    stream = random.Random(seed)
    first = workspace.day
    for number in range(40):
        day = workspace.day
        changed = _random_edit(day, stream, number)
        if changed is not day and problems(changed) == ():
            workspace.apply(changed, f"step {number}")
        qapp.processEvents()
        assert workspace.projection.day is workspace.day
        assert [row.registration for row in workspace.day.aircraft] == list(workspace.projection.aircraft)
    while workspace.can_undo():
        window.undo()
    assert workspace.day is first
    assert project(first).warnings == workspace.projection.warnings


def test_every_window_stands_it_when_what_it_shows_goes(window, workspace, qapp):
    """Tanks, comparison, calls and table are open while their aircraft goes and comes back."""
    workspace.select("QX-1", turn=3)
    workspace.keep_baseline()
    for name in ("aircraft.tanks", "view.compare", "view.calls", "view.table"):
        window.registry[name].trigger()
    qapp.processEvents()
    workspace.apply(edits_aircraft.remove_aircraft(workspace.day, "QX-1"), "one")
    qapp.processEvents()
    assert workspace.selection.aircraft != "QX-1"
    for plane in workspace.day.aircraft:
        workspace.apply(edits_aircraft.remove_aircraft(workspace.day, plane.registration), "all")
        qapp.processEvents()
    assert window.empty.isVisible()
    for _ in range(3):
        window.undo()
        qapp.processEvents()
    assert not window.empty.isVisible()
    renamed = edits.rebuilt(workspace.day.aircraft[1], registration="QX-Z")
    workspace.apply(edits_aircraft.put_aircraft(workspace.day, "QX-1", renamed), "rename")
    workspace.apply(edits_legs.delete_leg(workspace.day, "1-4"), "delete")
    qapp.processEvents()
    assert list(workspace.projection.aircraft) == ["QX-0", "QX-Z", "QX-2"]


def _random_edit(day, stream: random.Random, number: int):
    kind = stream.randrange(7)
    leg = stream.choice(day.legs) if day.legs else None
    plane = stream.choice(day.aircraft) if day.aircraft else None
    if plane is None or kind == 0:
        return edits_aircraft.add_aircraft(day, Aircraft(registration=f"QX-N{number}", fit="f"))
    if kind == 1 and len(day.aircraft) > 1:
        return edits_aircraft.remove_aircraft(day, plane.registration)
    if kind == 2:
        return edits_aircraft.put_aircraft(
            day, plane.registration, edits.rebuilt(plane, registration=f"QX-R{number}")
        )
    if kind == 3 and leg is not None:
        return edits_legs.delete_leg(day, leg.id)
    if kind == 4 and leg is not None:
        return edits_legs.put_leg(day, edits.rebuilt(leg, aircraft=plane.registration))
    if kind == 5:
        station = stream.choice(day.stations)
        new = edits.rebuilt(station, code=f"STN{number}", trucks=station.trucks[1:])
        return edits_stations.put_station(day, station.code, new)
    draft = next_leg(day, plane.registration)
    values = {name: getattr(draft, name) for name in type(draft).__dataclass_fields__}
    values |= {"id": edits_legs.next_leg_id(day), "aircraft": plane.registration, "flight": f"ZZ{number}"}
    return edits_legs.add_leg(day, Leg(**values))
