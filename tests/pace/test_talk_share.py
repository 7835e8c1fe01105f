"""Teacher talk as a share of the mini lesson: a range, with the longest stretch."""

from collections.abc import Callable

from hypothesis import given

from pacer.pace.talk import TalkStretch, shares_of, talk_shares
from pacer.run.state import LessonState
from tests.pace.any_day import DAY, PLAN, any_lesson
from tests.pace.test_talk import LESSON, pieces


def test_the_worked_lesson_is_forty_four_to_fifty_six_percent_teacher_talk() -> None:
    """A worked value of our own."""
    shares = shares_of(pieces(*LESSON), [])
    assert (shares.teacher_ms, shares.unmarked_ms, shares.total_ms) == (655_000, 180_000, 1_500_000)
    assert (shares.low, shares.high) == (44, 56)
    assert shares.longest == TalkStretch(530_000, 250_000), "4:10 from 8:50"
    assert shares.longest_if_unmarked == TalkStretch(120_000, 390_000), "6:30 from 2:00"


def test_the_worked_lesson_gives_the_same_when_it_is_run(new_lesson: Callable, new_outline: Callable) -> None:
    rows = [("2", "class"), ("3", "unmarked"), ("7", "teacher"), ("1", "teacher"), ("0:45", "partners"),
            ("1:15", "teacher"), ("8", "quiet"), ("2", "teacher")]  # fmt: skip
    lesson = new_lesson(new_outline(*({"budget": budget, "talk": talk} for budget, talk in rows)))
    lesson.wait(120).do("next").wait(180).do("next").wait(210).do("burst").wait(20).do("eyes-back").wait(190)
    for seconds in (60, 45, 75, 480, 120):
        lesson.do("next").wait(seconds)
    assert talk_shares(lesson.state, lesson.now_ms) == shares_of(pieces(*LESSON), [])


def test_a_pause_leaves_both_sides_of_the_share(new_lesson: Callable, new_outline: Callable) -> None:
    outline = new_outline({"budget": "5", "talk": "teacher"}, {"budget": "5", "talk": "class"})
    lesson = new_lesson(outline).wait(60).do("pause").wait(100).do("go-on").wait(40).do("next").wait(100)
    shares = talk_shares(lesson.state, lesson.now_ms)
    assert (shares.teacher_ms, shares.total_ms, shares.low, shares.high) == (100_000, 200_000, 50, 50)
    assert shares.longest == TalkStretch(0, 100_000)


def test_a_childs_voice_ends_a_stretch_but_takes_nothing_from_the_share(
    new_lesson: Callable, new_outline: Callable
) -> None:
    lesson = new_lesson(new_outline({"budget": "5", "talk": "teacher"})).wait(60).do("voice").wait(90)
    shares = talk_shares(lesson.state, lesson.now_ms)
    assert (shares.low, shares.longest) == (100, TalkStretch(60_000, 90_000))


def test_only_the_mini_lesson_counts_and_a_visit_to_the_groups_breaks_a_stretch(
    new_lesson: Callable, new_outline: Callable
) -> None:
    outline = new_outline({"budget": "5", "talk": "teacher"}, {"budget": "20", "kind": "group"})
    lesson = new_lesson(outline).wait(60).do("next").wait(600).do("back").wait(30)
    shares = talk_shares(lesson.state, lesson.now_ms)
    assert (shares.total_ms, shares.low, shares.high) == (90_000, 100, 100)
    assert shares.longest == shares.longest_if_unmarked == TalkStretch(0, 60_000)


def test_without_time_or_talk_the_shares_are_nothing(new_lesson: Callable) -> None:
    for shares in (talk_shares(LessonState(), 0), talk_shares(new_lesson().state, 0)):
        assert (shares.low, shares.high, shares.total_ms) == (0, 0, 0)
        assert shares.longest is None
        assert shares.longest_if_unmarked is None


@given(PLAN, DAY)
def test_on_any_day_the_range_is_a_range(
    new_lesson: Callable, new_outline: Callable, plan: tuple, day: list
) -> None:
    lesson = any_lesson(new_lesson, new_outline, plan, day)
    end = lesson.now_ms if lesson.state.ended_ms is None else lesson.state.ended_ms
    shares = talk_shares(lesson.state, end)
    assert 0 <= shares.low <= shares.high <= 100
    state = lesson.state
    assert shares.total_ms == sum(state.spent_ms(i, end) for i in range(state.plan.mini_count))
    if shares.longest is None:
        assert shares.teacher_ms == 0
    else:
        assert shares.longest.length_ms <= shares.teacher_ms
        assert shares.longest.length_ms <= shares.longest_if_unmarked.length_ms
