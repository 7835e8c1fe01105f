"""Look back's Day records: the list of them and the trash, and beside them export, copies and deletion."""

from collections.abc import Sequence

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QTableWidget, QWidget

from pacer.frames.words.records import day_of, left_words, run_cells
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords, RunRow
from pacer.log.erase import running_now
from pacer.log.trash import KEPT_DAYS
from pacer.qt.kit.rows import column_of, row_of, turn
from pacer.qt.kit.widgets import PlainTable, button, label, notice, scrolled, shortcut, show_words
from pacer.qt.look_back.records.erase import ErasePanel
from pacer.qt.look_back.records.export import ExportPanel
from pacer.qt.look_back.records.restore import RestorePanel
from pacer.run.clock import Clock
from pacer.settings.folders import Folders
from pacer.text import _, counted

_SIDE_PX, _ROW_PX = 390, 32
_NARROW_PX = 900  # of the panel
_LESSON = 2  # the column that takes the room that is left


class DataPanel(QWidget):
    """All day records. ``changed``: some were deleted, put into the trash or taken out of it.

    Its panels tell with ``done`` what came of a press: a report, what went wrong (both may be empty), and
    whether the records are others now.
    """

    changed = Signal()

    def __init__(
        self, records: DayRecords, where: Folders, clock: Clock, parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName(_("Day records"))
        self._records, self._clock = records, clock
        self._runs: list[RunRow] = []
        self._trashed: list[RunRow] = []
        self.trouble = notice()
        self.said = label("", "quiet", wrap=True)
        self.count = label("", bold=True)
        self.trash_count = label("", bold=True)
        self.list = _table(_("Day records"), (_("Date"), _("Start"), _("Lesson"), _("Kind")))
        self.list.setAccessibleDescription(_("Delete puts the chosen ones into the trash"))
        self.trash = _table(_("Trash"), (_("Date"), _("Start"), _("Lesson"), _("Left")))
        self.trash.setAccessibleDescription(_("Return takes the chosen ones out"))
        self.put_button = button(_("Put into the &trash"), self._on_put, tip=_("Delete"))
        self.out_button = button(_("Take &out"), self._on_take_out, tip=_("Return"))
        self.export = ExportPanel(records, clock)
        self.erase = ErasePanel(records, where, clock)
        self.restore = RestorePanel(records, clock)
        self._lay_out()
        for keys, table, pressed in (
            (("Delete", "Backspace"), self.list, self._on_put),
            (("Return", "Enter"), self.trash, self._on_take_out),
        ):
            for key in keys:
                shortcut(key, table, pressed, in_children=False)
        self.list.itemSelectionChanged.connect(self._on_selection)
        self.trash.itemSelectionChanged.connect(self._on_selection)
        for panel in (self.export, self.erase, self.restore):
            panel.done.connect(self._done)

    def _lay_out(self) -> None:
        left = column_of(
            row_of((self.count, 1), self.put_button),
            (self.list, 3),
            row_of((self.trash_count, 1), self.out_button),
            (self.trash, 2),
            gap=8,
        )
        side, inner = QWidget(), QWidget()
        side.setFixedWidth(_SIDE_PX)
        column_of(self.export, self.restore, (self.erase, 1), gap=18, inside=side)
        self._columns = row_of((left, 1), side, gap=28, inside=inner)
        self.said.hide()
        whole = scrolled(inner, _("Day records"))
        column_of(self.trouble, self.said, (whole, 1), gap=8, inside=self)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """In a narrow window export and deletion stand below the lists, and the whole scrolls."""
        super().resizeEvent(event)
        narrow = self.width() < _NARROW_PX
        turn(self._columns, stacked=narrow)
        for table, rows in ((self.list, 6), (self.trash, 3)):
            table.setMinimumHeight(_ROW_PX * (rows + 1) if narrow else 0)

    def reload(self) -> None:
        self._tell("", self._records.notice)
        self._show()

    def _show(self) -> None:
        try:
            self._runs, self._trashed = self._records.runs(), self._records.trashed_runs()
            since = {each.run_id: each for each in self._records.trash().all()}
        except LogError as error:
            self._runs, self._trashed, since = [], [], {}
            self._tell("", str(error))
        now = self._clock.now().utc_ms
        _fill(self.list, [run_cells(run) for run in self._runs])
        rows = []
        for run in self._trashed:
            left = left_words(since[run.id].days_left(now)) if run.id in since else ""
            rows.append((*run_cells(run)[:3], left))
        _fill(self.trash, rows)
        self._count()
        self.erase.reload()
        self.restore.reload()
        self._on_selection()

    def _count(self) -> None:
        n = len(self._runs)
        words = counted("{n} day record", "{n} day records", n)
        self.count.setText(words if n else _("No day records yet"))
        n, kept = len(self._trashed), _("kept {days} days", days=KEPT_DAYS)
        words = counted("Trash: {n} day record, {kept}", "Trash: {n} day records, {kept}", n, kept=kept)
        self.trash_count.setText(words if n else _("The trash is empty"))

    def _on_selection(self) -> None:
        can, chosen = self._records.can_write, self._chosen(self.list, self._runs)
        self.put_button.setEnabled(can and bool(chosen))
        if chosen:
            self.erase.show_day(day_of(chosen[0]))
        self.out_button.setEnabled(can and bool(self._chosen(self.trash, self._trashed)))

    def _chosen(self, table: QTableWidget, runs: Sequence[RunRow]) -> list[RunRow]:
        rows = sorted(index.row() for index in table.selectionModel().selectedRows())
        return [runs[row] for row in rows if row < len(runs)]

    def _on_put(self) -> None:
        chosen = self._chosen(self.list, self._runs)
        now = self._clock.now().utc_ms
        try:
            running = running_now(self._records, now) if chosen else set()
            going = [run for run in chosen if run.id not in running]
            if going:
                self._records.trash().put([run.id for run in going], now)
        except LogError as error:
            self._tell("", str(error))
            return
        n = len(going)
        words = counted("{n} day record is in the trash.", "{n} day records are in the trash.", n)
        stays = [run.title for run in chosen if run.id in running]
        trouble = _("“{title}” has not ended: end it on Today first.", title=stays[0]) if stays else ""
        self._done(words if going else "", trouble, bool(going))

    def _on_take_out(self) -> None:
        chosen = self._chosen(self.trash, self._trashed)
        try:
            for run in chosen:
                self._records.trash().take_out(run.id)
        except LogError as error:
            self._done("", str(error), True)
            return
        words = counted("{n} day record is out again.", "{n} day records are out again.", len(chosen))
        self._done(words if chosen else "", "", bool(chosen))

    def _done(self, report: str, trouble: str, is_changed: bool) -> None:
        self._tell(report, trouble)
        if is_changed:
            self._show()
            self.changed.emit()

    def _tell(self, report: str, trouble: str) -> None:
        show_words(self.said, report)
        show_words(self.trouble, trouble)


def _table(name: str, headings: tuple[str, ...]) -> PlainTable:
    table = PlainTable(name, headings)
    table.setSelectionMode(QTableWidget.SelectionMode.ExtendedSelection)
    table.horizontalHeader().setHighlightSections(False)
    table.stretch(_LESSON)
    table.verticalHeader().setDefaultSectionSize(_ROW_PX)
    return table


def _fill(table: PlainTable, rows: Sequence[tuple[str, ...]]) -> None:
    """Show rows; the keyboard stays at its row."""
    at = max(0, table.currentRow())
    with QSignalBlocker(table):
        table.clearSelection()
        table.show_rows(rows, right=(1,))
        if rows:
            table.setCurrentCell(min(at, len(rows) - 1), 0)
