"""Outlines get titles, subjects, units, and copies; the file's name follows its title."""

import os
from collections.abc import Callable
from functools import partial
from pathlib import Path

from pacer.editing.library.followers import tell_retitling
from pacer.editing.library.steps import LibrarySteps, OverError, RefusedError, Told
from pacer.editing.save_outline import file_stem
from pacer.frames.words.outline import head_words
from pacer.plan.bounded_file import read_bounded
from pacer.plan.draft.draft import Draft, set_head
from pacer.plan.draft.with_text import without_loose
from pacer.plan.draft.write_toml import draft_of, written
from pacer.plan.file.reader import MAX_BYTES
from pacer.settings.draft_store import Conflict, Failed, stamp_of
from pacer.settings.outline_files import FileMove, free_path, move_all
from pacer.settings.outline_shelf import copy_to_own
from pacer.settings.whole_file import plain_reason, real_path, write_new
from pacer.text import _


class NamedOutlines(LibrarySteps):
    """Rename, subject and unit, duplicate, and a template taken over."""

    def rename(self, path: Path, title: str) -> Told:
        """Give an outline another title, and its file a name after it."""
        return self.safely(path, _("{file} can't be renamed"), partial(self._rename, path, title))

    def set_head(self, path: Path, name: str, text: str) -> Told:
        """Write the subject or the unit of an outline."""
        return self.safely(path, _("{file} can't be changed"), partial(self._set_head, path, name, text))

    def _rename(self, path: Path, title: str) -> Told:
        title = " ".join(title.split())
        if not title:
            raise RefusedError(_("Write a title first. The outline keeps the one it has."))
        text, draft, stamp = self.read(path)
        before = draft.title if draft is not None else path.stem
        words = ""
        if draft is not None and title != draft.title:
            tell_retitling(path, draft.title, self.followers)
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
        back = partial(self._rename_back, target, path, before)
        self.did(_("Rename"), back, partial(self.rename, title=title), target)
        told = _("It is called “{title}” now, and its file {file}.", title=title, file=target.name)
        return Told(words or told, target)

    def _rename_back(self, path: Path, earlier: Path, title: str) -> Told:
        def back() -> Told:
            text, draft, stamp = self.read(path)
            if earlier != path and os.path.lexists(earlier):
                raise RefusedError(
                    _("There is another {file} now: rename it, then undo again.", file=earlier.name)
                )
            if draft is not None and draft.title != title:
                self._write_head(path, text, draft, stamp, "title", title)
            if earlier != path:
                self._move(path, earlier)
            return Told(_("It is called “{title}” again.", title=title), earlier)

        return self.safely(path, _("{file} can't be renamed"), back)

    def _named(self, path: Path, title: str) -> Path:
        """The path for a title; the one it has where that is named after it already, but for a number."""
        stem = file_stem(title)
        name, _dash, number = path.stem.casefold().rpartition("-")
        if path.stem.casefold() == stem or (name == stem and number.isdecimal()):
            return path
        return free_path(path.parent, stem)

    def _set_head(self, path: Path, name: str, text: str) -> Told:
        toml, draft, stamp = self.read(path)
        if draft is None:
            raise RefusedError(_("{file} has to be mended first.", file=path.name))
        before = str(getattr(draft, name))
        if before == text.strip():
            return Told("", path)
        words = self._write_head(path, toml, draft, stamp, name, text.strip())
        again = partial(self.set_head, name=name, text=text)
        self.did(head_words(name), partial(self._set_back, path, name, before), again, path)
        return Told(words, path)

    def _set_back(self, path: Path, name: str, text: str) -> Told:
        def back() -> Told:
            toml, draft, stamp = self.read(path)
            if draft is not None:
                self._write_head(path, toml, draft, stamp, name, text)
            return Told(_("{field} is as it was.", field=head_words(name)), path)

        return self.safely(path, _("{file} can't be changed"), back)

    def _write_head(self, path: Path, text: str, draft: Draft, stamp: str, name: str, value: str) -> str:
        """Save another text in a field of the head, in the file and in what was typed and never saved."""
        after, wrong = set_head(draft, name, value)
        if wrong:
            raise RefusedError(wrong)
        saved = self.store.save(path, written(after, text, draft), stamp)
        if isinstance(saved, Failed):
            raise RefusedError(saved.words)
        if isinstance(saved, Conflict):
            return saved.words
        self.store.retell(path, partial(_with_head, name=name, value=value), stamp, saved.stamp)
        return saved.notice

    def duplicate(self, path: Path) -> Told:
        """Put a copy beside an outline; of one that can't be read a copy to the byte."""
        return self.safely(path, _("{file} can't be duplicated"), partial(self._duplicate, path))

    def _duplicate(self, path: Path) -> Told:
        text, draft, _stamp = self.read(path)
        title, target = "", free_path(path.parent, f"{path.stem}-copy")
        data = text.encode()
        if draft is None:
            data = read_bounded(path, MAX_BYTES)
        else:
            title = self._copy_title(path.parent, draft.title or path.stem)
            data = written(set_head(draft, "title", title)[0], text, draft).encode("utf-8", "replace")
            target = free_path(path.parent, file_stem(title))
        if not write_new(target, data):
            raise RefusedError(_("There is another {file} already. Try again.", file=target.name))
        self._is_new(_("Duplicate"), target, lambda _path: self.duplicate(path))
        return Told(_("A copy: “{title}”.", title=title or target.name), target)

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

    def _is_new(self, label: str, target: Path, again: Callable[[Path], Told]) -> None:
        stamp = stamp_of(read_bounded(target, MAX_BYTES))
        self.did(label, partial(self._take_new_back, target, stamp), again, target)

    def _take_new_back(self, path: Path, stamp: str) -> Told:
        def back() -> Told:
            if stamp_of(read_bounded(path, MAX_BYTES)) != stamp:
                raise OverError(_("{file} was changed since: delete it by hand.", file=path.name))
            path.unlink()
            return Told(_("The copy is gone again."))

        return self.safely(path, _("{file} can't be taken away"), back)

    def take_template(self, path: Path) -> Told:
        """Put a copy of a template, or of an outline from elsewhere, among the teacher's own."""

        def copy() -> Told:
            target = copy_to_own(path, self.own)
            self._is_new(_("Copy"), target, lambda _path: self.take_template(path))
            return Told(_("{file} is among your outlines now.", file=target.name), target)

        return self.safely(path, _("{file} can't be copied"), copy)

    def _move(self, path: Path, target: Path) -> None:
        """Give a file another name, with its versions, what was typed in it, and all who know its name."""
        old = real_path(path)
        new = old if path.is_symlink() else real_path(target)
        self.store.follow(old, new, partial(move_all, [FileMove(path, target)]))
        for follower in self.followers:
            follower.renamed(path.name, target.name)


def _with_head(text: str, *, name: str, value: str) -> str:
    """A text that was typed and never saved, with another text in a field of its head."""
    toml, _loose = without_loose(text)
    draft = draft_of(toml)
    if not isinstance(draft, Draft):
        return text
    return written(set_head(draft, name, value)[0], toml, draft) + text[len(toml) :]
