"""Tells which outlines another program changed while Pacer was open, and keeps what they said before."""

from collections.abc import Iterable
from pathlib import Path

from pacer.plan.bounded_file import UnreadableFileError, read_bounded

MOST_BYTES = 200_000  # of a file that is remembered: an outline is a few thousand


class SeenFiles:
    """What files said when they were looked at last. ``changed`` has what each changed one said before."""

    def __init__(self) -> None:
        self._seen: dict[Path, bytes] = {}
        self.changed: dict[Path, bytes] = {}

    def look(self, paths: Iterable[Path]) -> None:
        """Look at files again; one that says something else since was changed by another program."""
        now = {path: data for path in paths if (data := _read(path)) is not None}
        for path, data in now.items():
            before = self._seen.get(path, data)
            if data != before:
                self.changed.setdefault(path, before)
            if self.changed.get(path) == data:
                del self.changed[path]  # it was changed back
        self._seen = now
        self.changed = {path: before for path, before in self.changed.items() if path in now}

    def own(self, path: Path) -> None:
        """A file was changed by Pacer, or what another program wrote is taken as it is."""
        self.changed.pop(path, None)
        data = _read(path)
        if data is None:
            self._seen.pop(path, None)
        else:
            self._seen[path] = data


def _read(path: Path) -> bytes | None:
    try:
        return read_bounded(path, MOST_BYTES)
    except UnreadableFileError:
        return None
