"""Draws what fills the Wall as a picture, the card that stands in for it, and somebody who speaks."""

from collections.abc import Callable
from functools import cache

from PySide6.QtCore import QPointF, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QImage, QPainter, QPainterPath, QPen, QTransform

from pacer.frames.wall import PictureKey
from pacer.qt.kit import theme
from pacer.qt.wall.marks import Box, Head, Picture, Sign

# Hands out a picture that fits a size in logical pixels on a screen of a ratio; None while there is none.
Pictures = Callable[[PictureKey, QSize, float], QImage | None]

SIGN_ROUND = 0.16  # of the corners of a picture that stands for a group, over its shorter side
MOUTH = QPointF(0.6, 0.66)  # where the sound comes from, in a head one high and one wide
SOUND = (0.14, 0.24, 0.34)  # how far its arcs are from there
SOUND_DEGREES = 38


def no_picture(_key: PictureKey, _size: QSize, _ratio: float) -> QImage | None:
    """Where no pictures are handed out, every one is still to come."""
    return None


def frame_width(mark: Picture) -> int:
    """Pixels of the line around a picture."""
    return max(1, round(mark.box.height * 0.003))


def picture_size(mark: Picture) -> QSize:
    """The logical pixels that a picture may take within its frame."""
    line = frame_width(mark)
    return QSize(max(1, mark.box.width - 2 * line), max(1, mark.box.height - 2 * line))


def paint_picture(painter: QPainter, mark: Picture, pictures: Pictures) -> bool:
    """Paint a picture whole, in the middle of its place, within a thin frame.

    False when it isn't there: then only the card's outline is painted.
    """
    device = painter.device()
    ratio = device.devicePixelRatioF() if device is not None else 1.0
    size, line = picture_size(mark), frame_width(mark)
    image = pictures(mark.key, size, ratio)
    if image is None or image.isNull():
        place = mark.box.rect_f()
        inset = place.height() * 0.06
        _outline(painter, place.adjusted(inset, inset, -inset, -inset), line, place.height() * 0.03)
        return False
    place = _middle(mark.box, size, image, ratio)
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform, place.width() * ratio < image.width())
    painter.drawImage(place, image, QRectF(image.rect()))
    _outline(painter, place.adjusted(-line, -line, line, line), line, 0)
    return True


def paint_sign(painter: QPainter, mark: Sign, pictures: Pictures) -> bool:
    """Paint a picture in the place of a sign; False when there is none.

    Its corners are round where it has no shape of its own: what has corners on the Wall is a minute.
    """
    if mark.picture is None:
        return False
    device = painter.device()
    ratio = device.devicePixelRatioF() if device is not None else 1.0
    image = pictures(mark.picture, QSize(*mark.box[2:]), ratio)
    if image is None or image.isNull():
        return False
    place = _middle(mark.box, QSize(*mark.box[2:]), image, ratio)
    painter.save()  # digits are drawn as pictures, too, and are not to be smoothed
    painter.setRenderHint(QPainter.RenderHint.SmoothPixmapTransform)
    if image.hasAlphaChannel():
        painter.drawImage(place, image, QRectF(image.rect()))
    else:
        _draw_rounded(painter, place, image)
    painter.restore()
    return True


def _draw_rounded(painter: QPainter, place: QRectF, image: QImage) -> None:
    across, down = place.width() / image.width(), place.height() / image.height()
    brush = QBrush(image)
    brush.setTransform(QTransform.fromTranslate(place.x(), place.y()).scale(across, down))
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrushOrigin(0, 0)
    painter.setBrush(brush)
    radius = SIGN_ROUND * min(place.width(), place.height())
    painter.drawRoundedRect(place, radius, radius)


def _middle(box: Box, size: QSize, image: QImage, ratio: float) -> QRectF:
    """Where a picture lies in a box so that it is whole, within a size of logical pixels."""
    share = min(1.0, size.width() * ratio / image.width(), size.height() * ratio / image.height())
    width, height = image.width() * share / ratio, image.height() * share / ratio
    # On whole pixels of the screen: a picture drawn for this size is then copied and not smoothed.
    left = round((box.x + (box.width - width) / 2) * ratio) / ratio
    top = round((box.y + (box.height - height) / 2) * ratio) / ratio
    return QRectF(left, top, width, height)


def _outline(painter: QPainter, place: QRectF, line: int, radius: float) -> None:
    """A line within the edge of a place."""
    half = line / 2
    painter.setPen(QPen(theme.OUTLINE, line))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRoundedRect(place.adjusted(half, half, -half, -half), radius, radius)


def paint_head(painter: QPainter, mark: Head) -> None:
    """Paint a head from the side with the sound that leaves its mouth."""
    x, y, width, height = mark.box
    place = QTransform.fromTranslate(x, y).scale(width, height)
    if mark.faces_left:
        place = place.translate(1, 0).scale(-1, 1)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(theme.INK)
    painter.drawPath(place.map(_profile()))
    pen = QPen(theme.SQUARE, max(1.0, height * 0.05))
    pen.setCapStyle(Qt.PenCapStyle.RoundCap)
    painter.setPen(pen)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawPath(place.map(_sound()))


@cache
def _profile() -> QPainterPath:
    """Neck, back of the head, forehead, nose, an open mouth, chin; it looks to the right."""
    path = QPainterPath(QPointF(0.1, 1.0))
    path.cubicTo(0.13, 0.86, 0.12, 0.78, 0.07, 0.68)
    path.cubicTo(-0.03, 0.5, -0.02, 0.0, 0.31, 0.0)
    path.cubicTo(0.48, 0.0, 0.57, 0.12, 0.57, 0.28)
    path.cubicTo(0.57, 0.36, 0.6, 0.42, 0.65, 0.49)
    path.cubicTo(0.67, 0.52, 0.65, 0.54, 0.59, 0.55)
    path.lineTo(0.6, 0.61)
    path.lineTo(0.49, 0.66)
    path.lineTo(0.59, 0.72)
    path.cubicTo(0.59, 0.84, 0.56, 0.87, 0.48, 0.87)
    path.cubicTo(0.43, 0.87, 0.41, 0.9, 0.41, 1.0)
    path.closeSubpath()
    return path


@cache
def _sound() -> QPainterPath:
    path = QPainterPath()
    for radius in SOUND:
        around = QRectF(MOUTH.x() - radius, MOUTH.y() - radius, 2 * radius, 2 * radius)
        path.arcMoveTo(around, -SOUND_DEGREES)
        path.arcTo(around, -SOUND_DEGREES, 2 * SOUND_DEGREES)
    return path
