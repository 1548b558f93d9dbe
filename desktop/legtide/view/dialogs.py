"""Message boxes: opened, never executed, so that the window stays alive beneath them.

Texts are plain. The answer comes through a callback; `Esc` is always the harmless choice.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QDialog, QMessageBox, QPushButton, QWidget

from legtide.view.texts import menu_text, tr

Kind = Literal["tell", "ask", "warn"]
_ICONS = {
    "tell": QMessageBox.Icon.Information,
    "ask": QMessageBox.Icon.Question,
    "warn": QMessageBox.Icon.Warning,
}


@dataclass(frozen=True, slots=True)
class Answer:
    """One button of a question and what it does."""

    text: str
    do: Callable[[], object] | None = None
    role: Literal["accept", "reject", "destroy"] = "accept"


def ask(
    parent: QWidget,
    title: str,
    text: str,
    answers: Sequence[Answer],
    *,
    details: str = "",
    kind: Kind = "ask",
) -> QMessageBox:
    """Asks a question; the first answer is the default, the one of role `reject` is taken on Esc."""
    box = QMessageBox(parent)
    box.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    box.setObjectName("question")
    box.setWindowTitle(title)
    box.setIcon(_ICONS[kind])
    box.setTextFormat(Qt.TextFormat.PlainText)
    box.setText(title)
    box.setInformativeText(text)
    box.setDetailedText(details)
    roles = {
        "accept": QMessageBox.ButtonRole.AcceptRole,
        "reject": QMessageBox.ButtonRole.RejectRole,
        "destroy": QMessageBox.ButtonRole.DestructiveRole,
    }
    actions: dict[QPushButton, Callable[[], object] | None] = {}
    for number, answer in enumerate(answers):
        button = box.addButton(menu_text(answer.text), roles[answer.role])
        button.setIcon(button.icon().__class__())
        actions[button] = answer.do
        if number == 0:
            box.setDefaultButton(button)
        if answer.role == "reject":
            box.setEscapeButton(button)

    def answered(button: object) -> None:
        do = next((do for made, do in actions.items() if made is button), None)
        if do is not None:
            do()

    box.buttonClicked.connect(answered)
    box.open()
    return box


def tell(parent: QWidget, title: str, text: str, *, details: str = "", kind: Kind = "tell") -> QMessageBox:
    """Says something that has to be read."""
    return ask(parent, title, text, [Answer(tr("Close"), role="reject")], details=details, kind=kind)


def opened(dialog: QDialog) -> QDialog:
    """Opens a dialog over its parent and lets it go when it is closed."""
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    dialog.open()
    return dialog
