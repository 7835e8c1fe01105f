"""The pages outside a lesson, and every dialog over them: covered wherever the class may look."""

import re
import time
from dataclasses import replace
from pathlib import Path

import pytest
from PySide6.QtCore import QEvent, QPoint, Qt, QTimer
from PySide6.QtGui import QGuiApplication, QKeyEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QDialog, QFileDialog, QLabel, QMenu, QPushButton

import pacer.qt
from pacer.plan.kinds import KindChange
from pacer.qt.kit.widgets import application
from pacer.qt.outline.kinds_dialog import KindsDialog
from pacer.qt.outline.week_dialog import WeekDialog
from pacer.qt.screens.curtain import curtain_words
from pacer.qt.screens.dialogs import Cover
from pacer.qt.screens.present import present_screens
from pacer.qt.screens.questions import OneScreenQuestion
from pacer.run.room_plan import OneScreen
from pacer.settings.screen_choice import remember
from pacer.settings.store import SettingsStore
from tests.qt.window_factories import Paints, Running, click, code_of, screen_named, settle

PRESENT = ("pacer.qt.lesson.placing.present_screens", "pacer.qt.screens.class_screen.present_screens")


@pytest.fixture
def screens_are(monkeypatch):
    """Lets the program see other screens than there are, and tells it of the change where there is one."""

    def change(*screens, running=None) -> None:
        for name in PRESENT:
            monkeypatch.setattr(name, lambda: list(screens))
        if running is not None:
            running.program.room.screens.watch.changed.emit()

    return change


@pytest.fixture
def new_running(dressed, room_clock, tmp_path):
    """The program in a data folder with the rooms that are remembered, shown but not yet looked at."""
    made = []

    def begin(rooms=()):
        data = tmp_path / "data"
        data.mkdir(exist_ok=True)
        store = SettingsStore(data / "settings.json")
        store.change(rooms=tuple(rooms))
        made.append(Running(data, room_clock))
        return made[-1]

    yield begin
    for running in made:
        running.shut()


def answered(wall="Projector"):
    return remember((), present_screens(), screen_named(wall))


def mirrored():
    laptop = screen_named("Laptop")
    return laptop, replace(laptop, name="Projector")


def show(running, *, settled: bool = True):
    running.program.show()
    settle()
    if settled:
        settle_screens(running)
    return running


def settle_screens(running) -> None:
    running.program.room.screens.watch.settle_now()
    settle()


def press(running, name: str) -> None:
    QTest.qWait(60)  # a Return that follows the last one within some milliseconds is a key held down
    QTest.keyClick(running.window.windowHandle(), code_of(name))
    settle()


def hold_return(window, kinds: str = "dudu", at_ms: int = 1000, *, marked: bool = False) -> None:
    """Hold it down as X11 tells it, mostly with no repeat marked: up and down of one moment.

    ``window`` has it.
    """
    for kind in kinds:
        down = kind == "d"
        at_ms += 0 if down else 660
        event_kind = QEvent.Type.KeyPress if down else QEvent.Type.KeyRelease
        event = QKeyEvent(event_kind, Qt.Key.Key_Return, Qt.KeyboardModifier.NoModifier, "", marked)
        event.setTimestamp(at_ms)
        QApplication.sendEvent(window.focusWidget(), event)
        settle()


@pytest.fixture
def never_let_go(monkeypatch):
    """However long a busy machine takes between two events: a key that is held is held."""
    monkeypatch.setattr("pacer.qt.kit.held_keys.STILL_DOWN_MS", 600_000)


def said(running) -> str:
    curtain = running.window.curtain
    return curtain.accessibleDescription() if curtain is not None and curtain.isVisible() else ""


# At the start.


def test_alone_on_a_laptop_today_is_the_first_thing_seen(new_running, screens_are, monkeypatch):
    monkeypatch.setattr("pacer.qt.app.WARM_UP_MS", 3_600_000)  # a busy machine shows late
    screens_are(screen_named("Laptop"))
    running = show(new_running(), settled=False)
    assert running.today.isVisible()
    assert running.program._room is None, "and nothing is made for it that takes time"
    assert running.window.focusWidget() is running.today.start_button


