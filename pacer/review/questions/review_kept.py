"""Was reviewing kept small? Warm-up and review of each lesson against the cap that they share.

The cap is the outline's own, else 5:00 (common practice, no source). Whole seconds throughout.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from statistics import median

from pacer.review.days import Day

WARM_UP, REVIEW = "warm-up", "review"


@dataclass(frozen=True)
class KeptDay:
    """One lesson; seconds. ``review_s`` is review and whatever else shares the cap with the warm-up."""

    run: int
    date: str
    title: str
    warm_up_s: int
    review_s: int
    cap_s: int

    @property
    def whole_s(self) -> int:
        """All reviewing together."""
        return self.warm_up_s + self.review_s

    @property
    def over_s(self) -> int:
        """How much of it was beyond the cap, never below 0."""
        return max(0, self.whole_s - self.cap_s)

    @property
    def parts(self) -> tuple[int, int, int]:
        """Warm-up and review as far as they lie within the cap, and what is over: together the whole."""
        warm_up = min(self.warm_up_s, self.cap_s)
        return warm_up, min(self.whole_s, self.cap_s) - warm_up, self.over_s


@dataclass(frozen=True)
class ReviewKept:
    """The lessons that had anything to review, in order; ``without`` had none and are left out."""

    days: tuple[KeptDay, ...]
    without: int

    @property
    def within(self) -> int:
        """In how many lessons reviewing took its cap or less."""
        return sum(day.over_s == 0 for day in self.days)

    @property
    def median_over_s(self) -> Fraction | None:
        """The median of what was over, in seconds, of the lessons that went over; None where none did."""
        over = [Fraction(day.over_s) for day in self.days if day.over_s]
        return median(over) if over else None


def review_kept(days: Iterable[Day]) -> ReviewKept:
    """Reviewing in some lessons. One that was planned and skipped took 0 s."""
    every = list(days)
    kept = tuple(_kept(day) for day in every if _reviews(day))
    return ReviewKept(kept, len(every) - len(kept))


def _reviews(day: Day) -> bool:
    return day.review_s > 0 or any(phase.kind in (WARM_UP, REVIEW) for phase in day.phases)


def _kept(day: Day) -> KeptDay:
    warm_up = sum(phase.actual_s for phase in day.phases if phase.kind == WARM_UP)
    return KeptDay(day.run, day.date, day.title, warm_up, day.review_s - warm_up, day.review_cap_s)
