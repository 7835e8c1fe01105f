"""Keeps what is on the page Split in its file, a second after the last change and when the program ends."""

from pathlib import Path

from PySide6.QtCore import QObject

from pacer.qt.kit.ticker import single_shot
from pacer.qt.split.page import SplitPage
from pacer.run.clock import Clock, utc_now
from pacer.settings.split_store import KeptSplit, SplitError, load_split, save_split
from pacer.settings.whole_file import set_aside, stamp_of_file
from pacer.text import _

KEEP_AFTER_MS = 1000


class SplitKeeper(QObject):
    """Makes the page with what was kept."""

    def __init__(self, file: Path, clock: Clock, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._file, self._clock = file, clock
        self._later = single_shot(self, KEEP_AFTER_MS, self.keep)
        self.page = SplitPage()
        self._seen = stamp_of_file(file)
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
        words = ""
        if stamp_of_file(self._file) not in (None, self._seen):
            words = self._put_aside()
        try:
            self._seen = save_split(self._file, kept)
            self.page.tell(words)
        except SplitError as error:
            self.page.tell(str(error))

    def _put_aside(self) -> str:
        """Put the sheet that another window wrote meanwhile beside this one's; says where it is."""
        try:
            aside = set_aside(self._file, utc_now(self._clock), "other")
        except OSError:
            return ""  # to keep this one says what is wrong
        return _("Another window kept a split meanwhile: its sheet is in {file}.", file=aside)

    def shut(self) -> None:
        """Keep what is not kept yet."""
        if self._later.isActive():
            self._later.stop()
            self.keep()
