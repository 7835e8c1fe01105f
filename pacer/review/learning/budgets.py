"""Budgets learned from past lessons: what a phase takes, put as proposals that nobody has to follow.

A proposal is enough on 67 to 71 of 100 days, from eight lessons on, for phases of 3 to 20 minutes whose days
are normal in logarithms, gamma, heavy-tailed or of two modes, whether they take .65 or 1.5 times what is
written, with one ending in seven cut off or none: in each single case on 63 to 76. Not so, simulated too:
a phase of one minute, of which 15 s are a quarter, 56 to 83; durations in whole minutes, of which none is
enough on just 7 of 10 days, 67 to 100; a phase that takes .3 % longer from lesson to lesson 64, .5 % 60,
1 % 51 to 57, one that takes 1 % less 78 to 85 (`tests/review/learning/test_budgets_shapes.py`).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from statistics import median
from typing import Literal

from pacer.pace.forecasts.modes import two_modes
from pacer.pace.forecasts.past import (
    CurveKind,
    Like,
    PastEnding,
    Scope,
    by_lesson,
    latest,
    mini_lesson,
    usable,
)
from pacer.pace.forecasts.survival import PRIOR_LESSONS, Curve, Prior, Quantile, fit
from pacer.plan.outline import Outline, Phase

SHARE = 0.70  # of days that a proposed budget is enough for; a choice of ours
STEP_S = 15
LATEST_LESSONS = 15
LEAST_LESSONS = 5
ODD_DAY_S = 30  # the day that stands farthest from the usual moves a proposal by no more,
ONE_DAY_OF = 10  # where there are as many lessons
_LEAST_LEVEL, _MOST_LEVEL = 0.01, 0.99
_HALVINGS = 30
_HARDLY_S = 1e-6  # what floating point may add to a whole number of seconds
ANY = Like()  # nothing is known of the outline: all lessons speak for its phases
_By = Literal["phase", "kind"]
BudgetKey = tuple[_By, Scope, str, str]  # a phase or a kind by its name, of an outline, a subject or all


@dataclass(frozen=True)
class Proposal:
    """What the past says of one phase; times in seconds.

    ``phase`` is empty where only its kind has a past. ``proposed_s`` is the budget that *time it takes* keeps
    on 7 of 10 days, to the nearest 15 s, None below 5 lessons; ``given_s`` the median of *time I give it*;
    each may be only a lower bound (``at_least``, ``given_at_least``). Of ``endings`` in ``lessons``,
    ``cut_off`` say only "at least so long" about the time it takes. ``scope`` tells which lessons were
    counted.
    """

    phase: str
    kind: str
    title: str
    written_s: int
    proposed_s: int | None
    at_least: bool
    given_s: int | None
    given_at_least: bool
    lessons: int
    endings: int
    cut_off: int
    by_kind: bool
    scope: Scope = "all"


@dataclass(frozen=True)
class WholePlan:
    """A plan against its own past; times in seconds.

    ``needs_s`` adds up the proposals, with written budgets for the phases in ``unknown``. ``level`` is the
    share of days on which each phase keeps its part when all fill the mini lesson equally surely: None
    where a phase is unknown, or where they do not fit on any day; it may be lower where ``level_at_most``.
    """

    proposals: tuple[Proposal, ...]
    mini_lesson_s: int
    needs_s: int
    at_least: bool
    unknown: tuple[str, ...]
    level: float | None
    level_at_most: bool

    @property
    def fits(self) -> bool:
        """Whether the mini lesson holds them all."""
        return self.needs_s <= self.mini_lesson_s


@dataclass(frozen=True)
class _Past:
    """The endings that speak for one phase, by its id or by its kind."""

    endings: tuple[PastEnding, ...]
    by_kind: bool
    scope: Scope = "all"

    @property
    def lessons(self) -> int:
        return len({past.run for past in self.endings})

    def curve(self, which: CurveKind, budget_s: float) -> Curve:
        """The survival curve in seconds of today's budget; durations under other budgets are scaled to it."""
        times = [
            past.actual_s if past.planned_s == budget_s else past.actual_s / past.planned_s * budget_s
            for past in self.endings
        ]
        complete = [past.is_complete(which) for past in self.endings]
        return fit(times, complete, _prior(times, complete, budget_s))

    def without_farthest(self) -> "_Past | None":
        """The same without the lesson that stands farthest from the usual; None below ten lessons.

        The usual is the middle, or the nearer of two plain modes, in logarithms of actual over planned.
        """
        if self.lessons < ONE_DAY_OF:
            return None
        ratios = [past.actual_s / past.planned_s for past in self.endings]
        modes = two_modes(fit(ratios, [past.is_complete("takes") for past in self.endings]))
        usual = [math.log(median(ratios))] if modes is None else modes.logs
        far: dict[int, float] = {}
        for past, ratio in zip(self.endings, ratios, strict=True):
            off = min(abs(math.log(ratio) - log) for log in usual)
            far[past.run] = max(far.get(past.run, 0.0), off)
        farthest = max(far, key=lambda run: far[run])
        return replace(self, endings=tuple(past for past in self.endings if past.run != farthest))


