"""What may fill the Wall beside a strip: a typed problem in very large type, or a picture."""

from functools import lru_cache
from math import floor

from PySide6.QtCore import QSize
from PySide6.QtGui import QFontMetricsF

from pacer.frames.wall import LEAST_SHARE, PictureKey, WallFrame
from pacer.qt.kit.theme import BOLD, MEDIUM, REGULAR, SEMIBOLD, font
from pacer.qt.kit.type_setting import LINE_SHARE, Setting, clean, fit, fit_whole, is_whole
from pacer.qt.wall.marks import Box, Line, Mark, Picture, TextBlock, Words, around, moved, share_px
from pacer.qt.wall.pictures import picture_size
from pacer.qt.wall.strip import strip_box, strip_marks
from pacer.qt.wall.time import least_px, unit_of
from pacer.run.events import Edge

CAPTION = 0.074  # letters of the class's lines under what fills the Wall, over the picture's height
CAPTION_MOST = 0.45  # of the space, for both languages together
LARGEST = 0.3  # of a letter over the picture's height
EMPTY_LINE = 0.5  # of a line's height
# Where a long problem does not fit at the least size of words, its letters shrink to this share of it before
# any of it goes: from 20 minutes of arc to 16, the least of ISO 9241-303.
SHRINK = 0.8
AS_TYPED = 2  # over the least size: letters that are large enough not to break a line for larger ones
TITLE_COSTS = 0.85  # the title goes when the problem would shrink below this share of its size for it


def fill_marks(frame: WallFrame, width: int, height: int) -> tuple[Mark, ...]:
    """What fills the Wall, and the strip beside it."""
    space = beside_strip(frame.edge, width, height)
    unit = unit_of(width, height)
    titled = False
    caption = _caption((frame.line, frame.second_line), space, unit, frame.least_share)
    left = space._replace(height=caption[0].box.y - space.y) if caption else space
    if frame.fill == "picture" and frame.picture is not None:
        filling: tuple[Mark, ...] = (_picture(frame, left, unit),)
    else:
        words = problem_words(frame.problem, frame.title, left, unit, frame.least_share)
        if caption:
            alone = problem_words(frame.problem, frame.title, space, unit, frame.least_share)
            # A problem that needs all the room comes before the line; the strip may hold that.
            if _comes_first(alone, words, frame, unit):
                caption, left, words = (), space, alone
        filling = (TextBlock(left, words),)
        titled = any(mark.part == "title" for mark in words)
    x, y, across, down = strip_box(frame.edge, width, height)
    strip = strip_marks(frame, across, down, frame.edge, titled, not caption)
    if all(isinstance(mark, Line) for mark in strip):
        return (*filling, *caption)  # time is hidden and nothing is to be said: not even an empty strip
    return (*filling, *caption, *(moved(mark, x, y) for mark in strip))


def _comes_first(alone: tuple[Words, ...], over: tuple[Words, ...], frame: WallFrame, unit: float) -> bool:
    """Whether a problem loses words, or can no longer be read from the back row, over a caption."""
    least = least_px(frame.least_share, unit)
    sizes, whole = [], []
    for words in (alone, over):
        shown = [mark.setting for mark in words if mark.part != "title"]
        sizes.append(min((setting.px for setting in shown), default=least))
        lines = [line for line in problem_lines(frame.problem) if line]
        whole.append(len(shown) == len(lines) and all(map(is_whole, shown, lines)))
    return whole[0] > whole[1] or sizes[1] < least <= sizes[0]


@lru_cache(maxsize=16)
def _caption(lines: tuple[str, str], space: Box, unit: float, least_share: float) -> tuple[Words, ...]:
    """The class's lines under what fills the Wall: whole, and as high as they need to be."""
    least, margin = least_px(least_share, unit), 0.04 * unit
    width, most = space.width - 2 * margin, space.height * CAPTION_MOST
    settings: list[tuple[str, Setting]] = []
    for part, text, weight in (("line", lines[0], MEDIUM), ("second", lines[1], REGULAR)):
        if text:
            room = most / sum(map(bool, lines))
            px = max(least, share_px(CAPTION, unit)) if not settings else settings[0][1].px
            # A row more would be taken from what fills the Wall.
            setting = fit(text, width, room, px, max(1, floor(least * SHRINK)), weight)
            if not is_whole(setting, text):
                setting = fit_whole(text, width, room, px, least, weight)
            settings.append((part, setting))
    words = []
    y = space.y + space.height - sum(setting.height for _part, setting in settings) - 0.015 * unit
    for part, setting in settings:
        box = around(space.x + margin, y, width, setting.height)
        words.append(Words(box, setting, part == "second", part=part))
        y += setting.height
    return tuple(words)


