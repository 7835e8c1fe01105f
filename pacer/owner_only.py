"""Files and folders that only their owner may read, from their first moment and whatever the umask says.

The one place of the program where a file is opened for writing or a folder is made. Windows has no such
modes: there the rights of the user's profile hold.
"""

import os
import stat
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import IO, BinaryIO

try:
    import fcntl
except ImportError:  # Windows: there the look before the rename has to do
    fcntl = None  # type: ignore[assignment]

FILE, FOLDER = 0o600, 0o700
_MOST_TRIES, _TRY_S = 50, 0.01
_OTHERS = 0o077
_HAS_MODES = os.name == "posix"
_FLAGS = getattr(os, "O_CLOEXEC", 0) | getattr(os, "O_BINARY", 0)


def make_folder(folder: Path) -> None:
    """Make a folder, and those above it that are missing; what is there stays as it is. Raises OSError."""
    missing = [folder]
    while not os.path.lexists(missing[-1]) and missing[-1] != missing[-1].parent:
        missing.append(missing[-1].parent)
    for one in reversed(missing[:-1]):
        try:
            one.mkdir(FOLDER)
        except FileExistsError:  # somebody made it meanwhile
            continue
        with suppress(OSError):  # a drive that knows no rights
            one.chmod(FOLDER)  # a umask may have taken more than it should
    if not folder.is_dir():
        folder.mkdir(FOLDER)  # says why it can't be


def open_new(path: Path) -> BinaryIO:
    """Open a file that isn't there yet for writing bytes. Raises FileExistsError or another OSError."""
    return os.fdopen(_made(path, os.O_WRONLY), "wb")


def open_text(path: Path, mode: str) -> IO[str]:
    """Open a text file to write it anew (``w``) or add to it (``a``), never through a link. Raises OSError.

    One that was there with other rights is closed to others before a word is in it.
    """
    flags = os.O_WRONLY | {"w": os.O_TRUNC, "a": os.O_APPEND}[mode]
    try:
        number = _made(path, flags)
    except FileExistsError:
        close_off(path)
        number = os.open(path, flags | _FLAGS | getattr(os, "O_NOFOLLOW", 0))
    return os.fdopen(number, mode, encoding="utf-8")


def open_stream(path: Path) -> BinaryIO:
    """Open a device, a pipe or what the shell opened, to write behind what is there. Raises OSError."""
    return os.fdopen(os.open(path, os.O_WRONLY | os.O_APPEND | _FLAGS), "wb")


def begin_file(path: Path) -> None:
    """Make an empty file for what opens it by its name; one that is there is closed off, and not opened.

    Never raises: whoever opens it next says what is wrong. To close a file would drop the locks that SQLite
    has on it elsewhere in this process.
    """
    try:
        os.close(_made(path, os.O_WRONLY))
    except FileExistsError:
        close_off(path)
    except OSError:
        pass


@contextmanager
def closed_umask() -> Iterator[None]:
    """What a library makes within is the owner's alone. Only before there are threads: they share it."""
    before = os.umask(_OTHERS)
    try:
        yield
    finally:
        os.umask(before)


def close_off(path: Path) -> None:
    """Take a file's or folder's rights from all others, if it is the user's own and no link. Never raises."""
    with suppress(OSError):
        status = path.lstat()
        mode = stat.S_IMODE(status.st_mode)
        if _HAS_MODES and mode & _OTHERS and _is_own(status) and not stat.S_ISLNK(status.st_mode):
            path.chmod(mode & ~_OTHERS)


def close_off_all(folder: Path) -> None:
    """Do the same for a folder and all that lies in it and below, or for a file. Links are not followed."""
    close_off(folder)
    if folder.is_symlink():
        return
    for around, folders, files in os.walk(folder):
        for name in (*folders, *files):
            close_off(Path(around, name))


def is_own_folder(folder: Path) -> bool:
    """Whether a folder, no link to one, is the user's own and for her alone."""
    try:
        status = folder.lstat()
    except OSError:
        return False
    is_open = _HAS_MODES and status.st_mode & _OTHERS
    return stat.S_ISDIR(status.st_mode) and _is_own(status) and not is_open


def is_own_file(path: Path) -> bool:
    """Whether a file is a plain one, no link, and the user's own, in a folder for her alone."""
    try:
        status = path.lstat()
    except OSError:
        return False
    return stat.S_ISREG(status.st_mode) and _is_own(status) and is_own_folder(path.parent)


def keep_names(folder: Path) -> None:
    """Make the names in a folder last through a power cut, where folders can be flushed. Never raises."""
    with suppress(OSError, AttributeError):
        number = os.open(folder, os.O_RDONLY | os.O_DIRECTORY)
        try:
            os.fsync(number)
        finally:
            os.close(number)


@contextmanager
def one_at_a_time(folder: Path) -> Iterator[None]:
    """Let no other Pacer give a file of a folder its name meanwhile, where folders can be held. Never raises.

    Who holds it has nothing more to do than one look and one rename: after a short wait it is not waited for.
    """
    number = None
    with suppress(OSError, AttributeError):
        number = os.open(folder, os.O_RDONLY | os.O_DIRECTORY | _FLAGS)
    try:
        if number is not None and fcntl is not None:
            _hold(number)
        yield
    finally:
        if number is not None:
            os.close(number)


def _hold(number: int) -> None:
    for _try in range(_MOST_TRIES):
        try:
            fcntl.flock(number, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            time.sleep(_TRY_S)
        except OSError:  # a drive that knows no locks
            return
        else:
            return


def _is_own(found: os.stat_result) -> bool:
    return not _HAS_MODES or found.st_uid == os.getuid()


def _made(path: Path, flags: int) -> int:
    """A descriptor of a new file. Raises OSError."""
    number = os.open(path, flags | os.O_CREAT | os.O_EXCL | _FLAGS, FILE)
    if _HAS_MODES:
        with suppress(OSError):  # a drive that knows no rights
            os.fchmod(number, FILE)
    return number
