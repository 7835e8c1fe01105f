"""A row of widgets that wraps to the next line when it is full."""

from PySide6.QtCore import QRect, QSize
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QSizePolicy, QWidget


class Flow(QWidget):
    """Lays widgets out like words of a text; its height follows from its width."""

    def __init__(self, *widgets: QWidget, gap: int = 8) -> None:
        super().__init__()
        self._widgets, self._gap, self._high = widgets, gap, 0
        self.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Fixed)
        for widget in widgets:
            widget.setParent(self)
        self._place(10_000)

    def sizeHint(self) -> QSize:
        return QSize(400, self._high)

    def minimumSizeHint(self) -> QSize:
        return QSize(max((each.sizeHint().width() for each in self._widgets), default=0), self._high)

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._place(event.size().width())

    def _place(self, width: int) -> None:
        """Put everything in lines; a height that changes is told to whoever holds this."""
        lines: list[list[QWidget]] = [[]]
        x = 0
        for widget in self._widgets:
            wide = widget.sizeHint().expandedTo(widget.minimumSize()).width()
            if lines[-1] and x + wide > width:
                lines.append([])
                x = 0
            lines[-1].append(widget)
            x += wide + self._gap
        y = 0
        for line in lines:
            y += self._line(line, y) + self._gap
        if y - self._gap != self._high:
            self._high = y - self._gap
            self.updateGeometry()

    def _line(self, line: list[QWidget], y: int) -> int:
        """One line with the middles on one height; returns its height."""
        height, x = max((each.sizeHint().height() for each in line), default=0), 0
        for each in line:
            hint = each.sizeHint().expandedTo(each.minimumSize())
            each.setGeometry(QRect(x, y + (height - hint.height()) // 2, hint.width(), hint.height()))
            x += hint.width() + self._gap
        return height
