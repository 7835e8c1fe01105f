"""Starts the program: one data folder for one program, a demo that keeps nothing, and faults in a file."""

import shutil
import signal
import sys
import tempfile
import time
import traceback
from pathlib import Path
from types import TracebackType

from PySide6.QtCore import QLockFile
from PySide6.QtWidgets import QApplication

from pacer.log.database import LogError
from pacer.qt.app import Program
from pacer.qt.kit.style import dress
from pacer.qt.note_window import tell
from pacer.run.session import JournalError
from pacer.settings.folders import Folders, folders
from pacer.text import _


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
        text = _(
            "Pacer is open already with {path}. Look for its window behind the others. "
            "If there is none, delete {lock} in that folder and start Pacer again."
        )
        tell(application, text.format(path=where.data, lock="pacer.lock"))
        return 2
    if demo:
        from pacer.verbs.headless_demo import fill_demo_folder

        try:
            fill_demo_folder(where.data).close()
        except (LogError, JournalError, OSError) as error:
            tell(application, _("The demo can't be prepared: {reason}").format(reason=error))
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
