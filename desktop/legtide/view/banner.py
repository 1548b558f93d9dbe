"""A strip under the top bar for what holds as long as the day is open: read only, changed outside, recovered."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from PySide6.QtWidgets import QFrame, QHBoxLayout, QPushButton, QWidget

from legtide.draw.signs import Sign
from legtide.language import tr
from legtide.view.icons import sign_pixmap
from legtide.view.texts import menu_text, plain_label
from legtide.view.theme import Theme


class Banner(QFrame):
    """One sentence with buttons; hidden while there is nothing to say."""

    def __init__(self, theme: Theme, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setObjectName("banner")
        self._theme = theme
        self._sign = plain_label()
        self._text = plain_label("", "strong")
        self._text.setWordWrap(True)
        self._row = QHBoxLayout(self)
        self._row.setContentsMargins(14, 6, 14, 6)
        self._row.setSpacing(8)
        self._row.addWidget(self._sign)
        self._row.addWidget(self._text, 1)
        self._buttons: list[QPushButton] = []
        theme.changed.connect(self._paint)
        self._paint()
        self.hide()

    @property
    def text(self) -> str:
        """The sentence, or nothing while hidden."""
        return "" if self.isHidden() else self._text.text()

    def _paint(self) -> None:
        sign: Sign = "act" if self.property("kind") == "act" else "watch"
        self._sign.setPixmap(sign_pixmap(sign, self._theme.colours, 16, self.devicePixelRatioF()))

    def show_text(
        self,
        text: str,
        answers: Sequence[tuple[str, Callable[[], object]]] = (),
        *,
        closable: bool = True,
        kind: str = "watch",
    ) -> None:
        """Shows a sentence with what can be done about it."""
        self._clear()
        self.setProperty("kind", kind)
        self._paint()
        self.style().unpolish(self)
        self.style().polish(self)
        self._text.setText(text)
        self.setAccessibleName(text)
        wanted = [*answers]
        if closable:
            wanted.append((tr("Close"), self.hide))
        for words, do in wanted:
            button = QPushButton(menu_text(words), self)
            button.clicked.connect(lambda _checked=False, do=do: do())
            self._row.addWidget(button)
            self._buttons.append(button)
        self.show()

    def clear(self) -> None:
        """Hides the strip."""
        self._clear()
        self.hide()

    def _clear(self) -> None:
        for button in self._buttons:
            self._row.removeWidget(button)
            button.deleteLater()
        self._buttons = []
