"""Says what is wrong with the chosen outline's attachments, found out in a thread after a short wait."""

from dataclasses import replace
from functools import partial
from pathlib import Path

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QLabel

from pacer.plan.outline import Outline
from pacer.plan.problems import Problem
from pacer.qt.kit.collecting import work_beside
from pacer.qt.kit.files import file_stamp
from pacer.qt.kit.ticker import single_shot
from pacer.settings.outline_shelf import ShelfEntry
from pacer.text import _, counted

LATE_MS = 300  # nothing is looked into while the teacher walks through the list, or the program starts
_MOST_LINES = 3
_MOST_KNOWN = 50

Stamp = tuple[object, ...]


class ReadyLines(QLabel):
    """Lines that begin with "Not ready:", hidden where there are none. They never stop a lesson.

    ``told`` carries the problems that are known of the entry, None while it is being looked into.
    """

    told = Signal(object)
    _found = Signal(object, object)

    def __init__(self) -> None:
        super().__init__()
        self.setTextFormat(Qt.TextFormat.PlainText)
        self.setWordWrap(True)
        self.setProperty("role", "notice")
        self.setAccessibleName(_("What is not ready"))
        self.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByKeyboard)
        self._late = single_shot(self, LATE_MS, self._look)
        self._found.connect(self._on_found, Qt.ConnectionType.QueuedConnection)
        self._known: dict[Stamp, list[Problem]] = {}
        self._wanted: tuple[Stamp, Path, Outline] | None = None
        self._looks = False
        self.hide()

    def show_entry(self, entry: ShelfEntry | None) -> None:
        """Say what is known of an entry's attachments; look into them where they are new or were changed."""
        self._late.stop()
        self._wanted = None
        outline = None if entry is None else entry.outline
        if entry is None or outline is None or not outline.shown_files:
            self._say([])
            return
        stamp = _stamp(entry.path, outline)
        if stamp in self._known:
            self._say(self._known[stamp])
            return
        self._say([])
        self.told.emit(None)
        self._wanted = stamp, entry.path, outline
        self._late.start()

    def _look(self) -> None:
        """One look at a time; what is wanted when it ends comes next."""
        if self._wanted is None or self._looks:
            return
        self._looks = True
        stamp, path, outline = self._wanted
        trouble, fix = _("The attached files could not be looked into."), _("Start Pacer again.")
        unknown = [Problem(str(path), None, trouble, fix)]
        work_beside("ready", self._found, stamp, partial(_look_into, path, outline), unknown)

    def _on_found(self, stamp: Stamp, problems: list[Problem]) -> None:
        self._looks = False
        if len(self._known) >= _MOST_KNOWN:
            self._known.clear()
        self._known[stamp] = problems
        if self._wanted is not None and self._wanted[0] == stamp:
            self._wanted = None
            self._say(problems)
        elif not self._late.isActive():
            self._look()

    def _say(self, problems: list[Problem]) -> None:
        # The file's name is enough here, as above: its folder has a button of its own.
        lines = [
            _("Not ready: {problem}").format(problem=replace(problem, file=Path(problem.file).name))
            for problem in problems[:_MOST_LINES]
        ]
        more = len(problems) - _MOST_LINES
        if more > 0:
            lines.append(counted("And {n} more.", "And {n} more.", more))
        self.setText("\n".join(lines))
        self.setVisible(bool(lines))
        self.told.emit(problems)


def _stamp(path: Path, outline: Outline) -> Stamp:
    """The stamps of an outline and its attachments."""
    files = [path, *(Path(outline.folder, file.name) for file in outline.shown_files)]
    return tuple(file_stamp(file) for file in dict.fromkeys(files))


def _look_into(path: Path, outline: Outline) -> list[Problem]:
    """Runs in a thread that only waits: files are opened in a process of their own."""
    # Loaded here, as the start of the program waits for nothing it doesn't need.
    from pacer.plan.file.attachments import attachment_problems
    from pacer.qt.attachments.process import Looker

    with Looker() as look_into:
        return attachment_problems(path, outline, look_into)
