"""How often what is said of rehearsals is right: invented pairs whose usual ratio is known."""

import numpy as np
import pytest

from pacer.review.questions.compare import rehearsals
from tests.review.questions.test_compare import LIVE, lesson

TERMS = 600


@pytest.mark.slow
@pytest.mark.parametrize("skewed", [False, True])
@pytest.mark.parametrize("pairs", [3, 5, 8])
def test_the_range_holds_what_is_usual_and_the_next_lesson_as_often_as_is_said(
    pairs: int, skewed: bool
) -> None:
    """Both are exact for independent pairs of any kind (ranks); a share of 600 is known to .04, two standard
    errors. Median and range are read from the figures that the page shows."""
    chance = np.random.default_rng([pairs, skewed])
    first, after = lesson(1, "2026-03-02", "rehearsal", actual=220), lesson(2, "2026-03-03")
    usual, next_one, too_long = [], [], []
    for _term in range(TERMS):
        noise = (
            chance.exponential(0.4, pairs + 1) - 0.4 * np.log(2)
            if skewed
            else 0.3 * chance.normal(size=pairs + 1)
        )
        ratios = 1.2 * np.exp(noise)
        days = []
        for n, ratio in enumerate(ratios[:pairs].tolist()):
            phases = tuple(
                had._replace(actual_s=round(before.actual_s * ratio))
                for had, before in zip(after.phases, first.phases, strict=True)
            )
            days.append(first._replace(run=2 * n + 1))
            days.append(after._replace(run=2 * n + 2, phases=phases))
        found = rehearsals(days, LIVE).all_together
        assert found.median is not None
        assert found.least is not None
        assert found.most is not None
        usual.append(found.least <= 1.2 <= found.most)
        next_one.append(found.least <= ratios[pairs] <= found.most)
        too_long.append(found.median > 1.2)
    print(f"{pairs} pairs: usual {np.mean(usual):.2f}, next {np.mean(next_one):.2f}, {np.mean(too_long):.2f}")
    assert np.mean(usual) == pytest.approx(1 - 2 ** (1 - pairs), abs=0.045)
    assert np.mean(next_one) == pytest.approx((pairs - 1) / (pairs + 1), abs=0.05)
    assert np.mean(too_long) == pytest.approx(0.5, abs=0.06)
