"""The window of what was taken, by keyboard and by tap, and what is there again after a close or a kill."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, QMimeData, Qt, QUrl
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QPushButton

from pacer.qt.taken.from_mime import is_lesson, taken_of
from pacer.qt.taken.rows_table import LOOK, MINUTES, RAW, WHAT, WORDS
from pacer.qt.taken.window import TakenWindow
from pacer.run.clock import ManualClock
from pacer.settings.taken_store import TakenStore
from tests.plan.taken.file_factories import docx, paragraph
from tests.qt.kit.test_widgets import clipped, long_words  # noqa: F401

LESSON = "Thirds on a number line\nWarm-up 5 min\nbring the strips\nModel 7\nTalk\n"
ALT, CTRL = Qt.KeyboardModifier.AltModifier, Qt.KeyboardModifier.ControlModifier


@pytest.fixture
def opened(dressed, tmp_path: Path) -> Iterator[list[TakenWindow]]:
    made: list[TakenWindow] = []
    yield made
    for each in made:
        each.close()
        each.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def window(opened: list[TakenWindow], folder: Path, *, may_add: bool = False) -> TakenWindow:
    store = TakenStore(folder / "data", ManualClock(1_700_000_000_000), folder / "else")
    opened.append(TakenWindow(store, may_add=may_add))
    opened[-1].show()
    QApplication.processEvents()
    return opened[-1]


def pasted(text: str = "", html: str = "") -> QMimeData:
    mime = QMimeData()
    if text:
        mime.setText(text)
    if html:
        mime.setHtml(html)
    return mime


def cells(of: TakenWindow, column: int) -> list[str]:
    return [of.table.item(at, column).text() for at in range(of.table.rowCount())]


def choose(of: TakenWindow, words: str) -> None:
    of.table.choose(next(at for at, raw in enumerate(cells(of, RAW)) if words in raw))


def test_what_is_pasted_stands_line_by_line_beside_what_was_read_of_it(opened, tmp_path):
    made = window(opened, tmp_path)
    QApplication.clipboard().setText(LESSON)
    QTest.keyClick(made.editor, Qt.Key.Key_V, CTRL)
    assert cells(made, RAW) == LESSON.splitlines()
    assert cells(made, WHAT)[:2] == ["title", "phase"]
    assert cells(made, WORDS)[1] == "Warm-up"
    assert cells(made, MINUTES)[1] == "5"
    assert made.sum.text().startswith(f"{cells(made, WHAT).count('phase')} phases")


def test_a_tap_says_what_a_line_is_and_ctrl_z_takes_it_back(opened, tmp_path):
    made = window(opened, tmp_path)
    made.take_mime(pasted(LESSON))
    before = cells(made, WHAT)
    choose(made, "Model")
    made.says["note"].click()
    assert cells(made, WHAT)[3] == "note"
    QTest.keyClick(made.table, Qt.Key.Key_Delete)
    assert cells(made, WHAT)[3] == "left out"
    made.says["phase"].click()
    assert cells(made, WHAT)[3] == "phase"
    for _times in range(3):
        QTest.keyClick(made.table, Qt.Key.Key_Z, CTRL)
    assert cells(made, WHAT) == before


def test_figures_typed_on_a_row_are_its_minutes_and_a_doubt_is_a_sign_and_a_sentence(opened, tmp_path):
    made = window(opened, tmp_path)
    made.take_mime(pasted(LESSON))
    choose(made, "Talk")
    made.says["phase"].click()
    assert made.table.item(4, 0).text() == "? 5"
    assert made.doubt.text() == "Line 5: How many minutes?"
    QTest.keyClick(made.table, Qt.Key.Key_4)
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    QApplication.processEvents()
    assert (cells(made, MINUTES)[4], cells(made, LOOK)[4], made.table.item(4, 0).text()) == ("4", "", "5")


def test_a_table_on_the_clipboard_is_read_by_its_cells(opened, tmp_path):
    made = window(opened, tmp_path)
    html = "<table><tr><th>Phase<th>Min<tr><td>Warm-up<td>5<tr><td>Share<td>3</table>"
    made.take_mime(pasted("Phase Min Warm-up 5 Share 3", html))
    assert cells(made, WHAT) == ["heading", "phase", "phase"]
    assert [phase.seconds for phase in made.lesson.reading.phases] == [300, 180]


def test_a_file_is_read_and_a_broken_one_is_told_and_nothing_is_lost(opened, tmp_path):
    made = window(opened, tmp_path)
    made.take_mime(pasted(LESSON))
    (tmp_path / "good.docx").write_bytes(docx(paragraph("Warm-up 4 min") + paragraph("Share 3 min")))
    (tmp_path / "bad.docx").write_bytes(b"PK broken")
    for name, at_end in (("bad.docx", "broken"), ("good.docx", "comes back with Undo")):
        mime = QMimeData()
        mime.setUrls([QUrl.fromLocalFile(str(tmp_path / name))])
        made.take_mime(mime)
        for _turn in range(3000):
            if "Reading" not in made.notice.text():
                break
            QTest.qWait(20)
        assert at_end in made.notice.text()
        if name == "bad.docx":
            assert made.lesson.text == LESSON.rstrip()
    assert [phase.title for phase in made.lesson.reading.phases] == ["Warm-up", "Share"]
    made.undo.click()
    assert made.lesson.text == LESSON.rstrip()


def test_closed_or_killed_it_is_there_again_and_made_into_an_outline_it_is_not(opened, tmp_path):
    made = window(opened, tmp_path)
    made.editor.setPlainText("Warm-up 5")
    store = TakenStore(tmp_path / "data", ManualClock(0), tmp_path / "else")
    for _turn in range(3000):
        if store.kept():
            break
        QTest.qWait(20)
    # Killed here: nothing of the window's own end runs.
    again = window(opened, tmp_path)
    assert again.lesson.text == "Warm-up 5"
    assert "window was closed last" in again.notice.text()
    again.make.click()
    assert again.outcome == "new"
    again.lesson.done()
    assert window(opened, tmp_path).lesson.text == ""


def test_lines_can_be_added_only_where_an_outline_is_open(opened, tmp_path):
    assert not window(opened, tmp_path).add.isVisible()
    made = window(opened, tmp_path, may_add=True)
    made.take_mime(pasted(LESSON))
    made.add.click()
    assert made.outcome == "add"


def test_too_much_and_a_picture_are_told(opened, tmp_path):
    made = window(opened, tmp_path)
    made.take_mime(pasted("a\n" * 25_000_000))
    assert "50.0 million signs" in made.notice.text()
    from PySide6.QtGui import QImage

    mime = QMimeData()
    mime.setImageData(QImage(4, 4, QImage.Format.Format_RGB32))
    made.take_mime(mime)
    assert "picture" in made.notice.text()


def test_a_word_is_no_lesson_and_lines_a_table_or_a_file_are():
    url = QMimeData()
    url.setUrls([QUrl.fromLocalFile("/nowhere/a.docx")])
    asked = (pasted("Warm-up 5\n"), pasted("a\nb"), pasted("a", "<table>"), url)
    assert [is_lesson(mime) for mime in asked] == [False, True, True, True]
    assert taken_of(pasted("a\tb", "<b>c</b>")).text == "a\tb"


def test_every_button_has_a_name_and_the_window_fits_a_small_screen(opened, tmp_path):
    made = window(opened, tmp_path, may_add=True)
    made.take_mime(pasted(LESSON))
    assert made.minimumSizeHint().width() <= 960
    assert made.minimumSizeHint().height() <= 500
    for each in made.findChildren(QPushButton):
        assert each.text()


def test_words_four_tenths_longer_are_not_clipped_on_a_small_screen(long_words, opened, tmp_path):
    made = window(opened, tmp_path, may_add=True)
    for text in ("", LESSON):
        if text:
            made.take_mime(pasted(text))
        made.resize(960, 500)
        QApplication.processEvents()
        assert made.width() == 960
        assert clipped() == []
