"""Sums of durations cell by cell: as plain convolution gives them, and no probability is lost on the way."""

import numpy as np
import pytest

from pacer.pace.forecasts.leaving_out import LeavingOut
from pacer.pace.forecasts.sums import STEP_S, FinishDistribution, Shared, finish_distribution

SIZE, LEFT_S, BUDGET_S = 60, 150.0, 100.0
NOBODY = LeavingOut(np.zeros(0), np.zeros(1))
HALF_OF_LATE_ONES = LeavingOut(np.zeros(1), np.array([0.1, 0.5]))


def parts(count: int, never: float, seed: int = 1) -> list[np.ndarray]:
    """Grids of three invented cases; with the chance ``never`` a part goes on without end."""
    chance = np.random.default_rng(seed)
    made = []
    for _part in range(count):
        rows = np.zeros((3, SIZE))
        rows[:, 8:30] = chance.random((3, 22))
        rows *= (1 - never) / rows.sum(axis=1, keepdims=True)
        rows[:, -1] = never
        made.append(rows)
    return made


def summed(*args, **kwargs) -> FinishDistribution:
    found = finish_distribution(*args, **kwargs)
    assert found is not None
    return found


def ends_at(found: FinishDistribution, late_cells: int) -> np.ndarray:
    """The chance, for each case, of ending so many cells past the deadline."""
    return found.rows[:, late_cells - found.origin]


@pytest.mark.parametrize("never", [0.0, 0.2])
def test_each_cell_is_that_of_a_plain_convolution_and_what_never_ends_is_in_the_last(never: float) -> None:
    made = parts(2, never)
    found = summed(made, LEFT_S)
    for case in range(3):
        plain = np.convolve(made[0][case, :-1], made[1][case, :-1])
        for total in range(16, 58):
            late = total - int(LEFT_S / STEP_S)
            assert ends_at(found, late)[case] == pytest.approx(plain[total], abs=1e-12), total
        assert found.rows[case, -1] == pytest.approx(1 - (1 - never) ** 2, abs=1e-9)


@pytest.mark.parametrize("never", [0.0, 0.2])
@pytest.mark.parametrize("speed_up", [0.0, 0.6])
@pytest.mark.parametrize("leaves", [None, NOBODY, HALF_OF_LATE_ONES])
@pytest.mark.parametrize("shared", [Shared(0.0, 0.0), Shared(300.0, 0.2)])
def test_no_probability_is_lost_whatever_a_teacher_does_when_she_is_late(
    never: float, speed_up: float, leaves: LeavingOut | None, shared: Shared
) -> None:
    found = summed(
        parts(3, never),
        LEFT_S,
        20.0,
        [BUDGET_S] * 3,
        speed_up,
        left_out=[None, leaves, leaves],
        shared=shared,
    )
    assert found.rows.min() >= 0.0
    assert found.rows.sum(axis=1) == pytest.approx(np.ones(3), abs=1e-9)


def test_hurry_does_not_bring_back_what_never_ends() -> None:
    """The running part never ends with a chance of .2: no later part can take that back, however late."""
    running, *_later = parts(1, 0.2)
    after = np.zeros((3, SIZE))
    after[:, 0] = 1.0
    found = summed([running, after], 11 * BUDGET_S, budgets_s=[BUDGET_S, 10 * BUDGET_S], speed_up=1.0)
    assert found.rows[:, -1] == pytest.approx(np.full(3, 0.2), abs=1e-9)


def test_who_leaves_nothing_out_ends_as_one_of_whom_nothing_is_known() -> None:
    made = parts(2, 0.0)
    known = summed(made, LEFT_S, budgets_s=[BUDGET_S] * 2, left_out=[None, NOBODY])
    assert known.rows == pytest.approx(summed(made, LEFT_S, budgets_s=[BUDGET_S] * 2).rows, abs=1e-12)
