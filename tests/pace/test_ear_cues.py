"""What is told in her ear: each rise of the stage, once, at the very second at which the Desk shows it."""

from collections.abc import Callable
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.pace.ear_cues import EarCues
from pacer.pace.reading import Reading
from pacer.pace.stages import LEVELS
from pacer.plan.file.reader import read_text
from pacer.run.clock import ManualClock
from pacer.run.session import MemoryJournal, Session
from tests.pace.block_factories import PLAN


class Ear:
    """Listens to a lesson second by second; ``heard`` are the cues with their seconds."""

    def __init__(self, lesson) -> None:
        self.lesson, self.cues = lesson, EarCues()
        self.heard: list[tuple[float, str]] = []
        self.stages: list[tuple[float, str]] = []
        self.listen()

    def listen(self) -> None:
        reading = self.lesson.reading
        cue = self.cues.due(reading)
        self.stages.append((reading.now_ms / 1000, reading.shown.stage))
        if cue is not None:
            self.heard.append((reading.now_ms / 1000, cue))

    def wait(self, seconds: int) -> "Ear":
        for _second in range(seconds):
            self.lesson.wait(1)
            self.listen()
        return self

    def do(self, *command: str) -> "Ear":
        self.lesson.do(*command)
        self.listen()
        return self


@pytest.fixture
def ear(new_lesson: Callable) -> Ear:
    """The invented plan; its first phase has two minutes."""
    return Ear(new_lesson())


@pytest.fixture(scope="module")
def block():
    """A block with three groups."""
    return read_text(PLAN, "block.toml")


def rises(ear: Ear) -> list[tuple[float, str]]:
    """When the stage was seen to rise, without any pause or press between."""
    return [
        (after[0], after[1])
        for before, after in pairwise(ear.stages)
        if LEVELS.index(after[1]) > LEVELS.index(before[1])
    ]


def test_each_stage_is_told_once_in_the_second_in_which_it_is_first_shown(ear) -> None:
    ear.wait(400)
    assert ear.heard == [(96, "closing"), (120, "borrowing"), (150, "move_on")]
    assert ear.heard == rises(ear)


def test_a_phase_that_is_left_in_time_tells_of_nothing_more_than_closing(ear) -> None:
    ear.wait(110).do("next").wait(20)
    assert ear.heard == [(96, "closing")]


def test_going_on_after_a_pause_does_not_tell_it_again(ear) -> None:
    ear.wait(125).do("pause").wait(10).do("go-on").wait(10)
    assert ear.heard == [(96, "closing"), (120, "borrowing")]


def test_a_press_that_is_undone_does_not_tell_it_again(ear) -> None:
    ear.wait(125).do("next").wait(3).do("undo").wait(5)
    assert ear.heard == [(96, "closing"), (120, "borrowing")]


def test_added_time_lets_it_be_told_once_more(ear) -> None:
    ear.wait(125).do("add", "1:00").wait(70)
    assert [cue for _at, cue in ear.heard] == ["closing", "borrowing", "closing", "borrowing"]


def test_a_phase_entered_again_is_a_new_one(ear) -> None:
    ear.wait(125).do("next").wait(5).do("back").wait(30)
    assert [cue for _at, cue in ear.heard][:2] == ["closing", "borrowing"]
    assert len(ear.heard) > 2


def test_where_a_stage_is_passed_by_only_the_one_that_is_shown_is_told(ear) -> None:
    """A laptop that slept wakes in Move on: one pattern, not three."""
    ear.lesson.wait(300)
    ear.listen()
    assert [cue for _at, cue in ear.heard] == ["move_on"]


def test_a_baseline_lesson_tells_nothing(invented) -> None:
    clock = ManualClock(0)
    session = Session(clock, MemoryJournal())
    session.start(invented, 0, 0, "baseline", "")
    cues = EarCues()
    for _second in range(400):
        clock.advance(1000)
        assert cues.due(Reading(session.state, session.tick())) is None


def test_a_rehearsal_tells_what_a_lesson_tells(invented) -> None:
    clock = ManualClock(0)
    session = Session(clock, MemoryJournal())
    session.start(invented, 0, 0, "rehearsal", "")
    cues = EarCues()
    heard = []
    for _second in range(400):
        clock.advance(1000)
        heard.append(cues.due(Reading(session.state, session.tick())))
    assert [cue for cue in heard if cue] == ["closing", "borrowing", "move_on"]


def test_before_the_start_and_after_the_end_nothing_is_told(ear) -> None:
    assert EarCues().due(Reading(Session(ManualClock(0), MemoryJournal()).state, 0)) is None
    ear.wait(10).do("end").wait(300)
    assert ear.heard == []


def test_a_visit_whose_time_is_up_has_a_cue_of_its_own_and_the_walk_there_has_not(new_lesson, block) -> None:
    ear = Ear(new_lesson(block)).do("groups").wait(180)
    assert "borrowing" in [cue for _at, cue in ear.heard]
    assert "visit_up" not in [cue for _at, cue in ear.heard]
    before = len(ear.heard)
    ear.do("next").wait(72 * 60)
    visit = [cue for _at, cue in ear.heard[before:]]
    assert visit == ["closing", "visit_up", "move_on"]


def test_the_next_visit_is_told_of_anew(new_lesson, block) -> None:
    ear = Ear(new_lesson(block)).do("groups").do("next").wait(60).do("next").do("next")
    before = len(ear.heard)
    ear.wait(35 * 60)
    assert "visit_up" in [cue for _at, cue in ear.heard[before:]]


PRESSES = st.lists(
    st.tuples(
        st.sampled_from(["next", "undo", "pause", "go-on", "back", "groups", "burst", "table", ""]),
        st.integers(1, 200),
    ),
    max_size=8,
)


@pytest.mark.slow
@given(PRESSES)
def test_whatever_is_pressed_each_rise_seen_between_two_seconds_is_told_and_nothing_else(block, presses):
    from tests.conftest import Lesson

    lesson = Lesson(block)
    ear = Ear(lesson)
    for command, seconds in presses:
        if command:
            lesson.session.do(command)
            ear.listen()
        for _second in range(seconds):
            before, told = lesson.reading.shown.stage, len(ear.heard)
            ear.wait(1)
            after = lesson.reading.shown.stage
            rose = before in LEVELS and after in LEVELS and LEVELS.index(after) > LEVELS.index(before)
            assert (len(ear.heard) > told) == rose
