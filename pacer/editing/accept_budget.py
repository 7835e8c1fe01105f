"""Puts one accepted budget into an outline's file: whole or not at all, its earlier version kept."""

import os
from dataclasses import dataclass
from pathlib import Path

from pacer.editing.save_outline import problem_words
from pacer.frames.words.budgets import cap_words, floor_words
from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.draft.draft import Draft, minutes_text, set_field
from pacer.plan.draft.write_toml import draft_of, written
from pacer.plan.durations import parse_duration
from pacer.plan.file.reader import MAX_BYTES, read_bytes
from pacer.plan.outline import Outline
from pacer.run.clock import Clock, utc_now
from pacer.settings.draft_store import DraftStore, stamp_of
from pacer.settings.versions import Versions
from pacer.settings.whole_file import must_be_writable, plain_reason, real_path, write_whole
from pacer.text import _


class NotAcceptedError(Exception):
    """Nothing was changed; the message says in plain words why, and what to do next."""


@dataclass(frozen=True)
class ReadOutline:
    """An outline's file as it was read. ``draft`` has its phases in the order of ``outline``."""

    path: Path
    text: str
    stamp: str
    outline: Outline
    draft: Draft


def read_sheet(path: Path) -> ReadOutline:
    """Read an outline's file. Raises NotAcceptedError where it can't be read or is no sound outline."""
    try:
        data = read_bounded(path, MAX_BYTES)
    except UnreadableFileError as error:
        raise NotAcceptedError(f"{path}: {error.what} {error.fix}") from error
    outline = read_bytes(data, str(path))
    if not isinstance(outline, Outline):
        raise NotAcceptedError(problem_words(path, outline))
    text = data.decode("utf-8")
    draft = draft_of(text, str(path))
    if not isinstance(draft, Draft):
        raise NotAcceptedError(problem_words(path, draft))
    return ReadOutline(path, text, stamp_of(data), outline, draft)


def with_budget(sheet: ReadOutline, index: int, new_s: int) -> tuple[str, str]:
    """The file's text with another budget for one phase, and what else there is to say of it.

    A written floor above the new budget comes down to it. Raises NotAcceptedError where the text would be no
    sound outline any more.
    """
    row, phase = sheet.draft.phases[index], sheet.outline.phases[index]
    draft, _wrong = set_field(sheet.draft, row.key, "budget", minutes_text(new_s))
    consequences = []
    if row.floor and parse_duration(row.floor) > new_s:
        draft, _wrong = set_field(draft, row.key, "floor", minutes_text(new_s))
        consequences.append(floor_words(phase.floor_s, new_s))
    if phase.cap_s is not None and phase.cap_s < new_s:
        consequences.append(cap_words(phase.cap_s))
    text = written(draft, sheet.text, sheet.draft)
    outline = read_bytes(text.encode("utf-8"), str(sheet.path))
    if not isinstance(outline, Outline):
        raise NotAcceptedError(problem_words(sheet.path, outline))
    return text, " ".join(consequences)


class BudgetSaver:
    """Writes outlines with their earlier versions kept in ``folder``, as the Outline page does.

    Unlike there nothing was typed that could be lost: where a file can't be written or was changed meanwhile,
    it is left alone and nothing is put beside it.
    """

    def __init__(self, folder: Path, clock: Clock) -> None:
        self._clock = clock
        self._versions = Versions(folder / "history")
        self._store = DraftStore(folder, clock)

    def save(self, sheet: ReadOutline, text: str) -> str:
        """Put the text in the file. Returns a notice or nothing; raises NotAcceptedError."""
        real = real_path(sheet.path)
        if any(typed.path == real for typed in self._store.recoverable()):
            words = _("{file} has typing that isn't saved yet: open it in Outline first, then accept.")
            raise NotAcceptedError(words.format(file=sheet.path.name))
        try:
            return self._save(real, text.encode("utf-8"), sheet)
        except (OSError, ValueError, UnreadableFileError) as error:
            reason, next_step = plain_reason(error)
            words = _("{path} can't be changed: {reason}. Its budgets are as they were. {next}")
            raise NotAcceptedError(words.format(path=sheet.path, reason=reason, next=next_step)) from error

    def _save(self, real: Path, data: bytes, sheet: ReadOutline) -> str:
        there = read_bounded(real, MAX_BYTES) if os.path.lexists(real) else None
        if there is None or stamp_of(there) != sheet.stamp:
            raise self._changed(sheet)
        must_be_writable(real)
        kept = self._versions.keep(real, there, utc_now(self._clock))

        def is_as_read() -> bool:
            return os.path.lexists(real) and stamp_of(read_bounded(real, MAX_BYTES)) == sheet.stamp

        if not write_whole(real, data, is_as_read):
            raise self._changed(sheet)
        if kept:
            return ""
        return _("The outline is saved, but its earlier version couldn't be kept: look at the disk.")

    @staticmethod
    def _changed(sheet: ReadOutline) -> NotAcceptedError:
        words = _(
            "{file} was changed, moved or deleted since it was shown here, so it is left as it is. "
            "It is shown anew: look at it, then accept."
        )
        return NotAcceptedError(words.format(file=sheet.path.name))
