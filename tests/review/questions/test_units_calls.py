"""How often the phase that differed most is called changed where none did, and where one did."""

import numpy as np
import pytest

from pacer.review.questions.units import LEAST_LESSONS, SHARE_UNITS, Trend, UnitTook

TERMS, LESSONS, PHASES, SPREAD = 240, 60, 6, 0.25
NOTHING = UnitTook(0, 0, None, at_least=False)
pytestmark = pytest.mark.slow


def share_called(change: float, looks: range) -> tuple[float, float]:
    """In what share of terms any look calls the phase that differs most, and how far its medians lie apart at
    the last look. From lesson to lesson the first phase takes longer, by so much of a logarithm in all."""
    chance = np.random.default_rng([3_000, round(100 * change)])
    called, apart = 0, []
    for _term in range(TERMS):
        logs = SPREAD * chance.normal(size=(LESSONS, PHASES))
        logs[:, 0] += change * np.arange(LESSONS) / LESSONS
        ratios = np.round(SHARE_UNITS * np.exp(logs)).astype(np.int64)
        is_called = False
        for look in looks:
            third = look // 3
            first, last = ratios[:third], ratios[look - third : look]
            off = np.abs(np.median(first, axis=0) - np.median(last, axis=0))
            most = int(off.argmax())
            both = tuple(first[:, most].tolist()), tuple(last[:, most].tolist())
            is_called = is_called or Trend("", NOTHING, NOTHING, both).is_called
        called += is_called
        apart.append(off[most] / SHARE_UNITS)
    return called / TERMS, float(np.mean(apart))


def test_looked_at_after_every_lesson_no_change_is_called_in_five_terms_of_a_hundred_at_most() -> None:
    """Within two standard errors. Below a twentieth one was called in 91 terms of 100."""
    share, apart = share_called(0.0, range(LEAST_LESSONS, LESSONS + 1))
    print(f"called in {share:.3f}, medians {apart:.2f} apart at {LESSONS} lessons")
    assert share <= 0.05 + 2 * np.sqrt(0.05 * 0.95 / TERMS)
    assert apart == pytest.approx(0.16, abs=0.03)


def test_at_fifteen_lessons_medians_differ_by_a_third_of_the_budget_by_chance() -> None:
    share, apart = share_called(0.0, range(LEAST_LESSONS, LEAST_LESSONS + 1))
    print(f"called in {share:.3f}, medians {apart:.2f} apart")
    assert share == 0.0
    assert apart == pytest.approx(0.31, abs=0.04)


def test_a_phase_that_takes_half_as_long_again_by_the_end_is_called() -> None:
    share, apart = share_called(0.6, range(LESSONS, LESSONS + 1))
    print(f"called in {share:.3f}, medians {apart:.2f} apart")
    assert share >= 0.6
