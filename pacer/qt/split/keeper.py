"""Keeps what is on the page Split in its file, a second after the last change and when the program ends."""

from pathlib import Path

from PySide6.QtCore import QObject

from pacer.qt.kit.ticker import single_shot
from pacer.qt.split.page import SplitPage
from pacer.run.clock import Clock
from pacer.settings.split_store import KeptSplit, SplitError, load_split, save_split

KEEP_AFTER_MS = 1000


class SplitKeeper(QObject):
    """Makes the page with what was kept."""

    def __init__(self, file: Path, clock: Clock, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._file = file
        self._later = single_shot(self, KEEP_AFTER_MS, self.keep)
        self.page = SplitPage()
        kept = load_split(file, clock)
        self.page.show_text(kept.text, kept.whole_group_s, kept.table_s, kept.tables, kept.fates)
        self.page.changed.connect(self._later.start)

    def keep(self) -> None:
        """Write the sheet; one that can't be written is said on its own page."""
        sheet = self.page.sheet
        kept = KeptSplit(
            text=self.page.text.toPlainText(),
            whole_group_s=sheet.whole_group_s,
            table_s=sheet.table_s,
            tables=sheet.tables,
            fates=self.page.fates,
        )
        try:
            save_split(self._file, kept)
            self.page.tell("")
        except SplitError as error:
            self.page.tell(str(error))

    def shut(self) -> None:
        """Keep what is not kept yet."""
        if self._later.isActive():
            self._later.stop()
            self.keep()