@pytest.mark.parametrize("rooms", [True, False])
def test_at_the_start_nothing_private_is_painted_before_it_is_known_where_the_window_is(new_running, rooms):
    running = new_running(answered() if rooms else ())
    paints = Paints(running.today)
    show(running, settled=False)
    assert said(running) == curtain_words("looking")
    press(running, "Return")  # a key that was pressed before anything was seen
    assert paints.regions == []
    settle_screens(running)
    assert running.today.isVisible() == rooms
    assert bool(paints.regions) == rooms


def test_at_the_start_a_curtain_alone_comes_first_and_the_room_that_it_waits_for_once_it_is_painted(
    new_running, monkeypatch
):
    monkeypatch.setattr("pacer.qt.app.WARM_UP_MS", 3_600_000)  # a busy machine shows late
    running = new_running(answered())
    running.program.show()
    curtain = running.window.curtain
    assert running.program._room is None
    assert curtain.accessibleDescription() == curtain_words("looking")
    settle()
    room = running.program._room
    assert room.curtain is curtain
    assert said(running) == curtain_words("looking"), "where the window stands is told by and by"
    assert not room.screens.now.settled
    settle_screens(running)
    assert running.today.isVisible()
    running.window.move(screen_named("Projector").rect.topLeft() + QPoint(40, 40))
    settle()
    assert said(running) == curtain_words("pages class"), "the room follows the window"


@pytest.mark.parametrize("marked", [True, False])
def test_a_return_that_is_down_since_before_the_start_does_not_lift_its_curtain(
    never_let_go, new_running, marked
):
    running = show(new_running())
    assert said(running) == curtain_words("pages unknown")
    hold_return(running.window, "ududud", marked=marked)
    assert said(running) == curtain_words("pages unknown")
    hold_return(running.window, "u", at_ms=9000)
    press(running, "Return")
    assert running.today.isVisible()


def test_screens_that_change_before_there_is_a_room_cover_the_pages_at_once(
    new_running, screens_are, monkeypatch
):
    monkeypatch.setattr("pacer.qt.app.WARM_UP_MS", 3_600_000)  # a busy machine shows late
    screens_are(screen_named("Laptop"))
    running = show(new_running(answered()), settled=False)
    assert running.program._room is None
    assert running.today.isVisible()
    screens_are(*mirrored())
    application().primaryScreenChanged.emit(QGuiApplication.primaryScreen())
    paints = Paints(running.today)
    assert said(running) == curtain_words("looking")
    settle()
    settle_screens(running)
    assert said(running) == curtain_words("pages mirrored")
    assert paints.regions == []


def test_a_dialog_that_came_before_the_room_is_covered_with_the_pages(new_running, screens_are, monkeypatch):
    monkeypatch.setattr("pacer.qt.app.WARM_UP_MS", 3_600_000)  # a busy machine shows late
    screens_are(screen_named("Laptop"))
    running = show(new_running(answered()), settled=False)
    seen = []

    def look(dialog) -> None:
        assert running.program._room is None
        screens_are(*mirrored())
        application().primaryScreenChanged.emit(QGuiApplication.primaryScreen())
        seen.append([cover.accessibleDescription() for cover in covers(dialog)])

    opened(running, lambda: DIALOGS["kinds"](running), look)
    assert seen == [[curtain_words("looking")]]


def test_screens_that_change_before_there_is_a_room_leave_one_curtain(new_running, screens_are, monkeypatch):
    monkeypatch.setattr("pacer.qt.app.WARM_UP_MS", 3_600_000)  # a busy machine shows late
    running = new_running(answered())
    running.program.show()
    curtain = running.window.curtain
    screens_are(screen_named("Laptop"))
    application().primaryScreenChanged.emit(QGuiApplication.primaryScreen())
    assert said(running) == curtain_words("looking")
    settle()
    settle_screens(running)
    assert running.program.room.curtain is running.window.curtain is curtain
    assert running.today.isVisible()


