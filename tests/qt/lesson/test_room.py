"""A lesson in its windows: what the Wall gets, where it stands, what only the Desk says, and the curtain."""

from dataclasses import replace
from typing import get_args

import pytest
from PySide6.QtCore import QPoint, QSize, Qt
from PySide6.QtGui import QGuiApplication, QRegion
from PySide6.QtWidgets import QLabel

from pacer.frames.wall import WallFrame
from pacer.qt.desk.band import lay_band
from pacer.qt.desk.far_page import EASY_FAR, LEAST_FAR
from pacer.qt.kit import theme
from pacer.qt.kit.ticker import Ticker
from pacer.qt.lesson import room
from pacer.qt.lesson.room import ANSWER_SHOWN_MS, REFUSAL_SHOWN_MS
from pacer.qt.screens.curtain import curtain_words
from pacer.qt.screens.present import ScreenInfo, present_screens, wall_choice
from pacer.qt.screens.questions import OneScreenQuestion
from pacer.qt.wall.layout import changed_area
from pacer.run.room_plan import CurtainWords, OneScreen
from pacer.settings.model import Settings
from tests.qt.window_factories import (
    FailingJournal,
    Paints,
    change_screens,
    live_screen,
    names_of,
    screen_named,
    settle,
    timer_of,
    wall_words,
)

PRIVATE = (
    "private", "one example only", "move by", "STEADY", "CLOSING", "BORROWING", "MOVE ON", "+0:", " ago",
    "Stuck", "owed", "swap by", "no visit", "mark", "cap", "Not saved", "disk", "Nothing was pressed",
    "Enter", "Page Up",
)  # fmt: skip


@pytest.fixture
def one_screen(monkeypatch):
    """Leaves only the laptop's screen, answers the question that follows, and counts how often it came."""
    asked: list[OneScreen] = []

    def answer(with_this: OneScreen) -> list[OneScreen]:
        laptop = screen_named("Laptop")
        monkeypatch.setattr("pacer.qt.lesson.placing.present_screens", lambda: [laptop])
        monkeypatch.setattr(
            OneScreenQuestion, "ask", staticmethod(lambda _parent: asked.append(with_this) or with_this)
        )
        return asked

    return answer


@pytest.fixture
def projector_is_main(monkeypatch):
    """The private window is on the laptop's screen, which is not the main one now."""

    def change() -> None:
        screens = [screen_named("Projector"), screen_named("Laptop")]
        monkeypatch.setattr("pacer.qt.lesson.placing.present_screens", lambda: screens)

    return change


# What the Wall gets.


def test_the_wall_receives_frames_of_its_own_kind_and_nothing_else(new_stage, invented, monkeypatch):
    received = []
    made = new_stage(invented)
    for canvas in (made.wall.full, made.wall.strip):
        show = canvas.show_frame
        monkeypatch.setattr(
            canvas, "show_frame", lambda frame, show=show: received.append(frame) or show(frame)
        )
    made.start()
    made.wait(150)
    for name in ("V", "Up", "P", "E", "3", "T", "F", "H", "B", "W", "W", "W", "Space", "N", "PageUp", "Home"):
        made.tap(name).wait(2)
    assert len(received) > 100
    assert {type(frame) for frame in received} == {WallFrame}


@pytest.mark.slow
def test_nothing_private_ever_reaches_the_wall(stage):
    """A whole lesson with overrun, notes, tallies, refusals and an undone press."""
    for name in ("E", "3", "T", "PageUp", "N", "N"):
        stage.tap(name)
    for _phase in range(4):
        stage.wait(500).tap("E").tap("N")
    assert stage.session.state.leg.kind == "move"
    for leg in range(7):
        stage.wait(200).tap("O" if leg == 2 else "N").tap("L")
    stage.tap("Home")
    assert stage.session.state.ended_ms is not None
    assert {"move_on", "talk"} <= {cue for _t, cue in stage.session.state.cues}
    said = wall_words(*stage.wall_frames) + names_of(stage.wall.full) + names_of(stage.wall.strip)
    for word in PRIVATE:
        assert word not in said
    assert "Watch the number line" in said


def test_the_wall_s_windows_hold_nothing_but_painted_canvases(stage):
    """No label or box of the private side can be laid into them."""
    assert stage.wall.full.children() == []
    assert stage.wall.strip.children() == []


def test_the_wall_never_counts_past_zero(stage):
    stage.wait(300)
    frame = stage.wall.full.frame
    assert (frame.digits, frame.full, frame.fourths, frame.note) == ("0:00", 0, 0, "Finish up")
    assert stage.desk.frame.left_s == -180


