"""A day that is saved and loaded is the same day, whatever is in it, and the file is what it says it is."""

from __future__ import annotations

import hashlib
import json
import string
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st

from legtide.day.checks import problems
from legtide.day.document import Aircraft, Day, Figure, Leg, Reading, Service, Station, Usage
from legtide.day.edits import change_leg, change_service
from legtide.day.fits import FIT_IDS, shipped_fit, shipped_fits
from legtide.files.day_file import checksum, load, parse, save, sha256_on_disk, to_bytes
from support.full_day import full_day

TEXT = st.text(
    st.characters(min_codepoint=32, exclude_categories=["Cc", "Cs"], exclude_characters="\u2028\u2029"), max_size=30
)
KEYS = st.text(string.ascii_letters + string.digits + "-<&>'\" éß東", min_size=1, max_size=12)
PERCENT = st.floats(0.0, 100.0)


@st.composite
def days(draw: st.DrawFn) -> Day:
    """Sound days with odd names, texts and times."""
    codes = draw(st.lists(KEYS, min_size=1, max_size=4, unique=True))
    names = draw(st.lists(KEYS, min_size=1, max_size=3, unique=True))
    zones = st.sampled_from(["UTC", "Asia/Kathmandu", "Australia/Lord_Howe", "America/St_Johns"])
    legs: list[Leg] = []
    services: list[Service] = []
    readings: list[Reading] = []
    for name in names:
        moment = datetime(2031, 12, 31, tzinfo=UTC) + timedelta(microseconds=draw(st.integers(0, 10**11)))
        for _ in range(draw(st.integers(0, 4))):
            ends = moment + timedelta(seconds=draw(st.integers(1, 50_000)))
            legs.append(
                Leg(
                    id=f"{len(legs)}",
                    aircraft=name,
                    flight=draw(KEYS),
                    origin=draw(st.sampled_from(codes)),
                    destination=draw(st.sampled_from(codes)),
                    std=moment,
                    sta=ends,
                    passengers=draw(st.integers(0, 2000)),
                    crew=draw(st.integers(0, 20)),
                    remark=draw(TEXT),
                )
            )
            tank = draw(st.sampled_from(["fresh", "waste"]))
            target = draw(st.none() | PERCENT)
            services.append(Service(id=f"s{len(services)}", aircraft=name, turn=1, tank=tank, target_percent=target))
            readings.append(Reading(aircraft=name, turn=0, tank=tank, percent=draw(PERCENT), time=moment))
            moment = ends + timedelta(seconds=draw(st.integers(0, 50_000)))
    return Day(
        title=draw(TEXT),
        date=draw(st.dates(date(1970, 1, 1), date(2199, 12, 31))),
        usage=Usage(rinse_l=Figure(value=draw(st.floats(0.0, 10.0)), source=draw(TEXT))),
        fits=shipped_fits(),
        stations=tuple(Station(code=code, name=draw(TEXT), time_zone=draw(zones)) for code in codes),
        aircraft=tuple(Aircraft(registration=name, fit=draw(st.sampled_from(FIT_IDS))) for name in names),
        legs=tuple(legs),
        services=tuple(services),
        readings=tuple(readings),
    )


@given(days())
@settings(max_examples=40)
def test_what_is_written_reads_the_same(day: Day) -> None:
    assert problems(day) == ()
    data = to_bytes(day)
    loaded = parse(data)
    assert loaded.day == day
    assert loaded.cautions == ()
    assert hash(loaded.day) == hash(day)
    assert to_bytes(loaded.day) == data


def test_a_saved_day_loads_the_same(tmp_path: Path) -> None:
    path = tmp_path / "a.day.json"
    saved = save(full_day(), path)
    loaded = load(path)
    assert loaded.day == full_day()
    assert saved.sha256 == loaded.sha256 == sha256_on_disk(path) == hashlib.sha256(path.read_bytes()).hexdigest()
    assert saved.flushed
    assert saved.backup_note == ""
    assert sha256_on_disk(tmp_path / "none") is None


def test_a_loaded_day_with_one_edit_differs_in_one_line() -> None:
    before = to_bytes(full_day()).split(b"\n")
    after = to_bytes(change_leg(full_day(), "2", passengers=151)).split(b"\n")
    different = [new for old, new in zip(before, after, strict=True) if old != new]
    assert len(different) == 2
    assert b'"checksum"' in different[0]
    assert b'"passengers": 151' in different[1]


def test_the_checksum_is_that_of_the_content_as_other_programs_would_make_it() -> None:
    """SHA-256 (FIPS 180-4) of JSON with sorted keys and no white space, in UTF-8."""
    content = json.loads(to_bytes(full_day()))
    written = content.pop("checksum")
    text = json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False)
    assert written == hashlib.sha256(text.encode()).hexdigest() == checksum(content)


def test_the_file_reads_top_down() -> None:
    content = json.loads(to_bytes(full_day()))
    assert list(content)[:5] == ["format", "version", "checksum", "title", "date"]
    assert list(content["legs"][0])[:5] == ["id", "aircraft", "flight", "from", "to"]
    assert content["legs"][0]["std"] == "2031-03-05T06:00:00Z"
    assert "stand" not in content["legs"][0], "what is not known is left out"


def test_the_order_of_edits_does_not_show() -> None:
    one = change_service(change_leg(full_day(), "1", crew=5), "s1", target_percent=50.0)
    other = change_leg(change_service(full_day(), "s1", target_percent=50.0), "1", crew=5)
    assert to_bytes(one) == to_bytes(other)


def test_every_shipped_fit_survives() -> None:
    day = Day(date=date(2031, 3, 5), fits=shipped_fits())
    assert parse(to_bytes(day)).day.fits == tuple(shipped_fit(name) for name in FIT_IDS)
