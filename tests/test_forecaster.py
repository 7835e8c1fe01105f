"""The forecaster of a lesson: what past lessons say at a phase border, and what the record makes of it."""

from dataclasses import replace
from itertools import pairwise

import pytest

from pacer.forecaster import STEP_MS, forecaster
from pacer.frames.accounts import foretold
from pacer.frames.desk import desk_frame
from pacer.pace.forecasts.past import PastEnding
from pacer.pace.reading import Reading
from pacer.review.learning.backtest import replay
from pacer.watch import keep_up


def lessons(plan, count: int, factor: float = 1.0) -> list[PastEnding]:
    """Invented lessons in which every phase took its budget times a factor."""
    return [
        PastEnding(run, f"2026-01-{run + 1:02d}", p.id, p.kind, p.budget_s, p.budget_s * factor, "done")
        for run in range(count)
        for p in plan.phases
    ]


def test_below_six_lessons_it_is_silent_and_from_six_on_it_speaks(new_lesson, invented):
    lesson = new_lesson()
    assert forecaster(lessons(invented, 5))(lesson.state, lesson.now_ms) is None
    made = forecaster(lessons(invented, 6))(lesson.state, lesson.now_ms)
    assert made is not None
    assert (made.index, made.lessons) == (0, 6)
    assert 0 <= made.low <= made.high <= 1


def test_days_that_ran_over_make_worse_odds_and_a_later_end_than_days_that_ran_under(new_lesson, invented):
    lesson = new_lesson()
    short = forecaster(lessons(invented, 12, 0.8))(lesson.state, lesson.now_ms)
    long = forecaster(lessons(invented, 12, 1.2))(lesson.state, lesson.now_ms)
    assert short.low > long.high
    assert short.end_ms < long.end_ms


def test_staying_in_a_phase_does_not_raise_the_odds_as_long_as_such_a_stay_is_known(new_lesson, invented):
    """Phases took 0.7 to 1.3 of their budgets in the past, so the first is known up to 156 s."""
    past = [
        replace(one, actual_s=one.planned_s * (0.7 + 0.05 * ((one.run * 5 + number) % 13)))
        for number, one in enumerate(lessons(invented, 13))
    ]
    foresee, lesson = forecaster(past), new_lesson()
    odds = [foresee(lesson.wait(10).state, lesson.now_ms).high for _ in range(15)]
    assert all(later <= earlier + 1e-9 for earlier, later in pairwise(odds))
    assert odds[-1] < odds[0]


def test_between_steps_the_odds_stand_still(new_lesson, invented):
    foresee, lesson = forecaster(lessons(invented, 12)), new_lesson().wait(2 * STEP_MS / 1000)
    assert foresee(lesson.state, lesson.now_ms) is foresee(lesson.state, lesson.now_ms + STEP_MS - 1)


def test_each_border_is_written_down_once_and_held_against_what_came(new_lesson, invented):
    foresee, lesson = forecaster(lessons(invented, 12)), new_lesson()
    for phase in invented.phases:
        for _ in range(phase.budget_s):
            lesson.clock.advance(1000)
            keep_up(lesson.session, foresee=foresee)
        lesson.do("next", "done")
    made = foretold(lesson.state)
    assert [one.phase for one in made] == [phase.id for phase in invented.phases]
    assert all((one.ended_s, one.in_time) == (1500, True) for one in made)


@pytest.mark.parametrize(("press", "argument"), [("bell-now", ""), ("end", "interrupted")])
def test_a_lesson_that_was_cut_off_in_time_says_nothing_about_its_forecasts(
    new_lesson, invented, press, argument
):
    foresee, lesson = forecaster(lessons(invented, 12)), new_lesson()
    keep_up(lesson.session, foresee=foresee)
    lesson.wait(60).do(press, argument)
    assert [(one.ended_s, one.in_time) for one in foretold(lesson.state)] == [(None, None)]


def test_the_desk_says_the_odds_in_tens_with_the_count(new_lesson, invented):
    lesson = new_lesson()
    foresee = forecaster(lessons(invented, 12, 0.8))
    near = desk_frame(Reading(lesson.state, lesson.now_ms, foresee)).near
    assert any("of 10 such days (12 lessons)" in line for line in near), near
    assert not any("such days" in line for line in desk_frame(lesson.reading).near)


