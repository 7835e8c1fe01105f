"""How groups lie on the Wall: the grid in which their words and signs are largest and nothing is cut.

Many grids are weighed against each other at once, so words are measured once and scaled: only what is chosen
is set.
"""

from collections.abc import Sequence
from functools import lru_cache
from math import ceil, floor
from typing import Literal, NamedTuple

from PySide6.QtCore import QSize
from PySide6.QtGui import QFontMetricsF

from pacer.frames.wall import GroupPlace
from pacer.qt.kit.theme import BOLD, CAP_SHARE, MEDIUM, font
from pacer.qt.kit.type_setting import clean, fit
from pacer.qt.wall.marks import share_px
from pacer.qt.wall.time import unit_of

MOST_COLUMNS = 4
MANY = 6  # so many groups may go without signs or pictures, where names tell them apart
MOST_LINES = 3  # of a name or of a place
LARGEST_NAME = 0.085  # of a capital over the picture's height
PLACE_SHARE = 0.88  # of a place's letters over those of a name
LARGEST_SIGN = 0.34  # of a sign's side over the picture's height
LEAST_PICTURE = 1.6  # over a capital of the least size: 30 minutes of arc, those of main marks
LEAST_SIGN = 1.2  # over a capital of the least size: no sign gives way to words below that
SIGNS = (1.0, 0.7, 0.5, 0.4)  # over the largest sign that the cell holds: words get what smaller ones leave
# As with a typed problem: from 20 minutes of arc to 16, the least of ISO 9241-303 (from memory).
SHRINK = 0.8
SMALLER = (SHRINK, 0.65, 0.5, 0.3, 0.2, 0.1)
PAIRED_SIGNS = (1.0, 0.85, 0.7, 0.6, 0.5, 0.45, 0.41)  # the same where two stand beside each other
SIGN_WORTH = 0.7  # how much the size of signs counts beside that of words
KEPT_WORDS = 0.8  # of their size beside two pictures, and never under the least
WRAPPED = 0.6  # what a further line costs, over the worth of words
GAP, ROW_GAP = 0.035, 0.006  # between cells, over the picture's height
# Where signs stand above their words, those of the row above must not seem to belong to them.
ROW_GAP_ABOVE = 0.03
ARROW, ARROW_GAP = 0.75, 0.2  # of the arrow before a place, over its letters' size
NAME_WEIGHT, PLACE_WEIGHT = BOLD, MEDIUM
_MEASURED_PX = 200
_SLACK = 1.01  # letters do not grow quite evenly with their size

Cut = Literal[0, 1, 2]


class WordSizes(NamedTuple):
    """Sizes of all names and all places in pixels, one for each so that no group stands out, and their lines.

    ``cut``: 0 where all are whole, 1 where a name is not, 2 where a place is not. ``name_lines`` is 0 where
    signs say the names.
    """

    name_px: int
    place_px: int
    name_lines: int
    place_lines: int
    height: float
    cut: Cut


class Grid(NamedTuple):
    """How cells lie: columns, a cell's size, the sign's side, beside the words or above, and their width.

    ``signs`` is 2 where a picture of the place stands beside each group's sign, 0 where names stand alone.
    """

    columns: int
    width: float
    height: float
    sign: int
    signs: int
    above: bool
    inner: float
    words: WordSizes
    fits: bool

    @property
    def is_whole(self) -> bool:
        """Whether all is there and nothing is cut."""
        return self.fits and self.words.cut == 0


class _Least(NamedTuple):
    """Sizes that nothing goes below, in pixels."""

    name_px: int
    place_px: int
    sign: float


class _Measured(NamedTuple):
    """A text over its letters' size: how wide each word and a space are, how high a line."""

    words: tuple[float, ...]
    space: float
    line: float