def test_the_teacher_s_settings_choose_digits_squares_or_both(new_stage, invented):
    squares = new_stage(invented, settings=Settings(wall_digits=False)).start().wall.full.frame
    assert (squares.digits, squares.full) == (None, 2)
    digits = new_stage(invented, settings=Settings(wall_squares=False)).start().wall.full.frame
    assert (digits.digits, digits.whole) == ("2:00", 0)


# Painting.


def test_the_wall_is_painted_again_only_when_its_frame_differs(stage):
    paints = stage.wall.full.paints
    stage.wall.full.show_frame(replace(stage.wall.full.frame))
    stage.lesson.refresh()
    stage.tap("V", after_ms=0)
    settle()
    assert stage.wall.full.paints == paints
    stage.wait(1)
    assert stage.wall.full.paints == paints + 1


def test_only_what_changed_is_painted_and_that_is_less_than_a_tenth(stage):
    stage.wall.reduced_motion = True
    stage.wait(10)
    watch = Paints(stage.wall.full)
    size, old = stage.wall.full.size(), stage.wall.full.frame
    for _second in range(20):  # a fourth goes among them
        stage.wait(1)
        new = stage.wall.full.frame
        expected = QRegion()
        for rect in changed_area(old, new, size):
            expected += rect
        painted = watch.regions.pop()
        assert watch.regions == []
        assert painted.subtracted(expected).isEmpty()
        assert not expected.isEmpty()
        assert expected.subtracted(painted).isEmpty()
        area = sum(rect.width() * rect.height() for rect in painted)
        assert area < size.width() * size.height() / 10
        old = new
    assert size == QSize(1920, 1080)


def test_a_new_phase_paints_the_whole_wall_once(stage):
    watch = Paints(stage.wall.full)
    stage.tap("N")
    assert len(watch.regions) == 1
    assert watch.regions[0].boundingRect() == stage.wall.full.rect()


def test_the_desk_is_painted_again_only_when_its_frame_differs(stage):
    stage.wait(3)
    paints = stage.desk.paints
    stage.desk.show_frame(replace(stage.desk.frame))
    stage.lesson.refresh()
    settle()
    assert stage.desk.paints == paints
    stage.wait(1)
    assert stage.desk.paints > paints


# Where the windows stand.


def test_the_wall_goes_to_the_other_screen_and_the_desk_stays(new_stage, invented):
    made = new_stage(invented)
    place = made.window.geometry()
    made.start()
    assert made.wall.full.isVisible()
    assert made.wall.full.screen().name() == "Projector"
    assert made.wall.full.geometry() == screen_named("Projector").rect
    assert made.window.screen().name() == "Laptop"
    assert made.window.geometry() == place
    assert made.window.shows_desk
    for name in ("W", "W", "W", "N", "Home"):
        made.tap(name)
        assert made.window.geometry() == place


def test_the_strip_lies_along_the_lower_edge_at_nine_percent_and_takes_no_keys(stage):
    stage.tap("W")
    strip, screen = stage.wall.strip, screen_named("Projector").rect
    assert strip.isVisible()
    assert not stage.wall.full.isVisible()
    place = strip.geometry()
    assert (place.left(), place.right(), place.bottom()) == (screen.left(), screen.right(), screen.bottom())
    assert place.height() / screen.height() == pytest.approx(0.09, abs=0.005)
    wanted = (
        Qt.WindowType.WindowDoesNotAcceptFocus
        | Qt.WindowType.WindowTransparentForInput
        | Qt.WindowType.WindowStaysOnTopHint
        | Qt.WindowType.FramelessWindowHint
    )
    assert strip.windowFlags() & wanted == wanted
    assert strip.focusPolicy() == Qt.FocusPolicy.NoFocus
    assert strip.testAttribute(Qt.WidgetAttribute.WA_ShowWithoutActivating)
    assert strip.frame.digits is not None


def test_beside_a_desk_the_full_wall_refuses_the_keyboard(stage):
    assert stage.wall.full.windowFlags() & Qt.WindowType.WindowDoesNotAcceptFocus
    assert stage.wall.full.testAttribute(Qt.WidgetAttribute.WA_ShowWithoutActivating)


def test_off_takes_the_wall_off_its_screen_and_the_next_turn_brings_it_back(stage):
    stage.tap("W").tap("W")
    assert stage.session.state.face == "off"
    assert not stage.wall.full.isVisible()
    assert not stage.wall.strip.isVisible()
    stage.wait(5)
    assert not stage.wall.full.isVisible()
    stage.tap("W")
    assert stage.wall.full.isVisible()
    assert stage.wall.full.geometry() == screen_named("Projector").rect
    assert stage.wall.full.frame == stage.lesson.wall_frame


