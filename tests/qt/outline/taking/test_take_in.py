"""What is pasted and dropped on the Outline page: lessons are looked at, pictures go to their phases."""

from pathlib import Path

import pytest
from PySide6.QtCore import QMimeData, QPoint, QPointF, Qt, QTimer, QUrl
from PySide6.QtGui import QDragEnterEvent, QDragLeaveEvent, QDropEvent, QImage
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from pacer.qt.outline.page import OutlinePage
from tests.qt.outline.test_page import AT_MS, Evening, evening  # noqa: F401
from tests.qt.window_factories import settle

NONE, CTRL = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ControlModifier
COPY, LEFT = Qt.DropAction.CopyAction, Qt.MouseButton.LeftButton


@pytest.fixture
def page(evening: Evening) -> OutlinePage:
    made = evening.page()
    made.open_new(["Warm-up 2", "Review 3", "Modeling 7"])
    QApplication.processEvents()
    return made


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    file = tmp_path / "elsewhere" / "strips.png"
    file.parent.mkdir(exist_ok=True)
    image = QImage(8, 8, QImage.Format.Format_RGB32)
    image.fill(0)
    assert image.save(str(file))
    return file


def holding(*files: Path) -> QMimeData:
    mime = QMimeData()
    mime.setUrls([QUrl.fromLocalFile(str(file)) for file in files])
    mime.setText("\n".join(file.as_uri() for file in files))
    return mime


def drop(page: OutlinePage, mime: QMimeData, over: QWidget, at: QPoint) -> None:
    """As Qt does: what the widget below refuses comes to the page."""
    enter = QDragEnterEvent(at, COPY, mime, LEFT, NONE)
    QApplication.sendEvent(over, enter)
    target, place = over, at
    if not enter.isAccepted():
        target, place = page, over.mapTo(page, at)
    QApplication.sendEvent(target, QDropEvent(QPointF(place), COPY, mime, LEFT, NONE))


def asked(page: OutlinePage) -> list[object]:
    heard: list[object] = []
    page.take_asked.connect(heard.append)
    return heard


def attached(page: OutlinePage) -> list[str]:
    return [phase.attach for phase in page.editor.sheet.phases]


def test_a_picture_dropped_on_a_row_is_copied_beside_the_outline_and_attached(page, picture, evening):
    row = page.table.visualRect(page.table.phases.index(1, 0)).center()
    drop(page, holding(picture), page.table.viewport(), row)
    assert attached(page) == ["", "strips.png", ""]
    assert (evening.own / "strips.png").read_bytes() == picture.read_bytes()
    assert page.notice.words.text() == ""


def test_a_picture_dropped_on_a_phases_line_or_its_details_is_attached_and_never_text(page, picture):
    text = page.pane.editor.toPlainText()
    cursor = page.pane.editor.textCursor()
    cursor.movePosition(cursor.MoveOperation.End)
    cursor.movePosition(cursor.MoveOperation.PreviousBlock)
    at = page.pane.editor.cursorRect(cursor).center()
    drop(page, holding(picture), page.pane.editor.viewport(), at)
    assert attached(page) == ["", "", "strips.png"]
    page.table.choose([page.editor.sheet.phases[0].key])
    page.details_button.click()
    settle()
    drop(page, holding(picture), page.details.lines["attach"], QPoint(4, 4))
    drop(page, holding(picture), page.details.texts["notes"].viewport(), QPoint(4, 4))
    assert attached(page)[0].startswith("strips")
    assert page.pane.editor.toPlainText() == text
    assert page.editor.sheet.phases[0].notes == ""


def test_a_picture_dropped_elsewhere_is_told_where_to_and_asks_nothing(page, picture):
    heard = asked(page)
    drop(page, holding(picture), page.head, QPoint(2, 2))
    assert attached(page) == ["", "", ""]
    assert "Drop strips.png on its phase" in page.notice.words.text()
    assert heard == []


def test_nothing_moves_while_something_is_dragged(page, picture, qtbot):
    # What the page does by itself a moment after it was opened moves something, too.
    timers = page.findChildren(QTimer)
    qtbot.waitUntil(lambda: not any(timer.isActive() for timer in timers), timeout=60_000)
    QApplication.processEvents()
    before = [(child, child.geometry()) for child in page.findChildren(QWidget) if child.isVisible()]
    mime = holding(picture)
    for over in (page.table.viewport(), page.pane.editor.viewport(), page):
        enter = QDragEnterEvent(QPoint(5, 5), COPY, mime, LEFT, NONE)
        QApplication.sendEvent(over, enter)
        assert enter.isAccepted()
        QApplication.sendEvent(over, QDragLeaveEvent())
    QApplication.processEvents()
    assert [(child, child.geometry()) for child, _place in before] == before
    assert all(child.isVisible() for child, _place in before)


def test_a_document_that_is_dropped_is_looked_at(page, tmp_path):
    heard = asked(page)
    drop(page, holding(tmp_path / "lesson.docx"), page.table.viewport(), QPoint(5, 5))
    drop(page, holding(tmp_path / "lesson.docx"), page.pane.editor.viewport(), QPoint(5, 5))
    assert len(heard) == 2


def test_several_lines_pasted_outside_the_lines_are_looked_at_and_a_word_is_a_word(page):
    heard = asked(page)
    field = page.head.fields["title"]
    QApplication.clipboard().setText("Warm-up 5\nModel 7")
    for where in (page.table, field):
        where.setFocus()
        QTest.keyClick(where, Qt.Key.Key_V, CTRL)
    assert len(heard) == 2
    assert field.text() == ""
    QApplication.clipboard().setText("Thirds")
    QTest.keyClick(field, Qt.Key.Key_V, CTRL)
    assert (field.text(), len(heard)) == ("Thirds", 2)
    page.pane.editor.setFocus()
    QApplication.clipboard().setText("Share 3\nClean up 2")
    QTest.keyClick(page.pane.editor, Qt.Key.Key_V, CTRL)
    assert len(heard) == 2


def test_the_button_opens_the_window_and_what_comes_of_it_is_an_outline_like_any_other(page, evening):
    heard = asked(page)
    page.take_button.click()
    assert heard == [None]
    page.add_taken("Share 3\n")
    assert [phase.title for phase in page.editor.sheet.phases][-1] == "Share"
    page.editor.undo()
    assert len(page.editor.sheet.phases) == 3
