"""The outlines behind the names of planned days, read again only once their file has changed."""

import os
from pathlib import Path

from pacer.plan.file.reader import read_outline
from pacer.plan.outline import Outline
from pacer.settings.planned_days import path_of

_MOST_KEPT = 500


class PlannedOutlines:
    """Reads outlines of the teacher's own folder and Pacer's templates by their planned names."""

    def __init__(self, own_folder: Path) -> None:
        self.own_folder = own_folder
        self._kept: dict[str, tuple[object, Outline | None]] = {}

    def path(self, name: str) -> Path:
        """The file of a name, whether it is there or not."""
        return path_of(name, self.own_folder)

    def outline(self, name: str) -> Outline | None:
        """The outline of a name; None for a file that is gone or can't be used."""
        path = self.path(name)
        stamp = _stamp(path)
        kept = self._kept.get(name)
        if kept is not None and kept[0] == stamp:
            return kept[1]
        found = None if stamp is None else read_outline(path)
        outline = found if isinstance(found, Outline) else None
        if len(self._kept) >= _MOST_KEPT:
            self._kept.clear()
        self._kept[name] = stamp, outline
        return outline

    def is_there(self, name: str) -> bool:
        """Whether a name has a file."""
        return _stamp(self.path(name)) is not None

    def title(self, name: str) -> str:
        """The title of a name; empty for a file that is gone or can't be used."""
        outline = self.outline(name)
        return "" if outline is None else outline.title


def _stamp(path: Path) -> object:
    try:
        found = os.stat(path)  # noqa: PTH116 - a plain answer or an error
    except (OSError, ValueError):
        return None
    return found.st_mtime_ns, found.st_size