def test_after_the_mini_lesson_there_are_no_odds(new_lesson, new_outline, invented):
    outline = new_outline({"budget": "2", "id": "a"}, {"budget": "10", "kind": "group", "id": "g"})
    lesson = new_lesson(outline).wait(120).do("next")
    past = [PastEnding(run, "2026-01-01", "g", "group", 600, 600, "done") for run in range(9)]
    assert forecaster(past)(lesson.state, lesson.now_ms) is None


def always_late(count: int, practice_over_s: int = 60) -> list[PastEnding]:
    """Invented lessons of two phases: practice always over, look back hurried to 116 seconds, give or take.

    Practice is written as 480 seconds, look back as 120. The groups were on time in none of them.
    """
    days = []
    for run in range(count):
        wobble = (-4, 0, 4)[run % 3]
        for phase, kind, written, actual in (
            ("practice", "guided-practice", 480, 480 + practice_over_s),
            ("look-back", "look-back", 120, 116 + wobble),
        ):
            days.append(PastEnding(run, f"2026-02-{run + 1:02d}", phase, kind, written, actual, "done"))
    return days


def test_catching_up_is_counted_once(new_lesson, new_outline):
    """With 62 s left at the last border, 116 s of look back are in time on no day: the cut to 62 s is a wish,
    and past hurry is in the 116 s already."""
    outline = new_outline(
        {"id": "practice", "kind": "guided-practice", "budget": "8"},
        {"id": "look-back", "kind": "look-back", "budget": "2", "floor": "1"},
    )
    lesson = new_lesson(outline).wait(538).do("next", "done")
    made = forecaster(always_late(12))(lesson.state, lesson.now_ms)
    assert lesson.reading.allotments.allotted_s == 62, "the plan is cut"
    assert made.high < 0.05
    assert 100_000 <= made.end_ms - lesson.now_ms <= 132_000


def test_at_each_border_the_desk_says_what_the_backtest_scores(new_lesson, invented):
    """A day that runs over, so that it is cut at its borders; both see the same past."""
    past = lessons(invented, 12)
    past = [replace(one, actual_s=one.actual_s * (0.9 + 0.02 * (one.run % 11))) for one in past]
    foresee, lesson, said = forecaster(past), new_lesson(), []
    for phase in invented.phases:
        said.append(foresee(lesson.state, lesson.now_ms))
        lesson.wait(phase.budget_s + 20).do("next", "done")
    day = [
        PastEnding(99, "2026-03-09", p.id, p.kind, p.budget_s, p.budget_s + 20, "done")
        for p in invented.phases
    ]
    scored = replay([*past, *day], first=13)
    assert [one.index for one in scored] == list(range(len(invented.phases)))
    assert [(one.low, one.high) for one in said] == [
        pytest.approx((border.forecast.odds.low, border.forecast.odds.high)) for border in scored
    ]


def test_time_given_by_hand_is_spent_and_more_of_it_never_raises_the_odds(new_lesson, invented):
    past = lessons(invented, 12)
    past = [replace(one, actual_s=one.actual_s * (0.8 + 0.04 * (one.run % 9))) for one in past]
    foresee, lesson = forecaster(past), new_lesson().wait(30)
    made = [foresee(lesson.state, lesson.now_ms)]
    for _press in range(4):
        lesson.do("add", "1:00")
        made.append(foresee(lesson.state, lesson.now_ms))
    assert all(later.high <= earlier.high + 1e-9 for earlier, later in pairwise(made))
    assert all(later.end_ms >= earlier.end_ms for earlier, later in pairwise(made))
    assert made[-1].end_ms - made[0].end_ms >= 180_000, "of four minutes at least three are new"


def test_taken_time_foretells_nothing_that_past_days_do_not(new_lesson, invented):
    foresee = forecaster(lessons(invented, 12))
    lesson, other = new_lesson().wait(30), new_lesson().wait(30)
    other.do("take", "0:30")
    assert foresee(other.state, other.now_ms) == foresee(lesson.state, lesson.now_ms)


@pytest.mark.parametrize(("press", "argument"), [("bell-now", ""), ("end", "interrupted")])
def test_one_that_was_cut_off_when_its_mini_lesson_was_late_says_that_it_was_late(
    new_lesson, invented, press, argument
):
    foresee, lesson = forecaster(lessons(invented, 12)), new_lesson()
    keep_up(lesson.session, foresee=foresee)
    lesson.wait(invented.mini_lesson_s + 1).do(press, argument)
    assert [(one.ended_s, one.in_time) for one in foretold(lesson.state)] == [(None, False)]
