"""Run sheets: the lines of the trucks' plan, in large type."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from legtide.brief.content import origin_of
from legtide.brief.paper import pdf_bytes
from legtide.brief.run_pages import run_pages
from legtide.brief.runs import RunSheet, run_sheets
from legtide.day import edits
from legtide.day.document import Place, Truck
from legtide.plan.station import StationRuns, plan_station, run_rows, runs_at
from support.days import rotation_day
from support.pdf_text import pdf_reader, pdf_text


@pytest.fixture(scope="module")
def found() -> StationRuns:
    """Three aircraft whose tanks do not last; the water truck holds too little for all of them."""
    day = rotation_day(1.5, 6, 0.8, aircraft=3)
    trucks = (
        Truck(id="W1", tank="fresh", start_place="P", capacity_l=300.0),
        Truck(id="T1", tank="waste", start_place="P"),
        Truck(id="T2", tank="waste", start_place="P"),
    )
    places = (Place(id="P", kind="base"), Place(id="F", kind="fill_point"), Place(id="D", kind="dump_point"))
    made = plan_station(edits.change_station(day, "ABLE", trucks=trucks, places=places), "ABLE")
    remark = "ask for <b>stairs</b>"
    served = next(row for row in made.day.services if row.truck == "W1")
    made = plan_station(edits.change_service(made.day, served.id, remark=remark), "ABLE", propose=False)
    return runs_at(made.day, "ABLE")


@pytest.fixture(scope="module")
def sheets(found: StationRuns) -> tuple[RunSheet, ...]:
    return run_sheets(found, origin_of(found.day, "practice.day.json", datetime(2026, 5, 13, tzinfo=UTC)))


def test_each_truck_that_works_has_a_sheet_of_its_stops(found: StationRuns, sheets: tuple[RunSheet, ...]) -> None:
    rows = [row for row in run_rows(found) if row["what"] in ("service", "reload", "break")]
    working = {row["truck"] for row in rows if row["what"] == "service"}
    assert [sheet.truck.id for sheet in sheets] == [name for name in ("W1", "T1", "T2") if name in working]
    for sheet in sheets:
        mine = [row for row in rows if row["truck"] == sheet.truck.id]
        assert [(stop.kind, stop.place, stop.registration, stop.litres) for stop in sheet.stops] == [
            (row["what"], row["to"], row["registration"], row["litres"]) for row in mine
        ]
    assert any(stop.kind == "reload" for stop in sheets[0].stops)


def test_a_service_lies_inside_the_window_on_its_line(sheets: tuple[RunSheet, ...]) -> None:
    served = [stop for sheet in sheets for stop in sheet.stops if stop.kind == "service"]
    assert served
    for stop in served:
        assert stop.window is not None
        assert stop.window[0] <= stop.start < stop.end <= stop.window[1]


def test_the_pdf_holds_every_stop(sheets: tuple[RunSheet, ...]) -> None:
    data = pdf_bytes(run_pages(sheets), "Run sheets")
    text = pdf_text(data)
    for sheet in sheets:
        for stop in sheet.stops:
            assert f"{stop.start:%H:%M}–{stop.end:%H:%M}" in text
            if stop.kind == "service":
                assert f"{stop.litres} L" in text
                assert stop.registration in text
    assert "ask for <b>stairs</b>" in text
    assert "at most 3.45 bar" in text
    assert "then pre-charge 10 L" in text
    assert "Done, signature" in text
    box = pdf_reader(data).pages[0].mediabox
    assert box.width > box.height


def test_letters_are_large_enough_for_a_cab(sheets: tuple[RunSheet, ...]) -> None:
    """Stand, aircraft and litres in at least 13 pt: common practice for reading at arm's length, no source."""
    sizes: dict[str, float] = {}

    def visit(text: str, outer: list[float], inner: list[float], _font: object, size: float) -> None:
        for word in text.split():
            sizes[word] = max(sizes.get(word, 0.0), size * abs(inner[3] * outer[3]))

    page = pdf_reader(pdf_bytes(run_pages(sheets), "Run sheets")).pages[0]
    page.extract_text(visitor_text=visit)
    stop = next(row for row in sheets[0].stops if row.kind == "service")
    assert min(sizes[stop.registration], sizes[stop.litres]) >= 13.0
    assert sizes["Remarks"] < 13.0


def test_a_service_that_no_truck_does_is_named_on_the_sheet() -> None:
    """One truck cannot be at two aircraft at once: what it leaves out is not left unsaid."""
    day = rotation_day(1.5, 6, 0.8, aircraft=4, ground_min=25.0)
    trucks = tuple(Truck(id=f"T{number}", tank="waste") for number in range(1, 5))
    made = plan_station(edits.change_station(day, "ABLE", trucks=trucks), "ABLE")
    found = runs_at(edits.change_station(made.day, "ABLE", trucks=trucks[:1]), "ABLE")
    left = [(need, why) for need, why in found.left_out if need.service.tank == "waste"]
    assert left
    (sheet,) = run_sheets(found, origin_of(day, "x.day.json", datetime(2026, 5, 13, tzinfo=UTC)))
    text = pdf_text(pdf_bytes(run_pages([sheet]), "Run sheets"))
    for need, why in left:
        assert why in text
        assert need.rotation.registration in text
