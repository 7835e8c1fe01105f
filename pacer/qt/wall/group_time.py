"""Digits and squares of the second half: in a column beside the groups, or in a row above them."""

from math import floor

from pacer.frames.wall import WallFrame
from pacer.qt.kit.theme import BOLD
from pacer.qt.kit.type_setting import Cells, digit_shape, fit, fit_cells
from pacer.qt.wall.marks import Box, Mark, Words, around, share_px
from pacer.qt.wall.time import (
    FRAME_COLUMNS,
    FRAME_SQUARES,
    block_size,
    digit_marks,
    fit_squares,
    least_px,
    place_squares,
)

LARGEST_SQUARE, LEAST_SQUARE = 0.26, 0.08
LARGEST_DIGITS, LEAST_DIGITS = 0.19, 0.09  # capitals
TIME_GAP = 0.05  # between digits and squares


def time_column(frame: WallFrame, box: Box, unit: float) -> list[Mark]:
    """Digits over squares, together in the middle of a column; "Finish up" in the digits' place."""
    least = least_px(frame.least_share, unit)
    digits = _digits(frame, box.width, min(LARGEST_DIGITS * unit, box.height * 0.4))
    cap = 0.0 if digits is None else digits.cap_height
    if frame.whole and digits is not None:
        # Many minutes: the digits give way until the squares are main marks.
        least_side = LEAST_SQUARE * unit
        while fit_squares(frame.whole, box.width, box.height - cap - TIME_GAP * unit)[0] < least_side:
            smaller = _digits(frame, box.width, cap * 0.92)
            if smaller is None or smaller.cap_height < LEAST_DIGITS * unit:
                break
            digits, cap = smaller, smaller.cap_height
    words = None
    if frame.over:
        words = fit(frame.note, box.width, box.height * 0.5, share_px(0.17, unit), least, BOLD, 2)
        cap = words.height
    between = TIME_GAP * unit if cap and frame.whole else 0.0
    side, columns, high = 0, 1, 0
    if frame.whole:
        side, columns = fit_squares(frame.whole, box.width, box.height - cap - between)
        high = block_size(min(frame.whole, FRAME_SQUARES), frame.whole, side, columns, frame.last)[1]
    y = box.y + max(0.0, (box.height - cap - between - high) * 0.46)
    marks: list[Mark] = []
    if words is not None:
        marks.append(Words(around(box.x, y, box.width, words.height), words, part="note"))
    elif digits is not None:
        marks += digit_marks(frame.digits or "", digits, box.x - digits.px * 0.03, y, frame.waiting)
    if frame.whole:
        marks += place_squares(frame, side, columns, box.x, y + cap + between)
    return marks


def _digits(frame: WallFrame, width: float, cap_height: float) -> Cells | None:
    """Cells for minutes of two digits, however many there are: all legs count in digits of one size."""
    if frame.digits is None:
        return None
    minutes = max(2, len(digit_shape(frame.digits).partition(":")[0]), len(str(max(0, frame.whole - 1))))
    return fit_cells("0" * minutes + ":00", width, cap_height, BOLD)


def time_row(
    frame: WallFrame, box: Box, unit: float, *, wide: bool = False, under: bool = False
) -> tuple[list[Mark], float]:
    """Digits and squares beside each other at the right of a band; and where they begin.

    ``wide``: little is said at the left of them; ``under``: nothing at all.
    """
    # Beside many minutes a title has room for two short lines.
    for_digits, for_squares = (
        (0.5, 0.46)
        if under
        else (0.34, 0.4)
        if wide
        else (0.26, 0.42)
        if frame.whole > FRAME_COLUMNS
        else (0.3, 0.36)
    )
    digits = _digits(frame, box.width * for_digits, min((0.2 if wide else 0.15) * unit, box.height * 0.8))
    room = box.width * ((1.0 if under else 0.6) if digits is None else for_squares)
    middle, x = box.y + box.height / 2, float(box.x + box.width)
    marks: list[Mark] = []
    if frame.whole:
        side, columns = fit_squares(frame.whole, room, box.height * 0.98, 0.17 * unit)
        high = block_size(min(frame.whole, FRAME_SQUARES), frame.whole, side, columns, frame.last)[1]
        squares = place_squares(frame, side, columns, 0, middle - high / 2)
        x = floor(x) - max(square.box.x + side for square in squares)
        marks += place_squares(frame, side, columns, x, middle - high / 2)
        x -= TIME_GAP * unit
    if digits is not None and not frame.over:
        shown = fit_cells(digit_shape(frame.digits or ""), digits.width, digits.cap_height + 0.01, BOLD)
        at, top = x - shown.width, middle - digits.cap_height / 2
        marks += digit_marks(frame.digits or "", shown, at, top, frame.waiting)
        x -= digits.width
    return marks, x
