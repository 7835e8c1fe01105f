"""How often warnings are said to have changed something where they did not, and where they did: made up."""

import numpy as np
import pytest

from pacer.review.questions.compare import LEAST_EACH, Warned, Warnings

TERMS, LESSONS = 240, 60
pytestmark = pytest.mark.slow


def share_called(baseline_share: float, difference_s: float, seed: int, looks: range) -> float:
    """In what share of terms any look calls a difference; lateness differs by a minute from day to day."""
    chance = np.random.default_rng([seed, round(100 * baseline_share), round(difference_s)])
    called = 0
    for _term in range(TERMS):
        is_baseline = chance.random(LESSONS) < baseline_share
        late_s = np.round(120 + 60 * chance.normal(size=LESSONS) + difference_s * is_baseline)
        lessons = [Warned(run, "", "", int(seconds)) for run, seconds in enumerate(late_s)]
        called += any(
            Warnings(
                tuple(one for one in lessons[:look] if not is_baseline[one.run]),
                tuple(one for one in lessons[:look] if is_baseline[one.run]),
                0,
                0,
            ).is_called
            for look in looks
        )
    return called / TERMS


@pytest.mark.parametrize("baseline_share", [0.15, 0.3, 0.5])
def test_looked_at_after_every_lesson_no_difference_is_called_in_five_terms_of_a_hundred_at_most(
    baseline_share: float,
) -> None:
    """Within two standard errors. Below a twentieth it was called in about 12, 19 and 31 of 100."""
    share = share_called(baseline_share, 0.0, 1_000, range(2 * LEAST_EACH, LESSONS + 1))
    print(f"{baseline_share} baseline: {share:.3f}")
    assert share <= 0.05 + 2 * np.sqrt(0.05 * 0.95 / TERMS)


@pytest.mark.parametrize(
    ("baseline_share", "minutes", "least"), [(0.15, 1, 0.25), (0.3, 1, 0.6), (0.15, 2, 0.9), (0.3, 2, 0.97)]
)
def test_a_difference_is_called_by_the_end_of_the_term_as_often_as_is_said(
    baseline_share: float, minutes: int, least: float
) -> None:
    share = share_called(baseline_share, 60.0 * minutes, 1_000, range(20, LESSONS + 1, 5))
    print(f"{baseline_share} baseline, {minutes} min: {share:.3f}")
    assert share >= least
