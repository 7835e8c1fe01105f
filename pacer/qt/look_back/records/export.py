"""Takes the day records along: a folder of CSV tables, or one JSON file. Nothing is ever overwritten."""

import os
from pathlib import Path

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QFileDialog, QWidget

from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.log.export.files import ExportError, json_bytes, write_folder, write_new
from pacer.log.export.tables import ExportTable, tables
from pacer.qt.kit.files import documents
from pacer.qt.kit.rows import column_of, row_of
from pacer.qt.kit.widgets import button, label
from pacer.review.day_book import read_days
from pacer.run.clock import Clock, local_now
from pacer.text import _


class ExportPanel(QWidget):
    """Two buttons. ``done`` is as of ``DataPanel``: what was written and where, or why nothing was."""

    done = Signal(str, str, bool)

    def __init__(self, records: DayRecords, clock: Clock) -> None:
        super().__init__()
        self.setAccessibleName(_("Export"))
        self._records, self._clock = records, clock
        tip = _("A folder with a file for each table, for a spreadsheet")
        self.csv_button = button(_("Tables as &CSV…"), self._on_csv, tip=tip)
        tip = _("One file with every table, for another program")
        self.json_button = button(_("All as &JSON…"), self._on_json, tip=tip)
        words = _(
            "All day records, those in the trash too. In CSV, a text that a spreadsheet would run as a "
            "formula gets an apostrophe before it."
        )
        buttons = row_of((self.csv_button, 1), (self.json_button, 1), gap=8)
        heading = label(_("Export"), bold=True)
        column_of(heading, label(words, "quiet", wrap=True), buttons, gap=8, inside=self)

    def _on_csv(self) -> None:
        name = QFileDialog.getExistingDirectory(self, _("Where to put the folder of tables"), documents())
        if name:
            self.export_csv(Path(name))

    def _on_json(self) -> None:
        offered = str(Path(documents()) / f"{self._stem()}.json")
        name, _kind = QFileDialog.getSaveFileName(
            self, _("Export day records"), offered, _("JSON (*.json)"),
            options=QFileDialog.Option.DontConfirmOverwrite,  # what is there is never overwritten
        )  # fmt: skip
        if name:
            self.export_json(Path(name))

    def export_csv(self, parent: Path) -> None:
        """Make a new folder of tables in a folder."""
        folder, number = parent / self._stem(), 1
        while os.path.lexists(folder):
            number += 1
            folder = parent / f"{self._stem()}-{number}"
        try:
            written = write_folder(folder, self._tables())
        except (ExportError, LogError) as error:
            self.done.emit("", str(error), False)
            return
        self.done.emit(_("{n} tables are in {folder}", n=len(written), folder=folder), "", False)

    def export_json(self, path: Path) -> None:
        """Write everything to a new file."""
        try:
            write_new(path, json_bytes(self._tables()))
        except (ExportError, LogError) as error:
            self.done.emit("", str(error), False)
            return
        self.done.emit(_("Everything is in {file}", file=path), "", False)

    def _tables(self) -> list[ExportTable]:
        return tables(self._records, read_days(self._records).days)

    def _stem(self) -> str:
        day = local_now(self._clock).date()
        return f"pacer-day-records-{day.isoformat()}"
