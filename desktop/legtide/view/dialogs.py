"""Message boxes: opened, never executed, so that the window stays alive beneath them.

Texts are plain. The answer comes through a callback; `Esc` is always the harmless choice.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from PySide6.QtCore import Qt
from PySide6.QtGui import QIcon, QPixmap
from PySide6.QtWidgets import QDialog, QLabel, QMessageBox, QPushButton, QWidget

from legtide.draw.colours import palette
from legtide.language import tr
from legtide.view.icons import icon_pixmap, sign_pixmap
from legtide.view.keeping import Keeping
from legtide.view.preferences import Preferences
from legtide.view.texts import menu_text

Kind = Literal["tell", "ask", "warn"]
SIGN_PX: Final = 28


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
    box.setIconPixmap(_sign(kind, parent))
    box.setTextFormat(Qt.TextFormat.PlainText)
    box.setText(title)
    box.setInformativeText(text)
    box.setDetailedText(details)
    for label in box.findChildren(QLabel):
        # The format of the box does not reach the second label in every version of the toolkit.
        label.setTextFormat(Qt.TextFormat.PlainText)
    roles = {
        "accept": QMessageBox.ButtonRole.AcceptRole,
        "reject": QMessageBox.ButtonRole.RejectRole,
        "destroy": QMessageBox.ButtonRole.DestructiveRole,
    }
    actions: dict[QPushButton, Callable[[], object] | None] = {}
    for number, answer in enumerate(answers):
        button = box.addButton(menu_text(answer.text), roles[answer.role])
        button.setIcon(QIcon())
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


def _sign(kind: Kind, parent: QWidget) -> QPixmap:
    """Our own sign: the toolkit's icons belong to another look."""
    colours = palette(parent.palette().window().color().lightness() < 128)
    if kind == "warn":
        return sign_pixmap("watch", colours, SIGN_PX, parent.devicePixelRatioF())
    return icon_pixmap("about", colours.accent, SIGN_PX, parent.devicePixelRatioF())


def tell(parent: QWidget, title: str, text: str, *, details: str = "", kind: Kind = "tell") -> QMessageBox:
    """Says something that has to be read."""
    return ask(parent, title, text, [Answer(tr("Close"), role="reject")], details=details, kind=kind)


KEPT: Final = frozenset({"about", "import", "keySheet", "messages", "pages", "recovery", "reports", "why"})
"""Object names of the dialogs that come back in the size that they were left in; the rest is as large as it needs."""


def opened(dialog: QDialog) -> QDialog:
    """Opens a dialog over its parent and lets it go when it is closed."""
    parent = dialog.parentWidget()
    preferences = None if parent is None else getattr(parent.window(), "preferences", None)
    if isinstance(preferences, Preferences) and dialog.objectName() in KEPT:
        Keeping(dialog, preferences)
    dialog.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
    dialog.open()
    return dialog
