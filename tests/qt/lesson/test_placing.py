"""The room's screens: the numbers on them, what every change does at once, and the mark without words."""

from dataclasses import replace

import pytest
from PySide6.QtCore import QPoint, QRect, Qt, QTimer
from PySide6.QtGui import QGuiApplication, QKeyEvent
from PySide6.QtWidgets import QApplication, QLabel, QWidget

from pacer.qt.screens.hint_mark import HintMark
from pacer.qt.screens.number_cards import Card, NumberCards, NumberPage
from pacer.qt.screens.present import present_screens, screen_words
from pacer.qt.screens.questions import OneScreenQuestion, RehearsalQuestion
from pacer.qt.screens.watch import ScreenWatch, WindowWatch
from pacer.run.room_plan import OneScreen
from pacer.settings.screen_choice import remember
from tests.qt.window_factories import (
    NO_MODIFIER,
    FailingJournal,
    Paints,
    change_screens,
    code_of,
    live_screen,
    screen_named,
    settle,
    timer_of,
)

REAL_ASK = NumberCards.__dict__["ask"]
PRESENT = "pacer.qt.lesson.placing.present_screens"
LEFT = Qt.MouseButton.LeftButton


@pytest.fixture
def while_asked():
    """Does something once the numbers are shown. A fault of it ends the question, so that no test hangs."""

    def plan(act) -> list[NumberPage]:
        pages: list[NumberPage] = []

        def begin() -> None:
            pages.extend(page for page in QApplication.allWidgets() if isinstance(page, NumberPage))
            try:
                act(pages[0])
            finally:
                if pages:
                    pages[0].chosen.emit(0)

        QTimer.singleShot(0, begin)
        return pages

    return plan


def press(page: NumberPage, name: str, scan_code: int = 0) -> None:
    for kind in (QKeyEvent.Type.KeyPress, QKeyEvent.Type.KeyRelease):
        QApplication.sendEvent(page, QKeyEvent(kind, code_of(name), NO_MODIFIER, scan_code, 0, 0))


def cards() -> list[Card]:
    return [one for one in QApplication.topLevelWidgets() if isinstance(one, Card) and one.isVisible()]


def rooms_with(wall: str):
    screens = present_screens()
    return remember((), screens, screen_named(wall))


def curtain_text(stage) -> str:
    return "\n".join(label.text() for label in stage.window.curtain.findChildren(QLabel))


def screen_events(stage) -> list:
    return [event.body for event in stage.session.events if event.body.kind == "screens_changed"]


def let_settle(stage) -> None:
    assert timer_of(stage.room.findChild(ScreenWatch)).isActive()
    stage.room.findChild(ScreenWatch).settle_now()
    settle()


def look_for_the_wall(stage) -> None:
    """Let its timer end, again and again until it rests."""
    timer = stage.room.screens._lost
    while timer.isActive():
        timer.stop()
        timer.timeout.emit()


# The numbers.


# The private window is on the class's screen.


def test_where_the_class_sees_this_window_s_screen_the_desk_waits_until_the_window_is_moved(
    new_stage, invented, real_numbers, monkeypatch
):
    made = new_stage(invented)
    made.room.rooms = rooms_with("Laptop")
    raised = []
    monkeypatch.setattr(made.wall.full, "raise_", lambda: raised.append(True))
    desk, place = Paints(made.desk), made.window.geometry()
    made.start().wait(3)
    assert not made.window.shows_desk
    assert made.wall.full.geometry() == screen_named("Laptop").rect
    assert raised
    assert "Move this window to your own screen, then press Enter." in curtain_text(made)
    (note,) = cards()
    assert screen_named("Projector").rect.contains(note.geometry())
    assert "Move it here" in note.accessibleName()
    made.keyboard.target = made.window.curtain
    made.tap("Return").tap("V")
    assert not made.window.shows_desk
    assert made.last.kind == "voice"
    assert made.window.geometry() == place
    assert desk.regions == []
    made.window.showNormal()
    made.window.move(screen_named("Projector").rect.topLeft() + QPoint(50, 50))
    settle()
    assert cards() == []
    assert not made.window.shows_desk
    assert "This is your own screen now." in curtain_text(made)
    made.tap("Return")
    assert made.window.shows_desk
    assert made.wall.full.geometry() == screen_named("Laptop").rect


