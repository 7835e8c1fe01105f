"""The unit at a glance: a table of its outlines, with their dates and what became of each."""

from collections.abc import Sequence

from PySide6.QtCore import QRect, Qt
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QComboBox, QHeaderView, QWidget

from pacer.frames.week.unit import UnitRow, subjects_of
from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.widgets import PlainTable, fill_choices, label, named, show_words
from pacer.qt.week.wrapped_rows import ENDS_PX, SIDES_PX
from pacer.text import _


class UnitView(QWidget):
    """All outlines that were planned, or those of one subject."""

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("Unit"))
        self._rows: tuple[UnitRow, ...] = ()
        self.subject = named(QComboBox(), _("Subject"))
        self.subject.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
        self.subject.activated.connect(self._on_subject)
        titles = _("Outline"), _("What became of it"), _("Left over"), _("Taught"), _("Planned")
        self.table = PlainTable(_("Outlines of the unit"), titles)
        header = self.table.horizontalHeader()
        for column in range(len(titles)):
            # Words break; titles and dates do, too, rather than leave the page.
            header.setSectionResizeMode(column, QHeaderView.ResizeMode.Stretch)
        self.table.setHorizontalScrollBarPolicy(Qt.ScrollBarPolicy.ScrollBarAlwaysOff)
        self.empty = label("", wrap=True)
        head = row_of(label(_("S&ubject"), of=self.subject), self.subject, STRETCH, gap=12)
        column_of(head, self.empty, (self.table, 1), gap=10, inside=self)

    def show_rows(self, rows: Sequence[UnitRow]) -> None:
        """Show other outlines; the chosen subject stays."""
        self._rows = tuple(rows)
        choices = [(_("all"), None), *((subject, subject) for subject in subjects_of(rows))]
        fill_choices(self.subject, choices, self.subject.currentData())
        self._on_subject()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit_rows()

    def _fit_rows(self) -> None:
        """Make each row as high as its words are broken; Qt forgets the sheet's padding."""
        metrics, flags = self.table.fontMetrics(), Qt.TextFlag.TextWordWrap
        for row in range(self.table.rowCount()):
            high = 0
            for column in range(self.table.columnCount()):
                box = QRect(0, 0, max(40, self.table.columnWidth(column) - SIDES_PX), 10_000)
                item = self.table.item(row, column)
                words = "" if item is None else item.text()
                high = max(high, metrics.boundingRect(box, flags, words).height())
            self.table.setRowHeight(row, high + ENDS_PX)

    def _on_subject(self, _index: int = 0) -> None:
        subject = self.subject.currentData()
        rows = [row for row in self._rows if subject is None or row.subject == subject]
        self.table.show_rows([(row.title, row.became, row.left, row.taught, row.planned) for row in rows])
        self.table.setVisible(bool(rows))
        self._fit_rows()
        show_words(self.empty, "" if rows else _("Nothing is planned yet. Plan a week: the unit comes here."))
