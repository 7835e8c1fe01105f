"""Outlines that can't be opened as they are: what is wrong in plain words, and mending that can be undone."""

import os
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from pacer.editing.library.steps import LibrarySteps, OverError, RefusedError, Told
from pacer.frames.words.broken import damage_words, mended_words, unread_words
from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.draft.draft import Draft
from pacer.plan.draft.mend import Damage, damage_in, decoded, mended
from pacer.plan.draft.read_toml import draft_of, has_unknown_keys, tables_in
from pacer.plan.file.reader import MAX_BYTES, read_text
from pacer.plan.outline import Outline
from pacer.settings.draft_store import Failed, Saved, stamp_of
from pacer.settings.versions import Version
from pacer.settings.whole_file import must_be_writable, real_path, write_whole
from pacer.text import _

MOST_CHARS = 100_000  # an outline is a few thousand; what is longer is mended by hand


@dataclass(frozen=True)
class BrokenFile:
    """What is wrong with a file, in plain words, and what can be done about it.

    ``damage`` is None where the file can't even be read. ``mend_words`` say what mending would do, empty
    where it can't; ``version`` is the newest earlier version that is sound; ``lines`` are those of a plain
    list; ``opens`` says whether the page Outline can show it, ``has_text`` whether its text can be shown.
    """

    words: str
    damage: Damage | None = None
    mend_words: str = ""
    version: Version | None = None
    lines: tuple[str, ...] = ()
    opens: bool = False
    has_text: bool = False


class MendedOutlines(LibrarySteps):
    """A look at a broken file, and its mending."""

    def broken(self, path: Path) -> BrokenFile | None:
        """What is wrong with a file; None where it is a sound outline. Never raises."""
        try:
            data = read_bounded(path, MAX_BYTES)
        except UnreadableFileError as error:
            return BrokenFile(unread_words(path, error), version=self._sound_version(path))
        text = decoded(data)
        damage = damage_in(path, data)
        if damage is None:
            return None
        result = mended(text) if _can_be_mended(damage, text) else None
        return BrokenFile(
            damage_words(damage, path.name),
            damage,
            "" if result is None else mended_words(result),
            self._sound_version(path),
            tuple(text.splitlines()) if damage.fault == "list" else (),
            damage.fault == "fields" and isinstance(draft_of(text), Draft),
            has_text="\x00" not in text,
        )

    def _sound_version(self, path: Path) -> Version | None:
        for version in self.store.versions(path)[:20]:
            opened = self.store.version_text(version)
            if not isinstance(opened, Failed) and isinstance(read_text(opened.text, ""), Outline):
                return version
        return None

    def mend(self, path: Path) -> Told:
        """Set a broken outline right; what it said before is kept as an earlier version."""

        def mend() -> Told:
            data = read_bounded(path, MAX_BYTES)
            result = mended(decoded(data))
            if result is None:
                raise RefusedError(_("Pacer can't mend {file}: open its text.", file=path.name))
            return self._replace(path, data, result.text, _("Mend"), _("{file} is mended.", file=path.name))

        return self.safely(path, _("{file} can't be mended"), mend)

    def bring_version(self, path: Path, version: Version) -> Told:
        """Put an earlier version in the place of a broken file, which becomes an earlier version itself."""

        def bring() -> Told:
            opened = self.store.version_text(version)
            if isinstance(opened, Failed):
                raise RefusedError(opened.words)
            data = read_bounded(path, MAX_BYTES) if os.path.lexists(path) else b""
            words = _("{file} is as it was.", file=path.name)
            return self._replace(path, data, opened.text, _("Bring back a version"), words)

        return self.safely(path, _("{file} can't be mended"), bring)

    def go_back(self, path: Path, before: bytes) -> Told:
        """Let a file say again what it said before another program changed it; that change is kept, too."""

        def back() -> Told:
            words = _("{file} says again what it said before.", file=path.name)
            data = read_bounded(path, MAX_BYTES)
            return self._replace(path, data, before.decode("utf-8"), _("Go back"), words)

        return self.safely(path, _("{file} can't be changed back"), back)

    def write_text(self, path: Path, text: str, before: bytes) -> Told:
        """Save what was written by hand in a file's text; ``before`` is what it said when it was opened."""

        def write() -> Told:
            return self._replace(path, before, text, _("Text"), _("{file} is saved.", file=path.name))

        return self.safely(path, _("{file} can't be saved"), write)

    def _replace(self, path: Path, before: bytes, text: str, label: str, words: str) -> Told:
        saved = self.store.save(path, text, stamp_of(before))
        if isinstance(saved, Failed):
            raise RefusedError(saved.words)
        if not isinstance(saved, Saved):
            return Told(saved.words, saved.path)  # both are kept, as when it is typed in Outline
        if saved.stamp != stamp_of(before):
            self.did(
                label,
                partial(self._put_back, path, before, saved.stamp),
                partial(self._again, before=before, text=text, label=label, words=words),
                path,
            )
        return Told(" ".join(filter(None, (words, saved.notice))), path)

    def _again(self, path: Path, *, before: bytes, text: str, label: str, words: str) -> Told:
        act = partial(self._replace, path, before, text, label, words)
        return self.safely(path, _("{file} can't be changed"), act)

    def _put_back(self, path: Path, before: bytes, stamp: str) -> Told:
        def back() -> Told:
            real = real_path(path)
            if stamp_of(read_bounded(real, MAX_BYTES)) != stamp:
                raise OverError(
                    _("{file} was changed since: its earlier versions are in Outline.", file=path.name)
                )
            must_be_writable(real)
            write_whole(real, before, lambda: stamp_of(read_bounded(real, MAX_BYTES)) == stamp)
            return Told(_("{file} is as it was before.", file=path.name), path)

        return self.safely(path, _("{file} can't be changed back"), back)


def _can_be_mended(damage: Damage, text: str) -> bool:
    """Whether mending would change anything: what stands in fields is corrected there."""
    if len(text) > MOST_CHARS or damage.fault not in ("text", "fields"):
        return False
    tables = tables_in(text)
    return tables is None or has_unknown_keys(tables) or "format" not in tables or damage.fault == "text"
