"""The Outline page as a teacher uses it: by keyboard, over text, table and details, with every save."""

import errno
import os
import signal
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest
from PySide6.QtCore import QCoreApplication, QEvent, QMimeData, QPoint, QPointF, Qt
from PySide6.QtGui import QDragEnterEvent, QDragMoveEvent, QDropEvent, QGuiApplication, QTextCursor
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractItemView,
    QAbstractSpinBox,
    QApplication,
    QComboBox,
    QLineEdit,
    QPlainTextEdit,
    QVBoxLayout,
    QWidget,
)

from pacer.editing.outline_file import JOURNAL_MS, SAVE_MS
from pacer.pace.forecasts.past import PastEnding
from pacer.paths import template_folder
from pacer.plan.draft.with_text import TypedDraft, typed
from pacer.plan.file.reader import read_outline
from pacer.plan.outline import Outline
from pacer.qt.outline.page import OutlinePage
from pacer.qt.outline.phase_model import FIELDS
from pacer.review.learning.budgets import SortedPast
from pacer.run.clock import ManualClock
from pacer.settings.draft_store import DraftStore, Failed
from pacer.settings.store import SettingsStore

NONE = Qt.KeyboardModifier.NoModifier
CTRL, ALT = Qt.KeyboardModifier.ControlModifier, Qt.KeyboardModifier.AltModifier
SHIFT = Qt.KeyboardModifier.ShiftModifier
THREE = ("Warm-up 2", "Review 3", "Modeling 7")
AT_MS = round(datetime(2026, 3, 9, 19, 2).timestamp() * 1000)


class Evening:
    """Pages in a window over one folder, and a clock that the test moves."""

    def __init__(self, folder: Path) -> None:
        self.folder, self.own = folder, folder / "outlines"
        self.clock = ManualClock(AT_MS)
        self.windows: list[tuple[QWidget, OutlinePage]] = []

    def store(self) -> DraftStore:
        return DraftStore(self.folder / "data", self.clock, self.folder / "elsewhere")

    def page(self, past: SortedPast | None = None, store: DraftStore | None = None) -> OutlinePage:
        window = QWidget()
        window.setMinimumSize(1366, 690)
        made = OutlinePage(store or self.store(), self.own, self.clock, past)
        column = QVBoxLayout(window)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(made)
        window.show()
        window.activateWindow()
        QApplication.processEvents()
        self.windows.append((window, made))
        return made

    def shut(self, page: OutlinePage) -> None:
        for window, made in list(self.windows):
            if made is page:
                made.shut()
                window.close()
                window.deleteLater()
                self.windows.remove((window, made))
        QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)

    def crash(self, page: OutlinePage) -> None:
        """The program is gone a moment after a change: nothing was saved, only the journal is there."""
        page.editor.file.journal()
        page.editor.file._saved_sheet = page.editor.sheet
        self.shut(page)


@pytest.fixture
def evening(dressed, tmp_path: Path) -> Iterator[Evening]:
    made = Evening(tmp_path)
    yield made
    for _window, page in list(made.windows):
        made.shut(page)


@pytest.fixture
def page(evening: Evening) -> OutlinePage:
    made = evening.page()
    made.open_new(THREE)
    return made


def test_an_outline_that_has_only_a_title_yet_is_not_called_wrong(page: OutlinePage) -> None:
    page.open_new()
    QTest.keyClicks(page.head.fields["title"], "Thirds")
    QApplication.processEvents()
    assert page.editor.sheet.title == "Thirds"
    assert page.head.told.text() == ""


def titles(page: OutlinePage) -> list[str]:
    return [phase.title for phase in page.editor.sheet.phases]


def text(page: OutlinePage) -> str:
    return page.pane.editor.toPlainText()


def cell(page: OutlinePage, row: int, field: str) -> str:
    return str(page.model.index(row, FIELDS.index(field)).data())


def put_cursor(page: OutlinePage, row: int, field: str = "title") -> None:
    page.table.choose([page.editor.sheet.phases[row].key], field)
    page.table.setFocus()


def press(key: Qt.Key, held: Qt.KeyboardModifier = NONE) -> None:
    """A key for whoever has the keyboard."""
    widget = QApplication.focusWidget()
    assert widget is not None
    QTest.keyClick(widget, key, held)
    QApplication.processEvents()


def write(words: str) -> None:
    """Each sign goes to whoever has the keyboard by then: the first one may open an editor."""
    for sign in words:
        widget = QApplication.focusWidget()
        assert widget is not None
        QTest.keyClicks(widget, sign)


# --- the three-minute claim ---


class Counted:
    """A teacher's hands: counts every press that is not a sign or a blank of the text itself."""

    def __init__(self) -> None:
        self.presses = 0

    def press(self, key: Qt.Key, held: Qt.KeyboardModifier = NONE, times: int = 1) -> None:
        for _n in range(times):
            self.presses += 1
            press(key, held)

    def type(self, words: str) -> None:
        write(words)


