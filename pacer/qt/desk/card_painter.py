"""Paints the Desk card from a CardFrame: state area, word, number and time to move on; and what changed."""

from dataclasses import replace

from PySide6.QtCore import QRect, QRectF, QSize
from PySide6.QtGui import QPainter

from pacer.frames.desk_card import CardFrame
from pacer.qt.desk.card_layout import CardLayout, card_layout, edge_px
from pacer.qt.desk.painter import PLUM_ENOUGH, area_brush
from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import cell_ink, draw_cell, draw_setting


def changed_card_area(old: CardFrame, new: CardFrame, size: QSize) -> list[QRect]:
    """What to paint again: the digits that changed, or everything."""
    before, after = card_layout(old, size), card_layout(new, size)
    same = replace(old, number="", spoken="") == replace(new, number="", spoken="")
    if not same or before.cells != after.cells or len(before.number) != len(after.number):
        return [QRect(0, 0, size.width(), size.height())]
    pairs = zip(before.number, after.number, strict=True)
    px = 0 if after.cells is None else after.cells.px
    return [cell_ink(now[0], px) for was, now in pairs if was != now]


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
        if frame.stage != "paused":
            # Each place is blended once: paper only where no pattern follows.
            bare = QRectF(made.inside.topLeft(), made.area.topRight())
            painter.fillRect(bare, theme.DESK_PAPER)
    _paint_area(painter, frame, made, size)
    painter.setOpacity(1)
    was_plum = before is not None and before.level >= 3
    plum = (fade if frame.level >= 3 else 0.0) + (1 - fade if was_plum else 0.0)
    ink = theme.ON_PLUM if plum >= PLUM_ENOUGH else theme.DESK_INK
    draw_setting(painter, *made.word, ink)
    if made.cells is not None:
        for box, char in made.number:
            draw_cell(painter, box, char, made.cells.px, theme.BOLD, ink)
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
        _paint_pause(painter, size)


def _paint_pause(painter: QPainter, size: QSize) -> None:
    """As on the Desk: broad stripes that lean the other way, and a dark edge. Bars could be read as 11."""
    width, height, edge = size.width(), size.height(), edge_px(size) * 1.4
    painter.save()
    painter.translate(width, 0)
    painter.scale(-1, 1)
    painter.setBrushOrigin(0, 0)
    stripes = theme.stripes(theme.DESK_PAPER, theme.PAUSE_LINE, height * 0.08)
    painter.fillRect(QRectF(0, 0, width, height), stripes)
    painter.restore()
    for side in (
        QRectF(0, 0, width, edge), QRectF(0, height - edge, width, edge),
        QRectF(0, 0, edge, height), QRectF(width - edge, 0, edge, height),
    ):  # fmt: skip
        painter.fillRect(side, theme.DESK_INK)
