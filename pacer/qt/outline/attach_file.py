"""Files that the Outline page asks for: a picture or a PDF for a phase, and an outline from elsewhere."""

from collections.abc import Callable
from pathlib import Path

from PySide6.QtWidgets import QWidget

from pacer.editing.attach_file import NotCopiedError, copy_beside, name_beside
from pacer.plan.file.attachments import ENDINGS
from pacer.qt.kit.files import ask_file
from pacer.qt.outline.bar import NoticeBar
from pacer.text import _


class Attaching:
    """Asks for a file; one from elsewhere is copied beside the outline if the teacher wants that.

    ``attach`` gets the key of a phase and the file's name beside the outline.
    """

    def __init__(
        self, parent: QWidget, notice: NoticeBar, own_folder: Path, attach: Callable[[str, str], None]
    ) -> None:
        self._parent, self._notice, self._own, self._attach = parent, notice, own_folder, attach
        self._key, self._file, self._folder = "", Path(), own_folder

    def choose(self, key: str, outline: Path | None) -> None:
        """Ask for a file for a phase of an outline; a new outline will lie in the teacher's own folder."""
        folder = self._own if outline is None else outline.parent
        kinds = _("Pictures and PDF ({kinds})").format(kinds=" ".join(f"*{ending}" for ending in ENDINGS))
        file = ask_file(self._parent, _("A picture or a PDF"), str(folder), kinds)
        if file is not None:
            self.take(key, file, folder)

    def take(self, key: str, file: Path, folder: Path) -> None:
        """Attach a file that lies beside the outline; offer a copy of one that doesn't."""
        self._key, self._file, self._folder = key, file, folder
        name = name_beside(file, folder)
        if name:
            self._attach(key, name)
            return
        words = _("{file} lies in another folder. Only files beside the outline can be shown.")
        actions = [(_("Copy it there"), self.copy), (_("Leave it"), self.leave)]
        self._notice.tell(words.format(file=file.name), "attach", actions)

    def drop(self, key: str, file: Path, outline: Path | None) -> bool:
        """Attach a file that was dropped on a phase; one from elsewhere is copied, nobody is asked."""
        self._key, self._file, self._folder = key, file, self._own if outline is None else outline.parent
        name = name_beside(file, self._folder)
        if not name:
            return self.copy()
        self._notice.tell("")
        self._attach(key, name)
        return True

    def copy(self) -> bool:
        """Copy the file beside the outline, under a free name, and attach the copy."""
        self._notice.tell("")
        try:
            name = copy_beside(self._file, self._folder)
        except NotCopiedError as error:
            self._notice.tell(str(error), "open")
            return False
        self._attach(self._key, name)
        return True

    def leave(self) -> None:
        """Attach nothing."""
        self._notice.tell("")


def asked_outline(parent: QWidget, folder: Path) -> Path | None:
    """Ask for an outline file to open, beginning in ``folder``; None where none is chosen."""
    return ask_file(parent, _("Outline"), str(folder), _("Outlines (*.toml)"))
