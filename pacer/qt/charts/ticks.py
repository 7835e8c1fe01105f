"""Which words stand along a side of a picture: round values, thinned, wrapped or shortened to fit."""

from collections.abc import Sequence
from itertools import pairwise
from math import ceil, floor, isfinite, log10
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray
from PySide6.QtCore import Qt
from PySide6.QtGui import QFontMetricsF

from pacer.frames.pictures.chart import Axis

MOST_WRAPPED = 12  # so many names may be wrapped; more are days, and every n-th is enough
MOST_LINES = 3
MINUS = "−"

Tick = tuple[float, str]
Values = NDArray[np.float64]
Number = TypeVar("Number", float, Values)


def bounds(axis: Axis) -> tuple[float, float]:
    """The two ends of an axis, exactly as given; an axis without length gets one of 1."""
    lower, upper = axis.lower, axis.upper
    if not (isfinite(lower) and isfinite(upper)):
        return 0.0, 1.0
    return (lower, upper) if upper > lower else (lower, lower + 1.0)


def share(axis: Axis, value: Number) -> Number:
    """Where a value, or each of many, lies between the ends of an axis, 0 to 1."""
    lower, upper = bounds(axis)
    return (value - lower) / (upper - lower)


def ticks_of(axis: Axis, most: int) -> list[Tick]:
    """The ticks within the axis: its own, or round values in steps of 1, 2 or 5, about ``most`` of them."""
    lower, upper = bounds(axis)
    slack = (upper - lower) * 1e-9
    if axis.ticks:
        return [(at, words) for at, words in axis.ticks if lower - slack <= at <= upper + slack]
    step = _round_step((upper - lower) / max(1, most))
    decimals = max(0, -floor(log10(step) + 1e-9))
    first, last = ceil((lower - slack) / step), floor((upper + slack) / step)
    return [(number * step, _figure(number * step, decimals)) for number in range(first, last + 1)]


def _round_step(least: float) -> float:
    power = 10.0 ** floor(log10(least))
    return next(factor * power for factor in (1, 2, 5, 10) if factor * power >= least * (1 - 1e-9))


def _figure(value: float, decimals: int) -> str:
    """A plain number, never in thousands or millions of its unit."""
    return f"{value:.{decimals}f}".replace("-", MINUS) if round(value, decimals) else f"{0:.{decimals}f}"


def is_scale(axis: Axis) -> bool:
    """Whether an axis shows values, so that lines across the picture help reading; not names or dates."""
    return all(words[:1] in "0123456789-−+." and not any(map(str.isalpha, words)) and words.count("-") < 2
               for _at, words in axis.ticks)  # fmt: skip


def thinned(places: Sequence[tuple[float, float]], gap: float) -> int:
    """Every how many-th label to keep so that none comes nearer than ``gap`` to the next.

    ``places`` are (start, end) along the side, in order.
    """
    for every in range(1, max(2, len(places))):
        kept = places[::every]
        if all(_apart(one, other) >= gap for one, other in pairwise(kept)):
            return every
    return max(1, len(places))


def _apart(one: tuple[float, float], other: tuple[float, float]) -> float:
    first, second = sorted((one, other))
    return second[0] - first[1]


def x_words(axis: Axis, width: float, metrics: QFontMetricsF, px: float) -> list[Tick]:
    """The words below the plot; a few long names are wrapped or shortened before any is left out."""
    ticks = ticks_of(axis, max(2, int(width / (px * 5))))
    plain = ticks[:: ceil(len(ticks) * px * 2 / width) or 1]  # more never fit
    if not axis.ticks or is_scale(axis) or not 1 < len(ticks) <= MOST_WRAPPED:
        return plain
    lower, upper = bounds(axis)
    places = sorted(at for at, _words in ticks)
    nearest = min(later - earlier for earlier, later in pairwise(places))
    slot = nearest / (upper - lower) * width - px * 0.6
    if slot < px * 3.2 or all(metrics.horizontalAdvance(words) <= slot for _at, words in ticks):
        return plain
    return [(at, wrapped(words, slot, metrics)) for at, words in ticks]


def wrapped(words: str, width: float, metrics: QFontMetricsF, most: int = MOST_LINES) -> str:
    """Words in as few lines as they need; the last one, or all where a word is longer, is shortened."""
    lines: list[str] = []
    for word in words.split():
        if metrics.horizontalAdvance(word) > width:
            return shortened(words, width, metrics)
        longer = f"{lines[-1]} {word}" if lines else word
        if lines and metrics.horizontalAdvance(longer) <= width:
            lines[-1] = longer
        else:
            lines.append(word)
    rest = " ".join(lines[most - 1 :])
    return "\n".join([*lines[: most - 1], shortened(rest, width, metrics)] if rest else lines)


def shortened(words: str, width: float, metrics: QFontMetricsF) -> str:
    """Words that fit a width, with an ellipsis where some had to go."""
    return metrics.elidedText(words, Qt.TextElideMode.ElideRight, width)
