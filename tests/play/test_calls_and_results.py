"""Calls and results as files: strict reading with places, round trips, and tables that are safe in a spreadsheet."""

from __future__ import annotations

import csv
import io
import json
from datetime import timedelta

import pytest

from legtide.files.tables import csv_bytes, workbook_bytes
from legtide.play.calls import ReadingCall, ServiceCall
from legtide.play.calls_file import CallsFileError, calls_document, calls_of, read_calls
from legtide.play.report import COLUMNS, play_document, score_table
from legtide.play.results import ResultsError, group_row, read_results, results_bytes, results_of, score_of
from legtide.play.rounds import begin_round, played
from legtide.play.scoring import score
from support.days import rotation_day

GOOD = {
    "format": "legtide-calls",
    "version": 1,
    "group": "Blue",
    "services": [
        {"aircraft": "QM-HAW", "turn": 3, "tank": "waste", "serve": True},
        {"aircraft": "QM-WIG", "turn": 2, "tank": "fresh", "serve": False, "at": "2027-02-09T05:00:00Z"},
    ],
    "readings": [{"aircraft": "QM-HAW", "turn": 2}],
}


def as_bytes(content: object) -> bytes:
    return json.dumps(content).encode()


def refused(content: object) -> list[str]:
    with pytest.raises(CallsFileError) as caught:
        read_calls(as_bytes(content))
    return [str(problem) for problem in caught.value.problems]


def test_calls_are_read_with_their_moments(opened):
    start = opened("training", 3)
    calls = calls_of(read_calls(as_bytes(GOOD)), start)
    turn = next(row for row in start.day.legs if row.id == "HAW-2").sta
    assert calls == (
        ServiceCall("QM-HAW", 3, "waste", True, start.begin, None),
        ServiceCall("QM-WIG", 2, "fresh", False, start.begin + timedelta(minutes=80), None),
        ReadingCall("QM-HAW", 2, turn),
    )


@pytest.mark.parametrize(
    ("change", "place"),
    [
        ({"format": "legtide-day"}, "format"),
        ({"version": 2}, "version"),
        ({"version": "1"}, "version"),
        ({"colour": "blue"}, "colour"),
        ({"services": [{"aircraft": "QM-HAW", "turn": "3", "tank": "waste", "serve": True}]}, "services[0].turn"),
        ({"services": [{"aircraft": "QM-HAW", "turn": 3, "tank": "beer", "serve": True}]}, "services[0].tank"),
        ({"services": [{"aircraft": "QM-HAW", "turn": 3, "tank": "waste", "serve": 1}]}, "services[0].serve"),
        ({"readings": [{"aircraft": "QM-HAW", "turn": 2, "at": "2027-02-09T05:00:00"}]}, "readings[0].at"),
        ({"readings": [{"turn": 2}]}, "readings[0].aircraft"),
    ],
)
def test_what_is_not_acceptable_is_named_with_its_place(change, place):
    assert [problem.split(":")[0] for problem in refused({**GOOD, **change})] == [place]


def test_all_problems_are_told_at_once():
    assert len(refused({"format": "x", "version": 3, "services": [{}]})) >= 5


@pytest.mark.parametrize(
    "data", [b"", b"{", b"[]", b"\xff\xfe{", b'{"format": NaN}', b'{"a": 1, "a": 2}', b"[" * 5000]
)
def test_what_is_not_json_is_refused(data):
    for reader, error in ((read_calls, CallsFileError), (read_results, ResultsError)):
        with pytest.raises(error):
            reader(data)


def test_cut_at_every_byte_a_file_is_refused():
    data = as_bytes(GOOD)
    for length in range(len(data) - 1):
        with pytest.raises(CallsFileError):
            read_calls(data[:length])


def test_calls_for_what_the_day_has_not_are_named(opened):
    content = {
        **GOOD,
        "services": [
            {"aircraft": "QM-ZZZ", "turn": 3, "tank": "waste", "serve": True},
            {"aircraft": "QM-HAW", "turn": 30, "tank": "waste", "serve": True},
            {"aircraft": "QM-HAW", "turn": 3, "tank": "waste", "serve": True, "at": "2027-02-08T05:00:00Z"},
        ],
    }
    with pytest.raises(CallsFileError) as caught:
        calls_of(read_calls(as_bytes(content)), opened("training", 3))
    places = [problem.place for problem in caught.value.problems]
    assert places == ["services[0].aircraft", "services[1].turn", "services[2].at"]


def test_a_log_written_and_read_is_the_same_log(opened):
    start = opened("training", 3)
    end = played(start, calls_of(read_calls(as_bytes(GOOD)), start))
    written = calls_document("Blue", end.log).model_dump_json()
    assert calls_of(read_calls(written.encode()), start) == end.log


# results --------------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def small():
    """Two groups on a small day: one that leaves everything, and one with a name that a spreadsheet would run."""
    start = begin_round(rotation_day(1.2, 3), 2)
    drain = ServiceCall("QX-0", 2, "waste", True, start.begin)
    rows = []
    for name, calls in (("Blue", []), ("=1+1", [drain])):
        rows.append((played(start, calls), score(start, calls, group=name, days=200)))
    return rows


def test_results_written_and_read_are_the_same(small):
    file = results_of(small[0][0].source, [group_row(end, found) for end, found in small])
    read = read_results(results_bytes(file))
    assert read == file
    assert [score_of(row) for row in read.groups] == [found for _, found in small]
    assert [row.calls.group for row in read.groups] == ["Blue", "=1+1"]


def test_results_with_a_wrong_figure_are_refused(small):
    content = json.loads(results_bytes(results_of(small[0][0].source, [group_row(*small[0])])))
    content["groups"][0]["lines"][0]["came_out"] = "cheap"
    with pytest.raises(ResultsError) as caught:
        read_results(as_bytes(content))
    assert [row.place for row in caught.value.problems] == ["groups[0].lines[0].came_out"]


def test_the_table_has_every_group_then_what_they_are_set_against(small):
    table = score_table([found for _, found in small])
    assert table.columns == COLUMNS
    assert [row[1] for row in table.rows] == ["group"] * 2 + ["reference"] * 5
    averages = [row[COLUMNS.index("cost_average")] for row in table.rows[:2]]
    assert averages == sorted(averages)


def test_a_group_named_like_a_formula_is_only_text(small):
    table = score_table([found for _, found in small])
    rows = list(csv.reader(io.StringIO(csv_bytes(table).decode())))
    assert "'=1+1" in [row[0] for row in rows]
    from openpyxl import load_workbook

    sheet = load_workbook(io.BytesIO(workbook_bytes([table])))["score"]
    named = next(row[0] for row in sheet.iter_rows(min_row=2) if row[0].value == "=1+1")
    assert named.data_type == "s"


def test_the_document_has_the_score_the_events_and_what_followed(small):
    end, found = small[1]
    document = play_document(end, found)
    assert (document["format"], document["version"], document["seed"]) == ("legtide-play", 1, 2)
    assert document["group"]["luck"] == document["group"]["cost_came_out"] - document["group"]["cost_average"]
    assert [row["player"] for row in document["references"]] == ["best", "plan", "never", "always", "hindsight"]
    assert next(row["kind"] for row in document["events"] if row["tank"] == "waste") == "done"
    assert json.loads(json.dumps(document, allow_nan=False)) == document
