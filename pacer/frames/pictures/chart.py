"""A picture of Look back as plain values: what is drawn, how it reads in words, and the table behind it."""

from dataclasses import dataclass, field
from typing import Literal

Tone = Literal["main", "second", "over", "quiet"]
"""Which of a picture's parts it is; the painter gives each a colour *and* a pattern of its own."""
Pattern = Literal["filled", "hatched", "outline", "dotted", "crossed"]
Marker = Literal["dot", "ring", "square", "triangle"]
Stroke = Literal["solid", "dashed", "dotted"]
Anchor = Literal["left", "centre", "right"]


@dataclass(frozen=True)
class Axis:
    """One side of a picture. ``label`` names the unit; ``ticks`` are (position, words), empty: the painter's.

    ``upside_down`` puts small values at the top, as in a list that is read downwards.
    """

    label: str
    lower: float
    upper: float
    ticks: tuple[tuple[float, str], ...] = ()
    upside_down: bool = False


@dataclass(frozen=True)
class ChartBox:
    """A rectangle between two x and two y; ``open_end`` where its right end is not known."""

    x0: float
    x1: float
    y0: float
    y1: float
    tone: Tone = "main"
    pattern: Pattern = "filled"
    open_end: bool = False


@dataclass(frozen=True)
class Dots:
    """Single values; of a ring only the lower bound is known."""

    points: tuple[tuple[float, float], ...]
    shape: Marker = "dot"
    tone: Tone = "main"


@dataclass(frozen=True)
class ChartLine:
    """Points joined in order; ``steps`` holds each value until the next, as a survival curve does."""

    points: tuple[tuple[float, float], ...]
    stroke: Stroke = "solid"
    tone: Tone = "main"
    steps: bool = False


@dataclass(frozen=True)
class AxisSpan:
    """A shaded stretch of the x axis or, ``across``, of the y axis: a baseline, limits."""

    lower: float
    upper: float
    across: bool = False


@dataclass(frozen=True)
class ChartWords:
    """A few words at a place in the picture. ``together``: all such words are shown, or none of them."""

    x: float
    y: float
    text: str
    anchor: Anchor = "left"
    together: bool = False


@dataclass(frozen=True)
class LegendKey:
    """One entry of the legend: a mark as it is drawn, and what it means."""

    mark: ChartBox | Dots | ChartLine | AxisSpan
    text: str


@dataclass(frozen=True)
class Table:
    """The numbers behind a picture, ready to show; the columns in ``right`` hold figures."""

    headings: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    right: tuple[int, ...] = ()


@dataclass(frozen=True)
class Chart:
    """A whole picture.

    ``name`` tells it from the others (never shown), ``title`` is the question it answers, ``lessons`` how
    many lessons are behind it, ``summary`` says in plain words what it shows (a screen reader gets it, too).
    ``choice`` names the filters in force. ``row_lines`` is how many lines of type a row needs at least, where
    words stand over marks. A chart without marks says in ``summary`` what is missing, and needs no axes.
    """

    name: str
    title: str
    lessons: int
    summary: str
    x: Axis = Axis("", 0, 1)
    y: Axis = Axis("", 0, 1)
    boxes: tuple[ChartBox, ...] = ()
    dots: tuple[Dots, ...] = ()
    lines: tuple[ChartLine, ...] = ()
    spans: tuple[AxisSpan, ...] = ()
    words: tuple[ChartWords, ...] = ()
    keys: tuple[LegendKey, ...] = ()
    table: Table = field(default=Table((), ()))
    choice: str = ""
    row_lines: float = 0.0

    @property
    def is_empty(self) -> bool:
        """Whether there is nothing to draw."""
        return not (self.boxes or self.dots or self.lines)
