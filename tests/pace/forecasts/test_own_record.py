"""A teacher's own record: odds are moved where her lessons ended otherwise than their phases make likely."""

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest

from pacer.pace.forecasts.forecast import as_far_as_known, forecast
from pacer.pace.forecasts.learned import Planned, learn
from pacer.pace.forecasts.odds import Odds
from pacer.pace.forecasts.own_record import SHIFTS, STAYS, OwnRecord
from pacer.pace.forecasts.past import PastEnding

BUDGET_S = 300
PLAN = [Planned(phase, phase, BUDGET_S) for phase in ("model", "practice", "look back")]
EVEN = Odds(0.5, 0.5, 0.5)


def lessons(count: int, lands_late_s: float | None = None, seed: int = 1) -> list[PastEnding]:
    """Invented lessons of three phases, 15 minutes; where it is given all end so many seconds behind that."""
    chance = np.random.default_rng(seed)
    past = []
    for run in range(count):
        had = BUDGET_S * np.exp(0.12 * chance.normal(size=3))
        if lands_late_s is not None:
            had[2] = 3 * BUDGET_S + lands_late_s - had[0] - had[1]
        past += [
            PastEnding(run, f"day {run}", planned.phase, planned.kind, BUDGET_S, float(seconds), "done")
            for planned, seconds in zip(PLAN, had, strict=True)
        ]
    return past


def record(past: list[PastEnding]) -> OwnRecord:
    found = learn(past, PLAN).record
    assert found is not None
    return found


def test_who_always_lands_just_behind_the_end_is_hardly_in_time_again() -> None:
    """20 of 20 lessons were 20 s late, where phases that know nothing of each other said half of them."""
    past = lessons(20, 20)
    made = forecast(learn(past, PLAN), 0, 0.0, 3 * BUDGET_S)
    bare = forecast(replace(learn(past, PLAN), record=None), 0, 0.0, 3 * BUDGET_S)
    assert made is not None
    assert bare is not None
    assert bare.odds.likely > 0.3
    assert made.odds.likely < 0.5 * bare.odds.likely
    assert made.end_s == bare.end_s


def test_who_always_lands_just_before_it_is_in_time_again() -> None:
    assert record(lessons(20, -20)).moved(EVEN).likely > 0.7


@pytest.mark.parametrize("seed", range(8))
def test_lessons_that_ended_as_their_phases_make_likely_hardly_move_the_odds(seed: int) -> None:
    assert record(lessons(30, seed=seed)).moved(EVEN).likely == pytest.approx(0.5, abs=0.08)


def test_higher_odds_stay_higher_and_sure_ones_sure() -> None:
    found = record(lessons(20, 20))
    moved = [found.moved(Odds(chance, chance, chance)).likely for chance in np.linspace(0, 1, 21)]
    assert moved[0] == 0.0
    assert moved[-1] == 1.0
    assert all(low < high for low, high in pairwise(moved))
    whole = found.moved(Odds(0.2, 0.5, 0.8))
    assert whole.low < whole.likely < whole.high


def test_odds_a_hair_below_sure_are_moved_to_sure_at_most() -> None:
    """Odds above one have no error that could be told: their square root ended the lesson's forecast."""
    nearly, chance = Odds(*[float(np.nextafter(1.0, 0.0))] * 3), np.random.default_rng(0)
    for _time in range(200):
        weights = np.exp(5 * chance.normal(size=len(SHIFTS)))
        moved = OwnRecord(weights / weights.sum()).moved(nearly)
        assert as_far_as_known(moved, 10).high <= 1.0


def test_who_was_late_because_she_began_late_is_no_other_than_her_phases_say() -> None:
    """Late by half of the lesson, at each of its borders, all of them were expected to end late."""
    past = [replace(one, late_s=450.0) for one in lessons(20)]
    assert record(past).moved(EVEN).likely == pytest.approx(0.5, abs=0.03)


def test_before_ten_lessons_there_is_no_record() -> None:
    assert learn(lessons(9, 20), PLAN).record is None
    assert learn(lessons(10, 20), PLAN).record is not None


def cut_off(past: list[PastEnding], runs: set[int], seconds: float) -> list[PastEnding]:
    """The same, but something from outside ended the last phase of some lessons after so many seconds."""
    return [
        replace(one, ending="interrupted", actual_s=seconds)
        if one.run in runs and one.phase == "look back"
        else one
        for one in past
    ]


def test_where_the_ends_of_over_a_fifth_are_not_known_there_is_none() -> None:
    assert learn(cut_off(lessons(20), {1, 4, 7, 9}, 10), PLAN).record is not None
    assert learn(cut_off(lessons(20), {1, 4, 7, 9, 12}, 10), PLAN).record is None


def test_a_lesson_that_was_cut_off_when_it_was_late_was_late() -> None:
    assert learn(cut_off(lessons(20), set(range(6)), 900), PLAN).record is not None


def test_who_leaves_phases_out_when_late_is_known_otherwise() -> None:
    past = [
        replace(one, ending="skipped", actual_s=0.0)
        if one.run in (3, 8) and one.phase == "look back"
        else one
        for one in lessons(20, 20)
    ]
    assert learn(past, PLAN).record is None


def test_a_phase_that_was_left_out_once_hides_no_lesson_s_end() -> None:
    left_out = {(1, "model"), (4, "practice"), (7, "look back")}
    past = [
        replace(one, ending="skipped", actual_s=0.0) if (one.run, one.phase) in left_out else one
        for one in lessons(10, 20)
    ]
    assert learn(past, PLAN).record is not None


def test_without_evidence_odds_most_likely_stay_and_a_small_shift_is_likelier_than_a_large_one() -> None:
    """Lessons that nearly all days of this kind end in time tell nothing of a shift."""
    past = [replace(one, planned_s=2.0 * BUDGET_S) for one in lessons(12)]
    found = record(past)
    assert found.weights[SHIFTS == 0.0] >= STAYS
    raised = found.weights[SHIFTS > 0]
    assert all(nearer > further for nearer, further in pairwise(raised))
    # A normal density with a spread of 1.5.
    assert found.weights[SHIFTS == 1.5] / found.weights[SHIFTS == 0.75] == pytest.approx(
        np.exp(-0.5 * (1 - 0.25)), rel=0.02
    )
