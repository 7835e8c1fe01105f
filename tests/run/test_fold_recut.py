"""Keeping a cut, with phases that leave, and taking it back: what the lesson remembers and for how long."""

from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.run.events import CutDeclined, CutKept, Event, Forecasted, body_from_json, body_to_json
from pacer.run.fold import fold
from pacer.run.legs import Leg

SKIP, REVIEW, MODEL, VOCABULARY, PRACTICE = range(5)


@pytest.fixture(scope="session")
def movable(new_outline: Callable):
    """Five phases; the second, third and fifth may leave."""
    rows = [{"budget": "5", "floor": "2"} | ({"movable": fate} if fate else {})
            for fate in ("", "table", "tomorrow", "", "dropped")]  # fmt: skip
    return new_outline(*rows)


def test_a_kept_cut_is_remembered_until_the_next_border(new_lesson: Callable) -> None:
    lesson = new_lesson(start="9:06", late_s=360).do("keep")
    assert lesson.session.events[-1].body == CutKept()
    assert lesson.state.cut_choice == "kept"
    assert lesson.wait(60).state.cut_choice == "kept"
    assert lesson.do("burst").do("eyes-back").do("take").state.cut_choice == "", (
        "another cut is another question"
    )
    assert lesson.do("keep").do("burst").do("pause").state.cut_choice == "kept", (
        "no other press but a move is a border"
    )
    assert lesson.do("next").state.cut_choice == ""


@pytest.mark.parametrize("move", [("next", "done"), ("back", ""), ("jump", "practice")])
def test_a_declined_cut_is_remembered_until_the_next_border(new_lesson: Callable, move: tuple) -> None:
    lesson = new_lesson().wait(100).do("next").do("uncut")
    assert lesson.session.events[-1].body == CutDeclined()
    assert lesson.wait(60).state.cut_choice == "declined"
    assert lesson.do(*move).state.cut_choice == ""


def test_time_given_by_hand_leaves_a_declined_cut_declined(new_lesson: Callable) -> None:
    """By hand: 2 of 25 min late, so a cut would take from phases; declined, each keeps what is written."""
    lesson = new_lesson(late_s=120).do("uncut").do("add").do("take")
    assert lesson.state.cut_choice == "declined"
    current = lesson.reading.allotments
    assert [current.allotted_s, *(seconds for _i, seconds in current.later)] == [150, 180, 420, 180, 480, 120]


def test_one_may_change_ones_mind_and_the_last_answer_counts(new_lesson: Callable) -> None:
    lesson = new_lesson()
    found = [lesson.do(press).state.cut_choice for press in ("keep", "uncut", "keep", "uncut")]
    assert found == ["kept", "declined", "kept", "declined"]
    found = [lesson.do("undo").state.cut_choice for _press in range(4)]
    assert found == ["kept", "declined", "kept", ""]


def test_undo_takes_a_move_back_with_the_answer_that_was_given_before_it(
    new_lesson: Callable, movable
) -> None:
    lesson = new_lesson(movable).do("keep", "p2").wait(9).do("next").do("uncut")
    assert (lesson.state.cut_choice, lesson.state.left) == ("declined", (1,))
    lesson.do("undo").do("undo")
    assert (lesson.state.phase.id, lesson.state.cut_choice, lesson.state.left) == ("p1", "kept", (1,))
    lesson.do("undo")
    assert (lesson.state.cut_choice, lesson.state.left) == ("", ())


def test_phases_leave_with_a_kept_cut_and_next_passes_them_over(new_lesson: Callable, movable) -> None:
    lesson = new_lesson(movable).do("keep", " p3, p2 ,")
    assert lesson.session.events[-1].body == CutKept(leaving=(2, 1))
    assert (lesson.state.left, lesson.state.next_index) == ((1, 2), 3)
    assert lesson.wait(60).do("next").state.phase.id == "p4"
    assert lesson.state.left == (1, 2), "a border does not bring them back"
    assert lesson.do("back").state.phase.id == "p1"


def test_one_more_may_leave_later_and_with_the_last_one_gone_next_leads_to_the_groups(
    new_lesson: Callable, movable
) -> None:
    lesson = new_lesson(movable).do("keep", "p2").do("keep", "p3").do("next")
    assert (lesson.state.phase.id, lesson.state.left, lesson.state.next_index) == ("p4", (1, 2), 4)
    lesson.do("keep", "p5")
    assert (lesson.state.left, lesson.state.next_index) == ((1, 2, 4), None)
    lesson.wait(30).do("next", "done")
    assert (lesson.state.index, lesson.state.ended_ms) == (None, None)
    assert lesson.state.legs == (Leg("move", 0, 30_000),)
    assert [lesson.state.ending_of(i) for i in range(5)] == ["unsaid", None, None, "done", None]
    lesson.wait(30).do("bell-now")
    assert [lesson.state.ending_of(i) for i in range(5)] == ["unsaid", *["skipped"] * 2, "done", "skipped"]


