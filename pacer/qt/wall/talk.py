"""Partner talk on the Wall: the prompt, the time in fourths, and whose turn it is beside the one in play."""

from math import ceil, floor
from typing import NamedTuple

from pacer.frames.wall import FOURTHS, WallFrame
from pacer.qt.kit.theme import BOLD, REGULAR, SEMIBOLD
from pacer.qt.kit.type_setting import Cells, Setting, digit_shape, fit, fit_cells, fit_whole, is_whole
from pacer.qt.wall.marks import Head, Mark, Square, Words, around, low_side, share_px
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
LONG_END = 0.6  # where a prompt ends that would be too small otherwise, over the height
SECOND_END = 0.56  # where a second language ends, over the height
HEAD = 0.62  # a head's side over that of the one square it stands beside
# Of one row of fourths over a square's side: its height, a head's over a fourth, and how far up that stands.
LOW, LOW_HEAD, HEAD_LIFT = 0.58, 0.4, 1.08


class _Sizes(NamedTuple):
    """How large the time is drawn: a square's side, a head's, the digits, and the gap between these."""

    side: int
    columns: int
    block: tuple[int, int]
    head: int
    digits: Cells | None
    gap: float


def talk_marks(frame: WallFrame, width: int, height: int) -> tuple[Mark, ...]:
    """Lay out a running partner burst: all of it begins at the left margin, as in a phase."""
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
    room = max(least * 1.2, (SECOND_END if frame.second_line else PROMPT_END) * height - y)
    if frame.second_line:
        second = fit_whole(
            frame.second_line, inner, room * 0.4, max(least, share_px(TITLE, unit)), least, REGULAR
        )
        room -= second.height
    if text:
        prompt = _prompt(text, inner, room, max(least, share_px(PROMPT, unit)), least)
        if prompt.px < least:  # a long one takes some of the time's height
            room += (LONG_END - PROMPT_END) * height
            prompt = _prompt(text, inner, room, least, least)
        marks.append(Words(around(margin, y, inner, prompt.height), prompt, part=part))
        y += prompt.height
    if frame.second_line:
        marks.append(Words(around(margin, y, inner, second.height), second, True, part="second"))
        y += second.height
    turn_words = frame.note or partner_words(frame.turn)
    turn = fit(turn_words, inner, height, max(least, share_px(TURN, unit)), least, BOLD)
    below = height - 0.045 * unit - turn.height
    top = max(y, TIME_TOP * height) + NOTE_GAP * unit
    marks += _time(frame, margin, inner, top, below - NOTE_GAP * unit)
    marks.append(Words(around(margin, below, turn.width, turn.height), turn, part="turn"))
    return tuple(marks)


def _prompt(text: str, width: float, room: float, largest: int, least: int) -> Setting:
    """A prompt on one whole line while the back row can read it so; else on as few as keep it large."""
    one = fit(text, width, room, largest, least, BOLD)
    return one if is_whole(one, text) else fit_whole(text, width, room, largest, least, BOLD, 3)


def _time(frame: WallFrame, x: float, width: float, top: float, bottom: float) -> list[Mark]:
    """Digits, squares and whoever speaks, from the left."""
    sizes = _sizes(frame, width, bottom - top)
    middle = (top + bottom) / 2
    marks: list[Mark] = []
    if sizes.digits is not None and frame.digits is not None:
        cap_top = middle - sizes.digits.cap_height / 2
        marks += digit_marks(frame.digits, sizes.digits, x - sizes.digits.px * 0.03, cap_top, frame.waiting)
        x += sizes.digits.width + 2 * sizes.gap
    squares: tuple[Square, ...] = ()
    if frame.whole:
        y = middle - sizes.block[1] / 2 + (sizes.head / 2 if _is_low(frame) else 0)
        squares = place_squares(frame, sizes.side, sizes.columns, x, y)
        marks += squares
    marks.append(_head(frame, squares, sizes, x, middle))
    return marks


def _is_low(frame: WallFrame) -> bool:
    """Whether there is one row of fourths, so that whoever speaks has a place over each."""
    return frame.whole == 1 and frame.last <= FOURTHS // 2


def _head(frame: WallFrame, squares: tuple[Square, ...], sizes: _Sizes, left: float, middle: float) -> Head:
    """Over the fourth in play where there is one row of them; else at the right, as high as its row."""
    in_play = frame.full * FOURTHS + frame.fourths - 1
    if not squares:
        return Head(around(left, middle - sizes.head / 2, sizes.head, sizes.head))
    fourth = squares[max(0, in_play) // FOURTHS].fourth(max(0, in_play) % FOURTHS)
    if _is_low(frame):
        x = fourth.x + (fourth.width - sizes.head) / 2
        return Head(around(x, squares[0].box.y - sizes.head * HEAD_LIFT, sizes.head, sizes.head))
    block = sizes.block[1]
    y = fourth.y + fourth.height / 2 - sizes.head / 2
    y = min(max(y, middle - block / 2), middle + block / 2 - sizes.head)
    return Head(around(left + sizes.block[0] + sizes.gap, y, sizes.head, sizes.head), faces_left=True)


def _sizes(frame: WallFrame, width: float, height: float) -> _Sizes:
    """As large as fits the height, then smaller until it fits the width."""
    scale = 1.0
    while True:
        sizes = _scaled(frame, width, height, scale)
        digits = 0 if sizes.digits is None else sizes.digits.width + 2 * sizes.gap
        head = 0 if _is_low(frame) else sizes.head + sizes.gap
        if scale < 0.2 or sizes.block[0] + head + digits <= width:
            return sizes
        scale -= 0.03


def _scaled(frame: WallFrame, width: float, height: float, scale: float) -> _Sizes:
    digits = None
    if frame.digits is not None:
        cap = 0.74 * height * scale
        digits = fit_cells(digit_shape(frame.digits), width, cap, BOLD)
    whole, gap = frame.whole, 0.1 * height * scale
    if not whole:
        return _Sizes(0, 1, (0, 0), floor(height * scale), digits, 0.1 * height)
    if _is_low(frame):
        side = max(4, floor(height * scale / (LOW + LOW_HEAD * HEAD_LIFT)))
        return _Sizes(side, 1, (side, low_side(side)), floor(side * LOW_HEAD), digits, gap)
    columns = ceil(whole / FRAME_SQUARES)
    rows = 1 if whole <= FRAME_COLUMNS else 2
    side = max(4, floor(height * scale / (rows + 0.1 * (rows - 1))))
    block = block_size(min(whole, FRAME_SQUARES), whole, side, columns)
    head = floor(min(height, side * rows) * HEAD)
    return _Sizes(side, columns, block, head, digits, gap)
