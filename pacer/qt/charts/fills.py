"""Fills of a picture's boxes: plain, striped, dotted, crossed, only outlined; thousands in a few strokes."""

from functools import lru_cache
from math import ceil
from typing import cast

import numpy as np
from PySide6.QtCore import QLineF, QPointF, QRectF, Qt
from PySide6.QtGui import QBrush, QColor, QImage, QPainter, QPainterPath, QPen, QTransform
from shiboken6 import wrapInstance

from pacer.frames.pictures.chart import Pattern
from pacer.qt.charts.look import Ink, Look
from pacer.qt.charts.ticks import Values

STRIPES, DOTS = 0.5, 0.42  # distance from one to the next, in sizes of the type
LINE, EDGE, GAP = 0.16, 0.09, 0.07  # widths: of stripes and dots, of outlines, of what parts plain boxes


def fill_boxes(
    painter: QPainter, boxes: Values, ink: Ink, pattern: Pattern, look: Look, px: float,
    *, edged: bool, screen: bool,
) -> None:  # fmt: skip
    """Fill boxes of one tone and pattern, rows of left, top, width and height.

    ``edged``: they are large enough for outlines; else their areas must speak alone. On a ``screen`` stripes
    and dots are pixels; on paper they are lines and points, which a printer draws as finely as it can.
    """
    pattern = ink.own if pattern == "filled" and ink.own is not None else pattern
    plain = pattern == "filled" and ink.area == ink.line
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(ink.area if pattern == "filled" else _tint(ink.area, look.paper, 0.1 if edged else 0.3))
    _draw(painter, boxes)
    if pattern in ("hatched", "dotted"):
        (_on_screen if screen else _on_paper)(painter, boxes, ink, pattern, px)
    if pattern == "crossed":
        painter.setPen(QPen(ink.line, px * EDGE))
        painter.drawLines(_crosses(boxes))
    if edged:
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.setPen(_edge(ink, look, px, plain=plain))
        # Paper around a box of a few pixels would wipe it out.
        large = boxes[boxes[:, 2:].min(axis=1) > px * GAP * 4] if plain else boxes
        inset = 0.0 if plain else px * EDGE / 2  # an outline stays within its box
        _draw(painter, large + np.array([inset, inset, -2 * inset, -2 * inset]))


def _draw(painter: QPainter, boxes: Values) -> None:
    """Draw rows of left, top, width and height: as they lie in memory, without an object for each."""
    rows = np.ascontiguousarray(boxes, dtype=np.float64)
    if len(rows):
        painter.drawRects(cast(QRectF, wrapInstance(rows.ctypes.data, QRectF)), len(rows))


def fill_torn(
    painter: QPainter, boxes: Values, ink: Ink, pattern: Pattern, look: Look, px: float, *, screen: bool
) -> None:
    """Fill boxes large enough for teeth whose right end is not known: it is torn off."""
    pen, inset = _edge(ink, look, px, plain=False), px * EDGE / 2
    pen.setJoinStyle(Qt.PenJoinStyle.BevelJoin)  # a mitre would reach beyond what is known
    for row in boxes:
        box = QRectF(*row.tolist())
        painter.save()
        painter.setClipPath(_torn(box, px), Qt.ClipOperation.IntersectClip)
        fill_boxes(painter, row[np.newaxis], ink, pattern, look, px, edged=False, screen=screen)
        painter.restore()
        painter.setPen(pen)
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawPath(_torn(box.adjusted(inset, inset, -inset, -inset), px))


def _edge(ink: Ink, look: Look, px: float, *, plain: bool) -> QPen:
    """Plain boxes are parted by paper, all others have an outline."""
    pen = QPen(look.paper if plain else ink.line, px * (GAP if plain else EDGE))
    pen.setJoinStyle(Qt.PenJoinStyle.MiterJoin)
    return pen


def _tint(colour: QColor, paper: QColor, share: float) -> QColor:
    """A colour thinned with paper."""
    parts = ((colour.red(), paper.red()), (colour.green(), paper.green()), (colour.blue(), paper.blue()))
    return QColor(*(round(one * share + other * (1 - share)) for one, other in parts))


