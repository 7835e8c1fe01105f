"""Starts the program, owns its windows, and carries a lesson from Today to the day record."""

import shutil
import signal
import sys
import tempfile
import time
import traceback
from collections.abc import Sequence
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING

from PySide6.QtCore import QLockFile, QObject, QTimer
from PySide6.QtGui import QCloseEvent
from PySide6.QtWidgets import QApplication

from pacer.frames.wording import ago_words, clock_words
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.plan.outline import Outline
from pacer.qt.main_window import MainWindow
from pacer.qt.style import dress
from pacer.qt.today_page import TodayPage
from pacer.run.clock import ManualClock, SystemClock
from pacer.run.events import Event, Mode
from pacer.run.fold import fold
from pacer.run.session import Journal, JournalError, Session
from pacer.settings.folders import Folders, folders
from pacer.settings.model import Settings
from pacer.settings.screen_choice import KnownRoom
from pacer.settings.store import SettingsError, load_settings, save_settings
from pacer.text import _

if TYPE_CHECKING:
    from pacer.qt.lesson import Lesson
    from pacer.qt.room import Room
    from pacer.watch import Foresee

WARM_UP_MS = 150


class Program(QObject):
    """The running program: settings, day records, the private window and the room."""

    def __init__(self, where: Folders, *, demo: bool = False) -> None:
        super().__init__()
        self._where = where
        self._demo = demo
        self._clock = SystemClock()
        self.settings, notice = load_settings(where.settings_file)
        self.records, log_notice = _open_records(where)
        self._unkept = log_notice
        self.today = TodayPage(where.outlines, self.settings)
        self.window = MainWindow(self.today, demo=demo)
        self._room: Room | None = None
        self._look_back: QObject | None = None
        self._connect()
        self.today.show_notice("\n".join(text for text in (notice, log_notice) if text))
        self._offer_resume()

    def _connect(self) -> None:
        self.today.start_asked.connect(self.start_now)
        self.today.ready_asked.connect(self.get_ready)
        self.today.resume_asked.connect(self.resume)
        self.today.close_asked.connect(self.close_unfinished)
        self.today.settings_changed.connect(self._keep_settings)
        self.window.look_back_asked.connect(self.show_look_back)
        self.window.closing.connect(self._on_closing)

    def show(self) -> None:
        """Show the private window, as large as its screen; then make ready what a lesson needs."""
        self.window.showMaximized()
        self.today.focus_first()
        QTimer.singleShot(WARM_UP_MS, self, self._warm_up)

    @property
    def room(self) -> "Room":
        """The windows of a lesson, imported and made when first wanted."""
        if self._room is None:
            from pacer.qt.room import Room

            self._room = Room(self.window, self)
            self._room.rooms = self.settings.rooms
            self._room.rooms_changed.connect(self._keep_rooms)
            self._room.left.connect(self.show_look_back)
        return self._room

    def _warm_up(self) -> None:
        """Make the room before it is wanted, so that Start is not the press that waits."""
        if self._room is None and self.window.isVisible():
            self.room.wall.hide()

    def get_ready(self, outline: Outline) -> "Lesson | None":
        """Put the title on the Wall; the lesson starts at a key."""
        from pacer.qt.lesson import Lesson

        # Naive local times: a plan names clock times of this room.
        now = datetime.now()
        planned = self.today.planned_start(outline, now)
        session = Session(self._clock, self._journal())
        lesson = Lesson(
            session,
            outline,
            self._clock,
            self.settings,
            planned_utc_ms=None if planned == now else round(planned.timestamp() * 1000),
            utc_offset_s=_utc_offset_s(),
            mode="demo" if self._demo else "live",
            foresee=self._foresee(),
            parent=self,
        )
        return lesson if self.room.enter(lesson) else None

    def start_now(self, outline: Outline) -> None:
        """Open a lesson and start it at once."""
        lesson = self.get_ready(outline)
        if lesson is not None:
            lesson.start()

    def resume(self) -> None:
        """Go on with the lesson that was cut off; the time away counts."""
        from pacer.qt.lesson import Lesson

        unfinished = self._unfinished()
        if unfinished is None or self.records is None:
            return
        run_id, events = unfinished
        session = Session(self._clock, self.records.journal_of(run_id), events)
        state = session.state
        lesson = Lesson(
            session, state.plan, self._clock, self.settings,
            utc_offset_s=state.utc_offset_s, foresee=self._foresee([run_id]), parent=self,
        )  # fmt: skip
        if self.room.enter(lesson):
            self.today.offer_resume("")

    def close_unfinished(self) -> None:
        """End the lesson that was cut off at the last thing that is known of it."""
        unfinished = self._unfinished()
        if unfinished is not None and self.records is not None:
            run_id, events = unfinished
            # The clock stands at the last event, so nothing after it is claimed.
            clock = ManualClock(events[-1].utc_ms)
            Session(clock, self.records.journal_of(run_id), events).do("end", "interrupted")
        self._offer_resume()

    def show_look_back(self) -> None:
        """Show the day records; the page is imported and made when first wanted."""
        from pacer.qt.look_back_page import LookBackPage

        if not isinstance(self._look_back, LookBackPage):
            self._look_back = LookBackPage(self.records)
        else:
            self._look_back.reload()
        self.window.show_look_back(self._look_back)

    def shut(self) -> None:
        """Close what is open. A lesson under way can be gone on with at the next start."""
        if self._room is not None:
            self._room.shut()
        if self.records is not None:
            self.records.close()
            self.records = None

    def _on_closing(self, event: QCloseEvent) -> None:
        if self._room is not None and not self._room.may_stop():
            event.ignore()
            return
        self.shut()

    def complain(self, text: str) -> None:
        """Tell the teacher about a fault of the program, privately."""
        self.today.show_notice(text)
        if self._room is not None and self._room.lesson is not None:
            self._room.tell(text)

    def _foresee(self, without: Sequence[int] = ()) -> "Foresee | None":
        """The forecaster from past lessons; none when they can't be read, for the odds are only an extra."""
        if self.records is None:
            return None
        from pacer.foresee import forecaster
        from pacer.review.durations import history

        try:
            modes: tuple[Mode, ...] = ("demo",) if self._demo else ("live",)
            return forecaster(history(self.records, modes, without).endings)
        except LogError:
            return None

    def _journal(self) -> Journal:
        if self.records is None or not self.records.can_write:
            return UnkeptJournal(self._unkept)
        return self.records.journal()

    def _unfinished(self) -> tuple[int, list[Event]] | None:
        """The lesson that was cut off: its run number and events."""
        if self.records is None or not self.records.can_write:
            return None
        try:
            runs = self.records.unfinished()
            return (runs[0].id, self.records.events(runs[0].id)) if runs else None
        except LogError as error:
            self.today.show_notice(str(error))
            return None

    def _offer_resume(self) -> None:
        unfinished = self._unfinished()
        if unfinished is None:
            self.today.offer_resume("")
            return
        _run_id, events = unfinished
        state = fold(events)
        away = max(0, self._clock.now().utc_ms - events[-1].utc_ms) // 1000
        text = _("“{title}” began at {start} and was cut off {away} ago. The time since then counts.")
        self.today.offer_resume(
            text.format(
                title=state.plan.title,
                start=clock_words(state.utc_ms(0), state.utc_offset_s),
                away=ago_words(away),
            )
        )

    def _keep_rooms(self, rooms: tuple[KnownRoom, ...]) -> None:
        """Remember which screen the class sees."""
        self._save_settings(self.settings.model_copy(update={"rooms": rooms}))

    def _keep_settings(self, settings: Settings) -> None:
        # A page's copy of the settings may be older than the last answer about the screens.
        self._save_settings(settings.model_copy(update={"rooms": self.settings.rooms}))

    def _save_settings(self, settings: Settings) -> None:
        self.settings = settings
        try:
            save_settings(self._where.settings_file, settings)
        except SettingsError as error:
            self.today.show_notice(str(error))


