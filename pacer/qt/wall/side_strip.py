"""The strip along the left or right edge: minutes above seconds, squares below, words turned."""

from collections.abc import Sequence
from math import ceil, floor

from pacer.frames.wall import FOURTHS, WallFrame
from pacer.qt.kit.theme import BOLD, CAP_SHARE, REGULAR
from pacer.qt.kit.type_setting import CELL_PAD, Setting, fit
from pacer.qt.wall.marks import (
    LEAST_LINE,
    Box,
    Digit,
    Head,
    Line,
    Mark,
    Square,
    StripText,
    Words,
    around,
    share_px,
    texts_along,
)
from pacer.qt.wall.time import FRAME_COLUMNS, FRAME_GAP, FRAME_SQUARES, INNER_GAP, gaps, square_of

ACROSS, DOWN = 2, FRAME_COLUMNS  # a ten-frame on its side
# Two of the widest digits of this weight are 1.17 of their pixel size across: a heavier one would have to
# be smaller than what the back row can read.
WEIGHT, TWO_DIGITS = REGULAR, 1.19
SQUARES_SHARE = 0.56  # of the strip's height: thirty squares as wide as the strip allows


def side_marks(
    frame: WallFrame, width: int, height: int, lines: list[Mark], texts: Sequence[StripText]
) -> tuple[Mark, ...]:
    """From the top: the time, who speaks, the squares, the words."""
    gap = width * 0.2
    y = gap
    marks = lines
    if frame.face != "hidden":
        if frame.over and frame.note:
            note = fit(
                frame.note, height * 0.4, width, share_px(0.786, width), share_px(LEAST_LINE, width), BOLD
            )
            marks.append(_turned(note, "note", False, width, y))
            y += note.width + gap
        elif frame.digits is not None:
            digits, y = _stacked(frame.digits, width, y, frame.waiting)
            marks += digits
            y += gap
        if frame.turn:
            side = floor(width * 0.6)
            marks.append(Head(around((width - side) / 2, y, side, side)))
            y += side + gap
        if frame.whole:
            squares = _frames(frame, width, y, min(SQUARES_SHARE * height, height - y - gap))
            marks += squares
            y = squares[-1].box.y + squares[-1].box.height + gap * 1.3
    # A few letters of a title say nothing beside the time.
    hidden = frame.face == "hidden"
    whole = ("line",) if hidden else ("turn", "title", "line")
    kept = hidden or bool(frame.turn)
    placed = texts_along(texts, y, height - gap, width, largest=0.786, gap=0.26, whole=whole, kept=kept)
    for text, setting, top in placed:
        marks.append(_turned(setting, text.part, text.quiet, width, top))
    return tuple(marks)


def _stacked(text: str, width: int, y: float, quiet: bool) -> tuple[list[Mark], float]:
    """Minutes above seconds with the two dots between them on their side; and where they end."""
    inner = width - 2 * max(1, round(width * 0.02))
    minutes, _colon, seconds = text.partition(":")
    px = floor(inner / (TWO_DIGITS * max(1.0, len(minutes) / 2)))
    cap, cell = px * CAP_SHARE, floor(inner / max(2, len(minutes)))
    pad = px * CELL_PAD
    dot = max(2, round(px * 0.13))
    marks: list[Mark] = []
    for row in (minutes, seconds):
        x = floor((width - cell * len(row)) / 2)
        for char in row:
            marks.append(Digit(Box(x, floor(y), cell, ceil(cap + 2 * pad + 1)), char, px, quiet, WEIGHT))
            x += cell
        y += cap + 2 * pad + 2
        if row is minutes:
            for offset in (-1.4, 0.4):
                marks.append(Line(Box(round(width / 2 + offset * dot), round(y), dot, dot), True))
            y += dot + 2
    return marks, y


def _frames(frame: WallFrame, width: int, y: float, room: float) -> list[Square]:
    """Two squares to a row and five rows to a frame, read row by row from the upper left."""
    across = min(ACROSS, frame.whole)
    rows, frames = ceil(frame.whole / across), ceil(frame.whole / FRAME_SQUARES)
    down = rows + (rows - frames) * INNER_GAP + (frames - 1) * FRAME_GAP
    # A minute alone is a partner burst: its fourths should be seen.
    widest = width * (0.6 if across == 1 else 0.8 / (ACROSS + INNER_GAP))
    side = max(3, floor(min(widest, room / down)))
    inner, between = gaps(side)
    left = (0, 0) if frame.over else (frame.full, frame.fourths)
    x = floor((width - across * side - (across - 1) * inner) / 2)
    squares = []
    for index in range(frame.whole):
        row, column = divmod(index, across)
        top = floor(y) + row * (side + inner) + row // DOWN * (between - inner)
        at = x + column * (side + inner), top
        of = frame.last if index == frame.whole - 1 else FOURTHS
        squares.append(square_of(index, at, side, left, of, frame.waiting))
    return squares


def _turned(setting: Setting, part: str, quiet: bool, width: int, y: float) -> Words:
    box = around((width - setting.height) / 2, y, setting.height, setting.width)
    return Words(box, setting, quiet, part=part, turned=True)