def test_with_the_last_phase_gone_and_no_groups_after_it_next_ends_the_lesson(
    new_lesson: Callable, new_outline: Callable
) -> None:
    share = {"budget": "5", "kind": "share", "movable": "dropped"}
    lesson = new_lesson(new_outline({"budget": "5"}, share)).do("keep", "p2")
    assert (lesson.state.left, lesson.state.next_index) == ((1,), None)
    lesson.wait(30).do("next", "done")
    assert (lesson.state.ended_ms, lesson.state.legs) == (30_000, ())
    assert [lesson.state.ending_of(i) for i in range(2)] == ["done", "skipped"]


def test_back_passes_over_a_phase_that_left_to_the_one_before_it(new_lesson: Callable, movable) -> None:
    lesson = new_lesson(movable).do("keep", "p3").do("next").do("next")
    assert lesson.state.phase.id == "p4"
    assert lesson.do("back").state.phase.id == "p2"


def test_a_jump_to_a_phase_that_left_brings_it_back(new_lesson: Callable, movable) -> None:
    lesson = new_lesson(movable).do("keep", "p2,p3").wait(60).do("jump", "p3")
    assert (lesson.state.phase.id, lesson.state.left) == ("p3", (1,))
    lesson.do("jump", "p1")
    assert lesson.state.next_index == 2, "it is in the lesson again"
    assert lesson.do("undo").do("undo").state.left == (1, 2)


def test_taking_the_cut_back_brings_back_who_left_with_it_and_no_one_else(
    new_lesson: Callable, movable
) -> None:
    lesson = new_lesson(movable).do("keep", "p2").do("uncut")
    assert (lesson.state.cut_choice, lesson.state.left) == ("declined", ())
    lesson.do("undo").do("next").do("keep", "p5").do("uncut")
    assert (lesson.state.phase.id, lesson.state.left) == ("p3", (1,)), "the second left at an earlier border"
    assert lesson.do("undo").state.left == (1, 4)


@pytest.mark.parametrize(
    ("before", "press", "reason"),
    [
        ([("keep", "")], ("keep", ""), "This cut is kept already."),
        ([("uncut", "")], ("uncut", ""), "The written budgets stand already."),
        ([], ("keep", "review,nowhere"), 'There is no phase "nowhere".'),
        ([], ("keep", "skip"), "Only a phase that is still to come can leave."),
        ([("jump", "model")], ("keep", "review"), "Only a phase that is still to come can leave."),
        ([], ("keep", "review,model"), 'The plan does not let "model" leave.'),
        ([("end", "")], ("keep", ""), "The lesson has ended."),
        ([("end", "")], ("uncut", ""), "The lesson has ended."),
    ],
)
def test_what_cannot_be_kept_or_taken_back_is_refused_and_changes_nothing(
    new_lesson: Callable, before: list, press: tuple, reason: str
) -> None:
    lesson = new_lesson()
    for earlier in before:
        lesson.do(*earlier)
    state, count = lesson.state, len(lesson.session.events)
    assert lesson.refused(*press) == reason
    assert (lesson.state, len(lesson.session.events)) == (state, count)


def test_a_forecast_is_kept_in_order_and_an_undo_passes_it_over(new_lesson: Callable) -> None:
    lesson = new_lesson()
    said = [Forecasted(index=0, low=0.5, high=share, end_ms=1_500_000, lessons=8) for share in (0.5, 1.0)]
    lesson.do("voice")
    for forecast in said:
        lesson.session.note(forecast)
        assert body_from_json(body_to_json(forecast)) == forecast
    assert lesson.state.forecasts == tuple(said)
    assert lesson.state.forecast == said[1]
    lesson.do("undo")
    assert (lesson.state.marks, lesson.state.forecasts) == ((), tuple(said))


PRESS = st.sampled_from(
    [
        *(("keep", ""), ("keep", "p2"), ("keep", "p3,p5"), ("keep", "p5"), ("keep", "p4"), ("uncut", "")),
        *(("next", "done"), ("next", ""), ("back", ""), ("jump", "p2"), ("jump", "p3"), ("jump", "p1")),
        *(("undo", ""), ("undo", ""), ("add", "1:00"), ("pause", ""), ("forecast", "")),
    ]
)


@given(st.lists(PRESS, max_size=20))
def test_the_live_state_is_the_fold_of_its_events_and_who_left_is_passed_over(
    new_lesson: Callable, movable, presses: list
) -> None:
    lesson = new_lesson(movable)
    for command, argument in presses:
        if command == "forecast":
            index = lesson.state.index or 0
            lesson.session.note(Forecasted(index=index, low=0.4, high=0.6, end_ms=9, lessons=6))
        else:
            lesson.session.do(command, argument)
        state, events = lesson.wait(1).state, lesson.session.events
        assert fold(events) == state
        assert fold([Event.model_validate_json(event.model_dump_json()) for event in events]) == state
        assert state.index not in state.left
        assert state.next_index not in state.left or state.next_index is None
        before = set(replace(state, visits=state.visits[:-1]).left) - {state.index}
        assert before <= set(state.left) <= {1, 2, 4}
        assert state.cut_choice in ("", "kept", "declined")
        if state.cut_choice == "declined":
            assert set(state.left) == before
