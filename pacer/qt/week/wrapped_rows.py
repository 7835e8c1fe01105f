"""Rows of a list as high as their words need: Qt forgets the sheet's padding where it breaks lines."""

from PySide6.QtCore import QModelIndex, QPersistentModelIndex, QRect, QSize, Qt
from PySide6.QtWidgets import QListWidget, QStyledItemDelegate, QStyleOptionViewItem

SIDES_PX, ENDS_PX = 24, 14


class WrappedRows(QStyledItemDelegate):
    """Measures the words of a list's rows in the width that the list has."""

    def __init__(self, rows: QListWidget) -> None:
        super().__init__(rows)
        self._rows = rows

    def sizeHint(self, _option: QStyleOptionViewItem, index: QModelIndex | QPersistentModelIndex) -> QSize:
        width = max(40, self._rows.viewport().width())
        box = QRect(0, 0, width - SIDES_PX, 10_000)
        words = str(index.data(Qt.ItemDataRole.DisplayRole) or "")
        high = self._rows.fontMetrics().boundingRect(box, Qt.TextFlag.TextWordWrap, words).height()
        return QSize(width, high + ENDS_PX)
