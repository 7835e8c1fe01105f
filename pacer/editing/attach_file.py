"""A picture or a PDF attached to a phase: it lies beside the outline, or a copy of it is put there."""

from pathlib import Path

from pacer.owner_only import make_folder
from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.file.attachments import MOST_BYTES
from pacer.settings.whole_file import numbered, plain_reason, write_new
from pacer.text import _


class NotCopiedError(Exception):
    """Nothing was copied; the message says why and what to do next."""


def name_beside(file: Path, folder: Path) -> str:
    """What an outline in ``folder`` calls a file; empty where it lies elsewhere and can't be shown."""
    try:
        return file.resolve().relative_to(folder.resolve()).as_posix()
    except (ValueError, OSError):
        return ""


def copy_beside(file: Path, folder: Path) -> str:
    """Copy a file into a folder under a free name, and return that. Raises NotCopiedError."""
    try:
        if file.stat().st_size > MOST_BYTES:
            words = _("{file} is larger than {size} MB: save a smaller copy first.")
            raise NotCopiedError(words.format(file=file.name, size=MOST_BYTES // 10**6))
        return _copied(file, folder)
    except (OSError, UnreadableFileError) as error:
        reason, next_step = plain_reason(error)
        words = _("{file} can't be copied: {reason}. {next}")
        raise NotCopiedError(words.format(file=file.name, reason=reason, next=next_step)) from error


def _copied(file: Path, folder: Path) -> str:
    make_folder(folder)
    data = read_bounded(file, MOST_BYTES)
    return next(target.name for target in numbered(folder / file.name) if write_new(target, data))