@pytest.mark.slow
@pytest.mark.parametrize(
    ("screens", "rooms", "words"),
    [
        (mirrored, (), "pages mirrored"),
        (mirrored, answered, "pages mirrored"),
        (lambda: [screen_named("Laptop")], lambda: answered("Laptop"), "pages class"),
        (lambda: [replace(screen_named("Laptop"), name="Elsewhere")], answered, "pages unknown"),
        (present_screens, (), "pages unknown"),
        (present_screens, lambda: answered("Laptop"), "pages class"),
    ],
    ids=["mirrored", "mirrored, known", "projector only", "unknown only", "never asked", "the class's"],
)  # fmt: skip
def test_where_the_class_may_look_today_waits_for_enter(new_running, screens_are, screens, rooms, words):
    screens_are(*screens())
    running = new_running(rooms() if callable(rooms) else rooms)
    paints = Paints(running.today)
    show(running)
    assert said(running) == curtain_words(words)
    assert paints.regions == []
    for name in ("Space", "S", "Tab", "Escape", "Down"):
        press(running, name)
    assert paints.regions == []
    press(running, "Return")
    assert running.today.isVisible()
    assert running.window.focusWidget() is running.today.start_button


def test_what_is_asked_first_hides_today_and_says_nothing_of_the_lesson(
    new_running, screens_are, monkeypatch, invented
):
    laptop = screen_named("Laptop")
    screens_are(laptop)
    running = show(new_running())
    seen = []

    def ask(_parent) -> OneScreen:
        settle()
        words = [label.text() for label in running.window.findChildren(QLabel) if label.isVisible()]
        seen.append((running.today.isVisible(), words))
        return OneScreen.CANCEL

    monkeypatch.setattr(OneScreenQuestion, "ask", staticmethod(ask))
    click(running.today.start_button)
    assert seen == [(False, [curtain_words("question")])]
    assert running.today.isVisible()
    assert running.window.focusWidget() is running.today.start_button


# While the pages are shown.


def test_a_change_of_screens_covers_the_pages_and_shows_them_again_where_nobody_looks(
    new_running, screens_are
):
    running = show(new_running(answered()))
    field = running.today.choices.talk_limit
    field.setFocus()
    had = running.window.focusWidget()
    paints = Paints(running.today)
    screens_are(*present_screens(), running=running)
    assert said(running) == curtain_words("looking")
    settle_screens(running)
    assert running.today.isVisible()
    assert running.window.focusWidget() is had
    paints.regions.clear()
    screens_are(*mirrored(), running=running)
    settle_screens(running)
    assert said(running) == curtain_words("pages mirrored")
    assert paints.regions == []


@pytest.mark.slow
@pytest.mark.parametrize("page", ["today", "week", "outline", "split", "look back", "room"])
def test_every_page_is_covered_once_the_window_is_where_the_class_looks(new_running, page):
    running = show(new_running(answered()))
    running.window.names[page].click()
    settle()
    shown = running.window.pages.currentWidget()
    assert shown.isVisible()
    home = running.window.pos()
    running.window.showNormal()
    running.window.move(screen_named("Projector").rect.topLeft() + QPoint(40, 40))
    settle()
    assert said(running) == curtain_words("pages class")
    assert not shown.isVisible()
    press(running, "Return")
    assert shown.isVisible()
    running.window.move(home)
    settle()
    assert shown.isVisible()
    running.window.move(screen_named("Projector").rect.topLeft() + QPoint(40, 40))
    settle()
    assert not shown.isVisible()


def test_after_a_lesson_look_back_waits_where_the_lid_was_closed(new_running, screens_are, invented):
    running = show(new_running(answered("Laptop")))
    press(running, "Return")
    running.program.start_now(invented)
    settle()
    laptop = screen_named("Laptop")
    screens_are(laptop, running=running)  # what is left is the class's screen
    settle_screens(running)
    running.tap("Home")
    press(running, "Return")  # is refused: children see this
    running.program.room.leave()
    settle()
    assert said(running) == curtain_words("pages class")
    assert not running.program.pages.look_back.isVisible()
    press(running, "Return")
    assert running.program.pages.look_back.isVisible()


# Dialogs.


def opened(running, ask, look) -> None:
    """Open a dialog, look at it while it is open, and close it whatever was seen."""
    faults = []

    def begin() -> None:
        dialog = QApplication.activeModalWidget()
        try:
            look(dialog)
        except AssertionError as fault:
            faults.append(fault)
        finally:
            dialog.reject()

    QTimer.singleShot(0, begin)
    ask()
    settle()
    if faults:
        raise faults[0]


def file_chooser(running) -> None:
    box = QFileDialog(running.window, "Outline")
    box.setOption(QFileDialog.Option.DontUseNativeDialog)
    box.exec()
    box.deleteLater()


