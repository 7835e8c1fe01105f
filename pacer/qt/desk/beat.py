"""The sign of life: a dot that changes between two places once a second; a frozen Desk has none."""

from functools import lru_cache

from PySide6.QtCore import QRect, QRectF, QSize, Qt
from PySide6.QtGui import QColor, QPainter

SIDE_SHARE, MOST_SIDE, LEAST_SIDE = 0.011, 12, 5  # of the height, and in pixels: never large, never a flash


@lru_cache(maxsize=4)
def beat_place(size: QSize, far_right: float) -> QRect:
    """Both places of the dot, at the upper edge of the far page, above all words."""
    side = _side(size)
    return QRect(round(far_right) - 6 * side, side // 2, 4 * side, side + 1)


def paint_beat(painter: QPainter, size: QSize, far_right: float, beat: int, ink: QColor) -> None:
    """Paint the dot in the place of this second; the other one stays as it is."""
    place, side = beat_place(size, far_right), _side(size)
    left = place.left() if beat % 2 == 0 else place.right() + 1 - side
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(ink)
    painter.drawEllipse(QRectF(left, place.top(), side, side))


def _side(size: QSize) -> int:
    return max(LEAST_SIDE, min(MOST_SIDE, round(size.height() * SIDE_SHARE)))