def test_a_window_dragged_over_the_edge_of_the_class_s_screen_is_covered_before_it_is_painted(stage):
    stage.window.showNormal()
    settle()
    assert stage.window.shows_desk
    desk = Paints(stage.desk)
    shown = []
    stage.room.findChild(WindowWatch).moved.connect(lambda: shown.append(stage.window.shows_desk))
    stage.window.move(1366 - stage.window.width() + 100, 40)
    assert not stage.window.shows_desk
    settle()
    assert shown[-1] is False
    assert desk.regions == []
    stage.keyboard.target = stage.window.curtain
    stage.tap("Return")
    assert not stage.window.shows_desk
    stage.window.move(0, 40)
    stage.window.resize(1000, 600)
    settle()
    stage.tap("Return")
    assert stage.window.shows_desk


# Every change.


SIGNALS = ("geometryChanged", "logicalDotsPerInchChanged", "virtualGeometryChanged")


@pytest.mark.parametrize("name", ["Laptop", "Projector"])
@pytest.mark.parametrize("signal", SIGNALS)
def test_a_screen_that_moves_or_changes_its_size_or_scale_draws_the_curtain_inside_the_signal(
    stage, name, signal
):
    desk, screen = Paints(stage.desk), live_screen(name)
    value = {"logicalDotsPerInchChanged": 96.0}.get(signal, screen.geometry())
    getattr(screen, signal).emit(value)
    assert not stage.window.shows_desk
    assert stage.window.curtain.isVisible()
    settle()
    assert desk.regions == []
    assert stage.wall.full.isVisible()


def test_a_panel_of_the_desktop_that_moves_is_no_screen_change(stage):
    live_screen("Laptop").availableGeometryChanged.emit(QRect(0, 0, 1366, 700))
    settle()
    assert stage.window.shows_desk
    assert screen_events(stage) == []


def test_one_change_told_in_many_pieces_is_written_down_once(stage):
    application = QGuiApplication.instance()
    for _piece in range(3):
        application.primaryScreenChanged.emit(live_screen("Laptop"))
        live_screen("Projector").geometryChanged.emit(screen_named("Projector").rect)
        settle()
    assert screen_events(stage) == []
    let_settle(stage)
    (found,) = screen_events(stage)
    assert found.screens == ("Laptop 1366x768 at 0,0, primary", "Projector 1920x1080 at 1366,0")
    assert (found.wall, found.curtain) == ("Projector", True)
    assert not stage.window.shows_desk
    application.screenAdded.emit(live_screen("Projector"))
    let_settle(stage)
    assert len(screen_events(stage)) == 2


def test_a_pulled_projector_is_written_down_without_a_wall(stage, monkeypatch):
    laptop = screen_named("Laptop")
    monkeypatch.setattr(PRESENT, lambda: [laptop])
    QGuiApplication.instance().screenRemoved.emit(live_screen("Projector"))
    let_settle(stage)
    (found,) = screen_events(stage)
    assert (found.screens, found.wall) == (("Laptop 1366x768 at 0,0, primary",), "")


def test_a_change_that_is_still_settling_is_written_down_when_the_program_closes(stage):
    change_screens()
    stage.room.shut()
    assert len(screen_events(stage)) == 1
    assert stage.journal.events[-1].body.kind == "screens_changed"


def test_a_scale_is_told_with_the_pixels():
    screen = replace(screen_named("Projector"), place=(1366, 0, 1536, 864), ratio=1.25)
    assert screen_words(screen) == "Projector 1920x1080 at 1366,0, scale 1.25"


def test_a_new_size_of_the_class_s_screen_needs_no_question_in_a_lesson(stage, numbers_asked, monkeypatch):
    assert len(numbers_asked) == 1
    laptop = screen_named("Laptop")
    smaller = replace(screen_named("Projector"), place=(1366, 0, 1280, 720))
    monkeypatch.setattr(PRESENT, lambda: [laptop, smaller])
    live_screen("Projector").geometryChanged.emit(smaller.rect)
    settle()
    assert stage.wall.screen == smaller
    stage.keyboard.target = stage.window.curtain
    stage.tap("Return")
    assert stage.window.shows_desk
    assert len(numbers_asked) == 1


