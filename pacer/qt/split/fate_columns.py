"""Five columns for the parts of a lesson; a part is moved by mouse or by keys, and stays where it was put."""

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QDragEnterEvent, QDragLeaveEvent, QDropEvent, QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QListWidget, QListWidgetItem, QWidget

from pacer.frames.words.split import column_words, part_words, where_words
from pacer.plan.split.sheet import WHERES, SplitOutcome, SplitSheet
from pacer.plan.split.split import Where
from pacer.qt.kit.rows import column_of, row_of
from pacer.qt.kit.widgets import label, named, set_look
from pacer.qt.split.part_card import PINNED, PartCards
from pacer.text import _

_AT = Qt.ItemDataRole.UserRole


class FateList(QListWidget):
    """One column. ``moved`` carries the number of a part (from 0) and its place, None: the split decides."""

    moved = Signal(int, object)

    def __init__(self, where: Where) -> None:
        super().__init__()
        self.where: Where = where
        self.setDragDropMode(QListWidget.DragDropMode.DragDrop)
        self.setDefaultDropAction(Qt.DropAction.MoveAction)
        self.setDropIndicatorShown(False)  # the split orders a column, not the hand
        self.setVerticalScrollMode(QListWidget.ScrollMode.ScrollPerPixel)
        self.cards = PartCards(self)
        self.cards.unpinned.connect(self._on_unpinned)
        self.setItemDelegate(self.cards)
        self.viewport().setCursor(Qt.CursorShape.OpenHandCursor)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        named(self, where_words(where))

    def part(self) -> int | None:
        item = self.currentItem()
        return None if item is None else int(item.data(_AT))

    def resizeEvent(self, event: QResizeEvent) -> None:
        """The words of the cards are broken anew."""
        super().resizeEvent(event)
        self.scheduleDelayedItemsLayout()

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Say that what is held may be let go here."""
        super().dragEnterEvent(event)
        set_look(self, "target", isinstance(event.source(), FateList) and event.source() is not self)

    def dragLeaveEvent(self, event: QDragLeaveEvent) -> None:
        super().dragLeaveEvent(event)
        set_look(self, "target", False)

    def _on_unpinned(self, row: int) -> None:
        self.moved.emit(int(self.item(row).data(_AT)), None)

    def dropEvent(self, event: QDropEvent) -> None:
        """The columns are filled anew from the split; Qt itself moves nothing."""
        source = event.source()
        at = source.part() if isinstance(source, FateList) else None
        set_look(self, "target", False)
        event.setDropAction(Qt.DropAction.IgnoreAction)
        event.accept()
        if at is not None and source is not self:
            self.moved.emit(at, self.where)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Alt and an arrow push a part to the next column, P pins it, Delete leaves it to the split again."""
        at = self.part()
        step = {Qt.Key.Key_Left: -1, Qt.Key.Key_Right: 1}.get(Qt.Key(event.key()))
        if at is not None and step and event.modifiers() & Qt.KeyboardModifier.AltModifier:
            place = WHERES.index(self.where) + step
            if 0 <= place < len(WHERES):
                self.moved.emit(at, WHERES[place])
        elif at is not None and event.key() == Qt.Key.Key_P and not event.modifiers():
            self.moved.emit(at, self.where)
        elif at is not None and event.key() in (Qt.Key.Key_Delete, Qt.Key.Key_Backspace):
            self.moved.emit(at, None)
        else:
            super().keyPressEvent(event)


class FateColumns(QWidget):
    """Where each part goes. ``moved`` carries a part's number and its place, None where the split decides;
    ``chosen`` comes when the cursor goes to another part.
    """

    moved = Signal(int, object)
    chosen = Signal()

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("Where each part goes"))
        self.lists: dict[Where, FateList] = {}
        self._rooms = {}
        columns = []
        for where in WHERES:
            parts = FateList(where)
            parts.moved.connect(self._move)
            parts.currentItemChanged.connect(self.chosen)
            self.lists[where] = parts
            self._rooms[where] = label("", "quiet", wrap=True)
            heading = label(where_words(where), bold=True)
            columns.append((column_of(heading, self._rooms[where], (parts, 1), gap=2), 1))
        row_of(*columns, gap=12, inside=self)

    def show_sheet(self, sheet: SplitSheet, outcome: SplitOutcome) -> None:
        """Fill the columns anew; the cursor stays with its part."""
        chosen = self.part()
        for where, column in self.lists.items():
            self._rooms[where].setText(column_words(where, sheet, outcome))
            with QSignalBlocker(column):
                column.clear()
                for at, fate in enumerate(outcome.fates):
                    if fate == where:
                        item = QListWidgetItem(part_words(sheet, at, fate))
                        item.setData(_AT, at)
                        item.setData(PINNED, sheet.parts[at].moved_to is not None)
                        column.addItem(item)
                        if at == chosen:
                            column.setCurrentItem(item)

    def part(self) -> int | None:
        """The part under the cursor of the column that has the keyboard."""
        return next((column.part() for column in self.lists.values() if column.hasFocus()), None)

    def _move(self, at: int, to: Where | None) -> None:
        self.moved.emit(at, to)
        for column in self.lists.values():
            rows = [row for row in range(column.count()) if column.item(row).data(_AT) == at]
            if rows:
                column.setCurrentRow(rows[0])
                column.setFocus()
