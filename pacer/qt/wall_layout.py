"""Where everything on the Wall lies: a frame and a size become a list of marks."""

from functools import lru_cache
from math import ceil, floor

from PySide6.QtCore import QRect, QSize

from pacer.frames.wall import FOURTHS, WallFrame
from pacer.qt.theme import BOLD, CAP_SHARE, MEDIUM, REGULAR
from pacer.qt.type_setting import fit
from pacer.qt.wall_marks import Box, Digit, Line, Mark, Square, WallLayout, Words, around, share_px
from pacer.qt.wall_strip import strip_marks
from pacer.qt.wall_time import (
    LEAST_WORD,
    NOTE_CAP,
    TimeSizes,
    place_squares,
    time_shape,
    time_sizes,
    time_words,
)
from pacer.remember import remember_last
from pacer.text import _

# Shares of the picture's height.
MARGIN = 0.06
HEADER = 0.34
FOOTER = 0.135
SPILL = 2  # pixels that ink may reach out of a changed mark's box


@remember_last
def wall_layout(frame: WallFrame, size: QSize) -> WallLayout:
    """Lay out a frame for a picture of a size in logical pixels."""
    width, height = size.width(), size.height()
    if frame.face == "off" or width < 1 or height < 1:
        return WallLayout((width, height), ())
    if frame.shape == "strip":
        return WallLayout((width, height), strip_marks(frame, width, height))
    if frame.face == "hidden" or (frame.digits is None and frame.whole == 0):
        return WallLayout((width, height), _only_words(frame, width, height))
    return WallLayout((width, height), _with_time(frame, width, height))


def changed_area(old: WallFrame, new: WallFrame, size: QSize) -> list[QRect]:
    """What must be painted again to go from one frame to the next: nothing outside it differs."""
    if old == new:
        return []
    before, after = wall_layout(old, size), wall_layout(new, size)
    whole = [QRect(0, 0, size.width(), size.height())]
    if len(before.marks) != len(after.marks):
        return whole
    areas: list[QRect] = []
    for was, now in zip(before.marks, after.marks, strict=True):
        if was is now or was == now:
            continue
        if isinstance(was, Square) and isinstance(now, Square) and was.box == now.box:
            areas += _square_change(was, now)
        elif isinstance(was, Digit) and isinstance(now, Digit) and was.box == now.box:
            areas.append(_spilled(now.box))
        else:
            return whole
    return areas


