"""Paints the Desk: a far page for a glance from three metres, a near page for arm's length."""

from collections.abc import Iterable
from dataclasses import dataclass
from math import ceil

from PySide6.QtCore import QRect, QRectF, QSize, Qt
from PySide6.QtGui import QBrush, QColor, QPainter, QPen

from pacer.commands import KEYS
from pacer.frames.desk import DeskFrame
from pacer.qt import theme
from pacer.qt.tape_painter import paint_tape_column
from pacer.qt.type_setting import (
    CELL_PAD,
    Align,
    Cells,
    Setting,
    digit_shape,
    draw_cell,
    draw_setting,
    fit,
    fit_cells,
)
from pacer.text import _

# Shares of the height, measured on capitals. At 3 m and a picture 188 mm high, 17.5 mm are 20 minutes of
# arc and 10.5 mm are 12: nothing on the far page is smaller than that (own table of sizes).
FAR_SHARE = 0.72
LEAST_FAR = 10.5 / 188 / theme.CAP_SHARE
EASY_FAR = 17.5 / 188
NUMBER_CAP = 0.19
# Tops of the capitals, so that every part stays at its place whatever the words are.
TITLE_TOP, WORD_TOP, NUMBER_TOP, HEADLINE_TOP, UNDER_TOP, NEXT_TOP = 0.047, 0.15, 0.38, 0.615, 0.757, 0.868
WORD_CAP, UNDER_CAP = 0.185, 0.068
PLUM_ENOUGH = 0.57  # from this share of plum over paper on, light ink has the higher contrast
# The part of the far page that is filled from the bottom, by level; the edges lie between lines of text.
LEVEL_SHARES = (0.0, 0.2575, 0.6425, 1.0)
CAP_OFFSET = 0.93 - theme.CAP_SHARE  # from the top of a line to the top of its capitals, over its size


@dataclass(frozen=True)
class DeskText:
    """A text of the Desk with its box in pixels."""

    part: str
    box: QRectF
    setting: Setting
    quiet: bool = False
    align: Align = "start"


@dataclass(frozen=True)
class DeskLayout:
    """Where everything on the Desk lies."""

    far: QRectF
    area: QRectF
    texts: tuple[DeskText, ...]
    number: tuple[tuple[QRectF, str], ...]
    number_cells: Cells | None
    tape: QRectF
    tape_px: int
    notice: QRectF | None


def desk_layout(frame: DeskFrame, size: QSize) -> DeskLayout:
    """Lay out a frame for a window of a size in logical pixels."""
    width, height = size.width(), size.height()
    far = QRectF(0, 0, round(width * FAR_SHARE), height)
    texts = list(_far_texts(frame, far))
    cells_at, made = _number(frame, far)
    column = QRectF(far.right(), 0, width - far.width(), height)
    near, tape, tape_px, notice = _near_page(frame, column)
    return DeskLayout(far, _area(frame, size), (*texts, *near), cells_at, made, tape, tape_px, notice)


def paint_desk(
    painter: QPainter, rect: QRect, frame: DeskFrame, *, fade: float = 1.0, before: DeskFrame | None = None
) -> None:
    """Paint a frame into a rectangle.

    ``fade``, 0 to 1, is how far the state's area has changed from that of ``before`` (or from plain
    paper); words and numbers change at once, so that none is seen double.
    """
    painter.save()
    try:
        painter.setRenderHint(QPainter.RenderHint.Antialiasing)
        painter.setClipRect(rect, Qt.ClipOperation.IntersectClip)
        painter.fillRect(rect, theme.PAPER)
        painter.translate(rect.topLeft())
        if fade < 1 and before is not None:
            _paint_area(painter, before, rect.size())
        painter.setOpacity(max(0.0, min(1.0, fade)))
        if fade < 1 and frame.level < 3:
            # Where the new area is lower than the old one, paper comes back.
            painter.fillRect(QRect(0, 0, rect.width(), rect.height()), theme.PAPER)
        _paint_area(painter, frame, rect.size())
        painter.setOpacity(1)
        _paint_marks(painter, frame, rect.size(), _far_ink(frame, before, fade))
    finally:
        painter.restore()


