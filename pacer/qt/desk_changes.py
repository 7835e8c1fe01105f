"""Which part of the Desk changed between two frames, and the notice that may lie over it."""

from PySide6.QtCore import QRect, QRectF, QSize, Qt
from PySide6.QtGui import QPainter

from pacer.frames.desk import DeskFrame
from pacer.qt import theme
from pacer.qt.desk_painter import DeskLayout, desk_layout
from pacer.qt.type_setting import draw_setting, fit


def changed_desk_area(old: DeskFrame, new: DeskFrame, size: QSize) -> list[QRect]:
    """The rectangles to paint again, in logical pixels; empty when both look the same."""
    everything = [QRect(0, 0, size.width(), size.height())]
    if (old.stage, old.level, bool(old.notice)) != (new.stage, new.level, bool(new.notice)):
        return everything
    before, after = desk_layout(old, size), desk_layout(new, size)
    if before.tape != after.tape or before.tape_px != after.tape_px:
        return everything
    areas = [_around(box) for box, _look in _marks(before) ^ _marks(after)]
    if old.tape != new.tape:
        # The fill, the now mark and the overrun reach a little out of the tape's own box.
        areas.append(_around(_key(after.tape), after.tape_px))
    return areas


Box = tuple[float, float, float, float]


def _marks(layout: DeskLayout) -> set[tuple[Box, object]]:
    """Every text and digit with its place and look."""
    marks: set[tuple[Box, object]] = {(_key(text.box), (text.setting, text.quiet)) for text in layout.texts}
    px = None if layout.number_cells is None else layout.number_cells.px
    return marks | {(_key(box), (char, px)) for box, char in layout.number}


def _key(box: QRectF) -> Box:
    return (box.x(), box.y(), box.width(), box.height())


def _around(box: Box, spill: float = 0) -> QRect:
    """The pixels of a box; letters may reach out of their line by a third of its height."""
    more = spill or box[3] / 3
    return QRectF(*box).adjusted(-more, -more, more, more).toAlignedRect()


def paint_notice(painter: QPainter, rect: QRect, text: str) -> None:
    """A loud band: dark, with the text as large as fits on at most two lines."""
    painter.fillRect(rect, theme.INK)
    margin = rect.height() * 0.22
    inner = QRectF(rect).adjusted(margin, margin * 0.5, -margin, -margin * 0.5)
    largest = max(12, round(rect.height() * 0.42))
    setting = fit(text, inner.width(), inner.height(), largest, max(10, largest // 3), theme.SEMIBOLD, 2)
    top = inner.top() + (inner.height() - setting.height) / 2
    box = QRectF(inner.left(), top, inner.width(), setting.height)
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.setPen(Qt.PenStyle.NoPen)
    draw_setting(painter, box, setting, theme.PAPER)