def beside_strip(edge: Edge, width: int, height: int) -> Box:
    """What the strip along an edge leaves of a picture."""
    strip = strip_box(edge, width, height)
    match edge:
        case "top":
            return Box(0, strip.height, width, height - strip.height)
        case "left":
            return Box(strip.width, 0, width - strip.width, height)
        case "right":
            return Box(0, 0, width - strip.width, height)
        case _:
            return Box(0, 0, width, height - strip.height)


def size_of_picture(
    edge: Edge, size: QSize, lines: tuple[str, str] = ("", ""), least_share: float = LEAST_SHARE
) -> QSize:
    """How large a picture may be on a Wall of a size, in logical pixels, over the class's lines."""
    width, height = size.width(), size.height()
    space, unit = beside_strip(edge, width, height), unit_of(width, height)
    caption = _caption(lines, space, unit, least_share)
    if caption:
        space = space._replace(height=caption[0].box.y - space.y)
    place = _place(space, unit)
    return picture_size(Picture(place, PictureKey(0, 1), ()))


def _place(space: Box, unit: float) -> Box:
    pad = round(0.015 * unit)
    return Box(space.x + pad, space.y + pad, max(1, space.width - 2 * pad), max(1, space.height - 2 * pad))


def _picture(frame: WallFrame, space: Box, unit: float) -> Picture:
    assert frame.picture is not None
    place = _place(space, unit)
    return Picture(place, frame.picture, card_words(frame.title, frame.line, place, unit, frame.least_share))


@lru_cache(maxsize=16)
def card_words(title: str, line: str, place: Box, unit: float, least_share: float) -> tuple[Words, ...]:
    """Title and line in the middle of a picture's place, for as long as there is no picture."""
    least = least_px(least_share, unit)
    inset = 0.06 * place.height + 0.05 * unit
    width, height = place.width - 2 * inset, place.height - 2 * inset
    settings = []
    for part, text, weight, largest, share in (
        ("title", title, BOLD, 0.15, 0.55), ("line", line, REGULAR, 0.095, 0.4),
    ):  # fmt: skip
        if text:
            px = max(least, share_px(largest, unit))
            settings.append((part, fit(text, width, height * share, px, least, weight, 2)))
    y = place.y + (place.height - sum(setting.height for _part, setting in settings)) / 2
    words = []
    for part, setting in settings:
        box = around(place.x + (place.width - setting.width) / 2, y, setting.width, setting.height)
        words.append(Words(box, setting, part == "line", align="centre", part=part))
        y += setting.height
    return tuple(words)


@lru_cache(maxsize=16)
def problem_words(problem: str, title: str, space: Box, unit: float, least_share: float) -> tuple[Words, ...]:
    """A problem as large as it fits, its lines kept, in the middle; its title above where there is room."""
    margin = 0.04 * unit
    width, height = space.width - 2 * margin, space.height - 2 * margin
    least = least_px(least_share, unit)
    largest = max(least, share_px(LARGEST, unit))
    lines = problem_lines(problem)
    settings = _fitted(lines, width, height, largest, least)
    top = space.y + margin
    above: tuple[Words, ...] = ()
    if title:
        heading = fit(title, width, height, least, least, MEDIUM)
        room = height - heading.height - 0.6 * margin
        smaller = _fitted(lines, width, room, largest, least)
        px = _size(smaller)
        if px >= least and px >= TITLE_COSTS * _size(settings) and _complete(smaller, lines):
            settings = smaller
            box = around(space.x + margin, top - 0.4 * margin, width, heading.height)
            above = (Words(box, heading, True, part="title"),)
            top, height = top + heading.height + 0.6 * margin, room
    return (*above, *_placed(settings, space.x + margin, width, top, height))


