"""Forecasts of the mini lesson's end from past endings: what they rest on, when they stay silent."""

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.pace.forecasts.forecast import forecast
from pacer.pace.forecasts.learned import Planned, learn
from pacer.pace.forecasts.odds import on_time_odds
from pacer.pace.forecasts.past import ABSURD_S, PastEnding, lateness_s, latest
from pacer.pace.forecasts.survival import Prior, fit

MODEL, PRACTICE = Planned("model", "modeling", 420), Planned("practice", "guided-practice", 480)
PLAN = [MODEL, PRACTICE]


def ending(run: int, planned: Planned, actual_s: float, how="done", late_s: float = 0.0) -> PastEnding:
    return PastEnding(
        run, f"day {run}", planned.phase, planned.kind, planned.budget_s, actual_s, how, None, late_s
    )


def past(*days: tuple[float, float], how="done") -> list[PastEnding]:
    """Lessons of model and practice in seconds."""
    return [
        ending(run, planned, seconds, how)
        for run, day in enumerate(days)
        for planned, seconds in zip(PLAN, day, strict=True)
    ]


EIGHT = [(400, 480), (450, 510), (500, 470), (420, 540), (430, 490), (610, 500), (380, 450), (440, 480)]


def varied(lessons: int, seed: int = 1) -> list[PastEnding]:
    chance = np.random.default_rng(seed)
    days = chance.normal(0, 0.2, lessons)
    return past(*[tuple(float(b * np.exp(d + chance.normal(0.1, 0.15))) for b in (420, 480)) for d in days])


def test_below_six_lessons_there_is_silence_and_with_six_there_is_not() -> None:
    assert forecast(learn(past(*EIGHT[:5]), PLAN), 0, 0, 900) is None
    six = forecast(learn(past(*EIGHT[:6]), PLAN), 0, 0, 900)
    assert six is not None
    assert six.lessons == 6


def test_with_few_lessons_the_odds_are_those_of_the_two_curves_and_nothing_else() -> None:
    """Independent: both curves fitted in seconds with the prior of 3 lessons on the written budget."""
    found = forecast(learn(past(*EIGHT), PLAN), 0, 120, 800)
    curves = [fit([day[i] for day in EIGHT], [True] * 8, Prior(3, (420, 480)[i])) for i in (0, 1)]
    plain = on_time_odds(curves, 800, 120)
    assert found is not None
    assert plain is not None
    assert found.odds.likely == pytest.approx(plain.odds.likely, abs=1e-9)
    assert found.median_s == pytest.approx(plain.median_s, abs=1e-6)


def test_phases_after_the_mini_lesson_and_skipped_ones_are_left_out() -> None:
    group = Planned("group", "group", 900)
    noise = [ending(run, group, 3000) for run in range(8)] + [
        ending(run, MODEL, 5, "skipped") for run in range(8)
    ]
    mixed = [one for run in range(8) for one in [*past(*EIGHT), *noise] if one.run == run]
    assert forecast(learn(mixed, PLAN), 0, 0, 900) == forecast(learn(past(*EIGHT), PLAN), 0, 0, 900)


def test_where_budgets_changed_ratios_are_pooled() -> None:
    """Days that were planned and taught at half the length say the same."""
    half = [
        replace(one, planned_s=one.planned_s / 2, actual_s=one.actual_s / 2) if one.run % 2 else one
        for one in past(*EIGHT)
    ]
    one, other = forecast(learn(half, PLAN), 0, 0, 900), forecast(learn(past(*EIGHT), PLAN), 0, 0, 900)
    assert one is not None
    assert other is not None
    assert one.odds.likely == pytest.approx(other.odds.likely, abs=1e-9)


def test_a_new_phase_goes_by_its_kind() -> None:
    new = [Planned("another model", "modeling", 420), PRACTICE]
    assert forecast(learn(past(*EIGHT), new), 0, 0, 900) == forecast(learn(past(*EIGHT), PLAN), 0, 0, 900)
    assert forecast(learn(past(*EIGHT), [Planned("song", "other", 60), PRACTICE]), 0, 0, 900) is None