def _prior(times_s: Sequence[float], complete: Sequence[bool], budget_s: float) -> Prior:
    """What is expected before the past is counted day by day.

    Its median is the written budget, which weighs as one lesson against the median of the past: left at the
    budget itself, a proposal would be enough on 6 or 9 days of ten, not 7, where budgets are a third too
    short or too long. Where the past has two plain modes, it is both of them, as many lessons for each
    (`tests/review/learning/test_budgets_coverage.py`).
    """
    count = len(times_s)
    if not count:
        return Prior(PRIOR_LESSONS, budget_s)
    seen = fit(times_s, complete)
    modes = two_modes(seen)
    if modes is not None:
        return Prior(2 * PRIOR_LESSONS, modes.short_s, modes.sigma, modes.long_s, modes.long_share)
    expected_s = budget_s * (seen.quantile(0.5).seconds / budget_s) ** (count / (count + 1))
    return Prior(PRIOR_LESSONS, float(expected_s))


def proposals(endings: Sequence[PastEnding]) -> list[Proposal]:
    """A proposal for each phase that has a past of its own, and for each kind of the other phases.

    ``endings`` stand in order of time, a lesson's together. Phases of the latest 15 lessons are looked at,
    beside the budgets they had last.
    """
    sound = usable(mini_lesson(endings))
    last = {past.phase: past for past in latest(sound, LATEST_LESSONS)}
    proposed: list[Proposal] = []
    kinds: dict[str, PastEnding] = {}
    groups = _Groups(sound)
    for past in last.values():
        of_phase = groups.past("phase", "all", "", past.phase)
        if of_phase.lessons >= LEAST_LESSONS:
            proposed.append(_proposal(of_phase, past.phase, past.kind, past.phase, round(past.planned_s)))
        else:
            kinds[past.kind] = past
    for kind, past in kinds.items():
        proposed.append(
            _proposal(groups.past("kind", "all", "", kind), "", kind, kind, round(past.planned_s))
        )
    return proposed


class SortedPast:
    """A history sorted once, to be asked about many plans; what was worked out for a budget is kept.

    Like with like: lessons of the same outline speak for a phase, or else of the same subject, or else all,
    the first of them with five. In the same order those with its kind do, where the phase itself has none.
    """

    def __init__(self, endings: Sequence[PastEnding]) -> None:
        self._groups = _Groups(usable(mini_lesson(endings)))
        self._known: dict[tuple[BudgetKey, str, int], tuple[Proposal, Curve | None]] = {}

    def endings_for(self, phase: Phase, like: Like = ANY) -> tuple[PastEnding, ...]:
        """The endings that speak for a phase of a lesson."""
        return self._groups.past(*self._key(phase, like)).endings

    def _key(self, phase: Phase, like: Like) -> BudgetKey:
        names: tuple[tuple[_By, str], ...] = (("phase", phase.id), ("kind", phase.kind))
        for by, name in names:
            for scope, of in like.scopes():
                if self._groups.lessons(by, scope, of, name) >= LEAST_LESSONS:
                    return by, scope, of, name
        return "kind", "all", "", phase.kind

    def proposal(self, phase: Phase, like: Like = ANY) -> tuple[Proposal, Curve | None]:
        """What the past says of a phase and its budget, and the curve of the time it takes, if any."""
        # By what speaks for it and not by the outline's title, which may be typed just now.
        key = self._key(phase, like)
        place = key, phase.id, phase.budget_s
        if place not in self._known:
            past = self._groups.past(*key)
            known = _proposal(past, phase.id, phase.kind, phase.title, phase.budget_s)
            curve = None if known.proposed_s is None else past.curve("takes", phase.budget_s)
            self._known[place] = known, curve
        known, curve = self._known[place]
        if (known.title, known.kind) == (phase.title, phase.kind):
            return known, curve
        return replace(known, title=phase.title, kind=phase.kind), curve


def whole_plan(endings: Sequence[PastEnding], outline: Outline) -> WholePlan:
    """A proposal for each phase of an outline's mini lesson, and what they come to together."""
    return plan_of(SortedPast(endings), outline)


def plan_of(past: SortedPast, outline: Outline) -> WholePlan:
    """The same from a history that was sorted before."""
    like = like_of(outline)
    answers = [past.proposal(phase, like) for phase in outline.phases[: outline.mini_count]]
    plan = unlevelled_plan([proposal for proposal, _curve in answers], outline.mini_lesson_s)
    curves = [curve for _proposal, curve in answers if curve is not None]
    level = None if plan.unknown or not curves else shared_level(curves, outline.mini_lesson_s)
    if level is None:
        return plan
    return replace(plan, level=level, level_at_most=any(curve.quantile(level).at_least for curve in curves))


