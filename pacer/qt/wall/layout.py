"""Where everything on the Wall lies: a frame and a size become a list of marks."""

from dataclasses import replace
from functools import lru_cache
from math import ceil, floor

from PySide6.QtCore import QRect, QSize

from pacer.frames.wall import FOURTHS, PictureKey, WallFrame
from pacer.qt.kit.theme import BOLD, CAP_SHARE, MEDIUM, REGULAR
from pacer.qt.kit.type_setting import fit
from pacer.qt.wall.fill import fill_marks
from pacer.qt.wall.groups import groups_marks
from pacer.qt.wall.marks import (
    Box,
    Digit,
    Head,
    Line,
    Mark,
    Picture,
    Shape,
    Sheet,
    Square,
    WallLayout,
    Words,
    around,
    reach,
    share_px,
)
from pacer.qt.wall.prompt import prompt_marks
from pacer.qt.wall.strip import strip_marks
from pacer.qt.wall.talk import talk_marks
from pacer.qt.wall.time import (
    MARGIN,
    NOTE_CAP,
    NOTE_GAP,
    ROW,
    TOP,
    TimeSizes,
    footer_share,
    header_share,
    least_px,
    lift_share,
    place_squares,
    raised,
    time_reach,
    time_shape,
    time_share,
    time_sizes,
    time_words,
)
from pacer.qt.wall.time import unit_of as unit_of
from pacer.remember import identity_cache
from pacer.text import _

MOST_LINES = 4  # of words that would be cut, where nothing else needs the room
TIME_PARTS = (1.0, 0.85, 0.7)  # of the height that the time may take, tried in this order
SPILL = 2  # pixels that ink may reach out of a changed mark's box


@identity_cache
def wall_layout(frame: WallFrame, size: QSize) -> WallLayout:
    """Lay out a frame for a picture of a size in logical pixels."""
    width, height = size.width(), size.height()
    if frame.face in ("off", "blank") or width < 1 or height < 1:
        return WallLayout((width, height), ())
    if frame.shape == "strip":
        return WallLayout((width, height), strip_marks(frame, width, height))
    if frame.fill != "countdown":
        return WallLayout((width, height), fill_marks(frame, width, height))
    if frame.turn and frame.face != "hidden":
        return WallLayout((width, height), talk_marks(frame, width, height))
    if frame.groups:
        return WallLayout((width, height), groups_marks(frame, width, height))
    if frame.prompt and (frame.digits is not None or frame.whole):
        return WallLayout((width, height), prompt_marks(frame, width, height))
    if frame.prompt:
        frame = replace(frame, line=frame.prompt)
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
        case (Picture(), Picture()) | (Sheet(), Sheet()) | (Shape(), Shape()) if was.box == now.box:
            return [reach(now)]
        case Head(), Head():
            return [reach(was), reach(now)]
        case Words(part="turn"), Words(part="turn"):
            return [reach(was), reach(now)]
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
        reach(mark)
        for mark in marks
        if (isinstance(mark, Picture) and mark.key == key)
        or (isinstance(mark, Shape) and mark.picture == key)
    ]


def _spilled(box: Box) -> QRect:
    return box.rect().adjusted(-SPILL, -SPILL, SPILL, SPILL)


def _square_change(was: Square, now: Square) -> list[QRect]:
    """Only the fourths that came or went, unless the square was or is full: then it has no gaps inside."""
    if was.waiting != now.waiting or FOURTHS in (was.fourths, now.fourths):
        return [_spilled(now.box)]
    low, high = sorted((was.fourths, now.fourths))
    return [_spilled(now.fourth(index)) for index in range(low, high)]


