"""The day shape as Today says it, and what a short day takes from whom."""

from datetime import date

from pacer.frames.words.day import offer_words, payers_words, shape_words
from pacer.plan.day_shapes import STARTING_SHAPES, DayShape
from pacer.plan.outline import Outline

EARLY = DayShape(name="Early release", start="9:24", length_s=48 * 60, share_s=180, groups=2)


def test_the_shape_with_its_length_and_its_bell() -> None:
    assert shape_words(EARLY, date(2026, 3, 11)) == "Early release, 48 min, ends 10:12"


def test_a_day_long_enough_offers_nothing(invented: Outline) -> None:
    assert offer_words(invented, STARTING_SHAPES[0]) == ""


def test_a_short_day_says_what_is_honest_and_whom_that_would_cut(invented: Outline) -> None:
    """Own worked values: 6:00 less cost skip count 1:00, review 1:30, look back 1:00, model 2:00,
    vocabulary 0:30."""
    assert payers_words(invented, 19 * 60) == (
        "Skip count −1:00, Review −1:30, Model −2:00, Vocabulary and talk −0:30, Look back −1:00."
    )
    assert offer_words(invented, EARLY) == (
        "An honest mini lesson is 13:30 today, not 25:00. "
        "Even the floors are 2:00 too long: a phase will have to leave."
    )


def test_a_length_that_is_enough_cuts_nobody(invented: Outline) -> None:
    assert payers_words(invented, 1500) == ""
