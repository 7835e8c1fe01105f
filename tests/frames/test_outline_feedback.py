"""What stands beside an outline under edit: whether it fits, and what past lessons say of it."""

import pytest

from pacer.frames.outline_feedback import OutlineFeedback, feedback_on
from pacer.pace.forecasts.past import PastEnding
from pacer.plan.draft.check import look_at
from pacer.plan.draft.with_text import TypedDraft, typed
from pacer.review.learning.budgets import SortedPast
from pacer.review.learning.plan_outlook import PlanOutlook

THREE = "Warm-up 2\nReview 3\nModeling 7\n"


def look(text: str = THREE):
    return look_at(typed(TypedDraft(), text).plain, "outline.toml")


def past(lessons: int, modeling_s: int) -> PlanOutlook:
    """Lessons in which the modeling of 7 minutes took so long, and all else its budget."""
    took = {"warm-up": (120, 120), "review": (180, 180), "modeling": (420, modeling_s)}
    return PlanOutlook(
        SortedPast(
            [
                PastEnding(run, f"2026-02-{run + 1:02d}", kind, kind, planned, actual, "done")
                for run in range(lessons)
                for kind, (planned, actual) in took.items()
            ]
        )
    )


def test_an_outline_of_nothing_has_nothing_beside_it() -> None:
    assert feedback_on(look(""), past(10, 420)) == OutlineFeedback()


def test_the_fit_says_how_many_phases_it_leaves_out() -> None:
    found = feedback_on(look(THREE + "Practice\n"), None)
    assert found.fit is not None
    assert found.fit.verdict == "Without 1 unfinished phase: Fits 12:00 exactly."
    assert (found.past, found.whole, found.must_move) == ({}, "", False)


@pytest.mark.parametrize(("modeling_s", "must_move"), [(420, False), (600, True)])
def test_what_must_move_follows_from_the_usual_times_together(modeling_s: int, must_move: bool) -> None:
    found = feedback_on(look(), past(10, modeling_s))
    assert found.must_move is must_move
    assert found.whole.endswith("choose what moves.") is must_move
    assert len(found.past) == 3


def test_below_five_lessons_the_past_is_silent() -> None:
    found = feedback_on(look(), past(4, 600))
    assert (found.past, found.whole, found.must_move) == ({}, "", False)


def test_of_a_phase_what_is_wrong_is_said_before_what_the_past_says() -> None:
    sheet = typed(TypedDraft(), THREE)
    found = feedback_on(look(), past(10, 600))
    modeling = sheet.phases[2]
    assert found.row_words(modeling, {}).startswith("Modeling: ")
    wrong = {"floor": "“x” is no time.", "cap": "“y” is none either."}
    assert found.row_words(modeling, wrong) == "Floor: “x” is no time.  Cap: “y” is none either."
    assert OutlineFeedback().row_words(modeling, {}) == ""
