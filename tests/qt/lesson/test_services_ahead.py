"""The words of all phases are drawn while nobody waits, so that a press finds them; once in a lesson."""

import pytest

from pacer.qt.lesson.services import LessonServices
from pacer.run.state import LessonState
from tests.qt.lesson.half_factories import Bare
from tests.qt.wall.wall_factories import put_away, wall_on_projector


@pytest.fixture
def stage(qapp, invented):
    """A running lesson on the projector, with what stands by."""
    bare, wall = Bare(invented), wall_on_projector()[0]
    bare.lesson.wall_changed.connect(wall.show_frame)
    wall.show_frame(bare.lesson.wall_frame)
    services = LessonServices(wall)
    services.begin(bare.lesson)
    yield bare, wall.full, services
    services.end()
    bare.shut()
    put_away(wall)
    services.deleteLater()


def test_after_the_first_second_no_phase_has_words_that_are_still_to_be_drawn(qtbot, stage):
    bare, full, services = stage
    services._begin_ahead()
    qtbot.waitUntil(lambda: not services._ahead.isActive(), timeout=60_000)
    phases = range(len(bare.session.state.plan.phases))
    frames = [bare.lesson.frame_at(index) for index in phases]
    assert len({frame.title for frame in frames}) == len(phases) > 3
    for frame in frames:
        assert list(full.draw_ahead(frame)) == [], frame.title


def test_what_may_come_is_what_a_press_then_shows_and_changes_nothing_before(stage):
    bare, _full, _services = stage
    before: LessonState = bare.session.state
    coming = bare.lesson.frame_at(2)
    assert bare.session.state is before
    bare.lesson.press("jump", before.plan.phases[2].id)
    assert bare.lesson.wall_frame == coming
    assert bare.lesson.frame_at(2) == coming, "where it is already"


def test_without_a_wall_or_without_a_lesson_nothing_is_drawn(stage):
    _bare, full, services = stage
    full.hide()
    services._begin_ahead()
    assert not services._ahead.isActive()
    full.show()
    services.end()
    services._begin_ahead()
    assert not services._ahead.isActive()
