"""Saying what the columns of a schedule are: a choice for each field, and the first rows as they would be read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Final, get_args

from PySide6.QtCore import QSize
from PySide6.QtWidgets import QComboBox, QDialog, QGridLayout, QHBoxLayout, QPushButton, QVBoxLayout, QWidget

from legtide.day.quoting import printable
from legtide.files.column_names import guessed, guessed_zone
from legtide.files.grids import ColumnsError, Grid
from legtide.files.schedule import Options, Times
from legtide.files.schedule_preview import ROWS, Previewed, preview
from legtide.files.schedule_rows import OPTIONAL, REQUIRED
from legtide.files.schedule_source import lacks_dates, sample
from legtide.language import tr
from legtide.view.report_rows import Rows, rows_table
from legtide.view.texts import plain_label, tooltip

_DEEP: Final = 6
"""Fields below each other: those that are needed, then the others."""
_ORDER: Final = (
    *REQUIRED,
    *("date", "arrival_date", "times", "pax", "crew", "fit"),
    *("service_style", "etd", "eta", "atd", "ata"),
)
_MOST_SHOWN: Final = 40
TIMES: Final[tuple[Times, ...]] = get_args(Times)


def field_words() -> dict[str, str]:
    """What each field is called."""
    return {
        "registration": tr("Registration"),
        "flight": tr("Flight"),
        "from": tr("From"),
        "to": tr("To"),
        "std": tr("STD"),
        "sta": tr("STA"),
        "date": tr("Date of departure"),
        "arrival_date": tr("Date of arrival"),
        "pax": tr("Passengers"),
        "crew": tr("Crew"),
        "fit": tr("Fit"),
        "service_style": tr("Cabin service"),
        "etd": tr("ETD"),
        "eta": tr("ETA"),
        "atd": tr("ATD"),
        "ata": tr("ATA"),
    }


def times_words() -> list[str]:
    """What times without a zone can be, in the order of TIMES."""
    return [tr("with their zone"), tr("in UTC"), tr("local to the station")]


@dataclass(frozen=True, slots=True)
class Mapping:
    """What a user says of a table's columns."""

    columns: dict[str, str]
    times: Times


def first_guess(table: Grid, times: Times) -> Mapping:
    """What the names of the columns, and what stands in them, say by themselves."""
    found = guessed(table.header, sample(table))
    zone = guessed_zone(found)
    known = next((kind for kind in TIMES if kind == zone), times)
    return Mapping(found, known)


