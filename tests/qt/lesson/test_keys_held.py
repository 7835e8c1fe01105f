"""A key that is held down counts once, however the system tells of it; a tap is told from a hold by time."""

import pytest
from PySide6.QtCore import QEvent
from PySide6.QtWidgets import QApplication

from pacer.commands import HOLD_MS, KEYS
from pacer.qt.kit.widgets import application
from pacer.qt.lesson.keys import RELEASE_MS, SAME_MOMENT_MS
from tests.qt.window_factories import settle

PRESS, RELEASE = QEvent.Type.KeyPress, QEvent.Type.KeyRelease
NAMES = [name for key in KEYS for name in key.names]
HELD = [name for key in KEYS if key.held for name in key.names]
START_MS = 3_120_000  # the server has been up for a while


def hold(stage, name, *, moments, end_ms, apart_ms=0):
    """Hold a key down as X11 tells it, with not one repeat marked: a release and a press of one moment."""
    stage.keyboard.send(PRESS, name, at_ms=START_MS)
    for moment in moments:
        stage.keyboard.send(RELEASE, name, at_ms=START_MS + moment)
        stage.keyboard.send(PRESS, name, at_ms=START_MS + moment + apart_ms)
    stage.keyboard.send(RELEASE, name, at_ms=START_MS + end_ms)
    stage.keyboard.reader.settle()


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_a_held_key_whose_repeats_come_unmarked_does_what_one_press_does(stage, new_stage, invented, name):
    hold(stage, name, moments=range(500, 900, 33), end_ms=910)
    other = new_stage(invented).start()
    hold(other, name, moments=(), end_ms=910)
    assert stage.kinds == other.kinds
    assert stage.refusals == other.refusals


@pytest.mark.parametrize("name", HELD)
def test_a_held_page_up_goes_back_and_does_not_undo_its_own_going(stage, name):
    stage.tap("N")
    hold(stage, name, moments=range(250, 900, 33), end_ms=900)
    assert stage.kinds[-2:] == ["moved", "moved"]
    assert stage.last.how == "back"


@pytest.mark.parametrize("name", HELD)
def test_a_hold_is_measured_by_the_time_the_events_carry(stage, name):
    """A program that was busy reads press and release in one go."""
    stage.tap("N")
    hold(stage, name, moments=(), end_ms=HOLD_MS)
    assert stage.last.how == "back"


@pytest.mark.parametrize("delay_ms", [150, 250, 660])
def test_a_held_key_counts_once_whatever_the_delay_of_its_repeats(stage, delay_ms):
    hold(stage, "V", moments=range(delay_ms, delay_ms + 900, 33), end_ms=delay_ms + 900)
    assert stage.kinds.count("voice") == 1


def test_a_repeat_a_few_milliseconds_after_its_release_is_still_one(stage):
    hold(stage, "V", moments=[500, 530, 560], end_ms=600, apart_ms=SAME_MOMENT_MS)
    assert stage.kinds.count("voice") == 1


def test_a_key_let_go_and_pressed_again_counts_twice(stage):
    hold(stage, "V", moments=[500], end_ms=600, apart_ms=SAME_MOMENT_MS + 1)
    assert stage.kinds.count("voice") == 2


def test_a_key_counts_at_its_press_and_waits_for_nothing(stage):
    stage.keyboard.send(PRESS, "PageDown", at_ms=START_MS)
    assert stage.last.kind == "moved"


def test_a_release_alone_is_taken_for_real_a_moment_later(stage):
    stage.tap("Up")
    stage.keyboard.send(PRESS, "PageUp", at_ms=START_MS)
    stage.keyboard.send(RELEASE, "PageUp", at_ms=START_MS + 80)
    assert stage.last.kind == "time_added", "its press may still be on the way"
    timer = stage.keyboard.reader._timer
    assert 0 < timer.interval() <= RELEASE_MS
    timer.timeout.emit()
    assert stage.last.kind == "time_added", "one more turn for what waits behind the timer"
    settle()
    QApplication.processEvents()
    assert stage.last.kind == "undone"


def test_another_key_shows_that_the_release_was_real(stage):
    stage.tap("Up")
    stage.keyboard.send(PRESS, "PageUp", at_ms=START_MS)
    stage.keyboard.send(RELEASE, "PageUp", at_ms=START_MS + 80)
    stage.keyboard.send(PRESS, "V", at_ms=START_MS + 80)
    assert stage.kinds[-2:] == ["undone", "voice"], "in the order of the presses"


def test_presses_without_releases_between_them_are_repeats(stage):
    """As a remote screen may send them."""
    for moment in (0, 700, 733, 766, 1500):
        stage.keyboard.send(PRESS, "V", at_ms=START_MS + moment)
    assert stage.kinds.count("voice") == 1


def test_a_key_whose_release_went_to_another_window_can_be_pressed_again(stage):
    stage.keyboard.send(PRESS, "V", at_ms=START_MS)
    application().focusWindowChanged.emit(None)
    stage.keyboard.send(PRESS, "V", at_ms=START_MS + 700)
    assert stage.kinds.count("voice") == 2


def test_a_key_whose_release_was_lost_is_not_dead_for_long(stage):
    stage.keyboard.send(PRESS, "V", at_ms=START_MS)
    stage.keyboard.send(PRESS, "V", at_ms=START_MS + 2000)
    assert stage.kinds.count("voice") == 2


def test_the_server_s_time_may_begin_anew(stage):
    """After 49 days, in the middle of two presses or of a hold."""
    stage.tap("N")
    stage.keyboard.send(PRESS, "V", at_ms=2**32 - 200)
    stage.keyboard.send(RELEASE, "V", at_ms=2**32 - 100)
    stage.keyboard.send(PRESS, "V", at_ms=100)
    stage.keyboard.send(RELEASE, "V", at_ms=150)
    assert stage.kinds.count("voice") == 1, "a slip"
    stage.keyboard.send(PRESS, "PageUp", at_ms=2**32 - 200)
    stage.keyboard.send(RELEASE, "PageUp", at_ms=HOLD_MS)
    stage.keyboard.reader.settle()
    assert stage.last.how == "back"


@pytest.mark.parametrize("name", ["Return", "Enter"])
def test_a_held_enter_confirms_once(stage, name):
    confirmed = []
    stage.room.keys.confirmed.connect(lambda: confirmed.append(name))
    hold(stage, name, moments=range(500, 900, 33), end_ms=900)
    assert confirmed == [name]


def test_nothing_follows_a_lesson_that_was_left_meanwhile(stage):
    stage.tap("Up")
    stage.keyboard.send(PRESS, "PageUp", at_ms=START_MS)
    stage.keyboard.send(RELEASE, "PageUp", at_ms=START_MS + 80)
    stage.room.keys.active = False
    stage.keyboard.reader.settle()
    assert stage.last.kind == "time_added"


def test_a_key_that_is_let_go_while_keys_are_the_pages_is_a_new_one_at_its_next_press(stage):
    """Enter lifts a curtain and is let go on the page that comes: the next Enter is no repeat of it."""
    confirmed = []
    stage.room.keys.confirmed.connect(lambda: confirmed.append(True))
    stage.keyboard.send(PRESS, "Return", at_ms=START_MS)
    stage.room.keys.active = False
    stage.keyboard.send(RELEASE, "Return", at_ms=START_MS + 80)
    stage.room.keys.active = True
    stage.keyboard.send(PRESS, "Return", at_ms=START_MS + 1500)
    assert confirmed == [True, True]
