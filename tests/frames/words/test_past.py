"""What the past says of a budget. Values of our own."""

from dataclasses import replace

import pytest

from pacer.frames.words.past import past_frame, whole_words
from pacer.pace.forecasts.past import PastEnding
from pacer.review.learning.budgets import Proposal, WholePlan

REVIEW = Proposal("review", "review", "Review", 180, 240, False, 200, False, 9, 9, 2, False)


def ending(seconds: float, how: str) -> PastEnding:
    return PastEnding(1, "day 1", "review", "review", 180, seconds, how)


def test_a_past_says_what_is_enough_and_how_sure_that_is() -> None:
    found = past_frame(REVIEW, (ending(200, "done"), ending(300, "interrupted")))
    assert found.sentence == (
        "4 is enough on about 7 of 10 days. You gave 3:30. 9 lessons, 2 cut off. Ctrl+U writes 4."
    )
    assert found.cells == ("about 4 (9 lessons, 2 cut off)", "about 4 (9 lessons)", "about 4")
    assert found.dots == ((200, True), (300, False))
    least = past_frame(replace(REVIEW, at_least=True, given_s=None, by_kind=True, written_s=240), ())
    assert least.sentence == "At least 4 for 7 of 10 days. 9 lessons, 2 cut off, from its kind."
    assert past_frame(replace(REVIEW, proposed_s=None), ()) is None


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({}, "Shared out evenly, each phase has enough on about 8 of 10 days."),
        (
            {"level_at_most": True},
            "Shared out evenly, each phase has enough on about 8 of 10 days, perhaps fewer.",
        ),
        ({"level": 1.0}, "Shared out evenly, each phase has enough on more than 9 of 10 days."),
        ({"level": 0.0}, "Shared out evenly, each phase has enough on fewer than 1 of 10 days."),
        ({"needs_s": 1501}, "By past lessons this needs 26 min: choose what moves."),
        (
            {"needs_s": 1501, "at_least": True},
            "By past lessons this needs at least 26 min: choose what moves.",
        ),
        ({"level": None}, ""),
        ({"proposals": (replace(REVIEW, proposed_s=None),)}, ""),
    ],
)
def test_all_budgets_together_are_told_in_days_or_in_the_minutes_they_need(changes, words: str) -> None:
    plan = WholePlan((REVIEW,), 1500, 1500, False, (), 0.81, False)
    assert whole_words(replace(plan, **changes)) == words
