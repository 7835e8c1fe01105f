"""Every widget has a name, the keyboard reaches all of them, and longer languages fit."""

import gettext
import re

import pytest
from PySide6.QtCore import QPoint, QSize, Qt
from PySide6.QtGui import QAccessible, QPainter
from PySide6.QtTest import QTest
from PySide6.QtWidgets import (
    QAbstractButton,
    QAbstractItemView,
    QAbstractScrollArea,
    QAbstractSpinBox,
    QApplication,
    QCheckBox,
    QHeaderView,
    QLabel,
    QLineEdit,
    QMessageBox,
    QPushButton,
    QScrollBar,
    QStackedWidget,
    QToolButton,
    QWidget,
)

from pacer import text
from pacer.log.day_records import DayRecords
from pacer.qt.kit.widgets import label
from pacer.qt.screens.questions import OneScreenQuestion
from pacer.run.clock import ManualClock
from pacer.run.room_plan import OneScreen
from pacer.run.session import Session
from tests.qt.window_factories import change_screens, click, settle, take_apart

LAPTOP = QSize(1366, 768)


@pytest.fixture
def lived_in(tmp_path, new_program, invented):
    """The program with an outline that has problems, a day record and a lesson that was cut off."""
    data = tmp_path / "data"
    with DayRecords.open(data) as records:
        for ends in (True, False):
            session = Session(ManualClock(), records.journal())
            session.start(invented)
            if ends:
                session.do("bell-now")
    (data / "outlines").mkdir()
    (data / "outlines" / "broken.toml").write_text("nonsense")
    return new_program()


def visible_widgets() -> list[QWidget]:
    found = []
    for window in QApplication.topLevelWidgets():
        found += [widget for widget in (window, *window.findChildren(QWidget)) if widget.isVisible()]
    return found


def is_part(widget: QWidget) -> bool:
    """A part that Qt makes inside another widget; the whole carries the name."""
    parent = widget.parentWidget()
    return (
        isinstance(widget, QScrollBar | QHeaderView)
        or widget.objectName().startswith("qt_")
        or (isinstance(parent, QAbstractScrollArea) and not isinstance(widget, QLabel))
        or (isinstance(widget, QLineEdit) and isinstance(parent, QAbstractSpinBox))
        or (isinstance(parent, QScrollBar | QHeaderView))
    )


def only_holds_others(widget: QWidget) -> bool:
    """A page or row that paints nothing of its own."""
    return type(widget) in (QWidget, QStackedWidget)


def spoken_name(widget: QWidget) -> str:
    """What a screen reader says of a widget."""
    interface = QAccessible.queryAccessibleInterface(widget)
    assert interface is not None, widget
    return interface.text(QAccessible.Text.Name)


def nameless() -> list[str]:
    named = [w for w in visible_widgets() if not is_part(w) and not only_holds_others(w)]
    assert len(named) >= 2
    return [repr(widget) for widget in named if not spoken_name(widget).strip() and not _is_blank(widget)]


def _is_blank(widget: QWidget) -> bool:
    return isinstance(widget, QLabel) and not widget.text()


def test_a_widget_without_a_name_would_be_found(dressed):
    """The walk below can fail: a painted widget without a name is caught by it."""

    class Painted(QWidget):
        def paintEvent(self, _event) -> None:  # noqa: N802
            with QPainter(self) as painter:
                painter.drawLine(0, 0, 9, 9)

    window = QWidget()
    window.setWindowTitle("Window")
    Painted(window)
    QLabel("said by its text", window)
    window.show()
    settle()
    assert len(nameless()) == 1
    assert "Painted" in nameless()[0]
    take_apart(window, None)


