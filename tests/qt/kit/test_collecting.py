"""Work beside the main thread comes home to it, after a fault, too."""

import threading

import pytest
from PySide6.QtCore import QObject, Signal

from pacer.qt.kit.collecting import work_beside


class Waiting(QObject):
    found = Signal(object, object)


@pytest.fixture
def waiting(dressed):
    return Waiting()


def test_what_came_of_the_work_is_told_with_what_was_asked(waiting, qtbot):
    with qtbot.waitSignal(waiting.found, timeout=60_000) as heard:
        work_beside("thirds", waiting.found, "thirds", lambda: 3, None)
    assert heard.args == ["thirds", 3]


def test_after_a_fault_of_ours_what_waits_is_told_all_the_same(waiting, qtbot, monkeypatch):
    faults = []
    monkeypatch.setattr(threading, "excepthook", faults.append)
    with qtbot.waitSignal(waiting.found, timeout=60_000) as heard:
        work_beside("halves", waiting.found, "halves", lambda: 1 / 0, "nothing")
    assert heard.args == ["halves", "nothing"]
    qtbot.waitUntil(lambda: bool(faults), timeout=60_000)
    assert faults[0].exc_type is ZeroDivisionError
