"""Typed text becomes a value that is said back, or a sentence at the field; a form is one undo step."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest
from PySide6.QtCore import Qt
from pytest import approx

from legtide.day import edits
from legtide.day.assumptions import CATALOGUE
from legtide.quantities import QuantityError
from legtide.view.figures import SOURCE, UNIT, VALUE
from legtide.view.readers import ReadError, figure_reader, level_reader, time_reader, whole_reader
from legtide.view.units import level_text, read_level, volume_text

NEAR = datetime(2026, 5, 14, 23, 30, tzinfo=UTC)
US_GALLON_L = 3.785411784
"""Exact: NIST Handbook 44, appendix C (231 cubic inches)."""
POUND_KG = 0.45359237
"""Exact: NIST Handbook 44, appendix C."""


# levels and units -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "unit", "percent"),
    [
        ("85 %", "L", 85.0),
        ("120 L", "%", 60.0),
        ("120", "L", 60.0),
        ("60", "%", 60.0),
        ("31,7 US gal", "L", 31.7 * US_GALLON_L / 2.0),
        ("31.7", "US gal", 31.7 * US_GALLON_L / 2.0),
        ("100 kg", "L", 100.0 / 0.9991026 / 2.0),
        ("220 lb", "L", 220.0 * POUND_KG / 0.9991026 / 2.0),
        ("0", "L", 0.0),
        ("200 l", "L", 100.0),
    ],
)
def test_a_level_is_read_in_any_unit(text, unit, percent):
    # Water at 15 degrees Celsius has 999.1026 kg/m3 (handbook table of the model's figures).
    assert read_level(text, unit, 200.0).percent == approx(percent, abs=1e-4)


@pytest.mark.parametrize(
    "text", ["", "many", "201 L", "-1 L", "101 %", "1 500 kg", "9**9**9", "12 bar", "1,500,0", "nan"]
)
def test_a_level_that_cannot_be_is_refused_with_a_sentence(text):
    with pytest.raises(QuantityError) as error:
        read_level(text, "L", 200.0)
    assert str(error.value)


def test_a_level_says_back_what_was_read():
    assert read_level("31,7 US gal", "L", 200.0).read_as == "31.7 US gal = 60.0 % = 120.0 L"
    assert read_level("85 %", "L", 200.0).read_as == "85 % = 170.0 L"
    assert read_level("120", "L", 200.0).read_as == "120 L = 60.0 %"


@pytest.mark.parametrize(
    ("unit", "text"),
    [
        ("L", "100\u00a0L"),
        ("US gal", "26\u00a0US gal"),
        ("kg", "100\u00a0kg"),
        ("lb", "220\u00a0lb"),
        ("%", "50\u00a0%"),
    ],
)
def test_a_volume_is_shown_in_the_unit_preferred(unit, text):
    assert volume_text(100.0, unit, 200.0) == text
    assert level_text(50.0, unit, 200.0) == text


def test_percent_of_nothing_is_shown_in_litres():
    assert volume_text(100.0, "%") == "100\u00a0L"


# times ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("23:45", datetime(2026, 5, 14, 23, 45, tzinfo=UTC)),
        ("0010", datetime(2026, 5, 15, 0, 10, tzinfo=UTC)),
        ("0:10", datetime(2026, 5, 15, 0, 10, tzinfo=UTC)),
        ("13:00", datetime(2026, 5, 14, 13, 0, tzinfo=UTC)),
        ("2026-05-13 23:45", datetime(2026, 5, 13, 23, 45, tzinfo=UTC)),
        ("2026-05-13T23:45Z", datetime(2026, 5, 13, 23, 45, tzinfo=UTC)),
        ("", None),
    ],
)
def test_a_time_is_taken_on_the_nearest_date(text, expected):
    read = time_reader(NEAR, "Europe/Berlin")(text)
    assert read.value == expected
    if expected is not None:
        assert f"{expected.day} May" in read.read_as
        assert "local" in read.read_as


@pytest.mark.parametrize(
    "text", ["24:00", "12:60", "noon", "12", "12:5", "2026-02-30 12:00", "2026-05-14", "12:00 L"]
)
def test_what_is_no_time_is_refused(text):
    with pytest.raises(ReadError):
        time_reader(NEAR, None)(text)


def test_a_time_that_is_needed_cannot_be_left_out():
    with pytest.raises(ReadError):
        time_reader(NEAR, None, optional=False)(" ")


@pytest.mark.parametrize("text", ["", "-1", "1.5", "2001", "1e2", "²", "12345678"])
def test_heads_are_whole_and_few(text):
    with pytest.raises(ReadError):
        whole_reader(0, 2000, "heads")(text)


# figures --------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "text", "value"),
    [
        ("policy.risk_limit", "0,2", 0.2),
        ("policy.freeze_mild_h", "90 min", 1.5),
        ("policy.freeze_mild_h", "2", 2.0),
        ("policy.freeze_mild_c", "32 °F", 0.0),
        ("policy.call_lead_min", "1 h", 60.0),
        ("fit.fresh_capacity_l", "50 US gal", 50 * US_GALLON_L),
        ("fit.fill_flow_l_per_min", "8 US gal/min", 8 * US_GALLON_L),
        ("fit.fill_pressure_limit_bar", "50 psi", 3.447378646),
        ("policy.fresh_reserve_percent", "7 %", 7.0),
        ("usage.lavatory_occupancy_s", "2 min", 120.0),
    ],
)
def test_a_figure_is_read_in_its_own_unit_or_another(name, text, value):
    # 1 psi = 6894.757293 Pa (NIST SP 811, appendix B.8).
    assert figure_reader(CATALOGUE[name])(text).value == approx(value, rel=1e-6)


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("policy.risk_limit", "20 %"),
        ("policy.risk_limit", "2"),
        ("fit.fresh_capacity_l", "5 bar"),
        ("policy.price_breach", "x"),
    ],
)
def test_a_figure_that_makes_no_sense_is_refused(name, text):
    with pytest.raises(ReadError):
        figure_reader(CATALOGUE[name])(text)


def test_an_unusual_figure_is_taken_and_said_to_be_so():
    assert "usual" in figure_reader(CATALOGUE["policy.risk_limit"])("0.5").read_as


def test_a_reader_of_gauge_levels_takes_an_empty_field_for_none():
    assert level_reader("%", 200.0, optional="not read")("").value is None


# forms ----------------------------------------------------------------------------------------------------


def type_into(form, name, text):
    form.fields[name].line.setText(text)


def accept(form, qtbot):
    qtbot.mouseClick(form.button, Qt.MouseButton.LeftButton)


def test_the_level_form_changes_the_level_in_one_step(window, workspace, qtbot, dialog):
    workspace.select(service="s0")
    window.registry["service.level"].trigger()
    form = dialog("form")
    type_into(form, "level", "17 L")
    accept(form, qtbot)
    assert workspace.day.services[0].target_percent == approx(10.0)
    assert workspace.undo_stack.count() == 1


def test_a_form_with_a_wrong_field_cannot_be_taken_and_the_field_gets_the_keyboard(window, workspace, qtbot, dialog):
    workspace.select(service="s0")
    window.registry["service.level"].trigger()
    form = dialog("form")
    type_into(form, "level", "500 L")
    assert "outside the tank" in form.fields["level"].problem
    form.button.setFocus()
    accept(form, qtbot)
    assert form.isVisible()
    assert form.focusWidget() is form.fields["level"].line
    assert workspace.undo_stack.count() == 0
    type_into(form, "level", "50 L")
    accept(form, qtbot)
    assert not form.isVisible()
    assert workspace.undo_stack.count() == 1


def test_a_form_left_as_it_was_makes_no_step(window, workspace, qtbot, dialog):
    workspace.select(leg="0-3")
    window.registry["leg.edit"].trigger()
    accept(dialog("form"), qtbot)
    assert workspace.undo_stack.count() == 0


def test_the_leg_form_takes_times_and_heads(window, workspace, qtbot, dialog):
    workspace.select(leg="0-3")
    window.registry["leg.edit"].trigger()
    form = dialog("form")
    std = workspace.day.legs[3].std
    type_into(form, "etd", f"{std.hour:02d}:{std.minute + 5:02d}")
    type_into(form, "passengers", "99")
    accept(form, qtbot)
    leg = workspace.day.legs[3]
    assert leg.etd == std.replace(minute=std.minute + 5)
    assert leg.passengers == 99
    assert workspace.undo_stack.undoText() == "Change ZZ103 of QX-0"


def test_a_leg_that_would_end_before_it_starts_is_refused_in_the_form(window, workspace, qtbot, dialog):
    workspace.select(leg="0-3")
    window.registry["leg.edit"].trigger()
    form = dialog("form")
    type_into(form, "eta", f"{workspace.day.legs[3].std:%H:%M}")
    accept(form, qtbot)
    assert form.isVisible()
    assert "not after off blocks" in form.fields["eta"].problem
    assert form.focusWidget() is form.fields["eta"].line
    assert workspace.undo_stack.count() == 0
    form.reject()


def test_the_move_form_takes_turn_time_and_truck(window, workspace, qtbot, dialog):
    workspace.select(service="s0")
    window.registry["service.move"].trigger()
    form = dialog("form")
    start = workspace.projection.aircraft["QX-0"].rotation.turns[3].start
    form.fields["truck"].box.setCurrentIndex(1)
    type_into(form, "start", f"{start:%H:%M}")
    accept(form, qtbot)
    row = workspace.day.services[0]
    assert (row.truck, row.start) == ("T1", start.replace(second=0))


def test_the_aircraft_form_takes_levels_and_inoperative_items(window, workspace, qtbot, dialog):
    workspace.select("QX-1")
    window.registry["aircraft.edit"].trigger()
    form = dialog("form")
    type_into(form, "fresh_percent", "50 %")
    items = form.fields["inoperative"]
    for number, (item, count) in enumerate((("lavatory", "2"), ("waste_gauge", "1"))):
        qtbot.mouseClick(items.add_button, Qt.MouseButton.LeftButton)
        items.model.setData(items.model.index(number, 0), item)
        items.model.setData(items.model.index(number, 1), count)
    accept(form, qtbot)
    row = workspace.day.aircraft[1]
    assert row.fresh_percent == 50.0
    assert {(item.item, item.count) for item in row.inoperative} == {("lavatory", 2), ("waste_gauge", 1)}
    window.registry["aircraft.edit"].trigger()
    form = dialog("form")
    items = form.fields["inoperative"]
    items.view.setCurrentIndex(items.model.index(0, 0))
    qtbot.mouseClick(items.remove_button, Qt.MouseButton.LeftButton)
    accept(form, qtbot)
    assert [item.item for item in workspace.day.aircraft[1].inoperative] == ["waste_gauge"]


def test_a_reading_is_entered_for_the_selected_turn(window, workspace, qtbot, dialog):
    workspace.select("QX-1", turn=2)
    window.registry["turn.reading"].trigger()
    form = dialog("form")
    type_into(form, "fresh", "70")
    accept(form, qtbot)
    assert [(row.aircraft, row.turn, row.tank, row.percent) for row in workspace.day.readings] == [
        ("QX-1", 2, "fresh", 70.0)
    ]
    assert workspace.projection.aircraft["QX-1"].readings


# policy and assumptions -----------------------------------------------------------------------------------


def figure_index(page, name, column):
    row = next(n for n, one in enumerate(page.model.rows) if one.known.name == name)
    return page.model.index(row, column)


def test_every_figure_of_the_day_is_listed_with_unit_range_status_and_source(window, workspace, dialog):
    window.beside.show_figures()
    page = dialog("figures")
    listed = {row.known.name for row in page.model.rows}
    assert listed == set(CATALOGUE)
    for row in range(page.model.rowCount()):
        texts = [page.model.index(row, column).data() for column in range(6)]
        assert texts[0]
        assert "–" in texts[3]
        assert texts[4]


def test_a_figure_is_changed_in_the_table_undone_and_followed(window, workspace, dialog):
    window.beside.show_figures()
    page = dialog("figures")
    risks = workspace.projection.warnings
    assert page.model.setData(figure_index(page, "policy.risk_limit", VALUE), "0.6")
    assert workspace.day.policy.risk_limit.value == 0.6
    assert workspace.day.policy.risk_limit.status == "entered"
    assert workspace.projection.warnings != risks
    assert page.model.setData(figure_index(page, "policy.risk_limit", SOURCE), "Operations manual")
    assert workspace.day.policy.risk_limit.source == "Operations manual"
    workspace.undo()
    workspace.undo()
    assert figure_index(page, "policy.risk_limit", VALUE).data() == "0.1"


def test_a_figure_of_a_fit_is_changed_and_a_pre_charge_that_does_not_fit_is_refused(window, workspace, dialog):
    window.beside.show_figures()
    page = dialog("figures")
    assert page.model.setData(figure_index(page, "fit.waste_capacity_l", VALUE), "120")
    assert workspace.day.fits[0].waste_capacity_l.value == 120.0
    assert not page.model.setData(figure_index(page, "fit.pre_charge_l", VALUE), "130")
    assert "pre-charge" in page._said.text()
    assert not page.model.setData(figure_index(page, "fit.pre_charge_l", VALUE), "lots")


def test_the_figures_stand_in_the_unit_preferred_and_are_kept_in_litres(window, workspace, preferences, dialog):
    preferences.put(unit="US gal")
    window.beside.show_figures()
    page = dialog("figures")
    assert figure_index(page, "fit.fresh_capacity_l", VALUE).data() == "52.83"
    assert figure_index(page, "fit.fresh_capacity_l", UNIT).data() == "US gal"
    assert figure_index(page, "fit.fill_flow_l_per_min", UNIT).data() == "US gal/min"
    assert figure_index(page, "policy.call_lead_min", UNIT).data() == "min"
    assert not page.model.setData(figure_index(page, "fit.fresh_capacity_l", VALUE), "52.83"), "the text as it was"
    assert page.model.setData(figure_index(page, "fit.fresh_capacity_l", VALUE), "60")
    assert workspace.day.fits[0].fresh_capacity_l.value == approx(60 * US_GALLON_L)
    preferences.put(unit="L")
    assert figure_index(page, "fit.fresh_capacity_l", VALUE).data() == "227.125"


def test_the_figures_can_be_narrowed_by_words_and_group(window, dialog):
    window.beside.show_figures()
    page = dialog("figures")
    page.words.setText("no such words")
    assert page._filter.rowCount() == 0
    assert page._said.text() == "No figure has these words."
    page.words.setText("reserve")
    assert page._filter.rowCount() == 1
    page.words.setText("")
    page.where.setCurrentText("Usage")
    assert page._filter.rowCount() == 14


def test_a_service_moved_to_another_station_leaves_its_truck_behind_and_can_be_saved(window, workspace, tmp_path):
    day = edits.change_service(workspace.day, "s0", truck="T1")
    assert edits.move_service(day, "s0", 5, None).services[0].truck == "T1"
    moved = edits.move_service(day, "s0", 4, None)
    assert moved.services[0].truck is None
    workspace.apply(moved, "Move")
    workspace.save_as(tmp_path / "one.day.json")


def test_a_form_that_would_make_a_day_that_cannot_be_saved_is_refused(window, workspace, qtbot, dialog):
    workspace.select(service="s0")
    window.registry["service.move"].trigger()
    form = dialog("form")
    form.fields["turn"].box.setCurrentIndex(4)
    form.fields["truck"].box.setCurrentIndex(1)
    accept(form, qtbot)
    assert form.isVisible()
    assert 'not a truck of "ABLE"' in form._problem.text()
    assert workspace.undo_stack.count() == 0
    form.reject()
