"""The Split page: text on the left, columns on the right, and a teacher who moves parts by keyboard."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, QMimeData, QPoint, QPointF, Qt
from PySide6.QtGui import QDragEnterEvent, QDropEvent, QGuiApplication, QTextCursor
from PySide6.QtWidgets import QVBoxLayout, QWidget

from pacer.qt.split.page import SplitPage

TEXT = """Fold a strip 5
Name the parts 8 [everyone]
Mark thirds 10 value 3 needs 2
Cut and compare 13 [materials]
Beyond one whole 9 [extension]
Look again 12"""


@pytest.fixture
def page(dressed) -> Iterator[SplitPage]:
    window = QWidget()
    window.setMinimumSize(900, 560)
    made = SplitPage()
    QVBoxLayout(window).addWidget(made)
    made.show_text(TEXT, 25 * 60, 13 * 60, 3)
    window.show()
    yield made
    window.close()
    window.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


def titles(page: SplitPage, where: str) -> list[str]:
    column = page.columns.lists[where]
    return [column.item(row).text().split("\n")[0].split("  ")[1] for row in range(column.count())]


def test_each_part_stands_in_one_column_and_the_verdict_says_what_no_child_gets(page: SplitPage) -> None:
    assert titles(page, "whole group") == ["Fold a strip", "Name the parts", "Mark thirds"]
    assert titles(page, "table") == ["Cut and compare"]
    assert titles(page, "extension") == ["Beyond one whole"]
    assert titles(page, "not taught") == ["Look again"]
    assert page.verdict.text() == "63 % of the lesson reaches each child with you."
    assert "12 min no child gets: Look again." in page.details.text()
    assert "The table parts cost 39 min at 3 tables; said once to all, 13 min." in page.details.text()


def test_typing_another_line_splits_anew_and_tells_of_the_change(page: SplitPage, qtbot) -> None:
    with qtbot.waitSignal(page.changed, timeout=60_000):
        page.text.appendPlainText("Sort cards 2 value 3")
    assert "Sort cards" in titles(page, "whole group")


def test_a_line_that_is_not_understood_is_told_and_the_others_stay(page: SplitPage) -> None:
    page.text.appendPlainText("Sort cards")
    assert (
        page.problems.text().split("\n")[0]
        == "Line 7: Write a title and its minutes, such as: Mark thirds 10"
    )
    assert not page.problems.isHidden()
    assert titles(page, "table") == ["Cut and compare"]


def test_alt_and_an_arrow_move_a_part_and_delete_leaves_it_to_the_split_again(page: SplitPage, qtbot) -> None:
    table = page.columns.lists["table"]
    table.setFocus()
    table.setCurrentRow(0)
    qtbot.keyClick(table, Qt.Key.Key_Right, Qt.KeyboardModifier.AltModifier)
    assert "Cut and compare" in titles(page, "station")
    assert "Cut and compare 13 [materials] -> station" in page.text.toPlainText()
    station = page.columns.lists["station"]
    assert station.currentItem().text().split("\n")[-1] == "stays: put here by hand", (
        "the cursor went with it"
    )
    qtbot.keyClick(station, Qt.Key.Key_Delete)
    assert page.text.toPlainText() == TEXT


def test_undo_takes_a_move_back(page: SplitPage, qtbot) -> None:
    page.columns.moved.emit(0, "table")
    assert "-> table" in page.text.toPlainText()
    page.text.undo()
    assert page.text.toPlainText() == TEXT


def test_ctrl_z_takes_a_move_back_where_the_part_was_moved(page: SplitPage, qtbot) -> None:
    table = page.columns.lists["table"]
    table.setFocus()
    table.setCurrentRow(0)
    qtbot.keyClick(table, Qt.Key.Key_Right, Qt.KeyboardModifier.AltModifier)
    qtbot.keyClick(page.focusWidget(), Qt.Key.Key_Z, Qt.KeyboardModifier.ControlModifier)
    assert page.text.toPlainText() == TEXT
    qtbot.keyClick(page.focusWidget(), Qt.Key.Key_Y, Qt.KeyboardModifier.ControlModifier)
    assert "-> station" in page.text.toPlainText()


def test_the_example_in_the_empty_field_is_read_without_a_doubt(page: SplitPage) -> None:
    page.text.setPlainText(page.text.placeholderText())
    assert len(page.sheet.parts) == 3
    assert page.problems.text() == ""


def test_a_part_cannot_be_pushed_past_the_last_column(page: SplitPage, qtbot) -> None:
    last = page.columns.lists["not taught"]
    last.setCurrentRow(0)
    qtbot.keyClick(last, Qt.Key.Key_Right, Qt.KeyboardModifier.AltModifier)
    assert page.text.toPlainText() == TEXT


def test_one_key_hands_over_tomorrows_phases_and_the_table_list(page: SplitPage, qtbot) -> None:
    with qtbot.waitSignal(page.outline_asked, timeout=60_000) as asked:
        qtbot.keyClick(page.text, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    phases, table, block = asked.args[0]
    assert block == {"mini_lesson": "25", "groups": "3"}
    assert phases == ("Fold a strip 5 min", "Name the parts 8 min", "Mark thirds 10")
    assert table == ("Cut and compare 13", "Beyond one whole 9 (extension)")


def test_without_parts_there_is_nothing_to_make(page: SplitPage) -> None:
    page.text.setPlainText("")
    assert not page.make_button.isEnabled()
    assert page.verdict.text() == "Type or paste the lesson's parts, one a line: Mark thirds 10"


def test_every_field_has_a_name_for_a_screen_reader(page: SplitPage) -> None:
    named = [page.text, page.whole_minutes, page.table_minutes, page.tables, *page.columns.lists.values()]
    assert all(widget.accessibleName() for widget in named)


TWINS = "Sort cards 10\nName ends 10\nMark thirds 10\nShare 5"


def test_a_part_that_was_moved_stays_and_the_others_move_no_more_than_they_must(page: SplitPage) -> None:
    """Two of three equal parts fit the whole group: which of them is no reason to move any."""
    page.show_text(TWINS, 20 * 60, 0, 3)
    assert titles(page, "whole group") == ["Sort cards", "Name ends"]
    page.columns.moved.emit(0, "not taught")
    assert titles(page, "whole group") == ["Name ends", "Mark thirds"]
    page.columns.moved.emit(0, None)
    assert titles(page, "whole group") == ["Name ends", "Mark thirds"], "as good as before: nothing moves"
    kept = page.fates
    page.show_text(TWINS, 20 * 60, 0, 3, kept)
    assert page.fates == kept, "nor at the next start"
    page.text.setPlainText(f"{TWINS} value 1")
    assert titles(page, "whole group") == ["Sort cards", "Name ends"], "typed anew, in the lesson's order"


def test_p_pins_a_part_where_it_is_and_a_press_on_the_pin_takes_it_out(page: SplitPage, qtbot) -> None:
    table = page.columns.lists["table"]
    table.setFocus()
    table.setCurrentRow(0)
    qtbot.keyClick(table, Qt.Key.Key_P)
    assert "Cut and compare 13 [materials] -> table" in page.text.toPlainText()
    place = table.visualItemRect(table.item(0))
    qtbot.mouseClick(
        table.viewport(), Qt.MouseButton.LeftButton, pos=QPoint(place.right() - 14, place.top() + 18)
    )
    assert page.text.toPlainText() == TEXT


def test_a_drag_over_another_column_shows_where_it_may_be_let_go(page: SplitPage) -> None:
    table, station = page.columns.lists["table"], page.columns.lists["station"]
    table.setCurrentRow(0)
    held, wanted = QMimeData(), Qt.DropAction.MoveAction
    held.setData("application/x-qabstractitemmodeldatalist", b"")
    state = Qt.MouseButton.LeftButton, Qt.KeyboardModifier.NoModifier
    entering = Dragged(QPoint(9, 9), wanted, held, *state)
    station.dragEnterEvent(entering)
    assert not station.property("target"), "what comes from elsewhere is no part"
    entering.of = table
    station.dragEnterEvent(entering)
    assert station.property("target")
    dropped = Dropped(QPointF(9, 9), wanted, held, *state)
    dropped.of = table
    station.dropEvent(dropped)
    assert not station.property("target")
    assert "Cut and compare 13 [materials] -> station" in page.text.toPlainText()


class Dragged(QDragEnterEvent):
    """A drag whose source the test says."""

    of: object = None

    def source(self) -> object:
        return self.of


class Dropped(QDropEvent):
    """The same, let go."""

    of: object = None

    def source(self) -> object:
        return self.of


def test_each_part_says_what_it_is_worth_and_what_saying_it_once_saves(page: SplitPage) -> None:
    assert page.columns.lists["whole group"].item(2).text() == (
        "3  Mark thirds\n10 min · core\nneeds “Name the parts”\nsaid once: saves 20 min"
    )
    assert page.columns.lists["table"].item(0).text().endswith("said 3 times; once would save 26 min")
    page.tables.setValue(1)
    assert "saves" not in page.columns.lists["whole group"].item(2).text(), (
        "at one table there is nothing to save"
    )


def test_the_line_with_the_cursor_is_explained_beside_the_text(page: SplitPage) -> None:
    page.text.moveCursor(QTextCursor.MoveOperation.Start)
    page.text.moveCursor(QTextCursor.MoveOperation.NextBlock)
    page.text.moveCursor(QTextCursor.MoveOperation.NextBlock)
    assert page.explained.text() == (
        "Mark thirds: Whole group. Value 3: core, it goes first. It makes no sense without “Name the parts”."
    )


def test_an_empty_page_says_what_it_will_show_and_one_press_pastes_the_lesson(page: SplitPage) -> None:
    page.text.setPlainText("")
    assert page.empty.isVisible()
    QGuiApplication.clipboard().setText("")
    page.empty.button.click()
    assert page.problems.text().startswith("Nothing to paste yet.")
    QGuiApplication.clipboard().setText(TEXT)
    page.empty.button.click()
    assert not page.empty.isVisible()
    assert titles(page, "table") == ["Cut and compare"]
