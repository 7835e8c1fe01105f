"""The window is closed in a lesson: nothing is asked, the class sees paper first, and the lesson is kept."""

import pytest
from PySide6.QtCore import QPoint, Qt
from PySide6.QtGui import QCloseEvent, QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QLabel

from pacer.frames.wall import WallFrame
from pacer.qt.kit import theme
from pacer.qt.kit.target import LEAST_PX, Target
from pacer.qt.lesson import room
from pacer.qt.lesson.room import PAPER_MS
from pacer.qt.screens.questions import OneScreenQuestion
from pacer.run.room_plan import OneScreen
from tests.qt.window_factories import Running, change_screens, click, kinds_of, screen_named, settle, timer_of

KEPT = "The lesson is kept. It goes on when Pacer starts again."


@pytest.fixture
def in_lesson(new_program, invented, monkeypatch) -> Running:
    """The program in the tenth second of a lesson; what guards the closes has a test of its own."""
    monkeypatch.setattr("pacer.qt.lesson.room.CLOSE_AGAIN_MS", 0)
    running = new_program()
    running.program.start_now(invented)
    return running.wait(10)


def said(running: Running) -> str:
    return "\n".join(one.text() for one in running.window.findChildren(QLabel) if one.isVisible())


def targets(running: Running) -> dict[str, Target]:
    return {one.text(): one for one in running.window.findChildren(Target) if one.isVisible()}


def close(running: Running) -> None:
    running.window.close()
    settle()


def class_sees(running: Running) -> WallFrame | None:
    """The frame of the upper window of the Wall that is shown."""
    wall = running.program.room.wall
    return next((one.frame for one in (wall.strip, wall.full) if one.isVisible()), None)


def test_the_first_close_shows_the_class_paper_and_the_teacher_that_the_lesson_is_kept(in_lesson):
    assert class_sees(in_lesson).face == "full"
    close(in_lesson)
    assert in_lesson.window.isVisible()
    assert class_sees(in_lesson) == WallFrame("blank")
    wall = in_lesson.program.room.wall
    assert wall.strip.geometry() == wall.screen.rect, "paper on all of the class's screen"
    assert said(in_lesson).startswith(KEPT)
    assert list(targets(in_lesson)) == ["Go on with the lesson", "Leave Pacer"]
    in_lesson.wait(3)
    assert class_sees(in_lesson) == WallFrame("blank"), "and time brings nothing back"


def test_the_second_close_leaves_and_the_lesson_is_offered_at_the_next_start(in_lesson, new_program):
    before = in_lesson.program.room.lesson.session.events
    close(in_lesson)
    close(in_lesson)
    assert not in_lesson.window.isVisible()
    assert class_sees(in_lesson) is None
    again = new_program()
    assert again.today.resume_row.isVisible()
    again.program.resume()
    after = again.program.room.lesson.session.events
    assert after[: len(before)] == before
    assert kinds_of(after[len(before) :]) in ([], ["gap"])
    assert again.program.room.lesson.is_running


def test_one_close_is_enough_paper_first_and_the_windows_go_by_themselves(in_lesson, new_program):
    close(in_lesson)
    timer = timer_of(in_lesson.program.room)
    assert timer.isActive()
    assert timer.interval() == room.PAPER_MS
    assert PAPER_MS >= 3000
    assert class_sees(in_lesson) == WallFrame("blank")
    timer.timeout.emit()
    settle()
    assert not in_lesson.window.isVisible()
    assert class_sees(in_lesson) is None
    assert new_program().today.resume_row.isVisible(), "and the next start offers to go on"


@pytest.mark.parametrize("name", ["Return", "V"])
def test_a_key_before_they_go_keeps_them(in_lesson, name):
    close(in_lesson)
    in_lesson.tap(name)
    assert not timer_of(in_lesson.program.room).isActive()
    assert in_lesson.window.shows_desk


def test_presses_that_would_be_lost_are_told_before_the_windows_go(in_lesson, monkeypatch):
    close(in_lesson)
    session = in_lesson.program.room.lesson.session
    monkeypatch.setattr(session, "flush", lambda: False)
    timer_of(in_lesson.program.room).timeout.emit()
    settle()
    assert in_lesson.window.isVisible()


def test_leaving_is_a_large_target_too(in_lesson):
    close(in_lesson)
    target = targets(in_lesson)["Leave Pacer"]
    assert target.height() >= LEAST_PX
    click(target)
    assert not in_lesson.window.isVisible()


@pytest.mark.parametrize("how", ["Return", "Space", "PageUp", "target"])
def test_enter_a_key_or_a_target_goes_on_with_the_lesson_and_its_wall(in_lesson, how, monkeypatch):
    monkeypatch.setattr("pacer.qt.screens.curtain.SAME_KEY_GUARD_MS", 0)
    in_lesson.tap("V")
    close(in_lesson)
    if how == "target":
        click(targets(in_lesson)["Go on with the lesson"])
    else:
        in_lesson.tap(how)
    room = in_lesson.program.room
    assert in_lesson.window.shows_desk
    assert class_sees(in_lesson).face == "full"
    done = {"Space": ["paused"], "PageUp": ["undone"]}.get(how, [])
    assert kinds_of(room.lesson.session.events) == ["started", "voice", *done]
    close(in_lesson)
    assert in_lesson.window.isVisible(), "and the next close is a first one again"


