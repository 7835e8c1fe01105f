"""Outlines are put away, brought back, and deleted, with the pictures that are theirs alone."""

import os
from collections.abc import Sequence
from contextlib import suppress
from functools import partial
from pathlib import Path

from pacer.editing.library.steps import LibrarySteps, OverError, RefusedError, Restore, Told
from pacer.settings.outline_files import (
    FileMove,
    deleted_folder,
    files_of,
    forget_empty,
    free_path,
    move_all,
    put_away_folder,
    take_back,
    take_out,
)
from pacer.settings.whole_file import plain_reason, real_path
from pacer.text import _, counted


class AwayOutlines(LibrarySteps):
    """Put away, bring back, delete."""

    def put_away(self, path: Path) -> Told:
        """Put an outline away, with its pictures; it can be brought back whenever it is wanted."""
        return self.safely(path, _("{file} can't be put away"), partial(self._put_away, path))

    def _put_away(self, path: Path) -> Told:
        name = self.called(path)
        moved = self._take_out(path, put_away_folder(self.own))
        restore = self.removed(path.name)
        self.did(_("Put away"), partial(self._bring_back, moved, restore), self.put_away, moved)
        return Told(_("{name} is put away. It can be brought back.", name=name), moved)

    def bring_back(self, path: Path) -> Told:
        """Bring an outline back that was put away, or deleted into Pacer's own folder."""
        return self._bring_back(path, None)

    def _bring_back(self, path: Path, restore: Restore | None) -> Told:
        def back() -> Told:
            expected, moves = free_path(self.own, path.stem), list[FileMove]()
            new_real = real_path(path if path.is_symlink() else expected)
            self.store.follow(real_path(path), new_real, lambda: moves.extend(take_back(path, self.own)))
            if restore is not None:
                restore(moves[0].target.name)
            else:
                target = moves[0].target
                self.did(_("Bring back"), partial(self._put_away_again, target), self.bring_back, target)
            return Told(
                _("{name} is among your outlines again.", name=self.called(moves[0].target)), moves[0].target
            )

        return self.safely(path, _("{file} can't be brought back"), back)

    def _put_away_again(self, path: Path) -> Told:
        def again() -> Told:
            moved = self._take_out(path, put_away_folder(self.own))
            return Told(_("{name} is put away again.", name=self.called(moved)), moved)

        return self.safely(path, _("{file} can't be put away"), again)

    def _take_out(self, path: Path, into: Path) -> Path:
        """Move an outline with all that is its own into a folder; returns where it lies then."""
        moves: list[FileMove] = []
        target = free_path(into, path.stem, "") / path.name
        new_real = real_path(path) if path.is_symlink() else real_path(target)
        self.store.follow(real_path(path), new_real, lambda: moves.extend(take_out(path, into)))
        return moves[0].target

    def delete(self, path: Path) -> Told:
        """Put an outline into the system's trash, with the pictures that it alone uses and its versions.

        Where the system has no trash, into a folder of Pacer's own: nothing is lost.
        """
        return self.safely(path, _("{file} can't be deleted"), partial(self._delete, path))

    def _delete(self, path: Path) -> Told:
        if not os.path.lexists(path):
            raise RefusedError(_("{file} is gone already.", file=path.name))
        alone, name = files_of(path)[0], self.called(path)
        real, is_link = real_path(path), path.is_symlink()
        if not is_link:
            self.store.forget(path)  # what was typed and never saved becomes a version, and goes along
        try:
            moves = [FileMove(path, self.to_trash(path))]
        except OSError as error:
            return self._delete_here(path, error)
        restore = self.removed(path.name)
        rest = [path.parent / name for name in alone]
        versions = self.store.versions_folder(real)
        if not is_link and versions.is_dir():
            rest.append(versions)
        left = []
        for file in rest:
            try:
                moves.append(FileMove(file, self.to_trash(file)))
            except OSError:
                left.append(file.name)
        forget_empty(file.parent for file in rest if file.parent not in (path.parent, versions.parent))
        self.did(_("Delete"), partial(self._undelete, moves, restore), self.delete)
        pictures = len([move for move in moves[1:] if move.source != versions])
        words = [_("{name} is in the trash.", name=name)]
        if pictures:
            words.append(
                counted("{n} picture of its own went along.", "{n} pictures of its own went along.", pictures)
            )
        if left:
            words.append(_("These stay where they are: {names}.", names=", ".join(left)))
        return Told(" ".join(words))

    def _delete_here(self, path: Path, error: OSError) -> Told:
        moved = self._take_out(path, deleted_folder(self.own))
        restore = self.removed(path.name)
        self.did(_("Delete"), partial(self._bring_back, moved, restore), self.delete, moved)
        words = _(
            "This computer's trash doesn't take {file} ({reason}), so it is in a folder of Pacer's own: "
            "{folder}. It stays there until you delete it, and can be brought back from “Put away”.",
            file=path.name, reason=plain_reason(error)[0], folder=moved.parent,
        )  # fmt: skip
        return Told(words)

    def _undelete(self, moves: Sequence[FileMove], restore: Restore) -> Told:
        first = moves[0]

        def back() -> Told:
            if not os.path.lexists(first.target):
                raise OverError(_("It is not in the trash any more."))
            if os.path.lexists(first.source):
                raise RefusedError(
                    _("There is another {file} now: rename it, then undo again.", file=first.source.name)
                )
            move_all([FileMove(first.target, first.source)])
            _forget_trashed(first.target)
            left = []
            for move in moves[1:]:
                try:
                    move_all([FileMove(move.target, move.source)])
                    _forget_trashed(move.target)
                except OSError:
                    left.append(move.source.name)
            restore(first.source.name)
            words = _("{name} is back.", name=self.called(first.source))
            if left:
                words += " " + _("These are still in the trash: {names}.", names=", ".join(left))
            return Told(words, first.source)

        # Where it lies in the trash: that nothing is at its old place says nothing of why it can't come back.
        return self.safely(first.target, _("{file} can't be brought back"), back)


def _forget_trashed(file: Path) -> None:
    """Where the trash keeps a note of where a file came from, the note goes with the file."""
    with suppress(OSError):
        note = file.parent.parent / "info" / f"{file.name}.trashinfo"
        if file.parent.name == "files":
            note.unlink(missing_ok=True)