@pytest.mark.parametrize("turns", [0, 1])
def test_hidden_shows_no_time_and_nobody_hears_it_either(stage, turns):
    for _turn in range(turns):
        stage.tap("W")
    stage.tap("H").wait(3)
    canvas = stage.wall.strip if turns else stage.wall.full
    frame = canvas.frame
    assert (frame.face, frame.digits, frame.whole, frame.full, frame.fourths) == ("hidden", None, 0, 0, 0)
    assert canvas.isVisible()
    assert "left" not in canvas.accessibleDescription()
    watch = Paints(canvas)
    stage.wait(20)
    assert watch.regions == []  # a picture that stood still: not even a repaint gives time away
    stage.tap("B")
    assert canvas.frame.digits is not None
    assert "left" in canvas.accessibleDescription()


def test_mirrored_or_overlapping_screens_count_as_one():
    here = ScreenInfo("A", (0, 0, 1366, 768))
    assert wall_choice([here, ScreenInfo("B", (0, 0, 1366, 768))], here) is None
    assert wall_choice([here, ScreenInfo("B", (0, 0, 1920, 1080))], here) is None
    assert wall_choice([here, ScreenInfo("B", (1365, 0, 1920, 1080))], here) is None
    apart = ScreenInfo("B", (1366, 0, 1920, 1080))
    assert wall_choice([apart, here], here) == apart
    assert wall_choice([here], here) is None
    assert wall_choice([here, apart], None) is None


# Which screen the class sees.


def test_off_the_main_screen_the_desk_stays_where_it_is_if_the_class_sees_the_other(
    new_stage, invented, projector_is_main, numbers_asked
):
    projector_is_main()
    made = new_stage(invented).start()
    assert len(numbers_asked) == 1
    assert made.window.shows_desk
    assert made.window.screen().name() == "Laptop"
    assert made.wall.full.screen().name() == "Projector"


def test_with_two_screens_apart_nobody_is_asked_who_sees_them(new_stage, invented, monkeypatch):
    asked = []
    monkeypatch.setattr(OneScreenQuestion, "ask", staticmethod(asked.append))
    assert new_stage(invented).start().window.shows_desk
    assert asked == []


def test_with_one_screen_only_the_question_about_one_screen_is_asked(
    new_stage, invented, one_screen, numbers_asked
):
    asked = one_screen(OneScreen.DESK_ONLY)
    assert new_stage(invented).enter()
    assert asked == [OneScreen.DESK_ONLY]
    assert numbers_asked == []


# One screen.


def test_one_screen_asks_each_time(new_stage, invented, one_screen):
    asked = one_screen(OneScreen.DESK_ONLY)
    for number in (1, 2):
        made = new_stage(invented)
        made.start()
        assert len(asked) == number
        assert made.window.shows_desk
        assert not made.wall.full.isVisible()
        made.tap("Home").tap("Return")


def test_cancelling_leaves_everything_as_it_was(new_stage, invented, one_screen):
    one_screen(OneScreen.CANCEL)
    made = new_stage(invented)
    assert not made.enter()
    assert made.room.lesson is None
    assert not made.window.shows_desk
    assert not made.wall.full.isVisible()
    assert not made.room.keys.active


def test_where_children_see_the_only_screen_the_desk_is_never_drawn(new_stage, invented, one_screen):
    one_screen(OneScreen.WALL_ONLY)
    made = new_stage(invented).start()
    desk = Paints(made.desk)
    made.keyboard.target = made.wall.full
    assert made.wall.full.isVisible()
    assert made.wall.full.geometry() == screen_named("Laptop").rect
    keys = "E V N PageUp H B W W W Return Escape Space Space Home"
    for name in keys.split():
        made.tap(name).wait(1)
        assert not made.window.shows_desk
    change_screens()
    settle()
    assert desk.regions == []
    assert made.desk.paints == 0
    assert "Nothing private" in _curtain_text(made)
    assert not made.desk.isVisible()
    assert "moved" in made.kinds  # its keys did work


def test_where_children_see_the_only_screen_the_wall_takes_the_keys(new_stage, invented, one_screen):
    one_screen(OneScreen.WALL_ONLY)
    made = new_stage(invented).start()
    assert made.wall.full.isActiveWindow()
    assert not made.wall.full.windowFlags() & Qt.WindowType.WindowDoesNotAcceptFocus


def test_what_a_lesson_came_to_waits_for_another_enter_where_children_see_the_screen(
    new_stage, invented, one_screen
):
    one_screen(OneScreen.WALL_ONLY)
    made = new_stage(invented).start()
    left = []
    made.room.left.connect(lambda: left.append(True))
    made.keyboard.target = made.wall.full
    made.tap("Home").tap("Return")
    assert made.room.lesson is None
    assert not made.wall.full.isVisible()
    assert made.window.curtain.isVisible()
    assert left == []
    made.keyboard.target = made.window.curtain
    made.tap("Return")
    assert left == [True]
    assert not made.room.keys.active


