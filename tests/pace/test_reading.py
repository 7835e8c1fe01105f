"""One reading of an instant: each part is worked out once, and Wall, Desk and cues agree on it."""

from collections import Counter
from collections.abc import Callable

import pytest
from hypothesis import given

from pacer.frames.desk import desk_frame
from pacer.frames.desk_tape import TAPE_STEP_S
from pacer.frames.wall import wall_frame
from pacer.frames.words.wording import countdown
from pacer.pace import reading as module
from pacer.pace.cues import due_cue
from pacer.pace.reading import Reading
from pacer.run.events import Forecasted
from pacer.run.state import LessonState
from tests.pace.any_day import DAY, PLAN, any_lesson

# What a reading asks pace for. The Wall needs no more than the first.
ASKED = (
    "cut", "cut_from", "move_by", "shown_stage", "price_after", "plan_drops", "visits_after", "talk_now",
    "talk_shares",
)  # fmt: skip


@pytest.fixture
def asked(monkeypatch) -> Counter:
    """How often a reading asked pace for what."""
    found: Counter = Counter()

    def counting(name: str) -> Callable:
        original = getattr(module, name)

        def ask(*arguments):
            found[name] += 1
            return original(*arguments)

        return ask

    for name in ASKED:
        monkeypatch.setattr(module, name, counting(name))
    return found


class Past:
    """Past lessons that always say the same and count how often they were asked."""

    def __init__(self) -> None:
        self.asked = 0

    def __call__(self, state: LessonState, now_ms: int) -> Forecasted:
        self.asked += 1
        return Forecasted(index=state.index or 0, low=0.5, high=0.7, end_ms=now_ms, lessons=8)


def test_whoever_asks_and_however_often_each_part_is_worked_out_once(
    new_lesson: Callable, new_outline: Callable, asked: Counter
) -> None:
    talk = {"budget": "5", "talk": "teacher"}
    lesson, past = new_lesson(new_outline(talk, talk)).wait(100), Past()
    reading = Reading(lesson.state, lesson.now_ms, past)
    for _time in range(2):
        due_cue(reading)
        wall_frame(reading)
        desk_frame(reading)
    assert asked == dict.fromkeys(ASKED, 1)
    assert past.asked == 1


def test_the_wall_is_made_of_the_allotments_alone(new_lesson: Callable, asked: Counter) -> None:
    lesson, past = new_lesson().wait(100), Past()
    frame = wall_frame(Reading(lesson.state, lesson.now_ms, past))
    assert frame.digits == "0:20"
    assert asked == {"cut": 1}
    assert past.asked == 0


@given(PLAN, DAY)
def test_wall_desk_and_cues_of_one_reading_agree(
    new_lesson: Callable, new_outline: Callable, plan: tuple, day: list
) -> None:
    reading = any_lesson(new_lesson, new_outline, plan, day).reading
    cue, desk, wall = due_cue(reading), desk_frame(reading), wall_frame(reading)
    assert cue in (None, "talk", desk.stage)
    current = reading.allotments
    if current is None or reading.state.talk is not None:
        return
    assert (wall.digits, wall.over) == (countdown(desk.left_s * 1000), desk.left_s <= 0)
    used_s = reading.spent_ms[current.index] // 1000
    assert 0 <= used_s - desk.tape[current.index].actual_s < TAPE_STEP_S
    assert 0 <= current.allotted_s - used_s - desk.left_s <= 1


@pytest.mark.parametrize("end", [False, True])
def test_where_no_phase_runs_nothing_is_said(new_lesson: Callable, end: bool) -> None:
    lesson = new_lesson()
    reading = lesson.do("end").reading if end else Reading(LessonState(), 0)
    assert (reading.allotments, reading.move_by, reading.price, reading.fitting) == (None,) * 4
    assert (reading.groups, reading.talk_stretch, reading.partners_left_ms, reading.odds) == (None,) * 4
    assert (reading.left_ms, reading.recut, reading.taken) == (0, (), ())
    assert not reading.asks
    assert not reading.could_cut_anew
    assert reading.shown.stage == ("ended" if end else "ready")


def test_without_past_lessons_the_forecast_of_the_border_is_what_the_odds_are(new_lesson: Callable) -> None:
    lesson = new_lesson()
    made = Past()(lesson.state, 0)
    lesson.session.note(made)
    assert lesson.reading.odds == made
    assert lesson.wait(60).reading.odds == made


def test_a_cut_names_who_gives_and_how_much_and_nobody_else(new_lesson: Callable) -> None:
    """By hand: on time nobody gives; 30 s late the first tier gives two steps: slacks are 60, 90 and 60 s."""
    on_time = new_lesson().reading
    assert (on_time.taken, on_time.recut, on_time.asks) == ((), (), False)
    late = new_lesson(late_s=30).reading
    assert late.taken == late.recut == ((0, -15), (1, -15))
    assert late.asks


def test_a_later_phase_that_was_begun_before_is_cut_from_what_it_still_has(new_lesson: Callable) -> None:
    """By hand: after 8 min of practice 17 are left for 2, 3, 7, 3, 0 and 2; half a minute late two give."""
    lesson = new_lesson().do("jump", "practice").wait(480).do("jump", "skip")
    assert lesson.reading.taken == ()
    lesson = new_lesson(late_s=30).do("jump", "practice").wait(60).do("jump", "skip")
    assert lesson.reading.taken == lesson.reading.recut == ((0, -15), (1, -15))
