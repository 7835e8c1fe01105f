"""Which phase usually runs over: actual over budget, lesson by lesson, with an honest median."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from pacer.pace.past import PastEnding, usable
from pacer.review.choice import Choice
from pacer.review.days import Day
from pacer.review.durations import endings_of_day

LEAST_LESSONS = 5


@dataclass(frozen=True)
class Ran:
    """One ending of a phase."""

    past: PastEnding
    title: str
    phase_title: str

    @property
    def ratio(self) -> Fraction:
        """Actual over budget, exactly: 1 is as planned."""
        return Fraction(round(self.past.actual_s), round(self.past.planned_s))

    @property
    def cut_off(self) -> bool:
        """Whether bell or interruption ended it, so that it needs at least so long; moved on does not."""
        return self.past.is_cut_off

    @property
    def is_over(self) -> bool:
        """Whether it lasted longer than its budget, cut off or not."""
        return self.ratio > 1


@dataclass(frozen=True)
class OverRow:
    """The endings of one phase or kind, in order of time."""

    name: str
    ran: tuple[Ran, ...]

    @property
    def lessons(self) -> int:
        """How many lessons are behind it."""
        return len({one.past.run for one in self.ran})

    @property
    def over(self) -> int:
        """How many endings were surely beyond their budget."""
        return sum(one.is_over for one in self.ran)

    @property
    def maybe_over(self) -> int:
        """How many were cut off within their budget, so that nobody knows."""
        return sum(one.cut_off and not one.is_over for one in self.ran)

    @property
    def enough(self) -> bool:
        """Whether there are lessons enough to speak of what is usual."""
        return self.lessons >= LEAST_LESSONS

    @cached_property
    def median(self) -> tuple[float, bool]:
        """The smallest ratio that at least half stay within, and whether that is only a lower bound.

        By the product-limit estimate of Kaplan & Meier, JASA 53 (1958), cut-off ones as at least so long.
        """
        from pacer.pace.survival import fit  # numpy: not before a picture is wanted

        found = fit([float(one.ratio) for one in self.ran], [not one.cut_off for one in self.ran])
        half = found.quantile(0.5)
        return half.seconds, half.at_least


@dataclass(frozen=True)
class OverUsually:
    """A row for each phase, in the order of the lesson. ``by_id``: the lessons are of one outline."""

    rows: tuple[OverRow, ...]
    lessons: int
    by_id: bool

    @property
    def most(self) -> OverRow | None:
        """What runs over most often of all with enough lessons; of several the one with the longer median.

        None where no phase has lessons enough, or none ever ran over.
        """
        able = [row for row in self.rows if row.enough and row.over]
        return max(able, key=lambda row: (Fraction(row.over, len(row.ran)), row.median[0]), default=None)

    @property
    def most_lessons(self) -> int:
        """How many lessons the phase that is met most has."""
        return max((row.lessons for row in self.rows), default=0)


def over_usually(days: Sequence[Day], choice: Choice) -> OverUsually:
    """The endings in the mini lessons to learn from, by kind, or by phase where one outline is chosen.

    Skipped phases say nothing, and neither do durations that can't be believed.
    """
    learned = choice.learning(days)
    by_id = len({day.title for day in learned}) == 1
    found: dict[str, list[Ran]] = {}
    places: dict[str, list[Fraction]] = {}
    for day in learned:
        titles = {phase.id: phase.title for phase in choice.phases(day)}
        order = [phase.id for phase in day.mini]
        for past in usable(endings_of_day(day)):
            if past.phase in titles:
                name = past.phase if by_id else past.kind
                found.setdefault(name, []).append(Ran(past, day.title, titles[past.phase]))
                places.setdefault(name, []).append(Fraction(order.index(past.phase), len(order)))
    names = sorted(found, key=lambda name: sum(places[name]) / len(places[name]))
    rows = tuple(OverRow(name, tuple(found[name])) for name in names)
    return OverUsually(rows, len({one.past.run for row in rows for one in row.ran}), by_id)