@pytest.mark.parametrize("answer", OneScreen)
def test_with_one_screen_left_lifting_the_curtain_asks_who_sees_it(stage, one_screen, answer):
    asked = one_screen(answer)
    desk = Paints(stage.desk)
    change_screens()
    settle()
    stage.keyboard.target = stage.window.curtain
    stage.tap("Return").wait(2)
    assert asked == [answer]
    assert stage.window.shows_desk is (answer is OneScreen.DESK_ONLY)
    assert bool(desk.regions) is (answer is OneScreen.DESK_ONLY)
    assert stage.wall.full.isVisible() is (answer in (OneScreen.WALL_ONLY, OneScreen.WALL_AND_MARK))
    assert stage.session.state.is_running


def test_a_second_screen_that_comes_later_gets_the_wall(new_stage, invented, one_screen, monkeypatch):
    one_screen(OneScreen.DESK_ONLY)
    made = new_stage(invented).start()
    monkeypatch.undo()
    QGuiApplication.instance().screenAdded.emit(live_screen("Projector"))
    assert not made.window.shows_desk
    settle()
    assert made.wall.full.isVisible()
    assert made.wall.full.screen().name() == "Projector"
    assert made.wall.full.frame.digits == "2:00"


def test_where_children_see_the_only_screen_no_cue_is_said_either(
    new_stage, invented, one_screen, monkeypatch
):
    one_screen(OneScreen.WALL_ONLY)
    made = new_stage(invented)
    said = []
    monkeypatch.setattr(made.desk, "announce", said.append)
    made.start().wait(155)
    assert made.session.state.cues
    assert said == []


def test_a_second_screen_takes_the_wall_and_the_desk_waits_behind_the_curtain(
    new_stage, invented, one_screen, monkeypatch
):
    """The lesson began with the Wall alone on the laptop, which is the main screen."""
    asked = one_screen(OneScreen.WALL_ONLY)
    made = new_stage(invented).start().wait(5)
    desk = Paints(made.desk)
    monkeypatch.setattr("pacer.qt.lesson.placing.present_screens", present_screens)
    QGuiApplication.instance().screenAdded.emit(live_screen("Projector"))
    settle()
    assert made.wall.full.isVisible()
    assert made.wall.full.geometry() == screen_named("Projector").rect
    assert made.wall.full.windowFlags() & Qt.WindowType.WindowDoesNotAcceptFocus
    assert "A second screen is here.\nEnter shows the Desk on this one." in _curtain_text(made)
    assert made.window.curtain.isVisible()
    assert made.window.isActiveWindow()
    assert not made.window.shows_desk
    assert desk.regions == []
    made.keyboard.target = made.window.curtain
    made.tap("N")
    assert made.session.state.index == 1
    assert not made.window.shows_desk
    made.tap("Return")
    assert made.window.shows_desk
    assert desk.regions
    assert (made.desk.frame.phase_title, made.desk.frame.number) == ("Review", "3:00")
    assert made.wall.full.screen().name() == "Projector"
    assert asked == [OneScreen.WALL_ONLY]
    made.keyboard.target = made.desk
    made.tap("Home").tap("Return")
    assert made.room.lesson is None
    assert not made.window.curtain.isVisible()


def test_the_desk_is_up_to_now_as_soon_as_a_second_screen_lets_it_be_shown(
    new_stage, invented, one_screen, monkeypatch
):
    one_screen(OneScreen.WALL_ONLY)
    made = new_stage(invented).start().wait(30)
    monkeypatch.setattr("pacer.qt.lesson.placing.present_screens", present_screens)
    change_screens()
    settle()
    made.keyboard.target = made.window.curtain
    made.keyboard.tap("Return")
    assert made.window.shows_desk
    assert (made.desk.frame.phase_title, made.desk.frame.number) == ("Skip count", "1:30")


def test_a_second_screen_changes_nothing_where_the_private_window_is_not_on_the_main_one(
    new_stage, invented, one_screen, projector_is_main
):
    one_screen(OneScreen.WALL_ONLY)
    made = new_stage(invented).start()
    projector_is_main()
    desk = Paints(made.desk)
    QGuiApplication.instance().screenAdded.emit(live_screen("Projector"))
    settle()
    assert made.wall.full.isVisible()
    assert made.wall.full.geometry() == screen_named("Laptop").rect
    assert "Nothing private" in _curtain_text(made)
    made.tap("Return")
    made.keyboard.target = made.window.curtain
    made.tap("Return")
    assert not made.window.shows_desk
    assert desk.regions == []


# The curtain.