def test_every_visible_widget_of_every_window_has_a_name(lived_in, invented):
    running = lived_in
    assert running.today.resume_row.isVisible()
    running.today.show_notice("Something to read")
    for entry in ("broken", "Thirds"):
        if entry == "broken":
            running.choose(entry)
        else:
            running.today.list.setCurrentRow(1)
        settle()
        assert nameless() == []
    click(running.window.names["look back"])
    assert running.program.pages.look_back.lesson.tapes.isVisible()
    assert nameless() == []
    running.program.close_unfinished()
    running.program.start_now(invented)
    settle()
    assert running.program.room.desk in visible_widgets()
    assert running.program.room.wall.full in visible_widgets()
    assert nameless() == []
    running.tap("W")
    assert running.program.room.wall.strip in visible_widgets()
    assert nameless() == []
    change_screens()
    settle()
    assert running.window.curtain in visible_widgets()
    assert nameless() == []


def test_the_painted_widgets_say_what_they_show(stage):
    stage.tap("N")
    said = stage.desk.accessibleDescription()
    assert "STEADY" in said
    assert "Review" in said
    assert "move by" in said
    assert "Next: Model" in said
    said = stage.wall.full.accessibleDescription()
    assert said == "Review. 3 minutes left. Next: Model"
    change_screens()
    assert "screens changed" in stage.window.curtain.accessibleDescription()


def test_each_windows_title_tells_it_from_the_others(running):
    room = running.program.room
    titles = [running.window.windowTitle(), room.wall.full.windowTitle(), room.wall.strip.windowTitle()]
    assert len(set(titles)) == 3
    assert all(titles)


# The keyboard.


def reachable(window: QWidget) -> list[QWidget]:
    """Every widget that Tab should come to. Of a row of page names it is the one chosen; arrows lead on."""
    return [
        widget
        for widget in window.findChildren(QWidget)
        if widget.isVisible()
        and widget.isEnabled()
        and widget.focusPolicy() & Qt.FocusPolicy.TabFocus
        and widget.focusProxy() is None
        and not is_part(widget)
        and not (isinstance(widget, QAbstractButton) and widget.group() and not widget.isChecked())
    ]


def one_round(first: QWidget, key: Qt.Key) -> list[QWidget]:
    """Where a key leads until it comes back to the first; a time has a stop for each of its parts."""
    first.window().activateWindow()
    first.setFocus()
    settle()
    found: list[QWidget] = []
    while first not in found and len(found) < 60:
        QTest.keyClick(QApplication.focusWidget(), key)
        found.append(QApplication.focusWidget())
    return found


@pytest.mark.parametrize("page", ["today", "today with problems", "week", "look back"])
@pytest.mark.parametrize("key", [Qt.Key.Key_Tab, Qt.Key.Key_Backtab])
def test_tab_reaches_everything_and_is_caught_nowhere(lived_in, page, key):
    running = lived_in
    if page in ("look back", "week"):
        click(running.window.names[page])
    running.today.list.setCurrentRow(0 if page == "today with problems" else 1)
    settle()
    wanted = reachable(running.window)
    assert len(wanted) >= (3 if page == "look back" else 6)
    first = running.window.names[page if page in ("look back", "week") else "today"]
    visited = one_round(first, key)
    assert [widget for widget in wanted if widget not in visited] == []
    assert visited[-1] is first  # else it was caught somewhere


def test_arrow_keys_turn_the_pages_from_their_names(running):
    running.window.activateWindow()
    running.window.names["today"].setFocus()
    settle()
    QTest.keyClick(running.window.names["today"], Qt.Key.Key_Right)
    assert running.program.pages.week.isVisible()
    running.window.names["week"].setFocus()
    QTest.keyClick(running.window.names["week"], Qt.Key.Key_Left)
    assert running.today.isVisible()


def test_return_presses_the_focused_button(lived_in):
    lived_in.today.list.setCurrentRow(1)
    lived_in.today.copy_button.setFocus()
    lived_in.window.activateWindow()
    settle()
    QTest.keyClick(lived_in.today.copy_button, Qt.Key.Key_Return)
    assert not lived_in.today.entry().is_template


# Longer languages.


class Stretched(gettext.NullTranslations):
    """Every text four tenths longer, in whole words and with its places to fill and its key letter kept."""

    def gettext(self, message: str) -> str:
        return stretched(message)

    def ngettext(self, one: str, many: str, count: int) -> str:
        return stretched(one if count == 1 else many)


