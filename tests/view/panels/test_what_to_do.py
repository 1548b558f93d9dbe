"""The panel of sentences: sorted, counted, linked, and its buttons do what they say."""

from __future__ import annotations

from datetime import timedelta

import pytest

from legtide.day import edits
from legtide.day.document import Service
from legtide.engine.types import Caution, Remedy
from legtide.view.panels.if_you_place import comparison
from legtide.view.panels.remedies import applied, step_text
from legtide.view.panels.what_to_do import AT_ONCE
from support.days import rotation_day


def panel(window):
    return window.panel.what_to_do


def test_the_gravest_stands_first_and_only_it_has_a_filled_button(window, workspace):
    cards = [*panel(window).act.cards, *panel(window).watch.cards]
    assert [card.caution for card in cards] == [
        row for row in workspace.projection.warnings if row.severity in ("breach", "caution")
    ]
    filled = [card for card in cards if card.fix.objectName() == "primary"]
    assert filled == [next(card for card in cards if card.fix.isVisibleTo(card))]


def test_the_number_of_open_warnings_is_shown(window, workspace):
    number = sum(row.severity != "note" for row in workspace.projection.warnings)
    assert panel(window)._count.text() == f"{number} open"


def test_a_fix_button_makes_one_undo_step_and_the_warning_goes(window, workspace, click, qtbot):
    card = panel(window).act.cards[0]
    caution = card.caution
    assert caution.remedy.kind == "add_service"
    click(card.fix)
    assert workspace.undo_stack.count() == 1
    added = workspace.day.services[-1]
    assert (added.aircraft, added.turn, added.tank) == (caution.aircraft, caution.remedy.turn, caution.remedy.tank)
    assert workspace.selection.service == added.id
    assert caution not in workspace.projection.warnings
    workspace.undo()
    assert caution in [row.caution for row in panel(window).act.cards]


def test_pressing_the_fixes_one_after_another_leaves_nothing_to_act_on(window, workspace, click):
    for _ in range(40):
        cards = [card for card in panel(window).act.cards if card.fix.isVisible()]
        if not cards:
            break
        click(cards[0].fix)
    assert panel(window).act.cards == []
    assert not [row for row in workspace.projection.warnings if row.severity == "breach"]


def test_show_goes_to_the_place(window, workspace, click):
    card = panel(window).act.cards[0]
    click(card.show_place)
    assert workspace.selection.aircraft == card.caution.aircraft
    assert workspace.selection.turn == card.caution.remedy.turn


def remedy_day():
    service = Service(id="s0", aircraft="QX-0", turn=2, tank="fresh", target_percent=40.0)
    return rotation_day(1.2, 6, services=(service,))


@pytest.mark.parametrize(
    ("remedy", "expected"),
    [
        (Remedy("raise_target", "", "QX-0", 2, "fresh", None, "s0", 100.0), {"target_percent": 100.0}),
        (Remedy("move_service", "", "QX-0", 3, "fresh", None, "s0"), {"turn": 3}),
        (Remedy("add_service", "", "QX-0", 4, "fresh", None, "", 80.0), {"turn": 4, "target_percent": 80.0}),
    ],
)
def test_every_kind_of_remedy_is_an_edit(remedy, expected):
    day, key = applied(remedy_day(), remedy)
    row = edits.service(day, key)
    assert {name: getattr(row, name) for name in expected} == expected
    assert "QX-0" in step_text(remedy)


def test_a_remedy_for_what_is_gone_is_refused_with_a_sentence(window, workspace):
    gone = Caution(
        "fresh-below-reserve", "breach", "x", "QX-0", remedy=Remedy("raise_target", "x", "QX-0", 2, service_id="no")
    )
    day = workspace.day
    window.editing.fix(gone)
    assert workspace.day is day
    assert window.footer.message == "Not done: service no is not in the day."


def test_a_warning_without_a_quick_way_out_gives_its_advice(window, workspace):
    short = edits.change_leg(workspace.day, "0-2", eta=workspace.day.legs[3].std - timedelta(minutes=6))
    workspace.apply(short, "Slip")
    cards = [card for card in panel(window).watch.cards if card.caution.code == "service-outside-turn"]
    assert len(cards) == 1
    assert not cards[0].fix.isVisible()
    assert cards[0]._headline.text() == "A service does not fit its turn"
    assert cards[0]._advice.text() == "The turn has no room for the service: use another turn"


def test_a_service_outside_its_turn_is_moved_inside_by_its_button(window, workspace, click):
    late = edits.change_service(workspace.day, "s0", start=workspace.day.legs[5].std)
    workspace.apply(late, "Move")
    card = next(card for card in panel(window).watch.cards if card.caution.code == "service-outside-turn")
    click(card.fix)
    turn = workspace.projection.aircraft["QX-0"].rotation.turns[3]
    moved = next(row for row in workspace.projection.aircraft["QX-0"].services if row.service.id == "s0")
    assert turn.start < moved.start and moved.end <= turn.end - timedelta(minutes=5)
    assert "service-outside-turn" not in {row.code for row in workspace.projection.warnings}


