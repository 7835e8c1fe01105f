"""A unit, a span of chosen lessons: how late groups started, what phases took, what was not taught."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property

from pacer.review.choice import LessonChoice
from pacer.review.days import OTHER_CAUSES, Day, DayPhase
from pacer.review.questions.lost_minutes import lost_minutes, monday_of
from pacer.review.questions.not_taught import Missing, missing, planned_phases
from pacer.review.statistics.exact_test import rank_sum_p
from pacer.review.statistics.rounding import half_up

LEAST_LESSONS = 15  # so that a first and a last third have five each
CALLED_BELOW = Fraction(1, 1500)  # of several phases the one that differs most, looked at after every lesson
SHARE_UNITS = 10**9  # a share of a budget is counted in billionths


@dataclass(frozen=True)
class UnitWeek:
    """One week of the unit; seconds.

    ``lates`` are the latenesses of the lessons in which groups started. ``parts`` are sums of their causes:
    a phase's kind, or one of `OTHER_CAUSES`; they add up to the sum of ``lates``. ``kept_s`` is what all
    groups together had at the table, worked out from when groups really started, ``planned_s`` what the plan
    gave them.
    """

    monday: str
    lessons: int
    lates: tuple[int, ...]
    parts: tuple[tuple[str, int], ...]
    planned_s: int
    kept_s: int

    @property
    def mean_late_s(self) -> Fraction | None:
        """The mean lateness, exactly; None where no groups started."""
        return Fraction(sum(self.lates), len(self.lates)) if self.lates else None

    @property
    def mean_parts_s(self) -> tuple[tuple[str, Fraction], ...]:
        """The mean of each cause, exactly; they add up to the mean lateness."""
        return tuple((cause, Fraction(seconds, len(self.lates))) for cause, seconds in self.parts)


@dataclass(frozen=True)
class UnitTook:
    """Actual over budget of one kind or phase in some lessons.

    ``cut_off`` of its ``times`` were ended from outside and needed at least what they got; ``at_least``: the
    median may be higher for that.
    """

    times: int
    cut_off: int
    median: Fraction | None
    at_least: bool


@dataclass(frozen=True)
class Trend:
    """One kind, or the id of a phase where one title is chosen, in the first and the last third.

    ``ratios`` are those of both thirds, in billionths.
    """

    name: str
    first: UnitTook
    last: UnitTook
    ratios: tuple[tuple[int, ...], tuple[int, ...]]

    @cached_property
    def is_called(self) -> bool:
        """Whether both thirds differ by more than chance explains.

        Of six phases none of which changes, the one whose medians differ most is called so in at most 5
        terms of 100, looked at after every lesson from the fifteenth to the sixtieth: by chance alone its
        medians differ by .3 of the budget at fifteen lessons, and by .15 at sixty. A phase that takes .6 of a
        logarithm longer by the end is called in 8 of 10 terms; none is before 21 lessons
        (`tests/review/questions/test_units_calls.py`).
        """
        return rank_sum_p(*self.ratios) < CALLED_BELOW


@dataclass(frozen=True)
class BudgetChange:
    """A phase whose written budget is another at the end of the unit than at its start; seconds."""

    title: str
    phase: str
    since: str
    until: str
    first_s: int
    last_s: int
    lessons: int


@dataclass(frozen=True)
class Unit:
    """The chosen lessons; ``third`` is how many the first and the last third have, of ``learned``."""

    lessons: int
    first: str
    last: str
    weeks: tuple[UnitWeek, ...]
    learned: int
    third: int
    trends: tuple[Trend, ...]
    not_taught: tuple[Missing, ...]
    budgets: tuple[BudgetChange, ...]

    @property
    def mean_late_s(self) -> Fraction | None:
        """The mean lateness of the unit, exactly; None where no groups started."""
        lates = [late for week in self.weeks for late in week.lates]
        return Fraction(sum(lates), len(lates)) if lates else None


def unit_of(days: Sequence[Day], choice: LessonChoice) -> Unit | None:
    """The unit that is chosen; None without a lesson.

    Weeks show all chosen lessons, thirds only those to learn from. Chosen kinds narrow the phases, not the
    lateness.
    """
    shown = choice.days(days)
    if not shown:
        return None
    learned = choice.learning(days)
    third = len(learned) // 3
    return Unit(
        lessons=len(shown),
        first=shown[0].date,
        last=shown[-1].date,
        weeks=_weeks(shown),
        learned=len(learned),
        third=third,
        trends=_trends(learned, third, choice),
        not_taught=missing((day, phase) for day in shown for phase in planned_phases(day, choice)),
        budgets=tuple(_budget_changes(shown, choice)),
    )


def _weeks(shown: Sequence[Day]) -> tuple[UnitWeek, ...]:
    tables = {
        day.run: (sum(c.planned_s for c in day.cells), sum(c.kept_s for c in day.cells))
        for day in lost_minutes(shown).days
    }
    grouped: dict[str, list[Day]] = {}
    for day in shown:
        grouped.setdefault(monday_of(day.date), []).append(day)
    weeks = []
    for monday in sorted(grouped):
        own = grouped[monday]
        planned, kept = (sum(tables.get(day.run, (0, 0))[part] for day in own) for part in (0, 1))
        lates = tuple(day.group_late_s for day in own if day.group_late_s is not None)
        weeks.append(UnitWeek(monday, len(own), lates, _parts(own), planned, kept))
    return tuple(weeks)


def _parts(days: Iterable[Day]) -> tuple[tuple[str, int], ...]:
    """Causes of lateness added up, phases by kind; the late start first, then kinds as they are met."""
    sums: dict[str, int] = {}
    kinds: list[str] = []
    for day in days:
        if day.group_late_s is None:
            continue
        of = {phase.id: phase.kind for phase in day.mini}
        for cause, seconds in day.causes:
            name = of.get(cause, cause)
            kinds += [name] if name not in OTHER_CAUSES and name not in kinds else []
            sums[name] = sums.get(name, 0) + seconds
    order = [OTHER_CAUSES[0], *kinds, *OTHER_CAUSES[1:]]
    return tuple((name, sums[name]) for name in order if name in sums)


def _trends(learned: Sequence[Day], third: int, choice: LessonChoice) -> tuple[Trend, ...]:
    """First against last third of the lessons, for what both have."""
    if third == 0:
        return ()
    by_id = len(choice.titles) == 1
    first, last = (_ratios(part, choice, by_id) for part in (learned[:third], learned[-third:]))
    return tuple(
        Trend(name, took(first[name]), took(last[name]), (_billionths(first[name]), _billionths(last[name])))
        for name in first
        if name in last
    )


def _billionths(ratios: Iterable[tuple[Fraction, bool]]) -> tuple[int, ...]:
    return tuple(half_up(SHARE_UNITS * ratio) for ratio, _cut in ratios)


def _ratios(days: Iterable[Day], choice: LessonChoice, by_id: bool) -> dict[str, list[tuple[Fraction, bool]]]:
    """Actual over budget and whether it was cut off, of the phases that the class was in."""
    ratios: dict[str, list[tuple[Fraction, bool]]] = {}
    for day in days:
        for phase in choice.phases(day):
            if phase.reached and phase.ending != "skipped" and phase.planned_s > 0:
                ratio = Fraction(phase.actual_s, phase.planned_s), phase.cut_off
                ratios.setdefault(phase.id if by_id else phase.kind, []).append(ratio)
    return ratios


def took(ratios: Sequence[tuple[Fraction, bool]]) -> UnitTook:
    """The median of ratios, each with whether it was cut off and so is only a lower bound (censored).

    It is exact where it stays the same when the censored values become infinite, else it may be higher.
    """
    if not ratios:
        return UnitTook(0, 0, None, at_least=False)
    low = _median([ratio for ratio, _cut in ratios])
    longest = max((ratio for ratio, _cut in ratios), key=float) * 2 + 1
    high = _median([longest if cut else ratio for ratio, cut in ratios])
    return UnitTook(len(ratios), sum(cut for _ratio, cut in ratios), low, at_least=high > low)


def _median(ratios: list[Fraction]) -> Fraction:
    """The exact median; ordered as floats, which tell ratios of whole seconds apart and compare fast."""
    ordered = sorted(ratios, key=float)
    middle = len(ordered) // 2
    return ordered[middle] if len(ordered) % 2 else (ordered[middle - 1] + ordered[middle]) / 2


def _budget_changes(shown: Sequence[Day], choice: LessonChoice) -> Iterable[BudgetChange]:
    """Phases of a title whose budget differs between their first and their last lesson in the unit."""
    by_phase: dict[tuple[str, str], list[tuple[Day, DayPhase]]] = {}
    for day in shown:
        for phase in choice.phases(day):
            by_phase.setdefault((day.title, phase.id), []).append((day, phase))
    for (title, _id), met in by_phase.items():
        (first_day, first), (last_day, last) = met[0], met[-1]
        if first.planned_s != last.planned_s:
            yield BudgetChange(
                title, last.title, first_day.date, last_day.date, first.planned_s, last.planned_s, len(met)
            )
