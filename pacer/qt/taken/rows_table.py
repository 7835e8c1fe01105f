"""The table of what was taken beside what was read of it, a line a row."""

from PySide6.QtCore import QItemSelectionModel, QSignalBlocker, Qt, Signal
from PySide6.QtGui import QBrush, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableWidget, QTableWidgetItem

from pacer.editing.taken_rows import ReadRows, TakenRow
from pacer.frames.words.kinds import kind_words
from pacer.plan.durations import brief_duration
from pacer.qt.kit import theme
from pacer.qt.kit.rows import RIGHT
from pacer.text import _

LINE, RAW, WHAT, WORDS, MINUTES, KIND, LOOK = range(7)
_WIDTHS = {LINE: 52, WHAT: 88, MINUTES: 84, KIND: 126}
_ROOM_FOR_LOOK_PX = 1040
_SELECT = QItemSelectionModel.SelectionFlag


class RowsTable(QTableWidget):
    """Rows to correct. ``edited`` carries the place of a row, a column and its new text.

    ``left_out`` comes with Delete, ``moved`` when another row is chosen.
    """

    edited = Signal(int, int, str)
    left_out = Signal()
    moved = Signal()

    def __init__(self) -> None:
        super().__init__(0, 7)
        self.setAccessibleName(_("What you have, and what was read of it"))
        self.setAccessibleDescription(
            _("Typing changes a title or the minutes, Delete leaves a line out. A question mark: look at it.")
        )
        self.setHorizontalHeaderLabels(
            [_("Line"), _("What you have"), _("Read as"), _("Title or words"), _("Minutes"), _("Kind"),
             _("Look at")]
        )  # fmt: skip
        self.setFont(theme.font(14))
        self.setTabKeyNavigation(False)
        self.setShowGrid(False)
        self.setWordWrap(False)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setEditTriggers(
            QAbstractItemView.EditTrigger.AnyKeyPressed
            | QAbstractItemView.EditTrigger.DoubleClicked
            | QAbstractItemView.EditTrigger.EditKeyPressed
        )
        self.verticalHeader().hide()
        self.verticalHeader().setDefaultSectionSize(30)
        header = self.horizontalHeader()
        header.setSectionsClickable(False)
        header.setHighlightSections(False)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        for column in range(7):
            is_fixed = column in _WIDTHS
            mode = QHeaderView.ResizeMode.Fixed if is_fixed else QHeaderView.ResizeMode.Stretch
            header.setSectionResizeMode(column, mode)
            if is_fixed:
                self.setColumnWidth(column, _WIDTHS[column])
        self.itemChanged.connect(self._on_item)
        self.currentCellChanged.connect(self._on_current)

    def show_reading(self, reading: ReadRows) -> None:
        """Show other rows; the row that was chosen stays so."""
        with QSignalBlocker(self):
            self.setRowCount(len(reading.rows))
            for at, row in enumerate(reading.rows):
                self._show_row(at, row)
            if reading.rows and self.currentRow() < 0:
                self.setCurrentCell(0, WORDS)

    def _show_row(self, at: int, row: TakenRow) -> None:
        phase = row.phase
        minutes = "" if phase is None else "?" if phase.seconds is None else brief_duration(phase.seconds)
        texts = (
            f"? {row.number}" if row.doubt else f"{row.number}", row.raw.replace("\t", "  |  ").strip("\n"),
            what_words(row), row.words, minutes, "" if phase is None else kind_words(phase.kind), row.doubt,
        )  # fmt: skip
        for column, text in enumerate(texts):
            item = self.item(at, column)
            if item is None:
                item = QTableWidgetItem()
                self.setItem(at, column, item)
            editable = column == WORDS and phase is not None
            flags = Qt.ItemFlag.ItemIsSelectable | Qt.ItemFlag.ItemIsEnabled
            is_line = row.what not in ("blank", "divider")
            if editable or (column == MINUTES and is_line):
                flags |= Qt.ItemFlag.ItemIsEditable
            item.setFlags(flags)
            if item.text() != text:
                item.setText(text)
                item.setToolTip(text)
            font = theme.font(14, theme.SEMIBOLD if column == WORDS and phase is not None else theme.REGULAR)
            font.setStrikeOut(column in (RAW, WORDS) and row.what == "left out")
            item.setFont(font)
            item.setBackground(QBrush(theme.SAND) if row.doubt else QBrush(Qt.BrushStyle.NoBrush))
            if column == MINUTES:
                item.setTextAlignment(RIGHT)

    def chosen(self) -> list[int]:
        """The places of the chosen rows, from the top."""
        return sorted({index.row() for index in self.selectionModel().selectedRows()})

    def choose(self, at: int) -> None:
        """Choose a row; its words get the cursor."""
        self.selectionModel().setCurrentIndex(
            self.model().index(at, WORDS), _SELECT.ClearAndSelect | _SELECT.Rows
        )

    def _on_item(self, item: QTableWidgetItem) -> None:
        if item.column() in (WORDS, MINUTES):
            self.edited.emit(item.row(), item.column(), item.text())

    def _on_current(self, *_places: int) -> None:
        self.moved.emit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Where there is little room what to look at stands below the table alone."""
        self.setColumnHidden(LOOK, self.width() < _ROOM_FOR_LOOK_PX)
        super().resizeEvent(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        is_editing = self.state() == QAbstractItemView.State.EditingState
        if event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace) and not is_editing:
            self.left_out.emit()
            return
        plain = not event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
        if event.text().isdigit() and plain and not is_editing and self.currentColumn() != MINUTES:
            self.selectionModel().setCurrentIndex(  # figures are minutes, wherever the cursor stands
                self.model().index(self.currentRow(), MINUTES), _SELECT.NoUpdate
            )
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter) and not is_editing:
            index = self.currentIndex()
            if index.flags() & Qt.ItemFlag.ItemIsEditable:
                self.edit(index)
            return
        super().keyPressEvent(event)


def what_words(row: TakenRow) -> str:
    """What a line was read as, in a word."""
    return {
        "phase": _("phase"),
        "title": _("title"),
        "heading": _("heading"),
        "note": _("note"),
        "time": _("time"),
        "total": _("sum"),
        "block": _("groups"),
        "not understood": _("not read"),
        "left out": _("left out"),
    }.get(row.what, "")
