"""What the fit bar says of a plan: pieces that add up to the block, one verdict, plain notices."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.frames.words.fit import fit_frame
from pacer.plan.fit import fit_of
from pacer.plan.outline import Outline
from pacer.plan.rules import ProblemPace


def frame(outline: Outline, pace: ProblemPace | None = None):
    return fit_frame(outline, fit_of(outline), pace)


def test_a_plan_that_fits_says_so_and_shows_the_block_to_scale(invented: Outline) -> None:
    shown = frame(invented)
    assert shown.verdict == "Fits 25:00 exactly, and takes 3:40 from the groups."
    assert [(piece.kind, piece.seconds, piece.words) for piece in shown.pieces] == [
        ("phases", 1500, "phases 25"),
        ("moves", 300, "transitions 5"),
        ("groups", 2340, "groups 39"),
        ("share", 300, "share 5"),
        ("clean_up", 60, "clean-up 1"),
    ]
    assert shown.details == (
        "Budgets 25:00, floors 15:30",
        "mini lesson 25:00 + transition 2:00 + 3 visits of 13:00 + 2 swaps of 1:30 + share 5:00 "
        "+ clean-up 1:00 = 75:00 of 75:00",
        "Groups get 1.56 times the mini lesson; one of 21:20 leaves them twice its time",
        "Warm-up and review 5:00 of 5:00",
        "Longest talk of yours 8:15: Model, Vocabulary and talk",
    )
    assert shown.notices == ("A talk of over 5 min is planned: partner talk would break it up.",)


def test_the_parts_of_the_whole_block_add_up_also_where_they_are_too_much(
    new_outline: Callable,
) -> None:
    """Own arithmetic: 30:00 in 75:00 leave three visits of 11:20, timed 11:15; the share gets the 0:15."""
    assert frame(new_outline({"budget": "30"})).details[1] == (
        "mini lesson 30:00 + transition 2:00 + 3 visits of 11:15 + 2 swaps of 1:30 + share 5:15 "
        "+ clean-up 1:00 = 75:00 of 75:00"
    )
    assert frame(new_outline({"budget": "75"})).details[1].endswith("+ clean-up 1:00 = 86:00 of 75:00")
    assert frame(new_outline({"budget": "30"}, groups=1)).details[1] == (
        "mini lesson 30:00 + transition 2:00 + visit 37:00 + share 5:00 + clean-up 1:00 = 75:00 of 75:00"
    )
    typed = new_outline({"budget": "30"}, {"budget": "12", "kind": "group"})
    assert not any("of 75:00" in line for line in frame(typed).details)


def test_too_much_and_to_spare_and_even_the_floors_too_long(new_outline: Callable) -> None:
    rows = [{"budget": "10", "floor": "5"}, {"budget": "15", "floor": "10"}]
    assert frame(new_outline(*rows, mini_lesson="30")).verdict == (
        "Fits 30:00 with 5:00 to spare, and takes 8:40 from the groups."
    )
    assert (
        frame(new_outline(*rows, mini_lesson="20")).verdict == "5:00 too long for 20:00: budgets will be cut."
    )
    assert frame(new_outline(*rows, mini_lesson="10")).verdict == (
        "Even the floors are 5:00 too long for 10:00: a phase must leave."
    )


def test_everything_unusual_is_told_and_nothing_is_refused(new_outline: Callable) -> None:
    """The limits are common practice, no source."""
    outline = new_outline(
        {"budget": "3", "kind": "warm-up"},
        {"budget": "4", "kind": "review", "examples": 2},
        {"budget": "8", "kind": "modeling", "examples": 4},
        minutes=45,
    )
    assert frame(outline, ProblemPace(180, 4)).notices == (
        "A visit is 6:15 long, under the least of 8:00. 2 groups fit, with 10:15 each.",
        "The block is under 60 min: shorter than is usual for a workshop.",
        "The mini lesson is outside the usual 20 to 30 min.",
        "Warm-up and review are 2:00 past their cap.",
        "4 examples to model: one or two are usual.",
        "A talk of over 5 min is planned: partner talk would break it up.",
        "2 review problems are planned, and 0 fit (about 3:00 each, by 4 lessons).",
    )
    assert "review problems" not in " ".join(frame(outline).notices), "nobody knows her pace"


@pytest.mark.parametrize(
    ("planned", "pace", "told", "detail"),
    [
        (3, ProblemPace(60, 8), "", "Review problems 3, and 3 would fit (about 1:00 each, by 8 lessons)"),
        (
            4,
            ProblemPace(60, 8),
            "4 review problems are planned, and 3 fit (about 1:00 each, by 8 lessons).",
            "",
        ),
        (2, ProblemPace(90), "", "Review problems 2, and 2 would fit (1:30 each, as you typed)"),
        (0, ProblemPace(60, 8), "", ""),
        (3, None, "", ""),
    ],
)
def test_whether_the_review_problems_fit_is_said_with_the_lessons_behind_it(
    new_outline: Callable, planned: int, pace: ProblemPace | None, told: str, detail: str
) -> None:
    """By hand: a warm-up of 2:00 leaves 3:00 of the cap, and the review has 4:00."""
    outline = new_outline(
        {"budget": "2", "kind": "warm-up"}, {"budget": "4", "kind": "review", "examples": planned}
    )
    shown = frame(outline, pace)
    assert [line for line in shown.notices if "review problem" in line] == [told] * bool(told)
    assert [line for line in shown.details if "Review problem" in line] == [detail] * bool(detail)


def test_review_problems_fit_no_more_than_their_own_phase_has_time_for(new_outline: Callable) -> None:
    outline = new_outline({"budget": "2", "kind": "review", "examples": 4})
    assert "4 review problems are planned, and 2 fit (about 1:00 each, by 5 lessons)." in (
        frame(outline, ProblemPace(60, 5)).notices
    )


def test_a_plan_of_usual_size_has_no_notices(new_outline: Callable) -> None:
    assert frame(new_outline({"budget": "20"}, minutes=75)).notices == ()


@given(st.integers(1, 5400), st.integers(300, 8 * 3600), st.integers(0, 12), st.integers(1, 7200))
def test_the_pieces_always_add_up_to_the_block(
    new_outline: Callable, budget: int, block: int, groups: int, mini: int
) -> None:
    outline = new_outline(
        {"budget": f"{budget} s"}, minutes=f"{block} s", groups=groups, mini_lesson=f"{mini} s"
    )
    shown = frame(outline)
    assert sum(piece.seconds for piece in shown.pieces) == shown.block_s == block
    assert all(piece.seconds > 0 for piece in shown.pieces)


def test_phases_to_teach_behind_a_move_are_told(new_outline: Callable) -> None:
    rows = [
        {"title": "Review", "kind": "review", "budget": "3"},
        {"title": "To the carpet", "kind": "move", "budget": "1"},
        {"title": "Practice", "kind": "guided-practice", "budget": "8"},
        {"title": "Look back", "kind": "look-back", "budget": "2"},
    ]
    assert frame(new_outline(*rows)).notices[0] == (
        "Practice, Look back come after “To the carpet” and count with the groups; "
        "if not, correct the kind of “To the carpet”."
    )
    assert not any("after “To the carpet”" in words for words in frame(new_outline(*rows[:2])).notices)


@pytest.mark.parametrize("kind", ["move", "group", "share"])
def test_an_outline_without_a_mini_lesson_is_no_fault(new_outline: Callable, kind: str) -> None:
    shown = frame(new_outline({"title": "First", "kind": kind, "budget": "3"}))
    assert shown.verdict == "No phase belongs to the mini lesson."


def test_budgets_that_nothing_was_written_for_are_held_against_a_third(
    new_outline: Callable,
) -> None:
    """By hand: a block of 75 has 64 for both, of which a third is 21:20."""
    long = [{"budget": "20"}, {"budget": "25"}]
    assert frame(new_outline(*long)).verdict == "45:00 planned, and 23:40 of it is taken from the groups."
    longer = [{"budget": "60"}, {"budget": "60"}]
    assert frame(new_outline(*longer)).verdict == ("120:00 is 56:00 longer than the block has room for.")


def test_what_no_lesson_can_keep_comes_first_with_what_to_do(new_outline: Callable) -> None:
    shown = frame(new_outline({"title": "Review", "budget": "10", "cap": "9"}))
    assert shown.notices[0] == (
        'The cap of "Review" (9:00) is under its budget (10:00). '
        "Make the cap longer, or what it caps shorter."
    )


@pytest.mark.parametrize(
    ("block", "verdict"),
    [
        ({"minutes": 40, "mini_lesson": "50"}, "50:00 is 21:00 longer than the block has room for."),
        ({"minutes": 40, "mini_lesson": "35"}, "35:00 is 6:00 longer than the block has room for."),
        ({"mini_lesson": "4"}, "Even the floors are 1:00 too long for 4:00: a phase must leave."),
        ({"mini_lesson": "9"}, "1:00 too long for 9:00: budgets will be cut."),
    ],
)
def test_what_the_verdict_says_is_not_said_again_below_it(
    new_outline: Callable, block: dict, verdict: str
) -> None:
    shown = frame(new_outline({"budget": "10", "floor": "5"}, **block))
    assert shown.verdict == verdict
    assert not any("too long" in words or "longer than the block" in words for words in shown.notices)
