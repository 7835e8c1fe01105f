"""The strip: the Wall in one row along an edge of the picture, over other programs."""

from math import ceil, floor

from pacer.frames.wall import WallFrame
from pacer.qt.theme import BOLD, REGULAR, SEMIBOLD
from pacer.qt.type_setting import digit_shape, fit, fit_cells
from pacer.qt.wall_marks import Box, Line, Mark, Words, around, share_px
from pacer.qt.wall_time import (
    FRAME_COLUMNS,
    FRAME_GAP,
    FRAME_SQUARES,
    INNER_GAP,
    block_size,
    digit_marks,
    gaps,
    place_squares,
    time_shape,
)

ONE_ROW, TWO_ROWS = 0.62, 0.4  # square sides over the strip's height


def strip_marks(frame: WallFrame, width: int, height: int) -> tuple[Mark, ...]:
    """One row: squares, digits, title, between two thin lines that part it from other programs."""
    edge = max(1, round(height * 0.02))
    x = gap = height * 0.3
    marks: list[Mark] = [Line(Box(0, 0, width, edge), True), Line(Box(0, height - edge, width, edge), True)]
    hidden = frame.face == "hidden"
    if frame.whole and not hidden:
        side, rows, block = _strip_squares(frame.whole, width, height)
        flat = rows == 1
        y = (height - block[1]) / 2
        marks += place_squares(frame, side, max(1, ceil(frame.whole / 5)), x, y, flat)
        x += block[0] + gap * 1.3
    if frame.over and not hidden and frame.note:
        note = fit(frame.note, width * 0.3, height, share_px(0.8, height), share_px(0.5, height), BOLD)
        marks.append(Words(around(x, (height - note.height) / 2, note.width, note.height), note, part="note"))
        x += note.width + gap * 1.6
    elif frame.digits is not None and not hidden:
        made = fit_cells(time_shape(frame), width * 0.3, 0.62 * height, BOLD)
        made = fit_cells(digit_shape(frame.digits), made.width, made.cap_height + 0.01, BOLD)
        marks += digit_marks(frame.digits, made, x, (height - made.cap_height) / 2, frame.waiting)
        x += made.width + gap * 1.3
    return (*marks, *_strip_words(frame, x, width - gap, height, gap))


def _strip_squares(whole: int, width: int, height: int) -> tuple[int, int, tuple[int, int]]:
    """Side, rows and block size: one row of fives while it leaves room for words, else ten-frames."""
    room = width * (0.38 if whole <= 20 else 0.45)
    fives = ceil(whole / FRAME_COLUMNS)
    units = whole + (whole - 1) * INNER_GAP + (fives - 1) * (FRAME_GAP - INNER_GAP)
    one = min(ONE_ROW * height, room / units)
    frames = ceil(whole / FRAME_SQUARES)
    two = min(TWO_ROWS * height, room / (frames * (FRAME_COLUMNS + 4 * INNER_GAP + FRAME_GAP)))
    if whole <= FRAME_COLUMNS or one >= two * 1.2:
        side = max(4, floor(one))
        inner, between = gaps(side)
        return side, 1, (whole * side + (whole - fives) * inner + (fives - 1) * between, side)
    side = max(4, floor(two))
    inner, _between = gaps(side)
    block_width, block_height = block_size(FRAME_SQUARES, whole, side, frames)
    missing = FRAME_COLUMNS - min(FRAME_COLUMNS, (whole - 1) % FRAME_SQUARES + 1)
    return side, 2, (block_width - missing * (side + inner), block_height)


def _strip_words(frame: WallFrame, x: float, right: float, height: int, gap: float) -> list[Mark]:
    """The word of a pause, the title, and in a hidden strip the class's line, as far as they fit."""
    wanted = [("title", frame.title, SEMIBOLD, False)]
    if frame.note and not (frame.over and frame.face != "hidden"):
        wanted.insert(0, ("note", frame.note, BOLD, False))
    if frame.face == "hidden" or (frame.digits is None and not frame.whole):
        wanted.append(("line", frame.line, REGULAR, True))
    marks: list[Mark] = []
    for part, text, weight, quiet in wanted:
        room = right - x
        if not text or room < height:
            continue
        share = 0.6 if part == "title" and len(wanted) > 1 and wanted[-1][0] == "line" and frame.line else 1.0
        made = fit(text, room * share, height, share_px(0.8, height), share_px(0.44, height), weight)
        marks.append(
            Words(around(x, (height - made.height) / 2, made.width, made.height), made, quiet, part=part)
        )
        x += made.width + gap * 1.3
    return marks
