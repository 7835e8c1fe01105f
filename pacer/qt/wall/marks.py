"""The marks of the Wall: words, digits, minute squares, pictures and lines, each with its box in pixels."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from math import ceil, floor
from typing import NamedTuple

from PySide6.QtCore import QRect, QRectF

from pacer.frames.wall import FOURTHS, PictureKey
from pacer.qt.kit.theme import BOLD
from pacer.qt.kit.type_setting import Align, Setting, fit, fit_whole

# The least size of words in a strip over the strip's width: capitals of 4 % of the picture, which are 16
# minutes of arc from the back row (9 m, a picture 1 m high), the least of ISO 9241-303 (from memory).
LEAST_LINE = 0.63
ROUND = 0.04  # of the corners of what fills a square, over its side
TWO_LINES = 0.38  # the same of two lines, as a last resort


class Box(NamedTuple):
    """A rectangle in whole logical pixels."""

    x: int
    y: int
    width: int
    height: int

    def rect(self) -> QRect:
        """The same as Qt's rectangle."""
        return QRect(*self)

    def rect_f(self) -> QRectF:
        """The same as Qt's rectangle of reals."""
        return QRectF(*self)


class _Placed:
    """Whatever lies on the Wall. Most marks stay the same objects for minutes."""

    box: Box

    @property
    def spill(self) -> int:
        """Pixels that ink may reach out of the box."""
        return 1

    @cached_property
    def reach(self) -> QRect:
        """Where it may leave ink; asked of every mark at every second."""
        return self.box.rect().adjusted(-self.spill, -self.spill, self.spill, self.spill)


@dataclass(frozen=True)
class Words(_Placed):
    """A line or two of text in a box; ``turned``: it runs down the box, a quarter turn clockwise."""

    box: Box
    setting: Setting
    quiet: bool = False
    align: Align = "start"
    part: str = ""
    turned: bool = False

    @property
    def spill(self) -> int:
        """Letters of some scripts reach out of their line."""
        return self.setting.px // 2


@dataclass(frozen=True)
class Digit(_Placed):
    """One character of the time in its cell."""

    box: Box
    char: str
    px: int
    quiet: bool = False
    weight: int = BOLD

    @property
    def spill(self) -> int:
        """As much as a digit reaches out of its cell, and more."""
        return self.px // 8


