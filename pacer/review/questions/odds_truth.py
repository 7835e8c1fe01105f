"""Did the odds tell the truth? Forecasts of groups starting on time, held against what came, in tenths.

A forecast is a range of chances; its middle says in which tenth it counts. Where nobody knows what came (the
mini lesson was cut off), it is left out and counted. Forecasts of one lesson share their outcome, so an
interval is that of as many cases as there are lessons, not forecasts.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from math import sqrt
from statistics import NormalDist, fmean
from typing import Literal

from pacer.review.choice import LessonChoice
from pacer.review.days import Day, DayForecast

TENTHS = 10
CONFIDENCE = 0.95
CALLED_AT = 0.98  # looked at after every lesson, at .95 one true term in ten was called untrue
Leaning = Literal["hopeful", "gloomy", "fair"]


@dataclass(frozen=True)
class OddsGroup:
    """Some forecasts whose outcome is known; chances and shares are 0 to 1.

    ``said`` is the mean of the middles, ``low`` and ``high`` the means of both ends; ``came`` of the
    ``count`` forecasts came true. ``brier`` is the mean squared distance of the middle from what came (Brier,
    Monthly Weather Review 78, 1950, in its form for two outcomes): 0 is best, 1 worst.
    """

    count: int
    lessons: int
    said: float
    low: float
    high: float
    came: int
    brier: float

    @property
    def share(self) -> float:
        """How many of them came true."""
        return self.came / self.count

    @property
    def interval(self) -> tuple[float, float]:
        """Where the true share may lie, with 95 % confidence: as many cases as lessons."""
        return wilson(self.share * self.lessons, self.lessons)

    @property
    def leaning(self) -> Leaning:
        """Whether more was said than came true ("hopeful"), or less ("gloomy"), than chance explains.

        True odds are called so in at most 4 terms of 100, looked at after every lesson; odds two tenths too
        hopeful in 55 to 70 terms of 100 after fifty lessons and in 12 to 26 after twenty, in 75 to 90 at some
        look of a term (`tests/review/questions/test_odds_truth_calls.py`).
        """
        low, high = wilson(self.share * self.lessons, self.lessons, CALLED_AT)
        if self.said > high:
            return "hopeful"
        return "gloomy" if self.said < low else "fair"

    @property
    def is_truthful(self) -> bool:
        """Whether what was said lies within that interval: what came does not speak against it."""
        low, high = self.interval
        return low <= self.said <= high


@dataclass(frozen=True)
class OddsTenth:
    """The forecasts from ``low`` tenths up to one more; the last one has the sure ones, too."""

    low: int
    group: OddsGroup


@dataclass(frozen=True)
class OddsTruth:
    """The calibration; ``whole`` has all forecasts together, None without any. ``unknown`` were left out."""

    tenths: tuple[OddsTenth, ...]
    whole: OddsGroup | None
    unknown: int


_RunForecast = tuple[int, DayForecast]


def odds_truth(days: Iterable[Day], choice: LessonChoice) -> OddsTruth:
    """The forecasts of the lessons that are shown, made where a phase of a chosen kind began."""
    forecasts: list[_RunForecast] = []
    for day in choice.days(days):
        chosen = {phase.id for phase in choice.phases(day)}
        forecasts += [(day.run, forecast) for forecast in day.forecasts if forecast.phase in chosen]
    known = [(run, forecast) for run, forecast in forecasts if forecast.in_time is not None]
    rows: list[list[_RunForecast]] = [[] for _tenth in range(TENTHS)]
    for run, forecast in known:
        rows[min(TENTHS - 1, int(middle(forecast) * TENTHS))].append((run, forecast))
    return OddsTruth(
        tenths=tuple(OddsTenth(number, _group(row)) for number, row in enumerate(rows) if row),
        whole=_group(known) if known else None,
        unknown=len(forecasts) - len(known),
    )


def middle(forecast: DayForecast) -> float:
    """The middle of what was said, 0 to 1."""
    return (forecast.low + forecast.high) / 2


def _group(run_forecasts: Sequence[_RunForecast]) -> OddsGroup:
    forecasts = [forecast for _run, forecast in run_forecasts]
    return OddsGroup(
        count=len(forecasts),
        lessons=len({run for run, _forecast in run_forecasts}),
        said=fmean(middle(forecast) for forecast in forecasts),
        low=fmean(forecast.low for forecast in forecasts),
        high=fmean(forecast.high for forecast in forecasts),
        came=sum(forecast.in_time is True for forecast in forecasts),
        brier=fmean((middle(forecast) - (forecast.in_time is True)) ** 2 for forecast in forecasts),
    )


def wilson(came: float, count: int, confidence: float = CONFIDENCE) -> tuple[float, float]:
    """The score interval of a share, 0 to 1 (Wilson, J. American Statistical Association 22, 1927, 209-212).

    With p = came / count and the normal quantile z of the confidence, its ends are
    (p + z²/2n ± z √(p(1-p)/n + z²/4n²)) / (1 + z²/n). Raises ZeroDivisionError without a case.
    """
    z = NormalDist().inv_cdf((1 + confidence) / 2)
    share, squared = came / count, z * z / count
    centre = share + squared / 2
    reach = z * sqrt(share * (1 - share) / count + squared / (4 * count))
    # At the very ends rounding must not leave a trace beyond what can be.
    low = 0.0 if came == 0 else (centre - reach) / (1 + squared)
    high = 1.0 if came == count else (centre + reach) / (1 + squared)
    return low, high
