"""Training in the window: a round by keys, the reveal, the scores, and a day that is left as it was."""

from __future__ import annotations

import json

import numpy as np
import pytest
from PySide6.QtCore import Qt
from PySide6.QtWidgets import QApplication, QCheckBox, QLabel, QLineEdit, QPushButton
from shiboken6 import isValid

from legtide.day.document import Reading
from legtide.day.rotations import rotations
from legtide.draw.truth import TruthCurve
from legtide.files.day_content import to_bytes
from legtide.play.report import COLUMNS
from legtide.play.results import read_results
from legtide.play.rounds import followed
from legtide.view.training.score_window import ScoreWindow
from legtide.view.training.window import TrainingWindow, truth_curve
from legtide.workspace.training import Beginning
from legtide.workspace.workspace import Workspace


@pytest.fixture
def training(window, qtbot):
    """The training window, opened from the main window."""
    window.registry.run("plan.train")
    page = window.findChild(TrainingWindow)
    assert page is not None
    qtbot.waitExposed(page)
    page.training.days = 100
    yield page
    if isValid(page):
        page.training.unsaved = False
        page.close()


def press(qtbot, page, *keys):
    page.activateWindow()
    qtbot.waitUntil(lambda: QApplication.activeWindow() is page)
    for key in keys:
        modifier, plain = key if isinstance(key, tuple) else (Qt.KeyboardModifier.NoModifier, key)
        qtbot.keyClick(page, plain, modifier)


def services(page, aircraft):
    rows = rotations(page.training.round.day)[aircraft].services
    return {(row.turn, row.tank): (row.state, row.target_percent) for row in rows}


def scored(qtbot, page, number=1):
    qtbot.waitUntil(lambda: len(page.training.results) == number, timeout=30_000)


def texts(page):
    return [label.text() for label in page.findChildren(QLabel) if label.isVisible()]


# a live day is another thing ------------------------------------------------------------------------------


def test_it_says_that_it_is_training(training):
    assert training.windowTitle() == "Training: Practice"
    assert "TRAINING" in texts(training)
    assert any("nothing is written into the day file" in text for text in texts(training))


def test_the_day_and_its_file_stay_as_they_are(training, workspace, qtbot, tmp_path):
    path = tmp_path / "live.day.json"
    workspace.save_as(path)
    day, before = workspace.day, path.read_bytes()
    press(
        qtbot, training, Qt.Key.Key_N, Qt.Key.Key_W, Qt.Key.Key_R, (Qt.KeyboardModifier.ControlModifier, Qt.Key.Key_E)
    )
    scored(qtbot, training)
    assert training.training.round.day is not day
    assert workspace.day is day
    assert not workspace.dirty
    assert path.read_bytes() == before
    assert to_bytes(training.training.day) == to_bytes(day)


def test_an_edit_of_the_live_day_does_not_reach_the_round(training, workspace):
    known = training.training.round.day
    row = workspace.day.services[0]
    workspace.apply(workspace.day.model_copy(update={"services": ()}), "delete all")
    assert training.training.round.day is known
    assert any(one.id == row.id for one in known.services)


def test_the_board_can_be_looked_at_but_not_edited(training, qtbot):
    board, round_ = training.training.board, training.training.round
    marker = training.board.model.content.rows[0].markers[0]
    board.select(service=marker.service.id)
    for key in (Qt.Key.Key_Delete, Qt.Key.Key_Right):
        qtbot.keyClick(training.board, key)
    assert training.board.mover.begin(marker.service.id) is None
    assert not board.apply(board.day.model_copy(update={"services": ()}), "no")
    assert board.day is round_.day


def test_a_day_without_legs_has_no_training(window, workspace):
    workspace.new(workspace.day.model_copy(update={"legs": (), "services": ()}))
    window.registry.refresh()
    assert not window.registry["plan.train"].isEnabled()


# a round by keys ------------------------------------------------------------------------------------------