def test_one_press_lets_what_follows_a_late_leg_leave_later(window, workspace, click):
    leg, following = workspace.day.legs[5:7]
    workspace.apply(edits.change_leg(workspace.day, leg.id, eta=following.std + timedelta(minutes=10)), "Slip")
    card = next(card for card in panel(window).watch.cards if card.caution.code == "turn-eaten")
    click(card.fix)
    assert workspace.day.legs[6].etd == following.std + timedelta(minutes=35)
    assert "turn-eaten" not in {row.code for row in workspace.projection.warnings}
    workspace.undo_stack.undo()
    assert workspace.day.legs[6].etd is None


def test_many_warnings_are_shown_in_part_until_all_are_asked_for(window, workspace, click):
    rows = tuple(Caution("fresh-below-reserve", "breach", f"number {n}", "QX-0") for n in range(AT_ONCE + 5))
    panel(window).act.fill(rows, first=True, editable=True)
    assert len(panel(window).act.cards) == AT_ONCE
    more = panel(window).act._more
    assert more.text() == f"Show all {AT_ONCE + 5}"
    panel(window).act._all = True
    panel(window).act.fill(rows, first=True, editable=True)
    assert len(panel(window).act.cards) == AT_ONCE + 5
    assert more.isHidden()


def test_what_is_in_order_is_said(window, workspace, click):
    for _ in range(40):
        cards = [card for card in panel(window).act.cards if card.fix.isVisible()]
        if not cards:
            break
        click(cards[0].fix)
    words = [label.text() for label in panel(window).findChildren(type(panel(window)._count))]
    assert any("planned services fit their turns" in word for word in words)


# if you place it ------------------------------------------------------------------------------------------


def dragged(workspace, turn):
    workspace.select(service="s0")
    workspace.begin_stroke("Move")
    workspace.preview(edits.move_service(workspace.day, "s0", turn, None))
    workspace._pace.flush()


def test_the_table_is_there_only_while_something_moves(window, workspace):
    table = window.panel.if_you_place
    assert table.isHidden()
    dragged(workspace, 7)
    assert table.isVisible()
    assert window.panel.selected.isHidden()
    workspace.cancel_stroke()
    assert table.isHidden()


def test_the_table_compares_peak_risk_and_open_warnings(workspace):
    dragged(workspace, 7)
    now, then = workspace.settled_projection, workspace.projection
    lines = comparison(now, then, "waste")
    peak = lambda one: one.aircraft["QX-0"].waste.levels[2].max() / 170.0 * 100.0  # noqa: E731
    assert [line.words for line in lines] == ["Waste peak, QX-0", "Chance above 90\u00a0%", "Open warnings"]
    assert lines[0].now == f"{peak(now):.0f}\u00a0%"
    assert lines[0].then == f"{peak(then):.0f}\u00a0%"
    assert peak(then) > peak(now)
    assert (lines[2].now, lines[2].then) == tuple(
        str(sum(row.severity != "note" for row in one.warnings)) for one in (now, then)
    )


def test_nothing_moved_compares_nothing(workspace):
    assert comparison(workspace.projection, workspace.projection, None) == []


def test_the_sentences_stay_while_something_moves(window, workspace):
    before = [card.caution for card in panel(window).act.cards]
    dragged(workspace, 8)
    assert [card.caution for card in panel(window).act.cards] == before
    workspace.commit_stroke()
    shown = [card.caution for card in panel(window).act.cards]
    assert shown == [row for row in workspace.projection.warnings if row.severity == "breach"][: len(shown)]
    assert shown != before


def test_what_should_have_been_done_by_now_is_overdue(window, workspace):
    card = panel(window).act.cards[0]
    by = card.caution.act_by
    assert card._when.text() == f"by {by:%H:%M}"
    workspace.set_now(by + timedelta(minutes=1))
    assert card._when.text() == f"was due {by:%H:%M}"
    workspace.set_now(None)
    assert card._when.text() == f"by {by:%H:%M}"


def test_old_sentences_are_gone_at_once(window, workspace, qapp):
    lines = lambda: [  # noqa: E731
        label.text()
        for label in panel(window).findChildren(type(panel(window)._count))
        if "within limits" in label.text() and not label.isHidden()
    ]
    calm = edits.change_leg(workspace.day, "0-0", passengers=1)
    for number in range(1, 9):
        calm = edits.change_leg(calm, f"0-{number}", passengers=1)
    workspace.apply(calm, "Empty legs")
    qapp.processEvents()
    window.theme.changed.emit()
    qapp.processEvents()
    assert lines() == ["1 aircraft is within limits all day"]