@pytest.mark.slow
def test_six_phases_from_nothing_by_keyboard_alone_in_sixty_presses_beyond_the_text(
    evening: Evening, qtbot
) -> None:
    page = evening.page()
    hands = Counted()
    page.bar.buttons["new"].setFocus()
    hands.press(Qt.Key.Key_N, CTRL)
    hands.type("Thirds on a number line")
    hands.press(Qt.Key.Key_L, ALT)  # to the text, one phase a line
    lines = (
        "Warm-up 2",
        "Review 3 Which is more?",
        "Modeling 7",
        "Vocabulary 3",
        "Practice 8",
        "Look back 2",
    )
    for n, line in enumerate(lines):
        hands.type(line)
        if n < len(lines) - 1:
            hands.press(Qt.Key.Key_Return)
    hands.press(Qt.Key.Key_Tab)  # into the table at the last phase's row
    assert QApplication.focusWidget() is page.table
    hands.press(Qt.Key.Key_Home)
    hands.press(Qt.Key.Key_Up, times=4)
    hands.press(Qt.Key.Key_P, ALT)  # what is folded under the outline
    qtbot.waitUntil(page.details.lines["class_line"].hasFocus, timeout=60_000)
    while QApplication.focusWidget() is not page.details.boxes["movable"]:
        hands.press(Qt.Key.Key_Tab)
    hands.type("ta")  # where Review goes when there is no time
    hands.press(Qt.Key.Key_L, ALT)
    hands.press(Qt.Key.Key_Up)  # the line of Practice
    hands.press(Qt.Key.Key_P, ALT)
    qtbot.waitUntil(page.details.isHidden, timeout=60_000)
    hands.press(Qt.Key.Key_P, ALT)
    qtbot.waitUntil(page.details.lines["class_line"].hasFocus, timeout=60_000)
    hands.press(Qt.Key.Key_Tab, times=3)  # second language, problem, notes
    hands.type("Check every desk")
    hands.press(Qt.Key.Key_Tab)
    hands.type("0:30 | How do you know?")
    while QApplication.focusWidget() is not page.details.lines["floor"]:
        hands.press(Qt.Key.Key_Tab)
    hands.type("7")
    hands.press(Qt.Key.Key_W, CTRL)

    made = read_outline(evening.own / "thirds-on-a-number-line.toml")
    assert isinstance(made, Outline)
    assert [(phase.title, phase.budget_s // 60, phase.kind) for phase in made.phases] == [
        ("Warm-up", 2, "warm-up"), ("Review", 3, "review"), ("Modeling", 7, "modeling"),
        ("Vocabulary", 3, "vocabulary"), ("Practice", 8, "guided-practice"), ("Look back", 2, "look-back"),
    ]  # fmt: skip
    review, practice = made.phases[1], made.phases[4]
    assert (review.class_line, review.movable) == ("Which is more?", "table")
    assert (practice.floor_s, practice.notes) == (420, "Check every desk")
    assert (practice.bursts[0].length_s, practice.bursts[0].prompt) == (30, "How do you know?")
    print(f"{hands.presses} presses beyond the text")
    assert hands.presses <= 60


# --- both panes ---


def test_what_is_typed_stands_in_the_table_and_what_the_table_changes_in_the_text(page: OutlinePage) -> None:
    assert titles(page) == ["Warm-up", "Review", "Modeling"]
    put_cursor(page, 1, "budget")
    write("4")
    press(Qt.Key.Key_Return)
    assert text(page) == "Warm-up 2\nReview 4\nModeling 7\n"
    page.pane.editor.setPlainText("Warm-up 2\nReview 5\nModeling 7\n")
    assert cell(page, 1, "budget") == "5"


def test_a_kind_is_chosen_by_typing_its_beginning(page: OutlinePage) -> None:
    put_cursor(page, 0, "kind")
    write("voc")
    assert isinstance(QApplication.focusWidget(), QComboBox)
    press(Qt.Key.Key_Return)
    assert page.editor.sheet.phases[0].kind == "vocabulary"
    assert text(page).startswith("Warm-up 2 [vocabulary]\n")


def test_a_row_that_says_nothing_shows_what_its_kind_gives(page: OutlinePage) -> None:
    assert cell(page, 2, "floor") == "4:40"
    assert cell(page, 2, "talk") == "teacher"
    assert page.editor.sheet.phases[2].floor == ""


def test_lines_not_understood_are_named_and_stay_also_in_the_file(
    page: OutlinePage, evening: Evening
) -> None:
    page.pane.editor.setPlainText("Warm-up 2\n5\nReview 3\n")
    assert page.pane.told.text().startswith("Line 2: ")
    assert not page.pane.told.isHidden()
    page.flush()
    path = page.editor.file.path
    assert path is not None
    again = evening.page()
    assert again.open_path(path)
    assert "5" in text(again).split("\n")
    assert titles(again) == ["Warm-up", "Review"]


def test_headings_and_totals_stay_in_the_file_as_comments_and_once(
    page: OutlinePage, evening: Evening
) -> None:
    pasted = "Objective: I can place thirds\nMaterials: strips\nReview 3\nModeling 7\nTotal 10\n"
    page.pane.editor.setPlainText(pasted)
    page.flush()
    page.pane.editor.setPlainText(pasted.replace("Review 3", "Review 4"))
    page.flush()
    path = page.editor.file.path
    assert path is not None
    again = evening.page()
    assert again.open_path(path)
    again.pane.editor.setPlainText(text(again).replace("Modeling 7", "Modeling 8"))
    again.flush()
    lines = path.read_text(encoding="utf-8").splitlines()
    for said in ("Objective: I can place thirds", "Materials: strips", "Total 10"):
        assert lines.count(f"# typed: {said}") == 1


@pytest.mark.parametrize("first", ["Group work 3", "Share the goal 2", "Transition to the rug 2"])
def test_an_outline_that_begins_with_what_comes_after_a_mini_lesson_is_shown(
    page: OutlinePage, evening: Evening, first: str
) -> None:
    page.pane.editor.setPlainText(f"{first}\n")
    assert cell(page, 0, "title")
    assert page.fit_bar.verdict.text() == "No phase belongs to the mini lesson."
    page.flush()
    path = page.editor.file.path
    again = evening.page()
    assert path is not None
    assert again.open_path(path)
    assert text(again).startswith(first)


def test_the_row_of_the_line_at_the_cursor_is_the_chosen_one(page: OutlinePage) -> None:
    page.pane.editor.setFocus()
    QTest.keyClick(page.pane.editor, Qt.Key.Key_Home, CTRL)
    QTest.keyClick(page.pane.editor, Qt.Key.Key_Down)
    assert page.table.current_key() == page.editor.sheet.keys[1]
    assert page.details.key == page.editor.sheet.keys[1]


# --- undo, rows ---


def test_undo_and_redo_go_over_both_panes_and_typing_is_one_step(page: OutlinePage) -> None:
    before = text(page)
    page.pane.editor.setFocus()
    page.pane.editor.moveCursor(page.pane.editor.textCursor().MoveOperation.End)
    write("Song 1")
    put_cursor(page, 0)
    page.details_button.click()
    page.details.lines["floor"].setFocus()
    write("1")
    assert page.editor.sheet.phases[0].floor == "1"
    press(Qt.Key.Key_Z, CTRL)
    assert page.editor.sheet.phases[0].floor == ""
    assert titles(page)[-1] == "Song"
    page.pane.editor.setFocus()
    press(Qt.Key.Key_Z, CTRL)
    assert text(page) == before
    assert titles(page) == ["Warm-up", "Review", "Modeling"]
    press(Qt.Key.Key_Y, CTRL)
    press(Qt.Key.Key_Y, CTRL)
    assert (titles(page)[-1], page.editor.sheet.phases[0].floor) == ("Song", "1")


def test_undo_in_a_field_is_the_pages_undo(page: OutlinePage) -> None:
    field = page.head.fields["title"]
    field.setFocus()
    write("Thirds")
    press(Qt.Key.Key_Z, CTRL)
    assert (field.text(), page.editor.sheet.title) == ("", "")


def test_rows_are_moved_added_doubled_and_taken_out_by_keys(page: OutlinePage) -> None:
    put_cursor(page, 0)
    press(Qt.Key.Key_Down, ALT)
    assert titles(page) == ["Review", "Warm-up", "Modeling"]
    assert text(page) == "Review 3\nWarm-up 2\nModeling 7\n"
    press(Qt.Key.Key_Down, ALT)
    press(Qt.Key.Key_Down, ALT)
    assert titles(page) == ["Review", "Modeling", "Warm-up"], "the last row goes no further"
    press(Qt.Key.Key_Up, ALT)
    press(Qt.Key.Key_D, CTRL)
    assert titles(page) == ["Review", "Warm-up", "Warm-up", "Modeling"]
    press(Qt.Key.Key_Delete)
    assert titles(page) == ["Review", "Warm-up", "Modeling"]
    press(Qt.Key.Key_Insert)
    write("Song")
    press(Qt.Key.Key_Return)
    assert titles(page) == ["Review", "Warm-up", "Modeling", "Song"]
    assert text(page).endswith("Song ?\n")
    for _step in range(7):
        press(Qt.Key.Key_Z, CTRL)
    assert titles(page) == ["Warm-up", "Review", "Modeling"]


def test_the_last_row_can_be_taken_out_too(page: OutlinePage) -> None:
    page.table.selectAll()
    page.table.setFocus()
    press(Qt.Key.Key_Delete)
    assert titles(page) == []
    assert not page.details.isEnabled()


def test_enter_edits_a_cell_and_does_nothing_where_there_is_none_to_edit(page: OutlinePage) -> None:
    # Whatever Qt warns of fails this.
    put_cursor(page, 0)
    press(Qt.Key.Key_Return)
    assert page.table.state() == page.table.State.EditingState
    press(Qt.Key.Key_Escape)
    put_cursor(page, 0, "usually")
    press(Qt.Key.Key_Return)
    assert page.table.state() != page.table.State.EditingState
    page.table.selectAll()
    press(Qt.Key.Key_Delete)
    assert titles(page) == []
    page.table.setFocus()
    press(Qt.Key.Key_Return)
    assert titles(page) == []


def test_a_dragged_row_goes_where_it_is_dropped(page: OutlinePage) -> None:
    put_cursor(page, 2)
    top = page.table.visualRect(page.model.index(0, 0))
    at = QPointF(top.center().x(), top.top() + 2)
    event = QDropEvent(at, Qt.DropAction.MoveAction, QMimeData(), Qt.MouseButton.LeftButton, NONE)
    event.source = lambda: page.table  # type: ignore[method-assign]
    page.table.dropEvent(event)
    assert titles(page) == ["Modeling", "Warm-up", "Review"]


def test_a_dragged_row_is_let_in_between_the_others(page: OutlinePage) -> None:
    """A drag of the table's own rows, as Qt offers it: refused on the way, it could be dropped nowhere."""
    put_cursor(page, 2)
    dragged = page.model.mimeData(page.table.selectionModel().selectedIndexes())
    box = page.table.visualRect(page.model.index(0, 0))
    at = QPoint(box.center().x(), box.top() + 1)
    offered = QDragEnterEvent(at, page.model.supportedDragActions(), dragged, Qt.MouseButton.LeftButton, NONE)
    page.table.dragEnterEvent(offered)
    assert offered.isAccepted()
    moved = QDragMoveEvent(at, page.model.supportedDragActions(), dragged, Qt.MouseButton.LeftButton, NONE)
    page.table.dragMoveEvent(moved)
    assert moved.isAccepted()
    assert page.model.supportedDragActions() == Qt.DropAction.MoveAction


# --- fit, details, what is wrong ---


def test_the_fit_follows_the_typing_and_leaves_out_what_is_not_whole(page: OutlinePage) -> None:
    assert page.fit_bar.verdict.text() == "Fits 12:00 exactly."
    page.pane.editor.setFocus()
    page.pane.editor.moveCursor(page.pane.editor.textCursor().MoveOperation.End)
    write("Pract")
    assert page.fit_bar.verdict.text() == "Without 1 unfinished phase: Fits 12:00 exactly."
    write("ice 8")
    assert page.fit_bar.verdict.text() == "Fits 20:00 exactly."


def test_a_field_that_will_not_do_is_kept_and_told_beside_it(page: OutlinePage) -> None:
    field = page.head.fields["minutes"]
    field.setFocus()
    write("long")
    assert page.head.told.text().startswith("Block: ") or "Block: " in page.head.told.text()
    assert field.property("wrong") is True
    put_cursor(page, 1)
    page.details_button.click()
    page.details.lines["floor"].setFocus()
    write("x")
    assert page.details.lines["floor"].property("wrong") is True
    assert page.row_line.text().startswith("Floor: ")
    assert cell(page, 1, "floor") == "x"
    page.flush()
    assert 'floor = "x"' in page.editor.file.path.read_text(encoding="utf-8")


def test_details_are_written_to_the_chosen_phase_and_shown_of_another(page: OutlinePage) -> None:
    put_cursor(page, 1)
    page.details_button.click()
    page.details.texts["notes"].setFocus()
    write("Boards up.")
    page.details.texts["bursts"].setFocus()
    write("0:30 | Say why")
    page.details.wall.setFocus()
    write("s")
    review = page.editor.sheet.phases[1]
    assert (review.notes, review.bursts[0].length, review.wall) == ("Boards up.", "0:30", "strip")
    put_cursor(page, 0)
    assert page.details.texts["notes"].toPlainText() == ""
    put_cursor(page, 1)
    assert page.details.texts["bursts"].toPlainText() == "0:30 | Say why"
    assert text(page) == "Warm-up 2\nReview 3\nModeling 7\n"


def test_a_file_beside_the_outline_is_attached_by_its_name_and_another_is_copied_there(
    page: OutlinePage, evening: Evening
) -> None:
    key = page.editor.sheet.phases[0].key
    evening.own.mkdir(exist_ok=True)
    inside, outside = evening.own / "pictures" / "line.png", evening.folder / "strip.png"
    inside.parent.mkdir()
    for file in (inside, outside):
        file.write_bytes(b"picture")
    page.attaching.take(key, inside, evening.own)
    assert page.editor.sheet.phases[0].attach == "pictures/line.png"
    page.attaching.take(key, outside, evening.own)
    assert "lies in another folder" in page.notice.words.text()
    assert page.editor.sheet.phases[0].attach == "pictures/line.png"
    page.notice.buttons[0].click()
    assert page.editor.sheet.phases[0].attach == "strip.png"
    assert (evening.own / "strip.png").read_bytes() == b"picture"


def test_the_phases_go_to_the_clipboard_as_plain_text(page: OutlinePage) -> None:
    page.table.setFocus()
    press(Qt.Key.Key_C, CTRL | SHIFT)
    assert QGuiApplication.clipboard().text() == "Warm-up 2\nReview 3\nModeling 7\n"


@pytest.mark.parametrize("folded", ["", "details_button", "groups_button"])
def test_every_field_is_reached_by_tab_and_has_a_name(page: OutlinePage, folded: str) -> None:
    put_cursor(page, 0)
    if folded:
        getattr(page, folded).click()
    page.bar.buttons["new"].setFocus()
    seen: set[QWidget] = set()
    for _press in range(60):
        widget = QApplication.focusWidget()
        assert widget is not None
        seen.add(widget)
        assert widget.accessibleName() or widget.text(), widget
        press(Qt.Key.Key_Tab)
    fields = [w for kind in (QLineEdit, QPlainTextEdit, QComboBox) for w in page.findChildren(kind)]
    wanted = {w for w in fields if w.isVisible() and w.isEnabled()} | {page.table}
    assert wanted <= seen


def fields_in_sight(page: OutlinePage) -> list[QWidget]:
    kinds = QLineEdit, QPlainTextEdit, QComboBox, QAbstractSpinBox, QAbstractItemView
    return [field for kind in kinds for field in page.findChildren(kind) if field.isVisible()]


def test_fewer_than_ten_fields_are_in_sight_until_more_is_asked_for(page: OutlinePage) -> None:
    first = fields_in_sight(page)
    assert len(first) < 10, [field.accessibleName() for field in first]
    assert page.preview.isVisible()
    page.details_button.click()
    assert {*page.details.lines.values(), *page.details.texts.values()} <= {*fields_in_sight(page)}
    page.groups_button.click()
    assert {*page.groups_panel.lines.values(), page.table_list} <= {*fields_in_sight(page)}
    assert not page.details.isVisible()
    page.groups_button.click()
    assert fields_in_sight(page) == first


def test_a_choice_of_the_details_is_kept_as_soon_as_its_beginning_is_typed(page: OutlinePage) -> None:
    put_cursor(page, 1)
    page.details_button.click()
    for name, typed_words, value in (
        ("movable", "to", "tomorrow"),
        ("talk", "q", "quiet"),
        ("kind", "sh", "share"),
    ):
        page.details.boxes[name].setFocus()
        write(typed_words)
        assert getattr(page.editor.sheet.phases[1], name) == value
    assert page.details.lines["floor"].placeholderText() == "1:30"


def test_words_and_picture_of_the_transition_have_their_fields(page: OutlinePage, evening: Evening) -> None:
    page.editor.set_head("title", "Thirds")
    page.groups_button.click()
    page.groups_panel.lines["move_words"].setFocus()
    write("Walk softly")
    evening.own.mkdir(exist_ok=True)
    (evening.own / "walk.png").write_bytes(b"x")
    page.attaching.take("", evening.own / "walk.png", evening.own)
    assert page.groups_panel.lines["move_picture"].text() == "walk.png"
    page.flush()
    saved = read_outline(evening.own / "thirds.toml")
    assert isinstance(saved, Outline)
    assert (saved.move_words, saved.move_picture) == ("Walk softly", "walk.png")


def test_a_line_of_the_text_goes_up_and_down_with_its_phase_and_the_cursor(page: OutlinePage) -> None:
    editor = page.pane.editor
    editor.setFocus()
    editor.moveCursor(QTextCursor.MoveOperation.End)
    press(Qt.Key.Key_Up)
    press(Qt.Key.Key_Up, ALT)
    assert titles(page) == ["Warm-up", "Modeling", "Review"]
    assert text(page) == "Warm-up 2\nModeling 7\nReview 3\n"
    assert editor.textCursor().block().text() == "Modeling 7"
    press(Qt.Key.Key_Down, ALT)
    press(Qt.Key.Key_Down, ALT)
    assert titles(page) == ["Warm-up", "Review", "Modeling"]


def test_a_time_and_the_task_behind_it_stand_apart_in_the_text(page: OutlinePage) -> None:
    page.open_new(["Modeling 4:30 34 + 20", "Review 3"])
    first, second = (page.pane.editor.document().findBlockByNumber(n).layout().formats() for n in (0, 1))
    assert second == []
    said = {(part.start, part.length) for part in first}
    assert said == {(9, 4), (13, 1), (14, 7)}, "the minutes strong, a gap, the task quiet"
    (gap,) = (part for part in first if part.start == 13)
    assert gap.format.fontLetterSpacing() > 0
    assert text(page) == "Modeling 4:30 34 + 20\nReview 3\n"


def test_groups_stations_and_share_are_written_by_keyboard_in_the_place_of_the_details(
    page: OutlinePage, evening: Evening, qtbot
) -> None:
    page.editor.set_head("title", "Thirds")
    page.table.setFocus()
    press(Qt.Key.Key_G, ALT)
    qtbot.waitUntil(page.groups_panel.isVisible, timeout=60_000)  # a pressed button is seen to go down first
    page.groups_panel.lines["share_prompt"].setFocus()
    write("One thing I found")
    press(Qt.Key.Key_Tab)
    seen: set[QWidget] = set()
    for _press in range(45):
        widget = QApplication.focusWidget()
        assert widget is not None
        seen.add(widget)
        press(Qt.Key.Key_Tab)
    fields = {*page.groups_panel.lines.values(), *page.groups_panel.texts.values()}
    assert fields <= seen
    assert all(field.accessibleName() and field.accessibleDescription() for field in fields)
    page.groups_panel.texts["named_groups"].setFocus()
    write("Circle | carpet")
    press(Qt.Key.Key_Return)
    write("Star")
    page.groups_panel.lines["order"].setFocus()
    write("Star, Circle")
    page.flush()
    saved = read_outline(evening.own / "thirds.toml")
    assert isinstance(saved, Outline)
    assert [(group.name, group.place) for group in saved.groups] == [("Circle", "carpet"), ("Star", "")]
    assert (saved.block.order, saved.share_prompt) == (("Star", "Circle"), "One thing I found")
    press(Qt.Key.Key_Z, CTRL)
    press(Qt.Key.Key_Z, CTRL)
    assert page.groups_panel.texts["named_groups"].toPlainText() == ""
    press(Qt.Key.Key_P, ALT)
    qtbot.waitUntil(page.details.isVisible, timeout=60_000)
    assert not page.groups_panel.isVisible()


def test_a_line_of_a_group_that_will_not_do_is_kept_and_told(page: OutlinePage) -> None:
    page.groups_button.click()
    page.groups_panel.texts["stations"].setPlainText("Our table | with me | | perhaps")
    assert page.editor.sheet.stations[0].teacher == "perhaps"
    assert "perhaps" in page.head.told.text()
    assert page.groups_panel.texts["stations"].property("wrong")
    assert page.look.outline is not None
    page.groups_panel.texts["stations"].setPlainText("Our table | with me | | teacher")
    assert not page.groups_panel.texts["stations"].property("wrong")


def test_the_bar_says_how_many_groups_fit(page: OutlinePage) -> None:
    page.editor.set_head("mini_lesson", "45")
    assert "A visit is 6:15 long, under the least of 8:00. 2 groups fit" in page.fit_bar.notices.text()
    assert "of 75:00" in page.fit_bar.details.text()


# --- the past ---


def taught(lessons: int, **actual_s: int) -> SortedPast:
    """Lessons in which each phase took so long and was done; one in five was cut off."""
    kinds = {"warm_up": "warm-up", "review": "review", "modeling": "modeling"}
    planned = {"warm_up": 120, "review": 180, "modeling": 420}
    return SortedPast(
        [
            PastEnding(
                run, f"2026-02-{run + 1:02d}", name.replace("_", "-"), kinds[name], planned[name], seconds,
                "interrupted" if run % 5 == 4 and name == "modeling" else "done",
            )
            for run in range(lessons)
            for name, seconds in actual_s.items()
        ]
    )  # fmt: skip


def test_the_past_stands_beside_a_budget_and_one_key_uses_it(evening: Evening) -> None:
    page = evening.page(taught(10, warm_up=120, review=180, modeling=540))
    page.open_new(THREE)
    put_cursor(page, 2)
    assert cell(page, 2, "usually").startswith(("about 9", "at least 9"))
    assert "10 lessons, 2 cut off" in page.row_line.text()
    frame = page.feedback.past[page.editor.sheet.phases[2].key]
    assert len(frame.dots) == 10
    assert sum(not is_done for _seconds, is_done in frame.dots) == 2
    press(Qt.Key.Key_U, CTRL)
    assert page.editor.sheet.phases[2].budget == "9"
    assert text(page).endswith("Modeling 9\n")


def test_below_five_lessons_the_past_is_silent(evening: Evening) -> None:
    page = evening.page(taught(4, warm_up=120, review=180, modeling=540))
    page.open_new(THREE)
    assert [cell(page, row, "usually") for row in range(3)] == ["", "", ""]
    assert page.whole_line.isHidden()
    assert page.move_button.isHidden()


def test_a_plan_whose_honest_budgets_are_too_long_offers_what_may_move(evening: Evening) -> None:
    page = evening.page(taught(10, warm_up=120, review=300, modeling=600))
    page.open_new(THREE)
    assert page.whole_line.text().endswith("choose what moves.")
    page._on_field((page.editor.sheet.phases[1].key, "movable", "table"))
    page.move_menu.fill()
    (only,) = page.move_menu.actions()
    assert only.text() == "Review 3: finished at the table"
    only.trigger()
    assert titles(page) == ["Warm-up", "Modeling"]
    assert page.table_list.toPlainText() == "Review 3"
    page.editor.undo()
    assert (titles(page)[1], page.table_list.toPlainText()) == ("Review", "")


def test_a_plan_that_is_kept_says_on_how_many_days(evening: Evening) -> None:
    page = evening.page(taught(10, warm_up=100, review=170, modeling=380))
    page.open_new(THREE)
    assert page.whole_line.text().startswith("Shared out evenly, each phase has enough on ")


# --- files ---


def wait_until_saved(qtbot, page: OutlinePage) -> None:
    qtbot.waitUntil(lambda: page.editor.file.is_saved, timeout=60_000)


def test_a_second_after_the_last_change_it_is_saved_under_its_title(
    page: OutlinePage, evening: Evening, qtbot
) -> None:
    page.head.fields["title"].setFocus()
    write("Thirds")
    with qtbot.waitSignal(page.saved, timeout=60_000) as told:
        pass
    assert told.args == [evening.own / "thirds.toml"]
    assert page.bar.saved.text() == "Saved 19:02  ·  thirds.toml"
    assert isinstance(read_outline(evening.own / "thirds.toml"), Outline)


def test_a_new_outlines_file_follows_its_title_and_leaves_no_other_behind(
    page: OutlinePage, evening: Evening
) -> None:
    page.flush()
    assert [path.name for path in evening.own.iterdir()] == ["outline.toml"]
    page.head.fields["title"].setFocus()
    write("Thirds")
    page.flush()
    assert [path.name for path in evening.own.iterdir()] == ["thirds.toml"]


def test_an_opened_file_keeps_its_name_its_comments_and_its_order(evening: Evening) -> None:
    evening.own.mkdir()
    path = evening.own / "mine.toml"
    source = (template_folder() / "number-line-75.toml").read_text(encoding="utf-8")
    path.write_text(source, encoding="utf-8")
    page = evening.page()
    assert page.open_path(path)
    page.flush()
    assert path.read_text(encoding="utf-8") == source, "looking changes nothing"
    put_cursor(page, 2, "budget")
    write("6")
    press(Qt.Key.Key_Return)
    page.head.fields["title"].setFocus()
    page.head.fields["title"].selectAll()
    write("Fifths")
    page.flush()
    said = path.read_text(encoding="utf-8").split("\n")
    changed = [(a, b) for a, b in zip(source.split("\n"), said, strict=True) if a != b]
    assert changed == [
        ('title = "Fractions on a number line"', 'title = "Fifths"'),
        ('budget = "7"', 'budget = "6"'),
    ]


def test_a_template_is_looked_at_and_the_first_change_makes_a_copy_and_says_so(evening: Evening) -> None:
    page = evening.page()
    assert page.open_path(template_folder() / "number-line-75.toml")
    page.flush()
    assert not evening.own.exists()
    assert "Template" in page.bar.saved.text()
    put_cursor(page, 0, "budget")
    write("9")
    press(Qt.Key.Key_Return)
    page.flush()
    made = evening.own / "fractions-on-a-number-line.toml"
    assert page.editor.file.path == made
    assert made.read_text(encoding="utf-8").startswith("# An invented example")
    assert "template stays as it is" in page.notice.words.text()
    assert page.notice.isVisible()


def test_a_copy_of_an_earlier_outline_leaves_that_one_alone(page: OutlinePage, evening: Evening) -> None:
    page.head.fields["title"].setFocus()
    write("Thirds")
    page.flush()
    page.bar.copy_menu.fill()
    first = page.bar.copy_menu.actions()[0]
    assert first.text().startswith("Thirds")
    first.trigger()
    put_cursor(page, 0, "budget")
    write("9")
    press(Qt.Key.Key_Return)
    page.flush()
    assert sorted(path.name for path in evening.own.iterdir()) == ["thirds-2.toml", "thirds.toml"]
    assert 'budget = "2"' in (evening.own / "thirds.toml").read_text(encoding="utf-8")


def test_an_earlier_version_is_looked_at_and_brought_back_as_a_step(
    page: OutlinePage, evening: Evening
) -> None:
    page.flush()
    evening.clock.advance(60_000)
    page.pane.editor.setPlainText("Warm-up 2\n")
    page.flush()
    page.bar.buttons["versions"].click()
    assert "Modeling 7" in page.versions.look.toPlainText()
    press(Qt.Key.Key_Return)
    assert titles(page) == ["Warm-up", "Review", "Modeling"]
    page.editor.undo()
    assert titles(page) == ["Warm-up"]


def test_a_file_changed_by_another_program_is_kept_beside_ours_and_told(page: OutlinePage, qtbot) -> None:
    page.head.fields["title"].setFocus()
    write("Thirds")
    page.flush()
    theirs = page.editor.file.path
    theirs.write_text(theirs.read_text(encoding="utf-8").replace("Warm-up", "Song"), encoding="utf-8")
    put_cursor(page, 0, "budget")
    write("4")
    press(Qt.Key.Key_Return)
    page.flush()
    assert "was changed by another program" in page.notice.words.text()
    assert page.editor.file.path.name == "thirds-mine.toml"
    assert 'budget = "4"' in page.editor.file.path.read_text(encoding="utf-8")
    page.notice.buttons[1].click()
    assert page.editor.file.path == theirs
    assert titles(page)[0] == "Song"


class FullDisk(DraftStore):
    """A store on a disk that takes nothing until there is room again."""

    full = True
    number = errno.ENOSPC

    def save(self, path: Path, text: str, stamp: str) -> object:
        if self.full:
            return self._failed(path, text, stamp, OSError(self.number, os.strerror(self.number)))
        return super().save(path, text, stamp)


@pytest.mark.parametrize(
    ("number", "words"), [(errno.ENOSPC, "the disk is full"), (errno.EROFS, "the disk is read-only")]
)
def test_on_a_full_or_read_only_disk_the_page_says_so_and_goes_on_and_saves_when_there_is_room(
    evening: Evening, qtbot, number: int, words: str
) -> None:
    store = FullDisk(evening.folder / "data", evening.clock, evening.folder / "elsewhere")
    store.number = number
    page = evening.page(store=store)
    page.open_new(THREE)
    page.flush()
    assert words in page.notice.words.text()
    assert "Your text is safe in" in page.notice.words.text()
    assert page.bar.saved.text().startswith("Not saved")
    put_cursor(page, 0, "budget")
    write("4")
    press(Qt.Key.Key_Return)
    assert text(page).startswith("Warm-up 4\n")
    store.full = False
    page.notice.buttons[0].click()
    wait_until_saved(qtbot, page)
    assert page.notice.isHidden()
    assert 'budget = "4"' in page.editor.file.path.read_text(encoding="utf-8")


def test_leaving_an_outline_that_could_not_be_saved_offers_its_text_again(evening: Evening) -> None:
    store = FullDisk(evening.folder / "data", evening.clock, evening.folder / "elsewhere")
    page = evening.page(store=store)
    page.open_new(THREE)
    left: list[bool] = []
    page.closed.connect(lambda: left.append(True))
    page.bar.done.click()
    assert left == [], "the notice is read first"
    page.open_new()
    assert page.notice.words.text().startswith("Unsaved typing of ")
    store.full = False
    page.notice.buttons[0].click()
    assert titles(page) == ["Warm-up", "Review", "Modeling"]
    page.bar.done.click()
    assert left == [True]
    assert "Modeling" in page.editor.file.path.read_text(encoding="utf-8")


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may write anywhere")
def test_in_a_read_only_folder_the_page_stays_usable(page: OutlinePage, evening: Evening) -> None:
    page.flush()
    evening.own.chmod(0o500)
    try:
        put_cursor(page, 0, "budget")
        write("4")
        press(Qt.Key.Key_Return)
        page.flush()
        assert "can't be saved" in page.notice.words.text()
        assert titles(page) == ["Warm-up", "Review", "Modeling"]
    finally:
        evening.own.chmod(0o700)


def test_a_slow_folder_does_not_hold_up_the_typing(evening: Evening, qtbot) -> None:
    from threading import Event

    let_go = Event()

    class Slow(DraftStore):
        def save(self, path: Path, text: str, stamp: str) -> object:
            assert let_go.wait(120)
            return super().save(path, text, stamp)

    page = evening.page(store=Slow(evening.folder / "data", evening.clock, evening.folder / "elsewhere"))
    page.open_new(THREE)
    page.editor.file.save()
    page.pane.editor.setFocus()
    page.pane.editor.moveCursor(page.pane.editor.textCursor().MoveOperation.End)
    write("Song 1")
    assert titles(page)[-1] == "Song"
    assert not page.editor.file.is_saved
    let_go.set()
    wait_until_saved(qtbot, page)
    assert '"Song"' in page.editor.file.path.read_text(encoding="utf-8"), (
        "what was typed meanwhile is saved after it"
    )


def test_what_a_crash_left_unsaved_is_offered_and_taken_in_as_a_step(evening: Evening) -> None:
    first = evening.page()
    first.open_new(THREE)
    first.head.fields["title"].setFocus()
    write("Thirds")
    first.flush()
    put_cursor(first, 1, "budget")
    write("5")
    press(Qt.Key.Key_Return)
    evening.crash(first)

    page = evening.page()
    assert page.notice.words.text().startswith("Unsaved typing of “Thirds” (thirds.toml) from ")
    page.notice.buttons[0].click()
    assert text(page) == "Warm-up 2\nReview 5\nModeling 7\n"
    page.editor.undo()
    assert text(page) == "Warm-up 2\nReview 3\nModeling 7\n"
    page.editor.redo()
    page.flush()
    assert evening.store().recoverable() == []


def test_what_is_typed_is_soon_in_the_recovery_file_and_before_it_is_saved(
    page: OutlinePage, evening, qtbot
) -> None:
    page.pane.editor.setFocus()
    press(Qt.Key.Key_End, CTRL)
    write("Song 1")
    assert JOURNAL_MS < SAVE_MS <= 1000
    qtbot.waitUntil(lambda: len(evening.store().recoverable()) == 1, timeout=60_000)
    assert '"Song"' in evening.store().recoverable()[0].text


@pytest.mark.slow
@pytest.mark.skipif(not hasattr(signal, "SIGKILL"), reason="there is no signal 9 here")
def test_a_kill_while_typing_loses_nothing_that_was_kept(tmp_path: Path) -> None:
    """Kills at different moments; the child says each line typed, and how many are kept."""
    child = Path(__file__).with_name("typing_child.py")
    environment = {**os.environ, "QT_QPA_PLATFORM": "offscreen"}
    for lines in (12, 39):
        folder = tmp_path / str(lines)
        running = subprocess.Popen(
            [sys.executable, child, str(folder)], env=environment, stdout=subprocess.PIPE, text=True,
            stderr=subprocess.DEVNULL,
        )  # fmt: skip
        said: list[tuple[str, str]] = []
        for line in running.stdout:
            said.append(tuple(line.rstrip().split(" ", 1)))
            if len(said) > lines and "kept" in dict(said):
                break
        running.send_signal(signal.SIGKILL)
        said += [tuple(line.split(" ", 1)) for line in running.stdout.read().splitlines()]
        running.wait()
        running.stdout.close()
        found = "".join(path.read_text(encoding="utf-8") for path in (folder / "outlines").glob("*.toml"))
        found += "".join(each.text for each in DraftStore(folder / "data", ManualClock()).recoverable())
        typed = [words for what, words in said if what == "typed"]
        kept = max(int(words) for what, words in said if what == "kept")
        assert kept > 0
        assert all(f'"{title}"' in found for title in typed[:kept]), f"kill after {lines}"


def test_unsaved_typing_that_is_left_becomes_an_earlier_version(evening: Evening) -> None:
    first = evening.page()
    first.open_new(THREE)
    evening.crash(first)
    page = evening.page()
    page.notice.buttons[1].click()
    assert page.notice.isHidden()
    assert evening.store().recoverable() == []
    assert len(evening.store().versions(evening.own / "outline.toml")) == 1


def test_typing_over_an_unanswered_offer_overwrites_nothing(evening: Evening) -> None:
    first = evening.page()
    first.open_new(THREE)
    first.flush()
    path = first.editor.file.path
    put_cursor(first, 1, "budget")
    write("5")
    press(Qt.Key.Key_Return)
    evening.crash(first)
    page = evening.page()
    assert page.open_path(path)
    put_cursor(page, 0, "budget")
    write("4")
    press(Qt.Key.Key_Return)
    page.flush()
    kept = [evening.store().version_text(version).text for version in evening.store().versions(path)]
    assert any('budget = "5"' in said for said in kept)


def test_a_file_that_is_no_outline_is_told_and_what_was_open_stays(
    page: OutlinePage, evening: Evening
) -> None:
    bad = evening.folder / "bad.toml"
    bad.write_text("format = \n", encoding="utf-8")
    assert not page.open_path(bad)
    assert "bad.toml can't be edited here." in page.notice.words.text()
    assert titles(page) == ["Warm-up", "Review", "Modeling"]


def test_an_outline_from_the_split_page_comes_with_its_table_list(evening: Evening) -> None:
    page = evening.page()
    page.open_new(("Fold a strip 5", "Name the parts 8"), ("Cut and compare 13",))
    page.flush()
    made = read_outline(page.editor.file.path)
    assert "no title" in str(made[0]), "it is saved as it is, and says what it lacks"
    assert page.table_list.toPlainText() == "Cut and compare 13"
    page.editor.undo()
    assert titles(page) == ["Fold a strip", "Name the parts"]


def test_done_saves_and_leaves(page: OutlinePage, qtbot) -> None:
    with qtbot.waitSignal(page.closed, timeout=60_000):
        page.bar.done.click()
    assert page.editor.file.path.exists()


def test_failed_words_come_from_the_store_alone(evening: Evening) -> None:
    missing = evening.store().open(evening.folder / "none.toml")
    assert isinstance(missing, Failed)
    page = evening.page()
    assert not page.open_path(evening.folder / "none.toml")
    assert page.notice.words.text() == missing.words


def test_what_the_back_row_cant_read_is_said_a_moment_after_it_was_typed(evening, tmp_path, qtbot):
    page = evening.page()
    settings = SettingsStore(tmp_path / "settings.json")
    settings.change(picture_height_mm=600)
    page.look_from_back_row(settings)
    page.open_new(THREE)
    long = " ".join(["Look at the number line and tell your partner which is nearer to one half."] * 3)
    long += " Then write it down, and show it to all of us on your board."
    key = page.model.draft.phases[1].key
    page.editor.set_field(key, "class_line", long)
    qtbot.waitUntil(lambda: bool(page._small_words.found), timeout=60_000)
    assert page.fit_bar.notices.text().endswith(
        "Too small on the Wall for the back row: the line for the class of “Review”."
    )
    page.table.choose([key])
    QApplication.processEvents()
    assert "too small for the back row" in page.row_line.text()
    page.editor.set_field(key, "class_line", "Show how.")
    assert "back row" not in page.fit_bar.notices.text()


def test_title_return_and_phases_are_typed_in_one_go(evening):
    page = evening.page()
    QTest.keyClick(page.pane.editor, Qt.Key.Key_N, CTRL)
    QTest.keyClicks(QApplication.focusWidget(), "Thirds on a line")
    QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    for line in ("Review 3", "Model 7"):
        QTest.keyClicks(QApplication.focusWidget(), line)
        QTest.keyClick(QApplication.focusWidget(), Qt.Key.Key_Return)
    sheet = page.editor.sheet
    assert sheet.title == "Thirds on a line"
    assert [(phase.title, phase.budget) for phase in sheet.phases] == [("Review", "3"), ("Model", "7")]


@pytest.mark.parametrize(
    ("title", "text", "field"),
    [("", "Review 3\n", "title"), ("Thirds", "Review 3\nModel\n", "budget"), ("Thirds", "Review 3\n", "")],
)
def test_after_she_took_a_lesson_the_keyboard_is_in_the_field_that_is_missing(evening, title, text, field):
    page = evening.page()
    page.open_taken(replace(typed(TypedDraft(), text), title=title))
    focus = QApplication.focusWidget()
    if field == "title":
        assert focus is page.head.fields["title"]
    else:
        assert focus is page.table
        index = page.table.currentIndex()
        assert index.row() == (1 if field else 0)
        if field:
            assert FIELDS[index.column()] == field
