"""Time on the Wall: how large digits and minute squares are, and where each of them lies."""

from functools import lru_cache
from math import ceil, floor
from typing import NamedTuple

from pacer.frames.wall import FOURTHS, LEAST_SHARE, WallFrame
from pacer.qt.kit.theme import BOLD, CAP_SHARE
from pacer.qt.kit.type_setting import CELL_PAD, Align, Cells, cells, digit_shape, fit, fit_cells
from pacer.qt.wall.marks import Box, Digit, Mark, Square, Words, around, low_side, share_px, square_box

# Shares of the picture's height. Words are never below the frame's least share, and main marks aim at
# 8 % or more: 30 minutes of arc from the back row, on capitals (own table: 9 m, a picture 1 m high).
TIME_HEIGHT = 0.42
MAIN_CAP = 0.08
NOTE_CAP = 0.065
NOTE_GAP = 0.022
MARGIN = 0.06
TOP = 0.035
HEADER = 0.34
FOOTER = 0.135
ROW = 1.16 / CAP_SHARE  # a row of words over its capitals
LARGEST_SQUARE = 0.175
WEIGHT = BOLD
FRAME_SQUARES, FRAME_COLUMNS = 10, 5
INNER_GAP, FRAME_GAP = 0.1, 0.45  # over a square's side


class TimeSizes(NamedTuple):
    """How large time is drawn. It depends on the minutes in all and never on what is left or said."""

    square: int
    columns: int
    digits: Cells | None
    width: int
    height: int

    def is_small(self, unit: float) -> bool:
        """Whether the digits, or squares without any, are lower than main marks are to be."""
        return (self.square if self.digits is None else self.digits.cap_height) < MAIN_CAP * unit


def unit_of(width: int, height: int) -> float:
    """The picture's height that shares refer to; less in a window narrower than any projector's picture."""
    return min(height, width * 0.78)


def least_px(least_share: float, unit: float) -> int:
    """The least size of words in pixels."""
    return ceil(least_share / CAP_SHARE * unit)


def header_share(least_share: float) -> float:
    """The height of title and lines: three rows at the least."""
    return max(HEADER, 3 * ROW * least_share + 0.005)


def footer_share(least_share: float) -> float:
    """The height of what comes next."""
    return max(FOOTER, 1.1 * ROW * least_share)


def note_share(least_share: float) -> float:
    """The height of the one word beside the time."""
    return max(NOTE_CAP, least_share) * ROW


def time_share(least_share: float) -> float:
    """The height left for the time, the same whatever is said above and below it."""
    left = 1 - TOP - header_share(least_share) - footer_share(least_share) - 0.02
    return min(TIME_HEIGHT, left)


def raised(height: float, least_share: float, unit: float) -> float:
    """How much higher than the middle time stands where the word under it is so large that it needs it."""
    below = height / 2 + (NOTE_GAP + note_share(least_share)) * unit
    return max(0.0, below - time_share(least_share) * unit / 2) if least_share > LEAST_SHARE else 0.0


def lift_share(least_share: float) -> float:
    """How much higher than the middle digits alone or squares alone stand, for the word under them."""
    return 0.035 if least_share <= LEAST_SHARE else 0.0  # larger words raise the time by what they need


def time_reach(sizes: TimeSizes, unit: float, least_share: float) -> tuple[float, float]:
    """Pixels that the time with the word under it needs above and below its middle."""
    digits = 0.0 if sizes.digits is None else float(sizes.digits.cap_height)
    both = sizes.digits is not None and sizes.square > 0
    tall = digits or float(sizes.height)
    up = raised(tall, least_share, unit) + (0.0 if both else lift_share(least_share) * unit)
    under = tall / 2 + (NOTE_GAP + note_share(least_share)) * unit - up
    half = sizes.height / 2 if both else 0.0
    above_cell = 0.0 if sizes.digits is None else sizes.digits.px * CELL_PAD
    return max(tall / 2 + up + above_cell, half) + 0.005 * unit, max(under, half) + 0.01 * unit


def time_shape(frame: WallFrame) -> str:
    """The cells that the time takes, wide enough for all the minutes: sizes then stay as time goes."""
    if frame.digits is None:
        return ""
    if not frame.whole:
        return digit_shape(frame.digits)
    # Ten minutes are 10:00 for a second only; the cells are those of 9:59.
    return "0" * len(str(max(1, frame.whole - 1))) + ":00"


