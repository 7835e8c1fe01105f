"""A picture or a PDF that the Outline page asks for, or is given: for a phase, or the move to the groups."""

from pathlib import Path

from PySide6.QtCore import QObject

from pacer.editing.attach_file import NotCopiedError, copy_beside, name_beside
from pacer.editing.outline_editor import OutlineEditor
from pacer.plan.file.attachments import ENDINGS
from pacer.qt.kit.files import ask_file
from pacer.qt.outline.view import OutlineView
from pacer.text import _

OF_BLOCK = ""  # in place of a phase's key: the file is the transition's


class Attaching(QObject):
    """Asks for a file; one from elsewhere is copied beside the outline if the teacher wants that."""

    def __init__(self, page: OutlineView, editor: OutlineEditor, own_folder: Path) -> None:
        super().__init__(page)
        self._page, self._notice, self._editor, self._own = page, page.notice, editor, own_folder
        self._key, self._file, self._folder = "", Path(), own_folder

    def choose(self, key: str) -> None:
        """Ask for a file for a phase."""
        folder = self._folder_now()
        kinds = _("Pictures and PDF ({kinds})").format(kinds=" ".join(f"*{ending}" for ending in ENDINGS))
        file = ask_file(self._page, _("A picture or a PDF"), str(folder), kinds)
        if file is not None:
            self.take(key, file, folder)

    def choose_for_move(self) -> None:
        """Ask for the picture that is shown while the groups form."""
        self.choose(OF_BLOCK)

    def _folder_now(self) -> Path:
        """Beside the outline; a new one will lie in the teacher's own folder."""
        path = self._editor.file.path
        return self._own if path is None else path.parent

    def _attach(self, key: str, name: str) -> None:
        if key == OF_BLOCK:
            self._editor.set_head("move_picture", name)
        else:
            self._editor.set_field(key, "attach", name)

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

    def drop(self, key: str, file: Path) -> None:
        """Attach a file that was dropped on a phase; one from elsewhere is copied, nobody is asked."""
        self._key, self._file, self._folder = key, file, self._folder_now()
        name = name_beside(file, self._folder)
        if name:
            self._notice.tell("")
            self._attach(key, name)
        elif not self.copy():
            return
        self._page.table.choose([key])
        self._page.bar.show_saved(_("Attached {file}", file=file.name))

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