@pytest.mark.parametrize("signal", ["screenAdded", "screenRemoved", "primaryScreenChanged"])
def test_any_screen_change_draws_the_curtain_at_once_and_enter_lifts_it(stage, signal):
    stage.wait(5)
    desk = Paints(stage.desk)
    getattr(QGuiApplication.instance(), signal).emit(live_screen("Projector"))
    assert not stage.window.shows_desk  # before anything else can be painted
    assert stage.window.curtain.isVisible()
    settle()
    stage.wait(3)
    assert desk.regions == []
    assert stage.wall.full.frame.digits == "1:52"  # timing goes on
    stage.keyboard.target = stage.window.curtain
    stage.tap("N")
    assert stage.session.state.index == 1
    assert not stage.window.shows_desk
    stage.tap("Return")
    assert stage.window.shows_desk
    assert stage.desk.frame.phase_title == "Review"
    assert desk.regions
    assert stage.room.lesson is stage.lesson


def test_the_curtain_stays_while_the_private_window_is_on_the_wall_s_screen_and_the_wall_lies_above(
    stage, monkeypatch
):
    """The lid was closed, and the system moved the private window to the projector."""
    asked, raised = [], []
    monkeypatch.setattr(OneScreenQuestion, "ask", staticmethod(asked.append))
    monkeypatch.setattr(stage.wall.full, "raise_", lambda: raised.append(stage.wall.full.isVisible()))
    desk = Paints(stage.desk)
    _move(stage, "Projector")
    assert not stage.window.shows_desk
    assert set(raised) == {True}
    raised.clear()
    change_screens()
    settle()
    assert raised == [True]
    assert stage.wall.full.geometry() == screen_named("Projector").rect
    stage.keyboard.target = stage.window.curtain
    desk.regions.clear()
    stage.tap("Return").tap("N").tap("Enter").wait(2)
    assert not stage.window.shows_desk
    assert desk.regions == []
    assert asked == []
    assert set(raised) == {True}
    assert len(raised) >= 3
    assert "Move this window to your own screen, then press Enter." in _curtain_text(stage)
    assert stage.session.state.index == 1  # its keys did work
    _move(stage, "Laptop")
    assert not stage.window.shows_desk
    stage.tap("Return")
    assert stage.window.shows_desk
    assert stage.desk.frame.phase_title == "Review"


def test_the_wall_s_screen_is_known_by_its_name_wherever_it_lies(stage, monkeypatch):
    """A third screen would be free for the Wall, but children look at this one."""
    here, third = ScreenInfo("Projector", (0, 0, 1280, 800)), ScreenInfo("Third", (1280, 0, 1280, 800))
    change_screens()
    settle()
    # Enter comes before the program has heard of the projector's new place.
    monkeypatch.setattr("pacer.qt.lesson.placing.present_screens", lambda: [here, third])
    monkeypatch.setattr(stage.room.screens, "private_screen", lambda: here)
    assert wall_choice([here, third], here) == third
    assert stage.wall.screen != here
    stage.keyboard.target = stage.window.curtain
    stage.tap("Return")
    assert not stage.window.shows_desk
    assert "Move this window" in _curtain_text(stage)


def test_a_screen_that_changes_its_size_draws_the_curtain_too(stage):
    live_screen("Projector").geometryChanged.emit(screen_named("Projector").rect)
    assert not stage.window.shows_desk


def test_the_curtain_shows_nothing_of_the_lesson(stage):
    change_screens()
    words = _curtain_text(stage) + names_of(stage.window.curtain) + stage.window.windowTitle()
    for secret in ("Skip", "Review", "2:00", "STEADY", "Thirds"):
        assert secret not in words


def test_the_wall_leaves_with_its_screen_and_comes_back_by_itself(stage, monkeypatch):
    place = stage.window.geometry()
    laptop = screen_named("Laptop")
    with monkeypatch.context() as unplugged:
        unplugged.setattr("pacer.qt.lesson.placing.present_screens", lambda: [laptop])
        change_screens()
        settle()
        stage.wait(5)
        assert not stage.wall.full.isVisible()
        assert not stage.wall.strip.isVisible()
    change_screens()
    settle()
    assert stage.wall.full.isVisible()
    assert stage.wall.full.geometry() == screen_named("Projector").rect
    assert stage.wall.full.frame == stage.lesson.wall_frame
    assert stage.wall.full.frame.digits == "1:55"
    assert stage.window.geometry() == place


def test_the_wall_stays_untouched_while_its_screen_lives(stage):
    watch = Paints(stage.wall.full)
    change_screens()
    settle()
    assert stage.wall.full.isVisible()
    assert watch.regions == []


# What only the Desk says.