def test_a_round_by_keys_from_turn_to_turn(training, qtbot):
    model = training.training
    press(qtbot, training, Qt.Key.Key_N)
    first = model.round.clock
    assert first > model.start.begin
    chosen = model.board.selection
    assert chosen.turn == 1
    press(qtbot, training, Qt.Key.Key_R)
    assert {row.tank for row in model.round.day.readings if row.turn == 1} == {"fresh", "waste"}
    press(qtbot, training, Qt.Key.Key_3)
    assert services(training, chosen.aircraft)[1, "fresh"] == ("planned", 75.0)
    press(qtbot, training, (Qt.KeyboardModifier.ShiftModifier, Qt.Key.Key_W))
    assert services(training, chosen.aircraft)[1, "fresh"][0] == "skipped"
    press(qtbot, training, Qt.Key.Key_G)
    assert model.board.selection.aircraft != chosen.aircraft
    press(qtbot, training, Qt.Key.Key_N)
    assert model.round.clock > first


def test_a_call_that_is_too_late_is_told_and_changes_nothing(training, qtbot):
    """Of a turn of 45 min 40 can be used and 30 are lead time: a whole fill takes 10.7 min, a drain 8."""
    model = training.training
    press(qtbot, training, Qt.Key.Key_N)
    before, aircraft = model.round, model.board.selection.aircraft
    press(qtbot, training, Qt.Key.Key_W)
    assert model.round is before
    assert "too late" in training.card.refusal.text()
    assert training.card.refusal.isVisible()
    press(qtbot, training, Qt.Key.Key_B)
    assert services(training, aircraft)[1, "waste"] == ("planned", 0.0)
    assert not training.card.refusal.isVisible()


def test_the_card_follows_the_clock(training, qtbot):
    press(qtbot, training, Qt.Key.Key_N)
    card = training.card
    assert card.reading.isEnabled()
    assert "leaves in" in card.where.text()
    aircraft, turn = training.training.board.selection.aircraft, training.training.board.selection.turn
    press(qtbot, training, Qt.Key.Key_N)
    training.board.navigate.reveal_turn(aircraft, turn)
    assert "what was called stands" in card.where.text()
    assert not card.reading.isEnabled()
    assert not any(button.isEnabled() for button in card.buttons.values())


def test_the_clock_runs_stops_at_a_turn_and_never_goes_back(training, qtbot):
    model = training.training
    model.speed = 600
    press(qtbot, training, Qt.Key.Key_P)
    assert model.running
    qtbot.waitUntil(lambda: not model.running, timeout=10_000)
    assert model.round.clock == rotations(model.round.day)["QX-0"].turns[1].start
    stood = model.round.clock
    press(qtbot, training, Qt.Key.Key_P)
    press(qtbot, training, Qt.Key.Key_P)
    assert not model.running
    assert model.round.clock >= stood


def test_a_running_clock_goes_on_past_turns_when_it_is_told_to(training):
    model = training.training
    training.controls.findChild(QCheckBox).setChecked(False)
    model.speed = 600
    model.run()
    for _ in range(5):
        model.tick()
    assert model.running
    model.pause()
    assert model.round.clock > rotations(model.round.day)["QX-0"].turns[2].start


def test_what_happened_is_listed_and_leads_to_its_place(training, qtbot):
    model = training.training
    while not model.round.over:
        model.step()
    entries = training.log.entries
    assert any("dry taps" in row.text and row.sign == "act" for row in entries)
    training.log.chosen.emit(entries[-1].aircraft, entries[-1].turn)
    assert model.board.selection.aircraft == entries[-1].aircraft


# truth and reveal -----------------------------------------------------------------------------------------


def curves(page) -> dict[str, TruthCurve]:
    names = [row.registration for row in page.board.model.content.rows]
    found = {name: page.board.model.extras_of(name).truth for name in names}
    return {name: curve for name, curve in found.items() if curve is not None}


def test_nothing_of_the_truth_is_shown_before_it_is_revealed(training, qtbot):
    press(qtbot, training, Qt.Key.Key_N)
    assert curves(training) == {}


def test_the_trainer_sees_the_truth_up_to_now_and_no_further(training, qtbot):
    press(qtbot, training, Qt.Key.Key_N, Qt.Key.Key_N, Qt.Key.Key_V)
    for curve in curves(training).values():
        assert curve.minutes[-1] <= training.training.minutes
    press(qtbot, training, Qt.Key.Key_V)
    assert curves(training) == {}


def test_the_reveal_shows_the_truth_with_its_breaches(training, qtbot):
    press(qtbot, training, (Qt.KeyboardModifier.ControlModifier, Qt.Key.Key_E))
    model = training.training
    assert model.revealed
    assert model.board.now is None, "what has come out is not veiled"
    for name, curve in curves(training).items():
        found = followed(model.round, name)
        assert np.array_equal(curve.levels["fresh"], found.levels[0, 0])
        assert len(curve.breaches) == int(found.breached[:, 0].sum())


