"""The second half on the Wall: the time beside the groups in a visit, above them while children walk."""

from functools import lru_cache
from math import ceil, floor

from pacer.frames.wall import WallFrame
from pacer.qt.kit.theme import BOLD, MEDIUM
from pacer.qt.kit.type_setting import Cells, Setting, digit_shape, fit, fit_cells
from pacer.qt.wall.group_cells import cell_marks
from pacer.qt.wall.group_grid import grid_of
from pacer.qt.wall.marks import Box, Line, Mark, Words, around, share_px
from pacer.qt.wall.time import (
    FRAME_COLUMNS,
    FRAME_GAP,
    FRAME_SQUARES,
    INNER_GAP,
    MARGIN,
    ROW,
    TOP,
    block_size,
    digit_marks,
    least_px,
    place_squares,
    unit_of,
)
from pacer.text import _

TITLE = 0.118  # of the title's letters over the picture's height
TITLE_SHARE = 0.6  # of the width: what the title may take beside the word at the right
TIME_SHARE = 0.42  # of the width: time beside groups
LARGEST_SQUARE, LEAST_SQUARE = 0.26, 0.08
LARGEST_DIGITS, LEAST_DIGITS = 0.19, 0.09  # capitals
TIME_GAP = 0.05  # between digits and squares
BAND, LOW_BAND = 0.21, 0.16  # of the height: time above groups, and above many
BESIDE = 5  # more groups than these lie below the time
MANY = 6


def groups_marks(frame: WallFrame, width: int, height: int) -> tuple[Mark, ...]:
    """Lay out title, time and groups."""
    unit = unit_of(width, height)
    margin, least = MARGIN * unit, least_px(frame.least_share, unit)
    inner = width - 2 * margin
    timed = frame.digits is not None or bool(frame.whole)
    if timed and (frame.moving or len(frame.groups) > BESIDE):
        return _banded(frame, width, height, unit)
    head = _head(frame, inner, unit)
    top = floor(max((mark.box.y + mark.box.height for mark in head), default=0) + 0.04 * unit)
    place = Box(floor(margin), top, floor(inner), floor(height - top - 0.05 * unit))
    if not timed:
        return (*head, *cell_marks(frame.groups, place, unit, least))
    left = Box(place.x, place.y, floor(inner * TIME_SHARE - 0.04 * unit), place.height)
    x = ceil(place.x + inner * TIME_SHARE + 0.04 * unit)
    right = Box(x, place.y, floor(margin + inner) - x, place.height)
    grid = grid_of(frame.groups, right.width, right.height, unit, least)
    if grid.words.cut or not grid.fits or grid.words.name_px < least:
        return _banded(frame, width, height, unit)
    rule = Line(around(x - 0.045 * unit, place.y, max(1.0, 0.0025 * unit), place.height))
    return (*head, *_column(frame, left, unit), rule, *cell_marks(frame.groups, right, unit, least))


def _corner(frame: WallFrame, banded: bool = False) -> tuple[str, str, bool]:
    """The word at the right of the title: its part, the text, and whether it is quiet."""
    if frame.note and (not frame.over or banded or (frame.digits is None and not frame.whole)):
        return "note", frame.note, False
    if frame.next_title:
        return "next", _("Next: {title}").format(title=frame.next_title), True
    if not frame.moving and any(group.goes_to for group in frame.groups):
        return "next", _("Next"), True
    return "", "", False


def _head(frame: WallFrame, inner: float, unit: float) -> list[Mark]:
    """The title, and beside it the word of a pause or what comes next."""
    least = least_px(frame.least_share, unit)
    left = MARGIN * unit
    title = _title(frame.title, inner * TITLE_SHARE, unit, least)
    marks: list[Mark] = [Words(around(left, TOP * unit, title.width, title.height), title, part="title")]
    part, text, quiet = _corner(frame)
    if text:
        x = left + inner * TITLE_SHARE + 0.02 * unit
        room = left + inner - x
        word = fit(text, room, unit, max(least, share_px(0.095, unit)), least, MEDIUM if quiet else BOLD, 2)
        y = TOP * unit + max(0.0, (title.line_height - word.line_height) / 2)
        x += room - word.width
        marks.append(Words(around(x, y, word.width, word.height), word, quiet, part=part))
    return marks


