"""Finds the words of an outline that the back row can't read, a text at a time, while nothing else waits."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from PySide6.QtCore import QObject, Signal

from pacer.plan.outline import Outline
from pacer.qt.kit.ticker import single_shot
from pacer.settings.store import SettingsStore

if TYPE_CHECKING:
    from pacer.frames.legibility import SmallWords

LATE_MS = 700  # nothing is measured while the teacher types
STEP_MS = 10  # between two texts: keys come first


class SmallWordsLook(QObject):
    """Measures the outline it was given last. ``told`` carries a tuple of SmallWords once all are measured.

    ``found`` is what was told last, for the outline it was told of.
    """

    told = Signal(object)

    def __init__(self, settings: SettingsStore, parent: QObject) -> None:
        super().__init__(parent)
        self._settings = settings
        self._outline: Outline | None = None
        self._steps: Iterator[SmallWords | None] | None = None
        self._so_far: list[SmallWords] = []
        self.found: tuple[SmallWords, ...] = ()
        self._timer = single_shot(self, LATE_MS, self._step)

    def look_at(self, outline: Outline | None) -> None:
        """Measure an outline soon, by the settings as they are then."""
        self._outline, self._steps = outline, None
        if outline is None:
            self._timer.stop()
            self.found = ()
        else:
            self._timer.start(LATE_MS)

    def _step(self) -> None:
        self._timer.stop()
        if self._outline is None:
            return
        if self._steps is None:
            from pacer.frames.legibility import look_through  # late: the start does without it
            from pacer.qt.wall.capitals import capital_shares

            self._steps = look_through(self._outline, self._settings.now, capital_shares)
            self._so_far = []
        for found in self._steps:
            if found is not None:
                self._so_far.append(found)
            self._timer.start(STEP_MS)
            return
        self._steps = None
        self.found = tuple(self._so_far)
        self.told.emit(self.found)
