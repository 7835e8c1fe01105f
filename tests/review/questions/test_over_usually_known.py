"""How often the phase that ran over most often is really the longest, and how far its median is off."""

from fractions import Fraction

import numpy as np
import pytest

from pacer.review.questions.over_usually import BudgetRatio, OverRow, most_often_over

CASES, PHASES, SPREAD = 400, 6, 0.25
pytestmark = pytest.mark.slow


def picked(lessons: int) -> tuple[float, float, float]:
    """How often it is really the longest; how far its median lies above the true one, and how often above it
    by a tenth or below it by a tenth. What is usual differs by .12 of a logarithm from phase to phase."""
    longest, off = [], []
    for seed in range(5_000, 5_000 + CASES):
        chance = np.random.default_rng([seed, lessons])
        usual = chance.normal(0, 0.12, PHASES)
        ratios = np.exp(usual + SPREAD * chance.normal(size=(lessons, PHASES)))
        rows = [
            OverRow(
                str(at),
                tuple(
                    BudgetRatio(run, "", "", Fraction(round(1000 * ratio), 1000), True)
                    for run, ratio in enumerate(ratios[:, at].tolist())
                ),
            )
            for at in range(PHASES)
        ]
        most = most_often_over(rows)
        assert most is not None
        ratio, at_least = most.median
        assert not at_least
        longest.append(int(most.name) == int(usual.argmax()))
        off.append(float(np.log(ratio) - usual[int(most.name)]))
    return float(np.mean(longest)), float(np.mean(off)), float(np.mean(np.abs(off) > 0.1))


@pytest.mark.parametrize(
    ("lessons", "longest", "above", "off_by_a_tenth"),
    [(5, 0.45, 0.09, 0.5), (15, 0.59, 0.04, 0.23), (60, 0.78, 0.01, 0.01)],
)
def test_what_was_is_not_what_will_be_where_lessons_are_few(
    lessons: int, longest: float, above: float, off_by_a_tenth: float
) -> None:
    found = picked(lessons)
    print(lessons, found)
    assert found[0] == pytest.approx(longest, abs=0.075)
    assert found[1] == pytest.approx(above, abs=0.025)
    assert found[2] == pytest.approx(off_by_a_tenth, abs=0.075)
