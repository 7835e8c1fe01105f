"""Pictures of the Wall and the Desk as PNG files, without a window."""

import os
from pathlib import Path

from PySide6.QtCore import QRect
from PySide6.QtGui import QGuiApplication, QImage, QPainter

from pacer.frames.desk import DeskFrame
from pacer.frames.wall import WallFrame
from pacer.qt.desk.painter import paint_desk
from pacer.qt.kit import theme
from pacer.qt.wall.painter import paint_wall
from pacer.qt.wall.pictures import Pictures, no_picture
from pacer.text import _

# Kept: an application that is collected takes the fonts with it.
_own_application: list[QGuiApplication] = []


class PictureError(OSError):
    """A picture could not be written; the message says which and what to do."""


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


def save_pictures(
    wall: WallFrame | None,
    desk: DeskFrame | None,
    wall_path: Path | None,
    desk_path: Path | None,
    width: int,
    height: int,
) -> None:
    """Write the frames that are given to their paths; sizes in pixels.

    Raises PictureError, an OSError, with words for the teacher when a file cannot be written.
    """
    for frame, path in ((wall, wall_path), (desk, desk_path)):
        if frame is None or path is None:
            continue
        if not draw(frame, width, height).save(str(path), "PNG"):  # type: ignore[call-overload]  # the stub wants bytes, Qt takes text
            words = _("The picture {path} could not be written. Choose a folder that exists and can be used.")
            raise PictureError(words.format(path=path))
