"""The tanks of one aircraft: what the readings taught and when, the table, the plots, and that all of it follows."""

from __future__ import annotations

import math
from datetime import UTC, datetime, timedelta
from zoneinfo import ZoneInfo

import pyqtgraph
import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QColor
from PySide6.QtWidgets import QLabel

from legtide.day import edits
from legtide.day.document import Aircraft, Day, Inoperative, Reading, Service, Station
from legtide.draw.colours import palette
from legtide.engine.projection import project
from legtide.engine.types import to_minutes
from legtide.view.panels import tank_detail_stages
from legtide.view.panels.tank_detail import TankDetail
from legtide.view.panels.tank_detail_items import reading_place
from legtide.view.panels.tank_detail_plot import TimeAxis
from legtide.view.panels.tank_detail_stages import detail_of, factor_at
from legtide.view.panels.tank_detail_words import factor_text, moment_text, reading_sentence
from legtide.workspace.workspace import Workspace
from support.days import MORNING, rotation_day

NBSP = "\u00a0"


def read(turn: int, tank: str, percent: float, **changes: object) -> Reading:
    return Reading(aircraft="QX-0", turn=turn, tank=tank, percent=percent, **changes)


READINGS = (read(1, "fresh", 80.0), read(1, "waste", 20.0), read(2, "fresh", 50.0), read(3, "fresh", 100.0))
"""Two taken together, one that says that more is used, and one that cannot be: nothing was filled in between."""


@pytest.fixture
def day() -> Day:
    """Three aircraft; the first has readings and services, the last has no legs."""
    services = (
        Service(id="s0", aircraft="QX-0", turn=4, tank="fresh", state="done"),
        Service(id="s1", aircraft="QX-0", turn=5, tank="waste"),
    )
    stations = (
        Station(code="ABLE", name="<b>Able</b> Field", time_zone="Europe/Berlin"),
        Station(code="BAKE", name="Bake"),
    )
    made = rotation_day(1.5, 7, aircraft=2, services=services, readings=READINGS, stations=stations, title="Practice")
    return made.model_copy(update={"aircraft": (*made.aircraft, Aircraft(registration="<i>QX-9</i>", fit="f"))})


@pytest.fixture
def page(window, workspace, qapp) -> TankDetail:
    """The detail view of the first aircraft."""
    workspace.select("QX-0")
    window.registry["aircraft.tanks"].trigger()
    qapp.processEvents()
    return window.findChild(TankDetail)


def cells(page: TankDetail, row: int) -> list[str]:
    model = page.readings.model
    return [model.index(row, column).data() for column in range(model.columnCount())]


def detail(day: Day):
    return detail_of(day, project(day), "QX-0")


# what was known when --------------------------------------------------------------------------------------


def test_the_first_stage_knows_no_reading_and_the_last_knows_all(day):
    found = detail(day)
    without = project(day.model_copy(update={"readings": ()})).aircraft["QX-0"]
    assert [math.isinf(stage.minutes) for stage in found.stages] == [True, False, False, False]
    assert found.stages[0].factor == without.day_factor
    assert found.stages[-1].projection is found.projection
    assert found.stages[-1].factor == found.projection.day_factor


def test_each_stage_is_the_day_with_the_readings_up_to_it(day):
    found = detail(day)
    for number, known in ((1, 2), (2, 3), (3, 4)):
        partly = project(day.model_copy(update={"readings": READINGS[:known]})).aircraft["QX-0"]
        assert found.stages[number].factor == partly.day_factor


def test_the_day_factor_is_learned_and_its_range_narrows(day):
    prior, first, second, third = (stage.factor for stage in detail(day).stages)
    assert prior.mean == pytest.approx(1.0, abs=1e-3)
    assert second.mean > first.mean  # 50 % read where about 60 % was expected: more has been used
    assert second.p95 - second.p05 < first.p95 - first.p05 < prior.p95 - prior.p05
    assert third == second  # the last reading is not used, and teaches nothing


def test_the_prior_range_is_that_of_the_published_law(day):
    # A lognormal of mean 1 and CV c has log variance ln(1 + c^2) (Johnson, Kotz, Balakrishnan: Continuous Univariate
    # Distributions 1, 2nd ed. 1994, chapter 14); its 5 and 95 % points lie 1.645 deviations about the log median.
    spread = math.sqrt(math.log1p(day.usage.day_factor_cv.value**2))
    # The engine's 16 nodes of the factor give the points to about 0.03.
    factor = detail(day).stages[0].factor
    assert factor.p05 == pytest.approx(math.exp(-(spread**2) / 2 - 1.645 * spread), abs=0.03)
    assert factor.p95 == pytest.approx(math.exp(-(spread**2) / 2 + 1.645 * spread), abs=0.03)