def test_an_unknown_second_screen_gets_the_wall_and_enter_asks_before_the_desk_is_shown(
    new_stage, invented, numbers_asked, monkeypatch
):
    laptop = screen_named("Laptop")
    monkeypatch.setattr(OneScreenQuestion, "ask", staticmethod(lambda _parent: OneScreen.DESK_ONLY))
    with monkeypatch.context() as alone:
        alone.setattr(PRESENT, lambda: [laptop])
        made = new_stage(invented).start()
    QGuiApplication.instance().screenAdded.emit(live_screen("Projector"))
    settle()
    assert made.wall.full.screen().name() == "Projector"
    assert numbers_asked == []
    made.keyboard.target = made.window.curtain
    made.tap("Return")
    assert len(numbers_asked) == 1
    assert made.window.shows_desk


@pytest.mark.parametrize("answer", [OneScreen.CANCEL, OneScreen.DESK_ONLY, OneScreen.WALL_ONLY])
def test_mirrored_in_a_lesson_the_wall_lies_above_and_enter_asks_each_time(stage, monkeypatch, answer):
    asked, raised = [], []
    monkeypatch.setattr(OneScreenQuestion, "ask", staticmethod(lambda _parent: asked.append(True) or answer))
    monkeypatch.setattr(stage.wall.full, "raise_", lambda: raised.append(True))
    laptop = screen_named("Laptop")
    mirrored = replace(screen_named("Projector"), place=(0, 0, 1366, 768))
    with monkeypatch.context() as mirror:
        mirror.setattr(PRESENT, lambda: [laptop, mirrored])
        change_screens()
        settle()
        assert raised
        assert stage.wall.screen == mirrored
        assert "All screens show the same." in curtain_text(stage)
        stage.keyboard.target = stage.window.curtain
        stage.tap("Return")
        assert asked == [True]
        assert stage.window.shows_desk is (answer is OneScreen.DESK_ONLY)
        if answer is OneScreen.DESK_ONLY:
            assert stage.wall.screen is None
            change_screens()
            assert not stage.window.shows_desk
            stage.tap("Return")
            assert asked == [True, True]
    change_screens()
    settle()
    assert not stage.window.shows_desk
    assert stage.wall.full.isVisible()
    assert stage.wall.full.geometry() == screen_named("Projector").rect
    asked.clear()
    stage.tap("Return")
    assert stage.window.shows_desk
    assert asked == []


def test_with_the_lid_closed_only_the_wall_is_left_and_nothing_lifts_the_curtain(stage, monkeypatch):
    asked = []
    monkeypatch.setattr(OneScreenQuestion, "ask", staticmethod(asked.append))
    desk = Paints(stage.desk)
    beamer = replace(screen_named("Projector"), place=(0, 0, 1920, 1080), primary=True)
    monkeypatch.setattr(PRESENT, lambda: [beamer])
    monkeypatch.setattr(stage.room.screens, "private_screen", lambda: beamer)
    QGuiApplication.instance().screenRemoved.emit(live_screen("Laptop"))
    settle()
    stage.keyboard.target = stage.window.curtain
    stage.tap("Return").tap("N")
    assert not stage.window.shows_desk
    assert stage.session.state.index == 1
    assert (asked, desk.regions) == ([], [])
    assert stage.wall.screen == beamer


def test_where_the_class_s_screen_is_the_only_one_left_a_rehearsal_is_not_shown_on_it_unasked(
    new_stage, invented, monkeypatch
):
    made, asked = new_stage(invented), []
    made.room.rooms = rooms_with("Projector")
    monkeypatch.setattr(RehearsalQuestion, "ask", staticmethod(lambda _parent: asked.append(True)))
    assert made.room.enter(made.lesson, desk_only=True)
    assert made.window.shows_desk
    beamer = replace(screen_named("Projector"), place=(0, 0, 1920, 1080), primary=True)
    monkeypatch.setattr(PRESENT, lambda: [beamer])
    monkeypatch.setattr(QWidget, "screen", lambda _widget: live_screen("Projector"))
    QGuiApplication.instance().screenRemoved.emit(live_screen("Laptop"))
    settle()
    made.keyboard.target = made.window.curtain
    made.tap("Return")
    assert asked == [True]
    assert not made.window.shows_desk


