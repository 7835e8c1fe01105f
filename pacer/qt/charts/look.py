"""How a picture's tones look, on a screen and in black and white on paper."""

from collections.abc import Mapping
from dataclasses import dataclass

from PySide6.QtGui import QColor

from pacer.frames.pictures.chart import Chart, Pattern, Tone
from pacer.qt.kit import theme
from pacer.text import _, counted

TYPE_PX = 15  # on a screen; in type of this size a thin line is one pixel wide, which Qt draws quickest
OVER = QColor("#6E5A1F")  # the overrun's ochre, dark enough for thin lines and stripes


@dataclass(frozen=True)
class Ink:
    """One tone: its area, its lines and outlines, and the pattern that stands for a plain fill."""

    area: QColor
    line: QColor
    own: Pattern | None = None


@dataclass(frozen=True)
class Look:
    """Every colour of a picture. Words are in ``ink`` or ``soft``; ``side`` draws axes, ``grid`` recedes."""

    paper: QColor
    ink: QColor
    soft: QColor
    side: QColor
    grid: QColor
    band: QColor
    tones: Mapping[Tone, Ink]


SCREEN = Look(
    paper=theme.DESK_PAPER,
    ink=theme.DESK_INK,
    soft=theme.SECONDARY,
    side=theme.OUTLINE,
    grid=QColor("#E7E2D6"),
    band=QColor("#EFE8D6"),
    tones={
        "main": Ink(theme.SQUARE, theme.SQUARE),
        "second": Ink(QColor("#7189B2"), QColor("#4A6FA8")),
        "over": Ink(OVER, OVER, "hatched"),
        "quiet": Ink(theme.RULE, theme.OUTLINE),
    },
)

# Greys far apart, and stripes: a copy of a copy still tells them apart.
MONO = Look(
    paper=QColor("#FFFFFF"),
    ink=QColor("#000000"),
    soft=QColor("#333333"),
    side=QColor("#555555"),
    grid=QColor("#DDDDDD"),
    band=QColor("#EEEEEE"),
    tones={
        "main": Ink(QColor("#1C1C1C"), QColor("#000000")),
        "second": Ink(QColor("#8C8C8C"), QColor("#6A6A6A")),
        "over": Ink(QColor("#000000"), QColor("#000000"), "hatched"),
        "quiet": Ink(QColor("#E2E2E2"), QColor("#555555")),
    },
)


def count_line(chart: Chart) -> str:
    """How many lessons are behind a picture and which were chosen, the count once."""
    count = counted("{n} lesson", "{n} lessons", chart.lessons)
    if not chart.choice or chart.choice.startswith(count):
        return chart.choice or count
    return _("{count} · {choice}", count=count, choice=chart.choice)
