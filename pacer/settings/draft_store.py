"""Saves an outline while it is edited: whole or not at all, never over another program's change."""

import hashlib
import os
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path
from typing import NamedTuple

from pacer.owner_only import make_folder
from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.file.reader import MAX_BYTES
from pacer.run.clock import Clock, utc_now
from pacer.settings.recovery import Recoverable, Recovery
from pacer.settings.versions import Version, Versions
from pacer.settings.whole_file import (
    must_be_writable,
    numbered,
    plain_reason,
    real_path,
    sweep,
    write_new,
    write_whole,
)  # fmt: skip
from pacer.text import _

SLOW_MS = 1000
NEW = ""  # the stamp of a file that isn't there yet
_MORE_THAN_ANY = 50 * MAX_BYTES


class OpenedDraft(NamedTuple):
    """A file's text, byte-order mark and line ends as they stand, and what it is recognised by."""

    text: str
    stamp: str


@dataclass(frozen=True)
class Saved:
    """The text is in its file. Hand ``stamp`` to the next save; ``notice`` is empty when all is well."""

    path: Path
    stamp: str
    notice: str = ""


@dataclass(frozen=True)
class Conflict:
    """Another program changed the file meanwhile: it was left alone, and ours is in ``path`` beside it.

    Go on with ``path`` and ``stamp``, or open ``theirs``.
    """

    path: Path
    stamp: str
    theirs: Path
    words: str


@dataclass(frozen=True)
class Failed:
    """Nothing was changed. ``words``: what, where and what to do next; ``kept``: where the text is safe."""

    words: str
    kept: Path | None = None


def stamp_of(data: bytes) -> str:
    """What a file's content is recognised by: its times say little on a network drive."""
    return hashlib.sha256(data).hexdigest()


def _encoded(text: str) -> bytes:
    return text.encode("utf-8", "replace")


