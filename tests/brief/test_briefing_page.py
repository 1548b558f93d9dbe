"""The briefing page: its figures are the projection's, as an independent reader finds them in the PDF."""

from __future__ import annotations

import math
import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QImage, QPainter

from legtide.brief.blocks import PAPER, wrapped
from legtide.brief.briefing import briefing_pages
from legtide.brief.content import Briefing, NoAircraftError, briefing, origin_of
from legtide.brief.paper import Page, Sheet, page_image, pdf_bytes
from legtide.brief.strip import strip_block
from legtide.brief.without import bottled_l
from legtide.brief.words import DEFERS, clock
from legtide.day import edits
from legtide.day.document import TANKS, Aircraft, Day, Gauge, Inoperative, Service, Station
from legtide.draw.fonts import text_width
from legtide.draw.rows import frame
from legtide.engine.projection import project
from legtide.engine.warnings import leg_risk
from legtide.files.day_file import load, save
from legtide.plan.triggers import triggers
from support.days import rotation_day
from support.pdf_text import pdf_reader, pdf_text

COMPUTED = datetime(2026, 5, 13, 20, 15, tzinfo=UTC)


def serviced_day(**parts: object) -> Day:
    """Eight legs with a fill and a drain in the middle, and a drain at the end."""
    services = (
        Service(id="f", aircraft="QX-0", turn=4, tank="fresh"),
        Service(id="w", aircraft="QX-0", turn=4, tank="waste"),
        Service(id="night", aircraft="QX-0", turn=8, tank="waste"),
    )
    return rotation_day(1.5, 8, services=services, title="Practice").model_copy(update=parts)


def content_of(day: Day, registration: str = "QX-0") -> Briefing:
    return briefing(day, registration, origin_of(day, "practice.day.json", COMPUTED))


def pdf_of(day: Day, registration: str = "QX-0", paper: str = "a4") -> bytes:
    return pdf_bytes(briefing_pages(content_of(day, registration), paper), "Briefing")  # type: ignore[arg-type]


def test_every_departures_figures_are_the_projections() -> None:
    day = serviced_day()
    text = pdf_text(pdf_of(day))
    aircraft = project(day).aircraft["QX-0"]
    for result in aircraft.legs:
        leg = aircraft.rotation.legs[result.index]
        assert f"{leg.flight} {leg.origin} → {leg.destination}" in text
        assert f"{result.water_mass_kg:.0f} kg" in text
        for level in (result.fresh_departure, result.waste_departure):
            assert f"{level.mean:.0f} L ({level.p05:.0f}–{level.p95:.0f})" in text
    for service in aircraft.services:
        assert service.start is not None
        ask_by = service.start - timedelta(minutes=day.policy.call_lead_min.value)
        word = "Water" if service.service.tank == "fresh" else "Toilet"
        assert f"{word} {service.start:%H:%M}, ask by {ask_by:%H:%M}" in text
        volume = service.volume
        assert f"to {service.service.target:g} %, {volume.mean:.0f} L ({volume.p05:.0f}–{volume.p95:.0f})" in text


def test_the_readings_are_those_of_the_triggers() -> None:
    day = serviced_day()
    text = pdf_text(pdf_of(day))
    found = [row for row in triggers(day).turns if row.answer == "by_reading"]
    assert found
    for row in found:
        side = "or more" if row.tank == "fresh" else "or less"
        name = "water" if row.tank == "fresh" else "waste"
        assert f"{name} {row.trigger_percent:g} % {side}" in text


def test_readings_are_said_as_the_gauge_shows_them() -> None:
    """A gauge in eighths: the flight deck reads 5/8, not 62.5 %."""
    day = serviced_day()
    eighths = Gauge(shows="eighths", step_percent=12.5)
    fits = tuple(edits.rebuilt(fit, fresh_gauge=eighths, waste_gauge=eighths) for fit in day.fits)
    day = edits.rebuilt(day, fits=fits)
    text = pdf_text(pdf_of(day))
    found = [row for row in triggers(day).turns if row.answer == "by_reading"]
    assert found
    for row in found:
        assert f" {row.trigger_percent / 12.5:.0f}/8 {'or more' if row.tank == 'fresh' else 'or less'}" in text


def test_the_page_says_where_it_comes_from_and_who_decides(tmp_path: Path) -> None:
    day = serviced_day()
    path = tmp_path / "practice.day.json"
    save(day, path)
    written = re.search(r'"checksum": "([0-9a-f]{64})"', path.read_text("utf-8"))
    assert written is not None
    text = pdf_text(pdf_of(load(path).day))
    assert f"SHA-256 {written[1]}" in text
    assert "practice.day.json, computed 2026-05-13 20:15 UTC" in text
    assert DEFERS in text
    for source in ("EP 1 057 943 A2", "21 CFR 1240.80", "40 CFR 141.803", "14 CFR 25.29", "Freezing"):
        assert source in text


