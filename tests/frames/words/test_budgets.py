"""Proposals and acceptances in words, the same in the terminal as in Look back; silent where they must."""

from dataclasses import replace
from datetime import datetime

import pytest

from pacer.frames.words.budgets import (
    accepted_rows,
    budget_row,
    capped_words,
    effect_sentence,
    effect_words,
    plan_words,
    proposal_cells,
)
from pacer.log.accepted import Accepted
from pacer.review.learning.accepted_effect import Effect, Side
from pacer.review.learning.budgets import Proposal, WholePlan

REVIEW = Proposal("review", "review", "Review", 180, 255, False, 225, False, 8, 8, 2, False)
PLAN = WholePlan((REVIEW,), 1500, 1875, False, (), 0.31, False)
NOON_MS = round(datetime(2026, 3, 9, 12).timestamp() * 1000)
FIRST = Accepted(1, NOON_MS, "thirds.toml", "review", "review", 180, 255, 8, 2)
BEFORE = Side(lessons=8, endings=8, kept=2, over=5, unknown=1, ratio=1.31, at_least=True)
SINCE = Side(lessons=9, endings=9, kept=6, over=3, unknown=0, ratio=1.02, at_least=False)


def test_a_proposal_stands_beside_what_is_written_with_its_counts() -> None:
    assert proposal_cells(REVIEW) == ("Review", "3:00", "4:15", "3:45", "8", "2", "")
    bound = replace(REVIEW, at_least=True, by_kind=True)
    assert proposal_cells(bound)[2:] == ("at least 4:15", "3:45", "8", "2", "all of this kind")
    few = replace(REVIEW, proposed_s=None, given_s=None, lessons=4)
    assert proposal_cells(few) == ("Review", "3:00", "not enough lessons yet", "", "4", "2", "")
    assert proposal_cells(replace(REVIEW, scope="subject"))[-1] == "this subject"
    assert proposal_cells(replace(REVIEW, scope="outline", by_kind=True))[-1] == "this kind, this outline"
    assert proposal_cells(replace(REVIEW, lessons=0, scope="outline"))[-1] == ""


def test_there_is_something_to_accept_only_where_something_else_is_proposed() -> None:
    assert budget_row(REVIEW).accept == "Accept 4:15 for Review"
    assert (budget_row(REVIEW).old_s, budget_row(REVIEW).new_s) == (180, 255)
    assert budget_row(replace(REVIEW, proposed_s=None)).accept == ""
    assert budget_row(replace(REVIEW, proposed_s=180)).accept == ""


def test_what_all_need_together_is_said_beside_what_the_mini_lesson_has() -> None:
    assert plan_words(PLAN) == [
        "By past lessons these phases need 31:15; the mini lesson has 25:00. Choose what moves.",
        "Shared out evenly, the mini lesson gives each phase what it takes on about 3 of 10 days.",
    ]
    assert plan_words(replace(PLAN, needs_s=1500, at_least=True, unknown=("review",))) == [
        "By past lessons these phases need at least 25:00; the mini lesson has 25:00.",
        "Phases without enough lessons count with their written budgets.",
    ]


def test_the_effect_is_said_shortly_and_at_length() -> None:
    effect = Effect(BEFORE, SINCE, with_it=9)
    assert effect_words(effect) == (
        "kept 6 of 9 times, before 2 of 8; at the median 102 % of its budget, before at least 131 %"
    )
    assert effect_words(replace(effect, with_it=7)).endswith("; 7 of 9 had this budget")
    assert effect_sentence(effect) == (
        "Before: 8 lessons; within the budget 2 times, past it 5, half the time within at least 131 % of it, "
        "cut off too early to tell 1. "
        "Since: 9 lessons; within the budget 6 times, past it 3, half the time within 102 % of it."
    )


@pytest.mark.parametrize(("before", "since", "words"), [
    (4, 9, "4 lessons before it; 5 are needed"), (1, 0, "1 lesson before it; 5 are needed"),
    (8, 4, "4 lessons since; 5 are needed"), (8, 0, "0 lessons since; 5 are needed"),
])  # fmt: skip
def test_below_five_lessons_nothing_is_said_but_how_many_there_are(before, since, words) -> None:
    effect = Effect(replace(BEFORE, lessons=before), replace(SINCE, lessons=since), 0)
    assert effect_words(effect) == effect_sentence(effect) == words


def test_acceptances_are_listed_newest_first_and_only_the_last_of_a_place_is_given_back() -> None:
    ones = [FIRST, replace(FIRST, id=2, old_s=255, new_s=270, cut_off=0),
            replace(FIRST, id=3, target="kinds", phase="", kind="partner-talk")]  # fmt: skip
    rows = accepted_rows(ones, {}, {})
    assert [(row.id, row.give_back) for row in rows] == [
        (3, "Give back 3:00"), (2, "Give back 4:15"), (1, ""),
    ]  # fmt: skip
    assert rows[0].cells == ("9 Mar 2026", "partner talk in phase kinds", "3:00 to 4:15", "8 (2 cut off)", "")
    assert rows[1].cells == ("9 Mar 2026", "review in thirds", "4:15 to 4:30", "8", "")


def test_proposals_that_go_past_a_shared_cap_are_told_before_they_are_accepted(invented):
    """Skip count and review share a cap of 5:00: 2:45 and 5:15 are 8:00 together."""
    from dataclasses import replace

    from pacer.review.learning.budgets import SortedPast, plan_of

    made = plan_of(SortedPast(()), invented).proposals
    proposed = {"skip": 165, "review": 315}
    some = [replace(one, proposed_s=proposed.get(one.phase)) for one in made]
    assert capped_words(some, invented) == [
        "Skip count and Review would need 8:00 together; their cap is 5:00."
    ]
    assert capped_words(made, invented) == []
