"""Budgets learned from past lessons: proposals with counts, silent where the past is too short."""

import math
import random
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from lifelines import KaplanMeierFitter
from scipy import optimize, stats

from pacer.pace.forecasts import modes, survival
from pacer.pace.forecasts.past import Like, PastEnding
from pacer.plan.outline import Phase
from pacer.review.learning import budgets
from pacer.review.learning.budgets import SortedPast, proposals, whole_plan
from pacer.run.events import Ending

PRACTICE = [7, 8, 8, 9, -9, 10, -10, 12]  # minutes; negative: cut off there


def past(run: int, seconds: float, ending: Ending = "done", phase: str = "practice",
         kind: str = "guided-practice", planned: float = 480) -> PastEnding:  # fmt: skip
    return PastEnding(run, f"2026-03-{run % 28 + 1:02d}", phase, kind, planned, seconds, ending)


def lessons_of(seconds: list[float], **rest) -> list[PastEnding]:
    return [past(run, one, **rest) for run, one in enumerate(seconds)]


def of_lessons(outline: str, subject: str, seconds: list[float], first: int = 0) -> list[PastEnding]:
    return [
        replace(past(first + at, one, phase="review", kind="review"), outline=outline, subject=subject)
        for at, one in enumerate(seconds)
    ]


REVIEW = Phase(id="review", title="Review", kind="review", budget_s=180, floor_s=60, cut_tier=1)
SHORT, LONG, OTHER = [120.0] * 5, [300.0] * 5, [600.0] * 5


@pytest.mark.parametrize(
    ("like", "scope", "lessons", "longest"),
    [
        (Like("Thirds", "mathematics"), "outline", 5, 120),
        (Like("Halves", "mathematics"), "subject", 10, 300),
        (Like("Shadows", "writing"), "all", 15, 600),
        (Like(), "all", 15, 600),
    ],
)
def test_like_with_like_the_same_outline_counts_or_else_the_subject_or_else_all(
    like, scope, lessons, longest
):
    """By hand: five short reviews of an outline, five long ones of its subject's other, five elsewhere."""
    history = SortedPast([
        *of_lessons("Thirds", "mathematics", SHORT),
        *of_lessons("Fourths", "mathematics", LONG, 5),
        *of_lessons("Story", "reading", OTHER, 10),
    ])  # fmt: skip
    made, _curve = history.proposal(REVIEW, like)
    assert (made.scope, made.lessons) == (scope, lessons)
    assert max(one.actual_s for one in history.endings_for(REVIEW, like)) == longest


def test_four_lessons_of_an_outline_are_too_few_to_stand_alone():
    history = SortedPast([
        *of_lessons("Thirds", "mathematics", SHORT[:4]), *of_lessons("Fourths", "mathematics", LONG, 5),
    ])  # fmt: skip
    made, _curve = history.proposal(REVIEW, Like("Thirds", "mathematics"))
    assert (made.scope, made.lessons) == ("subject", 9)


def lognormal_survival(t: float, median: float) -> float:
    """The prior from scipy: spread 0.25, median the written budget."""
    return float(stats.lognorm(s=0.25, scale=median).sf(t))


def test_without_a_prior_the_worked_practice_has_its_seventieth_percentile_at_twelve_minutes(monkeypatch):
    """Worked value of ours: S(10) = 1/3 is still above 0.3, S(12) = 0: so 12 minutes; lifelines agrees."""
    monkeypatch.setattr(budgets, "PRIOR_LESSONS", 0.0)
    rows = [past(i, abs(m) * 60, "done" if m > 0 else "moved on") for i, m in enumerate(PRACTICE)]
    outside = KaplanMeierFitter().fit(np.abs(PRACTICE) * 60, np.array(PRACTICE) > 0)
    (found,) = proposals(rows)
    below = outside.survival_function_["KM_estimate"]
    assert below[below <= 0.3].index[0] == 720
    assert (found.proposed_s, found.at_least, found.lessons, found.cut_off) == (720, False, 8, 2)