def test_a_phase_that_is_over_or_a_budget_cut_to_nothing_leaves_the_forecast() -> None:
    learned = learn(past(*EIGHT), PLAN)
    alone = forecast(learn(past(*EIGHT), [MODEL]), 0, 0, 450)
    for found in (
        forecast(learned, 0, 0, 450, over=[1]),
        forecast(learned, 0, 0, 450, budgets_s=[420, 0]),
    ):
        assert found is not None
        assert alone is not None
        assert found.odds.likely == pytest.approx(alone.odds.likely, abs=1e-9)


def test_recut_budgets_shorten_what_is_expected_in_proportion() -> None:
    learned = learn(past(*EIGHT), PLAN)
    full, cut = forecast(learned, 0, 0, 900), forecast(learned, 0, 0, 900, budgets_s=[420, 360])
    assert full is not None
    assert cut is not None
    assert 90 < full.mean_s - cut.mean_s < 140


def test_interrupted_durations_say_at_least_and_make_a_range() -> None:
    days = past(*EIGHT)
    days = [replace(one, ending="interrupted") if one.actual_s == 610 else one for one in days]
    found = forecast(learn(days, PLAN), 0, 0, 1100)
    assert found is not None
    assert found.odds.low < found.odds.high


def test_moving_on_is_what_is_given_and_an_interruption_is_not() -> None:
    moved_on = forecast(learn(past(*EIGHT, how="moved on"), PLAN), 0, 0, 900)
    done = forecast(learn(past(*EIGHT), PLAN), 0, 0, 900)
    cut = forecast(learn(past(*EIGHT, how="interrupted"), PLAN), 0, 0, 900)
    assert moved_on == done
    assert done is not None
    assert cut is not None
    assert cut.odds.likely < done.odds.likely


def test_a_slow_model_today_makes_practice_look_longer_once_days_are_known_to_share() -> None:
    learned = learn(varied(40), PLAN)
    assert learned.random_effects.spread > 0.1
    slow = forecast(learned, 1, 0, 480, [ending(99, MODEL, 700)])
    quick = forecast(learned, 1, 0, 480, [ending(99, MODEL, 300)])
    assert slow is not None
    assert quick is not None
    assert slow.median_s > quick.median_s + 30
    assert slow.odds.likely < quick.odds.likely


def test_only_the_latest_sixty_lessons_are_read() -> None:
    recent = varied(60)
    old = [replace(one, run=one.run - 1000, actual_s=3000.0) for one in varied(60, seed=2)]
    assert forecast(learn(old + recent, PLAN), 0, 0, 900) == forecast(learn(recent, PLAN), 0, 0, 900)


def test_the_latest_lessons_are_whole_lessons() -> None:
    assert latest(past(*EIGHT), 3) == past(*EIGHT)[-6:]
    assert latest([], 3) == []


def test_lateness_adds_up_along_a_lesson_and_unbelievable_times_move_nothing() -> None:
    """Begun 60 s late; model 30 s over; a clock left running; practice skipped gives back its 480."""
    lesson = [ending(1, MODEL, 450, late_s=60), ending(1, MODEL, 40_000), ending(1, PRACTICE, 0, "skipped")]
    assert lateness_s([*lesson, ending(1, MODEL, 1)]) == [60, 90, 90, -390]


histories = st.lists(
    st.tuples(
        st.sampled_from([0.0, -30.0, 1.0, 300.0, 420.0, 600.0, 36_000.0, math.nan, math.inf]),
        st.sampled_from([0.0, -60.0, 1.0, 420.0, 480.0, math.nan]),
        st.sampled_from(["done", "moved on", "unsaid", "bell", "interrupted", "skipped"]),
        st.sampled_from([0.0, -300.0, 600.0]),
    ),
    max_size=40,
)


