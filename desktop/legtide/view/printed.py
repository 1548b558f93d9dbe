"""Pages that have been made from the open day: the window says when one no longer shows what the day says.

A page in somebody's hand cannot follow an edit. Each has the checksum of its day and its moment at its foot; that
checksum typed in tells whether the page is still the day as it stands.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any, Final

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QDialog, QWidget

from legtide.draw.words import hhmm
from legtide.files.day_content import content_checksum
from legtide.language import counted, tr
from legtide.view.dialogs import opened
from legtide.view.fields import LineField
from legtide.view.form import Form
from legtide.view.readers import Read, Reader, ReadError
from legtide.workspace.workspace import Workspace

LEAST_DIGITS: Final = 8
_SUM: Final = re.compile(r"[0-9a-f]{8,64}")

Facts = Callable[[], Any]
"""What a page says, in a form that can be compared; asked again after each edit."""


@dataclass(frozen=True, slots=True, eq=False)
class Made:
    """One page, or a set of pages, that left the program."""

    words: str
    when: datetime
    said: Any
    facts: Facts
    again: Callable[[], object]

    @property
    def old(self) -> bool:
        """Whether the day says something else now."""
        now = self.facts()
        return now is not self.said and bool(now != self.said)


class Printed(QObject):
    """The pages that were made since the day was opened."""

    changed = Signal()
    """There is another sentence to say."""

    def __init__(self, workspace: Workspace, parent: QObject) -> None:
        super().__init__(parent)
        self._workspace = workspace
        self._made: list[Made] = []
        self._old: list[Made] = []
        workspace.changed.connect(self._follow)

    def add(self, words: str, facts: Facts, again: Callable[[], object]) -> None:
        """A page has been saved or printed; it takes the place of an older one about the same."""
        self._made = [one for one in self._made if one.words != words]
        self._made.append(Made(words, datetime.now(UTC), facts(), facts, again))
        self._follow()

    def forget(self) -> None:
        """Another day has been opened, or the user knows."""
        self._made = []
        self._follow()

    def _follow(self) -> None:
        if self._workspace.in_stroke:
            return
        old = [one for one in self._made if one.old]
        if [id(one) for one in old] != [id(one) for one in self._old]:
            self._old = old
            self.changed.emit()

    @property
    def sentence(self) -> str:
        """Which pages no longer equal the day; empty while all do."""
        if not self._old:
            return ""
        names = ", ".join(f"{one.words} ({hhmm(one.when)})" for one in self._old[:3])
        head = counted(len(self._old), "A page no longer equals the day", "{n} pages no longer equal the day")
        return f"{head}: {names}"

    def again(self) -> None:
        """Opens the oldest of them anew."""
        if self._old:
            self._old[0].again()


def sum_reader() -> Reader:
    """Reads the first digits of a checksum, or all of it."""

    def read(text: str) -> Read:
        typed = "".join(text.split()).lower()
        if not _SUM.fullmatch(typed):
            raise ReadError(
                tr("At least {n} of the digits 0-9 and a-f, as they stand at the foot.").format(n=LEAST_DIGITS)
            )
        return Read(typed)

    return read


def age_of_page(workspace: Workspace, digits: str) -> str:
    """Whether a page with a checksum that begins so shows the open day, in a sentence."""
    if content_checksum(workspace.day).startswith(digits):
        return tr("The page shows the day as it stands now.")
    for number, (_, day) in enumerate(workspace.steps_back(), start=1):
        if content_checksum(day).startswith(digits):
            since = [text for text, _ in workspace.steps_back()[:number]]
            words = counted(number, "The page is one step old", "The page is {n} steps old")
            return tr("{words}. Since then: {steps}.").format(words=words, steps="; ".join(since[:5]))
    return tr("The page is of another version of this day, or of another day: do not work by it.")


class PageCheck:
    """Asks for the checksum at the foot of a page."""

    def __init__(self, workspace: Workspace, window: QWidget) -> None:
        self._workspace = workspace
        self._window = window

    def ask(self) -> QDialog:
        """Opens the form; its answer stays in it until it is closed."""
        about = tr(
            "Every page has a SHA-256 at its foot. Type its first {n} digits to see whether the page still shows the "
            "day that is open here."
        ).format(n=LEAST_DIGITS)
        form = Form(tr("Is this page still true?"), about, self._answer, self._window, accept=tr("Check"))
        form.add("digits", tr("First digits"), LineField(sum_reader()))
        return opened(form)

    def _answer(self, values: dict[str, Any]) -> str:
        return age_of_page(self._workspace, values["digits"])
