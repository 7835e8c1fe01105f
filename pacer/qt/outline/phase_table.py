"""The table of phases: keys and drag for moving rows, and cells that are edited by typing."""

from PySide6.QtCore import QItemSelectionModel, QModelIndex, QSize, Qt, Signal
from PySide6.QtGui import QDropEvent, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableView

from pacer.qt.kit import theme
from pacer.qt.outline.phase_delegates import PastDelegate, PhaseDelegate
from pacer.qt.outline.phase_model import FIELDS, USUALLY, PhaseTableModel
from pacer.text import _

ROW_PX, TYPE_PX = 34, 16
WIDTHS = {"kind": 146, "budget": 78, "floor": 74, "cap": 64, "cut_tier": 72, "movable": 104, "talk": 108}
TITLE_PX, USUALLY_PX, LEAST_USUALLY_PX = 150, 236, 116
# Columns that come only where there is room, in this order; the details have them all.
WITH_ROOM = ("kind", "floor", "movable", "cap", "talk", "cut_tier")


class PhaseTableView(QTableView):
    """Asks for what its keys mean; the page does it.

    ``asked`` carries an action and the rows' keys: ``up``, ``down``, ``new``, ``remove``, ``duplicate``;
    ``clear`` comes with the field of the cell; ``dropped`` carries keys and the key they go before, or None.
    """

    asked = Signal(str, object)
    cleared = Signal(str, str)
    dropped = Signal(object, object)
    chosen = Signal()

    def __init__(self, model: PhaseTableModel) -> None:
        super().__init__()
        self.phases = model
        self.setModel(model)
        self.setAccessibleName(_("Phases"))
        self.setAccessibleDescription(
            _("Typing changes a cell. Alt and an arrow move a row, Insert adds one, Delete takes it out.")
        )
        self.setFont(theme.font(TYPE_PX))
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
        return QSize(WIDTHS["budget"] + LEAST_USUALLY_PX + TITLE_PX, ROW_PX * 5)

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
        columns.setSectionResizeMode(USUALLY, QHeaderView.ResizeMode.Fixed)

    def set_type(self, px: int) -> None:
        """Another size of type; rows and columns follow it."""
        self.setFont(theme.font(px))
        self.horizontalHeader().setFont(theme.font(px - 1))
        self.verticalHeader().setDefaultSectionSize(round(ROW_PX * px / TYPE_PX))
        self._make_columns()

    def resizeEvent(self, event: QResizeEvent) -> None:
        self._make_columns()
        super().resizeEvent(event)

    def _make_columns(self) -> None:
        """Title, budget and past always; of the others as many as there is room for."""
        scale = self.font().pixelSize() / TYPE_PX
        room = self.viewport().width() - scale * (WIDTHS["budget"] + TITLE_PX)
        is_narrow = room < scale * (USUALLY_PX + WIDTHS["kind"])
        usually = scale * (LEAST_USUALLY_PX if is_narrow else USUALLY_PX)
        room -= usually
        for field in WITH_ROOM:
            room -= scale * WIDTHS[field]
            self.setColumnHidden(FIELDS.index(field), room < 0)
        for field, width in WIDTHS.items():
            self.setColumnWidth(FIELDS.index(field), round(scale * width))
        self.setColumnWidth(USUALLY, round(usually + max(0, min(150, room // 2))))

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
