"""Starts the program, owns its windows, and carries a lesson from Today to the day record."""

import shutil
import sys
import tempfile
import time
import traceback
from datetime import datetime
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING

from PySide6.QtCore import QLockFile, QObject, QTimer
from PySide6.QtWidgets import QApplication

from pacer.frames.wording import clock_words, minutes_words
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.plan.outline import Outline
from pacer.qt.main_window import MainWindow
from pacer.qt.style import dress
from pacer.qt.today_page import TodayPage
from pacer.run.clock import ManualClock, SystemClock
from pacer.run.events import Event
from pacer.run.session import Journal, MemoryJournal, Session
from pacer.run.state import fold
from pacer.settings.folders import Folders, folders
from pacer.settings.model import Settings
from pacer.settings.store import SettingsError, load_settings, save_settings
from pacer.text import _

if TYPE_CHECKING:
    from pacer.qt.lesson import Lesson
    from pacer.qt.room import Room

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
        self.window.closing.connect(self.shut)

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
            self._room.left.connect(self.show_look_back)
        return self._room

    def _warm_up(self) -> None:
        """Make the room before it is wanted, so that Start is not the press that waits."""
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
            session, state.plan, self._clock, self.settings, utc_offset_s=state.utc_offset_s, parent=self
        )
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

    def complain(self, text: str) -> None:
        """Tell the teacher about a fault of the program, privately."""
        self.today.show_notice(text)
        if self._room is not None and self._room.lesson is not None:
            self._room.tell(text)

    def _journal(self) -> Journal:
        if self.records is None or not self.records.can_write:
            return MemoryJournal()
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
                start=clock_words(state.started_utc_ms, state.utc_offset_s),
                away=minutes_words(away if away < 60 else away // 60 * 60),
            )
        )

    def _keep_settings(self, settings: Settings) -> None:
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
    lock = _lock(where)
    if lock is not None and not lock.tryLock(0):
        print(
            _("Pacer is open already with this data folder: {path}").format(path=where.data), file=sys.stderr
        )
        return 2
    if demo:
        from pacer.verbs.headless_demo import fill_demo_folder

        fill_demo_folder(where.data).close()
    program = Program(where, demo=demo)
    _catch_faults(program, where)
    program.show()
    code = application.exec()
    program.shut()
    return code


def _lock(where: Folders) -> QLockFile | None:
    """One program a data folder; a folder that can't be written needs no lock."""
    try:
        where.data.mkdir(parents=True, exist_ok=True)
    except OSError:
        return None
    lock = QLockFile(str(where.data / "pacer.lock"))
    lock.setStaleLockTime(0)  # only a lock whose process is gone is stale, however old it is
    if not lock.tryLock(0) and lock.error() == QLockFile.LockError.PermissionError:
        return None
    lock.unlock()
    return lock


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
