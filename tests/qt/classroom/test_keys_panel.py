"""The panel for trying a clicker: the key by its name, what it does in a lesson, and what is ignored."""

import pytest
from PySide6.QtCore import QEvent, Qt
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QApplication, QPushButton, QVBoxLayout, QWidget

from pacer.commands import HOLD_MS, KEYS
from pacer.qt.classroom.keys_panel import KeysPanel, key_name
from tests.qt.window_factories import Keyboard, settle


class Trial:
    """The panel on a page with a button behind it, and a keyboard with a clock of its own."""

    def __init__(self):
        self.page = QWidget()
        self.panel = KeysPanel()
        self.other = QPushButton("Other")
        column = QVBoxLayout(self.page)
        column.setSizeConstraint(QVBoxLayout.SizeConstraint.SetNoConstraint)
        column.addWidget(self.panel)
        column.addWidget(self.other)
        self.keyboard = Keyboard(self.panel.pad, self.panel.pad.reader)
        self.page.showMaximized()
        self.page.activateWindow()
        self.panel.pad.setFocus()
        settle()

    @property
    def large(self):
        return self.panel.name.text(), self.panel.does.text()

    @property
    def rows(self):
        return [(name.text(), words.text()) for name, words in self.panel.rows if name.text()]


@pytest.fixture
def trial(dressed):
    made = Trial()
    assert made.panel.state == "ready"
    yield made
    made.page.close()
    made.page.deleteLater()
    settle()


@pytest.mark.parametrize(
    ("name", "shown", "does"),
    [
        ("PageDown", "Page Down", "Next phase"),
        ("Right", "Right", "Next phase"),
        ("D", "D", "Next, done"),
        ("Space", "Space", "Pause, go on"),
        ("Period", "Full stop", "Hide, show time"),
        ("3", "3", "Stuck on a problem"),
        ("Ctrl+PageDown", "Ctrl+Page Down", "Next page of the PDF"),
        ("Ctrl+1", "Ctrl+1", "Jump to a phase"),
        ("F5", "F5", "Nothing in a lesson"),
        ("VolumeUp", "Volume Up", "Nothing in a lesson"),
        ("unknown", "A key without a name", "Nothing in a lesson"),
        ("Return", "Enter", "Lifts the curtain; closes a lesson that is over"),
    ],
)
def test_a_press_is_shown_large_by_its_name_with_what_it_does_in_a_lesson(trial, name, shown, does):
    trial.keyboard.tap(name)
    assert trial.large == (shown, does)
    assert trial.rows == [(shown, does)]
    assert does in trial.panel.pad.accessibleDescription()


def test_every_key_of_the_table_is_known_to_the_panel(trial):
    for key in KEYS:
        for name in key.names:
            trial.keyboard.tap(name)
            assert trial.large[1] not in ("", "Nothing in a lesson"), name


def test_keys_held_beside_another_are_named_with_it():
    event = QKeyEvent(QEvent.Type.KeyPress, Qt.Key.Key_F5, Qt.KeyboardModifier.ShiftModifier)
    assert key_name(event) == "Shift+F5"
    event = QKeyEvent(QEvent.Type.KeyPress, Qt.Key.Key_Shift, Qt.KeyboardModifier.ShiftModifier)
    assert key_name(event) == "Shift"


@pytest.mark.skipif("sys.platform != 'linux'", reason="the keycodes are those of Linux")
@pytest.mark.parametrize(
    ("typed", "place", "does"),
    [
        ("В", 40, "As D: Next, done"),
        ("Ю", 60, "As Full stop: Hide, show time"),
        ("É", 11, "As 2: Stuck on a problem"),
        ("&", 10, "As 1: Stuck on a problem"),
        ("Ф", 38, "Nothing in a lesson"),
        ("Ö", 47, "Nothing in a lesson"),
    ],
)
def test_a_key_of_another_layout_is_shown_as_it_types_with_what_it_stands_for(trial, typed, place, does):
    trial.keyboard.tap(typed, scan_code=place)
    assert trial.large == (typed, does)


def test_a_letter_with_shift_is_shown_with_both(trial):
    trial.keyboard.tap("D", modifiers=Qt.KeyboardModifier.ShiftModifier)
    assert trial.large == ("Shift+D", "Next, done")


