"""Paints a part of a lesson as a card that looks movable: grip, words, and a pin where it is to stay."""

from PySide6.QtCore import (
    QAbstractItemModel,
    QEvent,
    QModelIndex,
    QPersistentModelIndex,
    QPointF,
    QRect,
    QRectF,
    QSize,
    Qt,
    Signal,
)
from PySide6.QtGui import QFont, QFontMetrics, QMouseEvent, QPainter, QPen
from PySide6.QtWidgets import QListWidget, QStyle, QStyledItemDelegate, QStyleOptionViewItem

from pacer.qt.kit import theme

PINNED = Qt.ItemDataRole.UserRole + 1
_GAP, _GRIP, _PIN, _INSIDE = 3, 16, 20, 7  # pixels: between cards, for the dots, for the pin, beside words
_FLAGS = Qt.TextFlag.TextWordWrap | Qt.AlignmentFlag.AlignTop | Qt.AlignmentFlag.AlignLeft
Index = QModelIndex | QPersistentModelIndex


class PartCards(QStyledItemDelegate):
    """Cards of one column. ``unpinned`` carries the row whose pin was pressed."""

    unpinned = Signal(int)

    def sizeHint(self, _option: QStyleOptionViewItem, index: Index) -> QSize:
        column = self.parent()
        wide = column.viewport().width() if isinstance(column, QListWidget) else 120
        title, rest = _words(index)
        inner = _words_width(wide, bool(index.data(PINNED)))
        high = _height(title, _title_font(), inner) + _height(rest, _font(), _words_width(wide, False))
        return QSize(0, high + 2 * _INSIDE + 2 * _GAP)

    def paint(self, painter: QPainter, option: QStyleOptionViewItem, index: Index) -> None:
        card = option.rect.adjusted(1, _GAP, -1, -_GAP)
        chosen = bool(option.state & QStyle.StateFlag.State_Selected)
        pinned = bool(index.data(PINNED))
        painter.save()
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(QPen(theme.DESK_INK if chosen else theme.OUTLINE, 2 if chosen else 1.5))
        painter.setBrush(theme.CLOSING if chosen else theme.DESK_PAPER)
        painter.drawRoundedRect(QRectF(card).adjusted(1, 1, -1, -1), 6, 6)
        self._paint_grip(painter, card)
        if pinned:
            _paint_pin(painter, _pin_place(card))
        title, rest = _words(index)
        words = card.adjusted(_GRIP, _INSIDE, -_INSIDE, 0)
        painter.setPen(theme.DESK_INK)
        painter.setFont(_title_font())
        upper = words.adjusted(0, 0, -_PIN if pinned else 0, 0)
        painter.drawText(upper, _FLAGS, title)
        painter.setFont(_font())
        painter.drawText(words.adjusted(0, _height(title, _title_font(), upper.width()), 0, 0), _FLAGS, rest)
        painter.restore()

    @staticmethod
    def _paint_grip(painter: QPainter, card: QRect) -> None:
        """Six dots where a hand takes hold."""
        painter.save()
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.OUTLINE)
        for row in range(3):
            for dot in range(2):
                painter.drawEllipse(
                    QPointF(card.left() + 6 + 5 * dot, card.top() + _INSIDE + 5 + 6 * row), 1.6, 1.6
                )
        painter.restore()

    def editorEvent(
        self, event: QEvent, model: QAbstractItemModel, option: QStyleOptionViewItem, index: Index
    ) -> bool:
        """A press on the pin takes it out."""
        let_go = event.type() == QEvent.Type.MouseButtonRelease
        if let_go and isinstance(event, QMouseEvent) and index.data(PINNED):
            card = option.rect.adjusted(1, _GAP, -1, -_GAP)
            if _pin_place(card).adjusted(-4, -4, 4, 4).contains(event.position()):
                self.unpinned.emit(index.row())
                return True
        return super().editorEvent(event, model, option, index)


def _font() -> QFont:
    return theme.font(13)


def _title_font() -> QFont:
    return theme.font(15, theme.MEDIUM)


def _words(index: Index) -> tuple[str, str]:
    title, _end, rest = str(index.data(Qt.ItemDataRole.DisplayRole)).partition("\n")
    return title, rest


def _words_width(card: int, pinned: bool) -> int:
    return max(40, card - 2 - _GRIP - _INSIDE - (_PIN if pinned else 0))


def _height(words: str, font: QFont, width: int) -> int:
    return QFontMetrics(font).boundingRect(QRect(0, 0, width, 10_000), _FLAGS, words).height() if words else 0


def _pin_place(card: QRect) -> QRectF:
    return QRectF(card.right() - _PIN - 2, card.top() + _INSIDE, 14, 18)


def _paint_pin(painter: QPainter, place: QRectF) -> None:
    """A pin seen from the side: head, collar, needle."""
    painter.save()
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(theme.DESK_INK)
    middle = place.center().x()
    painter.drawRoundedRect(QRectF(middle - 4, place.top(), 8, 7), 2, 2)
    painter.drawRoundedRect(QRectF(middle - 6.5, place.top() + 7, 13, 3), 1.5, 1.5)
    painter.drawRect(QRectF(middle - 0.9, place.top() + 10, 1.8, 8))
    painter.restore()