@lru_cache(maxsize=16)
def _title(title: str, width: float, unit: float, least: int) -> Setting:
    return fit(title, width, unit, max(least, share_px(TITLE, unit)), least, BOLD, 2)


def _column(frame: WallFrame, box: Box, unit: float) -> list[Mark]:
    """Digits over squares, together in the middle of a column; "Finish up" in the digits' place."""
    least = least_px(frame.least_share, unit)
    digits = _digits(frame, box.width, min(LARGEST_DIGITS * unit, box.height * 0.4))
    cap = 0.0 if digits is None else digits.cap_height
    if frame.whole and digits is not None:
        # Many minutes: the digits give way until the squares are main marks.
        while _side(frame.whole, box.width, box.height - cap - TIME_GAP * unit)[0] < LEAST_SQUARE * unit:
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
        side, columns = _side(frame.whole, box.width, box.height - cap - between)
        high = block_size(min(frame.whole, FRAME_SQUARES), frame.whole, side, columns)[1]
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


@lru_cache(maxsize=64)
def _side(whole: int, width: float, height: float, most: float = 0.0) -> tuple[int, int]:
    """The largest side of a square, and how many ten-frames stand beside each other."""
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


def _banded(frame: WallFrame, width: int, height: int, unit: float) -> tuple[Mark, ...]:
    """Title and time in a row, and the groups over the whole width below."""
    margin, least = MARGIN * unit, least_px(frame.least_share, unit)
    inner = width - 2 * margin
    row = ROW * frame.least_share * unit + 1
    high = max((BAND if len(frame.groups) <= MANY else LOW_BAND) * unit, 2 * row)
    top = TOP * unit
    time, x = time_row(frame, Box(floor(margin), floor(top), floor(inner), floor(high)), unit)
    room = x - 0.05 * unit - margin
    settings = _beside_time(frame, room, high, row, unit)
    y = top + max(0.0, (high - sum(setting.height for _part, setting, _quiet in settings)) / 2)
    marks: list[Mark] = []
    for name, setting, soft in settings:
        marks.append(Words(around(margin, y, setting.width, setting.height), setting, soft, part=name))
        y += setting.height
    below = ceil(top + high + 0.035 * unit)
    place = Box(floor(margin), below, floor(inner), floor(height - below - 0.04 * unit))
    rule = Line(around(margin, top + high + 0.012 * unit, inner, max(1.0, 0.0025 * unit)))
    return (*marks, *time, rule, *cell_marks(frame.groups, place, unit, least))


def _beside_time(
    frame: WallFrame, room: float, high: float, row: float, unit: float
) -> list[tuple[str, Setting, bool]]:
    """The title, and under it the word of a pause or what comes next; the title goes where both don't fit."""
    least, largest = least_px(frame.least_share, unit), share_px(TITLE, unit)
    part, text, quiet = _corner(frame, banded=True)
    weight = MEDIUM if quiet else BOLD
    word = fit(text, room, row, max(least, share_px(0.085, unit)), least, weight) if text else None
    left = high - (0.0 if word is None else word.height)
    title = fit(frame.title, room, left, max(least, largest), least, BOLD, 2)
    titled = not title.elided and title.height <= left + 0.1
    if word is None:
        return [("title", title, False)] if titled else []
    if titled and not word.elided:
        return [("title", title, False), (part, word, quiet)]
    word = fit(text, room, high, max(least, share_px(0.105, unit)), least, weight, 2)
    return [] if word.elided else [(part, word, quiet)]


def time_row(frame: WallFrame, box: Box, unit: float, *, wide: bool = False) -> tuple[list[Mark], float]:
    """Digits and squares beside each other at the right of a band; and where they begin.

    ``wide``: little is said at the left of them.
    """
    # Beside many minutes a title has room for two short lines.
    for_digits, for_squares = (
        (0.34, 0.4) if wide else (0.26, 0.42) if frame.whole > FRAME_COLUMNS else (0.3, 0.36)
    )
    digits = _digits(frame, box.width * for_digits, min((0.2 if wide else 0.15) * unit, box.height * 0.8))
    room = box.width * (0.6 if digits is None else for_squares)
    middle, x = box.y + box.height / 2, float(box.x + box.width)
    marks: list[Mark] = []
    if frame.whole:
        side, columns = _side(frame.whole, room, box.height * 0.98, 0.17 * unit)
        high = block_size(min(frame.whole, FRAME_SQUARES), frame.whole, side, columns)[1]
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
