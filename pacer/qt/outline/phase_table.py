"""The table of phases: keys and drag for moving rows, and cells that are edited by typing."""

from PySide6.QtCore import QItemSelectionModel, QModelIndex, QSize, Qt, Signal
from PySide6.QtGui import QDropEvent, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView

from pacer.qt.kit import theme
from pacer.qt.outline.phase_delegates import PastDelegate, PhaseDelegate
from pacer.qt.outline.phase_model import FIELDS, USUALLY, PhaseModel
from pacer.text import _

ROW_PX = 30
WIDTHS = {"kind": 132, "budget": 84, "floor": 62, "cap": 56, "cut_tier": 62, "movable": 92, "talk": 98}
USUALLY_PX = 236


class PhaseTable(QTableView):
    """Asks for what its keys mean; the page does it.

    ``asked`` carries an action and the rows' keys: ``up``, ``down``, ``new``, ``remove``, ``duplicate``;
    ``clear`` comes with the field of the cell; ``dropped`` carries keys and the key they go before, or None.
    """

    asked = Signal(str, object)
    cleared = Signal(str, str)
    dropped = Signal(object, object)
    chosen = Signal()

    def __init__(self, model: PhaseModel) -> None:
        super().__init__()
        self.phases = model
        self.setModel(model)
        self.setAccessibleName(_("Phases"))
        self.setAccessibleDescription(
            _("Typing changes a cell. Alt and an arrow move a row, Insert adds one, Delete takes it out.")
        )
        self.setFont(theme.font(14))
        self._plain, self._past = PhaseDelegate(self), PastDelegate(self)
        self.setItemDelegate(self._plain)
        self.setItemDelegateForColumn(USUALLY, self._past)
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setSelectionMode(QAbstractItemView.SelectionMode.ExtendedSelection)
        self.setEditTriggers(
            QAbstractItemView.EditTrigger.AnyKeyPressed
            | QAbstractItemView.EditTrigger.DoubleClicked
            | QAbstractItemView.EditTrigger.EditKeyPressed
        )
        self.setTabKeyNavigation(False)
        self.setShowGrid(False)
        self.setWordWrap(False)
        self._set_drag()
        self._set_headers()
        self.selectionModel().selectionChanged.connect(self._on_chosen)
        self.selectionModel().currentChanged.connect(self._on_chosen)

    def sizeHint(self) -> QSize:
        """Wide enough for every column, and high enough for a few rows."""
        return QSize(sum(WIDTHS.values()) + USUALLY_PX + 200, ROW_PX * 5)

    def _set_drag(self) -> None:
        self.setDragDropMode(QAbstractItemView.DragDropMode.DragDrop)
        self.setDefaultDropAction(Qt.DropAction.MoveAction)
        self.setDragDropOverwriteMode(False)
        self.setDropIndicatorShown(True)

    def _set_headers(self) -> None:
        rows, columns = self.verticalHeader(), self.horizontalHeader()
        rows.setDefaultSectionSize(ROW_PX)
        rows.setSectionResizeMode(QHeaderView.ResizeMode.Fixed)
        rows.hide()
        columns.setHighlightSections(False)
        columns.setSectionsClickable(False)
        columns.setMinimumSectionSize(40)
        for at, field in enumerate(FIELDS):
            if field == "title":
                columns.setSectionResizeMode(at, QHeaderView.ResizeMode.Stretch)
            elif field != "usually":
                columns.setSectionResizeMode(at, QHeaderView.ResizeMode.Fixed)
                self.setColumnWidth(at, WIDTHS[field])
        columns.setSectionResizeMode(USUALLY, QHeaderView.ResizeMode.Fixed)
        self.setColumnWidth(USUALLY, USUALLY_PX)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Give the past half of the room that is left over on a wide screen."""
        spare = self.viewport().width() - sum(WIDTHS.values()) - USUALLY_PX - 180
        self.setColumnWidth(USUALLY, USUALLY_PX + max(0, min(150, spare // 2)))
        super().resizeEvent(event)

    def keys(self) -> list[str]:
        """The keys of the chosen rows, from the top."""
        rows = sorted({index.row() for index in self.selectionModel().selectedRows()})
        return [key for row in rows if (key := self.phases.key_at(row)) is not None]

    def current_key(self) -> str | None:
        """The key of the row under the cursor."""
        return self.phases.key_at(self.currentIndex().row())

    def choose(self, keys: list[str], field: str | None = None) -> None:
        """Choose rows by their keys; the cursor goes to the first of them."""
        rows = [row for row, phase in enumerate(self.phases.draft.phases) if phase.key in keys]
        if not rows:
            return
        column = FIELDS.index(field) if field else max(0, self.currentIndex().column())
        flags = QItemSelectionModel.SelectionFlag.ClearAndSelect | QItemSelectionModel.SelectionFlag.Rows
        self.selectionModel().setCurrentIndex(self.phases.index(rows[0], column), flags)
        for row in rows[1:]:
            more = QItemSelectionModel.SelectionFlag.Select | QItemSelectionModel.SelectionFlag.Rows
            self.selectionModel().select(self.phases.index(row, column), more)

    def edit_cell(self) -> None:
        """Edit the cell under the cursor, if there is one and it can be edited: of others Qt warns."""
        index = self.currentIndex()
        if index.flags() & Qt.ItemFlag.ItemIsEditable:
            self.edit(index)

    def _on_chosen(self, *_change: object) -> None:
        self.chosen.emit()

    def keyPressEvent(self, event: QKeyEvent) -> None:
        is_editing = self.state() == QAbstractItemView.State.EditingState
        action = "" if is_editing else _meaning(event)
        if action == "edit":
            self.edit_cell()
        elif action == "clear":
            key = self.current_key()
            if key is not None and self.currentIndex().column() != USUALLY:
                self.cleared.emit(key, FIELDS[self.currentIndex().column()])
        elif action:
            self.asked.emit(action, self.keys())
        else:
            super().keyPressEvent(event)

    def dropEvent(self, event: QDropEvent) -> None:
        """The page moves the rows; Qt itself moves nothing."""
        if event.source() is self:
            at = self._drop_row(event)
            self.dropped.emit(self.keys(), self.phases.key_at(at))
        event.setDropAction(Qt.DropAction.IgnoreAction)
        event.accept()

    def _drop_row(self, event: QDropEvent) -> int:
        index: QModelIndex = self.indexAt(event.position().toPoint())
        if not index.isValid():
            return self.phases.rowCount()
        box = self.visualRect(index)
        return index.row() + (event.position().y() > box.center().y())


def _meaning(event: QKeyEvent) -> str:
    """What a key asks for; empty where it is the table's own."""
    key, held = Qt.Key(event.key()), event.modifiers() & ~Qt.KeyboardModifier.KeypadModifier
    alone, ctrl = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ControlModifier
    return {
        (Qt.Key.Key_Up, Qt.KeyboardModifier.AltModifier): "up",
        (Qt.Key.Key_Down, Qt.KeyboardModifier.AltModifier): "down",
        (Qt.Key.Key_Insert, alone): "new",
        (Qt.Key.Key_Return, ctrl): "new",
        (Qt.Key.Key_Enter, ctrl): "new",
        (Qt.Key.Key_Delete, alone): "remove",
        (Qt.Key.Key_D, ctrl): "duplicate",
        (Qt.Key.Key_Return, alone): "edit",
        (Qt.Key.Key_Enter, alone): "edit",
        (Qt.Key.Key_Backspace, alone): "clear",
    }.get((key, held), "")
