"""Copies an open file of day records: whole and looked through, or not at all."""

import contextlib
import os
import secrets
import sqlite3
import time
from collections.abc import Callable
from fnmatch import fnmatchcase
from pathlib import Path

from pacer.log import database
from pacer.log.database import Unreadable, unused_path
from pacer.owner_only import keep_names, make_folder
from pacer.text import _

BACKUP_FOLDER = "backups"
KEPT_BACKUPS = 10
_STALE_S = 3600
_PAGES = 256  # copied at a time: a lesson that begins waits for no more


def back_up(connection: sqlite3.Connection, path: Path, version: int) -> Path:
    """Copy an open file, its write-ahead log included; keep the newest ten copies. Returns this one."""
    folder = path.parent / BACKUP_FOLDER
    make_folder(folder)
    copy = unused_path(folder, path.stem, f"-v{version}{path.suffix}")
    connection.execute("BEGIN")
    try:
        # The first look holds the moment: what is copied and what is counted are of the same.
        connection.execute("SELECT count(*) FROM sqlite_master").fetchone()
        write_copy(connection, copy)
    finally:
        connection.execute("ROLLBACK")
    remove_older(copy, f"{path.stem}-*-v*{path.suffix}")
    return copy


def files_like(folder: Path, pattern: str) -> list[Path]:
    """What lies in a folder by names like a pattern; nothing where there is no folder. Raises OSError.

    ``Path.glob`` would take a folder that may not be read for an empty one.
    """
    try:
        names = os.listdir(folder)  # noqa: PTH208 - names, not paths
    except FileNotFoundError:
        return []
    return [folder / name for name in names if fnmatchcase(name, pattern)]


def remove_older(newest: Path, pattern: str) -> None:
    """Keep ten copies of a kind: the one just made, whatever the clock said, and the last before it."""
    others = list[Path]()
    with contextlib.suppress(OSError):  # old copies too many do no harm
        others = [copy for copy in files_like(newest.parent, pattern) if copy != newest]
    for old in sorted(others, key=_age)[: 1 - KEPT_BACKUPS]:
        with contextlib.suppress(OSError):
            old.unlink()


def write_copy(
    connection: sqlite3.Connection, copy: Path, progress: Callable[[int, int, int], object] | None = None
) -> None:
    """Copy an open file into one plain file, for its owner only: whole and looked through, or not at all.

    Raises sqlite3.Error, OSError, Unreadable, and what ``progress`` raises, which is called as it goes on.
    """
    _sweep(copy.parent)
    # A name of its own: another Pacer may make the same copy at the same moment.
    partial = Path(f"{copy}.{secrets.token_hex(4)}.partial")
    target = database.connect(partial, "mode=rwc")
    try:
        connection.backup(target, pages=_PAGES, progress=progress)
        target.execute("PRAGMA journal_mode = DELETE")
        must_be_whole(target)
        if database.counts(target) != database.counts(connection):
            raise Unreadable(_("the copy holds something else"))
    except BaseException:
        target.close()
        partial.unlink(missing_ok=True)
        raise
    target.close()
    partial.replace(copy)
    keep_names(copy.parent)


def _sweep(folder: Path) -> None:
    """Remove what copies that were cut off left behind, once it is an hour old."""
    left = list[Path]()
    with contextlib.suppress(OSError):
        left = files_like(folder, "*.partial*")
    for partial in left:
        with contextlib.suppress(OSError):
            if time.time() - partial.stat().st_mtime > _STALE_S:
                partial.unlink()


def must_be_whole(connection: sqlite3.Connection) -> None:
    """Look at every row and every index of an open file. Raises Unreadable, sqlite3.Error."""
    check = str(connection.execute("PRAGMA integrity_check(1)").fetchone()[0])
    if check != "ok":
        raise Unreadable(check)


def _age(path: Path) -> tuple[int, str]:
    with contextlib.suppress(OSError):  # another Pacer may have removed it
        return (path.stat().st_mtime_ns, path.name)
    return (0, path.name)
