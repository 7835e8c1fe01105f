"""Where everything on the Desk card lies: word, number and time to move on, each as large as may be."""

from dataclasses import dataclass

from PySide6.QtCore import QRectF, QSize

from pacer.frames.desk_card import CardFrame
from pacer.qt.kit import theme
from pacer.qt.kit.type_setting import CELL_PAD, Cells, Setting, digit_shape, fit, fit_cells
from pacer.remember import identity_cache

EDGE_SHARE = 0.02  # of the shorter side: paper all round, which a pause hatches
PAD_SHARE = 0.03
TALL = 1.15  # height over width from which the time to move on takes two lines
# Widths over the size of Lexend's letters, of the words and numbers that rows are made for: STEADY, 3:48,
# "move by 10:44" on one line and on two. What is wider shrinks on its own line and stays on its baseline.
WORD_EMS, NUMBER_EMS, UNTIL_EMS, HALF_UNTIL_EMS = 4.06, 2.4, 7.5, 3.9
# Largest shares of the height, measured on capitals: of a picture 136 mm high the word is 40 minutes of arc
# at 3 m and the time to move on 20 (own table of sizes: 34.9 and 17.5 mm).
WORD_SHARE, UNTIL_SHARE, NUMBER_SHARE = 0.26, 0.14, 0.42
LEAST_GAPS = 0.25  # of the height, for the four gaps together
DESCENT = 0.2  # of letters below the baseline, over their size
LINE = 1.3  # from line to line, over the height of capitals, for two lines
LEAST_SHARE = 0.45  # a long line shrinks to this share of its row before words go


@dataclass(frozen=True)
class CardLayout:
    """``inside`` is all but the paper edge; ``area`` the part of it that the state fills."""

    inside: QRectF
    area: QRectF
    word: tuple[QRectF, Setting]
    number: tuple[tuple[QRectF, str], ...]
    cells: Cells | None
    until: tuple[QRectF, Setting] | None


@dataclass(frozen=True)
class _CardRows:
    """Heights of capitals and the baseline of each row, in pixels; ``lines`` of the last one."""

    left: float
    width: float
    word: float
    word_base: float
    number: float
    number_base: float
    until: float
    until_top: float
    lines: int


@identity_cache
def card_layout(frame: CardFrame, size: QSize) -> CardLayout:
    """Lay out a frame for a size in logical pixels. Places depend on the size alone, whatever the state."""
    width, height = float(size.width()), float(size.height())
    edge = edge_px(size)
    inside = QRectF(0, 0, width, height).adjusted(edge, edge, -edge, -edge)
    rows = _rows(width, height)
    word = _one_line(frame.word, rows.width, rows.word, theme.BOLD)
    box = QRectF(rows.left, rows.word_base - word.ascent, rows.width, word.height)
    cells, number = _number(frame.number, rows)
    until = None
    if frame.until:
        whole = rows.until * (LINE * (rows.lines - 1) + 1)
        px, room = round(rows.until / theme.CAP_SHARE), 1.2 * whole / theme.CAP_SHARE
        least = round(px * LEAST_SHARE)
        setting = fit(frame.until, rows.width, room, px, least, theme.SEMIBOLD, max(2, rows.lines))
        # A line that had to shrink stays in the middle of its row.
        ink = setting.cap_height + (len(setting.lines) - 1) * setting.line_height
        top = rows.until_top + (whole - ink) / 2 - (setting.ascent - setting.cap_height)
        until = QRectF(rows.left, top, rows.width, setting.height), setting
    return CardLayout(inside, _area(frame.level, rows, inside), (box, word), number, cells, until)


def edge_px(size: QSize) -> int:
    """How wide the paper edge is."""
    return max(3, round(min(size.width(), size.height()) * EDGE_SHARE))


def _rows(width: float, height: float) -> _CardRows:
    short = min(width, height)
    left = short * (EDGE_SHARE + PAD_SHARE)
    inner = width - 2 * left
    lines = 2 if height > width * TALL else 1
    cap = inner * theme.CAP_SHARE
    word = min(WORD_SHARE * height, cap / WORD_EMS)
    until = min(UNTIL_SHARE * height, cap / (HALF_UNTIL_EMS if lines == 2 else UNTIL_EMS))
    below = until * DESCENT / theme.CAP_SHARE
    last = until * (LINE * (lines - 1) + 1) + below
    number = min(NUMBER_SHARE * height, cap / NUMBER_EMS, height * (1 - LEAST_GAPS) - word - last)
    gap = (height - word - number - last) / 4
    number_base = 2 * gap + word + number
    return _CardRows(left, inner, word, gap + word, number, number_base, until, number_base + gap, lines)


def _one_line(text: str, width: float, cap: float, weight: int) -> Setting:
    px = max(1, round(cap / theme.CAP_SHARE))
    return fit(text, width, px * 2.0, px, max(1, px // 4), weight)


def _number(text: str, rows: _CardRows) -> tuple[Cells | None, tuple[tuple[QRectF, str], ...]]:
    if not text:
        return None, ()
    made = fit_cells(digit_shape(text), rows.width, rows.number, theme.BOLD)
    pad = made.px * CELL_PAD
    x, placed = rows.left - made.px * 0.03, []
    for char, width in zip(text, made.widths, strict=True):
        top = rows.number_base - made.cap_height - pad
        placed.append((QRectF(x, top, width, made.cap_height + 2 * pad), char))
        x += width
    return made, tuple(placed)


def _area(level: int, rows: _CardRows, inside: QRectF) -> QRectF:
    """The filled part: nothing, the last row, the last two, all; edges lie in the middle of the gaps."""
    gap = rows.until_top - rows.number_base
    tops = (inside.bottom(), rows.until_top - gap / 2, rows.word_base + gap / 2, inside.top())
    top = round(tops[max(0, min(3, level))])
    return QRectF(inside.left(), top, inside.width(), inside.bottom() - top)
