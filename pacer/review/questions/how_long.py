"""How long a phase really takes: a survival curve of past endings, of which some say "at least so long".

The curve is the product-limit estimate of Kaplan & Meier, JASA 53 (1958): the program's estimator with a
prior that weighs nothing. It shows what was seen; a proposed budget also leans on the written one.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING

from pacer.pace.forecasts.past import PastEnding, usable
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.learning.past_endings import endings_of_day

if TYPE_CHECKING:
    from pacer.pace.forecasts.survival import Curve

LEAST_LESSONS = 5
SHARE = 0.70  # of lessons that a length is enough for; a choice of ours


@dataclass(frozen=True)
class PhaseTook:
    """One ending, and how long it took in seconds of the latest budget, exactly."""

    past: PastEnding
    title: str
    scaled_s: Fraction

    @property
    def complete(self) -> bool:
        """Whether the work was done; otherwise it takes at least so long."""
        return self.past.is_complete("takes")

    @property
    def is_over(self) -> bool:
        """Whether it lasted longer than its own written budget, finished or not."""
        return self.past.actual_s > self.past.planned_s


@dataclass(frozen=True)
class HowLong:
    """The endings of one phase or kind, the shortest first; ``budget_s`` is the last one that was written.

    ``by_id``: ``name`` is the id of a phase, not a kind.
    """

    name: str
    by_id: bool
    budget_s: int
    budgets_differ: bool
    took: tuple[PhaseTook, ...]

    @property
    def lessons(self) -> int:
        """How many lessons are behind it."""
        return len({ending.past.run for ending in self.took})

    @property
    def enough(self) -> bool:
        """Whether there are lessons enough to claim anything."""
        return self.lessons >= LEAST_LESSONS

    @property
    def over(self) -> int:
        """How many surely took longer than their own budget."""
        return sum(ending.is_over for ending in self.took)

    @property
    def maybe_over(self) -> int:
        """How many were broken off within their budget, so that nobody knows."""
        return sum(not ending.complete and not ending.is_over for ending in self.took)

    @cached_property
    def curve(self) -> "Curve":
        """The survival curve, times in seconds of the latest budget. Raises ValueError without an ending."""
        from pacer.pace.forecasts.survival import fit  # numpy: not before a picture is wanted

        return fit(
            [float(ending.scaled_s) for ending in self.took], [ending.complete for ending in self.took]
        )

    @cached_property
    def still_going(self) -> tuple[float, ...]:
        """The share of lessons still going after each ending of ``took``, 0 to 1."""
        return tuple(
            float(share) for share in self.curve.at([float(ending.scaled_s) for ending in self.took])
        )

    @property
    def enough_s(self) -> tuple[float, bool]:
        """How many seconds were enough on 7 of 10 days, and whether that is only a lower bound.

        A new day stays within it in 61 to 72 cases of 100, in fewer where lessons are few
        (`tests/review/questions/test_how_long_coverage.py`).
        """
        quantile = self.curve.quantile(SHARE)
        return quantile.seconds, quantile.at_least


def how_long(days: Sequence[Day], choice: LessonChoice, name: str = "") -> HowLong | None:
    """The endings of one phase of the mini lesson in the lessons to learn from; None where there are none.

    ``name`` is a kind, or, where one title is chosen, the id of one of its phases; the chosen kinds then
    don't matter. Empty: the kind that the most lessons have among the chosen ones, the first met of several.
    Durations under other budgets are scaled to the last one written.
    """
    choice = replace(choice, kinds=()) if name else choice
    learned = choice.learning(days)
    titles = {day.run: day.title for day in learned}
    past = usable(_endings(learned, choice))
    name = name or _most_met(past)
    by_id = len(choice.titles) == 1 and any(ending.phase == name for ending in past)
    own = [ending for ending in past if name == (ending.phase if by_id else ending.kind)]
    if not own:
        return None
    budget = round(own[-1].planned_s)
    took = [PhaseTook(ending, titles[ending.run], _scaled(ending, budget)) for ending in own]
    took.sort(key=lambda ending: (ending.scaled_s, not ending.complete))
    return HowLong(name, by_id, budget, len({ending.planned_s for ending in own}) > 1, tuple(took))


def _endings(days: Iterable[Day], choice: LessonChoice) -> list[PastEnding]:
    """The endings of the mini lessons' phases of chosen kinds, in order of time."""
    endings = []
    for day in days:
        chosen = {phase.id for phase in choice.phases(day)}
        endings += [past for past in endings_of_day(day) if past.phase in chosen]
    return endings


def _most_met(past: Iterable[PastEnding]) -> str:
    lessons: dict[str, set[int]] = {}
    for ending in past:
        lessons.setdefault(ending.kind, set()).add(ending.run)
    return max(lessons, key=lambda kind: len(lessons[kind]), default="")


def _scaled(past: PastEnding, budget_s: int) -> Fraction:
    return Fraction(round(past.actual_s) * budget_s, round(past.planned_s))
