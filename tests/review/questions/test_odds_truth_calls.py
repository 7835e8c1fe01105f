"""How often odds are called hopeful or gloomy where they are true, and where they are not: made-up terms."""

import numpy as np
import pytest
from scipy.stats import norm

from pacer.frames.pictures.odds_truth import LEAST_FORECASTS
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


@pytest.mark.parametrize(("lessons", "least"), [(20, 0.1), (50, 0.5)])
def test_odds_two_tenths_too_hopeful_are_called_so_after_enough_lessons(lessons: int, least: float) -> None:
    """And never the other way round."""
    shares = called(lessons, 0.2)
    print(lessons, shares)
    assert shares["hopeful"] >= least
    assert shares["gloomy"] == 0.0


@pytest.mark.slow
@pytest.mark.parametrize(("off", "least", "most"), [(0.0, 0.0, 0.05), (0.2, 0.7, 0.95)])
@pytest.mark.parametrize(("room_spread", "borders"), [(0.0, 3), (0.0, 5), (0.6, 5), (1.0, 6)])
def test_looked_at_after_every_lesson_of_a_term_true_odds_are_seldom_called_untrue(
    room_spread: float, borders: int, off: float, least: float, most: float
) -> None:
    """From the first look at which anything is said; at .95 true odds were called untrue in 10 of 100."""
    called, lessons = 0, 60
    for seed in range(10_000, 10_000 + TERMS):
        chance = np.random.default_rng([seed, borders, round(10 * room_spread)])
        steps = chance.normal(size=(lessons, borders))
        room = room_spread * chance.normal(size=(lessons, 1)) * np.sqrt(borders)
        behind = np.cumsum(steps, axis=1) - steps
        said = np.clip(norm.cdf((room - behind) / np.sqrt(borders - np.arange(borders))) + off, 0.0, 1.0)
        came = np.cumsum(steps.sum(axis=1) <= room[:, 0])
        means = np.cumsum(said.mean(axis=1)) / np.arange(1, lessons + 1)
        looks = range(-(-LEAST_FORECASTS // borders), lessons + 1)
        called += any(
            OddsGroup(
                count=look * borders,
                lessons=look,
                said=float(means[look - 1]),
                low=0.0,
                high=1.0,
                came=borders * int(came[look - 1]),
                brier=0.0,
            ).leaning
            != "fair"
            for look in looks
        )
    print(f"room {room_spread}, {borders} borders, off by {off}: {called / TERMS:.3f}")
    assert least <= called / TERMS <= most