def _open_records(where: Folders) -> tuple[DayRecords | None, str]:
    try:
        records = DayRecords.open(where.data)
    except LogError as error:
        return None, _("{reason} Lessons run, but are not recorded.").format(reason=error)
    return records, records.notice


def _utc_offset_s() -> int:
    offset = datetime.now().astimezone().utcoffset()
    return 0 if offset is None else round(offset.total_seconds())


def run_app(data_dir: Path | None, *, demo: bool) -> int:
    """Show the windows until they are closed. Returns the exit code."""
    application = QApplication(sys.argv[:1])
    application.setApplicationName("pacer")
    application.setDesktopFileName("pacer")
    dress(application)
    throw_away = Path(tempfile.mkdtemp(prefix="pacer-demo-data-")) if demo and data_dir is None else None
    where = folders(throw_away or data_dir)
    try:
        return _run(application, where, demo=demo)
    finally:
        if throw_away is not None:
            shutil.rmtree(throw_away, ignore_errors=True)


def _run(application: QApplication, where: Folders, *, demo: bool) -> int:
    try:
        lock = _lock(where)
    except AlreadyOpenError:
        text = _("Pacer is open already with {path}. Close it first; if it is not open, delete {lock} there.")
        print(text.format(path=where.data, lock="pacer.lock"), file=sys.stderr)
        return 2
    if demo:
        from pacer.verbs.headless_demo import fill_demo_folder

        try:
            fill_demo_folder(where.data).close()
        except (LogError, JournalError, OSError) as error:
            print(_("The demo can't be prepared: {reason}").format(reason=error), file=sys.stderr)
            return 2
    program = Program(where, demo=demo)
    _catch_faults(program, where)
    program.show()
    # Ctrl+C in the terminal closes the window at once; every acknowledged event is on disk.
    signal.signal(signal.SIGINT, signal.SIG_DFL)
    code = application.exec()
    program.shut()
    if lock is not None:
        lock.unlock()
    return code