def stretched(message: str) -> str:
    visible = len(re.sub(r"\{\w+\}|&", "", message))
    extra = -(-visible * 4 // 10)
    # An accent on every other letter: also higher than English.
    filling = ("éñgüwör " * 20)[: max(0, extra - 1)].strip()
    return f"{message} {filling}" if filling else message


@pytest.fixture
def long_words():
    text.use_catalogue(Stretched())
    yield
    text.use_catalogue(gettext.NullTranslations())


def clipped() -> list[str]:
    """Labels and buttons that have less room than their text needs."""
    found = []
    for widget in visible_widgets():
        if isinstance(widget, QLabel) and widget.text() and widget.wordWrap():
            short = widget.heightForWidth(widget.width()) > widget.height()
            longest = max(widget.text().split(), key=len)
            inner = widget.width() - 2 * widget.margin()
            short = short or widget.fontMetrics().horizontalAdvance(longest) > inner
        elif isinstance(widget, QPushButton | QToolButton):
            # The text itself with a little air; the frame around it grows and shrinks with the focus.
            need = widget.fontMetrics().size(Qt.TextFlag.TextShowMnemonic, widget.text())
            short = need.width() + 8 > widget.width() or need.height() + 4 > widget.height()
        elif isinstance(widget, QAbstractSpinBox):
            edit = widget.findChild(QLineEdit)
            margins = edit.textMargins()
            need = edit.fontMetrics().horizontalAdvance(edit.text()) + margins.left() + margins.right()
            short = need + 4 > edit.width()  # Qt keeps two pixels on each side
        elif isinstance(widget, QLabel | QCheckBox) and not is_part(widget):
            need = widget.sizeHint()
            short = need.width() > widget.width() or need.height() > widget.height()
        else:
            continue
        outside = (
            not widget.window()
            .rect()
            .contains(widget.rect().translated(widget.mapTo(widget.window(), widget.rect().topLeft())))
        )
        if short or outside:
            need = widget.sizeHint().toTuple()
            place = (*widget.mapTo(widget.window(), QPoint()).toTuple(), *widget.size().toTuple())
            found.append(f"{type(widget).__name__} {getattr(widget, 'text', str)()!r}: needs {need}, {place}")
    return found


def test_a_clipped_label_would_be_found(dressed):
    window = QWidget()
    window.setAccessibleName("window")
    made = label("A text that needs more than this", wrap=False)
    made.setParent(window)
    made.setFixedWidth(60)
    wrapped = label("A text that needs more than this", wrap=True)
    wrapped.setParent(window)
    wrapped.setFixedSize(60, 20)
    window.resize(300, 200)
    window.show()
    settle()
    assert len(clipped()) == 2
    take_apart(window, None)


def test_the_stretched_words_are_four_tenths_longer_and_keep_their_places_and_key_letters():
    for message in ("Start", "&Copy to my outlines", "Bell at {bell}. It is {now} now: a start counts."):
        longer = stretched(message)
        assert 1.25 * len(message) < len(longer) <= 1.5 * len(message) + 1
        assert (
            re.findall(r"\{\w+\}|&\w", longer)[: message.count("{")]
            == re.findall(r"\{\w+\}|&\w", message)[: message.count("{")]
        )


@pytest.mark.slow
@pytest.mark.parametrize("resume", [False, True])
def test_words_four_tenths_longer_leave_no_clipped_label_on_today(
    long_words, tmp_path, new_program, invented, resume
):
    if resume:
        with DayRecords.open(tmp_path / "data") as records:
            Session(ManualClock(), records.journal()).start(invented)
    running = new_program()
    assert running.window.size() == LAPTOP
    assert "éñ" in running.today.copy_button.text()
    assert running.today.resume_row.isVisible() is resume
    for row in range(running.today.list.count()):
        running.today.list.setCurrentRow(row)
        settle()
        assert clipped() == []
    running.today.when_pressed.setChecked(True)
    settle()
    assert clipped() == []
    assert running.window.minimumSizeHint().width() <= LAPTOP.width()
    assert running.window.minimumSizeHint().height() <= LAPTOP.height()


def test_words_four_tenths_longer_leave_no_clipped_label_on_look_back(
    long_words, tmp_path, new_program, invented
):
    with DayRecords.open(tmp_path / "data") as records:
        session = Session(ManualClock(), records.journal())
        session.start(invented)
        session.do("bell-now")
    running = new_program()
    running.program.pages.show_look_back()
    settle()
    assert running.program.pages.look_back.lesson.table.isVisible()
    assert clipped() == []


def test_words_four_tenths_longer_leave_no_clipped_label_on_week(long_words, running):
    page = running.program.pages
    click(running.window.names["week"])
    page.week.tell("Something to read")
    settle()
    assert running.window.size() == LAPTOP
    assert clipped() == []
    assert nameless() == []
    click(page.week.view_buttons["unit"])
    assert clipped() == []
    assert running.window.minimumSizeHint().width() <= LAPTOP.width()


@pytest.mark.slow
def test_words_four_tenths_longer_leave_no_clipped_label_on_library(long_words, tmp_path, new_program):
    own = tmp_path / "data" / "outlines"
    own.mkdir(parents=True)
    (own / "halves.toml").write_text(
        'format = 1\ntitle = "Halves"\nunit = "Fractions"\n[[phase]]\ntitle = "Go"\nbudget = "3"\n'
    )
    (own / "broken.toml").write_text('format = 1\ntitle = "Thirds\n[[phase]]\ntitle = "Go"\nbudget = "3"\n')
    running = new_program()
    running.program.pages.show_library()
    page = running.program.pages.library
    for size in (LAPTOP, QSize(960, 540)):
        running.window.resize(size)
        for place in ("own", "templates", "away"):
            page.show_place(place)
            for row in range(page.side.list.count()):
                page.side.list.setCurrentRow(row)
                settle()
                assert clipped() == [], (place, row)
    page.show_path(own / "broken.toml", text=True)
    settle()
    assert page.text.isVisible()
    assert clipped() == []
    page.text.left.emit()
    page.side.search.setText("no such outline")
    settle()
    assert clipped() == []
    assert running.window.minimumSizeHint().width() <= LAPTOP.width()


def test_english_is_not_clipped_either_in_the_smallest_window(running):
    running.window.showNormal()
    running.window.resize(running.window.minimumSizeHint().expandedTo(running.window.minimumSize()))
    running.today.choices.talk_limit.setValue(60)
    settle()
    assert running.window.width() <= 1100
    assert clipped() == []


# The one question.


@pytest.mark.parametrize(
    ("pressed", "answer"), [(0, OneScreen.WALL_ONLY), (1, OneScreen.DESK_ONLY), (2, OneScreen.CANCEL)]
)
def test_the_question_about_one_screen_has_three_answers_and_the_safe_one_is_usual(
    running, monkeypatch, pressed, answer
):
    said = []

    def press(box: QMessageBox) -> int:
        said.append(box.text() + box.informativeText())
        buttons = box.buttons()
        wanted = {
            0: QMessageBox.ButtonRole.AcceptRole,
            1: QMessageBox.ButtonRole.ActionRole,
            2: QMessageBox.ButtonRole.RejectRole,
        }[pressed]
        assert box.buttonRole(box.defaultButton()) == QMessageBox.ButtonRole.AcceptRole
        next(button for button in buttons if box.buttonRole(button) == wanted).click()
        return 0

    monkeypatch.setattr(QMessageBox, "exec", press)
    assert OneScreenQuestion.ask(running.window) is answer
    assert "only the Wall may be shown" in said[0]
    settle()
    assert running.window.findChildren(QMessageBox) == []


def test_item_views_leave_tab_to_the_page(lived_in):
    """A table that keeps Tab for its cells would be a trap."""
    click(lived_in.window.names["look back"])
    views = lived_in.window.findChildren(QAbstractItemView)
    assert len(views) >= 4
    reached = [view for view in views if view.focusPolicy() & Qt.FocusPolicy.TabFocus]
    assert [view for view in reached if view.tabKeyNavigation()] == []
