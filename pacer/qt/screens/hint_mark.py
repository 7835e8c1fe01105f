"""A small mark without words for the teacher, where children see the only screen and she allows it."""

from PySide6.QtCore import QRect, QRectF
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from pacer.qt.kit import theme
from pacer.qt.screens.number_cards import make_overlay, show_overlay
from pacer.qt.screens.present import ScreenInfo
from pacer.text import _

PARTS = 30  # the mark is one thirtieth of the screen's height
LEVELS = 4


class HintMark(QWidget):
    """An outline that fills from the bottom in three steps, in one quiet colour.

    It shows a ``level``, 0 to 3, and knows nothing else of the lesson. Clicks pass through; it never takes
    the keyboard.
    """

    def __init__(self, window: QWidget) -> None:
        super().__init__(window)
        make_overlay(self, _("Mark"))
        # Nothing is said of the level: a screen reader would say it to the class.
        self.setAccessibleName(_("Mark"))
        self.level = 0

    def show_level(self, level: int) -> None:
        """Show another level, 0 to 3; the same one paints nothing."""
        level = max(0, min(LEVELS - 1, level))
        if level != self.level:
            self.level = level
            self.update()

    def show_on(self, screen: ScreenInfo, strip: QRect | None = None) -> None:
        """Show it in a lower corner of a screen, clear of the strip where there is one."""
        show_overlay(self, screen, mark_rect(screen.rect, strip))

    def paintEvent(self, _event: QPaintEvent) -> None:
        with QPainter(self) as painter:
            paint_mark(painter, QRectF(self.rect()), self.level)


def mark_rect(screen: QRect, strip: QRect | None) -> QRect:
    """Where the mark lies: the lower right corner, the left one, or above the strip."""
    side = round(screen.height() / PARTS)
    gap = side // 3
    right = QRect(screen.right() - side - gap, screen.bottom() - side - gap, side, side)
    left = QRect(screen.left() + gap, right.top(), side, side)
    if strip is None:
        return right
    for place in (right, left):
        if not place.intersects(strip):
            return place
    return right.translated(0, strip.top() - screen.bottom() - 1)


def paint_mark(painter: QPainter, box: QRectF, level: int) -> None:
    """Paint an outline with ``level`` of its thirds filled from the bottom, the middle level in stripes."""
    line = max(1.0, box.height() / 12)
    painter.fillRect(box, theme.PAPER)
    inside = box.adjusted(line, line, -line, -line)
    filled = QRectF(inside)
    filled.setTop(inside.bottom() - inside.height() * level / (LEVELS - 1))
    if level == LEVELS - 2:
        painter.fillRect(filled, theme.stripes(theme.OUTLINE, theme.PAPER, max(2.0, line)))
    elif level:
        painter.fillRect(filled, theme.OUTLINE)
    for edge in (
        QRectF(box.left(), box.top(), box.width(), line),
        QRectF(box.left(), box.bottom() - line, box.width(), line),
        QRectF(box.left(), box.top(), line, box.height()),
        QRectF(box.right() - line, box.top(), line, box.height()),
    ):
        painter.fillRect(edge, theme.OUTLINE)