def unlevelled_plan(proposals: Sequence[Proposal], mini_lesson_s: int) -> WholePlan:
    """What proposals come to together, with their common level not worked out yet."""
    return WholePlan(
        proposals=tuple(proposals),
        mini_lesson_s=mini_lesson_s,
        needs_s=sum(each.written_s if each.proposed_s is None else each.proposed_s for each in proposals),
        at_least=any(proposal.at_least for proposal in proposals),
        unknown=tuple(proposal.phase for proposal in proposals if proposal.proposed_s is None),
        level=None,
        level_at_most=False,
    )


def like_of(outline: Outline) -> Like:
    """What the lessons of an outline are."""
    return Like(outline.title, outline.subject)


class _Groups:
    """The endings by phase and by kind, each of an outline, of a subject and of all lessons.

    Of each group the latest 15 lessons are looked at, and only once something asks for it.
    """

    def __init__(self, sound: Sequence[PastEnding]) -> None:
        self._every: dict[BudgetKey, list[PastEnding]] = {}
        self._latest: dict[BudgetKey, _Past] = {}
        for past in sound:
            names: tuple[tuple[_By, str], ...] = (("phase", past.phase), ("kind", past.kind))
            for by, name in names:
                for scope, of in Like(past.outline, past.subject).scopes():
                    self._every.setdefault((by, scope, of, name), []).append(past)

    def lessons(self, by: _By, scope: Scope, of: str, name: str) -> int:
        """In how many of the latest 15 lessons of the group it occurs."""
        return self.past(by, scope, of, name).lessons if (by, scope, of, name) in self._every else 0

    def past(self, by: _By, scope: Scope, of: str, name: str) -> _Past:
        """What speaks in a group; nothing where there is none."""
        key = by, scope, of, name
        if key not in self._every:
            return _Past((), by == "kind", scope)
        if key not in self._latest:
            endings = tuple(latest(self._every[key], LATEST_LESSONS))
            self._latest[key] = _Past(endings, by == "kind", scope)
        return self._latest[key]


def _proposal(past: _Past, phase: str, kind: str, title: str, written_s: int) -> Proposal:
    proposed_s, at_least, gives = None, False, None
    if past.lessons >= LEAST_LESSONS:
        proposed_s, at_least = _proposed(past, written_s)
        gives = past.curve("gives", written_s).quantile(0.5)
    return Proposal(
        phase=phase,
        kind=kind,
        title=title,
        written_s=written_s,
        proposed_s=proposed_s,
        at_least=at_least,
        given_s=None if gives is None else round(gives.seconds),
        given_at_least=gives is not None and gives.at_least,
        lessons=past.lessons,
        endings=len(past.endings),
        cut_off=sum(not ending.is_complete("takes") for ending in past.endings),
        by_kind=past.by_kind,
        scope=past.scope,
    )


def _proposed(past: _Past, written_s: int) -> tuple[int, bool]:
    """The budget in seconds, and whether it is a lower bound; held near to what the other days propose.

    The day that stands farthest from the usual so moves what they propose by 30 s at most, from the tenth
    lesson on, however far it stands and however far the others lie apart
    (`tests/review/learning/test_budgets_coverage.py`).

    What is shown before a day and after it may lie farther apart, from the eleventh lesson on: before,
    another day was held. One odd day more moves a proposal for seven minutes by over 30 s in 2 cases of 100
    where days differ by .15, in 17 where by .4 or where they have two modes, one for twenty minutes in 15 to
    40; in 95 of 100 by a quarter of the budget at most. Where about as many days lie in each of two modes
    far apart, one more may move it from one to the other (`tests/review/learning/test_budgets_shapes.py`).
    """
    all_days = past.curve("takes", written_s).quantile(SHARE)
    others = past.without_farthest()
    if others is None:
        return _in_steps(all_days), all_days.at_least
    others_quantile = others.curve("takes", written_s).quantile(SHARE)
    others_s = _in_steps(others_quantile)
    held_s = min(max(_in_steps(all_days), others_s - ODD_DAY_S), others_s + ODD_DAY_S)
    return held_s, all_days.at_least or others_quantile.at_least


def _in_steps(quantile: Quantile) -> int:
    """The nearest budget in steps of 15 s, the longer of two as near.

    Rounded up, a phase of 3 minutes had 7 s too much on most days: enough on 76 to 78 of 100.
    """
    return STEP_S * max(1, int((quantile.seconds + _HARDLY_S) / STEP_S + 0.5))


def shared_level(curves: Sequence[Curve], mini_lesson_s: float) -> float | None:
    """The highest common level at which all phases together fit the mini lesson; None if none does.

    A phase keeps its part on as many days, within 5 of 100
    (`tests/review/learning/test_budgets_coverage.py`).
    """

    def needs(level: float) -> float:
        return sum(curve.quantile(level).seconds for curve in curves)

    low, high = _LEAST_LEVEL, _MOST_LEVEL
    if needs(low) > mini_lesson_s:
        return None
    if needs(high) <= mini_lesson_s:
        return high
    for _halving in range(_HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if needs(middle) <= mini_lesson_s else (low, middle)
    return low


def lessons_in(endings: Sequence[PastEnding]) -> int:
    """How many lessons a history holds that have a mini lesson."""
    return len(by_lesson(mini_lesson(endings)))
