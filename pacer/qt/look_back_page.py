"""Look back: the day records, and for one of them planned over actual with its endings."""

from collections.abc import Sequence

from PySide6.QtCore import QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QAbstractItemView,
    QHBoxLayout,
    QHeaderView,
    QListWidget,
    QListWidgetItem,
    QTableWidget,
    QVBoxLayout,
    QWidget,
)

from pacer.frames.record import Record, RecordRow, marks_words, record
from pacer.frames.wording import (
    clock_words,
    ending_words,
    local_time,
    mode_words,
    over_words,
    took_words,
)
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords, RunRow
from pacer.plan.durations import format_duration
from pacer.qt.tape_painter import paint_tapes
from pacer.qt.widgets import fill_row, label, named
from pacer.run.fold import fold
from pacer.text import _

_RUN = Qt.ItemDataRole.UserRole


class Tapes(QWidget):
    """Planned over actual of one record, painted to one scale."""

    def __init__(self) -> None:
        super().__init__()
        self.setMinimumHeight(200)
        self.setAccessibleName(_("Planned over actual"))
        self._rows: Sequence[RecordRow] = ()

    def show_rows(self, rows: Sequence[RecordRow]) -> None:
        """Paint another record; its words go to screen readers."""
        self._rows = rows
        self.setAccessibleDescription(
            ". ".join(
                _("{title}: planned {planned}, took {actual}").format(
                    title=row.title, planned=format_duration(row.planned), actual=format_duration(row.actual)
                )
                for row in rows
            )
        )
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the tapes."""
        with QPainter(self) as painter:
            paint_tapes(painter, QRectF(self.rect()), self._rows)


class LookBackPage(QWidget):
    """A list of day records beside the one chosen."""

    def __init__(self, records: DayRecords | None, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setAccessibleName(_("Look back"))
        self._records = records
        self.list = QListWidget()
        named(self.list, _("Day records"))
        self.list.currentItemChanged.connect(self._on_choice)
        self.title = label("", "title", wrap=True)
        self.about = label("", "quiet", wrap=True)
        self.tapes = Tapes()
        self.table = _record_table()
        left = QVBoxLayout()
        left.setSpacing(10)
        left.addWidget(label(_("Day records"), bold=True))
        left.addWidget(self.list, 1)
        right = QVBoxLayout()
        right.setSpacing(8)
        for widget in (self.title, self.about):
            right.addWidget(widget)
        right.addWidget(self.tapes, 3)
        right.addWidget(self.table, 2)
        columns = QHBoxLayout(self)
        columns.setContentsMargins(36, 18, 36, 28)
        columns.setSpacing(36)
        columns.addLayout(left, 2)
        columns.addLayout(right, 5)
        self.reload()

    def reload(self) -> None:
        """Read the list again and choose the newest."""
        self.list.clear()
        try:
            runs = [] if self._records is None else self._records.runs()
        except LogError as error:
            self._show_nothing(_("The day records can't be read"), str(error))
            return
        for run in runs:
            item = QListWidgetItem(_run_words(run))
            item.setData(_RUN, run)
            item.setSizeHint(QSize(0, 52))
            self.list.addItem(item)
        if runs:
            self.list.setCurrentRow(0)
        else:
            self._show_nothing(
                _("No day records yet"), _("After a lesson, planned over actual is shown here.")
            )

    def _on_choice(self, *_items: object) -> None:
        item = self.list.currentItem()
        run = None if item is None else item.data(_RUN)
        if not isinstance(run, RunRow) or self._records is None:
            return
        try:
            events = self._records.events(run.id)
        except LogError as error:
            self._show_nothing(_("This day record can't be read"), str(error))
            return
        self._show_record(record(fold(events), events[-1].t_ms))

    def _show_nothing(self, title: str, about: str) -> None:
        self.title.setText(title)
        self.about.setText(about)
        self.tapes.hide()
        self.table.hide()

    def _show_record(self, found: Record) -> None:
        self.title.setText(found.title)
        about = _("{date} · planned {planned_start}, started {start} · {actual} of {planned} planned").format(
            date=found.date,
            planned_start=found.planned_start,
            start=found.start,
            actual=format_duration(found.actual),
            planned=format_duration(found.planned),
        )
        self.about.setText("\n".join(line for line in (about, marks_words(found)) if line))
        self.tapes.show()
        self.table.show()
        self.tapes.show_rows(found.phases)
        self.table.setRowCount(len(found.phases))
        for number, row in enumerate(found.phases):
            _fill_row(self.table, number, row)


def _record_table() -> QTableWidget:
    table = QTableWidget(0, 5)
    table.setAccessibleName(_("Phases, planned and actual"))
    table.setHorizontalHeaderLabels([_("Phase"), _("Planned"), _("Actual"), _("Over"), _("Ending")])
    table.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
    table.setTabKeyNavigation(False)  # Tab goes on to the page; arrow keys move among the cells
    table.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
    table.setShowGrid(False)
    table.verticalHeader().hide()
    header = table.horizontalHeader()
    header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
    header.setStretchLastSection(True)
    header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
    return table


def _fill_row(table: QTableWidget, number: int, row: RecordRow) -> None:
    texts = (
        row.title,
        format_duration(row.planned),
        took_words(row.actual, cut_off=row.cut_off, reached=row.visits > 0),
        over_words(row.over),
        ending_words(row.ending),
    )
    fill_row(table, number, texts, right=(1, 2, 3))


def _run_words(run: RunRow) -> str:
    start = local_time(run.started_utc_ms, run.utc_offset_s)
    day = f"{start.date().isoformat()}  {clock_words(run.started_utc_ms, run.utc_offset_s)}"
    mode = mode_words(run.mode)
    return f"{run.title}\n{day}" + (f" · {mode}" if mode else "")
