"""Outlines in ink that stand for groups: neutral signs, none of them a square."""

from functools import cache
from math import cos, pi, sin

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPainterPath, QPen, QPolygonF, QTransform

from pacer.qt.kit import theme
from pacer.qt.wall.marks import Sign

STROKE, ARROW_STROKE = 0.075, 0.12  # of an outline and of the arrow to a place, over the sign's side


def paint_shape(painter: QPainter, mark: Sign) -> None:
    """Draw a sign as an outline within its box."""
    x, y, side, _height = mark.box
    stroke = ARROW_STROKE if mark.name == "to" else STROKE
    pen = QPen(theme.INK, max(2.0, side * stroke))
    pen.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    inset = side * stroke / 2 + 1
    place = QTransform.fromTranslate(x + inset, y + inset).scale(side - 2 * inset, side - 2 * inset)
    painter.drawPath(place.map(_path(mark.name)))


@cache
def _path(name: str) -> QPainterPath:
    """A sign in a unit square; an unknown name is a circle."""
    path = QPainterPath()
    match name:
        case "triangle":
            _closed(path, (0.5, 0.04), (1.0, 0.92), (0.0, 0.92))
        case "hexagon" | "pentagon":
            count = 6 if name == "hexagon" else 5
            _closed(path, *(_on_circle(number / count) for number in range(count)))
        case "star":
            corners = (_on_circle(n / 10, 0.5 if n % 2 == 0 else 0.21) for n in range(10))
            _closed(path, *corners)
        case "oval":
            path.addEllipse(QRectF(0.0, 0.2, 1.0, 0.6))
        case "cross":
            a, b = 0.34, 0.66
            _closed(path, (a, 0), (b, 0), (b, a), (1, a), (1, b), (b, b), (b, 1), (a, 1), (a, b), (0, b),
                    (0, a), (a, a))  # fmt: skip
        case "arrow":
            _closed(
                path, (0, 0.33), (0.52, 0.33), (0.52, 0.05), (1, 0.5), (0.52, 0.95), (0.52, 0.67), (0, 0.67)
            )
        case "place":  # no group's sign: where no picture says where it works
            path.moveTo(0.02, 0.34)
            path.lineTo(0.98, 0.34)
            for x in (0.14, 0.86):
                path.moveTo(x, 0.34)
                path.lineTo(x, 0.86)
        case "to":  # no group's sign: what leads to a place
            path.moveTo(0.0, 0.5)
            path.lineTo(0.98, 0.5)
            path.moveTo(0.6, 0.14)
            path.lineTo(0.98, 0.5)
            path.lineTo(0.6, 0.86)
        case "heart":
            path.moveTo(0.5, 0.95)
            path.cubicTo(-0.35, 0.35, 0.15, -0.2, 0.5, 0.22)
            path.cubicTo(0.85, -0.2, 1.35, 0.35, 0.5, 0.95)
        case "moon":
            path.moveTo(0.68, 0.03)
            path.cubicTo(-0.15, -0.05, -0.15, 1.05, 0.68, 0.97)
            path.cubicTo(0.3, 0.8, 0.3, 0.2, 0.68, 0.03)
        case "drop":
            path.moveTo(0.5, 0.0)
            path.cubicTo(0.62, 0.28, 0.9, 0.42, 0.9, 0.64)
            path.cubicTo(0.9, 1.12, 0.1, 1.12, 0.1, 0.64)
            path.cubicTo(0.1, 0.42, 0.38, 0.28, 0.5, 0.0)
        case "leaf":
            path.moveTo(0.02, 0.98)
            path.cubicTo(-0.1, 0.2, 0.35, 0.0, 0.98, 0.02)
            path.cubicTo(1.0, 0.65, 0.8, 1.1, 0.02, 0.98)
            path.lineTo(0.62, 0.38)
        case _:
            path.addEllipse(QRectF(0.0, 0.0, 1.0, 1.0))
    return path


def _closed(path: QPainterPath, *corners: tuple[float, float]) -> None:
    path.addPolygon(QPolygonF([QPointF(x, y) for x, y in corners]))
    path.closeSubpath()


def _on_circle(turn: float, radius: float = 0.5) -> tuple[float, float]:
    """A point on a circle about the middle, by its share of a turn from the top."""
    return 0.5 + radius * sin(2 * pi * turn), 0.5 - radius * cos(2 * pi * turn)
