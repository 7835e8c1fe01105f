"""Where everything on the Wall lies: a frame and a size become a list of marks."""

from collections.abc import Sequence
from dataclasses import replace
from functools import lru_cache
from math import ceil, floor

from PySide6.QtCore import QRect, QSize

from pacer.frames.wall import FOURTHS, PictureKey, WallFrame
from pacer.qt.kit.theme import BOLD, CAP_SHARE, MEDIUM, REGULAR
from pacer.qt.kit.type_setting import Cells, Setting, digit_shape, fit, fit_whole
from pacer.qt.wall.fill import SHRINK, fill_marks
from pacer.qt.wall.groups import groups_marks
from pacer.qt.wall.marks import (
    Box,
    Digit,
    Head,
    Line,
    Mark,
    Picture,
    Sign,
    Square,
    TextBlock,
    WallLayout,
    Words,
    around,
    share_px,
)
from pacer.qt.wall.prompt import prompt_marks
from pacer.qt.wall.strip import strip_marks
from pacer.qt.wall.talk import talk_marks
from pacer.qt.wall.time import (
    FRAME_SQUARES,
    MARGIN,
    NOTE_CAP,
    NOTE_GAP,
    ROW,
    TOP,
    TimeSizes,
    block_size,
    fit_squares,
    footer_share,
    header_share,
    least_px,
    lift_share,
    note_share,
    place_squares,
    time_reach,
    time_shape,
    time_share,
    time_sizes,
    time_words,
)
from pacer.qt.wall.time import unit_of as unit_of
from pacer.remember import identity_cache
from pacer.text import _

TITLE_PX, LINE_PX, SECOND_PX = 0.118, 0.078, 0.074  # of letters over the picture's height
ALONE_GAP = 0.03  # above and below squares that stand alone, over the height
TIME_PARTS = (1.0, 0.85, 0.7, 0.55)  # of the height that the time may take, tried in this order
LEAST_SQUARE = 0.06  # over the height: no smaller for the sake of words
SPILL = 2  # pixels that ink may reach out of a changed mark's box


@identity_cache
def wall_layout(frame: WallFrame, size: QSize) -> WallLayout:
    """Lay out a frame for a picture of a size in logical pixels.

    Times of one shape lie in the same cells, so from one second to the next only their digits are put in.
    """
    width, height = size.width(), size.height()
    if frame.face in ("off", "blank") or width < 1 or height < 1:
        return WallLayout((width, height), ())
    if frame.digits is None or frame.over:
        return WallLayout((width, height), _marks(frame, width, height))
    marks = _marks_of_shape(replace(frame, digits=digit_shape(frame.digits)), width, height)
    digits = iter([char for char in frame.digits if char.isdigit()])
    counted = (
        _with_char(mark, next(digits)) if isinstance(mark, Digit) and mark.char.isdigit() else mark
        for mark in marks
    )
    return WallLayout((width, height), tuple(counted))


@lru_cache(maxsize=64)  # ten digits at four places: each comes back within minutes
def _with_char(mark: Digit, char: str) -> Digit:
    return replace(mark, char=char)


@lru_cache(maxsize=4)
def _marks_of_shape(frame: WallFrame, width: int, height: int) -> tuple[Mark, ...]:
    """The marks of a frame whose digits stand for any others."""
    return _marks(frame, width, height)


def _marks(frame: WallFrame, width: int, height: int) -> tuple[Mark, ...]:
    if frame.shape == "strip":
        return strip_marks(frame, width, height)
    if frame.fill != "countdown":
        return fill_marks(frame, width, height)
    if frame.turn and frame.face != "hidden":
        return talk_marks(frame, width, height)
    if frame.groups:
        return groups_marks(frame, width, height)
    if frame.prompt and (frame.digits is not None or frame.whole):
        return prompt_marks(frame, width, height)
    if frame.prompt:
        frame = replace(frame, line=frame.prompt)
    if frame.face == "hidden" or (frame.digits is None and frame.whole == 0):
        return _only_words(frame, width, height)
    return _with_time(frame, width, height)


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
        changed = _mark_change(was, now)
        if not changed:
            return whole
        areas += changed
    return areas


