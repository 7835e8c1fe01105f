"""What everything has in common that is done with outlines as files: told in words, and taken back."""

import os
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Protocol

from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.draft.draft import Draft
from pacer.plan.draft.write_toml import draft_of
from pacer.plan.file.reader import MAX_BYTES, read_outline
from pacer.plan.outline import Outline
from pacer.settings.draft_store import DraftStore, stamp_of
from pacer.settings.whole_file import plain_reason
from pacer.text import _

MOST_STEPS = 50
# Puts a file or folder into the system's trash and says where it lies there. Raises OSError.
ToTrash = Callable[[Path], Path]
# Tells that an outline is there again, and under which name: another one may have its own by now.
Restore = Callable[[str], None]


class Follower(Protocol):
    """What knows outlines by the names of their files, such as the days they are planned for."""

    def retitling(self, name: str, title: str, *, is_only: bool) -> None:
        """The outline of a file is about to lose its title; ``is_only``: no other one of hers bears it."""

    def renamed(self, old: str, new: str) -> None:
        """An outline's file has another name."""

    def removed(self, name: str) -> Restore:
        """An outline is no longer among the teacher's own. Returns what puts it back where it was."""


@dataclass(frozen=True)
class Told:
    """What came of it, in words; ``path`` is where the outline is now, None where it is gone or as before.

    ``was`` is where it lay before a step was taken back or done again; ``is_over``: it can't be done any
    more, however often it is tried.
    """

    words: str
    path: Path | None = None
    done: bool = True
    was: Path | None = None
    is_over: bool = False


@dataclass(frozen=True)
class LibraryStep:
    """Something that was done and can be taken back; ``again`` does it anew, given where the outline is.

    ``at`` is where the outline lies: after the step, or once that was taken back; None where it is gone.
    """

    label: str
    undo: Callable[[], Told]
    again: Callable[[Path], Told]
    at: Path | None = None


class RefusedError(Exception):
    """Nothing was changed; the message says why and what to do next."""


class OverError(RefusedError):
    """The same, where trying again won't help."""


class LibrarySteps:
    """A teacher's folder of outlines, and what was done in it, the newest last.

    Every method returns what to tell and raises nothing: where it fails, all is as it was. ``to_trash`` is
    the system's trash, ``followers`` what goes along with a file's name.
    """

    def __init__(
        self, own_folder: Path, store: DraftStore, to_trash: ToTrash, followers: Sequence[Follower] = ()
    ) -> None:
        self.own, self.store, self.to_trash, self.followers = own_folder, store, to_trash, followers
        self._steps: list[LibraryStep] = []
        self._undone: list[LibraryStep] = []

    @property
    def undo_words(self) -> str:
        """What an undo would take back; empty where there is nothing."""
        return self._steps[-1].label if self._steps else ""

    def undo(self) -> Told:
        """Take back what was done last."""
        if not self._steps:
            return Told(_("There is nothing to take back."), done=False)
        step = self._steps.pop()
        told = step.undo()
        if told.done:
            self._undone.append(replace(step, at=told.path))
        elif told.is_over:
            return replace(told, words=f"{told.words} {self._aside_words()}")
        else:
            self._steps.append(step)
        return replace(told, was=step.at)

    def _aside_words(self) -> str:
        """What an undo that steps aside leaves to the next one."""
        if not self._steps:
            return _("It can't be taken back any more.")
        return _(
            "It can't be taken back any more; Undo now takes back what was done before it: {what}.",
            what=self.undo_words,
        )

    @property
    def redo_words(self) -> str:
        """What a redo would do again; empty where there is nothing."""
        return self._undone[-1].label if self._undone else ""

    def redo(self) -> Told:
        """Do again what was taken back last."""
        if not self._undone:
            return Told(_("There is nothing to do again."), done=False)
        step = self._undone.pop()
        later, self._undone = self._undone, []
        told = step.again(step.at or self.own)
        if told.done:
            self._undone = later
        elif not told.is_over:  # what can't be done any more takes along what was built on it
            self._undone = [*later, step]
        return replace(told, was=step.at)

    def read(self, path: Path) -> tuple[str, Draft | None, str]:
        """A file's text, its draft where it can be read as one, and its stamp."""
        data = read_bounded(path, MAX_BYTES)
        try:
            text = data.decode("utf-8")
        except UnicodeDecodeError:
            return "", None, stamp_of(data)
        draft = draft_of(text, str(path)) if text.strip() else None
        return text, draft if isinstance(draft, Draft) and draft.phases else None, stamp_of(data)

    def called(self, path: Path) -> str:
        """What an outline is called when something is told of it: its title, else its file's name."""
        outline = read_outline(path)
        return f"“{outline.title}”" if isinstance(outline, Outline) else path.name

    def removed(self, name: str) -> Restore:
        """Tell that an outline is gone from the folder. Returns what puts it back where it was known."""
        restores = [follower.removed(name) for follower in self.followers]

        def restore(name: str) -> None:
            for each in restores:
                each(name)

        return restore

    def did(
        self, label: str, undo: Callable[[], Told], again: Callable[[Path], Told], at: Path | None = None
    ) -> None:
        """Note what was done, how it is taken back and done again, and where the outline is now."""
        self._steps = [*self._steps, LibraryStep(label, undo, again, at)][-MOST_STEPS:]
        self._undone = []

    def safely(self, path: Path, what: str, act: Callable[[], Told]) -> Told:
        """Act, and say in words why it can't be where it can't; ``what`` names what failed."""
        try:
            return act()
        except RefusedError as refused:
            return Told(str(refused), done=False, is_over=isinstance(refused, OverError))
        except (OSError, ValueError, UnreadableFileError) as error:
            words = what.format(file=path.name)
            # Where the whole folder is away it may come back, with its drive.
            is_gone = self.own.is_dir() and not os.path.lexists(path)
            if is_gone or isinstance(error, FileNotFoundError):
                words = _("{what}: it was moved or deleted meanwhile.", what=words)
                return Told(words, done=False, is_over=is_gone)
            reason, _next = plain_reason(error)
            return Told(_("{what}: {reason}. Nothing was changed.", what=words, reason=reason), done=False)