@lru_cache(maxsize=64)
def _header(
    title: str, line: str, second: str, width: int, unit: float, least_share: float, more: float = 0
) -> tuple[Words, ...]:
    """Title and lines from the top, within the header's height whatever their length.

    ``more``: pixels that the time leaves free, for lines that would be cut without them.
    """
    margin = MARGIN * unit
    inner = width - 2 * margin
    least = least_px(least_share, unit)
    least_row = least * 1.16 + 1
    y = bottom = TOP * unit
    bottom += header_share(least_share) * unit + more
    words: list[Words] = []
    wanted = [
        ("title", title, BOLD, 0.118),
        ("line", line, REGULAR, 0.078),
        ("second", second, REGULAR, 0.074),
    ]
    wanted = [part for part in wanted if part[1]]
    for index, (part, text, weight, largest) in enumerate(wanted):
        room = bottom - y - least_row * (len(wanted) - index - 1)
        # A title that stands on one line leaves what is free to the lines that need it.
        most = 2 if part != "title" or not more else 1
        lines = max(1, min(most, int(room // least_row)))
        px = max(share_px(largest, unit), least)
        setting = fit(text, inner, max(room, least_row), px, least, weight, lines)
        words.append(Words(around(margin, y, inner, setting.height), setting, part != "title", part=part))
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
    wanted = [
        ("title", frame.title, BOLD, 0.17, 3),
        ("line", frame.line, REGULAR, 0.095, 2),
        ("second", frame.second_line, REGULAR, 0.095, 2),
        ("note", frame.note, BOLD, 0.12, 1),
    ]
    settings = []
    room = height - footer_share(frame.least_share) * unit - 2 * margin
    gaps = {"line": 0.02, "second": 0.0, "note": 0.04}
    # The title leaves a row for each of the others.
    others = sum(row + gaps[part] * unit for part, text, *_rest in wanted[1:] if text)
    for part, text, weight, largest, lines in wanted:
        if text:
            share = max(row, min(room * 0.5, room - others) if part == "title" else room * 0.22)
            px = max(share_px(largest, unit), least)
            settings.append((part, fit(text, inner, share, px, least, weight, lines)))
    total = sum(setting.height + gaps.get(part, 0) * unit for part, setting in settings)
    for at, (part, setting) in enumerate(settings):
        if setting.elided:  # what is left of the space is for what does not fit its share
            high = setting.height + room - total
            text = next(text for own, text, *_rest in wanted if own == part)
            settings[at] = part, fit(text, inner, high, least, least, setting.weight, MOST_LINES)
            total += settings[at][1].height - setting.height
    y = margin + max(0.0, (room - total) * 0.46)
    marks: list[Mark] = []
    for part, setting in settings:
        y += gaps.get(part, 0) * unit if marks else 0
        quiet = part in ("line", "second")
        marks.append(Words(around(margin, y, inner, setting.height), setting, quiet, part=part))
        y += setting.height
    return (*marks, *_footer(frame.next_title, width, height, unit, frame.least_share))


def _with_time(frame: WallFrame, width: int, height: int) -> tuple[Mark, ...]:
    unit, share = unit_of(width, height), frame.least_share
    margin, bottom = MARGIN * unit, height - footer_share(share) * unit
    wanted = (frame.whole, time_shape(frame), width - 2 * margin, unit, share)
    sizes = time_sizes(*wanted)
    said = (frame.title, frame.line, frame.second_line, width, unit, share)
    header, high = _header(*said), time_share(share) * unit
    top = header[-1].box.y + header[-1].box.height if header else margin
    middle = (top + bottom) / 2
    # Words that would be cut take what the time leaves free, then some of the height of digits alone: equal
    # counts have equal squares. None of it depends on what is left, so nothing moves while a phase runs.
    for part in TIME_PARTS[: 1 if frame.whole else None] if _is_cut(header) else ():
        smaller = time_sizes(*wanted, part)
        above, below = time_reach(smaller, unit, share)
        longer = _header(*said, max(0.0, bottom - above - below - (TOP + header_share(share)) * unit))
        top = longer[-1].box.y + longer[-1].box.height
        if top + above > bottom - below or smaller.is_small(unit):
            continue
        header, sizes = longer, smaller
        middle = max(top + above, min((top + bottom) / 2, bottom - below))
        high = min(time_share(share) * unit, 2 * min(middle - top, bottom - middle))
        if not _is_cut(header):
            break
    footer = _footer(frame.next_title, width, height, unit, share)
    if sizes.digits is None or not frame.whole:
        return (*header, *_one_kind(frame, sizes, width, (middle, high), unit), *footer)
    squares_x = width - margin - sizes.width
    squares = place_squares(frame, sizes.square, sizes.columns, squares_x, middle - sizes.height / 2)
    left = Box(floor(margin), 0, ceil(squares_x - margin - 0.05 * unit), height)
    time = time_words(frame, sizes.digits, left, (middle, high), unit, "start")
    return (*header, *time, *squares, *footer)


def _is_cut(header: tuple[Words, ...]) -> bool:
    return any(words.setting.elided for words in header)


def _one_kind(
    frame: WallFrame, sizes: TimeSizes, width: int, place: tuple[float, float], unit: float
) -> list[Mark]:
    """Digits alone or squares alone, in the middle; the word under them has its place kept."""
    middle, high = place
    margin = MARGIN * unit
    line = Box(floor(margin), 0, floor(width - 2 * margin), 0)
    # Larger words raise the time by as much as they need themselves.
    lift = lift_share(frame.least_share) * unit
    if sizes.digits is not None:
        at = middle - (0 if frame.over else lift)
        return time_words(frame, sizes.digits, line, (at, high), unit, "centre")
    y = middle - sizes.height / 2 - lift - raised(sizes.height, frame.least_share, unit)
    marks: list[Mark] = [*place_squares(frame, sizes.square, sizes.columns, (width - sizes.width) / 2, y)]
    if frame.note:
        least = least_px(frame.least_share, unit)
        px = max(share_px(max(NOTE_CAP, frame.least_share) / CAP_SHARE, unit), least)
        note = fit(frame.note, line.width, unit, px, least, BOLD)
        box = around(line.x, y + sizes.height + NOTE_GAP * unit, line.width, note.height)
        marks.append(Words(box, note, align="centre", part="note"))
    return marks