@lru_cache(maxsize=64)
def time_sizes(
    whole: int, shape: str, width: float, unit: float, least_share: float, part: float = 1.0
) -> TimeSizes:
    """The digits and squares that fill the space, or so large a part of its height, best together."""
    height = time_share(least_share) * unit * part
    under = (max(NOTE_CAP, least_share) / CAP_SHARE + 0.02) * unit
    if least_share > LEAST_SHARE:
        under = (note_share(least_share) + NOTE_GAP + 0.01) * unit
    if not whole:
        return TimeSizes(0, 0, fit_cells(shape, width, height - under, WEIGHT), 0, 0)
    if not shape:
        side, columns = fit_squares(whole, width, height - under)
        return TimeSizes(side, columns, None, *block_size(min(whole, FRAME_SQUARES), whole, side, columns))
    best: tuple[float, TimeSizes] | None = None
    for step in range(30, 9, -1):
        digits = cells(shape, share_px(0.0085 * step / CAP_SHARE, unit), WEIGHT)
        room = width - digits.width - 0.07 * unit
        if room <= 0 or digits.cap_height > height - under:
            continue
        side, columns = _square_side(whole, room, height, unit)
        score = min(side, LARGEST_SQUARE * unit) ** 1.4 * digits.px
        if best is None or score > best[0]:
            best = score, TimeSizes(side, columns, digits, *block_size(FRAME_SQUARES, whole, side, columns))
    if best is None:
        return TimeSizes(
            2, 1, fit_cells(shape, width / 2, height, WEIGHT), *block_size(FRAME_SQUARES, whole, 2, 1)
        )
    return best[1]


def _square_side(whole: int, width: float, height: float, unit: float) -> tuple[int, int]:
    """The largest side and the number of frames beside each other that fit a space."""
    frames = ceil(whole / FRAME_SQUARES)
    options = []
    for columns in range(1, frames + 1):
        rows = ceil(frames / columns)
        across = columns * (FRAME_COLUMNS + 4 * INNER_GAP) + (columns - 1) * FRAME_GAP
        down = rows * (2 + INNER_GAP) + (rows - 1) * FRAME_GAP
        side = min(width / across, height / down, LARGEST_SQUARE * unit)
        options.append((max(4, floor(side)), -columns))
    side, columns = max(options)
    return side, -columns


@lru_cache(maxsize=64)
def fit_squares(whole: int, width: float, height: float, most: float = 0.0) -> tuple[int, int]:
    """The largest side of so many squares alone in a space, and how many ten-frames stand beside each other.

    ``most``: no larger than that, in pixels.
    """
    frames = ceil(whole / FRAME_SQUARES)
    across = min(whole, FRAME_COLUMNS)
    last_rows = 1 if (whole - 1) % FRAME_SQUARES < FRAME_COLUMNS else 2
    options = []
    for columns in range(1, frames + 1):
        rows = ceil(frames / columns)
        last = min(FRAME_COLUMNS, whole - (frames - 1) * FRAME_SQUARES) if rows == 1 else across
        wide = (columns - 1) * (across + (across - 1) * INNER_GAP + FRAME_GAP) + last + (last - 1) * INNER_GAP
        lowest = 2 if columns > 1 and frames > 1 else last_rows
        high = (rows - 1) * (2 + INNER_GAP + FRAME_GAP) + (1 if lowest == 1 else 2 + INNER_GAP)
        side = min(width / wide, height / high)
        options.append((max(4, floor(min(side, most) if most else side)), -columns))
    side, columns = max(options)
    return side, -columns


def gaps(side: int) -> tuple[int, int]:
    """Pixels between squares and between frames."""
    return max(1, floor(side * INNER_GAP)), max(2, floor(side * FRAME_GAP))


