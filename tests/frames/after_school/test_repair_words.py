"""A lesson being mended, in words: its borders, what was said and what is to be said. Worked by hand."""

from collections.abc import Callable

import pytest

from pacer.frames.after_school.repair_words import day_words, last_words, over_phases, said_words, unsaid
from pacer.frames.after_school.timeline import timeline
from pacer.run.corrections import (
    BorderMoved,
    Correction,
    Corrections,
    DayFlagged,
    EndingSaid,
    LineWent,
    ReasonGiven,
    StartMoved,
    TomorrowNoted,
    VisitSplit,
    WentTo,
    effective,
)
from pacer.run.repair import repaired
from pacer.run.state import LessonState


@pytest.fixture
def lesson(new_lesson: Callable) -> LessonState:
    """Skip count 9:00 to 9:02:30 and done, review to 9:07:50 unsaid, model to 9:17:30, then the bell."""
    made = new_lesson().do("table-mark").wait(150).do("next", "done").wait(320).do("next").wait(580)
    return made.do("bell-now").state


def after(*bodies: object) -> Corrections:
    return effective([Correction(number, 0, body) for number, body in enumerate(bodies)])


def test_a_mended_border_tells_the_time_before_and_the_day_that_it_is_repaired(lesson: LessonState) -> None:
    said = after(BorderMoved(visit=1, t_ms=400_000))
    line = timeline(lesson, repaired(lesson, said))
    assert line.border_words(2) == (
        "Border 3 of 4: Review ends, Model begins at 9:06:40, before the repair 9:07:50"
    )
    assert line.was == (470_000,)
    assert day_words(said, as_it_was=False) == "repaired: 1 change of times"
    assert day_words(said, as_it_was=True) == "As it was, before the repair"
    assert day_words(after(DayFlagged(flagged=True)), as_it_was=False) == "Nothing is repaired."


@pytest.mark.parametrize(
    ("body", "words"),
    [
        (StartMoved(early_ms=60_000), "the lesson begins with Skip count at 8:59"),
        (BorderMoved(visit=0, t_ms=120_000), "Skip count ends, Review begins at 9:02"),
        (VisitSplit(visit=1, t_ms=300_000, to=3), "Vocabulary and talk begins at 9:05, within Review"),
        (EndingSaid(phase=1, ending="done"), "Review ended: done"),
        (ReasonGiven(phase=1, reason="questions"), "Review: many questions"),
        (ReasonGiven(phase=1, reason=""), "Review: no reason"),
        (WentTo(phase=4, to="table"), "Practice · table tomorrow"),
        (WentTo(phase=4, to="done"), "Practice · was done"),
        (WentTo(phase=4, to=""), "Practice · where the outline sends it"),
        (LineWent(about="marked", of=0, to="dropped"), "Skip count: 1 mark · dropped"),
        (LineWent(about="marked", of=0, to=""), "Skip count: 1 mark · still open"),
        (LineWent(about="stuck", of=9, to="table"), "a change that no longer fits"),
        (DayFlagged(flagged=True), "not like other days"),
        (DayFlagged(flagged=False), "like other days after all"),
        (BorderMoved(visit=9, t_ms=0), "a change that no longer fits"),
    ],
)
def test_each_thing_that_was_said_has_words(lesson: LessonState, body, words: str) -> None:
    assert said_words(lesson, lesson, body) == words
    assert last_words(lesson, after(body, TomorrowNoted(text="less review"))) == words


def test_endings_that_nobody_said_are_asked_for_with_what_learning_takes_them_for(
    lesson: LessonState,
) -> None:
    (one,) = unsaid(lesson, {1: "move_on"})
    assert (one.phase, one.question, one.guess) == (1, "How did Review end?", "counts as moved on")
    assert [each.guess for each in unsaid(lesson, {})] == ["counts as done"]
    assert [each.guess for each in unsaid(lesson, None)] == [""]


def test_what_ran_over_by_a_quarter_minute_is_asked_for_a_reason(lesson: LessonState) -> None:
    over = over_phases(lesson, after(ReasonGiven(phase=2, reason="needed")))
    assert [(one.phase, one.words, one.reason) for one in over] == [
        (0, "Skip count +0:30", ""),
        (1, "Review +2:20", ""),
        (2, "Model +2:40", "needed"),
    ]
    assert over_phases(LessonState(), after()) == ()
