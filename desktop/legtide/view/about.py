"""About the program, and the cautions: where its advice ends, and the hazards of the work that it plans."""

from __future__ import annotations

from importlib.metadata import PackageNotFoundError, version
from typing import Final

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import QDialog, QFrame, QHBoxLayout, QPushButton, QScrollArea, QVBoxLayout, QWidget

from legtide.day.assumptions import PLACES_OF_LAW
from legtide.language import tr
from legtide.view.icons import icon_pixmap, sign_pixmap
from legtide.view.texts import plain_label
from legtide.view.theme import Theme

CAUTIONS: Final = (
    (
        "This program advises",
        "The operator's manuals, local rules and licensed staff decide. A projection is an estimate with a spread: "
        "read the gauge before you rely on it.",
        (),
    ),
    (
        "Drinking water stays clean",
        "Fill from approved points with clean hoses and fittings. People and vehicles that handle toilet waste do "
        "not handle drinking water the same day. Keep to the intervals of disinfection and flushing; take a tank "
        "out of use when in doubt.",
        ("approved_water", "separate_hands", "disinfection"),
    ),
    (
        "Water freezes",
        "Parked without heat, tanks, lines and drain masts freeze and burst, and ice may fall off in flight. The "
        "operator's cold-weather procedure says when to drain.",
        (),
    ),
    (
        "Pressure and heat",
        "Water tanks may be pressurised: relieve the pressure before a fitting is opened, and keep to the fill "
        "pressure limit. Heaters, drain masts and galley boilers are hot.",
        (),
    ),
    (
        "Leaks and electrics",
        "Water and waste near electrical equipment are reported and dealt with before the next flight. Waste is a "
        "hazard to health: wear what the handler's rules ask for, and report every spill.",
        (),
    ),
    (
        "Mass",
        "The water mass shown is for the load sheet of one departure; another fill makes it another mass.",
        ("load_sheet",),
    ),
)
"""Headline, sentence, keys of the places of law that are named beside it."""


def program_version() -> str:
    """The installed version."""
    try:
        return version("legtide")
    except PackageNotFoundError:
        return tr("not installed")


class About(QDialog):
    """What the program is, its cautions with their sources, and what it is made with."""

    def __init__(self, theme: Theme, parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("about")
        self.setWindowTitle(tr("About and cautions"))
        self.resize(QSize(640, 640))
        self._theme = theme
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 14, 14, 14)
        layout.setSpacing(12)
        layout.addLayout(self._head())
        inner = QWidget()
        inner.setObjectName("scrolled")
        rows = QVBoxLayout(inner)
        rows.setContentsMargins(0, 0, 8, 0)
        rows.setSpacing(8)
        for title, text, places in CAUTIONS:
            rows.addWidget(self._caution(title, text, places))
        rows.addWidget(self._made_with())
        rows.addStretch(1)
        area = QScrollArea()
        area.setAccessibleName(tr("Cautions"))
        area.setWidget(inner)
        area.setWidgetResizable(True)
        layout.addWidget(area, 1)
        close = QPushButton(tr("Close"))
        close.clicked.connect(self.accept)
        layout.addWidget(close, 0, Qt.AlignmentFlag.AlignRight)

    def _head(self) -> QHBoxLayout:
        row = QHBoxLayout()
        row.setSpacing(12)
        mark = plain_label()
        mark.setPixmap(icon_pixmap("legtide", "#2A3F8F", 48, self.devicePixelRatioF()))
        row.addWidget(mark)
        words = QVBoxLayout()
        words.setSpacing(2)
        words.addWidget(plain_label(f"Legtide {program_version()}", "heading"))
        words.addWidget(plain_label(tr("When is each tank filled and drained across the day."), "secondary"))
        row.addLayout(words, 1)
        return row

    def _caution(self, title: str, text: str, places: tuple[str, ...]) -> QFrame:
        frame = QFrame()
        frame.setObjectName("paper")
        outer = QHBoxLayout(frame)
        outer.setContentsMargins(12, 10, 12, 10)
        outer.setSpacing(10)
        sign = plain_label()
        sign.setPixmap(sign_pixmap("watch", self._theme.colours, 16, self.devicePixelRatioF()))
        outer.addWidget(sign, 0, Qt.AlignmentFlag.AlignTop)
        rows = QVBoxLayout()
        rows.setSpacing(3)
        rows.addWidget(plain_label(tr(title), "strong"))
        for words, name in [(tr(text), "small"), *((tr(PLACES_OF_LAW[key]), "fine") for key in places)]:
            label = plain_label(words, name)
            label.setWordWrap(True)
            rows.addWidget(label)
        outer.addLayout(rows, 1)
        return frame

    @staticmethod
    def _made_with() -> QWidget:
        label = plain_label(
            tr(
                "Licensed under Apache-2.0. Made with Qt for Python (LGPL-3.0), NumPy, SciPy, pydantic, Pint and "
                "pyqtgraph; type B612 (SIL Open Font License 1.1). The third-party notices hold the details."
            ),
            "fine",
        )
        label.setWordWrap(True)
        return label
