"""The pages at 960 × 540: a common laptop's screen at 200 %."""

import shutil
from datetime import date

import pytest
from PySide6.QtCore import QPoint, QRect, QSize
from PySide6.QtGui import QGuiApplication
from PySide6.QtWidgets import (
    QAbstractButton,
    QCheckBox,
    QComboBox,
    QDialogButtonBox,
    QLabel,
    QLineEdit,
    QScrollArea,
)

from pacer.plan.day_shapes import DayShapes
from pacer.qt.app import Program
from pacer.qt.kit.target import LEAST_PX, Target
from pacer.qt.look_back.coach_dialog import CoachDialog
from pacer.qt.look_back.page import VIEWS
from pacer.qt.outline.kinds_dialog import KindsDialog
from pacer.qt.screens.private_window import least_size
from pacer.qt.today.day_shapes_dialog import DayShapesDialog
from pacer.review.choice import LessonChoice
from pacer.run.clock import SystemClock
from pacer.settings.folders import folders
from pacer.verbs.headless_demo import fill_demo_folder
from tests.qt.window_factories import click, settle, take_apart

SIZE = (960, 540)
PAGES = ("today", "week", "library", "outline", "split", "room")


@pytest.fixture
def small(running):
    running.window.showNormal()
    running.window.resize(*SIZE)
    settle()
    return running


@pytest.mark.parametrize("page", PAGES)
def test_nothing_of_a_page_lies_beside_the_window(small, page):
    click(small.window.names[page])
    settle()
    assert small.window.width() == SIZE[0]
    shown = small.window.pages.currentWidget()
    for area in shown.findChildren(QScrollArea):
        assert not area.isVisible() or area.horizontalScrollBar().maximum() == 0
    for kind in (QAbstractButton, QComboBox, QLineEdit, QLabel):
        for widget in shown.findChildren(kind):
            if widget.isVisible() and widget.width():
                right = widget.mapTo(small.window, widget.rect().topRight()).x()
                assert right < SIZE[0], (page, widget.accessibleName() or widget.text())


def test_today_fits_with_a_short_block_a_note_and_what_was_left_over(small):
    """Lines that other days don't have: the plan gives way, and Start stays in sight."""
    today = small.choose("Adding tens").today
    today.tomorrow_note_row.show_note(
        f"One thing for tomorrow, written after 9 Mar 2026: {'less review ' * 4}"
    )
    left = (
        "Left over from Fractions on a number line, 9 Mar 2026 · table: Review, Problem 3: 2 stuck, Sort the "
        "cards · tomorrow: Guided practice · 2 still open, see Look back"
    )
    today.show_before_lesson(lambda _outline: "Hexagon first: owed 18:56", lambda _subject: left)
    settle()
    assert today.left_line.isVisible()
    small.window.setMinimumSize(0, 0)  # as on a screen that is no higher
    for more in (1, 0):  # what is asked for at once is laid out before its least height is known
        small.window.resize(SIZE[0], SIZE[1] + more)
        settle()
    assert small.window.height() == SIZE[1]
    for words in (today.title, today.about, today.tomorrow_note_row.words, today.left_line):
        assert words.height() >= words.heightForWidth(words.width()), words.text()
    start = today.start_button
    assert start.mapTo(small.window, start.rect().bottomLeft()).y() < SIZE[1]


def test_the_words_of_split_are_whole(small):
    click(small.window.names["split"])
    settle()
    for words in small.window.pages.currentWidget().findChildren(QLabel):
        if words.isVisible() and words.wordWrap():
            assert words.height() >= words.heightForWidth(words.width()), words.text()
        elif words.isVisible():
            assert words.width() >= words.sizeHint().width(), words.text()


@pytest.fixture(scope="session")
def demo_folder(tmp_path_factory):
    """The demo's data, made once."""
    made = tmp_path_factory.mktemp("demo") / "data"
    fill_demo_folder(made, SystemClock()).close()
    return made


@pytest.fixture
def demo(tmp_path, dressed, demo_folder):
    """The demo, with its invented lessons to look back on."""
    shutil.copytree(demo_folder, tmp_path / "data")
    program = Program(folders(tmp_path / "data"), demo=True)
    program.window.resize(*SIZE)
    program.window.show()
    click(program.window.names["look back"])
    settle()
    yield program
    program.shut()
    take_apart(program.window, program._room, program)


@pytest.mark.slow
def test_the_mark_of_the_demo_is_whole(demo):
    (mark,) = [each for each in demo.window.findChildren(QLabel) if each.text().startswith("Demo")]
    assert mark.isVisible()
    assert mark.width() >= mark.sizeHint().width()