def test_a_breach_is_marked_where_the_limit_is_passed(training):
    model = training.training
    model.finish()
    found = followed(model.round, "QX-0")
    curve = truth_curve(found, None)
    for tank, minutes in curve.breaches:
        place = int(np.searchsorted(curve.minutes, minutes))
        level, limit = curve.levels[tank][place], found.limit[0 if tank == "fresh" else 1]
        assert level <= limit if tank == "fresh" else level >= limit


def test_a_service_that_was_left_is_told_leg_by_leg(training, qtbot):
    board = training.training.board
    training.board.navigate.reveal_turn("QX-1", 3)
    assert board.selection.turn == 3
    press(qtbot, training, (Qt.KeyboardModifier.ShiftModifier, Qt.Key.Key_B))
    assert services(training, "QX-1")[3, "waste"][0] == "skipped"
    press(qtbot, training, (Qt.KeyboardModifier.ControlModifier, Qt.Key.Key_E))
    row = next(one for one in training.reveal.found if one.aircraft == "QX-1")
    assert (row.blemish, row.turn, len(row.legs)) == ("left", 3, 4)
    qtbot.waitUntil(lambda: "QX-1: Waste service left out at Bake" in texts(training))
    assert any("with it whole" in text for text in texts(training))


# rounds, groups and scores --------------------------------------------------------------------------------


def begun(page, qtbot, dialog, group, choice=0):
    press(qtbot, page, (Qt.KeyboardModifier.ControlModifier, Qt.Key.Key_N))
    form = dialog("form")
    form.findChild(QLineEdit, "groupField").setText(group)
    form.fields["from"].box.setCurrentIndex(choice)
    qtbot.mouseClick(form.button, Qt.MouseButton.LeftButton)


def test_groups_play_the_same_day_and_stand_in_one_table(training, qtbot, dialog):
    begun(training, qtbot, dialog, "Blue")
    truths = training.training.round.truths
    press(qtbot, training, (Qt.KeyboardModifier.ControlModifier, Qt.Key.Key_E))
    scored(qtbot, training)
    begun(training, qtbot, dialog, "<b>Green</b>")
    assert training.training.round.truths is truths
    for tank, key in (("waste", Qt.Key.Key_B), ("fresh", Qt.Key.Key_W)):
        training.board.navigate.reveal_turn("QX-0", 4)
        press(qtbot, training, key)
        assert services(training, "QX-0")[4, tank][0] == "planned"
    press(qtbot, training, (Qt.KeyboardModifier.ControlModifier, Qt.Key.Key_E))
    scored(qtbot, training, 2)
    press(qtbot, training, (Qt.KeyboardModifier.ControlModifier, Qt.Key.Key_R))
    page = training.findChild(ScoreWindow)
    names = [row[0] for row in page.model.rows]
    assert names[:2] == ["<b>Green</b>", "Blue"], "the cheaper one first, as typed"
    assert names[2:] == [
        "Best plan, same readings",
        "The day's plan",
        "Never a service",
        "Always both services",
        "Hindsight",
    ]
    assert "Judgement" in page.judgement.text()
    assert "Luck" in page.judgement.text()


def test_a_new_round_from_a_turn_keeps_the_calls_before_it(training, qtbot, dialog):
    begun(training, qtbot, dialog, "Blue")
    training.board.navigate.reveal_turn("QX-2", 5)
    press(qtbot, training, Qt.Key.Key_W)
    for _ in range(4):
        press(qtbot, training, Qt.Key.Key_N)
    training.board.navigate.reveal_turn("QX-2", 6)
    press(qtbot, training, Qt.Key.Key_W)
    later = training.training.round.clock
    begun(training, qtbot, dialog, "Blue", choice=2)
    model = training.training
    assert model.number == 2
    assert model.start.begin < model.round.clock < later
    assert services(training, "QX-2")[5, "fresh"][0] == "planned"
    assert (6, "fresh") not in services(training, "QX-2")


