"""How cells of the phase table are edited and painted: lists that open by typing, and the past."""

from collections.abc import Callable

from PySide6.QtCore import QAbstractItemModel, QEvent, QModelIndex, QObject, QPersistentModelIndex, QRectF, Qt
from PySide6.QtGui import QFontMetricsF, QKeyEvent, QPainter, QPen
from PySide6.QtWidgets import QComboBox, QLineEdit, QStyle, QStyledItemDelegate, QStyleOptionViewItem, QWidget

from pacer.frames.words.kinds import choice_words
from pacer.frames.words.outline import phase_words
from pacer.frames.words.past import PastFrame
from pacer.plan.kinds import KINDS
from pacer.qt.kit import theme
from pacer.qt.outline.past_strip import paint_strip
from pacer.qt.outline.phase_model import FIELDS, PAST_ROLE

Index = QModelIndex | QPersistentModelIndex
CHOICES: dict[str, tuple[str, ...]] = {
    "kind": tuple(KINDS),
    "cut_tier": ("", "1", "2", "3"),
    "movable": ("", "table", "tomorrow", "dropped"),
    "talk": ("", "teacher", "class", "partners", "quiet", "unmarked"),
}
STRIP_PX, GAP_PX = 96, 10


class ChoiceBox(QComboBox):
    """A list of choices that knows whether it was opened."""

    was_open = False

    def showPopup(self) -> None:
        self.was_open = True
        super().showPopup()


class PhaseDelegate(QStyledItemDelegate):
    """Plain fields as a line, fields with choices as a list in which typing chooses."""

    def createEditor(self, parent: QWidget, _option: QStyleOptionViewItem, index: Index) -> QWidget:
        field = FIELDS[index.column()]
        editor: QWidget = QLineEdit(parent)
        if field in CHOICES:
            combo = _choices(parent, field, str(index.data(Qt.ItemDataRole.EditRole)))
            combo.activated.connect(self._on_chosen)
            editor = combo
        elif isinstance(editor, QLineEdit):
            editor.setFont(parent.font())
            editor.setFrame(False)
        editor.setAccessibleName(phase_words(field))
        return editor

    def _on_chosen(self) -> None:
        """A choice in the open list is done at once; typing goes on until Return or Tab."""
        editor = self.sender()
        if isinstance(editor, ChoiceBox) and editor.was_open:
            self.commitData.emit(editor)
            self.closeEditor.emit(editor)

    def setEditorData(self, editor: QWidget, index: Index) -> None:
        text = str(index.data(Qt.ItemDataRole.EditRole))
        if isinstance(editor, QComboBox):
            editor.setCurrentIndex(max(0, editor.findData(text)))
        elif isinstance(editor, QLineEdit) and editor.text() != text:
            editor.setText(text)

    def setModelData(self, editor: QWidget, model: QAbstractItemModel, index: Index) -> None:
        if isinstance(editor, QComboBox):
            text = str(editor.currentData())
            before = str(index.data(Qt.ItemDataRole.EditRole))
            if not before and text == "other" and FIELDS[index.column()] == "kind":
                return
            model.setData(index, text)
        elif isinstance(editor, QLineEdit):
            model.setData(index, editor.text())

    def eventFilter(self, editor: QObject, event: QEvent) -> bool:
        """Return in a list commits what is chosen."""
        is_return = isinstance(event, QKeyEvent) and event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter)
        if is_return and event.type() == QEvent.Type.KeyPress and isinstance(editor, QComboBox):
            self.commitData.emit(editor)
            self.closeEditor.emit(editor)
            return True
        return super().eventFilter(editor, event)


def _choices(parent: QWidget, field: str, value: str) -> ChoiceBox:
    combo = ChoiceBox(parent)
    combo.setFont(parent.font())
    for words, choice in choice_pairs(field, value):
        combo.addItem(words, choice)
    return combo


def choice_pairs(field: str, value: str, usual: str = "") -> list[tuple[str, str]]:
    """What can be chosen of a field, as (words, value); ``usual`` is said where nothing is written.

    A ``value`` that is no choice is kept as one: it was written so.
    """
    values = CHOICES[field]
    shown = values if value in values or not value else (*values, value)
    return [(choice_words(field, choice) if choice else usual or "–", choice) for choice in shown]


class PastDelegate(QStyledItemDelegate):
    """The usual time in words, as long as there is room for, and its strip."""

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        if option.state & QStyle.StateFlag.State_Selected:
            painter.fillRect(option.rect, theme.CLOSING)
        frame = index.data(PAST_ROLE)
        if not isinstance(frame, PastFrame):
            return
        box = QRectF(option.rect).adjusted(GAP_PX, 2, -GAP_PX, -2)
        room = box.width() - STRIP_PX - GAP_PX
        painter.setFont(option.font)
        painter.setPen(QPen(theme.DESK_INK))
        width_of = QFontMetricsF(option.font).horizontalAdvance
        with_strip = width_of(frame.cells[-1]) <= room
        room = room if with_strip else box.width()
        words = longest(frame.cells, room, width_of)
        side = Qt.AlignmentFlag.AlignVCenter | Qt.AlignmentFlag.AlignLeft
        painter.drawText(QRectF(box.left(), box.top(), room, box.height()), side, words)
        if with_strip:
            strip = QRectF(box.right() - STRIP_PX, box.top() + 1, STRIP_PX, box.height() - 2)
            paint_strip(painter, strip, frame)


def longest(choices: tuple[str, ...], room: float, width_of: Callable[[str], float]) -> str:
    """The longest of these words that fits; the last where none does."""
    return next((words for words in choices if width_of(words) <= room), choices[-1])
