"""How long a phase really takes: a survival curve of past endings, of which some say "at least so long".

The curve is the product-limit estimate of Kaplan & Meier, JASA 53 (1958): the program's estimator with a
prior that weighs nothing. It shows what was seen; a proposed budget also leans on the written one.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING

from pacer.pace.past import PastEnding, usable
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.learning.past_endings import endings_of_day

if TYPE_CHECKING:
    from pacer.pace.survival import Curve

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
        return len({one.past.run for one in self.took})

    @property
    def enough(self) -> bool:
        """Whether there are lessons enough to claim anything."""
        return self.lessons >= LEAST_LESSONS

    @property
    def over(self) -> int:
        """How many surely took longer than their own budget."""
        return sum(one.is_over for one in self.took)

    @property
    def maybe_over(self) -> int:
        """How many were broken off within their budget, so that nobody knows."""
        return sum(not one.complete and not one.is_over for one in self.took)

    @cached_property
    def curve(self) -> "Curve":
        """The survival curve, times in seconds of the latest budget. Raises ValueError without an ending."""
        from pacer.pace.survival import fit  # numpy: not before a picture is wanted

        return fit([float(one.scaled_s) for one in self.took], [one.complete for one in self.took])

    @cached_property
    def still_going(self) -> tuple[float, ...]:
        """The share of lessons still going after each ending of ``took``, 0 to 1."""
        return tuple(float(share) for share in self.curve.at([float(one.scaled_s) for one in self.took]))

    @property
    def enough_s(self) -> tuple[float, bool]:
        """How many seconds are enough on 7 of 10 days, and whether that is only a lower bound."""
        found = self.curve.quantile(SHARE)
        return found.seconds, found.at_least


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
    by_id = len(choice.titles) == 1 and any(one.phase == name for one in past)
    own = [one for one in past if name == (one.phase if by_id else one.kind)]
    if not own:
        return None
    budget = round(own[-1].planned_s)
    took = [PhaseTook(one, titles[one.run], _scaled(one, budget)) for one in own]
    took.sort(key=lambda one: (one.scaled_s, not one.complete))
    return HowLong(name, by_id, budget, len({one.planned_s for one in own}) > 1, tuple(took))


def _endings(days: Iterable[Day], choice: LessonChoice) -> list[PastEnding]:
    """The endings of the mini lessons' phases of chosen kinds, in order of time."""
    found = []
    for day in days:
        chosen = {phase.id for phase in choice.phases(day)}
        found += [past for past in endings_of_day(day) if past.phase in chosen]
    return found


def _most_met(past: Iterable[PastEnding]) -> str:
    lessons: dict[str, set[int]] = {}
    for one in past:
        lessons.setdefault(one.kind, set()).add(one.run)
    return max(lessons, key=lambda kind: len(lessons[kind]), default="")


def _scaled(past: PastEnding, budget_s: int) -> Fraction:
    return Fraction(round(past.actual_s) * budget_s, round(past.planned_s))