def test_the_factor_at_a_moment_is_what_was_known_then(day):
    stages = detail(day).stages
    second = stages[2].minutes
    assert factor_at(stages, second - 1.0) == stages[1].factor
    assert factor_at(stages, second) == stages[2].factor
    assert factor_at(stages, 0.0) == stages[0].factor


def test_a_reading_has_the_band_before_and_after_it(day):
    found = detail(day)
    for fact in found.facts[:3]:
        stage = found.stage_before(fact)
        tank = fact.reading.tank
        arrival = getattr(stage.projection.legs[fact.reading.turn - 1], f"{tank}_arrival")
        departure = getattr(found.projection.legs[fact.reading.turn], f"{tank}_departure")
        assert (fact.before.low, fact.before.high) == (arrival.p05, arrival.p95)
        assert (fact.after.low, fact.after.high) == (departure.p05, departure.p95)
        assert fact.after.high - fact.after.low < fact.before.high - fact.before.low


def test_a_service_at_the_moment_of_a_reading_is_not_taken_for_what_it_taught(day):
    moment = MORNING + timedelta(hours=1.5, minutes=5)
    services = (Service(id="x", aircraft="QX-0", turn=1, tank="fresh", start=moment),)
    one = detail(day.model_copy(update={"services": services, "readings": (read(1, "fresh", 80.0, time=moment),)}))
    assert one.projection.legs[1].fresh_departure.p50 == 200.0
    assert 150.0 <= one.facts[0].after.low < one.facts[0].after.high <= 172.0  # a step of 10 % and the gauge's error


def test_the_distance_is_from_the_median_to_the_middle_of_the_step(day):
    fact = detail(day).facts[0]
    assert fact.off_l == pytest.approx(0.8 * 200.0 - fact.result.expected.p50)
    down = replace_gauge(day, rounds="down")
    assert detail(down).facts[0].off_l == pytest.approx(0.85 * 200.0 - fact.result.expected.p50)


def replace_gauge(day: Day, **changes: object) -> Day:
    fit = day.fits[0]
    gauge = edits.rebuilt(fit.fresh_gauge, **changes)
    return day.model_copy(update={"fits": (edits.rebuilt(fit, fresh_gauge=gauge),)})


def test_it_says_why_a_reading_is_not_used(day):
    broken = edits.change_aircraft(day, "QX-0", inoperative=(Inoperative(item="waste_gauge"),))
    lost = broken.model_copy(update={"readings": (read(30, "fresh", 40.0), *READINGS)})
    assert [(fact.reading.turn, fact.reading.tank, fact.why_not) for fact in detail(lost).facts] == [
        (1, "fresh", ""),
        (1, "waste", "gauge"),
        (2, "fresh", ""),
        (3, "fresh", "implausible"),
        (30, "fresh", "no turn"),
    ]


def test_stages_of_an_unchanged_projection_are_taken_over(day):
    whole = project(day)
    first = detail_of(day, whole, "QX-0")
    assert detail_of(day, whole, "QX-0", first).stages is first.stages
    assert detail_of(day, whole, "nobody", first) is None


# opening and following ------------------------------------------------------------------------------------


def test_the_action_wants_an_aircraft_and_its_key_opens_one_page(window, workspace, qtbot, qapp):
    action = window.registry["aircraft.tanks"]
    assert not action.isEnabled()
    workspace.select("QX-0")
    assert action.isEnabled()
    qtbot.keyClick(window, Qt.Key.Key_D, Qt.KeyboardModifier.ControlModifier)
    page = window.findChild(TankDetail)
    assert page.isVisible()
    assert page.windowTitle() == "Tanks of QX-0"
    qtbot.keyClick(page, Qt.Key.Key_Escape)
    assert not page.isVisible()
    action.trigger()
    assert window.findChildren(TankDetail) == [page]
    assert page.isVisible()


