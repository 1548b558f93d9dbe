"""Why?: where the numbers of what is selected, or of a warning, come from - inputs, formula, sources."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TYPE_CHECKING

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QFrame,
    QGridLayout,
    QPushButton,
    QScrollArea,
    QVBoxLayout,
    QWidget,
)

from legtide.day.document import TANKS
from legtide.engine.types import Caution
from legtide.language import tr
from legtide.view.dialogs import opened
from legtide.view.texts import plain_label
from legtide.workspace.workspace import Workspace

if TYPE_CHECKING:
    from legtide.plan.explain import Explanation


class WhyDialog(QDialog):
    """One or several explanations, one at a time."""

    def __init__(self, explanations: Sequence[tuple[str, Explanation]], parent: QWidget) -> None:
        super().__init__(parent)
        self.setObjectName("why")
        self.setWindowTitle(tr("Why?"))
        self.resize(QSize(720, 640))
        self._explanations = list(explanations)
        self.question = QComboBox()
        self.question.setAccessibleName(tr("What is explained"))
        self.question.addItems([name for name, _ in self._explanations])
        self.question.setVisible(len(self._explanations) > 1)
        self.question.currentIndexChanged.connect(self._show)
        self._area = QScrollArea()
        self._area.setWidgetResizable(True)
        self._area.setAccessibleName(tr("Explanation"))
        close = QPushButton(tr("Close"))
        close.clicked.connect(self.accept)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 14, 14, 14)
        layout.setSpacing(12)
        layout.addWidget(self.question)
        layout.addWidget(self._area, 1)
        layout.addWidget(close, 0, Qt.AlignmentFlag.AlignRight)
        self._show(0)

    def _show(self, place: int) -> None:
        self._area.setWidget(_page(self._explanations[place][1]))


def _page(row: Explanation) -> QWidget:
    from legtide.plan.explain.report import input_value, number_text

    page = QWidget()
    page.setObjectName("scrolled")
    layout = QVBoxLayout(page)
    layout.setContentsMargins(0, 0, 8, 0)
    layout.setSpacing(8)
    layout.addWidget(_wrapped(row.title, "heading"))
    layout.addWidget(_wrapped(row.words))
    if row.formula:
        layout.addWidget(_wrapped(row.formula, "strong"))
    if row.parts:
        table = [
            (part.label, part.symbol, f"{number_text(part.value)} {tr(part.unit)}".strip()) for part in row.parts
        ]
        layout.addWidget(_sheet(tr("On the way"), table))
    if row.inputs:
        origin = [
            f"{tr(one.status)}: {one.source}" if one.status is not None else tr("the day") for one in row.inputs
        ]
        table = [(one.label, input_value(one), said) for one, said in zip(row.inputs, origin, strict=True)]
        layout.addWidget(_sheet(tr("Made from"), table))
    for note in row.notes:
        layout.addWidget(_wrapped(note, "secondary"))
    layout.addStretch(1)
    return page


def _wrapped(text: str, name: str = "") -> QWidget:
    label = plain_label(text, name)
    label.setWordWrap(True)
    label.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByMouse)
    return label


def _sheet(title: str, rows: Sequence[tuple[str, str, str]]) -> QFrame:
    frame = QFrame()
    frame.setObjectName("paper")
    grid = QGridLayout(frame)
    grid.setContentsMargins(12, 10, 12, 10)
    grid.setHorizontalSpacing(12)
    grid.setVerticalSpacing(4)
    for column, share in enumerate((4, 2, 5)):
        grid.setColumnStretch(column, share)
    grid.addWidget(plain_label(title, "strong"), 0, 0, 1, 3)
    for line, cells in enumerate(rows, start=1):
        for column, (text, name) in enumerate(zip(cells, ("small", "small", "fine"), strict=True)):
            grid.addWidget(_wrapped(text, name), line, column, Qt.AlignmentFlag.AlignTop)
    return frame


class Why:
    """Finds what to explain and opens the dialog."""

    def __init__(self, workspace: Workspace, parent: QWidget) -> None:
        self._workspace = workspace
        self._parent = parent

    def can_answer(self) -> bool:
        """Whether something is selected that has numbers."""
        return self._workspace.selection.aircraft is not None

    def selected(self) -> None:
        """Explains what is selected: a service, a leg, a turn or an aircraft."""
        self._open([(name, what) for name, what in self._questions()])

    def warning(self, caution: Caution) -> None:
        """Explains a warning."""
        from legtide.plan.explain import explain_warning

        projection = self._workspace.projection
        number = projection.warnings.index(caution) + 1 if caution in projection.warnings else 0
        found = explain_warning(self._workspace.shown, projection, caution, f"warning:{number}")
        opened(WhyDialog([("", found)], self._parent))

    def _open(self, questions: Sequence[tuple[str, str]]) -> None:
        from legtide.plan.explain import ExplainError, explain

        found = []
        for name, what in questions:
            try:
                found.append((name, explain(self._workspace.shown, what, self._workspace.projection)))
            except ExplainError:
                continue  # nothing to explain there, such as a trigger after the last leg
        if found:
            opened(WhyDialog(found, self._parent))

    def _questions(self) -> list[tuple[str, str]]:
        at = self._workspace.selection
        words = {"fresh": tr("fresh water"), "waste": tr("waste")}
        if at.service is not None:
            return [
                (tr("Why this service"), f"service:{at.service}"),
                (tr("How much it moves"), f"uplift:{at.service}"),
            ]
        if at.leg is not None:
            leg = f"{at.aircraft}:{at.leg}"
            risks = [(tr("Risk, {tank}").format(tank=words[t]), f"risk:{leg}:{t}") for t in TANKS]
            levels = [(tr("Level, {tank}").format(tank=words[t]), f"level:{leg}:{t}") for t in TANKS]
            return [*risks, *levels, (tr("Water mass"), f"mass:{leg}")]
        if at.turn is not None:
            turn = f"trigger:{at.aircraft}:{at.turn}"
            return [(tr("Trigger reading, {tank}").format(tank=words[t]), f"{turn}:{t}") for t in TANKS]
        return [(tr("The cheapest plan"), f"plan:{at.aircraft}")]