@given(histories, st.floats(-600, 3000), st.floats(0, 1000))
def test_a_bad_history_gives_sound_odds_or_silence(history, left, passed) -> None:
    days = [
        PastEnding(n // 2, f"{n // 2}", p.phase, p.kind, planned, actual, how, None, late)
        for n, (actual, planned, how, late) in enumerate(history)
        for p in [PLAN[n % 2]]
    ]
    found = forecast(learn(days, PLAN), 0, passed, left, days[:1])
    usable = [
        {d.run for d in days if d.phase == p.phase and d.is_sound and d.ending != "skipped"} for p in PLAN
    ]
    if min(map(len, usable)) < 6:
        assert found is None
    elif found is not None:
        assert 0 <= found.odds.low <= found.odds.likely <= found.odds.high <= 1
        assert math.isfinite(found.median_s)
        assert math.isfinite(found.mean_s)


def test_a_past_that_never_ended_is_all_range() -> None:
    """All cut off at the budget: in time or not, nobody knows."""
    found = forecast(learn(past(*[(420, 480)] * 12, how="interrupted"), PLAN), 0, 0, 1000)
    assert found is not None
    assert found.odds.low < 0.1
    assert found.odds.high > 0.9


def test_what_is_not_known_of_the_level_makes_the_odds_less_sure() -> None:
    known = replace(learn(varied(30), PLAN), level_error=0.0)
    for left_s in (700, 1300):
        sure, unsure = forecast(known, 0, 0, left_s), forecast(replace(known, level_error=0.2), 0, 0, left_s)
        assert sure is not None
        assert unsure is not None
        assert abs(unsure.odds.likely - 0.5) < abs(sure.odds.likely - 0.5) - 0.02


def test_twelve_equal_days_are_not_taken_for_certainty() -> None:
    """The prior keeps room for a day unlike all others."""
    found = forecast(learn(past(*[(420, 480)] * 12), PLAN), 0, 0, 960)
    assert found is not None
    assert 0.6 < found.odds.likely < 0.995


def test_a_phase_that_runs_longer_than_anything_known_is_met_with_silence() -> None:
    assert forecast(learn(past(*EIGHT), PLAN), 0, 9000, -8000) is None


@given(st.floats(-300, 1500), st.floats(0, 300), st.floats(0, 500), st.integers(0, 3))
def test_more_time_never_lowers_the_odds_of_a_forecast(left, more, passed, seed) -> None:
    chance = np.random.default_rng(seed)
    days = [replace(one, late_s=float(chance.uniform(0, 300))) for one in varied(30, seed)]
    learned = learn(days, PLAN)
    one, other = forecast(learned, 0, passed, left), forecast(learned, 0, passed, left + more)
    if one is not None and other is not None:
        assert other.odds.likely >= one.odds.likely - 1e-9


def test_what_can_not_be_believed_is_not_sound() -> None:
    for actual in (0, -5, ABSURD_S, math.nan, math.inf):
        assert not ending(1, MODEL, actual).is_sound
    assert not replace(ending(1, MODEL, 300), planned_s=0).is_sound
    assert ending(1, MODEL, 300).is_sound


def test_how_a_phase_ended_says_what_its_length_means() -> None:
    """Time it takes: only what was done. Time I give it: what was done and where the teacher moved on."""
    takes = {"done": True, "moved on": False, "unsaid": True, "bell": False, "interrupted": False}
    gives = takes | {"moved on": True}
    for how, complete in takes.items():
        assert ending(1, MODEL, 300, how).is_complete("takes") is complete
        assert ending(1, MODEL, 300, how).is_complete("gives") is gives[how]
    late = replace(ending(1, MODEL, 300, "unsaid"), stage="move_on")
    assert not late.is_complete("takes")
    assert late.is_complete("gives")


def test_a_plan_with_an_empty_budget_is_refused() -> None:
    with pytest.raises(ValueError, match="budget"):
        learn([], [Planned("model", "modeling", 0)])
