"""Draws a picture's marks within its plot: spans, boxes, lines, dots; thousands of boxes in a few strokes."""

from collections import defaultdict
from collections.abc import Sequence
from itertools import pairwise

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QPainter, QPen, QPolygonF

from pacer.frames.pictures.chart import (
    AxisSpan,
    Chart,
    ChartBox,
    ChartLine,
    Dots,
    Marker,
    Pattern,
    Stroke,
    Tone,
)
from pacer.qt.charts.fills import fill_boxes, fill_torn
from pacer.qt.charts.layout import x_at, y_at
from pacer.qt.charts.look import TYPE_PX, Look
from pacer.qt.charts.ticks import Values, bounds

EDGED_FROM = 0.3  # boxes smaller than this, in sizes of the type, get no outline
DASHED_AT_ONCE, MOST_DASHES = 64, 2000
MANY_DOTS = 240  # more than these are drawn smaller, and the lines that join them thinner
_WIDTHS: dict[Tone, float] = {"main": 0.15, "second": 0.15, "over": 0.15, "quiet": 0.1}
_DASHES: dict[Stroke, list[float]] = {"solid": [], "dashed": [5.0, 3.5], "dotted": [0.01, 2.6]}


def paint_marks(
    painter: QPainter, chart: Chart, plot: QRectF, look: Look, px: float, *, screen: bool = False
) -> None:
    """Paint all marks, none outside the plot.

    ``px`` is the size of the picture's type, which all widths follow; on a ``screen`` the
    sides of boxes lie on whole pixels.
    """
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    if screen:
        painter.translate(plot.topLeft())  # where stripes and dots begin
        plot = plot.translated(-plot.topLeft())
    # Half a mark more: a dot or a line at the very end of an axis is not cut in two.
    half = round(px / 2)
    painter.setClipRect(plot.toRect().adjusted(-half, -half, half, half), Qt.ClipOperation.IntersectClip)
    # Flat numbers: thousands of small tuples would set the collector of garbage to work.
    kinds: dict[tuple[Tone, Pattern, bool], list[float]] = defaultdict(list)
    for box in chart.boxes:
        kinds[box.tone, box.pattern, box.open_end].extend((box.x0, box.x1, box.y0, box.y1))
    for (tone, pattern, open_end), flat in kinds.items():
        placed = _placed(chart, np.array(flat, dtype=np.float64).reshape(-1, 4), plot)
        _paint_boxes(painter, placed, look, tone, pattern, px, open_end=open_end, screen=screen)
    for line in chart.lines:
        spots = _spots(chart, corners(line), plot)
        if chart.boxes and line.tone in ("main", "over") and len(spots) <= DASHED_AT_ONCE:
            _paint_channel(painter, line, spots, look, px)
        _paint_line(painter, line, spots, look, px)
    size = px * (0.2 if sum(len(dots.points) for dots in chart.dots) > MANY_DOTS else 0.32)
    for dots in chart.dots:
        _paint_dots(painter, dots, _spots(chart, _rows(dots.points), plot), look, size)
    painter.restore()


def paint_bands(painter: QPainter, chart: Chart, plot: QRectF, look: Look, px: float) -> None:
    """Shade the spans; they lie under everything, the lines that help reading, too."""
    for span in chart.spans:
        low, high = np.clip((span.lower, span.upper), *bounds(chart.y if span.across else chart.x))
        (x0, y0), (x1, y1) = _spots(chart, np.array([(low, low), (high, high)]), plot)
        if span.across:
            area = QRectF(plot.left(), min(y0, y1), plot.width(), abs(y1 - y0))
        else:
            area = QRectF(x0, plot.top(), x1 - x0, plot.height())
        _paint_span(painter, area, look, px, across=span.across)


def _paint_span(painter: QPainter, area: QRectF, look: Look, px: float, *, across: bool) -> None:
    painter.fillRect(area, look.band)
    painter.setPen(QPen(look.side, px * 0.06, Qt.PenStyle.DotLine))
    first, last = area.topLeft(), area.bottomRight()
    second, third = (area.topRight(), area.bottomLeft())[:: 1 if across else -1]
    painter.drawLine(first, second)
    painter.drawLine(third, last)


def _rows(points: Sequence[tuple[float, float]]) -> Values:
    return np.asarray(points, dtype=np.float64).reshape(-1, 2)


def corners(line: ChartLine) -> Values:
    """The points that a line joins; one in steps holds each value until the next."""
    points = _rows(line.points)
    if not line.steps or len(points) < 2:
        return points
    doubled = np.repeat(points, 2, axis=0)
    return np.column_stack((doubled[1:, 0], doubled[:-1, 1]))


def _spots(chart: Chart, points: Values, plot: QRectF) -> Values:
    """Points of the chart as points of the plot."""
    return np.column_stack((x_at(chart.x, points[:, 0], plot), y_at(chart.y, points[:, 1], plot)))


def _placed(chart: Chart, rows: Values, plot: QRectF) -> Values:
    """Boxes as left, top, right, bottom within the plot, whichever way round they were given."""
    first, second = _spots(chart, rows[:, [0, 2]], plot), _spots(chart, rows[:, [1, 3]], plot)
    low, high = np.minimum(first, second), np.maximum(first, second)
    least, most = (plot.left(), plot.top()), (plot.right(), plot.bottom())
    boxes = np.column_stack((np.clip(low, least, most), np.clip(high, least, most)))
    return boxes[np.isfinite(boxes).all(axis=1)]


