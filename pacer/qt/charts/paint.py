"""A whole picture as vectors, with its question, count, legend and summary: what the coach copy prints."""

from dataclasses import replace

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QColor, QFontMetricsF, QPainter

from pacer.frames.pictures.chart import Chart
from pacer.qt.charts.axes import paint_grid, paint_sides, paint_words
from pacer.qt.charts.layout import Sides, lay_out, least_height
from pacer.qt.charts.legend import legend_height, paint_legend
from pacer.qt.charts.look import MONO, SCREEN, Look, count_line
from pacer.qt.charts.marks import paint_bands, paint_marks
from pacer.qt.kit import theme

WRAP = Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignTop | Qt.TextFlag.TextWordWrap
LEAST_PICTURE = 9.0  # sizes of the type: the least height in which a plot with its axes says something


class NoRoomError(ValueError):
    """A picture's words leave no room for it; the message says what to do."""


def paint_chart(
    painter: QPainter, rect: QRectF, chart: Chart, *, mono: bool = False, px: float | None = None
) -> None:
    """Paint title, count, picture, legend and summary into a rectangle, nothing outside it.

    ``mono`` is safe in black and white. ``px`` is the size of the type in the painter's units, by default
    a fiftieth of the width, at least 13. Raises NoRoomError where the rectangle is too low.
    """
    look = MONO if mono else SCREEN
    size = px or max(13.0, rect.width() / 50)
    picture = picture_room(rect, chart, size)
    painter.save()
    try:
        painter.setClipRect(rect, Qt.ClipOperation.IntersectClip)
        painter.fillRect(rect, look.paper)
        y = rect.top()
        y += _words(painter, rect, y, chart.title, size * 1.25, look.ink, theme.SEMIBOLD) + size * 0.1
        _words(painter, rect, y, count_line(chart), size * 0.92, look.soft)
        if chart.is_empty:
            _words(painter, rect, picture.top(), chart.summary, size, look.ink)
            return
        paint_picture(painter, chart, lay_out(chart, picture, size), look)
        box = QRectF(rect.left(), picture.bottom() + size * 0.4, rect.width(), rect.height())
        box.setHeight(legend_height(chart.keys, rect.width(), size))
        paint_legend(painter, chart.keys, box, look, size)
        y = box.bottom() + size * 0.3
        _words(painter, rect, y, chart.summary, size, look.ink)
    finally:
        painter.restore()


def picture_room(rect: QRectF, chart: Chart, px: float) -> QRectF:
    """What is left for the plot and its axes between the words. Raises NoRoomError where it is too little."""
    width = rect.width()
    head = wrapped_height(chart.title, px * 1.25, width, theme.SEMIBOLD) + px * 0.1
    head += wrapped_height(count_line(chart), px * 0.92, width) + px * 0.5
    foot = wrapped_height(chart.summary, px, width) + legend_height(chart.keys, width, px) + px * 0.7
    if chart.is_empty:
        foot = 0.0
    room = QRectF(rect.left(), rect.top() + head, width, rect.height() - head - foot)
    least = max(px * LEAST_PICTURE, least_height(replace(chart, row_lines=min(1.0, chart.row_lines)), px))
    if room.height() < (wrapped_height(chart.summary, px, width) if chart.is_empty else least):
        raise NoRoomError(chart.title)
    return room


def paint_picture(painter: QPainter, chart: Chart, sides: Sides, look: Look, *, screen: bool = False) -> None:
    """The plot with its axes alone, from what lies under the marks to the words over them."""
    painter.save()
    paint_bands(painter, chart, sides.plot, look, sides.px)
    paint_grid(painter, sides, look)
    paint_marks(painter, chart, sides.plot, look, sides.px, screen=screen)
    paint_sides(painter, chart, sides, look)
    paint_words(painter, chart, sides, look)
    painter.restore()


def wrapped_height(words: str, px: float, width: float, weight: int = theme.REGULAR) -> float:
    """How high words are when wrapped to a width; 0 without words."""
    if not words:
        return 0.0
    metrics = QFontMetricsF(theme.letters(px, weight))
    return metrics.boundingRect(QRectF(0, 0, width, 1e6), WRAP, words).height()


def _words(
    painter: QPainter, rect: QRectF, top: float, words: str, px: float, colour: QColor,
    weight: int = theme.REGULAR,
) -> float:  # fmt: skip
    """Words wrapped to the width; returns their height."""
    painter.setFont(theme.letters(px, weight))
    painter.setPen(colour)
    height = wrapped_height(words, px, rect.width(), weight)
    painter.drawText(QRectF(rect.left(), top, rect.width(), height + 2), WRAP, words)
    return height
