"""The window that says why the program can't open."""

import pytest
from PySide6.QtCore import Qt, QTimer
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from pacer.qt import note_window
from pacer.qt.note_window import NoteWindow, tell

LONG = "Pacer is open already with a folder whose name is long. " * 4


@pytest.mark.parametrize("key", [Qt.Key.Key_Return, Qt.Key.Key_Escape, Qt.Key.Key_Space])
def test_one_key_closes_it(qtbot, key):
    note = NoteWindow("Pacer is open already.")
    qtbot.addWidget(note)
    note.show()
    qtbot.waitActive(note, timeout=60_000)
    QTest.keyClick(note.close_button, key)
    qtbot.waitUntil(lambda: not note.isVisible(), timeout=60_000)


def test_a_long_text_is_whole(qtbot):
    note = NoteWindow(LONG)
    qtbot.addWidget(note)
    note.show()
    qtbot.waitExposed(note)
    assert note.words.height() >= note.words.heightForWidth(note.words.width())
    assert note.rect().contains(note.close_button.geometry())
    assert note.accessibleDescription() == LONG


def test_where_somebody_sees_it_the_program_waits_until_it_is_closed(qapp, monkeypatch, capsys):
    monkeypatch.setattr(note_window, "UNSEEN", ())
    seen = []

    def close() -> None:
        if QApplication.activeWindow() is None:
            return  # it is still on its way
        looks.stop()
        seen.extend(window.words.text() for window in QApplication.topLevelWidgets() if window.isVisible())
        QApplication.activeWindow().close()

    looks = QTimer()
    looks.timeout.connect(close)
    looks.start(10)
    tell(qapp, "Pacer is open already.")
    assert seen == ["Pacer is open already."]
    assert capsys.readouterr().err == "Pacer is open already.\n"


def test_where_nobody_could_close_it_the_terminal_is_told_alone(qapp, capsys):
    tell(qapp, "Pacer is open already.")
    assert capsys.readouterr().err == "Pacer is open already.\n"
