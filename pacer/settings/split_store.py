"""Keeps the split sheet that was worked on last, whole or not at all."""

from collections.abc import Callable
from contextlib import suppress
from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field

from pacer.owner_only import make_folder
from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.split.split import Where
from pacer.run.clock import Clock, utc_now
from pacer.settings.whole_file import set_aside, stamp_of_own, write_whole
from pacer.text import _

MAX_BYTES = 200_000
NOT_SAVED = object()
"""What saving returns where it was not to be done."""


class SplitError(Exception):
    """The sheet could not be written; the message says why and what to do."""


class KeptSplit(BaseModel):
    """The text of the sheet, the room for it, in seconds, and where each part stood."""

    model_config = ConfigDict(frozen=True)

    text: str = ""
    whole_group_s: int = Field(25 * 60, ge=60, le=3 * 3600)
    table_s: int = Field(13 * 60, ge=0, le=3 * 3600)
    tables: int = Field(3, ge=0, le=12)
    fates: tuple[Where, ...] = ()


def load_split(path: Path, clock: Clock) -> KeptSplit:
    """The sheet of last time; an empty one where there is none. A damaged one is put aside, never lost."""
    try:
        return KeptSplit.model_validate_json(read_bounded(path, MAX_BYTES))
    except UnreadableFileError:
        return KeptSplit()
    except ValueError:
        with suppress(OSError):
            set_aside(path, utc_now(clock))
        return KeptSplit()


def save_split(path: Path, kept: KeptSplit, may: Callable[[], bool] | None = None) -> object:
    """Write the sheet; returns the stamp of its file, None where another has it by now.

    Not where ``may`` says no at the last moment, then NOT_SAVED. Raises SplitError.
    """
    # Half a character, as a paste may leave one, is no reason to lose the rest.
    whole = kept.model_copy(update={"text": kept.text.encode("utf-8", "replace").decode()})
    data = (whole.model_dump_json(indent=2) + "\n").encode()
    try:
        if len(data) > MAX_BYTES:
            raise OSError(_("its text is too long"))  # it could not be read again
        make_folder(path.parent)
        return stamp_of_own(path, data) if write_whole(path, data, may) else NOT_SAVED
    except OSError as error:
        words = _("The split can't be kept in {path}: {reason}. Make room, or copy its text elsewhere.")
        raise SplitError(words.format(path=path, reason=error.strerror or error)) from None
