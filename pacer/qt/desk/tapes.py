"""Tapes: the Desk's column of phases, and Look back's bars of planned over actual on one scale."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import zip_longest

from PySide6.QtCore import QPointF, QRect, QRectF, Qt
from PySide6.QtGui import QPainter, QPen, QPolygonF, QRegion

from pacer.frames.desk_tape import TapeRow
from pacer.frames.record import RecordRow
from pacer.plan.durations import format_duration
from pacer.qt.desk.marks import reach
from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import Setting, draw_setting, fit, whole_words
from pacer.text import _

LEAST_OVERRUN = 3.0  # pixels: an overrun less high than that is told by its figure alone


@dataclass(frozen=True)
class Bar:
    """One phase in seconds. ``open``: its end is not the end of it, as it still runs or was cut off.

    ``now_s`` is what it may take by now, where that is not what was planned.
    """

    title: str
    planned_s: int
    actual_s: int
    open: bool = False
    running: bool = False
    skipped: bool = False
    now_s: int | None = None

    @property
    def over_s(self) -> int:
        """Seconds past the plan, never negative."""
        return max(0, self.actual_s - self.planned_s)


def bar(row: TapeRow | RecordRow) -> Bar:
    """A row of the Desk or of a day record as a bar."""
    if isinstance(row, RecordRow):
        return Bar(row.title, row.planned, row.actual, row.cut_off, skipped=row.ending == "skipped")
    return Bar(row.title, row.budget_s, row.actual_s, row.running, row.running, now_s=row.now_s)


# The Desk's column


@dataclass(frozen=True)
class ColumnRow:
    """Where one phase of the column lies. ``label`` is None where there is no room for it."""

    bar: Bar
    box: QRectF
    fill: QRectF
    overrun: QRectF | None
    label: tuple[QRectF, Setting] | None
    figure: tuple[QRectF, Setting] | None

    def place(self, label_px: int) -> QRect:
        """The pixels that the box may touch with its mark of now and its overrun."""
        mark = label_px * 0.5 + 4
        return self.box.adjusted(-mark, -mark, label_px * 0.65 + 2, mark).toAlignedRect()


def column_layout(rows: Sequence[TapeRow], rect: QRectF, label_px: int) -> tuple[ColumnRow, ...]:
    """Boxes from the top, as high as their budgets; labels beside them where they do not meet."""
    return _column(tuple(rows), rect.x(), rect.y(), rect.width(), rect.height(), label_px)


def changed_column_area(
    old: Sequence[TapeRow], new: Sequence[TapeRow], rect: QRectF, label_px: int
) -> list[QRect]:
    """What to paint again of a column whose place stays: where the running phase's time moved, its figure."""
    before, after = column_layout(old, rect, label_px), column_layout(new, rect, label_px)
    areas: list[QRect] = []
    for was, now in zip_longest(before, after):
        if was == now:
            continue
        # Another plan moves every box, another phase every weight and tone.
        if was is None or now is None or _steady(was) != _steady(now):
            return [reach(rect, label_px)]
        areas.append(now.place(label_px))
        if was.figure != now.figure or was.label != now.label:
            texts = (text for text in (was.label, now.label, was.figure, now.figure) if text is not None)
            areas += [reach(box) for box, _setting in texts]
    return areas


def _steady(row: ColumnRow) -> tuple[object, ...]:
    return row.bar.title, row.bar.planned_s, row.bar.running, row.box


@lru_cache(maxsize=4)
def _column(
    rows: tuple[TapeRow, ...], x: float, y: float, width: float, height: float, label_px: int
) -> tuple[ColumnRow, ...]:
    """The column in a place; kept, for it is asked for again by whatever is painted of it."""
    rect = QRectF(x, y, width, height)
    if not rows or rect.height() < 1:
        return ()
    bars = [bar(row) for row in rows]
    gap = min(rect.height() * 0.012, rect.height() / (4 * len(bars)))
    heights = _heights([one.planned_s for one in bars], rect.height() - gap * (len(bars) - 1))
    left = rect.left() + label_px * 0.75
    box_width = rect.width() * 0.26
    made, y = [], rect.top()
    boxes = []
    for height in heights:
        boxes.append(QRectF(left, y, box_width, height))
        y += height + gap
    shown = _labelled(bars, boxes, label_px * 1.2, rect)
    for index, (one, box) in enumerate(zip(bars, boxes, strict=True)):
        share = min(1.0, one.actual_s / one.planned_s) if one.planned_s > 0 else float(one.actual_s > 0)
        fill = QRectF(box.left(), box.top(), box.width(), box.height() * share)
        over = None
        if one.over_s:
            long = box.height() * min(1.0, one.over_s / max(1, one.planned_s))
            if long >= LEAST_OVERRUN:  # what is less looks like dirt; its figure says it
                over = QRectF(box.right() + label_px * 0.15, box.top(), label_px * 0.5, long)
        middle = shown.get(index)
        label = figure = None
        if middle is not None:
            label, figure = _label(one, middle, box.right() + label_px * 1.0, rect.right(), label_px)
        made.append(ColumnRow(one, box, fill, over, label, figure))
    return tuple(made)