def test_what_happens_without_a_service_is_the_projection_of_that_day() -> None:
    day = serviced_day()
    departure = content_of(day).departures[4]
    assert [ask.service.id for ask in departure.asks] == ["f", "w"]
    for ask in departure.asks:
        tank, without = ask.service.tank, ask.without
        assert without is not None
        missed = project(edits.set_service_state(day, ask.service.id, "missed")).aircraft["QX-0"]
        limit = day.policy.risk_limit.value
        bad = next(leg.index for leg in missed.legs if leg.index >= 4 and leg_risk(leg, tank) > limit)
        assert without.fails is missed.rotation.legs[bad]
        assert without.fails_risk == pytest.approx(leg_risk(missed.legs[bad], tank), rel=1e-9)
        assert without.lasts is (missed.rotation.legs[bad - 1] if bad > 4 else None)


def test_bottled_water_is_by_heads_and_hours() -> None:
    legs = rotation_day(1.5, 2, load=[0.5, 1.0]).legs
    day = rotation_day(1.5, 2)
    # 90 + 6 and 180 + 6 heads for 1.5 h each at 0.1 L/(person h).
    assert bottled_l(day, legs) == math.ceil(0.1 * 1.5 * (96 + 186))


def test_the_mass_band_has_the_density_of_the_mass() -> None:
    for row in content_of(serviced_day()).departures:
        level = row.result.fresh_departure
        assert row.mass_low_kg == pytest.approx(row.result.water_mass_kg * level.p05 / level.mean)
        assert row.mass_low_kg <= row.result.water_mass_kg <= row.mass_high_kg + 1e-9


# ISO 216: A4 is 210 mm by 297 mm. ANSI/ASME Y14.1: A (Letter) is 8.5 by 11 inches.
@pytest.mark.parametrize(("paper", "width_in", "height_in"), [("a4", 210 / 25.4, 297 / 25.4), ("letter", 8.5, 11.0)])
def test_the_page_is_one_sheet_of_the_paper(paper: str, width_in: float, height_in: float) -> None:
    reader = pdf_reader(pdf_of(serviced_day(), paper=paper))
    assert len(reader.pages) == 1
    box = reader.pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx((width_in * 72, height_in * 72), abs=0.6)


@pytest.mark.parametrize("paper", ["a4", "letter"])
def test_every_demo_rotation_has_one_page(paper: str) -> None:
    from legtide.shipped import demo_days

    for path in sorted(demo_days().glob("*.day.json")):
        day = load(path).day
        projection = project(day)
        longest = max(day.aircraft, key=lambda row: sum(leg.aircraft == row.registration for leg in day.legs))
        made = briefing(day, longest.registration, origin_of(day, path.name, COMPUTED), projection)
        assert len(briefing_pages(made, paper)) == 1, path.name  # type: ignore[arg-type]


def test_a_rotation_too_long_for_one_page_goes_on_and_loses_nothing() -> None:
    day = rotation_day(0.5, 40)
    data = pdf_of(day)
    text = pdf_text(data)
    count = len(pdf_reader(data).pages)
    assert count > 1
    assert f"page {count} of {count}" in text
    assert all(leg.flight in text for leg in day.legs)


def test_inoperative_items_stand_on_the_page() -> None:
    item = Inoperative(item="lavatory", count=2, category="B", since=date(2026, 5, 12), remark="aft")
    aircraft = Aircraft(registration="QX-0", fit="f", inoperative=(item, Inoperative(item="fresh_gauge")))
    text = pdf_text(pdf_of(serviced_day(aircraft=(aircraft,))))
    # Category B: three days, from national master equipment list guides.
    assert "2 × lavatory, category B (3 days), since 2026-05-12: aft" in text
    assert "water: no gauge, ask" in text


def test_a_day_without_legs_has_a_page() -> None:
    assert "no legs" in pdf_text(pdf_of(rotation_day(1.0, 0)))


def test_an_aircraft_that_is_not_there_is_said() -> None:
    with pytest.raises(NoAircraftError):
        content_of(serviced_day(), "QX-9")


def test_times_of_other_days_say_so() -> None:
    assert clock(datetime(2026, 5, 15, 0, 35, tzinfo=UTC), date(2026, 5, 14)) == "00:35\u00a0(+1)"
    assert clock(datetime(2026, 5, 14, 0, 35, tzinfo=UTC), date(2026, 5, 14)) == "00:35"


