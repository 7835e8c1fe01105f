"""Whether a plan fits its mini lesson and its block: own worked values, and sums that add up."""

from collections.abc import Callable
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.plan.fit import LongestTalk, fit_of, honest_mini_lesson_s, planned_stretch
from pacer.plan.outline import Block, Outline


@pytest.mark.parametrize(("minutes", "mini_s"), [(60, 980), (75, 1280), (90, 1580)])
def test_an_honest_mini_lesson_leaves_groups_twice_as_much(minutes: int, mini_s: int) -> None:
    """Own worked values: share 5, moves 5, clean-up 1 leave 16:20, 21:20 and 26:20. The share of a third is
    common practice, no source."""
    block = Block(length_s=minutes * 60, move_s=120, groups=3, swap_s=90, clean_up_s=60, share_s=300)
    assert honest_mini_lesson_s(block) == mini_s


def test_twenty_five_minutes_in_a_block_of_seventy_five_leave_thirty_nine_for_groups(
    invented: Outline,
) -> None:
    """Own worked values of the invented plan: budgets 25:00, floors 15:30, 1 : 1.56."""
    fit = fit_of(invented)
    assert (fit.budgets_s, fit.floors_s, fit.length_s, fit.spare_s) == (1500, 930, 1500, 0)
    assert (fit.parts.groups_s, fit.parts.ratio) == (39 * 60, Fraction(39, 25))
    assert (fit.review_s, fit.review_cap_s, fit.examples) == (300, 300, 2)


def test_the_longest_planned_stretch_runs_across_phase_borders_and_a_burst_parts_it(
    invented: Outline,
) -> None:
    """Model 7:00, then vocabulary 3:00 with half a minute of partner talk in its middle: 7:00 + 1:15."""
    assert fit_of(invented).stretch == LongestTalk(495, (2, 3))


def test_class_talk_breaks_a_stretch_and_a_short_quiet_phase_does_not(new_outline: Callable) -> None:
    rows = [
        {"budget": "2", "talk": "teacher"},
        {"budget": "0:20", "talk": "quiet"},
        {"budget": "1", "talk": "teacher"},
        {"budget": "1", "talk": "class"},
        {"budget": "2", "talk": "teacher"},
    ]
    assert planned_stretch(new_outline(*rows).phases) == LongestTalk(180, (0, 2))
    rows[1]["budget"] = "0:30"
    assert planned_stretch(new_outline(*rows).phases) == LongestTalk(120, (0,))
    assert planned_stretch(()) == LongestTalk(0, ())


def test_a_block_without_groups_has_no_moves_and_no_ratio_worth_a_word(new_outline: Callable) -> None:
    fit = fit_of(new_outline({"budget": "30"}, minutes=45, groups=0))
    assert (fit.parts.move_s, fit.parts.swaps_s, fit.parts.groups_s, fit.parts.ratio) == (0, 0, 0, 0)
    assert fit.review_cap_s is None


@given(
    st.integers(300, 8 * 3600), st.integers(0, 600), st.integers(0, 12), st.integers(0, 300),
    st.integers(0, 600), st.integers(0, 1200),
)  # fmt: skip
def test_the_honest_split_of_a_block_never_takes_more_than_there_is(
    length: int, move: int, groups: int, swap: int, clean_up: int, share: int
) -> None:
    block = Block(
        length_s=length, move_s=move, groups=groups, swap_s=swap, clean_up_s=clean_up, share_s=share
    )
    mini = honest_mini_lesson_s(block)
    moves = move + (groups - 1) * swap if groups else 0
    left = max(0, length - share - clean_up - moves) - mini
    assert mini >= 0
    assert left == 0 if not groups else 2 * mini <= left < 2 * mini + 3
