"""The second half on the Wall: the time beside the groups in a visit, above them while children walk."""

from functools import lru_cache
from math import ceil, floor

from pacer.frames.wall import PictureKey, WallFrame
from pacer.qt.kit.theme import BOLD, MEDIUM
from pacer.qt.kit.type_setting import Setting, fit, fit_whole
from pacer.qt.wall.fill import card_words
from pacer.qt.wall.group_cells import cell_marks
from pacer.qt.wall.group_grid import WordSizes, grid_of
from pacer.qt.wall.group_time import time_column, time_row
from pacer.qt.wall.marks import Box, Line, Mark, Picture, Words, around, moved, share_px
from pacer.qt.wall.time import (
    FRAME_SQUARES,
    MARGIN,
    ROW,
    TOP,
    least_px,
    unit_of,
)
from pacer.text import _

TITLE = 0.118  # of the title's letters over the picture's height
HEAD_GAP = 0.05  # between the title and the word at its right, over the height
TITLE_SHARE = 0.6  # of the width: what the title may take beside the word at the right
TIME_SHARE = 0.42  # of the width: time beside groups
BAND, LOW_BAND = 0.21, 0.16  # of the height: time above groups, and above many
PICTURE_SHARES = (0.46, 0.4, 0.34)  # of the width: a picture beside groups; the largest that words leave
UNDER_PICTURE = 0.17  # of the height: time
BESIDE = 5  # more groups than these lie below the time
MANY = 6


def groups_marks(frame: WallFrame, width: int, height: int) -> tuple[Mark, ...]:
    """Lay out title, time and groups."""
    unit = unit_of(width, height)
    margin, least = MARGIN * unit, least_px(frame.least_share, unit)
    inner = width - 2 * margin
    timed = frame.digits is not None or bool(frame.whole)
    if frame.picture is not None:
        beside = _with_picture(frame, frame.picture, Box(0, 0, width, height), unit)
        if beside:
            return beside
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
    return (*head, *time_column(frame, left, unit), rule, *cell_marks(frame.groups, right, unit, least))


def _with_picture(frame: WallFrame, key: PictureKey, whole: Box, unit: float) -> tuple[Mark, ...]:
    """What to take along, time under it, and the groups beside; nothing where words need the room."""
    margin, least = MARGIN * unit, least_px(frame.least_share, unit)
    inner = whole.width - 2 * margin
    head = _head(frame, inner, unit, banded=True)
    top = floor(max((mark.box.y + mark.box.height for mark in head), default=0) + 0.04 * unit)
    bottom = floor(whole.height - 0.05 * unit)
    for share in PICTURE_SHARES:
        x = ceil(margin + inner * share + 0.04 * unit)
        right = Box(x, top, floor(margin + inner) - x, bottom - top)
        grid = grid_of(frame.groups, right.width, right.height, unit, least)
        if grid.words.cut or not grid.fits or grid.words.place_px < least:
            continue
        if not grid.words.name_lines:
            high = _band(frame, inner, whole.height, unit)
            if _grid_under(frame, inner, whole.height, unit, high)[0].name_lines:
                return ()  # names come before the picture
        wide = floor(inner * share - 0.04 * unit)
        time: list[Mark] = []
        if frame.digits is not None or frame.whole:
            row = Box(floor(margin), 0, wide, floor(UNDER_PICTURE * unit))
            time, begin = time_row(frame, row, unit, under=True)
            down = bottom - row.height
            if frame.whole <= FRAME_SQUARES:  # no minutes of two digits, whose place would stay free
                begin = min(mark.box.x for mark in time)
            time = [moved(mark, floor(margin) - floor(begin), down) for mark in time]
        high = bottom - top - (floor((UNDER_PICTURE + 0.03) * unit) if time else 0)
        place = Box(floor(margin), top, wide, high)
        card = card_words(frame.title, "", place, unit, frame.least_share)
        rule = Line(around(x - 0.045 * unit, top, max(1.0, 0.0025 * unit), bottom - top))
        picture = Picture(place, key, card)
        return (*head, picture, *time, rule, *cell_marks(frame.groups, right, unit, least))
    return ()


def _corner(frame: WallFrame, banded: bool = False) -> tuple[str, str, bool]:
    """The word at the right of the title: its part, the text, and whether it is quiet."""
    if frame.note and (not frame.over or banded or (frame.digits is None and not frame.whole)):
        return "note", frame.note, False
    if frame.next_title:
        return "next", _("Next: {title}").format(title=frame.next_title), True
    if not frame.moving and any(group.goes_to for group in frame.groups):
        return "next", _("Next"), True
    return "", "", False


