"""`legtide import` with columns that are called otherwise, sheets, and times of the day."""

from __future__ import annotations

from pathlib import Path

import pytest

from legtide.cli.main import main
from legtide.files.day_file import load
from support.workbooks import xlsx

HEADER = ("A/C", "FLT", "DEP", "ARR", "Day", "STD, UTC", "STA, UTC")
ROWS = (("QX-A", "0123", "ABLE", "BAKE", "2031-03-05", "06:10", "07:35"),)


@pytest.fixture
def plan(tmp_path: Path) -> Path:
    path = tmp_path / "plan.xlsx"
    path.write_bytes(xlsx({"Plan": (HEADER, *ROWS)}))
    return path


def run(plan: Path, *arguments: str) -> int:
    return main(["import", str(plan), "-o", str(plan.with_name("plan.day.json")), *arguments])


def test_the_error_for_a_missing_column_says_how_to_name_it(plan: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(plan) == 3
    said = capsys.readouterr().err
    assert 'sheet "Plan", row 1: the header row has "A/C", "FLT", "DEP", "ARR", "Day", "STD, UTC", "STA, UTC"' in said
    assert "say which columns are meant: --columns 'registration=A/C,flight=FLT,from=DEP,to=ARR," in said
    assert '"std=STD, UTC","sta=STA, UTC",date=Day\'' in said


def test_the_columns_that_it_names_are_taken(plan: Path) -> None:
    named = 'registration=A/C,flight=FLT,from=DEP,to=ARR,"std=STD, UTC","sta=STA, UTC"'
    assert run(plan, "--columns", named, "--columns", "date=day", "--times", "utc", "--sheet", "Plan") == 0
    (leg,) = load(plan.with_name("plan.day.json")).day.legs
    assert (leg.flight, f"{leg.std:%Y-%m-%d %H:%M}") == ("0123", "2031-03-05 06:10")


def test_one_date_for_times_without_one(plan: Path) -> None:
    named = 'registration=A/C,flight=FLT,from=DEP,to=ARR,"std=STD, UTC","sta=STA, UTC"'
    assert run(plan, "--columns", named, "--times", "utc", "--date", "2031-03-06") == 0
    assert load(plan.with_name("plan.day.json")).day.date.isoformat() == "2031-03-06"


@pytest.mark.parametrize(
    ("text", "words"),
    [("registration", "is not written like registration=A/C"), ("tail=A/C", "tail is not one of registration,")],
)
def test_columns_that_are_not_written_so(
    plan: Path, text: str, words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert run(plan, "--columns", text) == 2
    assert words in capsys.readouterr().err


def test_a_sheet_that_is_not_there(plan: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(plan, "--sheet", "Other") == 3
    assert 'has no sheet "Other"; it has "Plan"' in capsys.readouterr().err
