"""The two tables of the Budgets view: rows with one button each, pressed by mouse, Return or Space."""

from collections.abc import Sequence

from PySide6.QtCore import QRect, QSignalBlocker, QSize, Qt, QTimer, Signal
from PySide6.QtWidgets import QHeaderView, QPushButton, QSizePolicy, QTableWidget, QWidget

from pacer.frames.words.budgets import RIGHT, AcceptedRow, BudgetRow, accepted_heads, proposal_heads
from pacer.qt.kit.rows import column_of
from pacer.qt.kit.widgets import PlainTable, button, shortcut
from pacer.text import _

ROW_PX = 34
_LEAST_PX, _FRAME_PX = 60, 4
_WHERE, _MOST_PX = 1, 220  # a column whose names a teacher chose
_WIDEST_PX = 1040  # figures farther from their names are read in the wrong row
_KEYS = ("Return", "Enter", "Space")
_ROW = "row"
EFFECT = 4  # the column of what an acceptance changed
_AIR_PX = 8
_CELL_PX = 2 * 13  # what the sheet and the style leave free beside a cell's text or button
_AROUND_PX = 2 * (14 + 4 + 1) + _CELL_PX  # the same, with padding, margin and border of such a button


class ButtonTable(QWidget):
    """A plain table whose last column holds a button; ``pressed`` carries the row's number.

    A key that is held down presses once, and a double click presses nothing.
    """

    pressed = Signal(int)
    least_rows = 2

    def __init__(self, name: str, heads: tuple[str, ...], help_words: str) -> None:
        super().__init__()
        self.table = PlainTable(name, heads)
        self.table.setAccessibleDescription(help_words)
        self.table.setSelectionMode(QTableWidget.SelectionMode.SingleSelection)
        self.table.setHorizontalScrollMode(QTableWidget.ScrollMode.ScrollPerPixel)
        self.table.setVerticalScrollMode(QTableWidget.ScrollMode.ScrollPerPixel)
        self.table.horizontalHeader().setHighlightSections(False)
        self.buttons: list[QPushButton | None] = []
        for key in _KEYS:
            shortcut(key, self.table, self._on_key, in_children=False)
        column_of(self.table, inside=self)
        self.setFocusProxy(self.table)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Maximum)

    def sizeHint(self) -> QSize:
        """As high as its rows: it gets less where there is no room, and then it scrolls."""
        rows = sum(self.table.rowHeight(row) for row in range(self.table.rowCount()))
        return QSize(600, self._head_px() + rows)

    def minimumSizeHint(self) -> QSize:
        """A few rows can always be seen."""
        rows = min(self.least_rows, self.table.rowCount())
        return QSize(400, self._head_px() + ROW_PX * rows)

    def _head_px(self) -> int:
        return self.table.horizontalHeader().sizeHint().height() + 2 * _FRAME_PX

    def fill(
        self, rows: Sequence[tuple[str, ...]], words: Sequence[tuple[str, str]], right: tuple[int, ...]
    ) -> None:
        """Show rows, each with its button's words, short and long; the row chosen stays."""
        at = max(0, self.table.currentRow())
        with QSignalBlocker(self.table):
            self.table.setRowCount(0)
            self.table.show_rows(rows, right)
            self.buttons = [
                self._button(number, shown, name) if shown else None
                for number, (shown, name) in enumerate(words)
            ]
            self._fit_buttons()
            if rows:
                self.table.setCurrentCell(min(at, len(rows) - 1), 0)
        self.updateGeometry()

    def _button(self, row: int, shown: str, name: str) -> QPushButton:
        push = button(shown, self._on_button, "cell")
        push.setAccessibleName(name)
        push.setToolTip(name)
        push.setProperty(_ROW, row)
        # The row is where the keyboard is: Tab would have to pass every button otherwise.
        push.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.table.setCellWidget(row, self.table.columnCount() - 1, push)
        return push

    def _fit_buttons(self) -> None:
        """The last column is as wide as its buttons: the header knows only of texts."""
        last, header = self.table.columnCount() - 1, self.table.horizontalHeader()
        header.setSectionResizeMode(last, QHeaderView.ResizeMode.Fixed)
        pushes = filter(None, self.buttons)
        wide = [push.fontMetrics().horizontalAdvance(push.text()) for push in pushes]
        header.resizeSection(last, max(wide, default=_LEAST_PX) + _AROUND_PX)

    def _on_button(self) -> None:
        pressed = self.sender()
        if isinstance(pressed, QPushButton):
            row = int(pressed.property(_ROW))
            self.table.setCurrentCell(row, 0)
            self.pressed.emit(row)

    def _on_key(self) -> None:
        row = self.table.currentRow()
        if 0 <= row < len(self.buttons) and self.buttons[row] is not None:
            self.pressed.emit(row)