def test_closes_that_follow_at_once_are_one(new_program, invented, monkeypatch):
    monkeypatch.setattr("pacer.qt.lesson.room.CLOSE_AGAIN_MS", 60_000)
    running = new_program()
    running.program.start_now(invented)
    for _repeat in range(20):
        close(running)
    assert running.window.isVisible()


def test_a_close_of_the_wall_is_one_of_the_program_and_takes_no_wall_away(in_lesson):
    wall = in_lesson.program.room.wall.full
    assert not wall.close()
    settle()
    assert wall.isVisible()
    assert said(in_lesson).startswith(KEPT)
    assert class_sees(in_lesson) == WallFrame("blank")
    wall.close()
    settle()
    assert not in_lesson.window.isVisible()
    assert not wall.isVisible()


def test_a_wall_that_is_off_stays_off(in_lesson):
    in_lesson.tap("W").tap("W")
    assert class_sees(in_lesson) is None
    close(in_lesson)
    assert class_sees(in_lesson) is None
    assert said(in_lesson).startswith(KEPT)


def test_where_children_see_the_only_screen_they_see_the_curtain_s_paper(new_program, invented, monkeypatch):
    laptop = screen_named("Laptop")
    monkeypatch.setattr("pacer.qt.lesson.placing.present_screens", lambda: [laptop])
    monkeypatch.setattr(OneScreenQuestion, "ask", staticmethod(lambda _parent: OneScreen.WALL_ONLY))
    running = new_program()
    running.program.start_now(invented)
    settle()
    assert running.program.room.wall.full.isVisible()
    QApplication.sendEvent(running.program.room.wall.full, QCloseEvent())
    settle()
    assert class_sees(running) is None
    assert said(running).startswith(KEPT)
    image = running.window.grab().toImage().convertToFormat(QImage.Format.Format_RGB32)
    colours = {image.pixel(x, y) for x in range(0, image.width(), 2) for y in range(0, image.height(), 2)}
    assert theme.PAPER.rgb() in colours
    assert theme.DESK_PAPER.rgb() not in colours
    assert theme.DESK_INK.rgb() not in colours
    running.tap("Return")
    assert class_sees(running).face == "full"


def test_a_change_of_screens_keeps_the_sentence_and_the_paper(in_lesson):
    close(in_lesson)
    change_screens()
    timer = timer_of(in_lesson.program.room.screens.watch)
    timer.stop()
    in_lesson.program.room.screens.watch.settle_now()
    settle()
    assert said(in_lesson).startswith(KEPT)
    assert class_sees(in_lesson) == WallFrame("blank")
    in_lesson.tap("Return")
    assert said(in_lesson).startswith("The screens changed."), "and what they call for comes after it"


def test_before_the_start_and_after_the_end_one_close_leaves(new_program, invented):
    running = new_program()
    running.program.get_ready(invented)
    close(running)
    assert not running.window.isVisible()
    other = new_program()
    other.program.start_now(invented)
    other.tap("Home")
    close(other)
    assert not other.window.isVisible()


def test_a_computer_that_shuts_down_is_not_held_up(in_lesson, monkeypatch):
    monkeypatch.setattr("pacer.qt.app.is_shutting_down", lambda: True)
    close(in_lesson)
    assert not in_lesson.window.isVisible()


# The curtain by hand.


def test_the_curtain_is_lifted_by_a_large_target_through_the_same_gate_as_by_enter(stage, monkeypatch):
    monkeypatch.setattr("pacer.qt.screens.curtain.SAME_KEY_GUARD_MS", 0)
    change_screens()
    settle()
    (target,) = (one for one in stage.window.findChildren(Target) if one.isVisible())
    assert target.text() == "Show the Desk"
    assert target.focusPolicy() == Qt.FocusPolicy.NoFocus
    assert target.height() >= LEAST_PX
    finger = QTest.createTouchDevice()
    QTest.touchEvent(target, finger).press(0, QPoint(30, 30), target).commit()
    QTest.touchEvent(target, finger).release(0, QPoint(30, 30), target).commit()
    settle()
    assert stage.window.shows_desk
    assert "moved" not in stage.kinds


def test_a_curtain_that_has_just_come_is_not_lifted_by_the_finger_that_pressed_the_desk(stage, monkeypatch):
    monkeypatch.setattr("pacer.qt.screens.curtain.SAME_KEY_GUARD_MS", 60_000)
    change_screens()
    settle()
    (target,) = (one for one in stage.window.findChildren(Target) if one.isVisible())
    click(target)
    assert not stage.window.shows_desk