def test_where_the_longest_was_cut_off_the_worked_practice_says_at_least(monkeypatch):
    """Worked value of ours: with 12+ the curve stays at 1/3 and never comes down to 0.3."""
    monkeypatch.setattr(budgets, "PRIOR_LESSONS", 0.0)
    rows = [
        past(i, abs(m) * 60, "done" if m > 0 else "moved on") for i, m in enumerate([*PRACTICE[:-1], -12])
    ]
    (found,) = proposals(rows)
    assert (found.proposed_s, found.at_least, found.cut_off) == (720, True, 3)
    # What she gives it is known, moving on is complete there. By hand: S(9) = 3/8, so the median is 9.
    assert (found.given_s, found.given_at_least) == (540, False)


def as_it_stands(patch: pytest.MonkeyPatch) -> None:
    """The percentile with one mode, and no day held."""
    patch.setattr(budgets, "ONE_DAY_OF", math.inf)
    patch.setattr(modes, "APART", math.inf)


def expected_s(rows: Sequence[tuple[float, bool]], planned: float) -> float:
    """The prior's median: the product-limit median in exact fractions, n lessons of it against one of the
    budget (a geometric mean)."""
    alive, seen = Fraction(1), max(t for t, _done in rows)
    for t in sorted({t for t, done in rows if done}):
        ended, at_risk = sum(s == t and done for s, done in rows), sum(s >= t for s, _done in rows)
        alive *= 1 - Fraction(ended, at_risk)
        if alive <= Fraction(1, 2):
            seen = t
            break
    return float((seen ** len(rows) * planned) ** (1 / (len(rows) + 1)))


@given(st.lists(st.integers(200, 900), min_size=5, max_size=15), st.integers(2, 20))
def test_with_all_done_the_proposal_is_the_percentile_of_the_mixture_with_the_prior(seconds, quarter_minutes):
    """Source: Ferguson 1973, the posterior mean of a Dirichlet process without censoring is the mixture
    (3 F0 + n Fn) / (3 + n); solved here with scipy's root finder and lognormal."""
    planned = quarter_minutes * 60
    middle = expected_s([(s, True) for s in seconds], planned)

    def share_within(t: float) -> float:
        return (3 * (1 - lognormal_survival(t, middle)) + sum(s <= t for s in seconds)) / (3 + len(seconds))

    with pytest.MonkeyPatch.context() as patch:
        as_it_stands(patch)
        (found,) = proposals(lessons_of(seconds, planned=planned))
    assert found.proposed_s is not None
    assert found.proposed_s % 15 == 0
    assert share_within(found.proposed_s + 7.5 + 1e-6) >= 0.7 - 1e-9
    assert found.proposed_s == 15 or share_within(found.proposed_s - 7.5 - 1e-6) < 0.7
    assert not found.at_least


def test_with_cut_offs_and_prior_the_proposal_is_that_of_an_independent_posterior(monkeypatch):
    """Source: the formula of Susarla & Van Ryzin 1976, written out anew with scipy."""
    as_it_stands(monkeypatch)
    chance = random.Random(11)
    for _case in range(60):
        n = chance.randrange(5, 15)
        rows = [
            (round(480 * math.exp(chance.gauss(0.05, 0.25))), chance.random() < 0.7) for _lesson in range(n)
        ]
        known_to = max(t for t, _done in rows)
        if any(t == known_to and not done for t, done in rows):
            continue
        middle = expected_s(rows, 480)

        def survives(t: float, rows=rows, n=n, middle=middle) -> float:
            value = (3 * lognormal_survival(t, middle) + sum(s > t for s, _done in rows)) / (3 + n)
            for cut_at in {s for s, done in rows if not done and s <= t}:
                behind = 3 * lognormal_survival(cut_at, middle) + sum(s > cut_at for s, _done in rows)
                here = sum(s == cut_at and not done for s, done in rows)
                value *= (behind + here) / behind
            return value

        (found,) = proposals([past(i, t, "done" if done else "bell") for i, (t, done) in enumerate(rows)])
        assert found.proposed_s is not None
        assert survives(found.proposed_s + 7.5 + 1e-6) <= 0.3 + 1e-9
        assert survives(found.proposed_s - 7.5 - 1e-6) > 0.3


