"""The windows beside the board: figures, calls, comparison, tanks, training, and the view for the wall."""

from __future__ import annotations

from pathlib import Path

from PySide6.QtCore import QObject, Qt, Signal
from PySide6.QtWidgets import QTableView, QWidget

from legtide.language import tr
from legtide.view.calls_window import CallsWindow
from legtide.view.copying import CopiesCells, copied_text
from legtide.view.dialogs import tell
from legtide.view.editing import Editing
from legtide.view.keeping import Keeping
from legtide.view.places import Places
from legtide.view.preferences import Preferences
from legtide.view.theme import Theme
from legtide.view.timeline.canvas import BoardCanvas
from legtide.workspace.jobs import Jobs
from legtide.workspace.storage import StorageError
from legtide.workspace.workspace import Workspace


class Beside(QObject):
    """Opens windows that stay beside the board, or brings them to the front."""

    said = Signal(str)
    """What was done, in a sentence."""

    def __init__(
        self,
        workspace: Workspace,
        preferences: Preferences,
        theme: Theme,
        board: BoardCanvas,
        jobs: Jobs,
        editing: Editing,
        places: Places,
        window: QWidget,
    ) -> None:
        super().__init__(window)
        self._workspace = workspace
        self._preferences = preferences
        self._theme = theme
        self._board = board
        self._jobs = jobs
        self._editing = editing
        self._places = places
        self._window = window

    def show_figures(self) -> None:
        """Opens the editor of policy and assumptions beside the board."""
        from legtide.view.figures_window import FiguresWindow

        window = FiguresWindow(self._workspace, self._preferences, self._window)
        window.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        self._kept(window, window.table)
        window.show()

    def _kept(self, page: QWidget, table: QTableView) -> None:
        """A page beside the board comes back as it was left, and its table can be copied."""
        Keeping(page, self._preferences, (table,))
        CopiesCells(table).copied.connect(lambda rows: self.said.emit(copied_text(rows)))

    def show_wall(self) -> None:
        """Shows the day's file on the whole screen, or brings it to the front."""
        path = self._workspace.path
        if path is None:
            return
        from legtide.view.wall import WallView

        wall = self._window.findChild(WallView)
        if wall is not None and wall.workspace.path != path:
            wall.close()
            wall = None
        if wall is None:
            try:
                wall = WallView(path, self._theme, self._workspace.local_station, self._window)
            except StorageError as error:
                tell(self._window, tr("{name} was not opened").format(name=path.name), str(error), kind="warn")
                return
        wall.showFullScreen()
        wall.raise_()

    def show_calls(self) -> None:
        """Opens the list of calls to make beside the board, or brings it to the front."""
        page = self._window.findChild(CallsWindow)
        if page is None:
            page = CallsWindow(self._workspace, self._theme, self._window)
            Keeping(page, self._preferences)
            page.show_asked.connect(self._places.show)
            page.service_asked.connect(self._board.navigate.reveal_service)
            page.fix_asked.connect(self._editing.fix)
            page.said.connect(self.said)
        page.show()
        page.raise_()
        page.activateWindow()

    def show_training(self) -> None:
        """Opens training on the day as it is now, or brings it to the front."""
        # It brings the planner and the sampled days with it, which must not delay the first paint.
        from legtide.play.calls import CallError
        from legtide.view.training.window import TrainingWindow
        from legtide.workspace.training import Training

        page = self._window.findChild(TrainingWindow)
        if page is None:
            try:
                training = Training(self._workspace.day)
            except CallError as error:
                tell(self._window, tr("This day cannot be played"), str(error), kind="warn")
                return
            path = self._workspace.path
            folder = path.parent if path is not None else Path.home()
            page = TrainingWindow(training, self._preferences, self._theme, self._jobs, folder, self._window)
        page.show()
        page.raise_()
        page.activateWindow()

    def show_comparison(self) -> None:
        """Opens the comparison with the baseline beside the board, or brings it to the front."""
        # It brings the planner's account with it, which must not delay the first paint.
        from legtide.view.compare_window import CompareWindow

        page = self._window.findChild(CompareWindow)
        if page is None:
            page = CompareWindow(self._workspace, self._preferences, self._board, self._window)
            self._kept(page, page.table)
        page.show()
        page.raise_()
        page.activateWindow()

    def show_tanks(self) -> None:
        """Opens the tanks of the selected aircraft beside the board, or brings them to the front."""
        # It brings pyqtgraph with it, which must not delay the first paint.
        from legtide.view.panels.tank_detail import TankDetail

        page = self._window.findChild(TankDetail)
        if page is None:
            page = TankDetail(self._workspace, self._preferences, self._theme, self._editing.take, self._window)
            self._kept(page, page.readings.table)
        page.show()
        page.raise_()
        page.activateWindow()
