"""What is done with outlines as files: rename, duplicate, put away, delete, and each taken back."""

import os
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from typing import Protocol

from pacer.editing.save_outline import file_stem
from pacer.frames.words.outline import head_words
from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.draft.draft import Draft, set_head
from pacer.plan.draft.with_text import without_loose
from pacer.plan.draft.write_toml import draft_of, written
from pacer.plan.file.reader import MAX_BYTES
from pacer.settings.draft_store import Conflict, DraftStore, Failed, stamp_of
from pacer.settings.outline_files import (
    Move,
    deleted_folder,
    files_of,
    forget_empty,
    free_path,
    move_all,
    put_away_folder,
    take_back,
    take_out,
)
from pacer.settings.outline_shelf import copy_to_own
from pacer.settings.whole_file import plain_reason, real_path, write_new
from pacer.text import _, counted

MOST_STEPS = 50
# Puts a file or folder into the system's trash and says where it lies there. Raises OSError.
ToTrash = Callable[[Path], Path]


class Follower(Protocol):
    """What knows outlines by the names of their files, such as the days they are planned for."""

    def renamed(self, old: str, new: str) -> None:
        """An outline's file has another name."""

    def removed(self, name: str) -> Callable[[], None]:
        """An outline is no longer among the teacher's own. Returns what puts it back where it was."""


@dataclass(frozen=True)
class Told:
    """What came of it, in words; ``path`` is where the outline is now, None where it is gone or as before."""

    words: str
    path: Path | None = None
    done: bool = True


@dataclass(frozen=True)
class Step:
    """Something that was done and can be taken back."""

    label: str
    undo: Callable[[], Told]


class _RefusedError(Exception):
    """Nothing was changed; the message says why and what to do next."""


