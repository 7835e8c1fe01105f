"""Writes a file whole or not at all, and says in plain words why it couldn't be."""

import errno
import os
import secrets
import stat
from collections.abc import Callable, Iterator
from contextlib import suppress
from datetime import datetime
from itertools import count
from pathlib import Path

from pacer.owner_only import keep_names, one_at_a_time, open_new, open_stream
from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.text import N_, _

_PREFIX, _SUFFIX = ".pacer-", ".partial"
_STALE_MS = 3_600_000
_OF_SHELL = ("/dev/stdout", "/dev/stderr", "/dev/fd/", "/proc/self/fd/")

_NO_ROOM = N_("Make room on it, then save again.")
_ELSEWHERE = N_("Save it in another folder.")
_NO_RIGHT = (N_("you may not write there"), _ELSEWHERE)
_GONE = (N_("its folder is gone"), N_("Plug the drive in again, or save it in another folder."))
_REASONS = {
    errno.ENOSPC: (N_("the disk is full"), _NO_ROOM),
    getattr(errno, "EDQUOT", -1): (N_("your share of the disk is full"), _NO_ROOM),
    errno.EROFS: (N_("the disk is read-only"), _ELSEWHERE),
    errno.EACCES: _NO_RIGHT,
    errno.EPERM: _NO_RIGHT,
    errno.ENOENT: _GONE,
    errno.ENOTDIR: _GONE,
    errno.ENAMETOOLONG: (N_("the name is too long"), N_("Save it under a shorter name.")),
    errno.EIO: (N_("the drive does not answer properly"), N_("Check the drive, or save in another folder.")),
    errno.ETIMEDOUT: (N_("the drive does not answer"), N_("Check the network, or save in another folder.")),
}


def plain_reason(error: Exception) -> tuple[str, str]:
    """Why something couldn't be written, without a full stop, and what to do next."""
    if isinstance(error, UnreadableFileError):
        return error.what.rstrip("."), error.fix
    if isinstance(error, OSError) and (known := _REASONS.get(error.errno or 0)):
        words = error.strerror or ""
        # A reason of our own words, raised with the number of its kind, says more than the kind.
        own = words if words and words != os.strerror(error.errno or 0) else ""
        return own or _(known[0]), _(known[1])
    reason = getattr(error, "strerror", None) or str(error) or _("the system gives no reason")
    return reason, _("Save it in another folder, or under another name.")


def real_path(path: Path) -> Path:
    """Through links, so that a link stays one; a name that can't exist is left to fail when it is used."""
    try:
        return Path(os.path.realpath(path))
    except (OSError, ValueError):
        return path.absolute()


def numbered(path: Path) -> Iterator[Path]:
    """Names to try in turn: the path itself, then stem-2, stem-3, … with its suffix."""
    yield path
    for number in count(2):
        yield path.with_name(f"{path.stem}-{number}{path.suffix}")


def set_aside(path: Path, at: datetime, why: str = "unreadable") -> Path:
    """Give a file that is damaged, or in the way, a name that nothing has yet, with ``why`` and a UTC time.

    Raises OSError.
    """
    aside = path.with_name(f"{path.stem}-{why}-{at:%Y%m%dT%H%M%S%f}{path.suffix}")
    renamed = path.rename(next(name for name in numbered(aside) if not os.path.lexists(name)))
    keep_names(path.parent)
    return renamed


def must_be_writable(path: Path) -> None:
    """Raises PermissionError where a file is marked as read-only."""
    if not path.stat().st_mode & (stat.S_IWUSR | stat.S_IWGRP | stat.S_IWOTH):
        raise PermissionError(13, _("the file is marked as read-only"))


def write_whole(path: Path, data: bytes, may: Callable[[], bool] | None = None) -> bool:
    """Write bytes into a file at once. Raises OSError, and then nothing has changed.

    A new one is for its owner only; one that is there keeps its permissions: she or her school chose them.

    ``may`` is asked at the last moment, when all is written and only the name is to change: on False nothing
    is done and False returned. No other Pacer writes into the folder between the answer and the change.
    """
    partial = path.with_name(f"{_PREFIX}{secrets.token_hex(4)}{_SUFFIX}")
    try:
        with open_new(partial) as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        with suppress(FileNotFoundError):
            partial.chmod(stat.S_IMODE(path.stat().st_mode))
        with one_at_a_time(path.parent):
            if may is not None and not may():
                partial.unlink()
                return False
            os.replace(partial, path)  # noqa: PTH105 - the tests make this call fail
    except BaseException:
        with suppress(OSError):
            partial.unlink(missing_ok=True)
        raise
    keep_names(path.parent)
    return True


def write_new(path: Path, data: bytes) -> bool:
    """The same under a name that nothing has yet; False, and nothing done, where something has it.

    Raises OSError, and then nothing has changed.
    """

    def is_free() -> bool:
        return not os.path.lexists(path)

    return is_free() and write_whole(path, data, is_free)


def is_stream(path: Path) -> bool:
    """Whether a name leads to a device or a pipe, or to what the shell opened: nothing is kept there."""
    try:
        mode = os.stat(path).st_mode  # noqa: PTH116 - Path.stat hides why some names can't be looked up
    except (OSError, ValueError):
        return False
    plain = stat.S_ISREG(mode) or stat.S_ISDIR(mode)
    return not plain or (stat.S_ISREG(mode) and str(path).startswith(_OF_SHELL))


def write_out(path: Path, data: bytes, *, over: bool) -> bool:
    """Write what somebody asked for under a name: whole or not at all; into a device or a pipe straight.

    A file that is there is only written over with ``over``, through links; else nothing is done and False
    returned. Raises OSError or ValueError.
    """
    if is_stream(path):
        with open_stream(path) as stream:
            stream.write(data)
        return True
    return write_whole(real_path(path), data) if over else write_new(path, data)


def stamp_of_file(path: Path) -> object:
    """Another value once a file was written; None where it is not there or can't be looked at."""
    try:
        found = os.stat(path)  # noqa: PTH116 - Path.stat hides why some names can't be looked up
    except (OSError, ValueError):
        return None
    return found.st_ino, found.st_size, found.st_mtime_ns


def is_readable_now(path: Path) -> bool:
    """Whether the system opens a file; what it does not open is not damaged, and may be read later."""
    try:
        path.open("rb").close()
    except OSError:
        return False
    return True


def stamp_of_own(path: Path, data: bytes) -> object:
    """The stamp of a file that was written just now; None where something else is in it by now."""
    stamp = stamp_of_file(path)
    try:
        return stamp if read_bounded(path, len(data)) == data else None
    except UnreadableFileError:
        return None


def sweep(path: Path, utc_ms: int) -> None:
    """Remove what killed saves left beside a file, once it is an hour old."""
    with suppress(OSError):
        for left in path.parent.glob(f"{_PREFIX}*{_SUFFIX}"):
            if utc_ms - left.stat().st_mtime * 1000 > _STALE_MS:
                left.unlink()
