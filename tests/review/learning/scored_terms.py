"""What was said at the borders of whole terms beside what came: how far apart, and with which error."""

from collections.abc import Sequence
from dataclasses import dataclass, field

import numpy as np

from pacer.review.learning.backtest import ScoredBorder


@dataclass(frozen=True, eq=False)
class Term:
    """The borders of one term, an array entry each: said, came (nan: unknown), how far the end that was
    foretold is off in seconds (nan: unknown), and how far each rival's.
    """

    kind: str
    said: np.ndarray
    came: np.ndarray
    off_s: np.ndarray
    rivals_off_s: np.ndarray = field(default_factory=lambda: np.zeros((0, 0)))

    @classmethod
    def of(cls, kind: str, borders: Sequence[ScoredBorder]) -> "Term":
        """The same without rivals."""
        ended = np.array([np.nan if one.came_s is None else one.came_s for one in borders])
        return cls(
            kind,
            np.array([one.forecast.odds.likely for one in borders]),
            np.array([np.nan if one.was_in_time is None else float(one.was_in_time) for one in borders]),
            np.array([one.forecast.end_s for one in borders]) - ended,
        )


def apart(terms: Sequence[Term], low: float = 0.0, high: float = 2.0) -> tuple[float, float, int]:
    """How much more came than was said from ``low`` up to ``high``, its standard error, how many borders."""
    sums, count = [], 0
    for one in terms:
        here = (one.said >= low) & (one.said < high) & ~np.isnan(one.came)
        sums.append(float((one.came - one.said)[here].sum()))
        count += int(here.sum())
    return sum(sums) / max(count, 1), float(np.sqrt(np.square(sums).sum())) / max(count, 1), count


def brier(terms: Sequence[Term]) -> tuple[float, float, float]:
    """The Brier score, its standard error over terms, and that of always saying the base rate."""
    each = [np.nanmean((one.said - one.came) ** 2) for one in terms]
    base = np.nanmean(np.concatenate([one.came for one in terms]))
    squares = np.concatenate([(one.said - one.came) ** 2 for one in terms])
    return float(np.nanmean(squares)), float(np.std(each) / len(each) ** 0.5), float(base * (1 - base))


def bias(terms: Sequence[Term]) -> tuple[float, float]:
    """By how many seconds the end is foretold late (negative: early), and its standard error over terms."""
    each = [float(np.nanmean(one.off_s)) for one in terms]
    return float(np.nanmean(np.concatenate([one.off_s for one in terms]))), float(
        np.std(each) / len(each) ** 0.5
    )
