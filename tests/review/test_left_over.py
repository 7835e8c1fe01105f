"""What a lesson left over: unticked lines and phases that were not taught, open until somebody says where."""

import pytest

from pacer.plan.outline import Outline
from pacer.review.left_over import left_over
from pacer.run.corrections import BorderMoved, Correction, LineWent, VisitSplit, WentTo, effective
from pacer.run.repair import repaired
from pacer.run.session import Session
from pacer.run.table_list import LineKey
from tests.review.left_over_factories import PRESSES, ended, with_list


def found(session: Session, *said: object) -> dict[str, tuple[str, bool, bool]]:
    """Where each went, whether she said so, and whether it is open, by its words."""
    state = session.state
    after = effective([Correction(number, 0, body) for number, body in enumerate(said)])
    left = left_over(state, repaired(state, after), after)
    return {each.text: (each.went, each.is_said, each.is_open) for each in left if each.is_asked}


@pytest.fixture(scope="module")
def lesson(invented: Outline) -> Session:
    return ended(with_list(invented))


def test_each_unticked_line_and_each_untaught_phase_is_asked_about_once(lesson: Session) -> None:
    """Sort the cards was ticked. Review stands for its line; the last two phases were on no list."""
    assert found(lesson) == {
        "Review": ("", False, True),
        "Finish page 12": ("", False, True),
        "Skip count: 1 mark": ("", False, True),
        "Problem 3: 1 stuck": ("", False, True),
        "Practice": ("", False, False),
        "Look back": ("", False, False),
    }


def test_what_is_said_stands_and_an_empty_word_opens_it_again(lesson: Session) -> None:
    said = (
        LineWent(about="written", of=1, to="table"),
        LineWent(about="stuck", of=3, to="dropped"),
        LineWent(about="marked", of=0, to="done"),
        WentTo(phase=1, to="done"),
    )
    went = found(lesson, *said)
    assert {words: went[words] for words in list(went)[:4]} == {
        "Review": ("done", True, False),
        "Finish page 12": ("table", True, False),
        "Skip count: 1 mark": ("done", True, False),
        "Problem 3: 1 stuck": ("dropped", True, False),
    }
    taken = found(lesson, *said, LineWent(about="written", of=1, to=""), WentTo(phase=1, to=""))
    assert (taken["Finish page 12"], taken["Review"]) == (("", False, True), ("", False, True))


def test_a_ticked_phase_is_not_asked_about(invented: Outline) -> None:
    assert "Review" not in found(ended(invented, ("keep review", "groups", "tick", "next", "bell-now")))


def test_a_repair_changes_what_was_taught_and_never_which_line_was_ticked(lesson: Session) -> None:
    """A press was forgotten: the class was in the review. A mark that is mended keeps the line it had."""
    assert "Review" not in found(lesson, VisitSplit(visit=0, t_ms=200_000, to=1))
    moved = found(lesson, BorderMoved(visit=0, t_ms=30_000))
    assert "Skip count: 1 mark" in moved
    assert len(moved) == 6


def test_a_lesson_cut_off_before_its_groups_has_its_list_still_to_do(invented: Outline) -> None:
    left = found(ended(with_list(invented), ("tally 2", "bell-now")))
    assert [words for words, (_went, _said, is_open) in left.items() if is_open] == [
        "Sort the cards", "Finish page 12", "Problem 2: 1 stuck",
    ]  # fmt: skip


def test_rehearsals_running_lessons_and_groups_typed_as_phases_have_no_list_to_answer_for(
    invented: Outline, new_outline
) -> None:
    assert found(ended(with_list(invented), mode="rehearsal")) == {}
    assert found(ended(with_list(invented), PRESSES[:-1])) == {}
    typed = with_list(new_outline({"budget": "5"}, {"budget": "10", "kind": "group"}))
    left = found(ended(typed, ("tally 1", "next", "bell-now")))
    assert left == {"P2": ("", False, False)}, "the group itself was cut off"


def test_where_the_outline_sends_a_phase_is_its_answer_unless_the_desk_listed_it(invented: Outline) -> None:
    """Review may leave for the table; here it was passed over, so it was on no list."""
    left = found(ended(invented, ("jump model", "groups", "bell-now")))
    assert left["Review"] == ("table", False, False)


def test_keys_of_lines_are_those_of_the_desk(lesson: Session) -> None:
    after = effective([])
    keys = [each.key for each in left_over(lesson.state, lesson.state, after)]
    assert {line.key for line in lesson.state.table_list} <= set(keys)
    assert LineKey("moved", 4) in keys
