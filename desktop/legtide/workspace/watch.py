"""Notices that the open file is written by somebody else.

The folder is watched, because a watch on a file sees nothing any more once it is replaced; and the file, because
the folder says nothing of a write in place. What counts is the file's digest: a touch or our own save is no news.
"""

from __future__ import annotations

from typing import Final

from PySide6.QtCore import QFileSystemWatcher, QObject, QTimer, Signal

from legtide.workspace.workspace import Workspace

SETTLE_MS: Final = 250


class FileWatch(QObject):
    """Watches the open day on disk."""

    changed_outside = Signal()
    """The file on disk is another version than the one that is open. Told once for each version."""

    def __init__(self, workspace: Workspace) -> None:
        super().__init__(workspace)
        self._workspace = workspace
        self._told: str | None = None
        self._watcher = QFileSystemWatcher(self)
        self._watcher.directoryChanged.connect(self._wait)
        self._watcher.fileChanged.connect(self._wait)
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.setInterval(SETTLE_MS)
        self._timer.timeout.connect(self.look)
        workspace.document_changed.connect(self._follow)
        self._follow()

    def _follow(self) -> None:
        path = self._workspace.path
        wanted = set() if path is None else {str(path.absolute()), str(path.absolute().parent)}
        watched = {*self._watcher.directories(), *self._watcher.files()}
        if watched - wanted:
            self._watcher.removePaths(list(watched - wanted))
        if wanted - watched:
            self._watcher.addPaths(list(wanted - watched))

    def _wait(self, _place: str) -> None:
        self._timer.start()

    def look(self) -> None:
        """Compares the file with what is open."""
        self._follow()
        path = self._workspace.path
        if path is None or not self._workspace.changed_outside():
            return
        found = self._workspace.storage.digest(path)
        if found != self._told:
            self._told = found
            self.changed_outside.emit()