def test_mirrored_with_this_window_on_the_class_s_screen_the_wall_alone_takes_the_keys(stage, monkeypatch):
    monkeypatch.setattr(OneScreenQuestion, "ask", staticmethod(lambda _parent: OneScreen.WALL_ONLY))
    beamer, laptop = screen_named("Projector"), replace(screen_named("Laptop"), place=(1366, 0, 1366, 768))
    monkeypatch.setattr(PRESENT, lambda: [beamer, laptop])
    monkeypatch.setattr(QWidget, "screen", lambda _widget: live_screen("Projector"))
    QGuiApplication.instance().screenAdded.emit(live_screen("Laptop"))
    settle()
    assert stage.wall.full.windowFlags() & Qt.WindowType.WindowDoesNotAcceptFocus
    stage.keyboard.target = stage.window.curtain
    stage.tap("Return")
    assert stage.wall.full.isVisible()
    assert not stage.wall.full.windowFlags() & Qt.WindowType.WindowDoesNotAcceptFocus


def test_a_wall_that_is_all_there_is_leaves_the_keyboard_to_a_program_that_was_clicked(marked, monkeypatch):
    made, taken = marked(OneScreen.WALL_ONLY), []
    monkeypatch.setattr(made.wall.full, "activateWindow", lambda: taken.append(True))
    made.wait(5)
    assert made.wall.full.frame.digits == "1:55"
    assert taken == []


def test_no_second_lesson_starts_over_one_that_is_on_the_screens(running, invented):
    running.program.start_now(invented)
    settle()
    lesson = running.program.room.lesson
    running.wait(5)
    assert running.program.get_ready(invented) is None
    running.program.start_now(invented)
    running.program.rehearse(invented)
    assert running.program.room.lesson is lesson
    running.wait(5)
    assert running.program.room.wall.full.frame.digits == "1:50"
    assert len(running.program.records.unfinished()) == 1


# Asked again from a page.


def test_asked_again_another_answer_holds_and_cancelling_keeps_the_old_one(
    new_stage, invented, real_numbers, monkeypatch
):
    made = new_stage(invented)
    made.room.rooms = rooms_with("Projector")
    answers = [None, screen_named("Laptop")]
    monkeypatch.setattr(NumberCards, "ask", staticmethod(lambda *_given: answers.pop(0)))
    assert not made.room.ask_screens()
    assert made.room.rooms == rooms_with("Projector")
    assert made.room.ask_screens()
    assert made.room.rooms == rooms_with("Laptop")


def test_with_one_screen_there_is_nothing_to_ask_again(new_stage, invented, numbers_asked, monkeypatch):
    made = new_stage(invented)
    laptop = screen_named("Laptop")
    monkeypatch.setattr(PRESENT, lambda: [laptop])
    assert not made.room.ask_screens()
    assert numbers_asked == []


def test_asked_in_a_lesson_the_wall_moves_and_the_desk_waits_behind_the_curtain(stage, monkeypatch):
    monkeypatch.setattr(NumberCards, "ask", staticmethod(lambda *_given: screen_named("Laptop")))
    desk = Paints(stage.desk)
    assert stage.room.ask_screens()
    settle()
    assert stage.wall.full.geometry() == screen_named("Laptop").rect
    assert "Move this window" in curtain_text(stage)
    assert desk.regions == []


def test_where_the_numbers_are_asked_in_a_lesson_a_screen_change_leaves_the_curtain(
    stage, while_asked, monkeypatch
):
    monkeypatch.setattr(NumberCards, "ask", REAL_ASK)
    while_asked(lambda _page: QGuiApplication.instance().screenAdded.emit(live_screen("Projector")))
    assert not stage.room.ask_screens()
    settle()
    assert stage.window.curtain.isVisible()
    assert not stage.window.shows_desk


# The mark without words.


@pytest.fixture
def marked(new_stage, invented, monkeypatch):
    """A lesson on one screen that children see, with the mark."""

    def begin(answer: OneScreen = OneScreen.WALL_AND_MARK):
        laptop = screen_named("Laptop")
        monkeypatch.setattr(PRESENT, lambda: [laptop])
        monkeypatch.setattr(OneScreenQuestion, "ask", staticmethod(lambda _parent: answer))
        made = new_stage(invented).start()
        made.keyboard.target = made.wall.full
        return made

    return begin


