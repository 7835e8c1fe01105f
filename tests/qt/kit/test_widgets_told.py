"""Windows say where they are put and offer their keys, and no paint runs a filter in Python."""

import sys

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication
from shiboken6 import delete

from pacer.qt.kit.widgets import KeysFirst, TellsPlace


@pytest.fixture
def shown(dressed):
    """A window that tells its place, with how often it has."""
    made, told = TellsPlace(), []
    made.placed.connect(lambda: told.append(made.geometry()))
    made.setGeometry(10, 10, 300, 200)
    made.show()
    QApplication.processEvents()
    yield made, told
    delete(made)


@pytest.mark.parametrize(
    "put",
    [lambda window: window.move(40, 50), lambda window: window.resize(320, 210), TellsPlace.showMinimized],
)
def test_a_window_says_where_it_is_put_before_its_next_paint(shown, put):
    window, told = shown
    assert told, "it came"
    told.clear()
    put(window)
    assert told


def test_a_key_that_is_taken_goes_no_further(dressed):
    """One that is not taken is the parent's, as any key."""
    parent, asked = KeysFirst(), []
    child = KeysFirst(parent)
    parent.take_key = lambda event: asked.append(("parent", event.key())) is None
    child.take_key = lambda event: (
        asked.append(("child", event.key())) is None and event.key() == Qt.Key.Key_A
    )
    parent.show()
    for key in (Qt.Key.Key_A, Qt.Key.Key_B):
        QTest.keyClick(child, key)
    down_and_up = [("child", Qt.Key.Key_A)] * 2, [("child", Qt.Key.Key_B), ("parent", Qt.Key.Key_B)] * 2
    assert asked == [*down_and_up[0], *down_and_up[1]]
    delete(parent)


def test_no_filter_in_python_hears_of_the_paints_of_a_lesson(stage):
    stage.tap("N")
    calls = []

    def note(frame, event, _argument) -> None:
        name, where = frame.f_code.co_name, frame.f_code.co_filename
        # What waits for held keys listens for two seconds after a change only.
        if event == "call" and name == "eventFilter" and not where.endswith("held_keys.py"):
            calls.append(where)

    paints = stage.room.desk.paints, stage.room.wall.full.paints
    sys.setprofile(note)
    try:
        stage.room.desk.update()
        stage.room.wall.full.repaint()
        QApplication.processEvents()
    finally:
        sys.setprofile(None)
    assert (stage.room.desk.paints, stage.room.wall.full.paints) > paints
    assert calls == []