class DraftStore:
    """Opens, journals and saves outlines, with earlier versions kept under ``folder``.

    Holds no text of its own; a save may run on another thread than the typing. ``elsewhere`` is where unsaved
    text goes when ``folder`` can't be written.
    """

    def __init__(self, folder: Path, clock: Clock, elsewhere: Path | None = None) -> None:
        self._clock = clock
        self._versions = Versions(folder / "history")
        self._recovery = Recovery(folder / "drafts", elsewhere)

    def open(self, path: Path) -> OpenedDraft | Failed:
        """The text of a file and its stamp, or why it can't be opened."""
        try:
            data = read_bounded(path, MAX_BYTES)
        except UnreadableFileError as error:
            return Failed(f"{path}: {error.what} {error.fix}")
        sweep(path, self._clock.now().utc_ms)
        try:
            return OpenedDraft(data.decode("utf-8"), stamp_of(data))
        except UnicodeDecodeError as error:
            line = data[: error.start].count(b"\n") + 1
            words = _("{path}: line {line} is not UTF-8 text. Save the file again as UTF-8, then open it.")
            return Failed(words.format(path=path, line=line))

    def journal(self, path: Path, text: str, stamp: str) -> str:
        """Write what was typed to the recovery file at once. Returns a notice, empty when all is well."""
        return self._recovery.keep(path, text, stamp, self._clock.now().utc_ms).notice

    def recoverable(self) -> list[Recoverable]:
        """What was typed and never saved, the newest first; what is in its file already doesn't count."""
        unsaved = []
        for draft in self._recovery.all():
            if self._read(draft.path) == _encoded(draft.text):
                self._recovery.drop(draft.path)
            else:
                unsaved.append(draft)
        return sorted(unsaved, key=lambda draft: draft.utc_ms, reverse=True)

    def forget(self, path: Path) -> str:
        """Drop what was typed and not saved; it becomes an earlier version. Returns a notice or nothing."""
        draft = self._typed(real_path(path))
        if draft is None:
            return ""
        if not self._versions.keep(draft.path, _encoded(draft.text), utc_now(self._clock)):
            return _("The unsaved text of {path} can't be put away, so it stays where it is.", path=path)
        self._recovery.drop(draft.path)
        return ""

    def follow(self, old: Path, new: Path, move: Callable[[], None]) -> None:
        """Give a file another place by ``move``, with its versions and what was typed in it.

        They are under both names meanwhile, so a kill loses none. Both paths are real ones. Raises what
        ``move`` raises, and then all is as it was.
        """
        if old == new:  # a link got another place: what it leads to has not moved
            move()
            return
        typed = self._typed(old)
        self._versions.copy(old, new)
        if typed is not None:
            self._recovery.keep(new, typed.text, typed.stamp, typed.utc_ms)
        try:
            move()
        except BaseException:
            self._versions.drop_copied(new, old)
            if typed is not None:
                self._recovery.drop(new)
            raise
        self._versions.drop_copied(old, new)
        if typed is not None and self._typed(new) is not None:
            self._recovery.drop(old)

    def retell(self, path: Path, change: Callable[[str], str], before: str, after: str) -> None:
        """A file was changed by Pacer: what was typed over it and never saved is changed in the same way.

        ``before`` and ``after`` are the stamps of the file; what was typed over another text stays as it is.
        """
        real = real_path(path)
        typed = self._typed(real)
        if typed is not None and typed.stamp == before:
            self._recovery.keep(real, change(typed.text), after, typed.utc_ms)

    def _typed(self, real: Path) -> Recoverable | None:
        """What was typed in a file and never saved."""
        return next((draft for draft in self._recovery.all() if draft.path == real), None)

    def versions_folder(self, path: Path) -> Path:
        """Where the earlier versions of a file lie; it may not be there."""
        return self._versions.folder_of(real_path(path))

    def versions(self, path: Path) -> list[Version]:
        """The earlier versions of a file, the newest first; read one with ``version_text``."""
        return self._versions.all(real_path(path))

    def version_text(self, version: Version) -> OpenedDraft | Failed:
        """The text of an earlier version."""
        return self.open(version.file)

    def save(self, path: Path, text: str, stamp: str) -> Saved | Conflict | Failed:
        """Put a text in its file. ``stamp`` is what ``open`` or the last save gave, ``NEW`` for a new file.

        Whatever fails, the file is as it was and the text is in a recovery file if any place takes one.
        """
        began = self._clock.now()
        try:
            result = self._save(real_path(path), _encoded(text), stamp)
        except (OSError, ValueError, UnreadableFileError) as error:
            return self._failed(path, text, stamp, error)
        self._recovery.drop(real_path(path), text)
        took_ms = self._clock.now().mono_ms - began.mono_ms
        if isinstance(result, Conflict):
            return result
        notice = result.notice
        if took_ms >= SLOW_MS and not notice:
            words = _(
                "Saving in {folder} took {seconds} s. What you type is kept on this computer meanwhile."
            )
            notice = words.format(folder=path.parent, seconds=round(took_ms / 1000))
        return Saved(path, result.stamp, notice)

    def _save(self, real: Path, data: bytes, stamp: str) -> Saved | Conflict:
        """Raises OSError, ValueError or UnreadableFileError where it can't be."""
        if len(data) > MAX_BYTES:
            raise ValueError(_("the outline is larger than 1 MB"))
        if stamp == NEW:
            make_folder(real.parent)
        there = self._there(real)
        if there == data:
            return Saved(real, stamp_of(data))
        if there is not None and stamp_of(there) != stamp:
            return self._beside(real, data, stamp)
        notice = ""
        if there is None and stamp != NEW:
            notice = _("{file} had been moved or deleted meanwhile; it is there again.", file=real.name)
        if there is not None:
            must_be_writable(real)
            if not self._versions.keep(real, there, utc_now(self._clock)):
                notice = _(
                    "The outline is saved, but its earlier version couldn't be kept: look at the disk."
                )
        if write_whole(real, data, lambda: self._there(real) == there):
            return Saved(real, stamp_of(data), notice)
        return self._beside(real, data, stamp)

    def _beside(self, real: Path, data: bytes, stamp: str) -> Conflict:
        """Put ours under a free name: stem-mine.toml, stem-mine-2.toml, …"""
        for ours in numbered(real.with_name(f"{real.stem}-mine{real.suffix}")):
            try:
                there = self._there(ours)
            except UnreadableFileError:
                continue  # a folder, say, or a link that leads nowhere: the name is taken all the same
            if there == data or (there is None and write_new(ours, data)):
                break
        changed = _("{file} was changed by another program while you were writing.")
        if stamp == NEW:
            changed = _("There is another outline named {file} already.")
        both = _("Both are kept: that one in {file}, yours in {ours}. Go on in yours, or open {file}.")
        words = f"{changed} {both}"
        return Conflict(ours, stamp_of(data), real, words.format(file=real.name, ours=ours.name))

    def _there(self, path: Path) -> bytes | None:
        """The bytes of a file, None where there is none. Raises UnreadableFileError."""
        if not os.path.lexists(path):
            os.lstat(path.parent)  # a folder that vanished is told, not made again
            return None
        return read_bounded(path, _MORE_THAN_ANY)

    def _read(self, path: Path) -> bytes | None:
        with suppress(OSError, ValueError, UnreadableFileError):
            return self._there(path)
        return None

    def _failed(self, path: Path, text: str, stamp: str, error: Exception) -> Failed:
        reason, next_step = plain_reason(error)
        kept = self._recovery.keep(path, text, stamp, self._clock.now().utc_ms).file
        words = _("{path} can't be saved: {reason}.", path=path, reason=reason)
        if kept is None:
            safe = _("Your text is only in this window: keep it open, and copy the text elsewhere.")
        else:
            safe = _("Your text is safe in {file}.", file=kept)
        return Failed(f"{words} {safe} {next_step}", kept)
