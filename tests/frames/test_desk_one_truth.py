"""At any second of any lesson no two figures that the Desk shows contradict each other."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.frames.desk import desk_frame
from pacer.verbs.headless_demo import DEMO_PRESSES, load_demo_outlines
from pacer.watch import execute
from tests.frames.shown import contradictions
from tests.pace.any_day import ROW

PLAN = st.tuples(
    st.lists(ROW.filter(lambda row: row["kind"] != "move"), min_size=1, max_size=6),
    st.integers(0, 4),  # groups
    st.one_of(st.none(), st.integers(60, 1800)),  # mini lesson in seconds, else the sum of its budgets
    st.integers(-300, 600),  # late in seconds
)
PRESS = st.sampled_from(
    [
        *(("next", "done"), ("next", "moved-on"), ("next", ""), ("next", ""), ("back", ""), ("groups", "")),
        *(("jump", "1"), ("jump", "3"), ("jump", "5"), ("undo", ""), ("undo", ""), ("pause", "")),
        *(("pause", ""), ("go-on", ""), ("add", "1:00"), ("add", "0:10"), ("take", "0:30"), ("take", "3:00")),
        *(("keep", ""), ("keep", ""), ("uncut", ""), ("bell-earlier", "5:00"), ("bell-later", "2:00")),
        *(("missed", ""), ("burst", ""), ("voice", ""), ("blank", "")),
    ]
)
MOMENT = st.one_of(
    st.tuples(st.just("press"), PRESS),
    st.tuples(st.just("look"), st.integers(1, 15)),
    st.tuples(st.just("wait"), st.integers(1, 600)),
    st.tuples(st.just("away"), st.integers(3_000, 500_000)),
)


def disagreements(lesson) -> list[str]:
    return contradictions(desk_frame(lesson.reading), lesson.state, lesson.now_ms)


@given(PLAN, st.lists(MOMENT, max_size=14), st.integers(0, 999))
def test_at_any_second_of_any_lesson_no_two_shown_figures_disagree(
    new_lesson: Callable, new_outline: Callable, plan: tuple, day: list, ms: int
) -> None:
    rows, groups, mini_s, late_s = plan
    phases = []
    for row in rows:
        phase = {key: row[key] for key in ("kind", "cut_tier", "talk")}
        phase |= {"budget": f"{row['seconds']} s", "floor": f"{row['seconds'] * row['floor'] // 100} s"}
        phases.append(phase | ({"movable": row["movable"]} if row["movable"] else {}))
    block = {"groups": groups, "minutes": 90} | ({"mini_lesson": f"{mini_s} s"} if mini_s else {})
    lesson = new_lesson(new_outline(*phases, **block), late_s=late_s)
    for kind, value in [("look", 2), *day, ("look", 3)]:
        if kind == "press":
            lesson.clock.advance(ms)
            lesson.session.tick()
            execute(lesson.session, *value)
        elif kind == "away":
            lesson.clock.advance(value)
            lesson.session.tick()
        else:
            for _second in range(value if kind == "look" else 0):
                assert disagreements(lesson) == []
                lesson.wait(1)
            if kind == "wait":
                lesson.wait_ms(value * 1000)
        assert disagreements(lesson) == [], (kind, value)


@pytest.mark.slow
def test_through_the_example_lesson_no_two_shown_figures_disagree(new_lesson: Callable) -> None:
    lesson = new_lesson(load_demo_outlines()[0], late_s=150)
    presses = list(DEMO_PRESSES)
    while lesson.state.is_running and lesson.now_ms < 4_600_000:
        assert disagreements(lesson) == [], lesson.now_ms
        lesson.wait(1 if lesson.now_ms < 1_560_000 else 7)
        while presses and presses[0][0] * 1000 <= lesson.now_ms:
            _at, command, argument = presses.pop(0)
            lesson.session.do(command, argument)


def test_a_review_that_is_over_is_paid_by_those_the_price_names_and_groups_keep_theirs(
    new_lesson: Callable,
) -> None:
    """Two and a half minutes over: the later phases pay, so groups start in time and keep all of theirs."""
    lesson = new_lesson().until("9:02").do("next").until("9:07:30")
    frame = desk_frame(lesson.reading)
    assert (frame.number, frame.outlook, frame.near[0]) == (
        "+2:30",
        "groups at 9:25",
        "Groups keep 3 × 13:00",
    )
    assert frame.under == "1 more min: 0:45 Model + 0:15 Vocabulary and talk"
    assert [row.now_s for row in frame.tape] == [None, None, 345, 165, None, 60]
    after = desk_frame(lesson.do("next").reading)
    assert (after.outlook, after.near[0]) == (frame.outlook, frame.near[0]), "Next changes nothing of it"
    assert [row.now_s for row in after.tape] == [row.now_s for row in frame.tape]
    assert after.notice == "Model −1:15, Vocabulary and talk −0:15, Look back −1:00: K keep, U undo"