@pytest.mark.parametrize("lessons", range(5))
def test_below_five_lessons_there_is_silence(lessons, invented):
    rows = lessons_of([480.0] * lessons)
    assert all(one.proposed_s is None and one.given_s is None for one in proposals(rows))
    plan = whole_plan(rows, invented)
    assert plan.level is None
    assert plan.needs_s == invented.mini_lesson_s
    assert len(plan.unknown) == 6


def test_what_cannot_be_believed_or_was_skipped_is_no_lesson():
    bad = [0, -60, 36_000, math.nan, math.inf]
    rows = [
        *lessons_of([480.0] * 4),
        *[past(10 + i, one) for i, one in enumerate(bad)],
        past(20, 0, "skipped"),
    ]
    (found,) = proposals(rows)
    assert (found.lessons, found.proposed_s) == (4, None)


def test_five_endings_in_two_lessons_are_two_lessons():
    rows = [past(run, 480, phase=f"part-{i}") for run in range(2) for i in range(3)]
    (found,) = proposals(rows)
    assert (found.lessons, found.endings, found.proposed_s, found.by_kind) == (2, 6, None, True)


def test_a_phase_goes_by_its_own_past_and_below_five_lessons_by_that_of_its_kind(invented):
    own = [past(run, 600) for run in range(5)]
    kind = [past(run, 300, phase=f"other-{run}", kind="warm-up", planned=120) for run in range(5)]
    plan = whole_plan(own + kind, invented)
    by_id = {one.phase: one for one in plan.proposals}
    assert (by_id["practice"].by_kind, by_id["practice"].lessons) == (False, 5)
    assert (by_id["skip"].by_kind, by_id["skip"].lessons) == (True, 5)
    assert [one.phase for one in proposals(own + kind)] == ["practice", ""]


def test_a_phase_that_was_planned_longer_is_scaled_to_todays_budget(invented):
    """Half as long again as planned, under three budgets: 12:00 for today's 8:00; worked value of ours."""
    rows = [
        past(run, 1.5 * planned, planned=planned) for run, planned in enumerate([240, 240, 360, 360, 600] * 3)
    ]
    found = whole_plan(rows, invented).proposals[4]
    assert found.proposed_s == 720


def test_only_the_latest_fifteen_lessons_count():
    rows = lessons_of([900.0] * 30 + [480.0] * 15)
    (found,) = proposals(rows)
    assert (found.lessons, found.endings) == (15, 15)
    assert found == proposals(rows[-15:])[0]


def test_all_cut_off_is_a_lower_bound_not_a_number():
    (found,) = proposals(lessons_of([300.0] * 8, ending="moved on"))
    assert (found.proposed_s, found.at_least, found.cut_off) == (300, True, 8)
    assert (found.given_s, found.given_at_least) == (300, False)
    (found,) = proposals(lessons_of([300.0] * 8, ending="bell"))
    assert (found.at_least, found.given_at_least) == (True, True)


def test_durations_that_are_all_the_same_propose_just_that_to_the_nearest_fourth_of_a_minute():
    for seconds, proposed in ((480, 480), (487, 480), (488, 495), (495, 495), (5, 15)):
        assert proposals(lessons_of([seconds] * 15))[0].proposed_s == proposed


@given(
    st.lists(st.integers(380, 610), min_size=9, max_size=9),
    st.one_of(st.integers(1, 90), st.integers(2500, 14_399)),
    st.sampled_from(["done", "moved on", "interrupted"]),
    st.integers(0, 9),
)
def test_one_odd_day_in_ten_moves_a_proposal_by_at_most_thirty_seconds(ordinary, odd, ending, at):
    """Nine ordinary days of a phase of 8:00, and one that took a fifth of that or five times as much."""
    rows = lessons_of(ordinary)
    usual = proposals(rows)[0].proposed_s
    moved = proposals([*rows[:at], past(99, odd, ending), *rows[at:]])[0].proposed_s
    assert usual is not None
    assert moved is not None
    assert abs(moved - usual) <= 30


def test_an_odd_day_among_days_that_lie_apart_would_move_a_proposal_by_more_if_it_were_not_held(monkeypatch):
    """Seven days of 7:40 or so and two of 15:00: an odd tenth takes the plain percentile into the gap."""
    rows = lessons_of([455, 458, 460, 460, 462, 464, 465, 900, 900])
    ten = [*rows, past(99, 3600)]
    usual, held = proposals(rows)[0].proposed_s, proposals(ten)[0].proposed_s
    monkeypatch.setattr(budgets, "ONE_DAY_OF", math.inf)
    plain = proposals(ten)[0].proposed_s
    assert usual is not None
    assert plain is not None
    assert held is not None
    assert plain > usual + 30
    assert held == usual + 30