def _far_ink(frame: DeskFrame, before: DeskFrame | None, fade: float) -> QColor:
    """Light on plum, dark on all else; within a fade, whichever can be read on the blend."""
    was_plum = before is not None and before.level >= 3
    plum = (fade if frame.level >= 3 else 0.0) + (1 - fade if was_plum else 0.0)
    return theme.ON_PLUM if plum >= PLUM_ENOUGH else theme.INK


def _paint_marks(painter: QPainter, frame: DeskFrame, size: QSize, ink: QColor) -> None:
    made, height = desk_layout(frame, size), size.height()
    if made.number_cells is not None:
        number_ink = theme.SECONDARY if frame.stage == "paused" else ink
        for box, char in made.number:
            draw_cell(painter, box, char, made.number_cells.px, theme.BOLD, number_ink)
    painter.fillRect(QRectF(made.far.right(), 0, max(1, height // 540), height), theme.RULE)
    if made.notice is not None:
        pen = max(2, round(height * 0.0035))
        painter.setPen(QPen(theme.INK, pen))
        painter.setBrush(theme.SAND)
        inset = pen / 2
        painter.drawRoundedRect(made.notice.adjusted(inset, inset, -inset, -inset), 6, 6)
    for text in made.texts:
        on_far = text.box.left() < made.far.right()
        colour = ink if on_far else theme.SECONDARY if text.quiet else theme.INK
        draw_setting(painter, text.box, text.setting, colour, text.align)
    paint_tape_column(painter, made.tape, frame.tape, made.tape_px)


def area_brush(level: int, height: int) -> QBrush:
    """The pattern of a level: none, a plain tint, stripes, solid."""
    if level <= 0:
        return QBrush(theme.PAPER)
    if level == 1:
        return QBrush(theme.CLOSING)
    if level == 2:
        return theme.stripes(theme.SAND, theme.SAND_LINE, max(3.0, height * 0.009))
    return QBrush(theme.PLUM)


def _area(frame: DeskFrame, size: QSize) -> QRectF:
    """The part of the far page that is filled."""
    share = LEVEL_SHARES[max(0, min(3, frame.level))]
    top = round(size.height() * (1 - share))
    return QRectF(0, top, round(size.width() * FAR_SHARE), size.height() - top)


def _paint_area(painter: QPainter, frame: DeskFrame, size: QSize) -> None:
    height, area = size.height(), _area(frame, size)
    if frame.level > 0:
        painter.setBrushOrigin(0, 0)
        painter.fillRect(area, area_brush(frame.level, height))
        if frame.level < 3:
            edge = max(2, round(height * 0.003))
            painter.fillRect(QRectF(0, area.top(), area.width(), edge), theme.OUTLINE)
    if frame.stage == "paused":
        # A band down the edge: standing still looks unlike Steady even where the word is not read.
        band = QRectF(0, 0, height * 0.022, height)
        painter.fillRect(band, theme.stripes(theme.OUTLINE, theme.PAPER, height * 0.012))


# The far page


def _far_texts(frame: DeskFrame, far: QRectF) -> Iterable[DeskText]:
    height = far.height()
    margin = _far_margin(far)
    room = far.width() - 2 * margin
    least = ceil(LEAST_FAR * height)

    def line(part: str, setting: Setting, top: float, x: float = margin) -> DeskText:
        y = top * height - setting.px * CAP_OFFSET
        width = room if x == margin else setting.width
        return DeskText(part, QRectF(x, y, width, setting.height), setting)

    def one(text: str, cap: float, weight: int, width: float = room, smallest: int = least) -> Setting:
        largest = ceil(cap / theme.CAP_SHARE * height)
        return fit(text, width, height, max(largest, smallest), smallest, weight)

    if frame.phase_title:
        yield line("title", one(frame.phase_title, 0.06, theme.SEMIBOLD), TITLE_TOP)
    word = one(frame.word, WORD_CAP, theme.BOLD)
    # A word that had to shrink stands on the same baseline: the eye finds the number under it.
    yield line("word", word, WORD_TOP + WORD_CAP - word.cap_height / height)
    head = one(frame.headline, EASY_FAR, theme.BOLD)
    two = head.elided
    if two:
        head = fit(frame.headline, room, height, least, least, theme.BOLD, 2)
    if frame.headline:
        shift = -0.012 if two else (EASY_FAR - head.cap_height / height) / 2
        yield line("headline", head, HEADLINE_TOP + shift)
    if frame.under:
        under = one(frame.under, LEAST_FAR * theme.CAP_SHARE if two else UNDER_CAP, theme.MEDIUM)
        yield line("under", under, UNDER_TOP + (0.021 if two else 0.0))
    if frame.next_title:
        label_text = _("Next")
        px = ceil(EASY_FAR / theme.CAP_SHARE * height)
        while px > least and _next_width(label_text, frame.next_title, px, room) is None:
            px -= max(1, px // 30)
        px = max(px, least)
        label = fit(label_text, room * 0.5, height, px, px, theme.REGULAR)
        x = margin + label.width + px * 0.5
        title = fit(frame.next_title, far.width() - margin - x, height, px, px, theme.MEDIUM)
        # Smaller words keep to the baseline.
        top = NEXT_TOP + EASY_FAR - label.cap_height / height
        yield line("next_label", label, top)
        yield line("next", title, top, x)


def _next_width(label: str, title: str, px: int, room: float) -> float | None:
    """The width of the row at a size, or None where it does not fit."""
    first = fit(label, room, px * 2, px, px, theme.REGULAR)
    second = fit(title, max(1.0, room - first.width - px * 0.5), px * 2, px, px, theme.MEDIUM)
    whole = len(second.lines) == 1 and not second.elided and second.lines[0] == " ".join(title.split())
    return first.width + px * 0.5 + second.width if whole else None


def _far_margin(far: QRectF) -> float:
    return min(far.height() * 0.048, far.width() * 0.05)


def _number(frame: DeskFrame, far: QRectF) -> tuple[tuple[tuple[QRectF, str], ...], Cells | None]:
    if not frame.number:
        return (), None
    margin = _far_margin(far)
    made = fit_cells(
        digit_shape(frame.number), far.width() - 2 * margin, NUMBER_CAP * far.height(), theme.BOLD
    )
    pad = made.px * CELL_PAD
    bottom = (NUMBER_TOP + NUMBER_CAP) * far.height()
    x, placed = margin - made.px * 0.03, []
    for char, width in zip(frame.number, made.widths, strict=True):
        box = QRectF(x, bottom - made.cap_height - pad, width, made.cap_height + 2 * pad)
        placed.append((box, char))
        x += width
    return tuple(placed), made


# The near page


def _near_page(frame: DeskFrame, column: QRectF) -> tuple[list[DeskText], QRectF, int, QRectF | None]:
    height = column.height()
    pad = min(height * 0.032, column.width() * 0.07)
    inner = QRectF(column.left() + pad, height * 0.04, column.width() - 2 * pad, height * 0.925)
    unit = min(height, inner.width() * 2.1)  # type shrinks in a narrow column, never out of it
    texts = list(_clock_row(frame, inner, unit))
    top = inner.top() + unit * 0.075
    keys = _keys(inner, unit)
    keys_top = min((text.box.top() for text in keys), default=inner.bottom())
    tape_height = (keys_top - top) * (0.6 if frame.near or frame.notes or frame.notice else 0.9)
    tape = QRectF(inner.left(), top, inner.width(), tape_height if frame.tape else 0)
    y, bottom = tape.bottom() + unit * 0.02, keys_top - unit * 0.018
    notice = None
    if frame.notice:
        inset = unit * 0.016
        largest, least = round(unit * 0.036), round(unit * 0.022)
        made = fit(frame.notice, inner.width() - 2 * inset, bottom - y, largest, least, theme.BOLD, 3)
        tall = made.height + 1.5 * inset
        notice = QRectF(inner.left(), bottom - tall, inner.width(), tall)
        box = QRectF(
            notice.left() + inset, notice.top() + inset * 0.75, inner.width() - 2 * inset, made.height
        )
        texts.append(DeskText("notice", box, made))
        bottom = notice.top() - unit * 0.015
    texts += _remarks(frame, QRectF(inner.left(), y, inner.width(), bottom - y), unit)
    return texts + keys, tape, round(unit * 0.0245), notice


def _clock_row(frame: DeskFrame, inner: QRectF, unit: float) -> Iterable[DeskText]:
    clock = fit(frame.clock, inner.width() * 0.4, unit, round(unit * 0.05), round(unit * 0.03), theme.BOLD)
    room = inner.width() - clock.width - unit * 0.02
    outlook = fit(frame.outlook, room, unit, round(unit * 0.032), round(unit * 0.017), theme.MEDIUM)
    if frame.clock:
        yield DeskText("clock", QRectF(inner.left(), inner.top(), clock.width, clock.height), clock)
    if frame.outlook:
        # Both stand on one baseline.
        y = inner.top() + clock.ascent - outlook.ascent
        box = QRectF(inner.right() - room, y, room, outlook.height)
        yield DeskText("outlook", box, outlook, align="start" if outlook.rtl else "end")


def _remarks(frame: DeskFrame, box: QRectF, unit: float) -> list[DeskText]:
    """Near lines, then the teacher's notes, as many as there is room for."""
    made: list[DeskText] = []
    y = box.top()
    for index, line in enumerate(frame.near):
        setting = fit(line, box.width(), unit, round(unit * 0.0255), round(unit * 0.018), theme.MEDIUM)
        if y + setting.height > box.bottom():
            break
        made.append(DeskText(f"near_{index}", QRectF(box.left(), y, box.width(), setting.height), setting))
        y += setting.height * 1.05
    px = round(unit * 0.0235)
    lines = int((box.bottom() - y - unit * 0.006) // (px * 1.17))
    if frame.notes and lines >= 1:
        setting = fit(
            frame.notes, box.width(), box.bottom() - y, px, round(px * 0.9), theme.REGULAR, min(lines, 6)
        )
        notes = QRectF(box.left(), y + unit * 0.006, box.width(), setting.height)
        made.append(DeskText("notes", notes, setting, quiet=True))
    return made


def _keys(inner: QRectF, unit: float) -> list[DeskText]:
    """The keys in two columns at the foot, read down, all in one size."""
    shown = [(_(key.label), _(key.title)) for key in KEYS if key.shown]
    rows = ceil(len(shown) / 2)
    columns = [shown[:rows], shown[rows:]]
    row_height = unit * 0.0262
    px = round(unit * 0.019)
    while px > 6 and sum(sum(_key_widths(column, px)) for column in columns) + px > inner.width():
        px -= 1
    top = inner.bottom() - rows * row_height
    x, made = inner.left(), []
    for number, column in enumerate(columns):
        names, titles = _key_widths(column, px)
        for row, (label, title) in enumerate(column):
            room = min(titles, inner.right() - x - names)
            name = fit(label, inner.width(), unit, px, px, theme.SEMIBOLD)
            words = fit(title, max(1.0, room), unit, px, px, theme.REGULAR)
            y, part = top + row * row_height, f"{number}_{row}"
            made.append(DeskText(f"key_{part}", QRectF(x, y, name.width, name.height), name))
            box = QRectF(x + names, y, max(1.0, room), words.height)
            made.append(DeskText(f"key_title_{part}", box, words, quiet=True))
        x = inner.right() - sum(_key_widths(columns[-1], px))
    return made


def _key_widths(column: list[tuple[str, str]], px: int) -> tuple[float, float]:
    """The widths of a column's labels, with the space after them, and of its titles."""
    names = max(fit(label, 9999.0, 999.0, px, px, theme.SEMIBOLD).width for label, _title in column)
    titles = max(fit(title, 9999.0, 999.0, px, px, theme.REGULAR).width for _label, title in column)
    return names + px * 0.6, titles + 1
