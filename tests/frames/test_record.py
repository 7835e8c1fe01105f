"""What a lesson came to, and times in words."""

from collections.abc import Callable
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.frames.record import marks_words, record
from pacer.frames.words import wording
from pacer.pace.stages import Stage
from pacer.run.events import Ending, Mode, ScreensChanged, Stalled


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
    assert [row.over for row in made.phases] == [-20, 20, None, None, -450, None], "the bell cut model off"


def test_the_record_of_a_running_lesson_is_as_it_stands(new_lesson: Callable) -> None:
    lesson = new_lesson(with_cues=True).wait(120)
    made = record(lesson.state, lesson.now_ms)
    assert (made.ended, made.phases[0].actual, made.phases[0].ending, made.phases[1].ending) == (
        False,
        120,
        None,
        None,
    )
    assert made.cues == 0
    assert (made.phases[0].over, made.phases[1].over) == (0, None), "to the second, and not reached"
    assert made.as_json()["phases"][0]["title"] == "Skip count"


def test_the_record_tells_start_and_plan_by_the_clock_as_it_was_set(new_lesson: Callable) -> None:
    lesson = new_lesson(start="23:58").wait(10)
    lesson.clock.shift_utc(360_000)
    made = record(lesson.wait(5).do("end").state, lesson.now_ms)
    assert (made.planned_start, made.start, made.date) == ("0:04", "0:04", "2026-03-10")
    assert (made.phases[0].actual, made.actual) == (15, 15)


