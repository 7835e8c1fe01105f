"""Fields of several lines take a lesson, and no book."""

import pytest
from PySide6.QtCore import QMimeData
from PySide6.QtWidgets import QPlainTextEdit, QToolTip

from pacer.plan.typed.read_typed import MOST_SIGNS
from pacer.qt.kit.bounded_edit import BoundedEdit
from pacer.qt.library.text_view import TextView
from pacer.qt.outline.text_pane import LowEditor
from pacer.qt.split.page import SplitPage
from pacer.qt.taken.paste_editor import PasteEditor


def mime(text: str) -> QMimeData:
    held = QMimeData()
    held.setText(text)
    return held


def test_a_lesson_goes_in_and_a_book_stays_out_and_is_told(qtbot):
    edit = BoundedEdit()
    qtbot.addWidget(edit)
    edit.show()
    edit.insertFromMimeData(mime("Warm-up 5\n" * 2_000))
    edit.insertFromMimeData(mime("x" * 50_000_000))
    edit.insertFromMimeData(mime("Share 3\n" * 20_000))
    assert edit.toPlainText() == "Warm-up 5\n" * 2_000
    assert "nothing was put in" in QToolTip.text()
    QToolTip.hideText()


def test_into_a_long_text_a_line_can_still_be_pasted(qtbot):
    edit = BoundedEdit()
    qtbot.addWidget(edit)
    edit.setPlainText("x" * (MOST_SIGNS + 5))
    edit.insertFromMimeData(mime("Share 3"))
    assert edit.toPlainText().startswith("Share 3")


@pytest.mark.parametrize("make", [LowEditor, PasteEditor])
def test_the_fields_of_outline_and_of_what_she_has_are_such(qtbot, make):
    edit = make()
    qtbot.addWidget(edit)
    edit.insertFromMimeData(mime("x" * 500_000))
    assert edit.toPlainText() == ""
    QToolTip.hideText()


@pytest.mark.parametrize("make", [TextView, SplitPage])
def test_those_of_split_and_library_are_too(qtbot, make):
    page = make()
    qtbot.addWidget(page)
    for edit in page.findChildren(QPlainTextEdit):
        edit.insertFromMimeData(mime("x" * 500_000))
        assert edit.toPlainText() == ""
    QToolTip.hideText()