def _lock(where: Folders) -> QLockFile | None:
    """Hold the data folder, so that one program writes to it; None where that is not possible or needed.

    Raises AlreadyOpenError when another program holds it.
    """
    try:
        where.data.mkdir(parents=True, exist_ok=True)
    except OSError:
        return None
    path = where.data / "pacer.lock"
    lock = QLockFile(str(path))
    lock.setStaleLockTime(0)  # only a lock whose process is gone is stale, however old it is
    if lock.tryLock(0) or (_is_left_over(path) and lock.tryLock(0)):
        return lock
    if lock.error() == QLockFile.LockError.LockFailedError:
        raise AlreadyOpenError
    return None


def _is_left_over(path: Path) -> bool:
    """Whether a lock says nothing, as a power cut leaves it; such a one is taken away."""
    try:
        if path.stat().st_size == 0:
            path.unlink()
            return True
    except OSError:
        pass
    return False


class AlreadyOpenError(Exception):
    """Another Pacer has this data folder."""


class UnkeptJournal:
    """Stands in where day records can't be written: every event waits, and the Desk says why."""

    def __init__(self, reason: str) -> None:
        self._reason = reason

    def append(self, _events: Sequence[Event]) -> None:
        """Refuse, so that the lesson goes on and is told to be unrecorded."""
        raise JournalError(self._reason)


def _catch_faults(program: Program, where: Folders) -> None:
    """A fault of ours goes to a file and, in one plain line, to the teacher; the lesson goes on."""
    path = where.data / "faults.log"

    def hook(kind: type[BaseException], fault: BaseException, trace: TracebackType | None) -> None:
        if issubclass(kind, KeyboardInterrupt):
            QApplication.quit()
            return
        text = "".join(traceback.format_exception(kind, fault, trace))
        try:
            with path.open("a", encoding="utf-8") as file:
                file.write(f"{time.strftime('%Y-%m-%d %H:%M:%S')}\n{text}\n")
        except OSError:
            print(text, file=sys.stderr)
        program.complain(
            _("Something went wrong inside Pacer. It goes on; details are in {path}").format(path=path)
        )

    sys.excepthook = hook
