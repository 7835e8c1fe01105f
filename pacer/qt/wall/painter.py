"""Paints the Wall from a WallFrame and nothing else."""

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

from PySide6.QtCore import QPoint, QPointF, QRect, QRectF, QSize, QSizeF, Qt
from PySide6.QtGui import QBrush, QColor, QImage, QPainter, QPainterPath, QPen, QRegion

from pacer.frames.wall import WallFrame
from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import draw_cell, draw_setting
from pacer.qt.wall.ahead import DrawnAhead
from pacer.qt.wall.layout import changed_area as changed_area
from pacer.qt.wall.layout import leaving_fourth, wall_layout
from pacer.qt.wall.marks import (
    ROUND,
    Box,
    Digit,
    Head,
    Line,
    Mark,
    Picture,
    Sign,
    Square,
    TextBlock,
    Words,
)
from pacer.qt.wall.pictures import Pictures, no_picture, paint_head, paint_picture, paint_sign
from pacer.qt.wall.shapes import paint_shape


def paint_wall(
    painter: QPainter,
    rect: QRect,
    frame: WallFrame,
    *,
    leaving: float = 0.0,
    area: QRect | QRegion | None = None,
    pictures: Pictures = no_picture,
    ahead: DrawnAhead | None = None,
) -> None:
    """Paint a frame into a rectangle of logical pixels.

    ``leaving``, 0 to 1, is what is still to be seen of the fourth that just went; ``area``, in the
    painter's coordinates, is the part to paint: marks outside it are passed over; ``pictures`` hands out
    a picture that the Wall shows, or None while there is none; ``ahead`` has words that were drawn before.
    """
    size = rect.size()
    painter.save()
    try:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setClipRect(area & rect if isinstance(area, QRect) else rect, Qt.ClipOperation.IntersectClip)
        if isinstance(area, QRegion):
            painter.setClipRegion(area, Qt.ClipOperation.IntersectClip)
        painter.fillRect(rect, theme.PAPER)
        painter.translate(rect.topLeft())
        wanted = None if area is None else area.translated(-rect.topLeft())
        for mark in wall_layout(frame, size).marks:
            if wanted is None or wanted.intersects(mark.reach):
                _paint(painter, mark, pictures, ahead)
        if leaving > 0 and not frame.over and not frame.waiting:
            _paint_leaving(painter, frame, size, leaving)
    finally:
        painter.restore()


def paint_strip(painter: QPainter, rect: QRect, frame: WallFrame, *, leaving: float = 0.0) -> None:
    """Paint a frame as a strip, whatever shape it asks for: a row, or upright in a rectangle that is."""
    paint_wall(painter, rect, replace(frame, shape="strip"), leaving=leaving)


def draw_ahead(frame: WallFrame, size: QSize, ratio: float, ahead: DrawnAhead) -> Iterator[None]:
    """Draw the large words of a frame that may come, one at each step."""
    for mark in wall_layout(frame, size).marks:
        if isinstance(mark, Words) and ahead.draw(mark, ratio, _paint_clipped):
            yield


def _paint(painter: QPainter, mark: Mark, pictures: Pictures, ahead: DrawnAhead | None = None) -> None:
    match mark:
        case Words():
            if ahead is None or not ahead.paint(painter, mark, _ratio(painter)):
                _paint_clipped(painter, mark)
        case TextBlock():
            painter.drawImage(mark.box.rect_f().topLeft(), _sheet(mark, _ratio(painter)))
        case Digit():
            cell = mark.box.rect_f()
            draw_cell(painter, cell, mark.char, mark.px, mark.weight, _tone(mark.quiet))
        case Head():
            paint_head(painter, mark)
        case Sign():
            if not paint_sign(painter, mark, pictures):
                paint_shape(painter, mark)
        case Picture():
            if not paint_picture(painter, mark, pictures):
                for words in mark.card:
                    _paint(painter, words, pictures)
        case Square():
            paint_square(painter, mark)
        case Line():
            painter.fillRect(mark.box.rect(), theme.OUTLINE if mark.strong else theme.RULE)