def test_the_table_is_exported_and_results_are_saved_and_opened(training, qtbot, tmp_path):
    press(qtbot, training, (Qt.KeyboardModifier.ControlModifier, Qt.Key.Key_E))
    scored(qtbot, training)
    training.show_scores()
    page = training.findChild(ScoreWindow)
    for name in ("scores.csv", "scores.xlsx"):
        page.export_to(tmp_path / name)
        assert (tmp_path / name).stat().st_size > 200
    assert (tmp_path / "scores.csv").read_text().splitlines()[0] == ",".join(COLUMNS)
    path = tmp_path / "class.results.json"
    assert training.training.unsaved
    assert page.save_to(path)
    assert not training.training.unsaved
    rows = page.model.rows
    assert read_results(path.read_bytes()).groups == training.training.results
    training.training.put_results(())
    assert page.model.rows == []
    page.open_from(path)
    assert page.model.rows == rows


def test_results_of_another_day_or_damaged_ones_are_refused_with_a_reason(training, qtbot, tmp_path, answer, dialog):
    press(qtbot, training, (Qt.KeyboardModifier.ControlModifier, Qt.Key.Key_E))
    scored(qtbot, training)
    training.show_scores()
    page, path = training.findChild(ScoreWindow), tmp_path / "class.results.json"
    page.save_to(path)
    content = json.loads(path.read_text())
    path.write_text(json.dumps({**content, "day_sha256": "0" * 64}))
    page.open_from(path)
    assert "another day" in dialog("question").informativeText()
    answer("Close")
    path.write_text("{")
    page.open_from(path)
    answer("Close")
    page.save_to(tmp_path / "no" / "folder.results.json")
    answer("Close")
    assert len(training.training.results) == 1


def test_closing_with_unsaved_results_asks(training, qtbot, answer):
    press(qtbot, training, (Qt.KeyboardModifier.ControlModifier, Qt.Key.Key_E))
    scored(qtbot, training)
    assert not training.close()
    answer("Stay")
    assert training.isVisible()
    assert not training.close()
    answer("Close without saving")
    assert not isValid(training) or not training.isVisible()


def test_a_round_closed_while_it_is_scored_leaves_no_trace(training, qtbot, window):
    press(qtbot, training, (Qt.KeyboardModifier.ControlModifier, Qt.Key.Key_E))
    assert window.jobs.busy("training score")
    training.close()
    assert not window.jobs.busy("training score")


def test_buttons_do_what_keys_do(training, qtbot, click):
    click(training.controls.next)
    assert training.training.round.clock > training.training.start.begin
    click(training.card.buttons["fresh", "50"])
    aircraft = training.training.board.selection.aircraft
    assert services(training, aircraft)[1, "fresh"] == ("planned", 50.0)
    assert training.card.buttons["fresh", "50"].isChecked()
    click(training.card.buttons["fresh", "leave"])
    assert training.card.buttons["fresh", "leave"].isChecked()
    assert all(button.accessibleName() or button.text() for button in training.findChildren(QPushButton))


def test_beginnings_name_a_label_for_the_table(training):
    model = training.training
    assert model.label == "-"
    model.begin(Beginning("Blue", 1))
    assert model.label == "Blue"
    model.begin(Beginning("Blue", 1))
    assert (model.number, model.label) == (2, "Blue (2)")
    model.begin(Beginning("Blue", 2))
    assert (model.number, model.label) == (1, "Blue")


def test_markup_in_names_stays_markup(window, workspace: Workspace, qtbot):
    name = "<b>QX</b>"
    day = workspace.day
    day = day.model_copy(
        update={
            "title": "<img src=x>",
            "aircraft": (day.aircraft[0].model_copy(update={"registration": name}),),
            "legs": tuple(
                row.model_copy(update={"aircraft": name, "flight": "<i>1</i>"})
                for row in day.legs
                if row.aircraft == "QX-0"
            ),
            "services": (),
            "readings": (Reading(aircraft=name, turn=0, tank="fresh", percent=100.0),),
        }
    )
    workspace.new(day)
    window.registry.run("plan.train")
    page = window.findChild(TrainingWindow)
    while not page.training.round.over:
        page.next_turn()
    page.play_to_the_end()
    scored(qtbot, page)
    for label in page.findChildren(QLabel):
        assert label.textFormat() == Qt.TextFormat.PlainText or "<" not in label.text(), label.text()
    assert any(name in label.text() for label in page.findChildren(QLabel))
    page.training.unsaved = False
    page.close()
