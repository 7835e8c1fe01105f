"""The outlines a teacher can choose from: her own folder and the templates."""

import errno
import os
import re
from contextlib import suppress
from dataclasses import dataclass
from functools import lru_cache
from itertools import chain, count
from pathlib import Path

from pacer.owner_only import make_folder
from pacer.paths import template_folder
from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.file.attachments import MOST_BYTES
from pacer.plan.file.reader import MAX_BYTES, read_outline
from pacer.plan.kinds import figures_in_use
from pacer.plan.outline import Outline
from pacer.plan.problems import Problem
from pacer.settings.outline_files import deleted_folder, outlines_in, put_away_folder
from pacer.settings.whole_file import write_new


@dataclass(frozen=True)
class ShelfEntry:
    """One outline file; either ``outline`` or ``problems`` is there."""

    path: Path
    is_template: bool
    outline: Outline | None
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True)
class Heading:
    """What a list says of an outline; ``minutes`` are those of its block."""

    title: str
    subject: str
    minutes: int


def heading_of(entry: ShelfEntry) -> Heading | None:
    """What a list says of an outline; None where it has problems."""
    outline = entry.outline
    if outline is None:
        return None
    return Heading(outline.title, outline.subject, outline.block.length_s // 60)


def shelf(own_folder: Path) -> list[ShelfEntry]:
    """The teacher's outlines, then the templates, each by file name. A bad file doesn't hide the others."""
    return [*own_outlines(own_folder), *templates()]


def own_outlines(own_folder: Path) -> list[ShelfEntry]:
    """The teacher's outlines by file name."""
    return _entries(own_folder, is_template=False)


def templates() -> list[ShelfEntry]:
    """The outlines that come with Pacer, by file name."""
    return [template(path) for path in outlines_in(template_folder())]


def template(path: Path) -> ShelfEntry:
    """One of the outlines that come with Pacer."""
    try:
        now = path.stat()
    except OSError:
        return _entry(path, is_template=True)  # which says what is wrong
    return _template(path, now.st_size, now.st_mtime_ns, figures_in_use())


def put_away(own_folder: Path) -> list[ShelfEntry]:
    """The outlines that were put away, and those that were deleted where there is no trash."""
    entries: list[ShelfEntry] = []
    for place in (put_away_folder(own_folder), deleted_folder(own_folder)):
        with suppress(OSError):
            for folder in sorted(place.iterdir()):
                entries += _entries(folder, is_template=False)
    return entries


def _entries(folder: Path, *, is_template: bool) -> list[ShelfEntry]:
    return [_entry(path, is_template) for path in outlines_in(folder)]


def _entry(path: Path, is_template: bool) -> ShelfEntry:
    outline = read_outline(path)
    if isinstance(outline, Outline):
        return ShelfEntry(path, is_template, outline)
    return ShelfEntry(path, is_template, None, tuple(outline))


# Every page that lists outlines asks for them, and hardly anything of that changes while a program runs.
@lru_cache(maxsize=64)
def _template(path: Path, _size: int, _changed_ns: int, _figures: object) -> ShelfEntry:
    return _entry(path, is_template=True)


def copy_to_own(path: Path, own_folder: Path) -> Path:
    """Copy an outline into the teacher's folder under a free name, and what is attached. Raises OSError.

    An attached file of the same name that is there already is left as it is: another lesson may need it.
    """
    make_folder(own_folder)
    path.stat()  # one that is gone is told as that
    try:
        data = read_bounded(path, MAX_BYTES)  # never a pipe or a device, which may not end
    except UnreadableFileError as error:
        raise OSError(errno.EINVAL, error.what.rstrip(".")) from error
    stem = re.sub(r"-copy(-\d+)?$", "", path.stem)
    names = chain([f"{stem}.toml"], (f"{stem}-copy-{number}.toml" for number in count(2)))
    target = next(own_folder / name for name in names if write_new(own_folder / name, data))
    _copy_attached(path, own_folder)
    return target


def _copy_attached(path: Path, own_folder: Path) -> None:
    """Put an outline's pictures and PDFs beside its copy; one that can't be read is told by its own check."""
    outline = read_outline(path)
    files = outline.shown_files if isinstance(outline, Outline) else ()
    for name in sorted({file.name for file in files}):
        source, target = path.parent / name, own_folder / name
        try:
            # Only what lies beside the outline or below it, as everywhere.
            source.resolve().relative_to(path.parent.resolve())
            target.resolve().relative_to(own_folder.resolve())
            if os.path.lexists(target):
                continue
            data = read_bounded(source, MOST_BYTES)
            make_folder(target.parent)
            write_new(target, data)
        except (OSError, ValueError, UnreadableFileError):
            continue


def stamp(folder: Path) -> object:
    """Names, sizes and times of a folder's files: equal as long as nothing was changed."""
    try:
        files = [(path.name, path.stat().st_size, path.stat().st_mtime_ns) for path in folder.iterdir()]
    except OSError:
        return None
    return sorted(files)