@lru_cache(maxsize=16)
def grid_of(groups: tuple[GroupPlace, ...], width: int, height: int, unit: float, least: int) -> Grid:
    """The grid in which nothing is cut, if there is one, and words and signs are largest; sizes in pixels.

    Where words would be too small, names go that their signs say, or of many groups the signs beside names.
    Else words become smaller than the least by a fifth before any of them is cut. Names are cut before
    places, for their signs still tell whose they are; words become smaller yet before a place is. Pictures
    of places take only what words leave.
    """
    size, count = (width, height), len(groups)
    names = [_measured(name, NAME_WEIGHT) for name in dict.fromkeys(group.name for group in groups)]
    said = dict.fromkeys(place for group in groups for place in (group.place, group.goes_to) if place)
    places = [_measured(place, PLACE_WEIGHT) for place in said]
    texts: Texts = (names, places)
    grid = _best(count, texts, size, unit, _least(least, 1.0))
    if not grid.is_whole and all(group.is_said_by_sign for group in groups):
        alone = _Least(least, least, LEAST_PICTURE * CAP_SHARE * least)
        short = _best(count, ([], places), size, unit, alone)
        if short.is_whole:
            grid, texts = short, ([], places)
    elif not grid.is_whole and count >= MANY:
        bare = _best(count, texts, size, unit, _Least(least, least, 0), signs=0)
        grid = bare if bare.is_whole else grid
    if not grid.is_whole:
        return _smaller(count, texts, size, unit, least)
    if grid.signs and any(group.place_picture for group in groups):
        name_px, place_px = (max(least, floor(px * KEPT_WORDS)) for px in grid.words[:2])
        bounds = _Least(name_px, place_px, LEAST_PICTURE * CAP_SHARE * least)
        paired = _best(count, texts, size, unit, bounds, signs=2)
        if paired.is_whole:
            return paired
    return grid


def _least(least: int, share: float) -> _Least:
    px = max(1, floor(least * share))
    return _Least(px, px, LEAST_SIGN * CAP_SHARE * px)


Texts = tuple[Sequence["_Measured"], Sequence["_Measured"]]


def _smaller(count: int, texts: Texts, size: tuple[int, int], unit: float, least: int) -> Grid:
    """The grid for more words than there is room for at the least size."""
    grids: dict[float, Grid] = {}
    for cut, shares in ((0, (SHRINK,)), (1, (1.0, *SMALLER)), (2, (1.0, *SMALLER))):
        for share in shares:
            if share not in grids:
                grids[share] = _best(count, texts, size, unit, _least(least, share))
            if grids[share].fits and grids[share].words.cut <= cut:
                return grids[share]
    return grids[SMALLER[-1]]


def _best(
    count: int, texts: Texts, size: tuple[int, int], unit: float, least: _Least, signs: int = 1
) -> Grid:
    options = []
    for columns in range(1, min(MOST_COLUMNS, count) + 1):
        rows = ceil(count / columns)
        if ceil(count / rows) < columns:
            continue  # a column would stay empty
        across = (size[0] - (columns - 1) * GAP * unit) / columns
        for above in (False, True) if signs else (False,):
            down = (size[1] - (rows - 1) * row_gap(above, unit)) / rows
            cell = columns, across, down, above, signs
            options += [
                _grid(texts, cell, share, unit, least, most)
                for share in (SIGNS if signs == 1 else PAIRED_SIGNS)
                for most in (1, MOST_LINES)
            ]
    return max(options, key=_worth)


def _worth(grid: Grid) -> tuple[bool, int, float, bool, int]:
    """What makes one grid better than another: all there, then large words on few lines with large signs."""
    words = grid.words
    worth = (
        words.name_px
        * max(1, grid.sign) ** SIGN_WORTH
        * WRAPPED ** (words.name_lines + words.place_lines - 2)
    )
    return grid.fits, -words.cut, round(worth, 3), grid.above, -grid.columns


def _grid(
    texts: Texts,
    cell: tuple[int, float, float, bool, int],
    share: float,
    unit: float,
    least: _Least,
    most: int,
) -> Grid:
    columns, across, down, above, signs = cell
    wide = across * ((0.8 if above else 0.34) if signs == 1 else (0.46 if above else 0.24))
    sign = max(4, floor(min(down * (0.52 if above else 0.86), wide, LARGEST_SIGN * unit) * share))
    sign = sign if signs else 0
    between, beside = gap_of(sign) if signs else 0, row_of_signs(sign, signs)
    inner, room = (across, down - sign - between) if above else (across - beside - between, down)
    largest_px = max(least.name_px, share_px(LARGEST_NAME / CAP_SHARE, unit))
    words = _words(texts, max(1.0, inner), room, largest_px, least, most)
    fits = words.height <= room + 0.1 and sign >= least.sign
    return Grid(columns, across, down, sign, signs, above, max(1.0, inner), words, fits)


