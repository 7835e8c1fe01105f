"""What the library holds, as rows: read from its folders, and again only where something in them changed."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date
from pathlib import Path

from pacer.editing.library.changes import SeenFiles
from pacer.editing.library.mend import BrokenFile
from pacer.frames.library import LibraryRow, LibraryShelf, library_row
from pacer.settings.outline_shelf import ShelfEntry, own_outlines, put_away, stamp, templates


class Listing:
    """``seen`` knows which files another program changed.

    ``broken`` says what is wrong with a file that is no sound outline, ``past`` gives the day on which each
    file, or each title, was last taught.
    """

    def __init__(
        self,
        own_folder: Path,
        broken: Callable[[Path], BrokenFile | None],
        past: Callable[[], Mapping[str, date]],
    ) -> None:
        self._own, self._broken, self._past = own_folder, broken, past
        self._entries: dict[LibraryShelf, list[ShelfEntry]] = {}
        self._taught: Mapping[str, date] = {}
        self._stamp: object = None
        self.seen = SeenFiles()

    def read(self) -> None:
        """Read the folders again."""
        self._stamp, self._taught = self._stamp_now(), self._past()
        self._entries = {
            "own": own_outlines(self._own),
            "templates": templates(),
            "away": put_away(self._own),
        }
        self.seen.look(entry.path for entry in self._entries["own"])

    @property
    def is_old(self) -> bool:
        """Whether something in the folders changed since they were read, or something was taught."""
        return self._stamp_now() != self._stamp or self._past() != self._taught

    @property
    def counts(self) -> dict[LibraryShelf, int]:
        """How many outlines each part holds."""
        return {place: len(entries) for place, entries in self._entries.items()}

    def place_of(self, path: Path) -> LibraryShelf | None:
        """The part in which a file lies; None for one that is in no part."""
        places = self._entries.items()
        return next((place for place, entries in places if any(each.path == path for each in entries)), None)

    def rows(self, place: LibraryShelf, today: date) -> list[LibraryRow]:
        """The outlines of a part."""
        return [self._row(entry, today) for entry in self._entries[place]]

    def _row(self, entry: ShelfEntry, today: date) -> LibraryRow:
        broken = None if entry.outline is not None else self._broken(entry.path)
        row = library_row(entry, None if broken is None else broken.damage, self._taught, today)
        return replace(row, is_changed=entry.path in self.seen.changed)

    def _stamp_now(self) -> object:
        return stamp(self._own), stamp(self._own.parent)
