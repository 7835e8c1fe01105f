"""Paints the Desk from a DeskFrame: state area, texts, number and tape."""

from PySide6.QtCore import QPointF, QRect, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen, QPolygonF

from pacer.frames.desk import DeskFrame
from pacer.qt.desk.beat import beat_place, paint_beat
from pacer.qt.desk.far_page import BASELINES, NUMBER_CAP, far_margin
from pacer.qt.desk.layout import FAR_SHARE, DeskLayout, desk_layout, filled_area
from pacer.qt.desk.marks import DeskText, reach
from pacer.qt.desk.tapes import paint_tape_column
from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import draw_cell, draw_setting
from pacer.remember import identity_cache

PAUSE_FRAME, PAUSE_BAR = 0.022, 0.062  # of the height; the frame is narrower than the margin of the words
PLUM_ENOUGH = 0.57  # from this share of plum over paper on, light ink has the higher contrast


def paint_desk(
    painter: QPainter,
    rect: QRect,
    frame: DeskFrame,
    *,
    fade: float = 1.0,
    before: DeskFrame | None = None,
    area: QRect | None = None,
    foot: float = 0,
) -> None:
    """Paint a frame into a rectangle.

    ``area``, in the painter's coordinates, is the part to paint: marks outside it are passed over.
    ``fade``, 0 to 1, is how far the state's area has changed from that of ``before`` (or from plain
    paper); words and numbers change at once, so that none is seen double. ``foot`` as in ``desk_layout``.
    """
    painter.save()
    try:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        wanted = rect if area is None else area & rect
        painter.setClipRect(wanted, Qt.ClipOperation.IntersectClip)
        painter.fillRect(rect, theme.DESK_PAPER)
        painter.translate(rect.topLeft())
        if fade < 1 and before is not None:
            _paint_area(painter, before, rect.size())
        if fade < 1:
            painter.setOpacity(max(0.0, fade))
            if frame.level < 3:
                # Where the new area is lower than the old one, paper comes back.
                painter.fillRect(QRect(0, 0, rect.width(), rect.height()), theme.DESK_PAPER)
        _paint_area(painter, frame, rect.size())
        painter.setOpacity(1)
        made, ink = desk_layout(frame, rect.size(), foot), _far_ink(frame, before, fade)
        _paint_marks(painter, frame, made, ink, wanted.translated(-rect.topLeft()))
    finally:
        painter.restore()


def _far_ink(frame: DeskFrame, before: DeskFrame | None, fade: float) -> QColor:
    """Light on plum, dark on all else; within a fade, whichever can be read on the blend."""
    was_plum = before is not None and before.level >= 3
    plum = (fade if frame.level >= 3 else 0.0) + (1 - fade if was_plum else 0.0)
    return theme.ON_PLUM if plum >= PLUM_ENOUGH else theme.DESK_INK