def problem_lines(problem: str) -> tuple[str, ...]:
    """The lines as they were typed, an empty one between others kept."""
    return tuple(clean(line) for line in problem.strip().splitlines())


def _size(settings: list[Setting | None]) -> int:
    return next((setting.px for setting in settings if setting is not None), 0)


def _complete(settings: list[Setting | None], lines: tuple[str, ...]) -> bool:
    """Whether nothing is lost, and no word broken."""
    return tuple("" if setting is None else " ".join(setting.lines) for setting in settings) == lines


def _high(settings: list[Setting | None]) -> float:
    """Pixels of all lines, the empty ones too."""
    row = next((setting.line_height for setting in settings if setting is not None), 0.0)
    return sum(row * EMPTY_LINE if setting is None else setting.height for setting in settings)


def _fitted(
    lines: tuple[str, ...], width: float, height: float, largest: int, least: int
) -> list[Setting | None]:
    """The lines at the largest size at which all fit with no word broken; None stands for an empty one."""
    least_of_all = max(1, floor(least * SHRINK))
    # What was typed as one line stays one, an equation above all, where that is large enough.
    for lowest, whole in ((AS_TYPED * least, True), (least_of_all, False)):
        low, high, fitting_px = lowest, largest, 0
        while low <= high:
            px = (low + high) // 2
            if _rows_at(lines, width, height, px, whole):
                fitting_px, low = px, px + 1
            else:
                high = px - 1
        # Rows of some scripts are higher than those that were counted with.
        while fitting_px >= lowest:
            settings = _at(lines, width, fitting_px, _rows_at(lines, width, height, fitting_px, whole))
            if _high(settings) <= height and _complete(settings, lines):
                return settings
            fitting_px -= max(1, fitting_px // 20)
    return _cut_short(lines, width, height, least_of_all)


def _rows_at(lines: tuple[str, ...], width: float, height: float, px: int, whole: bool) -> list[int]:
    """How many rows each line takes at a size, ``whole`` one at the most; nothing when that is too much."""
    metrics = QFontMetricsF(font(px, SEMIBOLD))
    space = metrics.horizontalAdvance(" ")
    rows = []
    for line in lines:
        count, used = 0, width
        for word in line.split():
            wide = metrics.horizontalAdvance(word)
            if wide > width:
                return []
            if used + space + wide > width:
                count, used = count + 1, wide
            else:
                used += space + wide
        rows.append(count)
    high = sum(count or EMPTY_LINE for count in rows) * px * LINE_SHARE
    return [] if high > height or (whole and max(rows, default=0) > 1) else rows


def _at(lines: tuple[str, ...], width: float, px: int, rows: list[int]) -> list[Setting | None]:
    """The lines at one size, in about so many rows each."""
    endless = px * 2.0 * (sum(rows) + len(rows))
    return [
        fit(line, width, endless, px, px, SEMIBOLD, count + 1) if line else None
        for line, count in zip(lines, rows, strict=True)
    ]


def _cut_short(lines: tuple[str, ...], width: float, height: float, px: int) -> list[Setting | None]:
    """What fits of a problem that is too long at every size, the end of it elided."""
    settings: list[Setting | None] = []
    for line in lines:
        room = height - _high(settings)
        rows = floor(room / (px * LINE_SHARE))
        if rows < 1:
            break
        settings.append(fit(line, width, room, px, px, SEMIBOLD, rows) if line else None)
    return settings


def _placed(settings: list[Setting | None], x: float, width: float, top: float, height: float) -> list[Words]:
    """The lines below each other from one margin, all of them together in the middle."""
    block = max((setting.width for setting in settings if setting is not None), default=0.0)
    left = x + (width - block) / 2
    y = top + max(0.0, (height - _high(settings)) / 2)
    row = max((setting.line_height for setting in settings if setting is not None), default=0.0)
    words: list[Words] = []
    for setting in settings:
        if setting is None:
            y += row * EMPTY_LINE
            continue
        part = f"problem {len(words) + 1}" if words else "problem"
        words.append(Words(around(left, y, block, setting.height), setting, part=part))
        y += setting.height
    return words
