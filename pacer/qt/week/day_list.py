"""The outlines of one day: arrows lead on to other days, keys and the mouse move them."""

import json
from datetime import date

from PySide6.QtCore import QItemSelectionModel, QMimeData, QPoint, QSize, Qt, Signal
from PySide6.QtGui import (
    QContextMenuEvent,
    QDrag,
    QDragEnterEvent,
    QDragLeaveEvent,
    QDragMoveEvent,
    QDropEvent,
    QFocusEvent,
    QKeyEvent,
)
from PySide6.QtWidgets import QAbstractItemView, QListWidget, QListWidgetItem, QMenu

from pacer.frames.week.days import DayCard, PlannedLesson
from pacer.plan.dates.planned import DaySlot
from pacer.qt.kit.widgets import named, set_look
from pacer.qt.week.wrapped_rows import WrappedRows
from pacer.text import _

MIME = "application/x-pacer-outline"
LESSON = Qt.ItemDataRole.UserRole
LEAST_PX = 52
_KEY = Qt.Key
_STEPS = {_KEY.Key_Left: -1, _KEY.Key_Right: 1}


class DayList(QListWidget):
    """One day's outlines in order. All signals but ``focused`` ask for something.

    ``go`` carries how many days on, ``move_day`` the same for the chosen outline and ``move_row`` how many
    rows; ``dropped`` carries what was dropped, a `Place` or a name, and before which row.
    """

    focused = Signal()
    go = Signal(int)
    go_week = Signal(int)
    move_day = Signal(int)
    move_row = Signal(int)
    take_away = Signal()
    pick = Signal()
    opened = Signal()
    dropped = Signal(object, int)

    def __init__(self) -> None:
        super().__init__()
        self.day = date.min
        self.is_chosen = False
        self.lessons: tuple[PlannedLesson, ...] = ()
        self.setWordWrap(True)
        self.setTextElideMode(Qt.TextElideMode.ElideNone)
        self.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.setResizeMode(QListWidget.ResizeMode.Adjust)
        self.setVerticalScrollMode(QAbstractItemView.ScrollMode.ScrollPerPixel)
        self.setDragEnabled(True)
        self.setAcceptDrops(True)
        self.setDropIndicatorShown(True)
        self.setDragDropMode(QAbstractItemView.DragDropMode.DragDrop)
        self.setMinimumSize(60, LEAST_PX)
        self.setItemDelegate(WrappedRows(self))
        self.itemDoubleClicked.connect(self._on_double_click)

    def show_day(self, card: DayCard) -> None:
        """Show a day; the chosen row stays where it is."""
        row = self.currentRow()
        self.day = card.day
        named(self, card.name)
        if card.lessons != self.lessons or self.count() != len(card.lessons):
            self.lessons = card.lessons
            self.clear()
            for lesson in card.lessons:
                item = QListWidgetItem("\n".join(filter(None, (lesson.title, lesson.words))))
                item.setData(LESSON, lesson.name)
                item.setToolTip(lesson.title)
                if not lesson.name:  # taught without a plan: nothing to move
                    item.setFlags(Qt.ItemFlag.ItemIsEnabled | Qt.ItemFlag.ItemIsSelectable)
                self.addItem(item)
        self.choose(max(0, row))

    def choose(self, row: int) -> None:
        """Choose a row, or the last one; it is marked on the chosen day alone."""
        flag = QItemSelectionModel.SelectionFlag
        self.setCurrentRow(min(row, self.count() - 1), flag.ClearAndSelect if self.is_chosen else flag.Clear)

    def mark(self, is_chosen: bool) -> None:
        """Whether this is the chosen day."""
        if is_chosen != self.is_chosen:
            self.is_chosen = is_chosen
            self.choose(max(0, self.currentRow()))

    def place(self) -> DaySlot | None:
        """Where the chosen outline stands; None where none is chosen or it has no plan."""
        row = self.currentRow()
        return DaySlot(self.day, row) if 0 <= row < len(self.lessons) and self.lessons[row].name else None

    def lesson(self) -> PlannedLesson | None:
        """The chosen outline."""
        row = self.currentRow()
        return self.lessons[row] if 0 <= row < len(self.lessons) else None

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Arrows lead from day to day; with Alt they take the outline along."""
        key, alt = event.key(), bool(event.modifiers() & Qt.KeyboardModifier.AltModifier)
        row = self.currentRow()
        if key in _STEPS:
            (self.move_day if alt else self.go).emit(_STEPS[_KEY(key)])
        elif alt and key in (_KEY.Key_Up, _KEY.Key_Down):
            self.move_row.emit(-1 if key == _KEY.Key_Up else 1)
        elif key == _KEY.Key_Up and row <= 0:
            self.go_week.emit(-1)
        elif key == _KEY.Key_Down and row >= self.count() - 1:
            self.go_week.emit(1)
        elif key in (_KEY.Key_Delete, _KEY.Key_Backspace):
            self.take_away.emit()
        elif key in (_KEY.Key_A, _KEY.Key_Insert) and not event.modifiers():
            self.pick.emit()
        elif key in (_KEY.Key_Return, _KEY.Key_Enter):
            (self.opened if self.lesson() is not None else self.pick).emit()
        else:
            super().keyPressEvent(event)
            return
        event.accept()

    def contextMenuEvent(self, event: QContextMenuEvent) -> None:
        """What the keys do, by a right click."""
        self.setFocus()
        menu = self.menu()
        menu.aboutToHide.connect(menu.deleteLater)
        menu.popup(event.globalPos())

    def menu(self) -> QMenu:
        """All that can be done with the chosen outline, or with the day where it has none."""
        menu = QMenu(self)
        menu.addAction(_("Add a lesson…"), self.pick.emit)
        if self.place() is not None:
            menu.addAction(_("Open"), self.opened.emit)
            menu.addAction(_("Move to the next school day"), self._on_next_day)
            menu.addAction(_("Take off this day"), self.take_away.emit)
        return menu

    def _on_next_day(self) -> None:
        self.move_day.emit(1)

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.focused.emit()

    def minimumSizeHint(self) -> QSize:
        return self.minimumSize()

    def sizeHint(self) -> QSize:
        return QSize(140, LEAST_PX)

    def _on_double_click(self, _item: QListWidgetItem) -> None:
        self.opened.emit()

    # Dragging.

    def startDrag(self, _actions: Qt.DropAction) -> None:
        """Take the chosen outline by the mouse."""
        place = self.place()
        if place is None:
            return
        drag = QDrag(self)
        drag.setMimeData(mime_of(place))
        drag.exec(Qt.DropAction.MoveAction)

    def dragEnterEvent(self, event: QDragEnterEvent) -> None:
        """Say that what is held may be let go here."""
        self._judge(event)
        set_look(self, "target", event.isAccepted())

    def dragLeaveEvent(self, event: QDragLeaveEvent) -> None:
        super().dragLeaveEvent(event)
        set_look(self, "target", False)

    def dragMoveEvent(self, event: QDragMoveEvent) -> None:
        self._judge(event)

    def dropEvent(self, event: QDropEvent) -> None:
        """Ask for what was dropped to stand here, before the row under the mouse."""
        set_look(self, "target", False)
        what = dropped_in(event.mimeData())
        if what is None:
            event.ignore()
            return
        # The list stays as it is until it is shown anew: nothing is to be removed after a move.
        event.setDropAction(Qt.DropAction.CopyAction)
        event.accept()
        self.dropped.emit(what, self._row_at(event.position().toPoint()))

    def _row_at(self, point: QPoint) -> int:
        item = self.itemAt(point)
        if item is None:
            return self.count()
        box = self.visualItemRect(item)
        return self.row(item) + (1 if point.y() > box.center().y() else 0)

    def _judge(self, event: QDragMoveEvent) -> None:
        if event.mimeData().hasFormat(MIME):
            event.acceptProposedAction()
        else:
            event.ignore()


def mime_of(what: DaySlot | str) -> QMimeData:
    """An outline on its way: from its place, or by its name from the list of all."""
    value = [what.day.isoformat(), what.at] if isinstance(what, DaySlot) else what
    data = QMimeData()
    data.setData(MIME, json.dumps(value).encode())
    return data


def dropped_in(data: QMimeData) -> DaySlot | str | None:
    """What came; None for anything that is not Pacer's."""
    try:
        value = json.loads(bytes(data.data(MIME).data()).decode())
        return value if isinstance(value, str) else DaySlot(date.fromisoformat(value[0]), int(value[1]))
    except (ValueError, TypeError, LookupError, OverflowError, RecursionError):
        return None
