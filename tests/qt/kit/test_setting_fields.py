"""A time of day is typed as people type: over all that is there, or from its first digit on."""

import pytest
from PySide6.QtCore import Qt, QTime
from PySide6.QtTest import QTest
from shiboken6 import delete

from pacer.qt.kit.setting_fields import ClockField


@pytest.fixture
def field(qapp):
    made = ClockField()
    made.setTime(QTime(9, 0))
    yield made
    delete(made)


def press(field: ClockField, typed: str) -> str:
    QTest.keyClicks(field, typed)
    field.interpretText()
    return field.time().toString("H:mm")


@pytest.mark.parametrize(("typed", "taken"), [
    ("13:36", "13:36"), ("10:05", "10:05"), ("8:15", "8:15"), ("08:15", "8:15"), ("1336", "13:36"),
    ("0:30", "0:30"), ("23:59", "23:59"),
])  # fmt: skip
@pytest.mark.parametrize("before", ["all", "all, deleted", "all, taken back", "the first place"])
def test_a_time_that_is_typed_anew_is_taken_hour_and_minutes(field, before: str, typed: str, taken: str):
    if before == "the first place":
        field.lineEdit().setCursorPosition(0)
    else:
        QTest.keyClick(field, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
        assert field.lineEdit().selectedText() == "9:00"
    if before == "all, deleted":
        QTest.keyClick(field, Qt.Key.Key_Delete)
    if before == "all, taken back":
        QTest.keyClick(field, Qt.Key.Key_Backspace)
    assert press(field, typed) == taken


def test_minutes_alone_are_changed_where_minutes_are_selected(field):
    field.setSelectedSection(ClockField.Section.MinuteSection)
    assert press(field, "45") == "9:45"


def test_arrows_step_the_hour_and_a_key_with_ctrl_types_nothing(field):
    QTest.keyClick(field, Qt.Key.Key_A, Qt.KeyboardModifier.ControlModifier)
    QTest.keyClick(field, Qt.Key.Key_1, Qt.KeyboardModifier.ControlModifier)
    assert field.time() == QTime(9, 0)
    field.setSelectedSection(ClockField.Section.HourSection)
    QTest.keyClick(field, Qt.Key.Key_Up)
    assert field.time() == QTime(10, 0)
