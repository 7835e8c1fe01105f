"""Partner talk on the Wall: the prompt, the time in fourths, and whose turn it is beside the one in play."""

from math import ceil, floor
from typing import NamedTuple

from pacer.frames.wall import FOURTHS, WallFrame
from pacer.qt.kit.theme import BOLD, SEMIBOLD
from pacer.qt.kit.type_setting import Cells, digit_shape, fit, fit_cells
from pacer.qt.wall.marks import Head, Mark, Square, Words, around, share_px
from pacer.qt.wall.strip import partner_words
from pacer.qt.wall.time import (
    FRAME_COLUMNS,
    FRAME_SQUARES,
    MARGIN,
    NOTE_GAP,
    TOP,
    block_size,
    digit_marks,
    least_px,
    place_squares,
    unit_of,
)

TITLE, PROMPT, TURN = 0.075, 0.15, 0.105  # sizes of letters over the picture's height
PROMPT_END, TIME_TOP = 0.5, 0.38
HEAD = 0.62  # a head's side over that of the one square it stands beside


class _Sizes(NamedTuple):
    """How large the time is drawn: a square's side, a head's, the digits, and the gap between these."""

    side: int
    columns: int
    block: tuple[int, int]
    head: int
    digits: Cells | None
    gap: float


def talk_marks(frame: WallFrame, width: int, height: int) -> tuple[Mark, ...]:
    """Lay out a running partner burst."""
    unit = unit_of(width, height)
    margin, least = MARGIN * unit, least_px(frame.least_share, unit)
    inner = width - 2 * margin
    marks: list[Mark] = []
    y = TOP * unit
    if frame.title and frame.line:
        title = fit(frame.title, inner, height, max(least, share_px(TITLE, unit)), least, SEMIBOLD)
        marks.append(Words(around(margin, y, inner, title.height), title, True, part="title"))
        y += title.height + 0.01 * unit
    part, text = ("line", frame.line) if frame.line else ("title", frame.title)
    if text:
        room = max(least * 1.2, PROMPT_END * height - y)
        prompt = fit(text, inner, room, max(least, share_px(PROMPT, unit)), least, BOLD, 3)
        marks.append(Words(around(margin, y, inner, prompt.height), prompt, part=part))
        y += prompt.height
    turn_words = frame.note or partner_words(frame.turn)
    turn = fit(turn_words, inner, height, max(least, share_px(TURN, unit)), least, BOLD)
    below = height - 0.045 * unit - turn.height
    top = max(y, TIME_TOP * height) + NOTE_GAP * unit
    marks += _time(frame, margin, inner, top, below - NOTE_GAP * unit)
    left = margin + (inner - turn.width) / 2
    marks.append(Words(around(left, below, turn.width, turn.height), turn, part="turn"))
    return tuple(marks)


def _time(frame: WallFrame, x: float, width: float, top: float, bottom: float) -> list[Mark]:
    """Squares, whoever speaks and digits, in the middle of the space."""
    sizes = _sizes(frame, width, bottom - top)
    middle = (top + bottom) / 2
    beside = sizes.head + sizes.gap
    # A square has room for a head on both sides, so that it stays where it is when the turn changes.
    group = sizes.block[0] + beside * (2 if frame.whole == 1 else 1)
    digits = 0.0 if sizes.digits is None else sizes.digits.width
    total = group + (digits + 2 * sizes.gap if digits else 0)
    left = x + (width - total) / 2
    marks: list[Mark] = []
    squares: tuple[Square, ...] = ()
    if frame.whole:
        squares_x = left + (beside if frame.whole == 1 else 0)
        squares = place_squares(frame, sizes.side, sizes.columns, squares_x, middle - sizes.block[1] / 2)
        marks += squares
    marks.append(_head(frame, squares, sizes, left, middle))
    if sizes.digits is not None and frame.digits is not None:
        at = left + group + 2 * sizes.gap
        marks += digit_marks(
            frame.digits, sizes.digits, at, middle - sizes.digits.cap_height / 2, frame.waiting
        )
    return marks


def _head(frame: WallFrame, squares: tuple[Square, ...], sizes: _Sizes, left: float, middle: float) -> Head:
    """Beside the fourth in play: of one square on that fourth's own side, of more on the right."""
    in_play = frame.full * FOURTHS + frame.fourths - 1
    if not squares or in_play < 0:
        return Head(around(left, middle - sizes.head / 2, sizes.head, sizes.head))
    fourth = squares[in_play // FOURTHS].fourth(in_play % FOURTHS)
    block = sizes.block[1]
    y = fourth.y + fourth.height / 2 - sizes.head / 2
    y = min(max(y, middle - block / 2), middle + block / 2 - sizes.head)
    if frame.whole == 1 and in_play % 2 == 0:
        return Head(around(left, y, sizes.head, sizes.head))
    last = squares[0].box.x + sizes.block[0]
    return Head(around(last + sizes.gap, y, sizes.head, sizes.head), faces_left=True)


def _sizes(frame: WallFrame, width: float, height: float) -> _Sizes:
    """As large as fits the height, then smaller until it fits the width."""
    scale = 1.0
    while True:
        sizes = _scaled(frame, width, height, scale)
        digits = 0 if sizes.digits is None else sizes.digits.width + 2 * sizes.gap
        heads = (sizes.head + sizes.gap) * (2 if frame.whole == 1 else 1)
        if scale < 0.2 or sizes.block[0] + heads + digits <= width:
            return sizes
        scale -= 0.03


def _scaled(frame: WallFrame, width: float, height: float, scale: float) -> _Sizes:
    digits = None
    if frame.digits is not None:
        cap = 0.74 * height * scale
        digits = fit_cells(digit_shape(frame.digits), width, cap, BOLD)
    whole = frame.whole
    if not whole:
        return _Sizes(0, 1, (0, 0), floor(height * scale), digits, 0.1 * height)
    columns = ceil(whole / FRAME_SQUARES)
    rows = 1 if whole <= FRAME_COLUMNS else 2
    side = max(4, floor(height * scale / (rows + 0.1 * (rows - 1))))
    block = block_size(min(whole, FRAME_SQUARES), whole, side, columns)
    head = floor(min(height, side * rows) * HEAD)
    return _Sizes(side, columns, block, head, digits, 0.1 * height * scale)