def _heights(seconds: list[int], room: float) -> list[float]:
    """Heights in proportion, none so small that it cannot be seen."""
    least = min(1.5, room / len(seconds))
    large = list(range(len(seconds)))
    while True:
        total = sum(seconds[index] for index in large) or 1
        left = room - least * (len(seconds) - len(large))
        kept = [index for index in large if seconds[index] * left / total >= least]
        if kept == large or not kept:
            break
        large = kept
    return [seconds[i] * left / total if i in large else least for i in range(len(seconds))]


def _labelled(bars: list[Bar], boxes: list[QRectF], row: float, rect: QRectF) -> dict[int, float]:
    """Middles of the labels. All of them, moved apart, where there is room; else those that do not meet.

    The running phase's label is always among them and then lies beside its box.
    """
    if len(bars) * row <= rect.height():
        return dict(enumerate(_apart([box.center().y() for box in boxes], row, rect)))
    # What comes next weighs more than what was.
    now = next((index for index, one in enumerate(bars) if one.running), 0)
    order = sorted(range(len(bars)), key=lambda index: (index < now, index if index >= now else -index))
    shown: dict[int, float] = {}
    for index in order:
        middle = min(max(boxes[index].center().y(), rect.top() + row / 2), rect.bottom() - row / 2)
        if all(abs(middle - other) >= row * 0.98 for other in shown.values()):
            shown[index] = middle
    return shown


def _apart(middles: list[float], row: float, rect: QRectF) -> list[float]:
    """The middles, each a row or more below the one before, none outside the rectangle."""
    made, least = [], rect.top() + row / 2
    for middle in middles:
        made.append(max(middle, least))
        least = made[-1] + row
    most = rect.bottom() - row / 2
    for index in reversed(range(len(made))):
        made[index] = min(made[index], most)
        most = made[index] - row
    return made


