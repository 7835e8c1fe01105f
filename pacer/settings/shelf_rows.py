"""Rows of the list of outlines: for one of a template only its head is read, the rest when it is chosen."""

from functools import cached_property
from pathlib import Path

from pacer.paths import template_folder
from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.file.bounded_toml import parse_toml
from pacer.plan.file.reader import MAX_BYTES
from pacer.settings.outline_files import outlines_in
from pacer.settings.outline_shelf import Heading, ShelfEntry, heading_of, own_outlines, template


class ShelfRow:
    """One outline in a list; ``heading`` is None where it has problems."""

    def __init__(self, path: Path, heading: Heading | None, entry: ShelfEntry | None = None) -> None:
        self.path, self.heading = path, heading
        self._entry = entry

    @property
    def is_template(self) -> bool:
        """Whether it comes with Pacer; of hers each was read whole."""
        return self._entry is None or self._entry.is_template

    @cached_property
    def entry(self) -> ShelfEntry:
        """All of it."""
        return self._entry or template(self.path)


def shelf_rows(own_folder: Path) -> list[ShelfRow]:
    """The teacher's outlines, then the templates, each by file name, as ``shelf`` has them."""
    own = [ShelfRow(entry.path, heading_of(entry), entry) for entry in own_outlines(own_folder)]
    return [*own, *(_template_row(path) for path in outlines_in(template_folder()))]


def _template_row(path: Path) -> ShelfRow:
    """A template's row by what stands in its file before the first list of tables; else by all of it."""
    try:
        head = read_bounded(path, MAX_BYTES).decode().partition("\n[[")[0]
        match parse_toml(head):
            case {"title": str(title), "subject": str(subject), "block": {"minutes": int(minutes)}}:
                return ShelfRow(path, Heading(title, subject, minutes))
    except (UnreadableFileError, ValueError, RecursionError):
        pass
    entry = template(path)
    return ShelfRow(path, heading_of(entry), entry)
