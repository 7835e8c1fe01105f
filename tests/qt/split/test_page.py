"""The Split page: text on the left, columns on the right, and a teacher who moves parts by keyboard."""

from collections.abc import Iterator

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, Qt
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
    assert "The table parts cost 39 min at 3 tables; said once to all, 13:00." in page.details.text()


def test_typing_another_line_splits_anew_and_tells_of_the_change(page: SplitPage, qtbot) -> None:
    with qtbot.waitSignal(page.changed, timeout=60_000):
        page.text.appendPlainText("Sort cards 2 value 3")
    assert "Sort cards" in titles(page, "whole group")


def test_a_line_that_is_not_understood_is_told_and_the_others_stay(page: SplitPage) -> None:
    page.text.appendPlainText("Sort cards")
    assert page.problems.text() == "Line 7: Write a title and its minutes, such as: Mark thirds 10"
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
    assert station.currentItem().text().endswith("by hand"), "the cursor went with it"
    qtbot.keyClick(station, Qt.Key.Key_Delete)
    assert page.text.toPlainText() == TEXT


def test_undo_takes_a_move_back(page: SplitPage, qtbot) -> None:
    page.columns.moved.emit((0, "table"))
    assert "-> table" in page.text.toPlainText()
    page.text.undo()
    assert page.text.toPlainText() == TEXT


def test_a_part_cannot_be_pushed_past_the_last_column(page: SplitPage, qtbot) -> None:
    last = page.columns.lists["not taught"]
    last.setCurrentRow(0)
    qtbot.keyClick(last, Qt.Key.Key_Right, Qt.KeyboardModifier.AltModifier)
    assert page.text.toPlainText() == TEXT


def test_one_key_hands_over_tomorrows_phases_and_the_table_list(page: SplitPage, qtbot) -> None:
    with qtbot.waitSignal(page.outline_asked, timeout=60_000) as asked:
        qtbot.keyClick(page.text, Qt.Key.Key_Return, Qt.KeyboardModifier.ControlModifier)
    phases, table = asked.args[0]
    assert phases == ("Fold a strip 5 min", "Name the parts 8 min", "Mark thirds 10")
    assert table == ("Cut and compare 13", "Beyond one whole 9 (extension)")


def test_without_parts_there_is_nothing_to_make(page: SplitPage) -> None:
    page.text.setPlainText("")
    assert not page.make_button.isEnabled()
    assert page.verdict.text() == "Type or paste the lesson's parts, one a line: Mark thirds 10"


def test_every_field_has_a_name_for_a_screen_reader(page: SplitPage) -> None:
    named = [page.text, page.whole_minutes, page.table_minutes, page.tables, *page.columns.lists.values()]
    assert all(widget.accessibleName() for widget in named)
