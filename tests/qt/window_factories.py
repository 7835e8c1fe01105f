"""What the window tests share: a keyboard with a clock of its own, and a lesson in its windows."""

from collections.abc import Sequence
from dataclasses import fields
from datetime import datetime
from pathlib import Path

from PySide6.QtCore import QCoreApplication, QEvent, QObject, Qt, QTimer
from PySide6.QtGui import QGuiApplication, QKeyEvent, QRegion
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QWidget

from pacer.frames.wall import WallFrame
from pacer.pace.reading import Foresee
from pacer.plan.outline import Outline
from pacer.qt.app import Program
from pacer.qt.lesson.keys import KeyReader
from pacer.qt.lesson.lesson import Lesson
from pacer.qt.lesson.room import Room
from pacer.qt.screens.present import ScreenInfo, present_screens
from pacer.qt.screens.private_window import MainWindow
from pacer.run.clock import ManualClock
from pacer.run.events import Event
from pacer.run.session import JournalError, MemoryJournal, Session
from pacer.settings.folders import folders
from pacer.settings.model import Settings
from pacer.settings.store import SettingsStore, save_settings


def kinds_of(events) -> list[str]:
    """What happened, but for seconds that a busy machine showed late: they are noted, too."""
    return [event.body.kind for event in events if event.body.kind != "stalled"]


def room_time_ms(time: str) -> int:
    """UTC milliseconds of a time on the classroom's clock (``9:07``, ``9:07:30``) on an invented Monday."""
    hours, minutes, *seconds = (int(part) for part in time.split(":"))
    return round(datetime(2026, 3, 9, hours, minutes, *seconds).timestamp() * 1000)


def settle() -> None:
    """Let Qt deliver what is waiting, and delete what is to be deleted."""
    QApplication.processEvents()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)
    QApplication.processEvents()


def change_screens() -> None:
    """Tell that the screens changed, as Qt does, though they are as before."""
    QGuiApplication.instance().primaryScreenChanged.emit(QGuiApplication.primaryScreen())


def timer_of(owner: QObject) -> QTimer:
    """The one timer that a part of a window has."""
    (found,) = owner.findChildren(QTimer, options=Qt.FindChildOption.FindDirectChildrenOnly)
    return found


NO_MODIFIER = Qt.KeyboardModifier.NoModifier


def code_of(name: str) -> Qt.Key | int:
    """Qt's number of a key, by its name or by the character that it types."""
    plain = name.removeprefix("Ctrl+")
    known = getattr(Qt.Key, f"Key_{plain}", None)
    return ord(plain.upper()) if known is None else known


def modifiers_of(name: str) -> Qt.KeyboardModifier:
    return Qt.KeyboardModifier.ControlModifier if name.startswith("Ctrl+") else NO_MODIFIER


class Keyboard:
    """Presses keys on a widget. It stands in for the clock of the keys' reader, so nobody has to wait."""

    def __init__(self, target: QWidget, reader: KeyReader) -> None:
        self.target = target
        self.reader = reader
        self.at_ms = 0
        reader.clock = self

    def elapsed(self) -> int:
        """What the reader asks its clock for."""
        return self.at_ms

    def tap(self, name: str, *, after_ms: int = 1000, down_ms: int = 80,
            modifiers: Qt.KeyboardModifier = NO_MODIFIER, scan_code: int = 0) -> None:  # fmt: skip
        """Press and let go of a key (``Ctrl+Z``, too), so long after the last one, held down so long."""
        self.at_ms += after_ms
        self.send(QEvent.Type.KeyPress, name, modifiers, scan_code=scan_code)
        self.at_ms += down_ms
        self.send(QEvent.Type.KeyRelease, name, modifiers, scan_code=scan_code)
        self.reader.settle()

    def send(self, kind: QEvent.Type, name: str, modifiers: Qt.KeyboardModifier = NO_MODIFIER,
             *, repeat: bool = False, at_ms: int = 0, scan_code: int = 0) -> None:  # fmt: skip
        """Send one key event as the keyboard would, perhaps with a time of its own and the key's place.

        ``name`` is Qt's, or what the layout types.
        """
        code, held = code_of(name), modifiers | modifiers_of(name)
        event = QKeyEvent(kind, code, held, scan_code, 0, 0, "", repeat)
        event.setTimestamp(at_ms)
        QApplication.sendEvent(self.target, event)

    def repeat(self, name: str, times: int = 20, every_ms: int = 500) -> None:
        """What a key that is held down sends on its own, slower than the guard against double presses."""
        for _time in range(times):
            self.at_ms += every_ms
            self.send(QEvent.Type.KeyRelease, name, repeat=True)
            self.send(QEvent.Type.KeyPress, name, repeat=True)


class FailingJournal(MemoryJournal):
    """A disk that can be full."""

    def __init__(self, reason: str = "The disk is full.") -> None:
        super().__init__()
        self.reason = reason

    def append(self, events: Sequence[Event]) -> None:
        """Fail while there is a reason to."""
        if self.reason:
            raise JournalError(self.reason)
        super().append(events)


class NotedSettings(SettingsStore):
    """Settings in a file of their own that note each change."""

    def __init__(self, path: Path, settings: Settings) -> None:
        save_settings(path, settings)
        super().__init__(path)
        self.changes: list[dict[str, object]] = []

    def change(self, **values: object) -> None:
        self.changes.append(values)
        super().change(**values)


