"""Paints the Wall from a WallFrame and nothing else."""

from PySide6.QtCore import QPoint, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen, QRegion

from pacer.frames.wall import FOURTHS, WallFrame
from pacer.qt import theme
from pacer.qt.type_setting import draw_cell, draw_setting
from pacer.qt.wall_layout import changed_area as changed_area
from pacer.qt.wall_layout import leaving_fourth, wall_layout
from pacer.qt.wall_marks import Box, Digit, Line, Mark, Square, Words


def paint_wall(
    painter: QPainter, rect: QRect, frame: WallFrame, *, leaving: float = 0.0, area: QRegion | None = None
) -> None:
    """Paint a frame into a rectangle of logical pixels.

    ``leaving``, 0 to 1, is what is still to be seen of the fourth that just went; ``area``, in the
    painter's coordinates, is the part to paint: marks outside it are passed over.
    """
    size = rect.size()
    painter.save()
    try:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setClipRect(rect, Qt.ClipOperation.IntersectClip)
        if area is not None:
            painter.setClipRegion(area, Qt.ClipOperation.IntersectClip)
        painter.fillRect(rect, theme.PAPER)
        painter.translate(rect.topLeft())
        wanted = None if area is None else area.translated(-rect.topLeft())
        for mark in wall_layout(frame, size).marks:
            if wanted is None or wanted.intersects(_reach(mark)):
                _paint(painter, mark)
        if leaving > 0 and not frame.over and not frame.waiting:
            _paint_leaving(painter, frame, size, leaving)
    finally:
        painter.restore()


def paint_strip(painter: QPainter, rect: QRect, frame: WallFrame, *, leaving: float = 0.0) -> None:
    """Paint a frame as a strip, whatever shape it asks for: one row in a wide, low rectangle."""
    values = {name: getattr(frame, name) for name in frame.__dataclass_fields__}
    paint_wall(painter, rect, WallFrame(**(values | {"shape": "strip"})), leaving=leaving)


def _reach(mark: Mark) -> QRect:
    """Where a mark may leave ink: letters of some scripts reach out of their line."""
    spill = (
        mark.setting.px // 2 if isinstance(mark, Words) else mark.px // 8 if isinstance(mark, Digit) else 1
    )
    return mark.box.rect().adjusted(-spill, -spill, spill, spill)


def _paint(painter: QPainter, mark: Mark) -> None:
    match mark:
        case Words():
            # Stacked accents may not run into the time: a repaint of the time alone would cut them there.
            painter.save()
            painter.setClipRect(_reach(mark), Qt.ClipOperation.IntersectClip)
            draw_setting(painter, mark.box.rect_f(), mark.setting, _tone(mark.quiet), mark.align)
            painter.restore()
        case Digit():
            cell = mark.box.rect_f()
            draw_cell(painter, cell, mark.char, mark.px, theme.BOLD, _tone(mark.quiet))
        case Square():
            _paint_square(painter, mark)
        case Line():
            painter.fillRect(mark.box.rect(), theme.OUTLINE if mark.strong else theme.RULE)


def _tone(quiet: bool) -> QColor:
    return theme.SECONDARY if quiet else theme.INK


def _paint_square(painter: QPainter, square: Square) -> None:
    """A thin outline that stays, and inside it what is left of the minute."""
    side = square.box.width
    pen_width = max(1, round(side * 0.022))
    half = pen_width / 2
    painter.setPen(QPen(theme.OUTLINE, pen_width))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.drawRoundedRect(square.box.rect_f().adjusted(half, half, -half, -half), side * 0.08, side * 0.08)
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(_fill(square, side))
    if square.fourths >= FOURTHS:
        _fill_box(painter, square.inner, side)
        return
    for index in range(square.fourths):
        _fill_box(painter, square.fourth(index), side)


def _fill(square: Square, side: int) -> QBrush:
    if not square.waiting:
        return QBrush(theme.SQUARE)
    return theme.stripes(theme.WAIT_DARK, theme.WAIT_LIGHT, max(2.0, side / 16))


def _fill_box(painter: QPainter, box: Box, side: int) -> None:
    painter.setBrushOrigin(QPoint(box.x, box.y))
    painter.drawRoundedRect(QRectF(*box), side * 0.04, side * 0.04)


def _paint_leaving(painter: QPainter, frame: WallFrame, size: QSize, leaving: float) -> None:
    box = leaving_fourth(frame, size)
    if box is not None:
        painter.setOpacity(min(1.0, leaving))
        painter.setPen(Qt.PenStyle.NoPen)
        painter.setBrush(theme.SQUARE)
        _fill_box(painter, box, wall_layout(frame, size).squares[0].box.width)