def _mark_change(was: Mark, now: Mark) -> list[QRect]:
    """What a mark that became another leaves to be painted; empty: everything."""
    match was, now:
        case Square(), Square() if was.box == now.box:
            return _square_change(was, now)
        case Digit(), Digit() if was.box == now.box:
            return [_spilled(now.box)]
        case (Picture(), Picture()) | (TextBlock(), TextBlock()) | (Sign(), Sign()) if was.box == now.box:
            return [now.reach]
        case Head(), Head():
            return [was.reach, now.reach]
        case Words(part="turn"), Words(part="turn"):
            return [was.reach, now.reach]
    return []


def leaving_fourth(frame: WallFrame, size: QSize) -> Box | None:
    """The fourth that went last, which a window may fade out; None when none has gone yet."""
    gone = frame.full * FOURTHS + frame.fourths
    squares = wall_layout(frame, size).squares
    if gone // FOURTHS >= len(squares):
        return None
    return squares[gone // FOURTHS].fourth(gone % FOURTHS)


def picture_places(frame: WallFrame, size: QSize, key: PictureKey) -> list[QRect]:
    """Where a picture lies on the Wall: nowhere, once, or at several groups of one place."""
    marks = wall_layout(frame, size).marks
    return [
        mark.reach
        for mark in marks
        if (isinstance(mark, Picture) and mark.key == key) or (isinstance(mark, Sign) and mark.picture == key)
    ]


def _spilled(box: Box) -> QRect:
    return box.rect().adjusted(-SPILL, -SPILL, SPILL, SPILL)


def _square_change(was: Square, now: Square) -> list[QRect]:
    """Only the fourths that came or went, unless the square was or is full: then it has no gaps inside."""
    if was.is_full and now.fourths == FOURTHS and not (was.waiting or now.waiting):
        return [_spilled(gap) for gap in now.gaps]
    if (was.waiting, was.of, was.is_full) != (now.waiting, now.of, now.is_full) or now.is_full:
        return [_spilled(now.box)]
    low, high = sorted((was.fourths, now.fourths))
    return [_spilled(now.fourth(index)) for index in range(low, high)]


@lru_cache(maxsize=64)
def _header(
    title: str, line: str, second: str, width: int, unit: float, least_share: float, more: float = 0
) -> tuple[Words, ...]:
    """Title and lines from the top, within the header's height whatever their length.

    No word of a line goes: the title takes what the lines leave. ``more``: pixels that the time leaves free.
    """
    margin = MARGIN * unit
    inner = width - 2 * margin
    least = least_px(least_share, unit)
    least_row = least * 1.16 + 1
    room = header_share(least_share) * unit + more
    wanted = [("line", line, LINE_PX), ("second", second, SECOND_PX)]
    wanted = [part for part in wanted if part[1]]
    below: list[tuple[str, Setting]] = []
    left = room - (least_row if title else 0.0)
    for index, (part, text, largest) in enumerate(wanted):
        px = max(share_px(largest, unit), least)
        # The second language leaves the first its room, and gets as much at the least.
        own = left if index == len(wanted) - 1 else left - min(left / 2, 2 * least_row)
        below.append((part, fit_whole(text, inner, own, px, least, REGULAR)))
        left -= below[-1][1].height
    words: list[Words] = []
    y = TOP * unit
    if title:
        px = max(share_px(TITLE_PX, unit), least)
        setting = fit(title, inner, max(least_row, left + least_row), px, least, BOLD, 2)
        words.append(Words(around(margin, y, inner, setting.height), setting, part="title"))
        y += setting.height
    for part, setting in below:
        words.append(Words(around(margin, y, inner, setting.height), setting, True, part=part))
        y += setting.height
    return tuple(words)


@lru_cache(maxsize=64)
def _footer(next_title: str, width: int, height: int, unit: float, least_share: float) -> tuple[Mark, ...]:
    """A quiet line that says what comes next."""
    if not next_title:
        return ()
    margin = MARGIN * unit
    least = least_px(least_share, unit)
    share = footer_share(least_share)
    top = height - share * unit
    label = fit(_("Next"), width * 0.3, share * unit, least, least, REGULAR)
    x = margin + label.width + 0.045 * unit
    title = fit(next_title, width - margin - x, share * unit, least, least, MEDIUM)
    y = top + (share * unit - label.height) * 0.42
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
    least = least_px(frame.least_share, unit)
    row = ROW * frame.least_share * unit + 1
    room = height - footer_share(frame.least_share) * unit - 2 * margin
    gaps = {"line": 0.02 * unit, "second": 0.0, "note": 0.04 * unit}
    # The title is cut before a word of a line goes; the word of a pause has its row.
    left = room - (row if frame.title else 0.0) - (row + gaps["note"] if frame.note else 0.0)
    settings: dict[str, Setting] = {}
    for part, text, share in (("line", frame.line, 0.5 if frame.second_line else 1.0),
                              ("second", frame.second_line, 1.0)):  # fmt: skip
        if text:
            px = max(share_px(0.095, unit), least)
            settings[part] = fit_whole(text, inner, (left - gaps[part]) * share, px, least, REGULAR)
            left -= settings[part].height + gaps[part]
    if frame.title:
        px = max(share_px(0.17, unit), least)
        most = max(row, min(left + row, room * 0.5))
        settings = {"title": fit(frame.title, inner, most, px, least, BOLD, 3), **settings}
        left -= settings["title"].height - row
    if frame.note:
        high, px = max(row, min(row + left, room * 0.22)), max(share_px(0.12, unit), least)
        settings["note"] = fit(frame.note, inner, high, px, least, BOLD)
    total = sum(setting.height + gaps.get(part, 0) for part, setting in settings.items())
    y = margin + max(0.0, (room - total) * 0.46)
    marks: list[Mark] = []
    for part, setting in settings.items():
        y += gaps.get(part, 0) if marks else 0
        quiet = part in ("line", "second")
        marks.append(Words(around(margin, y, inner, setting.height), setting, quiet, part=part))
        y += setting.height
    return (*marks, *_footer(frame.next_title, width, height, unit, frame.least_share))


def _with_time(frame: WallFrame, width: int, height: int) -> tuple[Mark, ...]:
    unit, share = unit_of(width, height), frame.least_share
    margin, bottom = MARGIN * unit, height - footer_share(share) * unit
    said = (frame.title, frame.line, frame.second_line, width, unit, share)
    wanted = (frame.whole, time_shape(frame), width - 2 * margin, unit, share)
    header, sizes, middle, high = _header_and_time(said, wanted, bottom)
    footer = _footer(frame.next_title, width, height, unit, share)
    if sizes.digits is None:
        top = header[-1].box.y + header[-1].box.height if header else margin
        return (*header, *_squares_alone(frame, width, (top, bottom), unit), *footer)
    if not frame.whole:
        return (*header, *_digits_alone(frame, sizes.digits, width, (middle, high), unit), *footer)
    squares_x = width - margin - sizes.width
    squares = place_squares(frame, sizes.square, sizes.columns, squares_x, middle - sizes.height / 2)
    left = Box(floor(margin), 0, ceil(squares_x - margin - 0.05 * unit), height)
    time = time_words(frame, sizes.digits, left, (middle, high), unit, "start")
    return (*header, *time, *squares, *footer)


@lru_cache(maxsize=16)
def _header_and_time(
    said: tuple[str, str, str, int, float, float], wanted: tuple[int, str, float, float, float], bottom: float
) -> tuple[tuple[Words, ...], TimeSizes, float, float]:
    """The words above, how large the time is, its middle and how high it may be: the same while a phase runs.

    ``said`` is what ``_header`` takes and ``wanted`` what ``time_sizes`` does.
    """
    _title, _line, _second, _width, unit, share = said
    margin, sizes = MARGIN * unit, time_sizes(*wanted)
    header, high = _header(*said), time_share(share) * unit
    top = header[-1].box.y + header[-1].box.height if header else margin
    middle = (top + bottom) / 2
    row = ROW * share * unit + 1
    least_square = min(sizes.square, LEAST_SQUARE * unit)
    # Words that would shrink take what the time leaves free; those that could not be read from the back row
    # then take some of the time's height; equal counts have equal squares as long as words can be read at
    # all. None of it depends on what is left, so nothing moves while a phase runs.
    limit, parts = (share * SHRINK, ("line", "second")) if wanted[0] else (share, ("title", "line", "second"))
    for part in TIME_PARTS if _shrinks(header, unit) else ():
        smaller = time_sizes(*wanted, part)
        above, below = time_reach(smaller, unit, share)
        longer = _header(*said, max(0.0, bottom - above - below - (TOP + header_share(share)) * unit))
        top = longer[-1].box.y + longer[-1].box.height
        if top + above > bottom - below or smaller.is_small(unit) or smaller.square < least_square:
            continue
        at = max(top + above, min((top + bottom) / 2, bottom - below))
        space = min(time_share(share) * unit, 2 * min(at - top, bottom - at))
        if space < row:
            continue  # no place for what stands where digits were
        header, sizes, middle, high = longer, smaller, at, space
        if _can_be_read([words for words in header if words.part in parts], limit, unit):
            break
    return header, sizes, middle, high


def _shrinks(header: tuple[Words, ...], unit: float) -> bool:
    """Whether words had to give way for want of room."""
    largest = {"line": LINE_PX, "second": SECOND_PX}
    return any(
        words.setting.elided or words.setting.px < share_px(largest.get(words.part, 0), unit)
        for words in header
    )


def _can_be_read(header: Sequence[Words], least_share: float, unit: float) -> bool:
    """Whether all is there, and no smaller than the back row needs it."""
    least = least_px(least_share, unit)
    return all(words.setting.px >= least and not words.setting.elided for words in header)


def _digits_alone(
    frame: WallFrame, digits: Cells, width: int, place: tuple[float, float], unit: float
) -> list[Mark]:
    """Digits in the middle; the word under them has its place kept."""
    middle, high = place
    # Larger words raise the time by as much as they need themselves.
    lift = 0.0 if frame.over else lift_share(frame.least_share) * unit
    return time_words(frame, digits, _across(width, unit), (middle - lift, high), unit, "centre")


def _squares_alone(frame: WallFrame, width: int, place: tuple[float, float], unit: float) -> list[Mark]:
    """Squares as large as the room between words and foot; the word under them has its place kept."""
    top, bottom = place
    line = _across(width, unit)
    under = (note_share(frame.least_share) + NOTE_GAP) * unit
    room = max(1.0, bottom - top - under - 2 * ALONE_GAP * unit)
    side, columns = fit_squares(frame.whole, line.width, room)
    wide, high = block_size(min(frame.whole, FRAME_SQUARES), frame.whole, side, columns, frame.last)
    # Within what is free, the word's place too, while that leaves the word room.
    y = top + ALONE_GAP * unit + max(0.0, min((room + under - high) / 2, room - high))
    marks: list[Mark] = [*place_squares(frame, side, columns, (width - wide) / 2, y)]
    if frame.note:
        least = least_px(frame.least_share, unit)
        px = max(share_px(max(NOTE_CAP, frame.least_share) / CAP_SHARE, unit), least)
        note = fit(frame.note, line.width, unit, px, least, BOLD)
        box = around(line.x, y + high + NOTE_GAP * unit, line.width, note.height)
        marks.append(Words(box, note, align="centre", part="note"))
    return marks


def _across(width: int, unit: float) -> Box:
    """The Wall's width within its margins."""
    margin = MARGIN * unit
    return Box(floor(margin), 0, floor(width - 2 * margin), 0)
