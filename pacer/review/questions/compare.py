"""Two comparisons: rehearsed against live lessons, and lessons with warnings against baseline ones."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from functools import cached_property
from statistics import median

from pacer.review.choice import LIVE, LessonChoice
from pacer.review.days import Day
from pacer.review.statistics.exact_test import rank_sum_p
from pacer.run.events import Mode

PAIR_DAYS = 14  # a rehearsal tells of a lesson at most so many days later
LEAST_PAIRS = 3
NEAR_DAYS = 28  # four weeks before and after a baseline lesson
LEAST_EACH = 5
CALLED_BELOW = Fraction(1, 250)  # looked at after every lesson, a twentieth calls a term in five by chance


@dataclass(frozen=True)
class RehearsedPhase:
    """A phase of a rehearsal and the same one live; seconds. ``cut_off``: live it needed at least that."""

    id: str
    title: str
    kind: str
    rehearsed_s: int
    live_s: int
    cut_off: bool


@dataclass(frozen=True)
class Pair:
    """A rehearsal and the next live lesson of its title, with the phases that the class was in both times."""

    title: str
    rehearsed: str
    live: str
    phases: tuple[RehearsedPhase, ...]

    def ratio(self, kind: str = "") -> Fraction | None:
        """Live over rehearsed time of the phases of a kind (of all) that nothing cut off; None without."""
        own = [phase for phase in self.phases if not phase.cut_off and kind in ("", phase.kind)]
        rehearsed = sum(phase.rehearsed_s for phase in own)
        return Fraction(sum(phase.live_s for phase in own), rehearsed) if rehearsed else None


@dataclass(frozen=True)
class RehearsalRatio:
    """The median of live over rehearsed of one kind (empty: of all together), and of how many pairs.

    ``least`` and ``most`` are the ratios of single pairs. What is usual lies between them in 75 of 100 cases
    of three pairs and in 94 of five (1 - 2^(1 - n) of n); the next lesson on (n - 1) of n + 1 days, whatever
    the ratios are like (`tests/review/questions/test_compare_known.py`).
    """

    kind: str
    median: Fraction | None
    pairs: int
    least: Fraction | None = None
    most: Fraction | None = None

    @property
    def enough(self) -> bool:
        """Whether there are pairs enough to say it."""
        return self.pairs >= LEAST_PAIRS


@dataclass(frozen=True)
class Rehearsals:
    """All pairs in order of the live lessons; ``alone`` rehearsals had no live lesson in time."""

    pairs: tuple[Pair, ...]
    alone: int
    ratios: tuple[RehearsalRatio, ...]

    @property
    def all_together(self) -> RehearsalRatio:
        """The ratio of whole mini lessons, as far as both were reached."""
        return _ratio(self.pairs, "")


def rehearsals(days: Sequence[Day], choice: LessonChoice) -> Rehearsals:
    """Rehearsals and the lessons they were for; whatever modes are chosen, for they are what is compared.

    A live lesson belongs to the last rehearsal before it since the live lesson before, a rehearsal to the
    first live lesson within 14 days. Where nothing is to be learned from one of both, the pair is left out.
    """
    modes: tuple[Mode, ...] = ("rehearsal", *taught_modes(choice))
    every = replace(choice, modes=modes, flagged=True, repaired=True).days(days)
    learned = {day.run for day in replace(choice, modes=modes).learning(days)}
    waiting: dict[str, Day] = {}
    pairs, alone = [], 0
    for day in every:
        if day.mode == "rehearsal":
            alone += day.title in waiting
            waiting[day.title] = day
        elif (rehearsed := waiting.pop(day.title, None)) is not None:
            if days_between(rehearsed.date, day.date) > PAIR_DAYS:
                alone += 1
            elif {rehearsed.run, day.run} <= learned:
                pairs.append(_pair(rehearsed, day, choice))
    kinds = dict.fromkeys(phase.kind for pair in pairs for phase in pair.phases)
    ratios = tuple(_ratio(pairs, kind) for kind in kinds)
    return Rehearsals(tuple(pairs), alone + len(waiting), ratios)


def taught_modes(choice: LessonChoice) -> tuple[Mode, ...]:
    """The chosen modes of lessons with a class and warnings; live ones where none is chosen."""
    return tuple(mode for mode in choice.modes if mode not in ("rehearsal", "baseline")) or LIVE


def days_between(earlier: str, later: str) -> int:
    """Days from one ISO date to another, below 0 where it lies before."""
    return (date.fromisoformat(later) - date.fromisoformat(earlier)).days


def _pair(rehearsed: Day, live: Day, choice: LessonChoice) -> Pair:
    before = {phase.id: phase for phase in rehearsed.mini if phase.reached and not phase.cut_off}
    phases = []
    for phase in choice.phases(live):
        own = before.get(phase.id)
        if own is not None and own.actual_s > 0 and phase.reached:
            phases.append(
                RehearsedPhase(phase.id, phase.title, phase.kind, own.actual_s, phase.actual_s, phase.cut_off)
            )
    return Pair(live.title, rehearsed.date, live.date, tuple(phases))


def _ratio(pairs: Iterable[Pair], kind: str) -> RehearsalRatio:
    ratios = [ratio for pair in pairs if (ratio := pair.ratio(kind)) is not None]
    if not ratios:
        return RehearsalRatio(kind, None, 0)
    return RehearsalRatio(kind, median(ratios), len(ratios), min(ratios), max(ratios))


@dataclass(frozen=True)
class Warned:
    """One lesson of the comparison; ``late_s`` is how many seconds late its groups started."""

    run: int
    date: str
    title: str
    late_s: int


@dataclass(frozen=True)
class Warnings:
    """Lessons with warnings and baseline lessons that are like each other, in order of time.

    ``unlike`` baseline lessons have no lesson with warnings of their subject and day shape within four weeks,
    and in ``never`` of those alike groups never started; both are left out.
    """

    warned: tuple[Warned, ...]
    baseline: tuple[Warned, ...]
    unlike: int
    never: int

    @property
    def enough(self) -> bool:
        """Whether each kind has lessons enough to tell them apart."""
        return min(len(self.warned), len(self.baseline)) >= LEAST_EACH

    @cached_property
    def p(self) -> Fraction | float | None:
        """The two-sided probability of a difference as large without a cause; None where a kind is empty."""
        if not self.warned or not self.baseline:
            return None
        return rank_sum_p(
            [lesson.late_s for lesson in self.warned], [lesson.late_s for lesson in self.baseline]
        )

    @property
    def is_called(self) -> bool:
        """Whether a difference may be spoken of.

        Looked at after every lesson of a term of 60, one is called where there is none in at most 5 terms of
        100, whatever share of them is a baseline. Where days differ by a minute, one of a minute is called
        in about a third of terms if one lesson in seven is a baseline, in 7 of 10 if three in ten are, and
        one of two minutes in 9 of 10 or more (`tests/review/questions/test_compare_calls.py`). That is so
        for baseline lessons among the others: in a row of them at the start, what changes by itself counts.
        """
        p = self.p
        return self.enough and p is not None and p < CALLED_BELOW


def median_late_s(lessons: Sequence[Warned]) -> Fraction | None:
    """The median lateness, exactly; None without a lesson."""
    return median(Fraction(lesson.late_s) for lesson in lessons) if lessons else None


def warnings(days: Sequence[Day], choice: LessonChoice) -> Warnings:
    """Baseline lessons and the lessons with warnings around them; whatever modes are chosen.

    Like each other are lessons of one subject and day shape at most 28 days apart.
    """
    modes: tuple[Mode, ...] = ("baseline", *taught_modes(choice))
    learned = replace(choice, modes=modes, kinds=()).learning(days)
    grouped: dict[tuple[str, str], tuple[list[Day], list[Day]]] = {}
    for day in learned:
        grouped.setdefault((day.subject, day.shape), ([], []))[day.warned].append(day)
    like: set[int] = set()
    for silent, warned in grouped.values():
        for day in silent:
            near = [lesson.run for lesson in warned if abs(days_between(lesson.date, day.date)) <= NEAR_DAYS]
            like.update([day.run, *near] if near else [])
    kept = [day for day in learned if day.run in like]
    by_warned = {
        warned: tuple(
            Warned(day.run, day.date, day.title, day.group_late_s or 0)
            for day in kept
            if day.warned is warned and day.group_late_s is not None
        )
        for warned in (True, False)
    }
    unlike = sum(not day.warned and day.run not in like for day in learned)
    never = sum(day.group_late_s is None for day in kept)
    return Warnings(by_warned[True], by_warned[False], unlike, never)
