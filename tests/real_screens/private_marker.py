"""Finds private pixels on a picture: whatever is private is painted in paper and ink of its own."""

import numpy as np
from PySide6.QtGui import QImage

from pacer.qt.kit import theme

MARKERS = (theme.DESK_PAPER.rgb(), theme.DESK_INK.rgb())


def pixels(image: QImage) -> np.ndarray:
    """All pixels of a picture, as QColor.rgb() gives them."""
    plain = image.convertToFormat(QImage.Format.Format_RGB32)
    return np.frombuffer(plain.constBits(), dtype=np.uint32).copy()


def private_pixels(image: QImage) -> int:
    """How many pixels of a picture have exactly the paper or the ink of what is private."""
    found = pixels(image)
    return int(sum((found == marker).sum() for marker in MARKERS))


def is_private(image: QImage) -> bool:
    """Whether a picture is mostly a private page, such as the Desk."""
    return private_pixels(image) > 0.2 * image.width() * image.height()