class Paints(QObject):
    """Watches a widget and keeps the regions it is asked to paint."""

    def __init__(self, watched: QWidget) -> None:
        super().__init__()
        self.regions: list[QRegion] = []
        watched.installEventFilter(self)

    def eventFilter(self, _watched: QObject, event: QEvent) -> bool:  # noqa: N802
        if event.type() == QEvent.Type.Paint:
            self.regions.append(QRegion(event.region()))
        return False


class Stage:
    """The windows of one lesson without the pages around them, on two pretended screens."""

    def __init__(self, outline: Outline, *, journal: MemoryJournal | None = None,
                 settings: Settings | None = None, foresee: Foresee | None = None) -> None:  # fmt: skip
        self.outline = outline
        self.clock = ManualClock(room_time_ms("9:00"))
        self.journal = journal or MemoryJournal()
        self.window = MainWindow(QWidget(), demo=False)
        self.room = Room(self.window)
        self.keyboard = Keyboard(self.room.desk, self.room.keys.reader)
        self.session = Session(self.clock, self.journal)
        self.lesson = Lesson(
            self.session, outline, self.clock, settings or Settings(), foresee=foresee, parent=self.room
        )
        self.wall_frames: list[object] = []
        self.lesson.wall_changed.connect(self._on_wall)
        self.refusals: list[str] = []
        self.lesson.refused.connect(self.refusals.append)
        self.window.showMaximized()
        settle()
        self.room.screens.lift()  # which of two screens the class sees was never answered

    def _on_wall(self, frame: object) -> None:
        self.wall_frames.append(frame)

    def enter(self) -> bool:
        entered = self.room.enter(self.lesson)
        settle()
        return entered

    def start(self) -> "Stage":
        assert self.enter()
        self.lesson.start()
        settle()
        return self

    def tap(self, name: str, **how) -> "Stage":
        """Tap a key a second after the last, in the room's time as well.

        The lesson looks at its clock as at any second: the real ticker comes in between on a slow machine
        alone, and would then find time that nobody saw.
        """
        self.clock.advance(how.get("after_ms", 1000))
        self.session.tick()
        self.keyboard.tap(name, **how)
        settle()
        return self

    def wait(self, seconds: float) -> "Stage":
        """Let time pass, with a look at every second."""
        for _second in range(int(seconds)):
            self.clock.advance(1000)
            self.lesson.refresh()
        settle()
        return self

    @property
    def desk(self):
        return self.room.desk

    @property
    def wall(self):
        return self.room.wall

    @property
    def last(self):
        """The body of the last event that somebody pressed."""
        return [event.body for event in self.session.events if event.body.kind not in ("cued", "stalled")][-1]

    @property
    def kinds(self) -> list[str]:
        return kinds_of(self.session.events)

    def shut(self) -> None:
        """Close everything as the program does, then take it apart."""
        self.room.shut()
        take_apart(self.window, self.room)


def take_apart(window: QWidget, room: Room | None, *more: QObject) -> None:
    """Delete the windows now; a test must leave nothing behind."""
    window.close()
    if room is not None:
        for widget in (room.wall.full, room.wall.strip):
            widget.deleteLater()
        room.deleteLater()
    for thing in (window, *more):
        thing.deleteLater()
    settle()


class Running:
    """The whole program in a data folder, on a clock moved by hand."""

    def __init__(self, data: Path, clock: ManualClock) -> None:
        self.clock = clock
        self.where = folders(data)
        self.program = Program(self.where)
        self.today = self.program.today
        self.window = self.program.window
        self.keyboard: Keyboard | None = None

    def show(self) -> "Running":
        """Show the window, and lift the curtain that waits where there are two screens nobody told of."""
        self.program.show()
        settle()
        screens = self.program.room.screens
        screens.watch.settle_now()
        screens.lift()
        settle()
        return self

    def tap(self, name: str) -> "Running":
        """Tap a key on the Desk."""
        if self.keyboard is None:
            self.keyboard = Keyboard(self.program.room.desk, self.program.room.keys.reader)
        self.clock.advance(1000)
        if self.program.room.lesson is not None:
            self.program.room.lesson.session.tick()  # as on the stage
        self.keyboard.tap(name)
        settle()
        return self

    def wait(self, seconds: int) -> "Running":
        lesson = self.program.room.lesson
        for _second in range(seconds):
            self.clock.advance(1000)
            lesson.refresh()
        settle()
        return self

    def choose(self, text: str) -> "Running":
        """Choose the entry of Today that begins with a text."""
        rows = [self.today.list.item(row) for row in range(self.today.list.count())]
        self.today.list.setCurrentItem(next(row for row in rows if row.text().startswith(text)))
        return self

    def shut(self) -> None:
        self.program.shut()
        room = self.program._room
        take_apart(self.window, room, self.program)


def wall_words(*walls: object) -> str:
    """Every word that frames of the Wall hold."""
    found = []
    for frame in walls:
        assert type(frame) is WallFrame
        found += [str(getattr(frame, field.name)) for field in fields(frame)]
    return "\n".join(found)


def names_of(widget: QWidget) -> str:
    """All that a screen reader or a task bar could say of a widget."""
    return "\n".join(
        (widget.accessibleName(), widget.accessibleDescription(), widget.windowTitle(), widget.toolTip())
    )


def screen_named(name: str) -> ScreenInfo:
    return next(screen for screen in present_screens() if screen.name == name)


def live_screen(name: str):
    return next(screen for screen in QGuiApplication.screens() if screen.name() == name)


def click(widget: QWidget) -> None:
    QTest.mouseClick(widget, Qt.MouseButton.LeftButton)
    settle()