@pytest.mark.slow
def test_every_view_of_look_back_is_whole_and_chosen_in_a_box(demo):
    page = demo.pages.look_back
    assert (page.views.isVisible(), page.view_box.isVisible()) == (False, True)
    page.view_box.setFocus()
    for view in ("over_usually", "improving", "groups_met", "week", "budgets", "records", "lesson"):
        at = VIEWS.index(view)
        page.view_box.setCurrentIndex(at)
        page.view_box.activated.emit(at)
        settle()
        assert page.view == view
        assert demo.window.width() == SIZE[0]
        for kind in (QAbstractButton, QComboBox, QLineEdit, QLabel):
            for widget in page.findChildren(kind):
                if widget.isVisible() and widget.width():
                    right = widget.mapTo(demo.window, widget.rect().topRight()).x()
                    assert right < SIZE[0], (view, widget.accessibleName() or widget.text())
        for tick in page.findChildren(QCheckBox):
            if tick.isVisible():
                assert tick.width() >= tick.minimumSizeHint().width(), (view, tick.text())


@pytest.mark.slow
def test_what_goes_on_a_coach_copy_is_chosen_within_the_window(demo):
    dialog = CoachDialog([], LessonChoice(), demo.window)
    dialog.show()
    settle()
    assert dialog.width() <= SIZE[0]
    assert dialog.height() <= SIZE[1]
    dialog.close()
    dialog.deleteLater()


@pytest.mark.slow
@pytest.mark.slow
def test_a_budget_is_never_accepted_without_its_phase_in_sight(demo):
    page = demo.pages.look_back
    page.choose("budgets")
    settle()
    table = page.budgets.proposals.table
    assert table.rowCount()
    for row in range(table.rowCount()):
        assert table.columnWidth(0) >= table.fontMetrics().horizontalAdvance(table.item(row, 0).text()) + 20


@pytest.mark.slow
def test_budgets_lead_to_the_outline_where_it_is_chosen_what_moves(demo):
    page = demo.pages.look_back
    page.choose("budgets")
    settle()
    chosen = page.budgets.where.currentData()
    click(page.budgets.edit_button)
    settle()
    assert demo.window.names["outline"].isChecked()
    assert str(demo.pages.outline.editor.file.path) == chosen


def test_the_views_are_a_list_again_where_there_is_room(demo):
    demo.window.resize(1366, 768)
    settle()
    page = demo.pages.look_back
    assert (page.views.isVisible(), page.view_box.isVisible()) == (True, False)


@pytest.mark.parametrize("dialog", [DayShapesDialog, KindsDialog])
def test_a_dialog_is_never_higher_than_such_a_screen(dressed, dialog):
    """Its buttons lie below what is scrolled, so they are in sight at any height."""
    made = dialog(DayShapes(), date(2026, 3, 9)) if dialog is DayShapesDialog else dialog({})
    assert made.minimumSizeHint().height() <= 440
    buttons, area = made.findChild(QDialogButtonBox), made.findChild(QScrollArea)
    assert not area.isAncestorOf(buttons)
    take_apart(made, None)


class OneScreen:
    """A screen of so many pixels, as this computer's own at a scale."""

    def __init__(self, width: int, height: int) -> None:
        self.size = QSize(width, height)

    def availableSize(self) -> QSize:  # noqa: N802
        return self.size


# 1366 × 768 at 150 and 200 %, 1280 × 720 at 200 %.
LOW = [(911, 512), (683, 384), (640, 360)]


@pytest.mark.parametrize("size", LOW, ids=str)
def test_at_a_large_scale_the_window_is_no_larger_than_its_screen(size, monkeypatch):
    monkeypatch.setattr(QGuiApplication, "screens", lambda: [OneScreen(*size), OneScreen(1920, 1080)])
    assert least_size() == QSize(min(900, size[0]), size[1])


@pytest.mark.parametrize("size", LOW, ids=str)
def test_at_a_large_scale_start_and_next_stay_in_sight(running, size, monkeypatch):
    window = running.window
    window.setMinimumSize(*size)
    window.showNormal()
    for more in (1, 0):
        window.resize(size[0], size[1] + more)
        settle()
    assert window.height() == size[1]

    def seen(widget) -> bool:
        inside = QRect(widget.mapTo(window, QPoint(0, 0)), widget.size())
        return (
            widget.isVisible()
            and widget.visibleRegion().boundingRect() == widget.rect()
            and QRect(0, 0, *size).contains(inside)
        )

    assert seen(running.today.start_button)
    click(running.today.start_button)
    desk = running.program.room.desk
    desk.targets.appear()
    settle()
    boxes = {target.text(): target for target in desk.findChildren(Target) if target.isVisible()}
    assert seen(boxes["Next"])
    assert boxes["Next"].height() >= LEAST_PX
    desk.targets.vanish()