def test_the_desk_says_loudly_when_the_keys_go_to_another_program(stage):
    application = QGuiApplication.instance()
    application.applicationStateChanged.emit(Qt.ApplicationState.ApplicationActive)
    settle()
    watch = Paints(stage.desk)
    application.applicationStateChanged.emit(Qt.ApplicationState.ApplicationInactive)
    settle()
    assert stage.desk.loud == "Keys go to another program. Click here."
    assert watch.regions
    stage.tap("E")  # a refusal is less urgent
    assert "another program" in stage.desk.loud
    assert stage.desk.answered == ""
    application.applicationStateChanged.emit(Qt.ApplicationState.ApplicationActive)
    assert "another program" not in stage.desk.loud
    assert "another program" not in wall_words(*stage.wall_frames)


def test_a_refusal_is_told_on_the_desk_only_and_goes_away(stage):
    watch, before = Paints(stage.wall.full), stage.wall.full.frame
    stage.tap("E", after_ms=0)
    assert stage.desk.answered == "No partner talk is running."
    assert timer_of(stage.desk).interval() == room.REFUSAL_SHOWN_MS
    assert REFUSAL_SHOWN_MS <= 5000
    assert stage.wall.full.frame == before
    assert watch.regions == []
    timer_of(stage.desk).timeout.emit()
    assert stage.desk.answered == ""


def test_the_answer_to_the_next_press_takes_the_place_of_a_refusal(stage):
    stage.tap("E")
    assert stage.desk.answered == "No partner talk is running."
    stage.tap("V")
    assert stage.desk.answered == "Child’s voice 1"
    assert timer_of(stage.desk).interval() == room.ANSWER_SHOWN_MS
    assert ANSWER_SHOWN_MS == 2000
    stage.tap("E").tap("PageUp")
    assert (stage.last.kind, stage.desk.answered) == ("undone", "Undone: Child’s voice 1")
    stage.tap("E").wait(2)
    assert stage.desk.answered == "No partner talk is running.", "time alone clears it only when it is due"


@pytest.mark.parametrize(
    ("keys", "answer"),
    [
        ("2 2 2", "Stuck on 2: 3"), ("T T", "Table mark 2"), ("Up", "+1:00"), ("Down", "−0:30"),
        ("N PageUp", "Undone: Next, moved on"), ("T T PageUp", "Undone: Table mark 2"), ("Space", "Paused"),
        ("Space Space", "Going on"), ("H", "Time hidden"), ("W", "Wall strip"), ("PageDown", "Next"),
        ("D", "Next, done"), ("P", "Partners 0:30"), ("M", "Example 1"), ("PageDown Ctrl+1", "Jump"),
    ],
)  # fmt: skip
def test_every_press_is_answered_large_for_two_seconds(stage, keys, answer):
    for name in keys.split():
        stage.tap(name)
    assert stage.desk.answered == answer
    made = lay_band(answer, stage.desk.far_size, stays=False)
    least = EASY_FAR if len(answer) < 15 else LEAST_FAR * theme.CAP_SHARE
    if set("ij") & set(answer) and set("gjpqy") & set(answer):
        least = min(least, EASY_FAR * 0.94)  # a dot above and a letter that hangs: neither meets an edge
    assert made.setting.cap_height >= least * stage.desk.height() - 1
    timer_of(stage.desk).timeout.emit()
    assert stage.desk.answered == ""


def test_after_the_end_a_refused_press_says_again_how_to_leave(stage):
    stage.tap("Home").tap("V").tap("E")
    assert len(stage.refusals) == 2
    assert stage.desk.loud == "Enter closes. Page Up takes it back."
    assert stage.desk.answered == ""
    stage.tap("Return")
    assert stage.room.lesson is None


def test_taking_time_where_nothing_is_left_is_refused_and_changes_nothing(stage):
    stage.wait(118).tap("Down")  # at 1:59 a second is left
    assert (stage.last.kind, stage.refusals) == ("time_added", [])
    events = [kind for kind in stage.kinds if kind != "cued"]
    stage.tap("Down")
    assert stage.refusals == ["Nothing is left to take."]
    assert stage.desk.answered == "Nothing is left to take."
    assert [kind for kind in stage.kinds if kind != "cued"] == events
    stage.tap("Up").tap("Up").tap("Down")  # back to 2:30 of two minutes, so some is left
    assert len(stage.refusals) == 1


def test_the_near_page_says_what_the_wall_behind_the_teacher_does_not_show(stage):
    said = []
    for name in ("W", "W", "W", "H", "H", "V", "V", "B"):
        said.append(stage.tap(name).desk.frame.near[0])
    groups, hidden = "Groups keep 3 × 13:00", "Time is hidden on the Wall: H"
    strip, off = "The Wall is a strip: W", "The Wall is off: W"
    assert said == [strip, off, groups, hidden, groups, groups, groups, hidden]
    assert "2 children's voices" in stage.desk.frame.near