def _paint_boxes(
    painter: QPainter, placed: Values, look: Look, tone: Tone, pattern: Pattern, px: float,
    *, open_end: bool, screen: bool,
) -> None:  # fmt: skip
    """Boxes of one kind in one stroke; where many share a pixel, they blend."""
    if not len(placed):
        return
    edged = bool(np.median((placed[:, 2:] - placed[:, :2]).min(axis=1)) >= px * EDGED_FROM)
    if screen and edged:
        placed = np.round(placed)
    boxes = np.column_stack((placed[:, :2], placed[:, 2:] - placed[:, :2]))
    ink = look.tones[tone]
    if open_end and edged:
        fill_torn(painter, boxes, ink, pattern, look, px, screen=screen)
    else:
        fill_boxes(painter, boxes, ink, pattern, look, px, edged=edged, screen=screen)


def _line_pen(line: ChartLine, look: Look, px: float) -> QPen:
    """The pen of a line; dots and dashes follow its width."""
    pen = QPen(look.tones[line.tone].line, px * _WIDTHS[line.tone])
    solid = Qt.PenCapStyle.SquareCap if line.steps else Qt.PenCapStyle.RoundCap
    pen.setCapStyle(
        {"solid": solid, "dashed": Qt.PenCapStyle.FlatCap, "dotted": Qt.PenCapStyle.RoundCap}[line.stroke]
    )
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin if line.steps else Qt.PenJoinStyle.RoundJoin)
    if _DASHES[line.stroke]:
        pen.setDashPattern(_DASHES[line.stroke])
    return pen


def _paint_line(painter: QPainter, line: ChartLine, spots: Values, look: Look, px: float) -> None:
    pen = _line_pen(line, look, px)
    if len(line.points) > MANY_DOTS and not line.steps:
        pen.setWidthF(px / TYPE_PX)
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if line.stroke != "solid":
        painter.setPen(_fewer_dashes(painter.pen(), spots))
    for piece in _pieces(spots):
        points = [QPointF(x, y) for x, y in piece.tolist()]
        if line.stroke == "solid":
            # One by one: the outline of a long polyline crosses itself, and that is slow to fill.
            painter.drawLines([QLineF(one, other) for one, other in pairwise(points)])
        else:
            for start in range(0, len(points) - 1, DASHED_AT_ONCE):
                painter.drawPolyline(QPolygonF(points[start : start + DASHED_AT_ONCE + 1]))


def _paint_channel(painter: QPainter, line: ChartLine, spots: Values, look: Look, px: float) -> None:
    """A strip of paper under a line: where it crosses dark boxes, its dashes would be lost."""
    painter.setPen(QPen(look.paper, px * (_WIDTHS[line.tone] + 0.16), c=Qt.PenCapStyle.FlatCap))
    for piece in _pieces(spots):
        painter.drawPolyline(QPolygonF([QPointF(x, y) for x, y in piece.tolist()]))


def _fewer_dashes(pen: QPen, spots: Values) -> QPen:
    """The pen with longer dashes where a line is so long that thousands would have to be drawn."""
    long = float(np.nansum(np.hypot(*np.diff(spots, axis=0).T)))
    stretch = long / (MOST_DASHES * sum(pen.dashPattern()) * pen.widthF())
    if stretch > 1:
        pen.setDashPattern([part * stretch for part in pen.dashPattern()])
    return pen


def _pieces(spots: Values) -> Sequence[Values]:
    """A line, broken where a value is missing."""
    known = np.isfinite(spots).all(axis=1)
    if known.all():
        return [spots]
    cuts = np.flatnonzero(np.diff(known.astype(np.int8))) + 1
    return [piece for piece in np.split(spots, cuts) if len(piece) and np.isfinite(piece[0]).all()]


def _paint_dots(painter: QPainter, dots: Dots, spots: Values, look: Look, size: float) -> None:
    """Dots with a thin rim of paper, so that two that touch remain two; a ring is hollow."""
    colour = look.tones[dots.tone].line
    if dots.shape == "ring":
        painter.setPen(QPen(colour, size * 0.45))
        painter.setBrush(look.paper)
    else:
        painter.setPen(QPen(look.paper, size * 0.25))
        painter.setBrush(colour)
    for x, y in spots[np.isfinite(spots).all(axis=1)].tolist():
        _paint_shape(painter, dots.shape, QPointF(x, y), size)


def _paint_shape(painter: QPainter, shape: Marker, at: QPointF, size: float) -> None:
    """One dot with the painter's pen and brush; ``size`` is its radius. All shapes have about one area."""
    if shape in ("dot", "ring"):
        painter.drawEllipse(at, size, size)
    elif shape == "square":
        half = size * 0.9
        painter.drawRect(QRectF(at.x() - half, at.y() - half, 2 * half, 2 * half))
    else:
        up, side = size * 1.3, size * 1.2
        corners_of = (QPointF(0, -up), QPointF(side, up * 0.65), QPointF(-side, up * 0.65))
        painter.drawPolygon(QPolygonF([at + corner for corner in corners_of]))


def paint_sample(
    painter: QPainter, mark: ChartBox | Dots | ChartLine | AxisSpan, area: QRectF, look: Look, px: float,
    *, screen: bool,
) -> None:  # fmt: skip
    """One mark of a legend, drawn as it is in the picture."""
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    box = np.array([[area.left(), area.top(), area.right(), area.bottom()]])
    middle = area.center().y()
    if isinstance(mark, ChartBox):
        _paint_boxes(painter, box, look, mark.tone, mark.pattern, px, open_end=mark.open_end, screen=screen)
    elif isinstance(mark, AxisSpan):
        _paint_span(painter, area, look, px, across=mark.across)
    elif isinstance(mark, ChartLine):
        _paint_line(painter, mark, np.array([(area.left(), middle), (area.right(), middle)]), look, px)
    else:
        _paint_dots(painter, mark, np.array([(area.center().x(), middle)]), look, px * 0.32)
    painter.restore()