def _tone(quiet: bool) -> QColor:
    return theme.SECONDARY if quiet else theme.INK


def _ratio(painter: QPainter) -> float:
    """Pixels of the screen to a logical pixel."""
    device = painter.device()
    return device.devicePixelRatioF() if device is not None else 1.0


@lru_cache(maxsize=1)
def _sheet(sheet: TextBlock, ratio: float) -> QImage:
    """All words of a sheet on paper, as sharp as a screen of a ratio of pixels shows them."""
    image = QImage((QSizeF(*sheet.box[2:]) * ratio).toSize(), QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(ratio)
    image.fill(theme.PAPER)
    with QPainter(image) as painter:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.translate(-sheet.box.x, -sheet.box.y)
        for words in sheet.words:
            _paint(painter, words, no_picture)
    return image


def _paint_clipped(painter: QPainter, words: Words) -> None:
    # Stacked accents may not run into the time: a repaint of the time alone would cut them there.
    painter.save()
    painter.setClipRect(words.reach, Qt.ClipOperation.IntersectClip)
    _paint_words(painter, words)
    painter.restore()


def _paint_words(painter: QPainter, words: Words) -> None:
    box = words.box.rect_f()
    if not words.turned:
        draw_setting(painter, box, words.setting, _tone(words.quiet), words.align)
        return
    painter.save()
    painter.translate(box.topRight())
    painter.rotate(90)
    turned = QRectF(0, 0, box.height(), box.width())
    draw_setting(painter, turned, words.setting, _tone(words.quiet), words.align)
    painter.restore()


def paint_square(painter: QPainter, square: Square) -> None:
    """A thin outline that stays, and inside it what is left of the minute."""
    side = square.box.width
    pen_width = max(1, round(side * 0.022))
    half = pen_width / 2
    painter.setPen(QPen(theme.OUTLINE, pen_width))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPath(_outline(square.outlines, half, side * 0.08))
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(_fill(square, side))
    if square.is_full:
        if square.waiting:
            painter.drawImage(QPointF(*square.inner[:2]), _hatched(square.inner.width, side, _ratio(painter)))
        else:
            _fill_box(painter, square.inner, side)
        return
    for index in range(square.fourths):
        _fill_box(painter, square.fourth(index), side)


def _outline(boxes: tuple[Box, ...], inset: float, radius: float) -> QPainterPath:
    """The line around boxes that share a corner, as one."""
    path = QPainterPath()
    for box in boxes:
        part = QPainterPath()
        part.addRoundedRect(box.rect_f().adjusted(inset, inset, -inset, -inset), radius, radius)
        path = path.united(part)
    return path


def _fill(square: Square, side: int) -> QBrush:
    return _hatching(side) if square.waiting else QBrush(theme.SQUARE)


def _hatching(side: int) -> QBrush:
    return theme.stripes(theme.WAIT_DARK, theme.WAIT_LIGHT, max(2.0, side / 16))


@lru_cache(maxsize=4)
def _hatched(width: int, side: int, ratio: float) -> QImage:
    """A whole minute that waits: all of them look alike, and stripes are costly to draw."""
    image = QImage((QSizeF(width, width) * ratio).toSize(), QImage.Format.Format_ARGB32_Premultiplied)
    image.setDevicePixelRatio(ratio)
    image.fill(Qt.GlobalColor.transparent)
    with QPainter(image) as painter:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(_hatching(side))
        _fill_box(painter, Box(0, 0, width, width), side)
    return image


def _fill_box(painter: QPainter, box: Box, side: int) -> None:
    painter.setBrushOrigin(QPoint(box.x, box.y))
    painter.drawRoundedRect(QRectF(*box), side * ROUND, side * ROUND)


def _paint_leaving(painter: QPainter, frame: WallFrame, size: QSize, leaving: float) -> None:
    box = leaving_fourth(frame, size)
    if box is not None:
        painter.setOpacity(min(1.0, leaving))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.SQUARE)
        _fill_box(painter, box, wall_layout(frame, size).squares[0].box.width)
