"""Asks for alternatives of the day: a name for a new one, which one to open, which one to drop."""

from __future__ import annotations

from typing import Any

from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QDialog, QWidget

from legtide.language import counted, tr
from legtide.view.chooser import Choice, Chooser
from legtide.view.dialogs import opened
from legtide.view.fields import LineField
from legtide.view.form import Form
from legtide.view.readers import text_reader
from legtide.workspace.alternatives import LONGEST, AlternativeError
from legtide.workspace.changes import described
from legtide.workspace.workspace import Workspace


class AlternativesMenu(QObject):
    """What the user can do with the workspace's alternatives."""

    said = Signal(str)

    def __init__(self, workspace: Workspace, window: QWidget) -> None:
        super().__init__(window)
        self._workspace = workspace
        self._window = window

    def ask_name(self) -> QDialog:
        """Asks for the name of a new alternative, and goes on with it."""
        about = tr(
            "Goes on with a copy of the day. The present plan stays as it is, and you can switch between them at any "
            "time; each has its own steps to undo. Saving writes the one that is open."
        )
        form = Form(tr("Try an alternative"), about, self._keep, self._window, accept=tr("Go on with it"))
        usual = tr("Plan {n}").format(n=len(self._workspace.alternatives) + 1)
        form.add("name", tr("Name"), LineField(text_reader(LONGEST), "", usual))
        return opened(form)

    def _keep(self, values: dict[str, Any]) -> str:
        name = values.get("name") or tr("Plan {n}").format(n=len(self._workspace.alternatives) + 1)
        try:
            self._workspace.keep_alternative(name)
        except AlternativeError as error:
            return tr("This cannot be: {reason}.").format(reason=error)
        self.said.emit(tr("{name} is open: a copy to try things on").format(name=name))
        return ""

    def choose(self) -> QDialog:
        """Asks which alternative to open."""
        rows = [
            Choice(tr(name), detail, lambda name=name: self._switch(name))  # type: ignore[misc]
            for name, detail in self._rows()
        ]
        return opened(Chooser(tr("Alternatives"), tr("Name of an alternative"), rows, self._window))

    def choose_dropped(self) -> QDialog:
        """Asks which alternative to give up."""
        rows = [
            Choice(tr(name), detail, lambda name=name: self._drop(name))  # type: ignore[misc]
            for name, detail in self._rows()
        ]
        return opened(Chooser(tr("Drop an alternative"), tr("Name of an alternative"), rows, self._window))

    def _rows(self) -> list[tuple[str, str]]:
        """Those that are not open, each with how far it is from the open one."""
        here = self._workspace.day
        out = []
        for name, day in self._workspace.other_days.items():
            differ = len(described(here, day))
            words = counted(differ, "{n} difference from the open one", "{n} differences from the open one")
            out.append((name, words))
        return out

    def _switch(self, name: str) -> None:
        self._workspace.switch_alternative(name)
        self.said.emit(tr("{name} is open").format(name=tr(name)))

    def _drop(self, name: str) -> None:
        self._workspace.drop_alternative(name)
        self.said.emit(tr("{name} is dropped").format(name=tr(name)))
