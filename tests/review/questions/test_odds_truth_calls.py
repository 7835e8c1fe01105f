"""How often odds are called hopeful or gloomy where they are true, and where they are not: made-up terms."""

import numpy as np
import pytest
from scipy.stats import norm

from pacer.review.questions.odds_truth import OddsGroup

TERMS, BORDERS = 400, 6


def called(lessons: int, off: float) -> dict[str, float]:
    """The share of terms of which each is said, where all odds are too hopeful by ``off``.

    The lateness of a day is a sum of six steps, the odds at each border are those of the steps to come.
    """
    chance = np.random.default_rng([lessons, round(100 * off)])
    steps = chance.normal(size=(TERMS, lessons, BORDERS))
    room = chance.normal(size=(TERMS, lessons, 1))
    behind = np.cumsum(steps, axis=2) - steps
    said = np.clip(norm.cdf((room - behind) / np.sqrt(BORDERS - np.arange(BORDERS))) + off, 0.0, 1.0)
    came = steps.sum(axis=2, keepdims=True) <= room
    found = [
        OddsGroup(
            count=lessons * BORDERS,
            lessons=lessons,
            said=float(said[term].mean()),
            low=0.0,
            high=1.0,
            came=BORDERS * int(came[term].sum()),
            brier=0.0,
        ).leaning
        for term in range(TERMS)
    ]
    return {word: found.count(word) / TERMS for word in ("hopeful", "gloomy", "fair")}


@pytest.mark.parametrize("lessons", [6, 20, 50])
def test_true_odds_are_called_untrue_in_five_terms_of_a_hundred_at_most(lessons: int) -> None:
    shares = called(lessons, 0.0)
    print(lessons, shares)
    assert shares["hopeful"] + shares["gloomy"] <= 0.05


@pytest.mark.parametrize(("lessons", "least"), [(20, 0.25), (50, 0.7)])
def test_odds_two_tenths_too_hopeful_are_called_so_after_enough_lessons(lessons: int, least: float) -> None:
    """And never the other way round."""
    shares = called(lessons, 0.2)
    print(lessons, shares)
    assert shares["hopeful"] >= least
    assert shares["gloomy"] == 0.0
