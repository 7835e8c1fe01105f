"""Pictures of the Wall and the Desk as PNG, without a window."""

import os

from PySide6.QtCore import QBuffer, QIODevice
from PySide6.QtGui import QColor, QGuiApplication, QImage, QPainter

from pacer.frames.desk import DeskFrame
from pacer.frames.wall import WallFrame
from pacer.plan.outline import Outline
from pacer.qt.attachments.drawn import DrawnFiles
from pacer.qt.attachments.process import Looker
from pacer.qt.desk.painter import paint_desk
from pacer.qt.kit import theme
from pacer.qt.wall.painter import paint_wall
from pacer.qt.wall.pictures import Pictures, no_picture
from pacer.qt.wall.strip import strip_box

OTHERS = QColor(150, 150, 150)  # where the desktop and other programs are seen

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
    with QPainter(image) as painter:
        if isinstance(frame, WallFrame):
            paint_wall(painter, image.rect(), frame, pictures=pictures)
        else:
            paint_desk(painter, image.rect(), frame)
    return image


def draw_screen(
    frame: WallFrame | DeskFrame, width: int, height: int, *, pictures: Pictures = no_picture
) -> QImage:
    """A screen of a size as the room sees it: a strip in its place, and grey where other programs are."""
    if not isinstance(frame, WallFrame) or (frame.shape == "full" and frame.face not in ("strip", "off")):
        return draw(frame, width, height, pictures=pictures)
    ensure_application()
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(OTHERS)
    if frame.face != "off":
        box = strip_box(frame.edge, width, height)
        with QPainter(image) as painter:
            painter.drawImage(box.x, box.y, draw(frame, box.width, box.height, pictures=pictures))
    return image


def png(frame: WallFrame | DeskFrame, width: int, height: int, outline: Outline | None = None) -> bytes:
    """A screen with a frame as the content of a PNG file; sizes in pixels.

    What is attached to the ``outline`` is opened, drawn and shown where the room would show it.
    """
    buffer = QBuffer()
    buffer.open(QIODevice.OpenModeFlag.WriteOnly)
    if outline is not None and outline.shown_files and isinstance(frame, WallFrame):
        with Looker() as looker:
            image = draw_screen(frame, width, height, pictures=DrawnFiles(outline, looker))
    else:
        image = draw_screen(frame, width, height)
    image.save(buffer, "PNG")  # type: ignore[call-overload]  # the stub wants bytes, Qt takes text
    return bytes(buffer.data().data())
