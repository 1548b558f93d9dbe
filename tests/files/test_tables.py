"""Tables for spreadsheets: the projection's figures, and text that stays text."""

from __future__ import annotations

import csv
import io
import zipfile

import pytest
from openpyxl import load_workbook

from legtide.day.document import Day, Service
from legtide.engine.projection import project
from legtide.files.cells import restored
from legtide.files.tables import TABLES, Table, csv_bytes, workbook_bytes
from support.days import rotation_day
from support.full_day import full_day

NASTY = ("=1+1", "+1", "-1", "@x", "'=1", "a,b;c", 'say "x"', "é→", "plain")


@pytest.fixture(scope="module")
def day() -> Day:
    services = tuple(
        Service(id=f"s{number}", aircraft="QX-0", turn=number, tank="fresh", remark=text)
        for number, text in enumerate(NASTY[:8])
    )
    return rotation_day(1.2, 8, services=services)


def read_csv(table: Table) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(csv_bytes(table).decode("utf-8"), newline="")))


def test_levels_are_the_projections() -> None:
    projection = project(full_day())
    rows = read_csv(TABLES["levels"](projection))
    results = [(name, leg) for name, one in projection.aircraft.items() for leg in one.legs]
    assert len(rows) == len(results)
    for row, (name, leg) in zip(rows, results, strict=True):
        assert row["registration"] == name
        assert float(row["water_mass_kg"]) == pytest.approx(leg.water_mass_kg, abs=0.051)
        assert float(row["fresh_arrival_l_p05"]) == pytest.approx(leg.fresh_arrival.p05, abs=0.051)
        assert float(row["waste_departure_l_mean"]) == pytest.approx(leg.waste_departure.mean, abs=0.051)
        assert float(row["risk_waste_over_limit"]) == pytest.approx(leg.risk_waste_over_limit, abs=5.1e-5)


def test_services_and_warnings_are_all_there() -> None:
    projection = project(full_day())
    plan = read_csv(TABLES["plan"](projection))
    assert len(plan) == sum(len(one.services) for one in projection.aircraft.values())
    warnings = read_csv(TABLES["warnings"](projection))
    assert [row["message"] for row in warnings] == [row.message for row in projection.warnings]


def test_text_that_looks_like_a_formula_is_made_harmless_and_comes_back(day: Day) -> None:
    written = [row["remark"] for row in read_csv(TABLES["plan"](project(day)))]
    assert not any(cell.startswith(("=", "+", "-", "@", "\t", "\r")) for cell in written)
    assert sorted(map(restored, written)) == sorted(NASTY[:8])


def test_a_workbook_holds_the_tables_and_no_formula(day: Day) -> None:
    tables = [make(project(day)) for make in TABLES.values()]
    data = workbook_bytes(tables)
    book = load_workbook(io.BytesIO(data))
    assert book.sheetnames == ["plan", "levels", "warnings"]
    for table in tables:
        sheet = book[table.name]
        head, *rows = sheet.iter_rows(values_only=True)
        assert head == table.columns
        assert rows == [tuple(None if cell == "" else cell for cell in row) for row in table.rows]
    assert {cell.data_type for row in book["plan"].iter_rows() for cell in row} <= {"s", "n"}
    with zipfile.ZipFile(io.BytesIO(data)) as package:
        # ECMA-376 part 1, 18.3.1.40: a formula is an element `f` of its cell.
        sheets = [package.read(name) for name in package.namelist() if name.startswith("xl/worksheets/")]
    assert len(sheets) == 3
    assert not any(b"<f>" in sheet or b"<f " in sheet for sheet in sheets)


def test_a_character_that_a_workbook_cannot_hold_does_not_stop_it() -> None:
    data = workbook_bytes([Table("x", ("a",), (("a\uffffb",), ("c" * 40_000,)))])
    cells = [row[0] for row in load_workbook(io.BytesIO(data))["x"].iter_rows(values_only=True)]
    assert cells == ["a", "a\ufffdb", "c" * 32_767]
