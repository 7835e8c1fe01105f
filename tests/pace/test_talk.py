"""Stretches of teacher talk, from modes and presses alone."""

from collections.abc import Callable

import pytest

from pacer.pace.talk import Segment, TalkStretch, segments, stretches, talk_now
from pacer.run.state import LessonState

MODES = {"T": "teacher", "C": "class", "P": "partners", "Q": "quiet", "U": "unmarked"}


def pieces(*ends: tuple[str, int]) -> list[Segment]:
    """Segments that follow each other, each with its mode and its end in seconds."""
    begin, found = 0, []
    for mode, end in ends:
        found.append(Segment(begin * 1000, end * 1000, MODES[mode]))
        begin = end
    return found


# A worked value of our own.
LESSON = (("C", 120), ("U", 300), ("T", 510), ("P", 530), ("T", 720), ("T", 780), ("P", 825), ("T", 900))
LESSON += (("Q", 1380), ("T", 1500))


def longest(found: list[TalkStretch]) -> TalkStretch:
    return max(found, key=lambda stretch: stretch.length_ms)


def test_the_longest_stretch_of_the_worked_lesson_is_four_ten_from_eight_fifty() -> None:
    assert longest(stretches(pieces(*LESSON), [])) == TalkStretch(530_000, 250_000)


def test_if_unmarked_time_was_talk_it_is_six_thirty_from_two_minutes() -> None:
    assert longest(stretches(pieces(*LESSON), [], unmarked_is_talk=True)) == TalkStretch(120_000, 390_000)


def test_the_worked_lesson_gives_the_same_when_it_is_run(new_lesson: Callable, new_outline: Callable) -> None:
    rows = [("2", "class"), ("3", "unmarked"), ("7", "teacher"), ("1", "teacher"), ("0:45", "partners"),
            ("1:15", "teacher"), ("8", "quiet"), ("2", "teacher")]  # fmt: skip
    lesson = new_lesson(new_outline(*({"budget": budget, "talk": talk} for budget, talk in rows)))
    lesson.wait(120).do("next").wait(180).do("next").wait(210).do("burst").wait(20).do("eyes-back").wait(190)
    for seconds in (60, 45, 75, 480, 120):
        lesson.do("next").wait(seconds)
    assert segments(lesson.state, lesson.now_ms) == pieces(*LESSON)
    assert longest(stretches(segments(lesson.state, lesson.now_ms), [])) == TalkStretch(530_000, 250_000)


@pytest.mark.parametrize(
    ("between", "breaks"),
    [
        ((("P", 69),), False),
        ((("P", 70),), True),
        ((("Q", 89),), False),
        ((("Q", 90),), True),
        ((("C", 61),), True),
        ((("U", 61),), True),
    ],
)
def test_a_burst_of_ten_or_quiet_of_thirty_seconds_breaks_a_stretch(between: tuple, breaks: bool) -> None:
    end = between[-1][1] + 60
    found = stretches(pieces(("T", 60), *between, ("T", end)), [])
    whole = [TalkStretch(0, 120_000)]
    assert found == ([TalkStretch(0, 60_000), TalkStretch((end - 60) * 1000, 60_000)] if breaks else whole)


def test_a_childs_voice_breaks_a_stretch_where_it_is_heard() -> None:
    talk = pieces(("T", 60), ("T", 100))
    assert stretches(talk, [40_000]) == [TalkStretch(0, 40_000), TalkStretch(40_000, 60_000)]
    assert stretches(talk, [0]) == [TalkStretch(0, 100_000)]
    assert stretches(talk, [60_000]) == [TalkStretch(0, 60_000), TalkStretch(60_000, 40_000)]
    assert stretches(talk, [100_000]) == [TalkStretch(0, 100_000)]


def test_the_stretch_under_way_crosses_borders_and_leaves_pauses_out(new_lesson: Callable) -> None:
    lesson = (
        new_lesson()
        .do("jump", "model")
        .wait(100)
        .do("pause")
        .wait(50)
        .do("go-on")
        .wait(10)
        .do("next")
        .wait(20)
    )
    assert talk_now(lesson.state, lesson.now_ms) == TalkStretch(0, 130_000)
    lesson.do("burst").wait(15)
    assert talk_now(lesson.state, lesson.now_ms) is None
    lesson.do("eyes-back").wait(5)
    assert talk_now(lesson.state, lesson.now_ms) == TalkStretch(195_000, 5_000)
    lesson.do("voice").wait(7)
    assert talk_now(lesson.state, lesson.now_ms) == TalkStretch(200_000, 7_000)


def test_no_stretch_while_others_talk_or_nothing_runs(new_lesson: Callable) -> None:
    assert talk_now(LessonState(), 0) is None
    lesson = new_lesson().wait(60)
    assert talk_now(lesson.state, lesson.now_ms) is None
    lesson.do("jump", "model").wait(60).do("end")
    assert talk_now(lesson.state, lesson.now_ms) is None


def test_an_undone_burst_breaks_nothing(new_lesson: Callable) -> None:
    lesson = new_lesson().do("jump", "model").wait(60).do("burst").wait(20).do("undo").wait(10)
    assert talk_now(lesson.state, lesson.now_ms) == TalkStretch(0, 90_000)
