"""Paints the Desk card from a CardFrame: state area, word, number and time to move on; and what changed."""

from dataclasses import replace

from PySide6.QtCore import QRect, QRectF, QSize, Qt
from PySide6.QtGui import QPainter, QPen

from pacer.frames.desk_card import CardFrame
from pacer.qt.desk.card_layout import CardLayout, card_layout, edge_px
from pacer.qt.desk.layout import reach
from pacer.qt.desk.painter import CELL_SPILL, PLUM_ENOUGH, area_brush
from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import draw_cell, draw_setting


def changed_card_area(old: CardFrame, new: CardFrame, size: QSize) -> list[QRect]:
    """What to paint again: the digits that changed, or everything."""
    before, after = card_layout(old, size), card_layout(new, size)
    same = replace(old, number="", spoken="") == replace(new, number="", spoken="")
    if not same or before.cells != after.cells or len(before.number) != len(after.number):
        return [QRect(0, 0, size.width(), size.height())]
    pairs = zip(before.number, after.number, strict=True)
    return [reach(now[0], CELL_SPILL) for was, now in pairs if was != now]


def paint_card(
    painter: QPainter, size: QSize, frame: CardFrame, before: CardFrame | None = None, fade: float = 1.0
) -> None:
    """Paint a frame. ``fade``, 0 to 1, is how far the state's area has changed from that of ``before``."""
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    painter.fillRect(QRect(0, 0, size.width(), size.height()), theme.DESK_PAPER)
    made = card_layout(frame, size)
    if before is not None and fade < 1:
        _paint_area(painter, before, card_layout(before, size), size)
        painter.setOpacity(fade)
        painter.fillRect(made.inside, theme.DESK_PAPER)
    _paint_area(painter, frame, made, size)
    painter.setOpacity(1)
    was_plum = before is not None and before.level >= 3
    plum = (fade if frame.level >= 3 else 0.0) + (1 - fade if was_plum else 0.0)
    ink = theme.ON_PLUM if plum >= PLUM_ENOUGH else theme.DESK_INK
    draw_setting(painter, *made.word, ink)
    if made.cells is not None:
        number_ink = theme.SECONDARY if frame.stage == "paused" and ink is theme.DESK_INK else ink
        for box, char in made.number:
            draw_cell(painter, box, char, made.cells.px, theme.BOLD, number_ink)
    if made.until is not None:
        draw_setting(painter, *made.until, ink)


def _paint_area(painter: QPainter, frame: CardFrame, made: CardLayout, size: QSize) -> None:
    if frame.level > 0:
        painter.setBrushOrigin(0, 0)
        painter.fillRect(made.area, area_brush(frame.level, size.height() * 2))
        if frame.level < 3:
            line = QRectF(made.area.left(), made.area.top(), made.area.width(), max(2, size.height() // 160))
            painter.fillRect(line, theme.OUTLINE)
    if frame.stage == "paused":
        # Hatched all round: standing still looks unlike Steady even where the word is not read.
        wide = edge_px(size) * 2.0
        painter.setPen(QPen(theme.stripes(theme.OUTLINE, theme.DESK_PAPER, wide / 2), wide))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        whole, half = QRectF(0, 0, size.width(), size.height()), wide / 2
        painter.drawRect(whole.adjusted(half, half, -half, -half))
