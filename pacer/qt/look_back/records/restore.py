"""Brings back a copy of the day records: which ones there are, what would change, and a second press."""

import os
from pathlib import Path

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QStackedWidget, QTableWidget, QWidget

from pacer.frames.words.records import copy_heads, copy_words, difference_words, restored_words
from pacer.log.backups import Copy, copies, difference, restore
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.widgets import PlainTable, button, label, shortcut, show_words
from pacer.run.clock import Clock, local_now
from pacer.text import _

_ROW_PX, _ROWS = 32, 4


class RestorePanel(QWidget):
    """Choose a copy, read what would change, press twice. ``done`` is as of ``DataPanel``."""

    done = Signal(str, str, bool)

    def __init__(self, records: DayRecords, clock: Clock) -> None:
        super().__init__()
        self.setAccessibleName(_("Copies"))
        self._records, self._clock = records, clock
        self._copies: list[Copy] = []
        self.list = PlainTable(_("Copies"), copy_heads())
        self.list.setSelectionMode(QTableWidget.SelectionMode.SingleSelection)
        self.list.horizontalHeader().setHighlightSections(False)
        self.list.stretch(0)
        self.list.verticalHeader().setDefaultSectionSize(_ROW_PX)
        self.list.setFixedHeight(_ROW_PX * (_ROWS + 1))
        self.about, self.changes = label("", "quiet", wrap=True), label("", wrap=True)
        self.ask_button = button(_("&Bring back…"), self._on_ask)
        self.yes_button = button(_("Bring back"), self._on_yes)
        self.no_button = button(_("Keep as it is"), self.give_up)
        self._asked, self._pages = QWidget(), QStackedWidget()
        self._lay_out()
        self.list.itemSelectionChanged.connect(self._look)

    def _lay_out(self) -> None:
        first = QWidget()
        column_of(row_of(self.ask_button, STRETCH), gap=8, inside=first)
        question = label(
            _("Bring back this copy? What is there now is kept among the copies."), bold=True, wrap=True
        )
        answers = row_of(self.no_button, self.yes_button, STRETCH)
        column_of(question, answers, gap=8, inside=self._asked)
        shortcut("Escape", self._asked, self.give_up)
        for page in (first, self._asked):
            self._pages.addWidget(page)
        heading = label(_("Copies"), bold=True, of=self.list)
        column_of(heading, self.about, self.list, self.changes, self._pages, gap=8, inside=self)

    @property
    def is_asking(self) -> bool:
        """Whether a second press is waited for."""
        return self._pages.currentWidget() is self._asked

    def reload(self) -> None:
        self._copies = copies(Path(os.path.realpath(self._records.path)))
        with QSignalBlocker(self.list):
            self.list.clearSelection()
            self.list.show_rows([copy_words(copy) for copy in self._copies], right=(1,))
        words = _("Made once a day: the last ten days, and the first of each of the last six months.")
        self.about.setText(words if self._copies else _("There are none yet; one is made once a day."))
        self.list.setVisible(bool(self._copies))
        self._pages.setVisible(bool(self._copies))
        self._look()

    @property
    def chosen(self) -> Copy | None:
        rows = [index.row() for index in self.list.selectionModel().selectedRows()]
        return self._copies[rows[0]] if rows and rows[0] < len(self._copies) else None

    def _look(self) -> None:
        """Say what bringing back the chosen copy would change."""
        copy, words = self.chosen, ""
        self._pages.setCurrentIndex(0)
        can = copy is not None and not copy.trouble and self._records.can_write
        if copy is not None:
            try:
                words = copy.trouble or difference_words(difference(self._records, copy))
            except LogError as error:
                words, can = str(error), False
        show_words(self.changes, words)
        self.ask_button.setEnabled(can)

    def _on_ask(self) -> None:
        self._look()
        if self.ask_button.isEnabled():
            self._pages.setCurrentIndex(1)
            self._asked.setAccessibleDescription(self.changes.text())
            self.no_button.setFocus()

    def give_up(self) -> None:
        """Change nothing and go back to the list."""
        self._pages.setCurrentIndex(0)
        self.ask_button.setFocus()

    def _on_yes(self) -> None:
        copy = self.chosen
        if not self.is_asking or copy is None:
            return
        changes = self.changes.text()
        self._pages.setCurrentIndex(0)
        self.list.setFocus()
        try:
            kept = restore(self._records, copy.path, local_now(self._clock).date())
        except LogError as error:
            self.done.emit("", str(error), False)
            return
        self.done.emit(f"{restored_words(copy, kept)}\n{changes}", "", True)
