"""Moves outline files under free names: whole, never over another file, and back where half of it fails."""

import errno
import os
import re
import unicodedata
from collections.abc import Iterable, Sequence
from contextlib import suppress
from pathlib import Path
from typing import NamedTuple

from pacer.owner_only import keep_names, make_folder
from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.file.attachments import MOST_BYTES
from pacer.plan.file.reader import MAX_BYTES, read_outline
from pacer.plan.outline import Outline
from pacer.settings.whole_file import numbered, write_new
from pacer.text import _

# Names that mean a device on Windows, whatever stands behind their first dot.
_DEVICES = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)", re.IGNORECASE)
_NO_LINKS = {errno.EPERM, errno.EXDEV, errno.ENOSYS, errno.EMLINK, getattr(errno, "EOPNOTSUPP", errno.EPERM)}


class FileMove(NamedTuple):
    """A file or folder that gets another place."""

    source: Path
    target: Path


def put_away_folder(own_folder: Path) -> Path:
    """Where outlines lie that were put away: beside the teacher's own, each in a folder with its pictures."""
    return own_folder.with_name(f"{own_folder.name}-put-away")


def deleted_folder(own_folder: Path) -> Path:
    """Where deleted outlines lie on a system without a trash, kept as those that were put away."""
    return own_folder.with_name(f"{own_folder.name}-deleted")


def folded(name: str) -> str:
    """A name as drives compare it that take letters of any case, and any spelling of accents, for one."""
    return unicodedata.normalize("NFC", unicodedata.normalize("NFC", name).casefold())


def free_path(folder: Path, stem: str, suffix: str = ".toml") -> Path:
    """A path in a folder that nothing has, on no drive: stem, stem-2, stem-3, …"""
    if _DEVICES.fullmatch(stem):
        stem = f"{stem}-outline"
    try:
        taken = {folded(name) for name in os.listdir(folder)}  # noqa: PTH208 - names, not paths
    except OSError:
        taken = set()
    names = numbered(folder / f"{stem}{suffix}")
    return next(path for path in names if folded(path.name) not in taken)


def move_new(source: Path, target: Path) -> bool:
    """Give a file another name; False, and nothing done, where something has it. Raises OSError.

    A link goes itself, and leads where it led.
    """
    if os.path.lexists(target):
        return False
    try:
        if source.is_symlink():
            _move_link(source, target)
        else:
            os.link(source, target)  # unlike a rename it never takes the place of another file
            _leave(source, target)
    except FileExistsError:
        return False
    except OSError as error:
        if error.errno not in _NO_LINKS or os.path.lexists(target):
            raise
        if error.errno == errno.EXDEV:
            return _move_far(source, target)
        source.rename(target)
    for folder in {source.parent, target.parent}:
        keep_names(folder)
    return True


def _move_link(source: Path, target: Path) -> None:
    leads_to = source.readlink()
    target.symlink_to(source.parent.absolute() / leads_to if source.parent != target.parent else leads_to)
    _leave(source, target)


def _leave(source: Path, target: Path) -> None:
    """Take the old name away; where that fails there is one file as before, under the old name."""
    try:
        source.unlink()
    except OSError:
        with suppress(OSError):
            target.unlink()
        raise


def _move_far(source: Path, target: Path) -> bool:
    """To another disk: a copy first. Only files; raises OSError for a folder."""
    if not write_new(target, source.read_bytes()):
        return False
    _leave(source, target)
    return True


def move_all(moves: Sequence[FileMove]) -> None:
    """Move several files, all or none. Raises OSError, FileExistsError where a place is taken."""
    done: list[FileMove] = []
    new_folders = [move.target.parent for move in moves if not move.target.parent.exists()]
    try:
        for move in moves:
            make_folder(move.target.parent)
            if not move_new(move.source, move.target):
                raise FileExistsError(errno.EEXIST, _("{name} is there already", name=move.target.name))
            done.append(move)
    except OSError:
        for move in reversed(done):
            with suppress(OSError):
                move_new(move.target, move.source)
        forget_empty(new_folders)
        raise