def block_size(first: int, whole: int, side: int, columns: int, last: int = FOURTHS) -> tuple[int, int]:
    """Width and height of all frames; ``first``: how many squares the widest frame counts as holding.

    ``last``: how many fourths the last square has; alone it is only as high as these are.
    """
    inner, between = gaps(side)
    frames = ceil(whole / FRAME_SQUARES)
    rows = ceil(frames / columns)
    across = min(FRAME_COLUMNS, first)
    frame_width = across * side + (across - 1) * inner
    down = 1 if whole <= FRAME_COLUMNS else 2
    frame_height = down * side + (down - 1) * inner
    width = columns * frame_width + (columns - 1) * between
    height = rows * frame_height + (rows - 1) * between
    last_row = whole - (rows - 1) * columns * FRAME_SQUARES
    if whole > FRAME_COLUMNS and last_row <= FRAME_COLUMNS:
        height -= side + inner  # the last frame is half a one and stands alone
    if whole == 1 and last <= FOURTHS // 2:
        height = low_side(side)
    return width, height


def place_squares(
    frame: WallFrame, side: int, columns: int, x: float, y: float, flat: bool = False
) -> tuple[Square, ...]:
    """All squares in reading order from the upper left; ``flat``: one row with a gap after every five."""
    left = (0, 0) if frame.over else (frame.full, frame.fourths)
    return _placed((frame.whole, frame.last), left, frame.waiting, (side, columns, x, y), flat)


@lru_cache(maxsize=16)
def _placed(
    squares_in: tuple[int, int],
    left: tuple[int, int],
    waiting: bool,
    place: tuple[int, int, float, float],
    flat: bool,
) -> tuple[Square, ...]:
    side, columns, x, y = place
    inner, between = gaps(side)
    frame_width = FRAME_COLUMNS * side + (FRAME_COLUMNS - 1) * inner + between
    frame_height = 2 * side + inner + between
    squares = []
    whole, last = squares_in
    for index in range(whole):
        number, within = divmod(index, FRAME_COLUMNS if flat else FRAME_SQUARES)
        row, column = divmod(within, FRAME_COLUMNS)
        from_left = floor(x) + (number % columns) * frame_width + column * (side + inner)
        top = floor(y) + (number // columns) * frame_height + row * (side + inner)
        at = from_left, top
        squares.append(square_of(index, at, side, left, last if index == whole - 1 else FOURTHS, waiting))
    return tuple(squares)


def square_of(
    index: int, at: tuple[int, int], side: int, left: tuple[int, int], of: int, waiting: bool
) -> Square:
    """The square of a number, counted from 0, where so many full ones and fourths are left."""
    begun = index == left[0]
    fourths = FOURTHS if index < left[0] else left[1] if begun else 0
    return Square(square_box(*at, side, of), fourths, waiting, of, begun and fourths == FOURTHS)


def digit_marks(text: str, size: Cells, x: float, cap_top: float, quiet: bool) -> list[Digit]:
    """A text in equal cells; the cell reaches a little above the capitals and below the baseline."""
    marks, pad = [], size.px * CELL_PAD
    for char, width in zip(text, cells(digit_shape(text), size.px, size.weight).widths, strict=True):
        box = around(x, cap_top - pad, width, size.cap_height + 2 * pad + 1)
        marks.append(Digit(box, char, size.px, quiet))
        x += width
    return marks


def time_words(
    frame: WallFrame, size: Cells, left: Box, place: tuple[float, float], unit: float, align: Align
) -> list[Mark]:
    """The digits, or "Finish up" in their place; a pause puts its word under them.

    ``place``: their middle, and how high a text in place of the digits may be.
    """
    middle, high = place
    share = frame.least_share
    least = least_px(share, unit)
    if frame.over:
        text = frame.note or frame.digits or ""
        room = left.width if align == "centre" else max(size.width, left.width * 0.9)
        note = fit(text, room, high, share_px(0.2, unit), least, BOLD, 2)
        return [
            Words(around(left.x, middle - note.height / 2, room, note.height), note, align=align, part="note")
        ]
    digits = frame.digits or ""
    size = fit_cells(digit_shape(digits), max(size.width, left.width), size.cap_height + 0.01, size.weight)
    middle -= raised(size.cap_height, share, unit)
    x = left.x + ((left.width - size.width) / 2 if align == "centre" else -size.px * 0.03)
    marks: list[Mark] = [*digit_marks(digits, size, x, middle - size.cap_height / 2, frame.waiting)]
    if frame.note:
        px = share_px(max(NOTE_CAP, share) / CAP_SHARE, unit)
        note = fit(frame.note, left.width, unit, max(px, least), least, BOLD)
        y = middle + size.cap_height / 2 + NOTE_GAP * unit
        marks.append(Words(around(left.x, y, left.width, note.height), note, align=align, part="note"))
    return marks
