"""Pictures of the Wall and the Desk as PNG, without a window."""

import os

from PySide6.QtCore import QBuffer, QIODevice, QRect
from PySide6.QtGui import QGuiApplication, QImage, QPainter

from pacer.frames.desk import DeskFrame
from pacer.frames.wall import WallFrame
from pacer.qt.desk.painter import paint_desk
from pacer.qt.kit import theme
from pacer.qt.wall.painter import paint_wall
from pacer.qt.wall.pictures import Pictures, no_picture

# Kept: an application that is collected takes the fonts with it.
_own_application: list[QGuiApplication] = []


def ensure_application() -> None:
    """Start a Qt application that needs no screen, unless there is one already."""
    if QGuiApplication.instance() is None:
        os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
        _own_application.append(QGuiApplication([]))


def draw(frame: WallFrame | DeskFrame, width: int, height: int, *, pictures: Pictures = no_picture) -> QImage:
    """A frame as a picture of a size in pixels; ``pictures`` hands out what fills a Wall as one."""
    ensure_application()
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.setDevicePixelRatio(1)
    image.fill(theme.PAPER)
    painter = QPainter(image)
    try:
        if isinstance(frame, WallFrame):
            paint_wall(painter, QRect(0, 0, width, height), frame, pictures=pictures)
        else:
            paint_desk(painter, QRect(0, 0, width, height), frame)
    finally:
        painter.end()
    return image


def png(frame: WallFrame | DeskFrame, width: int, height: int) -> bytes:
    """A frame as the content of a PNG file; sizes in pixels."""
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    draw(frame, width, height).save(buffer, "PNG")  # type: ignore[call-overload]  # the stub wants bytes, Qt takes text
    return bytes(buffer.data().data())
