"""The main window: puts the parts together and keeps them in step."""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path
from typing import Any, Final

from PySide6.QtCore import QByteArray, QPoint, QSize, Qt, QTimer
from PySide6.QtGui import QCloseEvent, QDragEnterEvent, QDropEvent, QShowEvent
from PySide6.QtWidgets import QApplication, QMainWindow, QMenu, QSplitter, QVBoxLayout, QWidget

from legtide.draw.picture import home_station
from legtide.files.state import state_folder
from legtide.language import tr
from legtide.view.about import About
from legtide.view.action_list import actions_of
from legtide.view.actions import SEPARATOR, Registry, group_of, keys_text
from legtide.view.alternatives import AlternativesMenu
from legtide.view.banner import Banner
from legtide.view.beside import Beside
from legtide.view.changed_places import changed_places, reveal, rows_text
from legtide.view.chooser import Choice, Chooser
from legtide.view.copying import Copying
from legtide.view.day_parts import DayParts
from legtide.view.dialogs import opened, tell
from legtide.view.editing import Editing
from legtide.view.empty import EmptyBoard
from legtide.view.exports import Exports
from legtide.view.footer import Footer
from legtide.view.gauge_menus import add_gauge_menus
from legtide.view.key_sheet import KeySheet
from legtide.view.mending import Mending
from legtide.view.menus import CONTEXT, MENUS, SUBMENUS
from legtide.view.opening import DAY_SUFFIX, SCHEDULE_SUFFIXES, Opening
from legtide.view.pages import Pages
from legtide.view.panels.plan_review import USUAL_PX as REVIEW_PX
from legtide.view.panels.plan_review import PlanReview
from legtide.view.panels.services_table import ServicesTable
from legtide.view.places import Places
from legtide.view.planning import Planning
from legtide.view.preferences import Preferences
from legtide.view.printed import PageCheck
from legtide.view.reports import ReportsDialog
from legtide.view.side_panel import USUAL_PX, SidePanel
from legtide.view.split import Split
from legtide.view.texts import menu_text
from legtide.view.theme import Theme
from legtide.view.timeline.canvas import BoardCanvas
from legtide.view.top_bar import TopBar
from legtide.view.why import Why
from legtide.workspace.jobs import Jobs
from legtide.workspace.settings import Settings
from legtide.workspace.watch import FileWatch
from legtide.workspace.workspace import Workspace

LEAST_SIZE: Final = QSize(1000, 620)
USUAL_SIZE: Final = QSize(1440, 900)
TABLE_NAME: Final = "services"
CLOCK_MS: Final = 10_000


