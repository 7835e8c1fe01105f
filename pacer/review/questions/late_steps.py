"""Why groups started late: steps by cause from the planned start to the real one, that add up exactly."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import accumulate, pairwise

from pacer.pace.trim import whole_parts
from pacer.plan.kinds import KINDS
from pacer.review.days import OTHER_CAUSES, Day

_BEFORE, _AFTER = OTHER_CAUSES[:1], OTHER_CAUSES[1:]


@dataclass(frozen=True)
class LateStep:
    """Seconds by one cause, exactly; below zero it gained time. ``cause`` is a phase, a kind, or a name."""

    cause: str
    seconds: Fraction


@dataclass(frozen=True)
class LateSteps:
    """The mean lesson's steps, in the order in which they come: they add up to ``whole``.

    ``by_kind``: phases of several outlines stand together by their kinds. In ``never`` more lessons groups
    did not start, and nothing is known.
    """

    steps: tuple[LateStep, ...]
    lessons: int
    never: int
    by_kind: bool

    @property
    def whole(self) -> Fraction:
        """How much later than planned groups started, in seconds, on average; early is below zero."""
        return sum((step.seconds for step in self.steps), Fraction(0))

    @property
    def shown(self) -> tuple[int, ...]:
        """The steps in whole seconds that add up to the rounded whole."""
        return tuple(whole_parts([step.seconds for step in self.steps]))


def late_steps(days: Iterable[Day]) -> LateSteps:
    """The steps of some lessons: their own for lessons of one outline, else phases by their kind."""
    every = list(days)
    known = [day for day in every if day.group_late_s is not None]
    by_kind = len({day.title for day in known}) > 1
    sums = dict.fromkeys(_BEFORE, 0)
    met = {kind_or_id(day, phase.id, by_kind): 0 for day in known for phase in day.mini}
    # Outlines differ in their order, the table of kinds is one for all.
    sums.update(sorted(met.items(), key=lambda each: list(KINDS).index(each[0])) if by_kind else met)
    sums.update(dict.fromkeys(_AFTER, 0))
    for day in known:
        for cause, seconds in day.causes:
            sums[kind_or_id(day, cause, by_kind)] += seconds
    steps = tuple(LateStep(cause, Fraction(total, len(known))) for cause, total in sums.items() if total)
    return LateSteps(steps, len(known), len(every) - len(known), by_kind)


def kind_or_id(day: Day, cause: str, by_kind: bool) -> str:
    """Under which name a cause of a lesson is counted."""
    if not by_kind or cause in OTHER_CAUSES:
        return cause
    return next((phase.kind for phase in day.phases if phase.id == cause), cause)


def running_sums(shown: Sequence[int]) -> list[tuple[int, int]]:
    """Where each step begins and ends, in seconds after the planned start."""
    return list(pairwise(accumulate(shown, initial=0)))
