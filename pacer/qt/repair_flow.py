"""Widgets in a row that goes on in the next line where it is full."""

from PySide6.QtCore import QPoint, QRect, QSize, Qt
from PySide6.QtWidgets import QLayout, QLayoutItem, QSizePolicy, QWidget


class FlowLayout(QLayout):
    """Lays widgets out like words; its height follows from its width."""

    def __init__(self, parent: QWidget | None = None, gap: int = 8) -> None:
        super().__init__(parent)
        self._items: list[QLayoutItem] = []
        self._gap = gap
        self.setContentsMargins(0, 0, 0, 0)

    def addItem(self, item: QLayoutItem) -> None:
        self._items.append(item)

    def count(self) -> int:
        return len(self._items)

    def itemAt(self, index: int) -> QLayoutItem | None:
        return self._items[index] if 0 <= index < len(self._items) else None

    def takeAt(self, index: int) -> QLayoutItem | None:
        return self._items.pop(index) if 0 <= index < len(self._items) else None

    def expandingDirections(self) -> Qt.Orientation:
        return Qt.Orientation(0)

    def hasHeightForWidth(self) -> bool:
        return True

    def heightForWidth(self, width: int) -> int:
        return self._place(QRect(0, 0, width, 0), move=False)

    def setGeometry(self, rect: QRect) -> None:
        super().setGeometry(rect)
        self._place(rect, move=True)

    def sizeHint(self) -> QSize:
        return self.minimumSize()

    def minimumSize(self) -> QSize:
        size = QSize()
        for item in self._items:
            size = size.expandedTo(item.minimumSize())
        return size

    def _place(self, rect: QRect, *, move: bool) -> int:
        """Put everything in lines, middles on one height; returns the height used."""
        y, line, width = rect.top(), [], 0
        for item in self._items:
            if item.isEmpty():
                continue
            hint = item.sizeHint()
            if line and width + self._gap + hint.width() > rect.width():
                y += self._line(line, rect.left(), y, move) + self._gap
                line, width = [], 0
            width += (self._gap if line else 0) + hint.width()
            line.append(item)
        return y + self._line(line, rect.left(), y, move) - rect.top()

    def _line(self, line: list[QLayoutItem], x: int, y: int, move: bool) -> int:
        height = max((item.sizeHint().height() for item in line), default=0)
        for item in line:
            hint = item.sizeHint()
            if move:
                item.setGeometry(QRect(QPoint(x, y + (height - hint.height()) // 2), hint))
            x += hint.width() + self._gap
        return height


def flow_widget(*widgets: QWidget, gap: int = 8) -> QWidget:
    """A widget that holds others in such a row."""
    made = QWidget()
    flow = FlowLayout(made, gap)
    for widget in widgets:
        flow.addWidget(widget)
    policy = QSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Minimum)
    policy.setHeightForWidth(True)
    made.setSizePolicy(policy)
    return made
