"""The offer after a crash: what a journal holds, what taking it would change, and nothing is written over."""

from __future__ import annotations

from collections.abc import Callable

from PySide6.QtCore import QSize, Qt
from PySide6.QtWidgets import (
    QComboBox,
    QDialog,
    QHBoxLayout,
    QListWidget,
    QListWidgetItem,
    QPushButton,
    QVBoxLayout,
    QWidget,
)

from legtide.language import counted, tr
from legtide.view.texts import plain_label
from legtide.workspace.autosave import Leftover
from legtide.workspace.changes import described
from legtide.workspace.storage import StorageError
from legtide.workspace.workspace import Workspace


class RecoveryDialog(QDialog):
    """One leftover after another: restore it, discard it, or decide later."""

    def __init__(
        self,
        workspace: Workspace,
        found: list[Leftover],
        restored: Callable[[Leftover], None],
        parent: QWidget,
    ) -> None:
        super().__init__(parent)
        self.setObjectName("recovery")
        self.setWindowTitle(tr("Recover unsaved work"))
        self.resize(QSize(620, 460))
        self._workspace = workspace
        self._found = list(found)
        self._restored = restored
        self.which = QComboBox()
        self.which.setAccessibleName(tr("Unsaved work"))
        self._where = plain_label("", "secondary")
        self._where.setWordWrap(True)
        self._count = plain_label("", "strong")
        self.changes = QListWidget()
        self.changes.setAccessibleName(tr("What it would change"))
        self.restore = QPushButton(tr("Restore"))
        self.discard = QPushButton(tr("Discard"))
        self.later = QPushButton(tr("Decide later"))
        self._lay_out()
        self.which.currentIndexChanged.connect(lambda _index: self._show())
        self.restore.clicked.connect(self._restore)
        self.discard.clicked.connect(self._discard)
        self.later.clicked.connect(self.reject)
        self._fill()

    def _lay_out(self) -> None:
        layout = QVBoxLayout(self)
        layout.setContentsMargins(14, 14, 14, 14)
        layout.setSpacing(8)
        layout.addWidget(plain_label(tr("Recover unsaved work"), "heading"))
        about = plain_label(
            tr(
                "The program ended without closing this day. Restoring brings the work back as an unsaved change: "
                "the file stays as it is until you save."
            ),
            "secondary",
        )
        about.setWordWrap(True)
        for widget in (about, self.which, self._where, self._count):
            layout.addWidget(widget)
        layout.addWidget(self.changes, 1)
        buttons = QHBoxLayout()
        buttons.setSpacing(8)
        self.restore.setDefault(True)
        for button in (self.discard, self.later):
            button.setAutoDefault(False)
        buttons.addWidget(self.discard)
        buttons.addStretch(1)
        buttons.addWidget(self.later)
        buttons.addWidget(self.restore)
        layout.addLayout(buttons)

    def _fill(self) -> None:
        self.which.blockSignals(True)
        self.which.clear()
        for one in self._found:
            name = one.path.name if one.path is not None else one.day.title or tr("Untitled day")
            self.which.addItem(f"{name}  ({one.written:%Y-%m-%d %H:%M} UTC)")
        self.which.blockSignals(False)
        self.which.setVisible(len(self._found) > 1)
        self._show()

    @property
    def chosen(self) -> Leftover:
        """The leftover that is shown."""
        return self._found[self.which.currentIndex()]

    def _show(self) -> None:
        one = self.chosen
        self._where.setText(self._place(one))
        try:
            lines = [] if one.path is None else described(self._workspace.storage.load(one.path).day, one.day)
        except StorageError:
            lines = []
        self.changes.clear()
        for line in lines:
            item = QListWidgetItem(line, self.changes)
            item.setFlags(Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable)
        if lines:
            self._count.setText(counted(len(lines), "It would change one thing:", "It would change {n} things:"))
        else:
            self._count.setText(tr("It would be opened as a day that no file holds yet."))

    def _place(self, one: Leftover) -> str:
        when = f"{one.written:%Y-%m-%d %H:%M} UTC"
        if one.path is None:
            return tr("{title}, never saved; last change {when}").format(title=one.day.title or "–", when=when)
        words = tr("{path}; last change {when}").format(path=one.path, when=when)
        if self._workspace.storage.digest(one.path) != one.digest:
            words += "\n" + tr("The file has been saved since, or is gone: the work is restored apart from it.")
        return words

    def _restore(self) -> None:
        one = self.chosen
        same = one.path is not None and self._workspace.storage.digest(one.path) == one.digest
        try:
            if same and one.path is not None:
                self._workspace.open(one.path)
        except StorageError:
            same = False
        if not same or self._workspace.read_only:
            self._workspace.new(one.day, unsaved=True)
        else:
            self._workspace.apply(one.day, tr("Recover unsaved work"))
        self._restored(one)
        self.accept()

    def _discard(self) -> None:
        self.chosen.journal.unlink(missing_ok=True)
        del self._found[self.which.currentIndex()]
        if self._found:
            self._fill()
        else:
            self.accept()