def marks() -> list[HintMark]:
    return [one for one in QApplication.topLevelWidgets() if isinstance(one, HintMark)]


def test_where_only_the_wall_is_shown_a_warning_stays_until_the_next_press(new_stage, invented, monkeypatch):
    """A Wall back with the next second would cover it, and the next try would lose presses unread."""
    laptop = screen_named("Laptop")
    monkeypatch.setattr(PRESENT, lambda: [laptop])
    monkeypatch.setattr(OneScreenQuestion, "ask", staticmethod(lambda _parent: OneScreen.WALL_ONLY))
    made = new_stage(invented, journal=FailingJournal()).start()
    made.keyboard.target = made.window.curtain
    assert not made.room.may_stop()
    made.wait(3)
    assert not made.wall.full.isVisible()
    assert "not saved" in curtain_text(made)
    made.tap("V").wait(1)
    assert made.wall.full.isVisible()
    assert not made.room.may_stop(), "another press could be lost: it is said again"
    made.journal.reason = ""
    made.wait(2)
    assert made.wall.full.isVisible(), "nothing is lost any more"


def test_a_warning_of_lost_presses_does_not_hold_for_later_ones(new_stage, invented):
    made = new_stage(invented, journal=FailingJournal()).start()
    assert not made.room.may_stop()
    made.journal.reason = ""
    assert made.room.may_stop()
    made.journal.reason = "The disk is full."
    made.tap("V")
    assert not made.room.may_stop()
    assert made.room.may_stop(), "said once, the second time leaves"


# A Wall that the system puts away.


@pytest.fixture
def lost(stage, monkeypatch):
    """The system puts the Wall away, and again after each time it was brought back."""
    tries = []
    monkeypatch.setattr(type(stage.wall), "is_lost", property(lambda _wall: stage.wall.full.isVisible()))
    monkeypatch.setattr(stage.wall, "bring_back", lambda: tries.append(True))
    stage.room.screens._on_wall_moved()
    return tries


def test_a_wall_that_was_moved_or_minimised_is_lost_and_no_other(stage):
    assert not stage.wall.is_lost
    stage.wall.full.move(0, 0)
    settle()
    assert stage.wall.is_lost
    stage.wall.bring_back()
    settle()
    assert not stage.wall.is_lost
    assert stage.wall.full.geometry() == screen_named("Projector").rect
    stage.wall.full.setWindowState(Qt.WindowState.WindowMinimized)
    assert stage.wall.is_lost
    stage.tap("W")
    assert not stage.wall.is_lost, "the strip takes its place"


def test_a_change_settles_by_itself(real_settling, stage, qtbot):
    change_screens()
    qtbot.waitUntil(lambda: screen_events(stage) != [], timeout=60_000)


def test_a_wall_that_was_moved_comes_back_by_itself(real_settling, stage, qtbot):
    stage.wall.full.move(0, 0)
    place = screen_named("Projector").rect
    qtbot.waitUntil(lambda: stage.wall.full.geometry() == place, timeout=60_000)
    assert not stage.room.screens.now.lost


def test_where_it_does_not_come_back_the_desk_says_so_and_one_key_brings_it(stage, lost):
    screens = stage.room.screens
    look_for_the_wall(stage)
    assert screens.now.lost
    assert len(lost) == 3
    words = "The Wall was put away, and the class does not see it. W brings it back."
    assert stage.desk.loud == words
    stage.tap("V")
    assert stage.desk.loud == words
    stage.tap("W")
    assert len(lost) == 4
    assert "wall_turned" not in stage.kinds
    assert stage.desk.loud != words
    look_for_the_wall(stage)
    assert screens.now.lost
    assert stage.desk.loud == words


def test_once_it_is_back_the_desk_says_nothing_of_it(stage, lost, monkeypatch):
    screens = stage.room.screens
    look_for_the_wall(stage)
    assert screens.now.lost
    monkeypatch.undo()
    screens._on_wall_moved()
    screens._on_lost()
    assert not screens.now.lost
    assert stage.desk.loud == ""


# What lies above other windows never stays, and covers nothing that must be read.