def test_days_that_only_vary_give_the_plain_percentile():
    chance = random.Random(2)
    days = [round(480 * math.exp(chance.gauss(0, 0.15))) for _day in range(10)]
    prior = survival.Prior(3.0, expected_s([(day, True) for day in days], 480))
    plain = survival.fit(days, [True] * 10, prior).quantile(0.7).seconds
    assert proposals(lessons_of(days))[0].proposed_s == 15 * math.floor(plain / 15 + 0.5)


def test_of_two_plain_modes_the_percentile_lies_in_one_and_not_between():
    """Worked by hand: half of the days stick, so 7 of 10 are the shorter ones and two in five of the others:
    a little below 12:00, the middle of these. With one mode the proposal was 11:15."""
    days = [395, 400, 405, 410, 700, 710, 720, 730]
    (found,) = proposals(lessons_of(days))
    assert found.proposed_s is not None
    assert 690 <= found.proposed_s <= 720


def full_history(chance: random.Random, invented, lessons: int = 12, cut: float = 0.2) -> list[PastEnding]:
    return [
        past(run, round(phase.budget_s * math.exp(chance.gauss(0.1, 0.2))),
             "bell" if chance.random() < cut else "done", phase.id, phase.kind, phase.budget_s)
        for run in range(lessons) for phase in invented.phases
    ]  # fmt: skip


def test_the_plan_adds_its_proposals_up_and_says_whether_they_fit(invented):
    rows = [past(run, 1.24 * phase.budget_s, "done", phase.id, phase.kind, phase.budget_s)
            for run in range(15) for phase in invented.phases]  # fmt: skip
    plan = whole_plan(rows, invented)
    # 1.24 x 2, 3, 7, 3, 8, 2 minutes, each to the nearest 15 s; arithmetic of ours.
    assert [one.proposed_s for one in plan.proposals] == [150, 225, 525, 225, 600, 150]
    assert (plan.needs_s, plan.mini_lesson_s, plan.fits, plan.at_least) == (1875, 1500, False, False)


def test_the_common_level_makes_the_percentiles_fill_the_mini_lesson(invented, monkeypatch):
    """Source: scipy's root finder on the sum of the curves' own percentiles, for curves without steps."""
    as_it_stands(monkeypatch)
    chance = random.Random(3)
    rows = full_history(chance, invented, cut=0.0)
    plan = whole_plan(rows, invented)
    assert plan.level is not None
    curves = [
        survival.fit(
            [r.actual_s for r in rows if r.phase == phase.id],
            [True] * 12,
            survival.Prior(
                3.0, expected_s([(r.actual_s, True) for r in rows if r.phase == phase.id], phase.budget_s)
            ),
        )
        for phase in invented.phases
    ]

    def over(level: float) -> float:
        return sum(curve.quantile(level).seconds for curve in curves) - invented.mini_lesson_s

    assert over(plan.level) <= 1e-6
    assert over(plan.level + 1e-6) > 0
    assert plan.level == pytest.approx(optimize.brentq(over, 0.02, 0.98, xtol=1e-9), abs=1e-6)


def test_more_time_never_lowers_the_level_and_longer_days_never_raise_it(invented):
    chance = random.Random(8)
    rows = full_history(chance, invented)
    levels = [
        whole_plan(rows, invented.model_copy(update={"mini_lesson_s": s})).level
        for s in range(600, 3000, 300)
    ]
    known = [level for level in levels if level is not None]
    assert known == sorted(known)
    assert len(set(known)) > 3


def test_a_plan_too_short_for_any_day_has_no_level_and_one_of_hours_has_the_highest(invented):
    rows = full_history(random.Random(1), invented, cut=0.0)
    assert whole_plan(rows, invented.model_copy(update={"mini_lesson_s": 60})).level is None
    assert whole_plan(rows, invented.model_copy(update={"mini_lesson_s": 30_000})).level == 0.99