def test_the_bell_is_told_with_its_distance_from_its_time(stage):
    """By our own arithmetic: begun at 9:00, the bell is due at 10:15; it is pressed at 9:00:01."""
    stage.tap("Home")
    assert (stage.desk.frame.headline, stage.desk.frame.under) == ("The bell rang", "74 min before its time")
    assert stage.wall.full.frame.title == "Thirds on a number line"


def test_however_late_the_desk_says_no_move_on_before_the_floor(new_stage, invented):
    """Half an hour late; skip count has a floor of 1:00, and the lead is 20 s."""
    made = new_stage(invented)
    made.lesson._planned_utc_ms = made.clock.now().utc_ms - 30 * 60_000
    made.start().wait(39)
    assert made.desk.frame.stage == "closing"
    made.wait(1)
    assert made.desk.frame.stage == "move_on"


def test_a_disk_that_fails_is_told_on_the_desk_and_the_lesson_goes_on_and_is_saved_later(new_stage, invented):
    journal = FailingJournal("")
    made = new_stage(invented, journal=journal).start()
    journal.reason = "The disk is full."
    made.tap("V")
    assert made.desk.loud == "Not saved yet: The disk is full. The lesson goes on."
    made.tap("N").wait(10)
    assert made.session.state.index == 1
    assert made.session.unsaved >= 2
    assert "Not saved yet" in made.desk.loud
    assert "disk" not in wall_words(*made.wall_frames)
    journal.reason = ""
    made.wait(1)
    assert made.session.unsaved == 0
    assert list(made.session.events) == journal.events
    assert made.desk.loud == ""


def test_where_the_wall_gave_way_to_a_warning_the_next_press_brings_it_back(new_stage, invented, one_screen):
    one_screen(OneScreen.WALL_ONLY)
    journal = FailingJournal("")
    made = new_stage(invented, journal=journal).start()
    journal.reason = "The disk is full."
    made.tap("V").wait(1)
    assert not made.room.may_stop()
    made.wait(2)
    assert not made.wall.full.isVisible(), "the warning is to be read"
    made.keyboard.target = made.window.curtain
    made.tap("N")
    assert made.wall.full.isVisible()
    assert made.wall.full.frame.title == "Review"


def test_a_disk_that_fails_between_two_presses_is_told_as_well(new_stage, invented):
    """A cue is written without a press."""
    journal = FailingJournal("")
    made = new_stage(invented, journal=journal).start()
    journal.reason = "The disk is full."
    made.wait(155)
    assert made.session.state.cues
    assert "Not saved yet" in made.desk.loud


def test_a_disk_that_fails_from_the_start_does_not_stop_the_lesson(new_stage, invented):
    made = new_stage(invented, journal=FailingJournal()).start()
    made.wait(3)
    assert "Not saved yet" in made.desk.loud
    assert made.wall.full.frame.digits == "1:57"


def test_a_cue_is_said_to_a_screen_reader(new_stage, invented, monkeypatch):
    made = new_stage(invented)
    said = []
    made.lesson.cued.connect(said.append)
    made.start()
    made.wait(155)
    assert said[-1] == "MOVE ON. move on now"


# Getting ready, ending, leaving.


def test_before_the_start_the_wall_shows_the_title_and_no_time(new_stage, invented):
    made = new_stage(invented)
    assert made.enter()
    frame = made.wall.full.frame
    assert (frame.title, frame.digits, frame.whole) == ("Thirds on a number line", None, 0)
    assert made.desk.frame.headline == "Press Space to start"
    made.clock.advance(90_000)
    made.lesson.refresh()
    assert made.desk.frame.clock == "9:01"
    assert made.session.events == ()


def test_the_end_is_shown_and_can_be_taken_back(stage):
    stage.tap("Home")
    assert stage.desk.frame.stage == "ended"
    assert stage.desk.loud == "Enter closes. Page Up takes it back."
    assert stage.wall.full.frame.digits is None
    assert stage.room.lesson is stage.lesson
    stage.tap("PageUp")
    assert stage.desk.frame.stage == "steady"
    assert stage.desk.loud == ""
    assert stage.wall.full.frame.digits == "1:58"


@pytest.mark.parametrize("name", ["Return", "Enter"])
def test_enter_closes_a_lesson_that_has_ended_and_no_other(stage, name):
    left = []
    stage.room.left.connect(lambda: left.append(True))
    stage.tap(name)
    assert not left
    stage.tap("Home").tap(name)
    assert left == [True]
    assert stage.room.lesson is None
    assert not stage.wall.full.isVisible()
    assert not stage.wall.strip.isVisible()
    assert not stage.room.keys.active
    assert stage.desk.loud == ""


