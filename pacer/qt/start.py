"""Starts the program: one data folder for one program, a demo that keeps nothing, and faults in a file."""

import shutil
import signal
import sys
import traceback
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import PySide6
from PySide6.QtCore import QLockFile, QMessageLogContext, QtMsgType, qInstallMessageHandler, qVersion
from PySide6.QtWidgets import QApplication

from pacer.fault_log import FaultLog
from pacer.log.database import LogError
from pacer.owner_only import closed_umask, make_folder
from pacer.qt.app import Program
from pacer.qt.kit.collecting import collecting
from pacer.qt.kit.style import STYLE, dress
from pacer.qt.note_window import tell
from pacer.qt.screens.present import present_screens
from pacer.qt.screens.watch import ScreenWatch
from pacer.run.clock import SystemClock
from pacer.settings.folders import Folders, close_to_others, folders
from pacer.text import _
from pacer.verbs.console import complain


def run_app(data_dir: Path | None, *, demo: bool) -> int:
    """Show the windows until they are closed. Returns the exit code."""
    application = QApplication([*sys.argv[:1], "-style", STYLE])
    application.setApplicationName("pacer")
    application.setDesktopFileName("pacer")
    throw_away: Path | None = None
    try:
        dress(application)
        if demo and data_dir is None:
            import tempfile

            throw_away = Path(tempfile.mkdtemp(prefix="pacer-demo-data-"))
        where = folders(throw_away or data_dir)
    except Exception as fault:
        tell(application, _no_window_words(fault, data_dir))
        return 2
    try:
        return _run(application, where, demo=demo)
    finally:
        if throw_away is not None:
            shutil.rmtree(throw_away, ignore_errors=True)


def _run(application: QApplication, where: Folders, *, demo: bool) -> int:
    """Open the program in its folder. What goes wrong before its window is there is told in a small one."""
    try:
        lock = _lock(where)
    except AlreadyOpenError:
        text = _(
            "Pacer is open already with {path}. Look for its window behind the others. "
            "If there is none, delete {lock} in that folder and start Pacer again."
        )
        tell(application, text.format(path=where.data, lock="pacer.lock"))
        return 2
    if demo:
        from pacer.run.session import JournalError
        from pacer.verbs.headless_demo import fill_demo_folder

        try:
            fill_demo_folder(where.data, SystemClock()).close()
        except (LogError, JournalError, OSError) as error:
            tell(application, _("The demo can't be prepared: {reason}").format(reason=error))
            return 2
    code = _show(application, where, demo=demo)
    if lock is not None:
        lock.unlock()
    return code


def _show(application: QApplication, where: Folders, *, demo: bool) -> int:
    """Run the program until its windows are closed. A fault of ours is noted and told; the lesson goes on."""
    log, program = FaultLog(where.data), None

    def complain(fault: BaseException) -> None:
        if isinstance(fault, KeyboardInterrupt):
            QApplication.quit()
            return
        if not log.is_open:
            traceback.print_exception(fault)
        if program is not None:
            words = _("Something went wrong inside Pacer. It goes on; details are in {path}")
            program.complain(words.format(path=log.path))

    def note_screens() -> None:
        log.screens([(*screen.rect.size().toTuple(), screen.ratio) for screen in present_screens()])

    with log.running({"Qt": qVersion(), "PySide6": PySide6.__version__}, complain), _qt_noted(log):
        try:
            program = Program(where, demo=demo)
            program.warm.connect(collecting().settle)
            screens = ScreenWatch(program)
            screens.changed.connect(note_screens)
            note_screens()
            program.show()
        except Exception as fault:  # who starts Pacer by its icon would see nothing at all
            log.fault(fault)
            tell(application, _no_window_words(fault, where.data, log))
            return 2
        # Ctrl+C in the terminal closes the window at once; every acknowledged event is on disk.
        signal.signal(signal.SIGINT, signal.SIG_DFL)
        code = application.exec()
        program.shut()
    return code


def _no_window_words(fault: Exception, folder: Path | None, log: FaultLog | None = None) -> str:
    """Why there is no window, where more is said of it, and what to do."""
    if isinstance(fault, OSError):
        words = _("Pacer can't open, because {path} can't be used ({reason}).")
        place = fault.filename or folder or _("a file")
        parts = [words.format(path=place, reason=fault.strerror or fault)]
    else:
        parts = [_("Pacer can't open: something went wrong inside it.")]
    if log is not None and log.is_open:
        parts.append(_("Details are in {path}.", path=log.path))
    parts.append(
        _(
            "To teach now, start it with an empty folder: pacer --data-dir FOLDER. "
            "Your own folder stays as it is."
        )
    )
    return " ".join(parts)


@contextmanager
def _qt_noted(log: FaultLog) -> Iterator[None]:
    """Note what Qt warns of; the terminal still has all of it."""

    def note(kind: QtMsgType, context: QMessageLogContext, text: str) -> None:
        if kind not in (QtMsgType.QtDebugMsg, QtMsgType.QtInfoMsg):
            log.qt_said(kind.name, context.category or "", text)
        if before is not None:
            before(kind, context, text)
        else:
            complain(*text.splitlines())

    before = qInstallMessageHandler(note)
    try:
        yield
    finally:
        qInstallMessageHandler(before)


def _lock(where: Folders) -> QLockFile | None:
    """Hold the data folder, so that one program writes to it; None where that is not possible or needed.

    Raises AlreadyOpenError when another program holds it.
    """
    try:
        make_folder(where.data)
    except OSError:
        return None
    close_to_others(where)
    path = where.data / "pacer.lock"
    lock = QLockFile(str(path))
    lock.setStaleLockTime(0)  # only a lock whose process is gone is stale, however old it is
    with closed_umask():  # Qt makes the file itself; no thread of ours runs yet
        is_held = lock.tryLock(0) or (_is_left_over(path) and lock.tryLock(0))
    if is_held:
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