class ProposalTable(ButtonTable):
    """Proposals beside what is written."""

    least_rows = 6

    def __init__(self) -> None:
        super().__init__(
            _("Proposed budgets"),
            (*(head[:1].upper() + head[1:] for head in proposal_heads()), ""),
            _("Return or Space accepts the proposal of the row."),
        )
        self.rows: Sequence[BudgetRow] = ()
        self.table.verticalHeader().setDefaultSectionSize(ROW_PX)
        self.table.stretch(0)
        self.setMaximumWidth(_WIDEST_PX)

    def show_rows(self, rows: Sequence[BudgetRow]) -> None:
        self.rows = rows
        words = [(_("Accept") if row.accept else "", row.accept) for row in rows]
        self.fill([(*row.cells, "") for row in rows], words, RIGHT)


class AcceptedTable(ButtonTable):
    """What was accepted, the newest first."""

    def __init__(self) -> None:
        super().__init__(
            _("Accepted budgets"),
            tuple(head[:1].upper() + head[1:] for head in accepted_heads()),
            _("Return or Space gives the row's earlier budget back."),
        )
        self.rows: Sequence[AcceptedRow] = ()
        self.table.setWordWrap(True)
        self.table.stretch(EFFECT)
        self.table.horizontalHeader().sectionResized.connect(self._on_section)

    def show_rows(self, rows: Sequence[AcceptedRow]) -> None:
        """Show other acceptances; what they changed is wrapped."""
        self.rows = rows
        self.fill([(*row.cells, "") for row in rows], [(row.give_back, row.give_back) for row in rows], ())
        for number, row in enumerate(rows):
            self._name_effect(number, row)
        self._bound_where()
        self.table.verticalHeader().setMinimumSectionSize(ROW_PX)
        self._fit_rows()

    def _on_section(self, *_sizes: int) -> None:
        """In a column of another width what is wrapped has another height. The header tells too early."""
        QTimer.singleShot(0, self, self._fit_rows)

    def _fit_rows(self) -> None:
        for row in range(self.table.rowCount()):
            high = max(self._wrapped_px(row, column) for column in (_WHERE, EFFECT))
            self.table.setRowHeight(row, max(ROW_PX, high + _AIR_PX))
        self.updateGeometry()

    def _wrapped_px(self, row: int, column: int) -> int:
        """How high a cell's text is; Qt's own hint doesn't know of the sheet's padding."""
        item = self.table.item(row, column)
        if item is None:
            return 0
        box = QRect(0, 0, max(1, self.table.columnWidth(column) - _CELL_PX), 10_000)
        return self.table.fontMetrics().boundingRect(box, Qt.TextFlag.TextWordWrap, item.text()).height()

    def _name_effect(self, number: int, row: AcceptedRow) -> None:
        item = self.table.item(number, EFFECT)
        if item is not None:
            item.setToolTip(row.effect)
            item.setData(Qt.ItemDataRole.AccessibleTextRole, row.effect)

    def _bound_where(self) -> None:
        """A long name is wrapped, so that the effect has room."""
        header = self.table.horizontalHeader()
        header.setSectionResizeMode(_WHERE, QHeaderView.ResizeMode.Fixed)
        header.resizeSection(_WHERE, min(_MOST_PX, self.table.sizeHintForColumn(_WHERE) + _CELL_PX))