def _head(frame: WallFrame, inner: float, unit: float, banded: bool = False) -> list[Mark]:
    """The title, and beside it the word of a pause or what comes next."""
    least = least_px(frame.least_share, unit)
    left = MARGIN * unit
    part, text, quiet = _corner(frame, banded)
    title = _title(frame.title, inner * TITLE_SHARE, unit, least)
    marks: list[Mark] = [Words(around(left, TOP * unit, title.width, title.height), title, part="title")]
    if text:
        x = left + title.width + HEAD_GAP * unit
        room = left + inner - x
        px, weight = max(least, share_px(0.095, unit)), MEDIUM if quiet else BOLD
        word = fit(text, room, unit, px, least, weight)
        if word.elided:  # a second line would move the groups
            word = fit(text, room, unit, px, least, weight, 2)
        y = TOP * unit + max(0.0, (title.line_height - word.line_height) / 2)
        x += room - word.width
        marks.append(Words(around(x, y, word.width, word.height), word, quiet, part=part))
    return marks


@lru_cache(maxsize=16)
def _title(title: str, width: float, unit: float, least: int) -> Setting:
    setting = fit(title, width, unit, max(least, share_px(TITLE, unit)), least, BOLD, 2)
    return fit_whole(title, width, setting.height, least, least, BOLD) if setting.elided else setting


def _banded(frame: WallFrame, width: int, height: int, unit: float) -> tuple[Mark, ...]:
    """Title and time in a row, and the groups over the whole width below."""
    margin, least = MARGIN * unit, least_px(frame.least_share, unit)
    inner = width - 2 * margin
    row = ROW * frame.least_share * unit + 1
    top = TOP * unit
    high = _band(frame, inner, height, unit)
    time, x = time_row(frame, Box(floor(margin), floor(top), floor(inner), floor(high)), unit)
    room = x - 0.05 * unit - margin
    settings = _beside_time(frame, room, high, row, unit)
    y = top + max(0.0, (high - sum(setting.height for _part, setting, _quiet in settings)) / 2)
    marks: list[Mark] = []
    for name, setting, soft in settings:
        marks.append(Words(around(margin, y, setting.width, setting.height), setting, soft, part=name))
        y += setting.height
    below, down = _below(top + high, height, unit)
    place = Box(floor(margin), below, floor(inner), down)
    rule = Line(around(margin, top + high + 0.012 * unit, inner, max(1.0, 0.0025 * unit)))
    return (*marks, *time, rule, *cell_marks(frame.groups, place, unit, least))


def _band(frame: WallFrame, inner: float, height: int, unit: float) -> float:
    """How high the row of title and time is: as low as it may be where the groups' words need the room."""
    least = least_px(frame.least_share, unit)
    lowest = 2 * (ROW * frame.least_share * unit + 1)
    usual = max((BAND if len(frame.groups) <= MANY else LOW_BAND) * unit, lowest)

    def worth(high: float) -> tuple[bool, int, int]:
        words, fits = _grid_under(frame, inner, height, unit, high)
        return fits, -words.cut, min(words.place_px, least)

    return max((usual, lowest), key=worth)


def _grid_under(
    frame: WallFrame, inner: float, height: int, unit: float, high: float
) -> tuple[WordSizes, bool]:
    """The words of groups over the whole width under a row of a height, and whether all is there."""
    _y, down = _below(TOP * unit + high, height, unit)
    grid = grid_of(frame.groups, floor(inner), down, unit, least_px(frame.least_share, unit))
    return grid.words, grid.fits


def _below(bottom: float, height: int, unit: float) -> tuple[int, int]:
    """Where the groups begin under a row that ends there, and how high their place is."""
    y = ceil(bottom + 0.035 * unit)
    return y, floor(height - y - 0.04 * unit)


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
        whole = title if titled else fit_whole(frame.title, room, high, max(least, largest), least, BOLD)
        return [("title", whole, False)]
    if titled and not word.elided:
        return [("title", title, False), (part, word, quiet)]
    if quiet:  # what children are to take along comes before what is next, and no word of it goes
        return [("title", fit_whole(frame.title, room, high, max(least, largest), least, BOLD), False)]
    word = fit(text, room, high, max(least, share_px(0.105, unit)), least, weight, 2)
    return [] if word.elided else [(part, word, quiet)]