def row_of_signs(sign: int, signs: int) -> int:
    """Pixels that the signs of a group take beside each other."""
    return signs * sign + max(0, signs - 1) * gap_of(sign)


def size_of_sign(size: QSize) -> QSize:
    """How large a sign is at the most on a Wall of a size, in logical pixels."""
    side = max(1, floor(LARGEST_SIGN * unit_of(size.width(), size.height())))
    return QSize(side, side)


def gap_of(sign: int) -> int:
    """Pixels between a sign and its words."""
    return ceil(sign * 0.16) + 4


def row_gap(above: bool, unit: float) -> float:
    """Pixels between two rows."""
    return (ROW_GAP_ABOVE if above else ROW_GAP) * unit


def arrow_width(px: int) -> int:
    """Pixels that an arrow takes before a place; kept free also where there is none, so that words stay."""
    return ceil(px * (ARROW + ARROW_GAP))


def _words(texts: Texts, width: float, room: float, largest: int, least: _Least, most: int) -> WordSizes:
    """The largest size at which nothing is cut; else the least one, and the names give way first."""
    low, high, best = least.name_px, largest, None
    while low <= high:
        px = (low + high) // 2
        words = _at(texts, width, px, max(least.place_px, floor(px * PLACE_SHARE)), (most, most))
        if words.cut == 0 and words.height <= room:
            best, low = words, px + 1
        else:
            high = px - 1
    if best is not None:
        return best
    line = max((text.line for text in (*texts[0], *texts[1])), default=1.16)
    rows = max(2, floor(room / (least.name_px * line)))
    places = min(MOST_LINES, rows - 1)
    taken = _at(texts, width, least.name_px, least.place_px, (1, places)).place_lines
    lines = max(1, min(MOST_LINES, rows - taken)), places
    return _at(texts, width, least.name_px, least.place_px, lines)


def _at(texts: Texts, width: float, name_px: int, place_px: int, most: tuple[int, int]) -> WordSizes:
    """All names and places at a size, on at most so many lines each."""
    names, names_cut, high = _lines(texts[0], width / name_px, most[0])
    places, places_cut, low = _lines(texts[1], (width - arrow_width(place_px)) / place_px, most[1])
    cut: Cut = 2 if places_cut else 1 if names_cut else 0
    return WordSizes(name_px, place_px, names, places, high * name_px + low * place_px, cut)


def _lines(texts: Sequence[_Measured], width: float, most: int) -> tuple[int, bool, float]:
    """Lines of the longest text, whether one is cut, and the greatest height; all over the letters' size."""
    longest, cut, high = 1 if texts else 0, False, 0.0
    for text in texts:
        lines, used, broken = 1, -text.space, False
        for word in text.words:
            broken = broken or word > width
            if used + text.space + word > width and used > 0:
                lines, used = lines + 1, word
            else:
                used += text.space + word
        # A word that is broken takes as many lines as there are.
        lines, cut = most if broken else min(lines, most), cut or broken or lines > most
        longest, high = max(longest, lines), max(high, lines * text.line)
    return longest, cut, high


@lru_cache(maxsize=256)
def _measured(text: str, weight: int) -> _Measured:
    metrics = QFontMetricsF(font(_MEASURED_PX, weight))
    words = tuple(metrics.horizontalAdvance(word) * _SLACK / _MEASURED_PX for word in clean(text).split())
    one_line = fit(text, 1e6, 1e6, _MEASURED_PX, _MEASURED_PX, weight)
    return _Measured(
        words,
        metrics.horizontalAdvance(" ") * _SLACK / _MEASURED_PX,
        one_line.line_height * 1.005 / _MEASURED_PX,
    )