def forget_empty(folders: Iterable[Path]) -> None:
    """Remove folders that hold nothing any more; others stay. Never raises."""
    for folder in set(folders):
        with suppress(OSError):
            folder.rmdir()


def outlines_in(folder: Path) -> list[Path]:
    """The outline files that lie in a folder, by name; none where it can't be read."""
    try:
        return sorted(path for path in folder.iterdir() if path.suffix == ".toml")
    except OSError:
        return []


def files_of(path: Path) -> tuple[list[str], list[str]]:
    """What is attached to an outline: names of files that it alone uses, and of those that others use, too.

    Only files that are there and lie beside the outline or below. Of one that can't be read none is known.
    """
    outline = read_outline(path)
    names = sorted({file.name for file in outline.shown_files}) if isinstance(outline, Outline) else []
    there = [name for name in names if _lies_beside(path.parent, name)]
    if not there:
        return [], []
    of_others: set[str] = set()
    for other in outlines_in(path.parent):
        if other != path:
            of_others |= _used_in(other, there)
    return [name for name in there if name not in of_others], [name for name in there if name in of_others]


def _lies_beside(folder: Path, name: str) -> bool:
    try:
        file = folder / name
        return file.is_file() and file.resolve().is_relative_to(folder.resolve())
    except (OSError, ValueError):
        return False


def _used_in(other: Path, names: Sequence[str]) -> set[str]:
    """Which of these files another outline uses; of a broken one each that is named anywhere in it."""
    outline = read_outline(other)
    if isinstance(outline, Outline):
        return {file.name for file in outline.shown_files} & set(names)
    try:
        data = read_bounded(other, MAX_BYTES)
    except UnreadableFileError:
        return set(names)  # nobody knows: they stay
    return {name for name in names if name.encode() in data}


def take_out(path: Path, into: Path) -> list[FileMove]:
    """Move an outline into a folder of its own in ``into``, with what is attached to it. Raises OSError.

    What other outlines use, too, is copied. Returns the moves, the outline's first.
    """
    alone, shared = files_of(path)
    make_folder(into)
    folder = free_path(into, path.stem, "")
    moves = [
        FileMove(path, folder / path.name),
        *(FileMove(path.parent / name, folder / name) for name in alone),
    ]
    make_folder(folder)
    try:
        for name in shared:
            make_folder((folder / name).parent)
            write_new(folder / name, read_bounded(path.parent / name, MOST_BYTES))
        move_all(moves)
    except (OSError, UnreadableFileError) as error:
        for name in shared:
            with suppress(OSError):
                (folder / name).unlink(missing_ok=True)
        forget_empty([folder])
        if isinstance(error, OSError):
            raise
        raise OSError(errno.EIO, error.what.rstrip(".")) from error
    forget_empty(path.parent / Path(name).parent for name in alone if "/" in name)
    return moves


def take_back(path: Path, own_folder: Path) -> list[FileMove]:
    """Bring an outline back from a folder of its own, with what lies there. Raises OSError.

    A picture that is among the teacher's own already stays one; another picture of its name is never
    written over: then nothing is moved.
    """
    folder = path.parent
    os.lstat(path)  # one that is gone is told before anything is moved
    files = sorted(file for file in folder.rglob("*") if file != path and not file.is_dir())
    target = free_path(own_folder, path.stem)
    moves, twice = [FileMove(path, target)], []
    for file in files:
        place = own_folder / file.relative_to(folder)
        if not os.path.lexists(place):
            moves.append(FileMove(file, place))
        elif place.read_bytes() == file.read_bytes():
            twice.append(file)
        else:
            words = _("among your outlines there is another {name} already", name=file.name)
            raise FileExistsError(errno.EEXIST, words)
    move_all(moves)
    for file in twice:
        with suppress(OSError):
            file.unlink()
    forget_empty({file.parent for file in files} - {folder})
    forget_empty([folder])
    return moves
