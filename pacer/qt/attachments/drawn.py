"""Attached pictures for a picture of the Wall: drawn while it waits, in the process that opens them."""

from PySide6.QtCore import QSize
from PySide6.QtGui import QImage

from pacer.frames.wall import PictureKey
from pacer.plan.outline import Outline
from pacer.qt.attachments.cache import owner_of
from pacer.qt.attachments.process import Looker


class DrawnFiles:
    """Hands out the pictures of an outline, each drawn when it is asked for; None where it can't be shown."""

    def __init__(self, outline: Outline, looker: Looker) -> None:
        self._files = {owner_of(file): file for file in outline.shown_files}
        self._folder, self._looker = outline.folder, looker

    def __call__(self, key: PictureKey, size: QSize, ratio: float) -> QImage | None:
        """A picture as large as fits a size in logical pixels on a screen of a ratio."""
        file = self._files.get((key.of, key.number))
        pixels = round(size.width() * ratio), round(size.height() * ratio)
        if file is None or min(pixels) < 1:
            return None
        return self._looker.draw(self._folder, file.name, key.page, pixels)