@dataclass(frozen=True)
class Square(_Placed):
    """One minute, or so many fourths ``of`` one: an outline and what is left of it, in reading order.

    The box is as wide as a whole minute, and lower where there are only fourths of its upper row. ``begun``:
    the four fourths stand apart, for some of their minute has passed.
    """

    box: Box
    fourths: int
    waiting: bool = False
    of: int = FOURTHS
    begun: bool = False

    @property
    def is_full(self) -> bool:
        """Whether it is one filled square, not fourths beside each other."""
        return self.fourths >= FOURTHS and not self.begun

    @property
    def pad(self) -> int:
        """Pixels from the outline's outer edge to the fill."""
        return _pad_in(self.box.width)

    @property
    def inner(self) -> Box:
        """The box of a full square's fill."""
        x, y, side, _height = self.box
        return Box(x + self.pad, y + self.pad, side - 2 * self.pad, side - 2 * self.pad)

    def fourth(self, index: int) -> Box:
        """The box of one fourth: upper left, upper right, lower left, lower right."""
        x, y, *_size = self.inner
        gap, part = _fourths_in(self.box.width)
        return Box(x + (index % 2) * (part + gap), y + (index // 2) * (part + gap), part, part)

    @property
    def gaps(self) -> tuple[Box, Box]:
        """Where the fourths of a whole minute stand apart: down and across, round corners and all."""
        x, y, side, high = self.inner
        gap, part = _fourths_in(self.box.width)
        round_ = ceil(self.box.width * ROUND) + 1
        wide = gap + 2 * round_
        return Box(x + part - round_, y, wide, high), Box(x, y + part - round_, side, wide)

    @property
    def outlines(self) -> tuple[Box, ...]:
        """The boxes that its outline runs around together: one, or the two rows of three fourths."""
        x, y, side, _height = self.box
        low, row = low_side(side), Box(self.box.x, self.box.y, side, low_side(side))
        if self.of >= FOURTHS:
            return (self.box,)
        if self.of == 1:
            return (Box(x, y, low, low),)
        return (row,) if self.of == 2 else (row, Box(x, y, low, side))


def _fourths_in(side: int) -> tuple[int, int]:
    """The gap between the fourths of a square and the side of one of them."""
    inner = side - 2 * _pad_in(side)
    gap = max(2, round(side * 0.06))
    gap += (inner - gap) % 2
    return gap, (inner - gap) // 2


def _pad_in(side: int) -> int:
    return max(2, round(side * 0.07))


def low_side(side: int) -> int:
    """How high one row of fourths is with the outline around it, in a square of a side."""
    return 2 * _pad_in(side) + _fourths_in(side)[1]


def square_box(x: int, y: int, side: int, of: int) -> Box:
    """The box of a minute, or of so many fourths of one."""
    return Box(x, y, side, side if of > FOURTHS // 2 else low_side(side))


@dataclass(frozen=True)
class Line(_Placed):
    """A thin straight line, drawn as a filled box."""

    box: Box
    strong: bool = False


@dataclass(frozen=True)
class Head(_Placed):
    """Somebody who speaks, seen from the side."""

    box: Box
    faces_left: bool = False


@dataclass(frozen=True)
class Picture(_Placed):
    """The place of a picture, and the card that is there until the picture comes."""

    box: Box
    key: PictureKey
    card: tuple[Words, ...]


@dataclass(frozen=True)
class TextBlock(_Placed):
    """A place full of words that is painted once and kept: hundreds of large letters are costly to draw."""

    box: Box
    words: tuple[Words, ...]


@dataclass(frozen=True)
class Sign(_Placed):
    """The outline that stands for a group or a place, by its name, and the picture that takes its place."""

    box: Box
    name: str
    picture: PictureKey | None = None


Mark = Sign | Words | Digit | Square | Line | Head | Picture | TextBlock


@dataclass(frozen=True)
class WallLayout:
    """All marks of a Wall of a size; no mark paints outside its ``reach``."""

    size: tuple[int, int]
    marks: tuple[Mark, ...]

    @property
    def squares(self) -> tuple[Square, ...]:
        """The minute squares in reading order."""
        return tuple(mark for mark in self.marks if isinstance(mark, Square))

    @property
    def digits(self) -> tuple[Digit, ...]:
        """The characters of the time, left to right."""
        return tuple(mark for mark in self.marks if isinstance(mark, Digit))

    @property
    def words(self) -> dict[str, Words]:
        """The texts by what they are: title, line, second, note, turn, next, next_label, problem."""
        sheets = (words for mark in self.marks if isinstance(mark, TextBlock) for words in mark.words)
        plain = (mark for mark in self.marks if isinstance(mark, Words))
        return {words.part: words for words in (*sheets, *plain)}


class StripText(NamedTuple):
    """A text of the strip before it is laid out."""

    part: str
    text: str
    weight: int
    quiet: bool = False


def around(x: float, y: float, width: float, height: float) -> Box:
    """The whole pixels about a place and an extent."""
    return Box(floor(x), floor(y), ceil(width), ceil(height))


def share_px(share: float, unit: float) -> int:
    """A share of a unit in whole pixels, at least one."""
    return max(1, floor(share * unit))


def texts_along(
    texts: Sequence[StripText], begin: float, end: float, thick: int, *, largest: float, gap: float,
    whole: Collection[str], kept: bool = False,
) -> Iterator[tuple[StripText, Setting, float]]:  # fmt: skip
    """The texts that fit one after the other along a strip, each with its setting and where it begins.

    ``largest`` is their size and ``gap`` their distance, over the strip's thickness; texts of the parts in
    ``whole`` are left out where they would be cut short. A line for the class never is. Where it is ``kept``
    the title goes before it does, and then it shrinks on two lines.
    """
    if kept and any(text.part == "line" for text in texts):
        shown = list(texts_along(texts, begin, end, thick, largest=largest, gap=gap, whole={*whole, "line"}))
        if not any(text.part == "line" for text, _setting, _at in shown):
            texts = [text for text in texts if text.part != "title"]
    else:
        kept = False
    for text in texts:
        room = end - begin
        if room < thick:
            continue
        # A title leaves room for the line after it.
        share = 0.6 if text.part == "title" and texts[-1].part == "line" else 1.0
        px, least = share_px(largest, thick), share_px(LEAST_LINE, thick)
        setting = fit(text.text, room * share, thick, px, least, text.weight)
        if text.part == "line" and kept and setting.elided:
            small = share_px(TWO_LINES, thick)
            setting = fit_whole(text.text, room, 0.92 * thick, least, small, text.weight)
        if not (setting.elided and text.part in whole):
            yield text, setting, begin
            begin += setting.width + gap * thick


def moved(mark: Mark, dx: int, dy: int) -> Mark:
    """The same mark elsewhere."""
    x, y, width, height = mark.box
    return replace(mark, box=Box(x + dx, y + dy, width, height))