def test_the_same_key_again_within_400_ms_is_shown_as_ignored(trial):
    trial.keyboard.tap("PageDown", down_ms=0)
    trial.keyboard.tap("PageDown", after_ms=180, down_ms=0)
    assert trial.rows[0] == ("Page Down", "Ignored: it came again after 180 ms, a slip within 400 ms")
    trial.keyboard.tap("PageDown", after_ms=400, down_ms=0)
    assert trial.rows[0] == ("Page Down", "Next phase")


def test_a_key_that_stays_down_is_one_press_whose_repeats_are_ignored(trial):
    trial.keyboard.send(QEvent.Type.KeyPress, "PageDown")
    trial.keyboard.repeat("PageDown", times=7)
    assert trial.panel.note.text() == "7 more while it stayed down: ignored"
    assert trial.rows == [("Page Down", "Next phase. 7 more while it stayed down: ignored")]


def test_repeats_that_come_unmarked_are_ignored_as_well(trial):
    trial.keyboard.send(QEvent.Type.KeyPress, "PageUp", at_ms=1000)
    for moment in (1500, 1533):
        trial.keyboard.send(QEvent.Type.KeyRelease, "PageUp", at_ms=moment)
        trial.keyboard.send(QEvent.Type.KeyPress, "PageUp", at_ms=moment)
    assert trial.panel.note.text() == "2 more while it stayed down: ignored"
    assert len(trial.rows) == 1


def test_a_hold_that_ends_after_another_press_is_told_anew(trial):
    trial.keyboard.send(QEvent.Type.KeyPress, "PageUp")
    trial.keyboard.tap("N")
    trial.keyboard.send(QEvent.Type.KeyRelease, "PageUp")
    trial.keyboard.reader.settle()
    assert trial.large == ("Page Up", "Held: Back one phase")
    assert [name for name, _words in trial.rows] == ["Page Up", "N", "Page Up"]


def test_page_up_says_at_once_that_a_hold_differs_and_then_which_it_was(trial):
    trial.keyboard.send(QEvent.Type.KeyPress, "PageUp")
    assert trial.large == ("Page Up", "Let go: Undo the last press. Hold on: Back one phase")
    trial.keyboard.at_ms += HOLD_MS
    trial.keyboard.send(QEvent.Type.KeyRelease, "PageUp")
    trial.keyboard.reader.settle()
    assert trial.large == ("Page Up", "Held: Back one phase")
    trial.keyboard.tap("PageUp", down_ms=HOLD_MS - 1)
    assert trial.rows == [("Page Up", "Undo the last press"), ("Page Up", "Held: Back one phase")]


def test_the_last_five_presses_are_listed_newest_first(trial):
    for name in ("A", "N", "D", "V", "M", "T"):
        trial.keyboard.tap(name)
    assert [name for name, _words in trial.rows] == ["T", "M", "V", "D", "N"]


@pytest.mark.parametrize("name", ["Escape", "Tab"])
def test_escape_and_tab_are_shown_and_give_the_keys_back(trial, name):
    trial.keyboard.tap(name)
    assert not trial.panel.pad.hasFocus()
    assert trial.other.hasFocus()
    assert trial.panel.state == "idle"
    assert trial.large[0] == "Test the clicker"
    assert trial.rows == [(name, "Nothing in a lesson")]


def test_when_another_program_has_the_keys_the_panel_says_so_loudly(trial):
    trial.keyboard.tap("N")
    application = QApplication.instance()
    application.applicationStateChanged.emit(Qt.ApplicationState.ApplicationInactive)
    assert trial.large[0] == "Keys go to another program"
    assert trial.panel.name.font().pixelSize() >= 40
    application.applicationStateChanged.emit(Qt.ApplicationState.ApplicationActive)
    assert trial.large[0] == "N"


def test_shortcuts_of_the_window_rest_while_the_panel_has_the_keys(trial):
    """Else a clicker's key that is one would turn the page instead of being shown."""
    event = QKeyEvent(QEvent.Type.ShortcutOverride, Qt.Key.Key_1, Qt.KeyboardModifier.ControlModifier)
    event.ignore()
    QApplication.sendEvent(trial.panel.pad, event)
    assert event.isAccepted()
