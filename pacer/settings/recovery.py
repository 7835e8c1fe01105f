"""Keeps what was typed and not yet saved, so that a crash loses none of it."""

import hashlib
import json
import os
import threading
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from pacer.owner_only import close_off, is_own_file, is_own_folder, make_folder
from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.settings.folders import own_elsewhere
from pacer.settings.whole_file import plain_reason, real_path, write_whole
from pacer.text import _

_MAX_BYTES = 20_000_000
_LAST_UTC_MS = 253_370_764_800_000  # the year 9999


@dataclass(frozen=True)
class Recoverable:
    """What was typed for a file and never saved. ``stamp``: of the file it was typed over; time in UTC ms."""

    path: Path
    text: str
    stamp: str
    utc_ms: int


@dataclass(frozen=True)
class Kept:
    """Where a text was put, None for nowhere, and a notice, empty when it is where it belongs."""

    file: Path | None
    notice: str = ""


class Recovery:
    """One recovery file for each path, in ``folder`` or, where that can't be written, ``elsewhere``.

    What somebody else put there is never offered: a file must be the user's own, in a folder for her alone.
    """

    def __init__(self, folder: Path, elsewhere: Path | None = None) -> None:
        self._places = (folder, elsewhere or own_elsewhere() / "drafts")
        self._lock = threading.Lock()  # a save elsewhere must not drop what is typed while it ends

    def keep(self, path: Path, text: str, stamp: str, utc_ms: int) -> Kept:
        """Write a text to its recovery file, over the one before."""
        real = real_path(path)
        entry = {"path": str(real), "stamp": stamp, "utc_ms": utc_ms, "text": text}
        data = json.dumps(entry, indent=1).encode("ascii")
        with self._lock:
            return self._keep(real, data)

    def _keep(self, real: Path, data: bytes) -> Kept:
        first: Exception | None = None
        for place in self._places:
            file = place / _name(real)
            try:
                _make(place)
                write_whole(file, data)
            except (OSError, ValueError) as error:
                first = first or error
                continue
            for other in self._places:
                if other != place:
                    with suppress(OSError):
                        (other / _name(real)).unlink(missing_ok=True)
            return Kept(file, self._notice(first, file))
        return Kept(None, self._notice(first, None))

    def _notice(self, error: Exception | None, file: Path | None) -> str:
        if error is None:
            return ""
        reason, next_step = plain_reason(error)
        if file is not None:
            words = _(
                "What you type can't be kept in {folder}: {reason}. It is kept in {file} instead. {next}"
            )
        else:
            words = _("What you type can't be kept in {folder}: {reason}. Save soon. {next}")
        return words.format(folder=self._places[0], reason=reason, file=file, next=next_step)

    def drop(self, path: Path, text: str | None = None) -> None:
        """Remove a recovery file; with ``text`` only if it holds just that: more may have been typed."""
        name = _name(real_path(path))
        with self._lock:
            for file in (place / name for place in self._places):
                draft = _read(file)
                if draft is not None and text in (None, draft.text):
                    with suppress(OSError):
                        file.unlink(missing_ok=True)

    def all(self) -> list[Recoverable]:
        """Every text kept, each path once with its newest; a file that can't be read is left where it is."""
        newest: dict[Path, Recoverable] = {}
        for place in self._places:
            close_off(place)
            with suppress(OSError):
                for file in sorted(place.glob("*.json")):
                    draft = _read(file)
                    if draft and (draft.path not in newest or newest[draft.path].utc_ms < draft.utc_ms):
                        newest[draft.path] = draft
        return list(newest.values())


def _make(place: Path) -> None:
    """Make a place for recovery files; one that others could put files into isn't used. Raises OSError."""
    make_folder(place)
    close_off(place)
    if not is_own_folder(place):
        raise PermissionError(13, _("it is not yours alone"))


def _name(real: Path) -> str:
    return hashlib.sha256(os.fsencode(real)).hexdigest()[:24] + ".json"


def _read(file: Path) -> Recoverable | None:
    if not is_own_file(file):
        return None
    try:
        entry = json.loads(read_bounded(file, _MAX_BYTES))
        draft = Recoverable(Path(entry["path"]), entry["text"], entry["stamp"], entry["utc_ms"])
        # Half a character, or a sign that no name has: nobody typed for such a file.
        if b"\0" in os.fsencode(draft.path):
            return None
    except (UnreadableFileError, ValueError, KeyError, TypeError, RecursionError):
        return None
    is_time = type(draft.utc_ms) is int and 0 <= draft.utc_ms < _LAST_UTC_MS
    sound = isinstance(draft.text, str) and isinstance(draft.stamp, str) and is_time
    return draft if sound else None