def _on_screen(painter: QPainter, boxes: Values, ink: Ink, pattern: Pattern, px: float) -> None:
    """Stripes or dots over boxes, by way of a picture: to draw each box with a pattern would be slow."""
    scale = painter.device().devicePixelRatioF()
    area = _around(boxes).toAlignedRect()
    layer = QImage(area.size() * scale, QImage.Format.Format_ARGB32_Premultiplied)
    if layer.isNull():
        return
    layer.setDevicePixelRatio(scale)
    layer.fill(Qt.GlobalColor.transparent)
    with QPainter(layer) as masked:
        masked.setRenderHint(QPainter.RenderHint.Antialiasing)
        masked.translate(-area.topLeft())
        masked.setPen(Qt.PenStyle.NoPen)
        masked.setBrush(ink.line)
        _draw(masked, boxes)
        masked.setCompositionMode(QPainter.CompositionMode.CompositionMode_DestinationIn)
        masked.fillRect(area, _tile(pattern, px, scale))
    painter.drawImage(area.topLeft(), layer)


@lru_cache(maxsize=32)
def _tile(pattern: Pattern, px: float, scale: float) -> QBrush:
    """A brush of stripes or dots that repeats without a seam, pixel for pixel on a screen of this scale."""
    side = max(4, round(px * (STRIPES if pattern == "hatched" else DOTS * 1.4) * scale))
    width = px * LINE * scale
    tile = QImage(side, side, QImage.Format.Format_ARGB32_Premultiplied)
    tile.fill(Qt.GlobalColor.transparent)
    with QPainter(tile) as painter:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        if pattern == "hatched":
            painter.setPen(QPen(Qt.GlobalColor.black, width))
            for shift in (-side, 0, side):
                painter.drawLine(QLineF(shift - side, 2 * side, shift + 2 * side, -side))
        else:
            painter.setPen(Qt.PenStyle.NoPen)
            painter.setBrush(Qt.GlobalColor.black)
            for part in (0.25, 0.75):
                painter.drawEllipse(QPointF(part * side, part * side), width / 2, width / 2)
    brush = QBrush(tile)
    brush.setTransform(QTransform.fromScale(1 / scale, 1 / scale))
    return brush


def _around(boxes: Values) -> QRectF:
    left, top = boxes[:, :2].min(axis=0).tolist()
    right, bottom = (boxes[:, :2] + boxes[:, 2:]).max(axis=0).tolist()
    return QRectF(QPointF(left, top), QPointF(right, bottom))


def _on_paper(painter: QPainter, boxes: Values, ink: Ink, pattern: Pattern, px: float) -> None:
    path = QPainterPath()
    path.setFillRule(Qt.FillRule.WindingFill)
    for left, top, width, height in boxes.tolist():
        path.addRect(left, top, width, height)
    pen = QPen(ink.line, px * LINE)
    pen.setCapStyle(Qt.PenCapStyle.RoundCap if pattern == "dotted" else Qt.PenCapStyle.FlatCap)
    painter.save()
    painter.setClipPath(path, Qt.ClipOperation.IntersectClip)
    painter.setPen(pen)
    if pattern == "hatched":
        painter.drawLines(_stripes(path.boundingRect(), px * STRIPES))
    else:
        painter.drawPoints(_dots(path.boundingRect(), px * DOTS))
    painter.restore()


def _stripes(area: QRectF, step: float) -> list[QLineF]:
    """Diagonal lines, in step over the whole picture, so that neighbours join."""
    first = (area.left() + area.top()) // step * step
    places = np.arange(first, area.right() + area.bottom(), step).tolist()
    return [QLineF(at - area.bottom(), area.bottom(), at - area.top(), area.top()) for at in places]


def _crosses(boxes: Values) -> list[QLineF]:
    """Both diagonals of each box."""
    corners = ((x, y, x + width, y + height) for x, y, width, height in boxes.tolist())
    return [QLineF(x, a, far, b) for x, y, far, low in corners for a, b in ((y, low), (low, y))]


def _dots(area: QRectF, step: float) -> list[QPointF]:
    """Dots in staggered rows."""
    points = list[QPointF]()
    for row in range(int(area.top() / step), ceil(area.bottom() / step)):
        first = area.left() // step * step + (row % 2) * step / 2
        points += [QPointF(x, (row + 0.5) * step) for x in np.arange(first, area.right(), step).tolist()]
    return points


def _torn(box: QRectF, px: float) -> QPainterPath:
    """A box with its right end torn off: the teeth reach to what is known, and say that there may be more."""
    tooth = min(px * 0.35, box.width() / 2)
    count = max(1, round(box.height() / max(px * 0.5, 1e-6)))
    path = QPainterPath(box.topLeft())
    for number in range(count):
        top = box.top() + box.height() * number / count
        path.lineTo(box.right(), top)
        path.lineTo(box.right() - tooth, top + box.height() / count / 2)
    path.lineTo(box.right(), box.bottom())
    path.lineTo(box.bottomLeft())
    path.closeSubpath()
    return path