DIALOGS = {
    "day shapes": lambda running: running.today._on_shapes(),
    "kinds": lambda running: KindsDialog.ask({"review": KindChange()}, running.window),
    "week": lambda running: WeekDialog.ask(running.where.outlines, lambda _outline: {}, running.window),
    "a file": file_chooser,
}


def covers(dialog) -> list[Cover]:
    return [cover for cover in dialog.findChildren(Cover) if cover.isVisible()]


@pytest.mark.parametrize("ask", DIALOGS)
def test_a_dialog_is_covered_with_the_pages_and_enter_shows_both(new_running, screens_are, ask):
    running = show(new_running(answered()))
    seen = []

    def look(dialog) -> None:
        settle()
        assert covers(dialog) == []
        had = dialog.focusWidget()
        screens_are(*mirrored(), running=running)
        (cover,) = covers(dialog)
        assert cover.geometry() == dialog.rect()
        assert cover is dialog.children()[-1], "nothing lies above it"
        settle_screens(running)
        assert said(running) == curtain_words("pages mirrored")
        assert cover.accessibleDescription() == said(running)
        dialog.resize(dialog.width() + 40, dialog.height() + 40)
        settle()
        assert cover.geometry() == dialog.rect()
        for name in ("Tab", "Space", "A"):
            QTest.keyClick(dialog.windowHandle(), code_of(name))
        assert dialog.focusWidget() is cover
        QTest.keyClick(dialog.windowHandle(), code_of("Return"))
        settle()
        assert covers(dialog) == []
        assert dialog.isVisible()
        assert running.today.isVisible()
        assert dialog.focusWidget() is had
        seen.append(True)

    opened(running, lambda: DIALOGS[ask](running), look)
    assert seen == [True]
    assert running.program.room.screens.dialogs.open == []


def test_while_a_dialog_is_covered_its_title_names_no_lesson(new_running, screens_are):
    running = show(new_running(answered()))

    def ask() -> None:
        dialog = QDialog(running.window)
        dialog.setWindowTitle("A lesson for Tuesday 1 December")
        dialog.exec()
        dialog.deleteLater()

    def look(dialog) -> None:
        screens_are(*mirrored(), running=running)
        settle_screens(running)
        assert dialog.windowTitle() == "Pacer"
        QTest.keyClick(dialog.windowHandle(), code_of("Return"))
        settle()
        assert dialog.windowTitle() == "A lesson for Tuesday 1 December"

    opened(running, ask, look)


@pytest.mark.parametrize("size", [(420, 230), (300, 200), (1300, 700)])
def test_all_that_a_cover_says_is_seen_over_a_dialog_of_any_size(new_running, screens_are, size):
    running = show(new_running(answered()))
    seen = []

    def small() -> None:
        dialog = QDialog(running.window)
        dialog.resize(*size)
        dialog.exec()
        dialog.deleteLater()

    def look(dialog) -> None:
        screens_are(*mirrored(), running=running)
        settle_screens(running)
        (cover,) = covers(dialog)
        words = [one for one in cover.findChildren(QLabel) if one.isVisible()]
        for one in words:
            assert cover.rect().contains(one.geometry())
            assert one.height() >= one.heightForWidth(one.width())
        seen.extend(one.text() for one in words)

    opened(running, small, look)
    assert seen == curtain_words("pages mirrored").split("\n")


def test_an_enter_that_was_down_before_the_cover_came_does_not_lift_it(
    never_let_go, new_running, screens_are
):
    running = show(new_running(answered()))
    seen = []

    def look(dialog) -> None:
        screens_are(*mirrored(), running=running)
        settle_screens(running)
        hold_return(dialog, "udud")
        assert len(covers(dialog)) == 1
        hold_return(dialog, "u", at_ms=3000)
        hold_return(dialog, "d", at_ms=5000)
        seen.append(covers(dialog))

    opened(running, lambda: DIALOGS["kinds"](running), look)
    assert seen == [[]]


