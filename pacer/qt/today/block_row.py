"""When the block starts, whether a lesson counts from the press of Start, and the line about the bell."""

from datetime import datetime

from PySide6.QtCore import QSignalBlocker, QTime
from PySide6.QtWidgets import QWidget

from pacer.frames.words.shelf import block_words
from pacer.plan.day import BlockToday
from pacer.plan.day_shapes import DayShape
from pacer.plan.outline import Outline
from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.setting_fields import ClockField, keep, setting_box
from pacer.qt.kit.widgets import label, named, show_words
from pacer.settings.store import SettingsStore
from pacer.text import _


class BlockRow(QWidget):
    """The block on the clock."""

    def __init__(self, settings: SettingsStore) -> None:
        super().__init__()
        self._settings = settings
        self.setAccessibleName(_("Block"))
        self.start_time = named(ClockField(), _("Block starts at"))
        self.when_pressed = setting_box(settings, "start_when_pressed", _("counts from when I &press Start"))
        self.line = label("", "large", wrap=True)
        caption = label(_("Block s&tarts"), of=self.start_time)
        block = row_of(caption, self.start_time, self.when_pressed, STRETCH, gap=12)
        column_of(block, self.line, gap=6, inside=self)
        self.show_start(None)
        keep(self.start_time.timeChanged, settings, "block_start", lambda time: time.toString("H:mm"))

    def show_start(self, shape: DayShape | None) -> None:
        """Show when the block starts: as the day's shape says, else as the teacher does here."""
        start = self._settings.now.block_start if shape is None else shape.start
        with QSignalBlocker(self.start_time):
            self.start_time.setTime(QTime.fromString(start, "H:mm"))
        self.start_time.setEnabled(shape is None and not self._settings.now.start_when_pressed)
        tip = "" if shape is None else _("As the day's shape says; see Day shapes")
        self.start_time.setToolTip(tip)

    def show_bell(
        self, block: BlockToday | None, shape: DayShape | None, outline: Outline, now: datetime
    ) -> None:
        """Say when the bell rings, unless the shape's own line says it: while now belongs to the block."""
        is_told_above = shape is not None and (block is None or block.now_belongs)
        show_words(self.line, "" if is_told_above else block_words(block, outline, now))
