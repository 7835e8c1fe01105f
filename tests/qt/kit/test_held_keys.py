"""A key that is held while what is shown changes: its repeats, marked or not, reach nothing that comes."""

import pytest
from PySide6.QtCore import QEvent
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QPushButton, QVBoxLayout, QWidget

from pacer.qt.kit.held_keys import SAME_MOMENT_MS, HeldKeys
from tests.qt.window_factories import NO_MODIFIER, code_of, settle, take_apart

PRESS, RELEASE, ASKED = QEvent.Type.KeyPress, QEvent.Type.KeyRelease, QEvent.Type.ShortcutOverride


@pytest.fixture
def page(dressed):
    """A page with a button that Return presses, shown by a key that may still be down."""
    window = QWidget()
    window.button = QPushButton("Start")
    window.button.setAutoDefault(True)
    QVBoxLayout(window).addWidget(window.button)
    window.held, window.pressed = HeldKeys(window), []
    window.button.pressed.connect(lambda: window.pressed.append(True))
    window.show()
    window.held.rest()
    yield window
    window.held.forget()
    take_apart(window, None)


def send(page, kind: QEvent.Type, at_ms: int, name: str = "Return", *, repeat: bool = False) -> QKeyEvent:
    event = QKeyEvent(kind, code_of(name), NO_MODIFIER, "", repeat)
    event.setTimestamp(at_ms)
    QApplication.sendEvent(page.button, event)
    settle()
    return event


@pytest.mark.parametrize("marked", [True, False])
def test_repeats_press_nothing_until_the_key_is_let_go_and_pressed_anew(page, marked):
    for at_ms in range(1000, 1400, 40):
        send(page, RELEASE, at_ms, repeat=marked)
        assert send(page, ASKED, at_ms, repeat=marked).isAccepted(), "no shortcut either"
        send(page, PRESS, at_ms, repeat=marked)
    assert page.pressed == []
    send(page, RELEASE, 1400)
    send(page, PRESS, 1400 + SAME_MOMENT_MS + 1)
    assert page.pressed == [True]


def test_a_key_that_goes_down_afterwards_works_at_once(page):
    send(page, RELEASE, 1000)
    send(page, PRESS, 1000, "Space")
    assert page.pressed == [True]


def test_after_another_change_a_key_that_was_new_rests_as_well(page):
    send(page, PRESS, 1000)
    page.held.rest()
    send(page, RELEASE, 1500)
    send(page, PRESS, 1500)
    assert page.pressed == [True]


def test_repeats_that_wait_behind_a_stall_still_press_nothing(page):
    page.held._timer.timeout.emit()  # it fires at last, and they are next
    for at_ms in range(1000, 1400, 40):
        send(page, PRESS, at_ms, repeat=True)
    assert page.pressed == []


def test_after_its_time_it_listens_no_longer(page):
    for _turn in range(2):
        page.held._timer.timeout.emit()
    assert not page.held._timer.isActive()
    send(page, PRESS, 1000, repeat=True)
    assert page.pressed == [True]


def test_once_nothing_can_be_held_any_more_it_listens_no_longer(page):
    page.held.forget()
    send(page, RELEASE, 1000)
    send(page, PRESS, 1000)
    assert page.pressed == [True]
