"""The three marks of the ready list, drawn: a tick, an open circle, and a sign to look. Shape, not colour."""

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter, QPaintEvent, QPen
from PySide6.QtWidgets import QWidget

from pacer.frames.ready import Readiness
from pacer.qt.kit import theme
from pacer.text import _

SIDE = 20


def state_words(state: Readiness) -> str:
    """A mark in a word."""
    return {"ready": _("ready"), "look": _("look"), "unknown": _("you check")}[state]


class ReadyMark(QWidget):
    """One mark. Ready: a filled circle with a tick. Unknown: an open circle. Look: a triangle with a bar."""

    def __init__(self, state: Readiness) -> None:
        super().__init__()
        self.state: Readiness = state
        self.setFixedSize(QSize(SIDE, SIDE))
        self.setAccessibleName(state_words(state))

    def paintEvent(self, _event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            painter.setRenderHint(QPainter.RenderHint.Antialiasing)
            draw_mark(painter, QRectF(1.5, 1.5, SIDE - 3, SIDE - 3), self.state)


def draw_mark(painter: QPainter, box: QRectF, state: Readiness) -> None:
    """Draw a mark into a square box."""
    x, y, side = box.x(), box.y(), box.width()
    if state == "ready":
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.SQUARE)
        painter.drawEllipse(box)
        painter.setPen(_pen(theme.DESK_PAPER))
        ticks = [(0.27, 0.53), (0.44, 0.70), (0.75, 0.32)]
        painter.drawPolyline([QPointF(x + side * right, y + side * down) for right, down in ticks])
        return
    painter.setPen(_pen(theme.OUTLINE if state == "unknown" else theme.DESK_INK))
    painter.setBrush(Qt.BrushStyle.NoBrush if state == "unknown" else theme.SAND)
    if state == "unknown":
        painter.drawEllipse(box)
        return
    corners = [(0.5, 0.0), (1.0, 0.96), (0.0, 0.96)]
    painter.drawPolygon([QPointF(x + side * right, y + side * down) for right, down in corners])
    middle = x + side / 2
    painter.drawLine(QPointF(middle, y + side * 0.40), QPointF(middle, y + side * 0.58))
    painter.drawPoint(QPointF(middle, y + side * 0.78))


def _pen(colour: QColor) -> QPen:
    return QPen(colour, 2, Qt.PenStyle.SolidLine, Qt.PenCapStyle.RoundCap, Qt.PenJoinStyle.RoundJoin)
