"""Draws what surrounds a picture's marks: lines that help reading, axes, their words, words in the plot."""

from PySide6.QtCore import QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen

from pacer.frames.pictures.chart import Axis, Chart
from pacer.qt.charts.layout import Sides, words_within, x_at, y_at
from pacer.qt.charts.look import Look
from pacer.qt.charts.ticks import bounds
from pacer.qt.kit import theme

_RIGHT = Qt.AlignmentFlag.AlignRight | Qt.AlignmentFlag.AlignVCenter
_LINES = Qt.AlignmentFlag.AlignHCenter | Qt.AlignmentFlag.AlignTop
_MIDDLE = _LINES | Qt.TextFlag.TextSingleLine


def paint_grid(painter: QPainter, sides: Sides, look: Look) -> None:
    """Thin lines across the plot at the values of a scale; they lie under the marks."""
    plot = sides.plot
    painter.setPen(QPen(look.grid, sides.px * 0.07))
    for label in sides.y_ticks if sides.grid_y else ():
        _draw_level(painter, plot, label.at)
    for label in sides.x_ticks if sides.grid_x else ():
        _draw_upright(painter, plot, label.at)


def paint_sides(painter: QPainter, chart: Chart, sides: Sides, look: Look) -> None:
    """The axes with their ticks and words; a zero within the plot is drawn as firmly as the axes."""
    plot, px = sides.plot, sides.px
    painter.setPen(QPen(look.side, px * 0.09))
    painter.drawLine(plot.bottomLeft(), plot.bottomRight())
    painter.drawLine(plot.topLeft(), plot.bottomLeft())
    for x in sides.x_marks or [label.at for label in sides.x_ticks]:
        painter.drawLine(QPointF(x, plot.bottom()), QPointF(x, plot.bottom() + px * 0.2))
    for label in sides.x_ticks:
        painter.drawLine(QPointF(label.at, plot.bottom()), QPointF(label.at, plot.bottom() + px * 0.4))
    if sides.grid_y and _crosses_zero(chart.y):
        _draw_level(painter, plot, y_at(chart.y, 0.0, plot))
    if sides.grid_x and _crosses_zero(chart.x):
        _draw_upright(painter, plot, x_at(chart.x, 0.0, plot))
    painter.setFont(theme.letters(px))
    painter.setPen(look.ink)
    for label in sides.y_ticks:
        painter.drawText(label.box, _RIGHT, label.text)
    for label in sides.x_ticks:
        painter.drawText(_roomy(label.box), _LINES, label.text)
    painter.setPen(look.soft)
    for side in (sides.x_label, sides.y_label):
        if side is not None:
            painter.drawText(_roomy(side.box), _MIDDLE, side.text)


def paint_words(painter: QPainter, chart: Chart, sides: Sides, look: Look) -> None:
    """The words within the plot, each on paper, so that marks behind it do not hinder reading."""
    painter.setFont(theme.letters(sides.px))
    painter.setPen(look.ink)
    for label in words_within(chart, sides):
        painter.fillRect(label.box.adjusted(-sides.px * 0.15, 0, sides.px * 0.15, 0), look.paper)
        painter.drawText(_roomy(label.box), _MIDDLE, label.text)


def _draw_level(painter: QPainter, plot: QRectF, y: float) -> None:
    painter.drawLine(QPointF(plot.left(), y), QPointF(plot.right(), y))


def _draw_upright(painter: QPainter, plot: QRectF, x: float) -> None:
    painter.drawLine(QPointF(x, plot.top()), QPointF(x, plot.bottom()))


def _crosses_zero(axis: Axis) -> bool:
    lower, upper = bounds(axis)
    return lower < 0 < upper


def _roomy(box: QRectF) -> QRectF:
    """A little wider than measured: a rounded pixel must not cost the last letter."""
    return box.adjusted(-2, 0, 2, 0)