def test_it_follows_the_selection_and_says_what_to_do_without_one(page, workspace):
    assert page.pages.currentIndex() == 0
    workspace.select("QX-1")
    assert page.title.text() == "QX-1"
    assert page.readings.model.rowCount() == 0
    assert "assumed" in page.plots.notes[2].text()
    workspace.select()
    assert page.pages.currentIndex() == 1
    assert "Select an aircraft" in page.accessibleDescription()
    workspace.select("<i>QX-9</i>")
    assert page.pages.currentIndex() == 1
    assert "<i>QX-9</i> has no legs" in page.accessibleDescription()
    workspace.select("QX-0")
    assert page.pages.currentIndex() == 0
    assert page.readings.model.rowCount() == 4


def test_a_hidden_page_costs_nothing_and_catches_up(page, workspace):
    page.close()
    shown = page.detail
    workspace.apply(edits.delete_reading(workspace.day, READINGS[0]), "Delete")
    assert page.detail is shown
    page.show()
    assert len(page.detail.facts) == 3


def test_levels_follow_a_drag_and_what_was_learned_is_worked_out_on_release(page, workspace, monkeypatch):
    asked = []
    real = tank_detail_stages.stages_of
    monkeypatch.setattr(tank_detail_stages, "stages_of", lambda *args: asked.append(args) or real(*args))
    before = page.plots.shown.detail
    workspace.begin_stroke("Move")
    workspace.preview(edits.move_service(workspace.day, "s0", 5, None))
    workspace._pace.flush()
    moved = page.plots.shown.detail
    assert moved.projection is workspace.projection.aircraft["QX-0"]
    assert moved.projection is not before.projection
    assert moved.stages is before.stages
    assert asked == []
    workspace.commit_stroke()
    workspace.select("QX-0", turn=2)
    assert page.plots.shown.detail.stages[-1].projection is workspace.projection.aircraft["QX-0"]
    assert len(asked) == 1


def test_an_edit_of_another_aircraft_leaves_the_table_alone(page, workspace, qtbot):
    with qtbot.assertNotEmitted(page.readings.model.modelReset):
        workspace.apply(edits.change_leg(workspace.day, "1-0", passengers=3), "Fewer")


# the table ------------------------------------------------------------------------------------------------


def test_the_table_tells_each_reading(page):
    assert cells(page, 0)[:4] == ["05:30", "1 · BAKE 05:30–06:15", "Fresh water", f"160{NBSP}L"]
    assert cells(page, 0)[7] == "used"
    fact = page.detail.facts[2]
    assert cells(page, 2)[4] == f"{fact.before.low:.0f}–{fact.before.high:.0f}{NBSP}L"
    assert cells(page, 2)[5] == f"{-fact.off_l:.0f}{NBSP}L below"
    assert cells(page, 2)[6] == f"{fact.after.low:.0f}–{fact.after.high:.0f}{NBSP}L"
    assert cells(page, 3)[6:] == ["–", "not used: too far off"]
    assert page.readings._count.text() == "4 readings, 3 used"


def test_units_are_the_user_s(page, preferences):
    preferences.put(unit="US gal")
    # 160 L are 42.27 US gallons of 231 cubic inches (NIST Handbook 44, appendix C).
    assert cells(page, 0)[3] == f"42{NBSP}US gal"
    axis = page.plots.tanks["fresh"].values
    assert axis.tickStrings([200.0], 1.0, 1.0) == [f"53{NBSP}US gal"]
    preferences.put(unit="%")
    assert cells(page, 0)[3] == f"80{NBSP}%"