def _label(
    one: Bar, middle: float, left: float, right: float, px: int
) -> tuple[tuple[QRectF, Setting], tuple[QRectF, Setting]]:
    weight = theme.SEMIBOLD if one.running else theme.REGULAR
    figure = fit(_figure(one), (right - left) * 0.5, px * 2, px, max(9, px // 2), weight)
    title_room = right - left - figure.width - px * 0.5
    title = whole_words(one.title, title_room, px, weight) or fit(
        one.title, title_room, px * 2, px, max(9, round(px * 0.8)), weight
    )
    figure_box = QRectF(right - figure.width, middle - figure.height / 2, figure.width, figure.height)
    title_box = QRectF(left, middle - title.height / 2, title_room, title.height)
    return (title_box, title), (figure_box, figure)


def _figure(one: Bar) -> str:
    planned = _minutes(one.planned_s)
    if one.now_s is not None and not one.over_s:
        planned = _("{now} of {planned}", now=_minutes(one.now_s), planned=planned)
    return f"{planned} +{format_duration(one.over_s)}" if one.over_s else planned


def _minutes(seconds: int) -> str:
    return str(seconds // 60) if seconds % 60 == 0 else format_duration(seconds)


def paint_tape_column(
    painter: QPainter, rect: QRectF, rows: Sequence[TapeRow], label_px: int, wanted: QRect
) -> None:
    """Paint the Desk's tape: filled as time is used, overrun hatched beside, now as a line and a triangle.

    What lies outside the part that is ``wanted`` is passed over.
    """
    for row in column_layout(rows, rect, label_px):
        colour = theme.DESK_INK if row.bar.running else theme.SECONDARY
        if wanted.intersects(row.place(label_px)):
            _paint_row(painter, row, label_px)
        for text in (row.label, row.figure):
            if text is not None and wanted.intersects(reach(text[0])):
                draw_setting(painter, text[0], text[1], colour)


def _paint_row(painter: QPainter, row: ColumnRow, label_px: int) -> None:
    radius = min(4.0, row.box.height() / 4)
    painter.setPen(Qt.PenStyle.NoPen)
    if row.fill.height() > 0:
        painter.fillRect(row.fill, theme.SQUARE)
    if row.overrun is not None:
        _hatched(painter, row.overrun)
    painter.setBrush(Qt.BrushStyle.NoBrush)
    painter.setPen(QPen(theme.OUTLINE, max(1.0, label_px / 20)))
    painter.drawRoundedRect(row.box.adjusted(0.5, 0.5, -0.5, -0.5), radius, radius)
    if row.bar.now_s is not None and 0 < row.bar.now_s < row.bar.planned_s:
        y = row.box.top() + row.box.height() * row.bar.now_s / row.bar.planned_s
        painter.drawLine(QPointF(row.box.left() + 1, y), QPointF(row.box.right() - 1, y))
    if row.bar.running:
        _now_mark(painter, row, label_px)


def _now_mark(painter: QPainter, row: ColumnRow, px: int) -> None:
    y, left = row.fill.bottom(), row.box.left()
    painter.fillRect(QRectF(left - 2, y - 1.5, row.box.width() + px * 0.2, 3), theme.DESK_INK)
    side = px * 0.34
    painter.setPen(Qt.PenStyle.NoPen)
    painter.setBrush(theme.DESK_INK)
    points = [
        QPointF(left - 2 - side * 1.4, y - side),
        QPointF(left - 2, y),
        QPointF(left - 2 - side * 1.4, y + side),
    ]
    painter.drawPolygon(QPolygonF(points))


def _hatched(painter: QPainter, box: QRectF) -> None:
    painter.setBrushOrigin(box.topLeft().toPoint())
    painter.fillRect(box, theme.stripes(theme.OVERRUN, theme.SAND, 2.5))
    painter.setPen(QPen(theme.OVERRUN, 1))
    painter.setBrush(Qt.BrushStyle.NoBrush)
    if box.width() > 2 and box.height() > 2:
        painter.drawRect(box.adjusted(0.5, 0.5, -0.5, -0.5))


# Look back's bars


@dataclass(frozen=True)
class BarRow:
    """Where one phase of Look back lies: planned above, actual below, on the same scale."""

    bar: Bar
    title: tuple[QRectF, Setting]
    planned: QRectF
    actual: QRectF
    overrun: QRectF | None
    figure: tuple[QRectF, Setting]


@dataclass(frozen=True)
class TapesLayout:
    """All bars: ``zero`` is the x of no time at all, ``per_s`` the pixels of one second."""

    zero: float
    per_s: float
    rows: tuple[BarRow, ...]
    ticks: tuple[tuple[float, str], ...]
    axis_y: float


def tapes_layout(rows: Sequence[TapeRow | RecordRow], rect: QRectF, px: int) -> TapesLayout:
    """Lay bars out in a rectangle; every bar begins at the same zero and has the same scale."""
    bars = [bar(row) for row in rows]
    zero = rect.left() + rect.width() * 0.26
    figure_width = rect.width() * 0.24
    room = max(1.0, rect.right() - figure_width - zero - px)
    longest = max([60, *(max(one.planned_s, one.actual_s) for one in bars)])
    per_s = room / longest
    axis_y = rect.bottom() - px * 1.6
    pitch = min(px * 2.6, (axis_y - rect.top()) / max(1, len(bars)))
    made = tuple(
        _bar_row(one, rect, rect.top() + index * pitch, pitch, (zero, per_s, figure_width), px)
        for index, one in enumerate(bars)
    )
    ticks = tuple(
        (zero + second * per_s, str(second // 60)) for second in range(0, longest + 1, _step(longest))
    )
    return TapesLayout(zero, per_s, made, ticks, rect.top() + pitch * len(bars))


def _bar_row(
    one: Bar, rect: QRectF, top: float, pitch: float, scale: tuple[float, float, float], px: int
) -> BarRow:
    zero, per_s, figure_width = scale
    small = min(px, max(6, int(pitch * 0.8)))
    title = fit(
        one.title, zero - rect.left() - px * 0.8, pitch, small, max(6, round(small * 0.85)), theme.MEDIUM
    )
    planned = QRectF(zero, top + pitch * 0.14, one.planned_s * per_s, pitch * 0.26)
    within = min(one.actual_s, one.planned_s) * per_s
    actual = QRectF(zero, top + pitch * 0.44, one.actual_s * per_s, pitch * 0.4)
    over = QRectF(zero + within, actual.top(), one.over_s * per_s, actual.height()) if one.over_s else None
    spent = format_duration(one.actual_s)
    words = _("at least {actual} of {planned}") if one.open else _("{actual} of {planned}")
    words = _("skipped, {planned} planned") if one.skipped else words
    text = words.format(actual=spent, planned=format_duration(one.planned_s))
    figure = fit(text, figure_width, pitch, small, max(6, round(small * 0.6)), theme.REGULAR)
    title_box = QRectF(
        rect.left(), top + (pitch - title.height) / 2, zero - rect.left() - px * 0.8, title.height
    )
    figure_box = QRectF(
        rect.right() - figure_width, top + (pitch - figure.height) / 2, figure_width, figure.height
    )
    return BarRow(one, (title_box, title), planned, actual, over, (figure_box, figure))


def _step(longest_s: int) -> int:
    """Seconds between ticks: whole minutes, about eight of them at most."""
    return next((m * 60 for m in (1, 2, 5, 10, 20, 30) if longest_s / (m * 60) <= 8), 3600)


def paint_tapes(
    painter: QPainter, rect: QRectF, rows: Sequence[TapeRow | RecordRow], px: int = 18
) -> TapesLayout:
    """Paint planned over actual, overrun hatched, ends that were cut off left open; returns the layout."""
    made = tapes_layout(rows, rect, px)
    painter.save()
    painter.setRenderHint(QPainter.RenderHint.Antialiasing)
    bottom = made.axis_y
    for x, words in made.ticks:
        painter.fillRect(QRectF(x - 0.5, rect.top(), 1, bottom - rect.top() + px * 0.3), theme.RULE)
        tick = fit(words, px * 3, px * 2, max(9, round(px * 0.8)), 8, theme.REGULAR)
        box = QRectF(x - px * 1.5, bottom + px * 0.4, px * 3, tick.height)
        draw_setting(painter, box, tick, theme.SECONDARY, "centre")
    for row in made.rows:
        _paint_bar(painter, row)
        draw_setting(painter, *row.title, theme.DESK_INK)
        draw_setting(painter, *row.figure, theme.SECONDARY, "end")
    painter.fillRect(QRectF(made.zero - 1, rect.top(), 2, bottom - rect.top()), theme.DESK_INK)
    painter.restore()
    return made


def _paint_bar(painter: QPainter, row: BarRow) -> None:
    if row.planned.width() >= 1:
        painter.setPen(QPen(theme.OUTLINE, 1.5))
        painter.setBrush(Qt.BrushStyle.NoBrush)
        painter.drawRect(row.planned)
    if row.actual.width() <= 0:
        return
    painter.save()
    if row.bar.open:
        painter.setClipRegion(_torn(row.actual), Qt.ClipOperation.IntersectClip)
    within = QRectF(row.actual)
    if row.overrun is not None:
        within.setRight(row.overrun.left())
    painter.fillRect(within, theme.SQUARE)
    if row.overrun is not None:
        painter.setBrushOrigin(row.overrun.topLeft().toPoint())
        painter.fillRect(row.overrun, theme.stripes(theme.OVERRUN, theme.SAND, 3))
        painter.setPen(QPen(theme.OVERRUN, 1.5))
        edge = row.overrun
        painter.drawLine(edge.topLeft(), edge.topRight())
        painter.drawLine(edge.bottomLeft(), edge.bottomRight())
        if not row.bar.open:
            painter.drawLine(edge.topRight(), edge.bottomRight())
    painter.restore()


def _torn(box: QRectF) -> QRegion:
    """The edge of a bar whose end is not known: it never reaches past the time that was measured."""
    depth = min(box.height() * 0.35, box.width())
    points = [box.topLeft()]
    steps = 6
    for step in range(steps + 1):
        x = box.right() - (depth if step % 2 else 0)
        points.append(QPointF(x, box.top() + box.height() * step / steps))
    points.append(box.bottomLeft())
    return QRegion(QPolygonF(points).toPolygon())
