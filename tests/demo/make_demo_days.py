"""Writes the files of `demo_days/` from the scenario: `python tests/demo/make_demo_days.py`.

The same scenario gives the same bytes on every run and machine; `test_demo_days.py` compares them with what lies
there, so run this after a change of the scenario or of the day file's form.
"""

from __future__ import annotations

import csv
import io
import sys
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Final
from zoneinfo import ZoneInfo

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[1]))

from demo import bank_day, far_days, short_days
from demo.scenario import PORTS
from legtide.day.document import Day
from legtide.day.rotations import off_blocks
from legtide.files.atomic import replace_file
from legtide.files.day_file import to_bytes
from legtide.shipped import demo_days

DAYS: Final[dict[str, Callable[[], Day]]] = {
    "quiet": short_days.quiet,
    "tight": short_days.tight,
    "long-sectors": far_days.long,
    "winter": far_days.winter,
    "bank": bank_day.bank,
    "training": short_days.training,
}
"""Name of the file without `.day.json` -> the day."""

_HEADER: Final = ("registration", "flight", "from", "to", "std", "sta", "pax", "crew", "fit", "service_style")


def schedule(day: Day, write: Callable[[datetime, str], str]) -> bytes:
    """The legs of a day as a CSV schedule; `write` makes the text of a time at a station."""
    fits = {row.registration: row.fit for row in day.aircraft}
    text = io.StringIO()
    table = csv.writer(text, lineterminator="\n")
    table.writerow(_HEADER)
    for leg in sorted(day.legs, key=lambda leg: (off_blocks(leg), leg.flight)):
        times = write(leg.std, leg.origin), write(leg.sta, leg.destination)
        heads = leg.passengers, leg.crew
        row = leg.aircraft, leg.flight, leg.origin, leg.destination, *times, *heads, fits[leg.aircraft]
        table.writerow((*row, leg.cabin_service))
    return text.getvalue().encode("utf-8")


def _utc(moment: datetime, station: str) -> str:
    return f"{moment:%Y-%m-%dT%H:%MZ}"


def _local(moment: datetime, station: str) -> str:
    return f"{moment.astimezone(ZoneInfo(PORTS[station].zone)):%Y-%m-%d %H:%M}"


def zones() -> bytes:
    """The time zones of the stations as the import takes them."""
    return "".join(["code,zone\n", *(f"{code},{port.zone}\n" for code, port in PORTS.items())]).encode("utf-8")


def contents() -> dict[str, bytes]:
    """Every file of the folder with its content."""
    days = {name: make() for name, make in DAYS.items()}
    return {
        **{f"{name}.day.json": to_bytes(day) for name, day in days.items()},
        "schedule-utc.csv": schedule(days["tight"], _utc),
        "schedule-local.csv": schedule(days["long-sectors"], _local),
        "zones.csv": zones(),
    }


def main() -> None:
    """Writes the files, and takes away demo days that the scenario no longer has."""
    folder, wanted = demo_days(), contents()
    for path in folder.glob("*.day.json"):
        if path.name not in wanted:
            path.unlink()
    for name, data in wanted.items():
        replace_file(folder / name, data)


if __name__ == "__main__":
    main()