def test_an_interrupted_phase_is_open(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(10).do("end", "interrupted")
    assert record(lesson.state, lesson.now_ms).phases[0].cut_off


@pytest.mark.parametrize("ends", [("bell-now",), ("end", "interrupted")])
@pytest.mark.parametrize(("seconds", "over"), [(119, None), (120, 0), (121, 1)])
def test_a_phase_cut_off_before_its_time_was_neither_short_nor_long(
    new_lesson: Callable, ends: tuple[str, ...], seconds: int, over: int | None
) -> None:
    lesson = new_lesson().wait(seconds).do(*ends)
    row = record(lesson.state, lesson.now_ms).phases[0]
    assert (row.cut_off, row.actual, row.over) == (True, seconds, over)


def test_a_phase_that_was_moved_on_from_early_was_short(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(90).do("next", "moved-on")
    assert record(lesson.state, lesson.now_ms).phases[0].over == -30


def test_the_record_counts_what_was_pressed_beside_the_phases(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(5)
    for press in (("tally", "3"), ("voice",), ("table-mark",), ("tally", "1"), ("happened",),
                  ("tally", "3"), ("voice",), ("example",), ("voice",), ("undo",)):  # fmt: skip
        lesson.wait(1).do(*press)
    made = record(lesson.do("next").state, lesson.now_ms)
    assert (made.voices, made.table_marks, made.happened, made.stuck) == (2, 1, 1, (1, 3, 3))
    found = made.as_json()
    assert {key: found[key] for key in ("voices", "table_marks", "happened", "stuck")} == {
        "voices": 2, "table_marks": 1, "happened": 1, "stuck": (1, 3, 3),
    }  # fmt: skip
    assert marks_words(made) == (
        "1 mark for the table · stuck on problem 1 (1), 3 (2) · 2 children's voices · something happened: 1"
    )


@pytest.mark.parametrize(
    ("presses", "words"),
    [
        ((), ""),
        ((("example",), ("hide",)), ""),
        ((("voice",),), "1 child's voice"),
        ((("table-mark",), ("table-mark",)), "2 marks for the table"),
        ((("tally", "7"),), "stuck on problem 7 (1)"),
        ((("happened",), ("happened",)), "something happened: 2"),
    ],
)
def test_the_marks_in_words_name_only_what_there_was(
    new_lesson: Callable, presses: tuple[tuple[str, ...], ...], words: str
) -> None:
    lesson = new_lesson()
    for press in presses:
        lesson.wait(1).do(*press)
    assert marks_words(record(lesson.state, lesson.now_ms)) == words


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(0, "0 s"), (59, "59 s"), (60, "1 min"), (3599, "59 min"), (3600, "1 h"), (86_399, "23 h"),
     (86_400, "1 day"), (172_799, "1 day"), (172_800, "2 days")],
)  # fmt: skip
def test_how_long_ago_something_was_is_said_in_the_largest_unit_that_has_passed_whole(
    seconds: int, words: str
) -> None:
    assert wording.ago_words(seconds) == words


@pytest.mark.parametrize(("seconds", "words"), [(228, "3:48"), (0, "0:00"), (-1, "+0:01"), (-70, "+1:10")])
def test_overrun_has_a_plus(seconds: int, words: str) -> None:
    assert wording.signed(seconds) == words


@pytest.mark.parametrize(
    ("seconds", "words"), [(None, ""), (0, "0:00"), (70, "+1:10"), (-20, "−0:20"), (-3600, "−60:00")]
)
def test_over_the_plan_has_a_plus_and_under_it_a_minus(seconds: int | None, words: str) -> None:
    assert wording.over_words(seconds) == words


@pytest.mark.parametrize(
    ("cut_off", "reached", "words"), [(False, True, "9:05"), (True, True, "≥ 9:05"), (True, False, "")]
)
def test_a_phase_that_was_cut_off_took_at_least_so_long(cut_off: bool, reached: bool, words: str) -> None:
    assert wording.took_words(545, cut_off=cut_off, reached=reached) == words


def test_a_lesson_that_is_not_an_ordinary_one_is_named() -> None:
    assert [wording.mode_words(mode) for mode in get_args(Mode)] == ["", "rehearsal", "invented", "baseline"]


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
    said = [wording.ending_words(ending) for ending in get_args(Ending)]
    assert said == ["done", "moved on", "nobody said", "bell", "interrupted", "skipped"]
    assert wording.ending_words(None) == "not yet"


def test_the_record_tells_what_the_room_did(new_lesson: Callable) -> None:
    lesson = new_lesson(start="9:00").do("burst").wait(30).do("eyes-back").wait(8).do("settled").do("blank")
    lesson.wait(2).do("blank")
    lesson.session.note(ScreensChanged(screens=("A 1366x768 at 0,0, primary",), wall="", curtain=True))
    lesson.session.note(Stalled(late_ms=3100))
    made = record(lesson.state, lesson.now_ms)
    assert (made.settle_s, made.blanks, made.stalls_ms) == ((8,), 1, (3100,))
    (row,) = made.as_json()["screens"]
    assert row == {
        "time": "09:00:40", "screens": ("A 1366x768 at 0,0, primary",), "wall": "", "curtain": True,
    }  # fmt: skip
    assert marks_words(made) == (
        "eyes were back after 0:08 · Wall blank 1 time · screens changed 1 time · windows stood still 1 time"
    )


def test_the_record_has_each_visit_and_what_lies_around_them(new_lesson: Callable) -> None:
    """By hand: 13:00 planned for each; Triangle is pulled out after 1:00, the bell ends Hexagon's visit."""
    lesson = new_lesson().until("9:25").do("groups").wait(130).do("next").wait(700).do("next")
    lesson.wait(80).do("next").wait(60).do("missed").wait(600).do("bell-now")
    made = record(lesson.state, lesson.now_ms)
    assert [(row.leg, row.title, row.planned, row.actual, row.ending, row.over) for row in made.visits] == [
        ("move", "Transition", 120, 130, "", 10),
        ("visit", "Circle", 780, 700, "", -80),
        ("visit", "Triangle", 780, 60, "missed", -720),
        ("visit", "Hexagon", 780, 600, "bell", -180),
        ("swap", "Swap", 180, 80, "", -100),
        ("share", "Share", 300, 0, "not reached", None),
        ("clean_up", "Clean up", 60, 0, "not reached", None),
    ]
    assert made.as_json()["visits"][1]["group"] == "Circle"


def test_a_group_that_was_pulled_out_last_has_no_time_though_nobody_comes_after_it(
    new_lesson: Callable,
) -> None:
    lesson = new_lesson().until("9:25").do("groups").wait(120).do("next")
    for _swap in range(2):
        lesson.wait(600).do("next").wait(90).do("next")
    lesson.wait(30).do("missed").wait(200).do("next").wait(60).do("bell-now")
    rows = record(lesson.state, lesson.now_ms).visits
    assert [(row.group, row.actual, row.ending) for row in rows if row.leg == "visit"] == [
        ("Circle", 600, ""), ("Triangle", 600, ""), ("Hexagon", 30, "missed"),
    ]  # fmt: skip


def test_a_lesson_without_visits_has_none_in_its_record(new_lesson: Callable) -> None:
    assert record(new_lesson().wait(60).do("end").state, 60_000).visits == ()
