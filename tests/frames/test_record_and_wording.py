"""What a lesson came to, and times in words."""

from collections.abc import Callable
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.frames import wording
from pacer.frames.record import record
from pacer.pace.stages import Stage
from pacer.run.events import Ending


def test_the_record_has_planned_actual_and_ending_of_every_phase(new_lesson: Callable) -> None:
    lesson = new_lesson(start="14:06", late_s=360, offset_s=-5 * 3600)
    lesson.wait(100).do("next", "done").wait(200.4).do("next", "moved-on").wait(60).do(
        "jump", "practice"
    ).wait(30)
    lesson.do("jump", "model").wait(20).do("bell-now").wait(500)
    made = record(lesson.state, lesson.now_ms)
    assert (made.title, made.subject, made.date) == ("Thirds on a number line", "mathematics", "2026-03-09")
    assert (made.planned_start, made.start, made.mode, made.ended) == ("9:00", "9:06", "live", True)
    assert [
        (row.phase, row.planned, row.actual, row.ending, row.visits, row.cut_off) for row in made.phases
    ] == [
        ("skip", 120, 100, "done", 1, False),
        ("review", 180, 200, "moved on", 1, False),
        ("model", 420, 80, "bell", 2, True),
        ("vocabulary", 180, 0, "skipped", 0, False),
        ("practice", 480, 30, "unsaid", 1, False),
        ("look-back", 120, 0, "skipped", 0, False),
    ]
    assert (made.planned, made.actual) == (1500, 410)


def test_the_record_of_a_running_lesson_is_as_it_stands(new_lesson: Callable) -> None:
    lesson = new_lesson(with_cues=True).wait(100)
    made = record(lesson.state, lesson.now_ms)
    assert (made.ended, made.phases[0].actual, made.phases[0].ending, made.phases[1].ending) == (
        False,
        100,
        None,
        None,
    )
    assert made.cues == 1
    assert made.as_json()["phases"][0]["title"] == "Skip count"


def test_an_interrupted_phase_is_open(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(10).do("end", "interrupted")
    assert record(lesson.state, lesson.now_ms).phases[0].cut_off


@pytest.mark.parametrize(
    ("seconds", "words"), [(0, "0 s"), (45, "45 s"), (60, "1 min"), (90, "1 min 30 s"), (-90, "1 min 30 s")]
)
def test_lengths_of_time_can_be_read_aloud(seconds: int, words: str) -> None:
    assert wording.minutes_words(seconds) == words


@pytest.mark.parametrize(("seconds", "words"), [(228, "3:48"), (0, "0:00"), (-1, "+0:01"), (-70, "+1:10")])
def test_overrun_has_a_plus(seconds: int, words: str) -> None:
    assert wording.signed(seconds) == words


@given(st.integers(-(10**7), 10**7))
def test_a_second_counts_until_it_is_over(ms: int) -> None:
    shown = wording.whole_seconds(ms)
    assert (shown - 1) * 1000 < ms <= shown * 1000


def test_a_clock_time_is_the_minute_that_has_begun() -> None:
    ms = ((9 * 60 + 14) * 60 + 59) * 1000 + 999
    assert wording.clock_words(ms, 0) == "9:14"
    assert wording.clock_words(ms, -10 * 3600) == "23:14", "of the day before"


def test_every_stage_and_every_ending_has_words() -> None:
    assert {wording.stage_word(stage) for stage in get_args(Stage)} == {
        "READY", "STEADY", "CLOSING", "BORROWING", "MOVE ON", "PAUSED", "ENDED",
    }  # fmt: skip
    assert [wording.ending_words(ending) for ending in get_args(Ending)] == list(get_args(Ending))
    assert wording.ending_words(None) == "not yet"