def test_the_delete_key_takes_a_reading_out_and_undo_brings_it_back(page, workspace, qtbot):
    page.readings.go_to(2)
    qtbot.keyClick(page.readings.table, Qt.Key.Key_Delete)
    assert READINGS[2] not in workspace.day.readings
    assert page.readings.model.rowCount() == 3
    assert len(page.detail.stages) == 3
    assert "brings it back" in page.said.text()
    qtbot.keyClick(page, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert READINGS[2] in workspace.day.readings
    assert page.readings.model.rowCount() == 4
    qtbot.keyClick(page, Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier | Qt.KeyboardModifier.ShiftModifier)
    assert page.readings.model.rowCount() == 3


def test_a_reading_is_entered_at_the_chosen_turn(page, workspace, dialog, click, qtbot):
    assert page.readings.turns.currentText().startswith("4 · ")  # after the last reading
    workspace.select("QX-0", turn=5)
    assert page.readings.turns.currentText().startswith("5 · ")
    click(page.readings.add)
    form = dialog("form")
    form.fields["waste"].line.setText("50")
    click(form.button)
    assert workspace.day.readings[-1] == read(5, "waste", 50.0)
    assert page.readings.model.rowCount() == 5
    assert workspace.undo_stack.count() == 1


def test_a_day_that_may_only_be_read_offers_no_edits(page, workspace, monkeypatch):
    monkeypatch.setattr(Workspace, "read_only", property(lambda _self: True))
    workspace.document_changed.emit()
    assert not page.readings.add.isEnabled()
    assert not page.readings.delete.isEnabled()
    assert cells(page, 0)[7] == "used"


def test_the_current_row_is_what_the_plots_explain(page, workspace):
    assert page.plots.shown.chosen.reading is READINGS[3]
    page.readings.go_to(0)
    assert page.plots.shown.chosen.reading is READINGS[0]
    workspace.apply(edits.set_service_state(workspace.day, "s1", "skipped"), "Skip")
    assert page.plots.shown.chosen.reading is READINGS[0]


# the plots ------------------------------------------------------------------------------------------------


def test_no_move_of_the_pointer_is_dropped(page):
    assert pyqtgraph.getConfigOption("mouseRateLimit") <= 0


def colours_of(page: TankDetail, place: int) -> dict[str, int]:
    image = page.plots.plots[place].grab().toImage()
    seen: dict[str, int] = {}
    for y in range(0, image.height(), 1):
        for x in range(0, image.width(), 3):
            name = image.pixelColor(x, y).name()
            seen[name] = seen.get(name, 0) + 1
    return seen


@pytest.mark.parametrize("theme", ["light", "dark"])
def test_the_plots_wear_the_palette(page, preferences, theme, qapp):
    preferences.put(theme=theme)
    qapp.processEvents()
    colours = palette(theme == "dark")
    for place, hue in enumerate((colours.water, colours.waste, colours.accent)):
        seen = colours_of(page, place)
        assert seen.get(QColor(colours.canvas).name(), 0) > 1000
        assert seen.get(QColor(hue).name(), 0) > 50


def test_bands_change_at_a_reading(page, qapp):
    """A column of pixels through the fresh plot: the coloured part is shorter just after the second reading."""
    qapp.processEvents()
    plot = page.plots.tanks["fresh"]
    pixels = plot.pixels()
    fact = page.detail.facts[2]
    image = plot.grab().toImage()

    def height(minutes: float) -> int:
        x = round(pixels.scale.x(minutes))
        water = [image.pixelColor(x, y) for y in range(round(pixels.y(190.0)), round(pixels.y(15.0)))]
        return sum(one.blue() - one.red() > 25 for one in water)

    assert height(fact.result.minutes - 25.0) > 1.2 * height(fact.result.minutes + 40.0)


def test_pixels_of_a_plot_are_those_of_its_view(page):
    plot = page.plots.tanks["waste"]
    pixels = plot.pixels()
    place = plot.box.mapViewToScene(pyqtgraph.Point(pixels.scale.minutes(300.0), 85.0))
    assert (place.x(), place.y()) == pytest.approx((300.0, pixels.y(85.0)), abs=0.01)


def test_a_click_on_a_mark_chooses_its_reading(page, qtbot, qapp):
    plot = page.plots.tanks["fresh"]
    x, y = reading_place(plot.pixels(), page.detail.facts[2], 200.0)
    spot = plot.mapFromScene(x + 3.0, y)
    qtbot.mouseClick(plot.viewport(), Qt.MouseButton.LeftButton, pos=spot)
    assert page.plots.shown.chosen.reading is READINGS[2]
    page.readings.go_to(0)
    qtbot.mouseClick(plot.viewport(), Qt.MouseButton.LeftButton, pos=spot + QPoint(60, 0))
    assert page.plots.shown.chosen.reading is READINGS[0]


def test_the_arrows_move_a_cursor_that_tells_the_levels(page, qtbot):
    plot = page.plots.tanks["waste"]
    plot.setFocus()
    qtbot.keyClick(plot, Qt.Key.Key_Home)
    qtbot.keyClick(plot, Qt.Key.Key_Home)
    first = float(page.detail.projection.fresh.minutes[0])
    assert page.plots.shown.cursor == first
    qtbot.keyClick(plot, Qt.Key.Key_Right)
    assert page.plots.shown.cursor == first + 5.0
    qtbot.keyClick(plot, Qt.Key.Key_Right, Qt.KeyboardModifier.ShiftModifier)
    assert page.plots.shown.cursor == first + 65.0
    assert page.said.text() == moment_text(page.detail, first + 65.0, "L")
    qtbot.keyClick(plot, Qt.Key.Key_End)
    assert page.plots.shown.cursor == float(page.detail.projection.fresh.minutes[-1])
    assert factor_text(page.detail.stages[-1].factor) in page.said.text()


def test_the_pointer_moves_the_cursor_of_all_plots(page, qtbot):
    plot = page.plots.factor
    spot = plot.box.sceneBoundingRect().center()
    plot.scene().sigMouseMoved.emit(spot)
    assert page.plots.shown.cursor == pytest.approx(plot.pixels().scale.minutes(spot.x()))
    assert all(one.item.shown.cursor == page.plots.shown.cursor for one in page.plots.plots)


def test_keys_zoom_and_come_back_to_the_whole_day(page, qtbot):
    plot, other = page.plots.tanks["fresh"], page.plots.factor
    whole = plot.box.viewRange()[0]
    qtbot.keyClick(plot, Qt.Key.Key_Plus)
    zoomed = plot.box.viewRange()[0]
    assert zoomed[1] - zoomed[0] == pytest.approx((whole[1] - whole[0]) / 1.5)
    assert other.box.viewRange()[0] == pytest.approx(zoomed)
    for _ in range(20):
        qtbot.keyClick(plot, Qt.Key.Key_Plus)
    assert plot.box.viewRange()[0][1] - plot.box.viewRange()[0][0] == pytest.approx(30.0)
    qtbot.keyClick(plot, Qt.Key.Key_End)
    assert plot.box.viewRange()[0][1] >= page.plots.shown.cursor
    qtbot.keyClick(plot, Qt.Key.Key_0)
    assert plot.box.viewRange()[0] == pytest.approx(whole)


def test_local_times_are_right_on_the_night_on_which_clocks_change(qapp):
    # Central European summer time began on 29 March 2026 at 01:00 UTC (Directive 2000/84/EC, article 2): 02:00 is
    # followed by 03:00.
    axis = TimeAxis()
    axis.zone = ZoneInfo("Europe/Berlin")
    start = to_minutes(datetime(2026, 3, 29, 0, 0, tzinfo=UTC))
    ((_, values),) = axis.tickValues(start, start + 120.0, 180.0)
    assert axis.tickStrings(values, 1.0, 60.0) == ["Sun 29 Mar\n01:00", "01:00\n03:00", "02:00\n04:00"]


def test_the_now_line_follows(page, workspace):
    workspace.set_now(MORNING)
    assert page.plots.shown.now == to_minutes(MORNING)
    workspace.set_now(None)
    assert page.plots.shown.now is None


def test_the_local_station_follows(page, workspace):
    workspace.set_local_station("ABLE")
    assert page.plots.times.zone == ZoneInfo("Europe/Berlin")
    assert "<b>Able</b> Field (UTC+2)" in page._about.text()


# words ----------------------------------------------------------------------------------------------------


def test_screen_readers_get_the_numbers(page):
    text = page.accessibleDescription()
    for fact in page.detail.facts:
        assert reading_sentence(page.detail, fact, "L") in text
    assert factor_text(page.detail.projection.day_factor) in text
    assert page.plots.tanks["fresh"].accessibleName() == "Fresh water of QX-0"
    arrival = page.detail.projection.legs[0].fresh_arrival
    assert f"ZZ100 arrives at BAKE with {arrival.p50:.0f}{NBSP}L" in page.plots.tanks["fresh"].accessibleDescription()
    steps = page.plots.factor.accessibleDescription()
    assert all(factor_text(stage.factor) in steps for stage in page.detail.stages)


def test_every_part_can_be_reached_with_tab(page, qtbot, qapp):
    page.activateWindow()
    page.plots.plots[0].setFocus()
    seen = []
    for _ in range(12):
        seen.append(qapp.focusWidget())
        qtbot.keyClick(qapp.focusWidget(), Qt.Key.Key_Tab)
    wanted = [*page.plots.plots, page.readings.turns, page.readings.add, page.readings.delete, page.readings.table]
    assert set(map(id, [*wanted, page.close_button])) <= set(map(id, seen))


def test_names_from_a_file_are_plain_text_and_nothing_is_cut(page, workspace, qapp):
    workspace.set_local_station("ABLE")
    page.resize(page.minimumSize())
    qapp.processEvents()
    for label in page.findChildren(QLabel):
        assert label.textFormat() == Qt.TextFormat.PlainText
        if label.isVisible() and not label.wordWrap():
            needed = label.fontMetrics().horizontalAdvance(label.text())
            assert label.contentsRect().width() >= needed - 1, label.text()