def test_markup_is_text_and_nothing_is_loaded(tmp_path: Path) -> None:
    """Names with tags come back as typed; the picture that they name is not in the PDF."""
    red = tmp_path / "x.png"
    image = QImage(8, 8, QImage.Format.Format_RGB32)
    image.fill(Qt.GlobalColor.red)
    assert image.save(str(red))
    trap = f'<img src="{red}">'
    day = serviced_day(
        title=f"<b>{trap}</b>",
        stations=(Station(code="ABLE", name=trap), Station(code="BAKE")),
        aircraft=(Aircraft(registration="QX-0", fit="f", remark=f"<a href='file:///etc/passwd'>{trap}</a>"),),
    )
    data = pdf_of(day)
    text = pdf_text(data).replace(" ", "")
    assert f"<b>{trap}</b>".replace(" ", "") in text
    assert "<ahref='file:///etc/passwd'>" in text
    page = pdf_reader(data).pages[0]
    assert not list(page.images)
    shown = pdf_bytes([Page(Sheet(), lambda painter: painter.drawImage(0, 0, QImage(str(red))))], "control")
    assert list(pdf_reader(shown).pages[0].images)
    assert not list(page.get("/Annots", []))


def test_names_cannot_turn_the_writing_direction() -> None:
    day = edits.change_leg(serviced_day(), "0-0", flight="ZZ\u202e1")
    assert "ZZ\\u202e1" in pdf_text(pdf_of(day))


def brush_patterns(data: bytes) -> list[str]:
    """The tiling patterns of a PDF's first page (ISO 32000-1, 8.7.3: PatternType 1)."""
    patterns = pdf_reader(data).pages[0]["/Resources"].get("/Pattern", {})
    return [name for name in patterns if patterns[name].get_object().get("/PatternType") == 1]


def test_hatches_are_lines_and_no_brush_patterns() -> None:
    """A brush pattern shrinks to grey at a printer's resolution."""
    day = rotation_day(1.5, 8)
    assert content_of(day).row.stretches
    assert brush_patterns(pdf_of(day)) == []

    def patterned(painter: QPainter) -> None:
        painter.fillRect(QRectF(0.0, 0.0, 50.0, 50.0), QBrush(Qt.GlobalColor.red, Qt.BrushStyle.BDiagPattern))

    assert brush_patterns(pdf_bytes([Page(Sheet(), patterned)], "control"))


def test_the_preview_shows_the_page_in_its_shape() -> None:
    page = briefing_pages(content_of(serviced_day()))[0]
    image = page_image(page, 0.5)
    assert (image.width(), image.height()) == (397, 561)
    dark = sum(image.pixelColor(x, y).lightness() < 100 for x in range(0, 397, 3) for y in range(0, 561, 3))
    assert dark > 200


def test_lines_fit_and_lose_no_letter(qapp: object) -> None:
    text = "a long sentence with a " + "w" * 200 + " inside"
    lines = wrapped(text, 120.0, 12)
    assert all(text_width(line, 12) <= 120.0 for line in lines)
    assert "".join(lines).replace(" ", "") == text.replace(" ", "")


def test_the_longest_names_stay_on_the_page_and_whole() -> None:
    """64 letters for each key, 400 for each text: the most that a day file may hold."""
    key, text = "W" * 64, "M" * 400
    day = rotation_day(1.5, 3, title=text)
    legs = tuple(row.model_copy(update={"aircraft": key, "flight": key}) for row in day.legs)
    day = day.model_copy(update={"legs": legs, "aircraft": (Aircraft(registration=key, fit="f", remark=text),)})
    data = pdf_bytes(briefing_pages(briefing(day, key, origin_of(day, text, COMPUTED))), "x")
    found = pdf_text(data).replace(" ", "")
    assert found.count(key) >= 4
    assert found.count(text) == 2
    image = page_image(briefing_pages(content_of(day, key))[0])
    right = [
        image.pixelColor(x, y).lightness() for x in range(image.width() - 40, image.width()) for y in range(1100)
    ]
    assert min(right) == 255


def test_the_strip_has_the_boards_marks_of_the_readings_that_decide() -> None:
    """The arrowhead of each reading is painted in its tank's hue; the control is the strip without the readings."""
    content = content_of(serviced_day())
    bare = replace(content, departures=tuple(replace(row, triggers=()) for row in content.departures))
    assert any(one.answer == "by_reading" for row in content.departures for one in row.triggers)
    pictures = []
    for one in (content, bare):
        picture = QImage(700, 300, QImage.Format.Format_RGB32)
        picture.fill(Qt.GlobalColor.white)
        with QPainter(picture) as painter:
            strip_block(one, 700.0, 176).paint(painter)
        pictures.append(picture)
    inside = frame("focus", 176)
    for tank in TANKS:
        strip, hue = inside.strip(tank), QColor(PAPER.hue(tank))
        rows = range(round(24 + strip.top), round(24 + strip.bottom))
        marked, plain = (
            sum(picture.pixelColor(x, y) == hue for x in range(70, 700) for y in rows) for picture in pictures
        )
        assert marked > plain
    assert "Arrowheads: the readings that decide." in pdf_text(pdf_of(serviced_day()))
