"""Keeps what is on the page Split in its file, a second after the last change and when the program ends."""

from pathlib import Path

from PySide6.QtCore import QEvent, QObject

from pacer.qt.kit.ticker import single_shot
from pacer.qt.split.page import SplitPage
from pacer.run.clock import Clock, utc_now
from pacer.settings.split_store import NOT_SAVED, KeptSplit, SplitError, load_split, save_split
from pacer.settings.whole_file import set_aside, stamp_of_file
from pacer.text import _

KEEP_AFTER_MS = 1000
TURNS = 3


class SplitKeeper(QObject):
    """Makes the page with what was kept."""

    def __init__(self, file: Path, clock: Clock, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._file, self._clock = file, clock
        self._later = single_shot(self, KEEP_AFTER_MS, self.keep)
        self.page = SplitPage()
        self._seen: object = None
        self._is_kept = True  # whether the file holds what is on the page, as far as this window knows
        self._take_in()
        self.page.changed.connect(self._on_changed)
        self.page.installEventFilter(self)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Whoever comes back here goes on with what another window kept; else both put each other's aside.

        What is only on the page stays there.
        """
        came = event.type() in (QEvent.Type.Show, QEvent.Type.WindowActivate)
        if came and self._is_kept and not self._is_ours():
            self._take_in()
        return super().eventFilter(watched, event)

    def _take_in(self) -> None:
        """Show what the file holds; a file that is damaged or empty takes nothing off the page."""
        stamp, kept = stamp_of_file(self._file), load_split(self._file, self._clock)
        if kept.text or not self.page.text.toPlainText():
            self._seen = stamp
            self.page.show_text(kept.text, kept.whole_group_s, kept.table_s, kept.tables, kept.fates)

    def _on_changed(self) -> None:
        self._is_kept = False
        self._later.start()

    def keep(self) -> None:
        """Write the sheet; one that can't be written is said on its own page."""
        self._later.stop()
        sheet = self.page.sheet
        kept = KeptSplit(
            text=self.page.text.toPlainText(),
            whole_group_s=sheet.whole_group_s,
            table_s=sheet.table_s,
            tables=sheet.tables,
            fates=self.page.fates,
        )
        words = ""
        try:
            # Once more where another window kept its own between the look and the writing.
            for _turn in range(TURNS):
                if not self._is_ours():
                    words = self._put_aside()
                saved = save_split(self._file, kept, self._is_ours)
                if saved is not NOT_SAVED:
                    break
            else:
                saved = save_split(self._file, kept)
            self._seen, self._is_kept = saved, True
            self.page.tell(words)
        except SplitError as error:
            self.page.tell(str(error))

    def _is_ours(self) -> bool:
        """Whether the file is as this window left it, or gone."""
        return stamp_of_file(self._file) in (None, self._seen)

    def _put_aside(self) -> str:
        """Put the sheet that another window wrote meanwhile beside this one's; says where it is."""
        try:
            aside = set_aside(self._file, utc_now(self._clock), "other")
        except OSError:
            return ""  # to keep this one says what is wrong
        return _("Another window kept a split meanwhile: its sheet is in {file}.", file=aside)

    def shut(self) -> None:
        """Keep what is not kept yet, also what could not be a while ago."""
        if not self._is_kept:
            self.keep()
