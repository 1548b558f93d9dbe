"""Schedule files of the trade for tests: records of 200 characters (chapter 7 of the schedule standard)."""

from __future__ import annotations

from legtide.files.schedule_records import LENGTH

TITLE = "1AIRLINE STANDARD SCHEDULE DATA SET"


def record(kind: str, **columns: str) -> str:
    """A record with texts put in from given columns on, counted from 1 (`c3="X0"`)."""
    line = [*kind.ljust(LENGTH)]
    for name, text in columns.items():
        first = int(name[1:])
        line[first - 1 : first - 1 + len(text)] = text
    assert len(line) == LENGTH
    return "".join(line)


def carrier(mode: str = "U") -> str:
    return record("2", c2=mode, c3="X0", c11="S27", c15="28MAR27", c22="30OCT27")


def leg(number: str, origin: str, std: str, destination: str, sta: str, **columns: str) -> str:
    """Passenger times are put ten minutes off, so that a reader of the wrong columns is found out."""
    off = {"c40": "9999", "c62": "9999"}
    fixed = {
        "c3": "X0",
        "c6": number.rjust(4),
        "c10": "01",
        "c12": "01",
        "c14": "J",
        "c15": "28MAR27",
        "c22": "30OCT27",
    }
    fixed |= {"c29": "1234567", "c37": origin, "c44": std, "c48": "+0200", "c55": destination, "c58": sta}
    fixed |= {"c66": "+0200", "c73": "73H", "c193": "00"}
    return record("3", **{**fixed, **off, **columns})


def file(*lines: str, mode: str = "U") -> bytes:
    rows = [record(TITLE), record("0"), carrier(mode), *lines, record("5", c3="X0")]
    return "\r\n".join(rows).encode()