class MainWindow(QMainWindow):
    """One window on one workspace."""

    def __init__(self, workspace: Workspace, preferences: Preferences, theme: Theme) -> None:
        super().__init__()
        self.setObjectName("mainWindow")
        self.workspace = workspace
        self.preferences = preferences
        self.theme = theme
        self._closing = False
        self._panel_px = USUAL_PX
        self._tick = QTimer(self)
        self._tick.setInterval(CLOCK_MS)
        self._tick.timeout.connect(self._follow_clock)
        self.board = BoardCanvas(workspace, dark=theme.dark)
        self.editing = Editing(workspace, preferences, self)
        self.opening = Opening(workspace, preferences, self)
        self.day_parts = DayParts(workspace, preferences, self.editing, self.opening, self)
        self.places = Places(workspace, self.board, self)
        self.watch = FileWatch(workspace)
        self.jobs = Jobs(self)
        self.planning = Planning(workspace, self.board, self.jobs, self)
        self.mending = Mending(workspace, self.board, self.planning, self)
        self.alternatives = AlternativesMenu(workspace, self)
        self.why = Why(workspace, self)
        self.pages = Pages(workspace, self.board, self.jobs, self)
        self.exports = Exports(workspace, self.jobs, self)
        self.page_check = PageCheck(workspace, self)
        self.copying = Copying(workspace, self.board, self)
        self.rows = QSplitter(Qt.Orientation.Vertical)
        self.split = Split(workspace, self.board, theme, self.rows, self._wire_board)
        self.beside = Beside(workspace, preferences, theme, self.board, self.jobs, self.editing, self.places, self)
        self.registry = Registry(self, theme)
        self.registry.add(actions_of(self))
        self.banner = Banner(theme)
        self.footer = Footer(theme)
        self.panel = SidePanel(workspace, self.registry, preferences, theme)
        self.plan_review = PlanReview(self.planning, workspace, preferences, theme)
        self.table = ServicesTable(workspace, preferences)
        self.top_bar = TopBar(workspace, self.registry)
        self.empty = EmptyBoard(workspace, self.board, self.registry)
        self._lay_out()
        self._fill_menus()
        self._connect()
        self._take_preferences()
        self._on_document()
        self._restore()

    # structure --------------------------------------------------------------------------------------------

    def _lay_out(self) -> None:
        self.setMinimumSize(LEAST_SIZE)
        self.setAcceptDrops(True)
        self.rows.addWidget(self.board)
        self.rows.addWidget(self.table)
        self.rows.setStretchFactor(0, 1)
        self.rows.setChildrenCollapsible(False)
        self.columns = QSplitter(Qt.Orientation.Horizontal)
        self.columns.addWidget(self.rows)
        self.columns.addWidget(self._side())
        self.columns.setStretchFactor(0, 1)
        self.columns.setChildrenCollapsible(False)
        for splitter in (self.rows, self.columns):
            splitter.setHandleWidth(1)
        self.table.setMinimumHeight(120)
        self.table.hide()
        central = QWidget()
        layout = QVBoxLayout(central)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.setSpacing(0)
        for widget in (self.top_bar, self.banner):
            layout.addWidget(widget)
        layout.addWidget(self.columns, 1)
        layout.addWidget(self.footer)
        self.setCentralWidget(central)

    def _side(self) -> QWidget:
        """The sentences, or in their place the plan that is made or looked at."""
        side = QWidget()
        layout = QVBoxLayout(side)
        layout.setContentsMargins(0, 0, 0, 0)
        for part in (self.panel, self.plan_review):
            layout.addWidget(part)
        self.plan_review.hide()
        return side

    def _fill_menus(self) -> None:
        for title, names in MENUS:
            self.menuBar().addMenu(self._menu(tr(title), names))

    def _menu(self, title: str, names: tuple[str, ...]) -> QMenu:
        menu = QMenu(menu_text(title), self)
        for name in names:
            if name == SEPARATOR:
                menu.addSeparator()
            elif name.startswith(">"):
                menu.addMenu(self._menu(tr(name[1:]), SUBMENUS[name[1:]]))
            else:
                menu.addAction(self.registry[name])
        return menu

    def _connect(self) -> None:
        workspace = self.workspace
        for signal in (workspace.selection_changed, workspace.now_changed):
            signal.connect(self.registry.refresh)
        workspace.changed.connect(self._on_changed)
        workspace.document_changed.connect(self._on_document)
        workspace.now_changed.connect(self._on_now)
        self.preferences.changed.connect(self._take_preferences)
        self.theme.changed.connect(self._on_theme)
        self.opening.import_asked.connect(self.import_schedule)
        self.opening.opened.connect(self.board.navigate.show_day)
        for part in (
            self.editing,
            self.day_parts,
            self.opening,
            self.places,
            self.planning,
            self.pages,
            self.exports,
            self.alternatives,
            self.copying,
            self.beside,
        ):
            part.said.connect(self.footer.say)
        self.table.said.connect(self.footer.say)
        self.pages.printed.changed.connect(self._show_banner)
        self.opening.opened.connect(self.pages.printed.forget)
        self.split.changed.connect(self.registry.refresh)
        self.planning.changed.connect(self._on_planning)
        self.opening.opened.connect(self.planning.leave)
        self.panel.what_to_do.fix_asked.connect(self.editing.fix)
        self.panel.what_to_do.show_asked.connect(self.places.show)
        self.panel.what_to_do.why_asked.connect(self.why.warning)
        self._wire_board(self.board)
        self.table.menu_asked.connect(self._service_menu)
        workspace.alternatives_changed.connect(self.registry.refresh)
        self.mending.changed.connect(self._show_banner)
        self.watch.changed_outside.connect(self._on_changed_outside)

    def _wire_board(self, board: BoardCanvas) -> None:
        """What a board asks for, the second one of a split window as well as the first."""
        board.serviceActivated.connect(self._service_menu)
        board.turnActivated.connect(self._turn_menu)
        board.legActivated.connect(self._leg_menu)
        board.refused.connect(self.footer.say)

    # following --------------------------------------------------------------------------------------------

    def _on_changed(self) -> None:
        # A preview changes nothing that an action asks for, and comes sixty times a second.
        if not self.workspace.in_stroke:
            self.registry.refresh()

    def _on_document(self) -> None:
        day, path = self.workspace.day, self.workspace.path
        name = day.title or (path.name if path else tr("Untitled day"))
        self.setWindowTitle(f"{name}[*] – Legtide")
        self.setWindowModified(self.workspace.dirty)
        self._show_banner()
        codes = {row.code for row in day.stations}
        if self.workspace.local_station not in codes:
            remembered = self.preferences.settings.local_station
            self.workspace.set_local_station(remembered if remembered in codes else home_station(day))
        self.registry.refresh()

    def _show_banner(self) -> None:
        workspace = self.workspace
        if workspace.read_only:
            copy = (tr("Work on a copy"), workspace.work_on_copy)
            self.banner.show_text(tr("Read only: {reason}").format(reason=workspace.read_only_because), [copy])
        elif workspace.note:
            self.banner.show_text(workspace.note)
        elif self.mending.sentence:
            self.banner.show_text(self.mending.sentence, [(tr("Mend the trucks' plan"), self.mending.mend)])
        elif self.pages.printed.sentence:
            self.banner.show_text(self.pages.printed.sentence, [(tr("Make it again…"), self.pages.printed.again)])
        else:
            self.banner.clear()

    def _on_changed_outside(self) -> None:
        """A window that only reads follows the file; one that edits is told, and decides."""
        path = self.workspace.path
        if path is None:
            return
        if self.workspace.read_only:
            self.opening.open_now(path)
            return
        self.banner.show_text(
            tr("{name} has been saved by somebody else since you opened it.").format(name=path.name),
            [(tr("Reload theirs"), self.opening.reload), (tr("Save mine as a copy…"), self.opening.save_as)],
        )

    def _take_preferences(self) -> None:
        self.theme.choose(self.preferences.settings.theme)
        self.registry.refresh()

    def _on_theme(self) -> None:
        self.board.set_dark(self.theme.dark)

    def _on_now(self) -> None:
        station = self.workspace.local_station
        if station is not None and station != self.preferences.settings.local_station:
            self.preferences.put(local_station=station)

    def _on_planning(self) -> None:
        """A plan takes the place of the sentences, and the room that it needs."""
        opened = self.planning.open
        if opened == self.plan_review.isHidden():
            if opened:
                self._panel_px = self.columns.sizes()[1]
            self.panel.setVisible(not opened)
            self.plan_review.setVisible(opened)
            self._share_columns(max(REVIEW_PX, self._panel_px) if opened else self._panel_px)
        self.registry.refresh()

    def _follow_clock(self) -> None:
        self.workspace.set_now(datetime.now(UTC).replace(second=0, microsecond=0))

    # actions of the window --------------------------------------------------------------------------------

    def undo(self) -> None:
        """Takes a step back, says which, and shows its place."""
        self._step(self.workspace.undo, tr("Undone: {step}"))

    def redo(self) -> None:
        """Does a step again, and says which."""
        self._step(self.workspace.redo, tr("Done again: {step}"))

    def _step(self, step: Callable[[], str | None], words: str) -> None:
        before = self.workspace.day
        text = step()
        if text is not None:
            places = changed_places(before, self.workspace.day)
            self.footer.say(" · ".join(filter(None, (words.format(step=text), rows_text(places)))))
            reveal(places, self.split.navigate)

    def show_commands(self) -> None:
        """Opens the list of all commands that can be done now."""
        rows = []
        for action in self.registry:
            made = self.registry[action.id]
            detail = f"{group_of(action)}   {keys_text(action)}".rstrip()
            icon = made.icon() if action.icon else None
            rows.append(Choice(action.text, detail, made.trigger, icon, made.isEnabled()))
        opened(Chooser(tr("Commands"), tr("What do you want to do?"), rows, self))

    def show_keys(self) -> None:
        """Opens the sheet of keys."""
        opened(KeySheet(self.registry, self))

    def show_reports(self) -> None:
        """Opens the reports of the program's own faults."""
        opened(ReportsDialog(state_folder("log"), self))

    def show_about(self) -> None:
        """Opens the page about the program and its cautions."""
        opened(About(self.theme, self))

    def toggle_table(self) -> None:
        """Shows or hides the table of services."""
        shown = not self.table_shown()
        self.table.setVisible(shown)
        if shown:
            self._give_table(self.preferences.settings.table_px)
            self.table.table.setFocus()
        else:
            self.board.setFocus()
        self.preferences.put(show_table=shown)

    def _give_table(self, height_px: int) -> None:
        """Gives the table a height; the boards above it share the rest."""
        boards = self.rows.count() - 1
        each = max((self.rows.height() - height_px) // boards, 1)
        self.rows.setSizes([each] * boards + [height_px])

    def table_shown(self) -> bool:
        """Whether the table of services is open."""
        return not self.table.isHidden()

    def toggle_now(self) -> None:
        """Follows the clock, or tells past and future apart no more."""
        if self.workspace.now is None:
            self._follow_clock()
            self._tick.start()
        else:
            self._tick.stop()
            self.workspace.set_now(None)

    def reset_layout(self) -> None:
        """Size and proportions as on the first day."""
        self.showNormal()
        self.resize(USUAL_SIZE)
        self.table.hide()
        self.split.join()
        self._share_columns(USUAL_PX)
        usual = Settings()
        self.preferences.put(
            geometry="", panel_px=USUAL_PX, show_table=False, table_px=usual.table_px, sizes={}, columns={}
        )
        self.table.usual_columns()
        self.registry.refresh()

    def import_schedule(self, path: Path) -> None:
        """Shows what would come of a schedule, and takes it if the user agrees."""
        from legtide.view.import_dialog import ImportDialog

        dialog = ImportDialog(self.workspace, self.preferences, path, self.jobs, self)
        dialog.accepted.connect(self.board.navigate.show_day)
        dialog.accepted.connect(lambda: self.footer.say(tr("Imported {name}").format(name=path.name)))
        opened(dialog)

    def paste_messages(self) -> None:
        """Takes pasted messages, shows what they would change, and applies them if the user agrees."""
        from legtide.view.messages_dialog import MessagesDialog

        opened(MessagesDialog(self.workspace, self.jobs, self.editing.take, self))

    def show_fault(self, sentence: str) -> None:
        """Says that something went wrong inside the program."""
        answers = [(tr("Save"), self.opening.save), (tr("Show the report"), self.show_reports)]
        self.banner.show_text(sentence, answers, kind="act")

    # menus on the board -----------------------------------------------------------------------------------

    def _service_menu(self, service_id: str, place: QPoint) -> None:
        self.workspace.select(service=service_id)
        self.popup("service", place)

    def _turn_menu(self, registration: str, turn: int, moment: datetime, place: QPoint) -> None:
        self.workspace.select(registration, turn=turn)
        self.editing.at(moment)
        self.popup("turn", place)

    def _leg_menu(self, leg_id: str, place: QPoint) -> None:
        self.workspace.select(leg=leg_id)
        self.popup("leg", place)

    def popup(self, kind: str, place: QPoint) -> QMenu:
        """Opens a context menu on the selection."""
        self.registry.refresh()
        menu = self._menu("", CONTEXT[kind])
        if kind == "turn":
            add_gauge_menus(menu, self.editing)
        menu.setObjectName("context")
        menu.setAttribute(Qt.WidgetAttribute.WA_DeleteOnClose)
        menu.popup(place)
        return menu

    # files dropped on the window --------------------------------------------------------------------------

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        if self._dropped(event) is not None:
            event.acceptProposedAction()

    def dropEvent(self, event: QDropEvent) -> None:
        path = self._dropped(event)
        if path is not None:
            event.acceptProposedAction()
            self.opening.open(path)

    @staticmethod
    def _dropped(event: QDropEvent) -> Path | None:
        urls = event.mimeData().urls()
        if len(urls) != 1 or not urls[0].isLocalFile():
            return None
        path = Path(urls[0].toLocalFile())
        good = path.name.lower().endswith((DAY_SUFFIX, ".json", *SCHEDULE_SUFFIXES))
        return path if good else None

    # opening and closing ----------------------------------------------------------------------------------

    def _restore(self) -> None:
        settings = self.preferences.settings
        packed = QByteArray.fromBase64(settings.geometry.encode("ascii"))
        if not (settings.geometry and self.restoreGeometry(packed)):
            self.resize(USUAL_SIZE)
        self._share_columns(settings.panel_px)
        for column, width in enumerate(settings.columns.get(TABLE_NAME, ())):
            self.table.table.setColumnWidth(column, width)
        if settings.show_table:
            self.table.show()
            self.rows.setSizes([max(self.height() - settings.table_px, 1), settings.table_px])
        if self.preferences.note:
            tell(self, tr("Settings"), self.preferences.note)

    def _share_columns(self, panel_px: int) -> None:
        self.columns.setSizes([max(self.width() - panel_px, 1), panel_px])

    def choose_language(self, choice: str) -> None:
        """Takes a language for the next start: what is shown already was made of words."""
        self.preferences.put(language=choice)
        self.footer.say(tr("The language changes when Legtide is started the next time."))

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.board.setFocus()

    def closeEvent(self, event: QCloseEvent) -> None:
        if self._closing or not (self.workspace.dirty or self.workspace.loose_alternatives):
            self.planning.leave()
            self._remember()
            self.jobs.cancel_all()
            self.workspace.close()
            event.accept()
            return
        event.ignore()
        self.opening.when_saved(self._close_now)

    def _close_now(self) -> None:
        self.forget_changes()
        self.close()

    def forget_changes(self) -> None:
        """The window may close without asking about changes any more."""
        self._closing = True

    def _remember(self) -> None:
        packed = bytes(self.saveGeometry().toBase64().data()).decode("ascii")
        changes: dict[str, Any] = {"geometry": packed, "panel_px": max(self.columns.sizes()[1], 200)}
        if self.table_shown():
            table = self.table.table
            widths = tuple(map(table.columnWidth, range(self.table.model.columnCount())))
            changes["table_px"] = max(self.table.height(), 80)
            changes["columns"] = {**self.preferences.settings.columns, TABLE_NAME: widths}
        self.preferences.put(**changes)


def build_window(workspace: Workspace, preferences: Preferences | None = None) -> MainWindow:
    """A window on a workspace, not yet shown; without preferences nothing is remembered. Needs a QApplication."""
    application = QApplication.instance()
    if not isinstance(application, QApplication):
        raise RuntimeError("a window needs a QApplication")
    chosen = preferences if preferences is not None else Preferences()
    return MainWindow(workspace, chosen, theme_of(application, chosen))


def theme_of(application: QApplication, preferences: Preferences) -> Theme:
    """The application's one theme."""
    known = application.findChild(Theme)
    if known is not None:
        known.choose(preferences.settings.theme)
        return known
    return Theme(application, preferences.settings.theme)
