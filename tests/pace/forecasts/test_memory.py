"""How far back is remembered: long without evidence, short where durations drift."""

import numpy as np
import pytest

from pacer.pace.forecasts.day_factor import Observations, RandomEffects
from pacer.pace.forecasts.memory import common_level, memory


def seen(logs: np.ndarray) -> tuple[Observations, np.ndarray, int, int]:
    """Endings from a table of logarithms, a row a lesson and a column a phase; all of them whole."""
    lessons, columns = logs.shape
    rows = np.repeat(np.arange(lessons), columns), np.tile(np.arange(columns), lessons)
    nothing = np.zeros(logs.size)
    return Observations(*rows, np.exp(logs).ravel(), nothing > 0, nothing), nothing == 0, lessons, columns


def noise(lessons: int, spread: float, seed: int = 1, columns: int = 4) -> np.ndarray:
    return spread * np.random.default_rng(seed).normal(size=(lessons, columns))


def still(lessons: int) -> RandomEffects:
    return RandomEffects(0.0, 0.0, np.zeros(4), np.zeros(lessons), np.zeros(0))


def half_life(weights: np.ndarray) -> float:
    """In lessons, by what the weights of the latest ones fall to."""
    return float(np.argmax(weights[::-1] < 0.5 * weights[-1])) or len(weights)


def test_below_ten_lessons_no_level_is_learned_and_memory_is_as_usual() -> None:
    found = seen(noise(9, 0.1) + np.arange(9)[:, None])
    assert common_level(*found) == (0.0, 0.0, pytest.approx(np.zeros(36)))
    weights = memory(found[0], found[1], still(9), 9, 4)
    assert weights == pytest.approx([0.5 ** (n / 15) for n in range(8, -1, -1)])


def test_of_steady_durations_the_level_is_none_and_memory_is_long() -> None:
    found = seen(noise(40, 0.15))
    now, _error, expected = common_level(*found)
    assert abs(now) < 0.04
    assert abs(expected[80:]).max() < 0.08
    assert half_life(memory(found[0], found[1], still(40), 40, 4)) > 10


@pytest.mark.parametrize("seed", range(3))
def test_a_drift_of_all_phases_is_followed_and_a_jump_is_within_a_few_lessons(seed: int) -> None:
    """Half a logarithm over 40 lessons; 0.3 from lesson 30 on, of which a long memory sees a quarter."""
    drift, jump = (
        np.linspace(-0.25, 0.25, 40)[:, None],
        np.where(np.arange(40) < 30, -0.075, 0.225)[:, None],
    )
    now, _error, expected = common_level(*seen(drift + noise(40, 0.1, seed)))
    assert now == pytest.approx(0.25, abs=0.09)
    assert expected[0::4][30] == pytest.approx(drift[30, 0], abs=0.12)
    assert common_level(*seen(jump + noise(40, 0.1, seed)))[0] == pytest.approx(0.225, abs=0.09)


def test_what_a_lesson_is_expected_to_take_comes_from_those_before_it() -> None:
    logs = noise(40, 0.1)
    other = logs.copy()
    other[25:] += 0.5
    before, after = common_level(*seen(logs))[2], common_level(*seen(other))[2]
    # The centre of each column and how far each half-life is trusted are learned from all lessons.
    assert np.ptp(before[: 25 * 4]) < 0.2
    assert after[:100].max() < after[-1] - 0.2


def test_waves_of_single_phases_ask_for_a_short_memory_of_each() -> None:
    waves = 0.3 * np.sin(np.arange(40)[:, None] / 3 + 2 * np.arange(4))
    weights = memory(*seen(waves + noise(40, 0.05))[:2], still(40), 40, 4)
    assert half_life(weights) <= 3


def test_one_odd_day_moves_the_level_little_and_an_unknown_one_not_at_all() -> None:
    logs = noise(30, 0.1)
    usual = common_level(*seen(logs))[0]
    odd = logs.copy()
    odd[-1] += 3.0
    assert abs(common_level(*seen(odd))[0] - usual) < 0.12
    observed, whole, lessons, columns = seen(odd)
    whole[-columns:] = False
    assert abs(common_level(observed, whole, lessons, columns)[0] - usual) < 0.02


def test_the_level_is_as_uncertain_as_its_standard_error_says() -> None:
    """How far the usual and the level beside it stand from what 200 terms without a drift were made with."""
    terms = [noise(40, 0.2, seed) for seed in range(200)]
    off, said = np.array([(logs.mean() + now, error) for logs in terms
                          for now, error, _ahead in [common_level(*seen(logs))]]).T  # fmt: skip
    assert np.sqrt(np.mean(said**2)) == pytest.approx(np.sqrt(np.mean(off**2)), rel=0.3)


def test_where_half_lives_differ_the_level_is_less_sure() -> None:
    steady, jumped = noise(40, 0.1), noise(40, 0.1)
    jumped[-2:] += 0.4
    assert common_level(*seen(jumped))[1] > 2 * common_level(*seen(steady))[1]


def test_one_day_foretells_a_third_of_itself_as_two_without_a_drift_stand_before_it() -> None:
    """By hand: a first day .1 above the others, .095 above the middle of twenty; whatever the half-lives."""
    logs = np.zeros((20, 4))
    logs[0] = 0.1
    _now, _error, expected = common_level(*seen(logs))
    assert expected[:4] == pytest.approx(np.zeros(4))
    assert expected[4:8] == pytest.approx(np.full(4, 0.095 / 3))


def test_of_a_drift_that_half_lives_see_differently_the_standard_error_tells_the_most() -> None:
    """Of 200 terms of 15 lessons that drift by .3: without how far levels lie apart it says half of it."""
    terms = [np.linspace(-0.15, 0.15, 15)[:, None] + noise(15, 0.1, seed) for seed in range(200)]
    off, said = np.array([(logs.mean() + now - 0.15, error) for logs in terms
                          for now, error, _ahead in [common_level(*seen(logs))]]).T  # fmt: skip
    ratio = float(np.sqrt(np.mean(said**2) / np.mean(off**2)))
    assert 0.6 < ratio < 1.1