class Library:
    """The teacher's folder of outlines, and the folder beside it with those she put away.

    Every method returns what to tell and raises nothing: where it fails, all is as it was. ``to_trash`` is
    the system's trash, ``followers`` what goes along with a file's name.
    """

    def __init__(
        self, own_folder: Path, store: DraftStore, to_trash: ToTrash, followers: Sequence[Follower] = ()
    ) -> None:
        self._own, self._store, self._to_trash = own_folder, store, to_trash
        self._followers = followers
        self._steps: list[Step] = []

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
        if not told.done:
            self._steps.append(step)
        return told

    # --- what an outline is called

    def rename(self, path: Path, title: str) -> Told:
        """Give an outline another title, and its file a name after it."""
        return self._safely(path, _("{file} can't be renamed"), partial(self._rename, path, title))

    def set_head(self, path: Path, name: str, text: str) -> Told:
        """Write the subject or the unit of an outline."""
        return self._safely(path, _("{file} can't be changed"), partial(self._set_head, path, name, text))

    def _rename(self, path: Path, title: str) -> Told:
        title = " ".join(title.split())
        if not title:
            raise _RefusedError(_("Write a title first. The outline keeps the one it has."))
        text, draft, stamp = self._read(path)
        before = draft.title if draft is not None else path.stem
        words = ""
        if draft is not None and title != draft.title:
            words = self._write_head(path, text, draft, stamp, "title", title)
        target = self._named(path, title)
        if target != path:
            try:
                self._move(path, target)
            except OSError as error:
                if draft is None:
                    raise
                reason, _next = plain_reason(error)
                words = _("The title is changed. The file keeps its name, {file}: {reason}.").format(
                    file=path.name, reason=reason
                )
                target = path
        if title == before and target == path:
            return Told("", path)
        self._did(_("Rename"), partial(self._rename_back, target, path, before))
        told = _("It is called “{title}” now, and its file {file}.", title=title, file=target.name)
        return Told(words or told, target)

    def _rename_back(self, path: Path, earlier: Path, title: str) -> Told:
        def back() -> Told:
            text, draft, stamp = self._read(path)
            if draft is not None and draft.title != title:
                self._write_head(path, text, draft, stamp, "title", title)
            if earlier != path:
                self._move(path, earlier)
            return Told(_("It is called “{title}” again.", title=title), earlier)

        return self._safely(path, _("{file} can't be renamed"), back)

    def _named(self, path: Path, title: str) -> Path:
        """The path for a title; the one it has where that is named after it already, but for a number."""
        stem = file_stem(title)
        name, _dash, number = path.stem.casefold().rpartition("-")
        if path.stem.casefold() == stem or (name == stem and number.isdecimal()):
            return path
        return free_path(path.parent, stem)

    def _set_head(self, path: Path, name: str, text: str) -> Told:
        toml, draft, stamp = self._read(path)
        if draft is None:
            raise _RefusedError(_("{file} has to be mended first.", file=path.name))
        before = str(getattr(draft, name))
        if before == text.strip():
            return Told("", path)
        words = self._write_head(path, toml, draft, stamp, name, text.strip())
        self._did(head_words(name), partial(self._set_back, path, name, before))
        return Told(words, path)

    def _set_back(self, path: Path, name: str, text: str) -> Told:
        def back() -> Told:
            toml, draft, stamp = self._read(path)
            if draft is not None:
                self._write_head(path, toml, draft, stamp, name, text)
            return Told(_("{field} is as it was.", field=head_words(name)), path)

        return self._safely(path, _("{file} can't be changed"), back)

    def _write_head(self, path: Path, text: str, draft: Draft, stamp: str, name: str, value: str) -> str:
        """Save another text in a field of the head, in the file and in what was typed and never saved."""
        after, wrong = set_head(draft, name, value)
        if wrong:
            raise _RefusedError(wrong)
        saved = self._store.save(path, written(after, text, draft), stamp)
        if isinstance(saved, Failed):
            raise _RefusedError(saved.words)
        if isinstance(saved, Conflict):
            return saved.words
        self._store.retell(path, partial(_with_head, name=name, value=value), stamp, saved.stamp)
        return saved.notice

    # --- one more, one less

    def duplicate(self, path: Path) -> Told:
        """Put a copy beside an outline; of one that can't be read a copy to the byte."""
        return self._safely(path, _("{file} can't be duplicated"), partial(self._duplicate, path))

    def _duplicate(self, path: Path) -> Told:
        text, draft, _stamp = self._read(path)
        title, target = "", free_path(path.parent, f"{path.stem}-copy")
        data = text.encode()
        if draft is None:
            data = read_bounded(path, MAX_BYTES)
        else:
            title = self._copy_title(path.parent, draft.title or path.stem)
            data = written(set_head(draft, "title", title)[0], text, draft).encode("utf-8", "replace")
            target = free_path(path.parent, file_stem(title))
        return self._new_file(
            target, data, _("Duplicate"), _("A copy: “{title}”.", title=title or target.name)
        )

    def _copy_title(self, folder: Path, title: str) -> str:
        """The title with a word that tells it apart, numbered where the file of that name is there."""
        number = 1
        while True:
            copy = _("{title} (copy)", title=title[:100])
            if number > 1:
                copy = _("{title} (copy {n})", title=title[:100], n=number)
            if free_path(folder, file_stem(copy)).stem == file_stem(copy):
                return copy
            number += 1

    def _new_file(self, target: Path, data: bytes, label: str, words: str) -> Told:
        if not write_new(target, data):
            raise _RefusedError(_("There is another {file} already. Try again.", file=target.name))
        self._did(label, partial(self._take_new_back, target, stamp_of(data)))
        return Told(words, target)

    def _take_new_back(self, path: Path, stamp: str) -> Told:
        def back() -> Told:
            if stamp_of(read_bounded(path, MAX_BYTES)) != stamp:
                raise _RefusedError(_("{file} was changed since: delete it by hand.", file=path.name))
            path.unlink()
            return Told(_("The copy is gone again."))

        return self._safely(path, _("{file} can't be taken away"), back)

    def take_template(self, path: Path) -> Told:
        """Put a copy of a template, or of an outline from elsewhere, among the teacher's own."""

        def copy() -> Told:
            target = copy_to_own(path, self._own)
            stamp = stamp_of(read_bounded(target, MAX_BYTES))
            self._did(_("Copy"), partial(self._take_new_back, target, stamp))
            return Told(_("{file} is among your outlines now.", file=target.name), target)

        return self._safely(path, _("{file} can't be copied"), copy)

    # --- away and back

    def put_away(self, path: Path) -> Told:
        """Put an outline away, with its pictures; it can be brought back whenever it is wanted."""
        return self._safely(path, _("{file} can't be put away"), partial(self._put_away, path))

    def _put_away(self, path: Path) -> Told:
        moved = self._take_out(path, put_away_folder(self._own))
        restore = self._removed(path.name)
        self._did(_("Put away"), partial(self._bring_back, moved, restore))
        return Told(_("{file} is put away. It can be brought back.", file=path.name), moved)

    def bring_back(self, path: Path) -> Told:
        """Bring an outline back that was put away, or deleted into Pacer's own folder."""
        return self._bring_back(path, None)

    def _bring_back(self, path: Path, restore: Callable[[], None] | None) -> Told:
        def back() -> Told:
            expected, moves = free_path(self._own, path.stem), list[Move]()
            new_real = real_path(expected)
            self._store.follow(real_path(path), new_real, lambda: moves.extend(take_back(path, self._own)))
            if restore is not None:
                restore()
            else:
                self._did(_("Bring back"), partial(self._put_away_again, moves[0].target))
            return Told(_("{file} is among your outlines again.", file=moves[0].target.name), moves[0].target)

        return self._safely(path, _("{file} can't be brought back"), back)

    def _put_away_again(self, path: Path) -> Told:
        def again() -> Told:
            moved = self._take_out(path, put_away_folder(self._own))
            return Told(_("{file} is put away again.", file=path.name), moved)

        return self._safely(path, _("{file} can't be put away"), again)

    def _take_out(self, path: Path, into: Path) -> Path:
        """Move an outline with all that is its own into a folder; returns where it lies then."""
        moves: list[Move] = []
        target = free_path(into, path.stem, "") / path.name
        new_real = real_path(path) if path.is_symlink() else real_path(target)
        self._store.follow(real_path(path), new_real, lambda: moves.extend(take_out(path, into)))
        return moves[0].target

    def delete(self, path: Path) -> Told:
        """Put an outline into the system's trash, with the pictures that it alone uses and its versions.

        Where the system has no trash, into a folder of Pacer's own: nothing is lost.
        """
        return self._safely(path, _("{file} can't be deleted"), partial(self._delete, path))

    def _delete(self, path: Path) -> Told:
        if not os.path.lexists(path):
            raise _RefusedError(_("{file} is gone already.", file=path.name))
        alone = files_of(path)[0]
        real, is_link = real_path(path), path.is_symlink()
        if not is_link:
            self._store.forget(path)  # what was typed and never saved becomes a version, and goes along
        try:
            moves = [Move(path, self._to_trash(path))]
        except OSError as error:
            return self._delete_here(path, error)
        restore = self._removed(path.name)
        rest = [path.parent / name for name in alone]
        versions = self._store.versions_folder(real)
        if not is_link and versions.is_dir():
            rest.append(versions)
        left = []
        for file in rest:
            try:
                moves.append(Move(file, self._to_trash(file)))
            except OSError:
                left.append(file.name)
        forget_empty(file.parent for file in rest if file.parent not in (path.parent, versions.parent))
        self._did(_("Delete"), partial(self._undelete, moves, restore))
        pictures = len([move for move in moves[1:] if move.source != versions])
        words = [_("{file} is in the trash.", file=path.name)]
        if pictures:
            words.append(
                counted("{n} picture of its own went along.", "{n} pictures of its own went along.", pictures)
            )
        if left:
            words.append(_("These stay where they are: {names}.", names=", ".join(left)))
        return Told(" ".join(words))

    def _delete_here(self, path: Path, error: OSError) -> Told:
        moved = self._take_out(path, deleted_folder(self._own))
        restore = self._removed(path.name)
        self._did(_("Delete"), partial(self._bring_back, moved, restore))
        words = _(
            "This computer's trash doesn't take {file} ({reason}), so it is in a folder of Pacer's own: "
            "{folder}. It stays there until you delete it, and can be brought back from “Put away”.",
            file=path.name, reason=plain_reason(error)[0], folder=moved.parent,
        )  # fmt: skip
        return Told(words)

    def _undelete(self, moves: Sequence[Move], restore: Callable[[], None]) -> Told:
        first = moves[0]

        def back() -> Told:
            if not os.path.lexists(first.target):
                raise _RefusedError(_("It is not in the trash any more."))
            if os.path.lexists(first.source):
                raise _RefusedError(
                    _("There is another {file} now: rename it, then undo again.", file=first.source.name)
                )
            move_all([Move(first.target, first.source)])
            _forget_trashed(first.target)
            left = []
            for move in moves[1:]:
                try:
                    move_all([Move(move.target, move.source)])
                    _forget_trashed(move.target)
                except OSError:
                    left.append(move.source.name)
            restore()
            words = _("{file} is back.", file=first.source.name)
            if left:
                words += " " + _("These are still in the trash: {names}.", names=", ".join(left))
            return Told(words, first.source)

        return self._safely(first.source, _("{file} can't be brought back"), back)

    # --- what all of them need

    def _read(self, path: Path) -> tuple[str, Draft | None, str]:
        """A file's text, its draft where it can be read as one, and its stamp."""
        data = read_bounded(path, MAX_BYTES)
        try:
            text = data.decode("utf-8")
        except UnicodeDecodeError:
            return "", None, stamp_of(data)
        draft = draft_of(text, str(path)) if text.strip() else None
        return text, draft if isinstance(draft, Draft) and draft.phases else None, stamp_of(data)

    def _move(self, path: Path, target: Path) -> None:
        """Give a file another name, with its versions, what was typed in it, and all who know its name."""
        old = real_path(path)
        new = old if path.is_symlink() else real_path(target)
        move = partial(move_all, [Move(path, target)])
        if new == old:
            move()
        else:
            self._store.follow(old, new, move)
        for follower in self._followers:
            follower.renamed(path.name, target.name)

    def _removed(self, name: str) -> Callable[[], None]:
        restores = [follower.removed(name) for follower in self._followers]

        def restore() -> None:
            for each in restores:
                each()

        return restore

    def _did(self, label: str, undo: Callable[[], Told]) -> None:
        self._steps = [*self._steps, Step(label, undo)][-MOST_STEPS:]

    def _safely(self, path: Path, what: str, act: Callable[[], Told]) -> Told:
        try:
            return act()
        except _RefusedError as refused:
            return Told(str(refused), done=False)
        except FileNotFoundError:
            words = what.format(file=path.name)
            return Told(_("{what}: it was moved or deleted meanwhile.", what=words), done=False)
        except (OSError, ValueError, UnreadableFileError) as error:
            reason, _next = plain_reason(error)
            words = what.format(file=path.name)
            return Told(_("{what}: {reason}. Nothing was changed.", what=words, reason=reason), done=False)


def _with_head(text: str, *, name: str, value: str) -> str:
    """A text that was typed and never saved, with another text in a field of its head."""
    toml, _loose = without_loose(text)
    draft = draft_of(toml)
    if not isinstance(draft, Draft):
        return text
    return written(set_head(draft, name, value)[0], toml, draft) + text[len(toml) :]


def _forget_trashed(file: Path) -> None:
    """Where the trash keeps a note of where a file came from, the note goes with the file."""
    with suppress(OSError):
        note = file.parent.parent / "info" / f"{file.name}.trashinfo"
        if file.parent.name == "files":
            note.unlink(missing_ok=True)