class MapperDialog(QDialog):
    """Asks what the columns of a table are."""

    def __init__(
        self, table: Grid, start: Mapping, options: Options, take: Callable[[Mapping], object], parent: QWidget
    ) -> None:
        super().__init__(parent)
        self.setObjectName("mapper")
        self.setWindowTitle(tr("Columns of the schedule"))
        self.resize(QSize(1060, 560))
        self._table = table
        self._options = options
        self._take = take
        self.boxes: dict[str, QComboBox] = {}
        self.times = QComboBox()
        self.problem = plain_label("", "problem")
        words = field_words()
        shown = ("registration", "flight", "from", "to", "std", "sta", "pax")
        self._shown = shown
        self.rows = Rows((tr("Row"), *(words[field] for field in shown), tr("Why it is not taken")), self)
        self.use = QPushButton(tr("Use these columns"))
        self._set_up(start)
        self._lay_out()
        self._show()

    def _set_up(self, start: Mapping) -> None:
        words = field_words()
        header = [printable(name)[:_MOST_SHOWN] for name in self._table.header]
        first = sample(self._table)
        for field in (*REQUIRED, *OPTIONAL):
            box = QComboBox()
            box.addItem("–", "")
            for i, name in enumerate(header):
                if name:
                    box.addItem(name, self._table.header[i])
            chosen = start.columns.get(field, "").lower()
            at = next((i for i in range(1, box.count()) if box.itemData(i).lower() == chosen), 0)
            box.setCurrentIndex(at)
            box.setAccessibleName(words[field])
            box.setObjectName(field)
            box.currentIndexChanged.connect(lambda _index: self._show())
            self.boxes[field] = box
        self._first = first
        self.times.addItems(times_words())
        self.times.setCurrentIndex(TIMES.index(start.times))
        self.times.setAccessibleName(tr("Times are"))
        self.times.currentIndexChanged.connect(lambda _index: self._show())
        self.problem.setWordWrap(True)
        self.use.setDefault(True)
        self.use.clicked.connect(self._accept)

    def _lay_out(self) -> None:
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 14, 14, 14)
        layout.setSpacing(8)
        layout.addWidget(plain_label(tr("Which column is what?"), "heading"))
        about = plain_label(
            tr("Fields with a star are needed. The answer is remembered for schedules with the same column names."),
            "secondary",
        )
        about.setWordWrap(True)
        layout.addWidget(about)
        layout.addLayout(self._fields())
        layout.addWidget(self.problem)
        layout.addWidget(plain_label(tr("The first rows as they would be read, times in UTC:"), "secondary"))
        table = rows_table(self.rows, (84, 96, 80, 60, 60, 160, 160, 92), tr("The first rows"))
        table.setMinimumHeight(26 * (ROWS + 1) + 8)
        layout.addWidget(table, 1)
        buttons = QHBoxLayout()
        buttons.setSpacing(8)
        buttons.addStretch(1)
        cancel = QPushButton(tr("Cancel"))
        cancel.setAutoDefault(False)
        cancel.clicked.connect(self.reject)
        buttons.addWidget(cancel)
        buttons.addWidget(self.use)
        layout.addLayout(buttons)

    def _fields(self) -> QGridLayout:
        """The fields, read downwards: what is needed first."""
        words = field_words()
        grid = QGridLayout()
        grid.setHorizontalSpacing(8)
        grid.setVerticalSpacing(6)
        boxes = {**self.boxes, "times": self.times}
        for number, field in enumerate(_ORDER):
            box = boxes[field]
            needed = " *" if field in REQUIRED else ""
            label = plain_label(tr("Times are") if field == "times" else words[field] + needed, "secondary")
            label.setBuddy(box)
            column, row = divmod(number, _DEEP)
            grid.addWidget(label, row, 2 * column)
            grid.addWidget(box, row, 2 * column + 1)
            grid.setColumnStretch(2 * column + 1, 1)
        return grid

    # what is chosen ---------------------------------------------------------------------------------------

    @property
    def mapping(self) -> Mapping:
        """What is chosen now."""
        columns = {field: str(box.currentData()) for field, box in self.boxes.items() if box.currentIndex() > 0}
        return Mapping(columns, TIMES[self.times.currentIndex()])

    def _show(self) -> None:
        """Shows the first rows as they would be read with what is chosen."""
        chosen = self.mapping
        words = field_words()
        lacking = [words[field] for field in REQUIRED if field not in chosen.columns]
        twice = sorted({name for name in chosen.columns.values() if list(chosen.columns.values()).count(name) > 1})
        found: list[Previewed] = []
        problem = ""
        if lacking:
            problem = tr("Still needed: {fields}").format(fields=", ".join(lacking))
        elif twice:
            problem = tr("Chosen more than once: {names}").format(names=", ".join(map(printable, twice)))
        else:
            try:
                options = replace(self._options, times=chosen.times)
                found = preview(self._table, chosen.columns, options)
            except ColumnsError as error:
                problem = str(error.problems[0])
        if found and not problem and lacks_dates(self._table, chosen.columns):
            problem = tr("The times have no date: choose its column, or give one date for all in the next step.")
        self.problem.setText(problem)
        self.use.setEnabled(bool(found))
        self._tell_samples()
        self.rows.put(
            [(row.place, *(row.cells.get(field, "") for field in self._shown), row.reason) for row in found]
        )

    def _tell_samples(self) -> None:
        """What stands in the chosen columns, as they were sent."""
        for box in self.boxes.values():
            name = box.currentData()
            at = self._table.header.index(name) if name in self._table.header else -1
            texts = [printable(row[at])[:_MOST_SHOWN] for row in self._first if 0 <= at < len(row)]
            box.setToolTip(tooltip("\n".join(texts)))

    def _accept(self) -> None:
        self._take(self.mapping)
        self.accept()