def leaving_fourth(frame: WallFrame, size: QSize) -> Box | None:
    """The fourth that went last, which a window may fade out; None when none has gone yet."""
    gone = frame.full * FOURTHS + frame.fourths
    squares = wall_layout(frame, size).squares
    if gone // FOURTHS >= len(squares):
        return None
    return squares[gone // FOURTHS].fourth(gone % FOURTHS)


def _spilled(box: Box) -> QRect:
    return box.rect().adjusted(-SPILL, -SPILL, SPILL, SPILL)


def _square_change(was: Square, now: Square) -> list[QRect]:
    """Only the fourths that came or went, unless the square was or is full: then it has no gaps inside."""
    if was.waiting != now.waiting or FOURTHS in (was.fourths, now.fourths):
        return [_spilled(now.box)]
    low, high = sorted((was.fourths, now.fourths))
    return [_spilled(now.fourth(index)) for index in range(low, high)]


def unit_of(width: int, height: int) -> float:
    """The picture's height that shares refer to; less in a window narrower than any projector's picture."""
    return min(height, width * 0.78)


@lru_cache(maxsize=64)
def _header(title: str, line: str, second: str, width: int, unit: float) -> tuple[Words, ...]:
    """Title and lines from the top, within the header's height whatever their length."""
    margin = MARGIN * unit
    inner = width - 2 * margin
    least = ceil(LEAST_WORD * unit)
    least_row = least * 1.16 + 1
    y = bottom = 0.035 * unit
    bottom += HEADER * unit
    made: list[Words] = []
    wanted = [
        ("title", title, BOLD, 0.118),
        ("line", line, REGULAR, 0.078),
        ("second", second, REGULAR, 0.074),
    ]
    wanted = [part for part in wanted if part[1]]
    for index, (part, text, weight, largest) in enumerate(wanted):
        room = bottom - y - least_row * (len(wanted) - index - 1)
        lines = max(1, min(2, int(room // least_row)))
        setting = fit(text, inner, max(room, least_row), share_px(largest, unit), least, weight, lines)
        made.append(Words(around(margin, y, inner, setting.height), setting, part != "title", part=part))
        y += setting.height
    return tuple(made)


@lru_cache(maxsize=64)
def _footer(next_title: str, width: int, height: int, unit: float) -> tuple[Mark, ...]:
    """A quiet line that says what comes next."""
    if not next_title:
        return ()
    margin = MARGIN * unit
    least = ceil(LEAST_WORD * unit)
    top = height - FOOTER * unit
    label = fit(_("Next"), width * 0.3, FOOTER * unit, least, least, REGULAR)
    x = margin + label.width + 0.045 * unit
    title = fit(next_title, width - margin - x, FOOTER * unit, least, least, MEDIUM)
    y = top + (FOOTER * unit - label.height) * 0.42
    return (
        Line(around(margin, top, width - 2 * margin, max(1.0, 0.0025 * unit))),
        Words(around(margin, y, label.width, label.height), label, True, part="next_label"),
        # The row is read from the label on, so a right-to-left title stands beside it as well.
        Words(around(x, y, title.width, title.height), title, True, part="next"),
    )


def _only_words(frame: WallFrame, width: int, height: int) -> tuple[Mark, ...]:
    """Words alone, larger, in the middle of the space: there is no place where time was."""
    unit = unit_of(width, height)
    margin = MARGIN * unit
    inner = width - 2 * margin
    least = ceil(LEAST_WORD * unit)
    wanted = [
        ("title", frame.title, BOLD, 0.17, 3),
        ("line", frame.line, REGULAR, 0.095, 2),
        ("second", frame.second_line, REGULAR, 0.095, 2),
        ("note", frame.note, BOLD, 0.12, 1),
    ]
    settings = []
    room = height - FOOTER * unit - 2 * margin
    for part, text, weight, largest, lines in wanted:
        if text:
            share = room * (0.5 if part == "title" else 0.22)
            settings.append((part, fit(text, inner, share, share_px(largest, unit), least, weight, lines)))
    gaps = {"line": 0.02, "second": 0.0, "note": 0.04}
    total = sum(made.height + gaps.get(part, 0) * unit for part, made in settings)
    y = margin + max(0.0, (room - total) * 0.46)
    marks: list[Mark] = []
    for part, made in settings:
        y += gaps.get(part, 0) * unit if marks else 0
        quiet = part in ("line", "second")
        marks.append(Words(around(margin, y, inner, made.height), made, quiet, part=part))
        y += made.height
    return (*marks, *_footer(frame.next_title, width, height, unit))


def _with_time(frame: WallFrame, width: int, height: int) -> tuple[Mark, ...]:
    unit = unit_of(width, height)
    header = _header(frame.title, frame.line, frame.second_line, width, unit)
    top = header[-1].box.y + header[-1].box.height if header else MARGIN * unit
    bottom = height - FOOTER * unit
    margin = MARGIN * unit
    shape = time_shape(frame)
    sizes = time_sizes(frame.whole, shape, width - 2 * margin, unit)
    middle = (top + bottom) / 2
    footer = _footer(frame.next_title, width, height, unit)
    if sizes.digits is None or not frame.whole:
        return (*header, *_one_kind(frame, sizes, width, middle, unit), *footer)
    squares_x = width - margin - sizes.width
    squares = place_squares(frame, sizes.square, sizes.columns, squares_x, middle - sizes.height / 2)
    left = Box(floor(margin), 0, ceil(squares_x - margin - 0.05 * unit), height)
    return (*header, *time_words(frame, sizes.digits, left, middle, unit, "start"), *squares, *footer)


def _one_kind(frame: WallFrame, sizes: TimeSizes, width: int, middle: float, unit: float) -> list[Mark]:
    """Digits alone or squares alone, in the middle; the word under them has its place kept."""
    margin = MARGIN * unit
    line = Box(floor(margin), 0, floor(width - 2 * margin), 0)
    lift = 0.035 * unit
    if sizes.digits is not None:
        return time_words(frame, sizes.digits, line, middle - (0 if frame.over else lift), unit, "centre")
    y = middle - sizes.height / 2 - lift
    marks: list[Mark] = [*place_squares(frame, sizes.square, sizes.columns, (width - sizes.width) / 2, y)]
    if frame.note:
        px = share_px(NOTE_CAP / CAP_SHARE, unit)
        note = fit(frame.note, line.width, unit, px, ceil(LEAST_WORD * unit), BOLD)
        box = around(line.x, y + sizes.height + 0.022 * unit, line.width, note.height)
        marks.append(Words(box, note, align="centre", part="note"))
    return marks
