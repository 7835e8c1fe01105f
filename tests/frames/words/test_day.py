"""The day shape as Today says it, and what a short day takes from whom."""

from collections.abc import Callable
from datetime import date

from pacer.frames.words.day import MOST_WARNINGS, offer_words, payers_words, shape_words, warning_words
from pacer.plan.day_shapes import STARTING_SHAPES, DayShape, on_a_day
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
        "The mini lesson has 13:30 today, not 25:00. "
        "Even the floors are 2:00 too long: a phase will have to leave."
    )


def test_a_length_that_is_enough_cuts_nobody(invented: Outline) -> None:
    assert payers_words(invented, 1500) == ""


def test_a_plan_that_can_be_kept_needs_no_warning(invented: Outline) -> None:
    assert warning_words(invented, is_cut=False) == ""


def test_a_plan_too_long_for_its_block_is_told_before_the_lesson(new_outline: Callable) -> None:
    long = new_outline({"budget": "50"}, minutes=40)
    assert warning_words(long, is_cut=False).startswith(
        "The mini lesson (50:00) is longer than the block (40:00)."
    )
    cut = new_outline({"budget": "20", "floor": "5"}, mini_lesson="15")
    assert warning_words(cut, is_cut=False) == (
        "The budgets are 5:00 too long for a mini lesson of 15:00: they will be cut."
    )


def test_what_the_offer_of_a_short_day_says_is_not_said_again(invented: Outline) -> None:
    early = on_a_day(invented, EARLY, recut=True)
    assert "Even the floors" in offer_words(invented, EARLY)
    assert "Even the floors" in warning_words(early, is_cut=False)
    assert "Even the floors" not in warning_words(early, is_cut=True)


def test_of_many_warnings_the_first_few_are_told_and_the_rest_counted(new_outline: Callable) -> None:
    phases = [{"budget": "5", "floor": "2", "cap": "3"}] * 5
    words = warning_words(new_outline(*phases, mini_lesson="25"), is_cut=False)
    assert words.count("is under its budget") == MOST_WARNINGS
    assert words.endswith("The page Outline has 3 more.")