@pytest.mark.slow
def test_past_the_last_phase_the_lesson_goes_on_with_the_groups(stage):
    for _phase in range(6):
        stage.wait(60).tap("N")
    assert stage.session.state.is_running
    assert stage.wall.full.frame.title == "Small groups"
    assert (stage.desk.frame.phase_title, stage.desk.frame.next_title) == ("Transition", "Circle")


# The ticker.


def test_the_ticker_aims_at_the_boundary_it_is_told(qapp):
    waits = iter([250, 1000, 1, 0, -5, 730])
    ticks = []
    ticker = Ticker(lambda: next(waits), lambda: ticks.append(timer_of(ticker).interval()))
    ticker.start()
    assert timer_of(ticker).isActive()
    assert timer_of(ticker).interval() == 250
    assert timer_of(ticker).isSingleShot()
    assert timer_of(ticker).timerType() == Qt.TimerType.PreciseTimer
    for _tick in range(5):
        timer_of(ticker).timeout.emit()
    # A boundary that is passed already is aimed at with the least wait, never with none.
    assert ticks == [1000, 1, 1, 1, 730]
    ticker.stop()
    assert not timer_of(ticker).isActive()


def test_a_subscriber_that_fails_does_not_stop_the_ticker(qapp, qtbot):
    def fail() -> None:
        raise ValueError("invented")

    ticker = Ticker(lambda: 400, fail)
    with qtbot.capture_exceptions() as caught:
        timer_of(ticker).timeout.emit()
    assert [kind for kind, _fault, _trace in caught] == [ValueError]
    assert timer_of(ticker).isActive()
    ticker.stop()


def until_next(stage) -> int:
    """Milliseconds until the lesson wants to be looked at again, from a look now."""
    timer = timer_of(stage.lesson.findChild(Ticker))
    timer.timeout.emit()
    return timer.interval()


@pytest.mark.parametrize(
    ("ms", "wait_ms"),
    [(0, 1000), (1, 999), (300, 700), (999, 1), (1000, 1000), (61_250, 750), (150_400, 600)],
)
def test_a_lesson_aims_at_the_next_displayed_second_also_past_the_budget(stage, ms, wait_ms):
    stage.clock.advance(ms)
    stage.lesson.refresh()
    before = stage.wall.full.frame.digits, stage.desk.frame.number
    assert until_next(stage) == wait_ms
    stage.clock.advance(wait_ms - 1)
    stage.lesson.refresh()
    assert (stage.wall.full.frame.digits, stage.desk.frame.number) == before
    stage.clock.advance(1)
    stage.lesson.refresh()
    assert stage.desk.frame.number != before[1]


def test_in_a_burst_the_nearer_of_both_boundaries_is_aimed_at(stage):
    stage.clock.advance(300)
    stage.keyboard.tap("P")
    stage.clock.advance(500)
    assert until_next(stage) == 200  # of the phase; the burst's would be in 500
    stage.clock.advance(300)
    assert until_next(stage) == 200  # of the burst


def test_a_pause_aims_at_the_classroom_clock_s_second(stage):
    stage.clock.advance(250)
    stage.keyboard.tap("Space")
    stage.clock.advance(150)
    assert until_next(stage) == 600


def test_a_press_aims_anew_and_leaving_stops_the_ticker(stage):
    stage.clock.advance(700)
    stage.keyboard.tap("V")
    timer = timer_of(stage.lesson.findChild(Ticker))
    assert timer.interval() == 300
    stage.room.shut()
    assert not timer.isActive()


def _move(stage, name: str) -> None:
    """Put the private window on a screen, as the system or the teacher does."""
    stage.window.showNormal()
    stage.window.move(screen_named(name).rect.topLeft() + QPoint(50, 50))
    settle()
    assert stage.window.screen().name() == name


def _curtain_text(stage) -> str:
    return "\n".join(label.text() for label in stage.window.curtain.findChildren(QLabel))


def test_the_curtain_promises_no_key_while_none_comes_to_it(stage):
    curtain = stage.window.curtain
    stage.room.screens.watch.changed.emit()
    settle()
    assert "all keys work" in _curtain_text(stage)
    curtain._on_application_state(Qt.ApplicationState.ApplicationInactive)
    for words in get_args(CurtainWords):
        curtain.say(curtain_words(words))
        shown = [one.text() for one in curtain.findChildren(QLabel) if one.isVisible() and one.text()]
        assert shown[-1] == "Keys go to another program. Click here."
        for said in shown[:-1]:
            assert "Enter asks" not in said
            assert "keys work" not in said
    curtain._on_application_state(Qt.ApplicationState.ApplicationActive)
    curtain.say(curtain_words("mirrored"))
    assert "Enter asks who sees them; all keys work." in _curtain_text(stage)
