"""What is said after school comes back from its text; the last word counts until it is taken back."""

import pytest
from hypothesis import given
from pydantic import ValidationError

from pacer.run.corrections import (
    BorderMoved,
    Correction,
    DayFlagged,
    LineWent,
    ReasonGiven,
    TakenBack,
    TomorrowNoted,
    TomorrowNoteDone,
    WentTo,
    after_from_json,
    effective,
)
from tests.run.correction_factories import BODY, said


@given(BODY)
def test_what_is_said_comes_back_from_its_text(body) -> None:
    assert after_from_json(body.model_dump_json()) == body
    assert type(after_from_json(body.model_dump_json())) is type(body)


@pytest.mark.parametrize(
    "text",
    [
        "",
        "{}",
        "null",
        '{"kind": "border_moved", "visit": -1, "t_ms": 5}',
        '{"kind": "border_moved", "visit": 1}',
        '{"kind": "start_moved", "early_ms": -1}',
        '{"kind": "start_moved", "early_ms": 3600001}',
        '{"kind": "went_to", "phase": 1, "to": "extension"}',
        '{"kind": "line_went", "about": "written", "of": -2, "to": "table"}',
        '{"kind": "line_went", "about": "spoken", "of": 1, "to": "table"}',
        '{"kind": "visit_split", "visit": 1, "t_ms": 5, "to": -1}',
        '{"kind": "reason_given", "phase": 1, "reason": "x"}',
        '{"kind": "ending_said", "phase": 1, "ending": "never"}',
        '{"kind": "day_flagged", "flagged": true, "more": 1}',
        '{"kind": "of a newer program"}',
    ],
)
def test_a_text_that_says_nothing_known_is_refused(text: str) -> None:
    with pytest.raises(ValueError, match="validation error"):
        after_from_json(text)


def test_the_thing_for_tomorrow_is_a_line_of_at_most_200_letters() -> None:
    assert TomorrowNoted(text="x" * 200).text
    with pytest.raises(ValidationError):
        TomorrowNoted(text="x" * 201)


def test_an_empty_reason_takes_the_reason_away_and_the_last_word_counts() -> None:
    reasons = [ReasonGiven(phase=1, reason="late"), ReasonGiven(phase=1, reason="")]
    flags = [DayFlagged(flagged=True), DayFlagged(flagged=False)]
    after = effective(said(*reasons, *flags, TomorrowNoted(text="a"), TomorrowNoted(text="b")))
    assert (after.reasons, after.flagged, after.thing) == ((), False, "b")


def test_taking_back_what_was_taken_back_or_never_said_does_nothing() -> None:
    moved = BorderMoved(visit=0, t_ms=200_000)
    after = effective(
        said(moved, TakenBack(target=0), TakenBack(target=1), TakenBack(target=0), TakenBack(target=99))
    )
    assert after.effective == ()
    assert effective(said(TakenBack(target=1), moved)).effective == (Correction(1, 1_790_000_000_001, moved),)


def test_where_a_phase_went_is_no_repair_the_last_word_counts_and_an_empty_one_takes_it_away() -> None:
    after = effective(said(WentTo(phase=4, to="table"), WentTo(phase=5, to="dropped")))
    assert (after.went, after.is_repaired) == (((4, "table"), (5, "dropped")), False)
    after = effective(said(WentTo(phase=4, to="table"), WentTo(phase=4, to="tomorrow")))
    assert after.went == ((4, "tomorrow"),)
    assert effective(said(WentTo(phase=4, to="table"), WentTo(phase=4, to=""))).went == ()
    assert effective(said(WentTo(phase=4, to="table"), TakenBack(target=0))).went == ()


def test_where_a_line_of_the_table_list_went_is_no_repair_and_the_last_word_counts() -> None:
    first, last = (LineWent(about="stuck", of=3, to=to) for to in ("table", "done"))
    other = LineWent(about="marked", of=3, to="dropped")
    after = effective(said(first, other, last))
    assert (after.lines, after.is_repaired) == (((("stuck", 3), "done"), (("marked", 3), "dropped")), False)
    assert effective(said(first, last, TakenBack(target=1))).lines == ((("stuck", 3), "table"),)
    assert effective(said(first, LineWent(about="stuck", of=3, to=""))).lines == ()


def test_a_thing_that_is_done_is_not_done_again_when_another_is_written() -> None:
    done = effective(said(TomorrowNoted(text="a"), TomorrowNoteDone(done=True)))
    assert (done.thing, done.thing_done, done.is_repaired) == ("a", True, False)
    assert not effective(
        said(TomorrowNoted(text="a"), TomorrowNoteDone(done=True), TomorrowNoteDone(done=False))
    ).thing_done
    assert not effective(
        said(TomorrowNoted(text="a"), TomorrowNoteDone(done=True), TomorrowNoted(text="b"))
    ).thing_done