def _paint_marks(painter: QPainter, frame: DeskFrame, made: DeskLayout, ink: QColor, wanted: QRect) -> None:
    height = round(made.far.height())
    if made.number_cells is not None:
        for digit in made.number:
            if wanted.intersects(digit.ink):
                draw_cell(painter, digit.box, digit.char, made.number_cells.px, theme.BOLD, ink)
    painter.fillRect(QRectF(made.far.right(), 0, max(1, height // 540), height), theme.RULE)
    if frame.beat is not None:
        size = QSize(round(made.far.width()), height)
        if wanted.intersects(beat_place(size, made.far.right())):
            paint_beat(painter, size, made.far.right(), frame.beat, ink)
    if made.notice is not None and wanted.intersects(made.notice.toAlignedRect()):
        pen = max(2, round(height * 0.0035))
        painter.setPen(QPen(theme.DESK_INK, pen))
        painter.setBrush(theme.SAND)
        inset = pen / 2
        painter.drawRoundedRect(made.notice.adjusted(inset, inset, -inset, -inset), 6, 6)
    for text in _touched(made.texts, (wanted.x(), wanted.y(), wanted.width(), wanted.height())):
        on_far = text.box.left() < made.far.right()
        colour = ink if on_far else theme.SECONDARY if text.quiet else theme.DESK_INK
        draw_setting(painter, text.box, text.setting, colour, text.align)
        if text.tick is not None:
            _paint_tick_box(painter, text.tick_box, done=text.tick)
    if wanted.intersects(reach(made.tape, made.tape_px)):
        paint_tape_column(painter, made.tape, frame.tape, made.tape_px, wanted)


@identity_cache
def _touched(texts: tuple[DeskText, ...], place: tuple[int, int, int, int]) -> tuple[DeskText, ...]:
    """The texts that may have ink in a place: the same few are painted again every second."""
    wanted = QRect(*place)
    return tuple(text for text in texts if wanted.intersects(text.ink))


def _paint_tick_box(painter: QPainter, box: QRectF, *, done: bool) -> None:
    """An empty box, or one with a tick through it: told by shape, not by colour."""
    pen = max(1.0, box.height() / 11)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(theme.SECONDARY if done else theme.DESK_INK, pen))
    radius = box.height() / 6
    painter.drawRoundedRect(box.adjusted(pen / 2, pen / 2, -pen / 2, -pen / 2), radius, radius)
    if done:
        side = box.width()
        at = [(0.22, 0.52), (0.42, 0.74), (0.82, 0.24)]
        tick = QPen(theme.DESK_INK, pen * 1.7)
        tick.setCapStyle(Qt.PenCapStyle.RoundCap)
        tick.setJoinStyle(Qt.PenJoinStyle.RoundJoin)
        painter.setPen(tick)
        painter.drawPolyline(QPolygonF([box.topLeft() + QPointF(x * side, y * side) for x, y in at]))


def area_brush(level: int, height: int) -> QBrush:
    """The pattern of a level: none, a plain tint, stripes, solid."""
    if level <= 0:
        return QBrush(theme.DESK_PAPER)
    if level == 1:
        return QBrush(theme.CLOSING)
    if level == 2:
        return theme.stripes(theme.SAND, theme.SAND_LINE, max(3.0, height * 0.009))
    return QBrush(theme.PLUM)


def _paint_area(painter: QPainter, frame: DeskFrame, size: QSize) -> None:
    height = size.height()
    if frame.level > 0:
        area = filled_area(frame, size)
        painter.setBrushOrigin(0, 0)
        painter.fillRect(area, area_brush(frame.level, height))
        if frame.level < 3:
            edge = max(2, round(height * 0.003))
            painter.fillRect(QRectF(0, area.top(), area.width(), edge), theme.OUTLINE)
    if frame.stage == "paused":
        _paint_pause(painter, area_of_far(size))


def area_of_far(size: QSize) -> QRectF:
    """The whole far page of a Desk of a size."""
    return QRectF(0, 0, round(size.width() * FAR_SHARE), size.height())


def _paint_pause(painter: QPainter, far: QRectF) -> None:
    """Standing still, unlike any state that runs even where no word can be read: broad stripes that lean
    the other way, a dark edge at both sides, and two bars beside the number."""
    height = far.height()
    painter.save()
    painter.setClipRect(far, Qt.ClipOperation.IntersectClip)
    painter.translate(far.right(), 0)
    painter.scale(-1, 1)
    painter.setBrushOrigin(0, 0)
    pattern = theme.stripes(theme.DESK_PAPER, theme.PAUSE_LINE, height * 0.05)
    painter.fillRect(QRectF(0, 0, far.width(), height), pattern)
    painter.restore()
    frame = height * PAUSE_FRAME
    for left in (0.0, far.right() - frame):
        painter.fillRect(QRectF(left, frame * 2, frame, height), theme.DESK_INK)  # below the sign of life
    top, wide, tall = (BASELINES["number"] - NUMBER_CAP) * height, PAUSE_BAR * height, NUMBER_CAP * height
    for bars in (1.0, 2.8):
        left = far.right() - far_margin(far) - bars * wide
        painter.fillRect(QRectF(left, top, wide, tall), theme.DESK_INK)