def test_a_dialog_alone_on_the_class_s_screen_is_covered(new_running):
    running = show(new_running(answered()))
    seen = []

    def look(dialog) -> None:
        dialog.move(screen_named("Projector").rect.topLeft() + QPoint(100, 100))
        settle()
        assert len(covers(dialog)) == 1
        assert said(running) == curtain_words("pages class")
        dialog.move(screen_named("Laptop").rect.topLeft() + QPoint(100, 100))
        settle()
        assert covers(dialog) == []
        seen.append(running.today.isVisible())

    opened(running, lambda: DIALOGS["kinds"](running), look)
    assert seen == [True]


def test_a_dialog_that_opens_on_the_class_s_screen_is_covered_before_it_is_seen(new_running, monkeypatch):
    running = show(new_running(answered()))
    painted = []

    def look(dialog) -> None:
        painted.append((len(covers(dialog)), dialog.isVisible()))

    class Away(KindsDialog):
        def showEvent(self, event: QEvent) -> None:  # noqa: N802
            self.move(screen_named("Projector").rect.topLeft() + QPoint(100, 100))
            super().showEvent(event)

        def paintEvent(self, event: QEvent) -> None:  # noqa: N802
            painted.append((len(covers(self)), self.isVisible()))
            super().paintEvent(event)

    opened(running, lambda: (made := Away({}, running.window)).exec() or made.deleteLater(), look)
    assert len(painted) > 1
    assert set(painted) == {(1, True)}


def test_a_menu_that_is_open_closes_with_a_change_of_screens(new_running, screens_are):
    running = show(new_running(answered()))
    menu = QMenu(running.window)
    menu.addAction("Private")
    menu.popup(running.window.pos())
    settle()
    assert menu.isVisible()
    screens_are(*mirrored(), running=running)
    assert not menu.isVisible()
    menu.deleteLater()


def test_a_menu_that_a_pressed_button_opens_late_never_stays_above_the_curtain(new_running, screens_are):
    running = show(new_running(answered()))
    running.window.names["library"].click()
    settle()
    more = QPushButton("More", running.window.pages.currentWidget())
    menu, shown = QMenu(more), []
    menu.addAction("Private")
    menu.aboutToShow.connect(lambda: shown.append(running.window.curtain.isVisible()))
    more.clicked.connect(lambda: menu.popup(running.window.pos()))
    more.show()
    more.animateClick()  # as its key does: it counts only 100 ms later
    screens_are(*mirrored(), running=running)
    settle_screens(running)
    end = time.monotonic() + 60
    while not shown and time.monotonic() < end:
        QTest.qWait(10)
    assert shown == [True], "it opens above the curtain"
    settle()
    assert not menu.isVisible()
    assert running.window.curtain.isVisible()


def test_a_chooser_that_the_system_paints_is_closed(new_running, screens_are):
    running = show(new_running(answered()))
    box = QFileDialog(running.window, "Outline")
    box.setAttribute(Qt.WidgetAttribute.WA_DontShowOnScreen)  # as Qt does for one of the system's own
    closed = []

    def look(dialog) -> None:
        screens_are(*mirrored(), running=running)
        closed.append(not dialog.isVisible())

    opened(running, box.exec, look)
    assert closed == [True]
    box.deleteLater()


def test_every_dialog_of_the_program_is_modal_and_every_box_is_a_question():
    """What isn't modal would not be heard of before it is seen; the only boxes are fit for the class."""
    sources = {path: path.read_text(encoding="utf-8") for path in Path(pacer.qt.__path__[0]).rglob("*.py")}
    boxes = {
        path.name for path, text in sources.items() if "QMessageBox(" in text or "QMessageBox.ask" in text
    }
    assert boxes == {"questions.py"}
    dialogs = {path.name: text for path, text in sources.items() if "(QDialog)" in text}
    assert len(dialogs) == 6
    for name, text in dialogs.items():
        assert ".exec()" in text, name
        assert not re.search(r"setModal\(False|NonModal|dialog\.show\(|made\.show\(", text), name
    assert {path.name for path, text in sources.items() if "QFileDialog(" in text} == set()


def test_the_enter_that_lifts_the_curtain_is_no_press_of_what_lies_below(
    never_let_go, new_running, screens_are
):
    screens_are(*mirrored())
    running, started = show(new_running(answered())), []
    running.today.start_asked.disconnect()
    running.today.start_asked.connect(started.append)
    hold_return(running.window)
    assert running.window.focusWidget() is running.today.start_button
    assert started == []
