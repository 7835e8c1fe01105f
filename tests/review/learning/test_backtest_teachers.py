"""What is foretold comes true as often as it says, for teachers who are unlike each other."""

import pytest

from pacer.review.learning.backtest import Backtest, score
from tests.review.learning.teachers import KINDS, scored

FRESH, FROM_LESSON = 100, 41  # a seed that no choice was made on; the last third of the term
pytestmark = pytest.mark.slow


@pytest.fixture(scope="module")
def found() -> dict[str, Backtest]:
    """Of each kind of teacher, and of all together."""
    borders = {name: scored(name, FRESH, FROM_LESSON) for name in KINDS}
    every = [border for of_one in borders.values() for border in of_one]
    return {**{name: score(of_one) for name, of_one in borders.items()}, "all": score(every)}


def test_said_and_came_are_within_eight_hundredths_in_every_tenth(found: dict[str, Backtest]) -> None:
    """With a hundred forecasts and more; over three whole terms of each kind they were within three."""
    rows = [row for row in found["all"].calibration if row.count >= 100]
    assert len(rows) >= 3
    for row in rows:
        assert row.came_true == pytest.approx(row.mean, abs=0.08), row


def test_they_say_more_than_how_often_groups_start_on_time_at_all(found: dict[str, Backtest]) -> None:
    """The Brier score of always saying the base rate b is b (1 - b)."""
    whole = found["all"]
    base = sum(row.count * row.came_true for row in whole.calibration) / whole.scored
    assert whole.pacer is not None
    assert whole.pacer.brier < 0.6 * base * (1 - base)
    assert whole.pacer.brier <= 0.132


def test_the_end_is_foretold_better_than_by_the_plain_mean_and_never_much_worse(
    found: dict[str, Backtest],
) -> None:
    ratios = {
        name: found[name].pacer.error_s / found[name].plain_mean.error_s  # type: ignore[union-attr, operator]
        for name in KINDS
    }
    assert sum(ratio < 1 for ratio in ratios.values()) >= 8, ratios
    assert max(ratios.values()) < 1.1, ratios
