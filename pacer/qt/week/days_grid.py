"""The days on Week, a column each and a row for each week; one of them is the chosen one."""

from datetime import date
from itertools import pairwise

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QGridLayout, QWidget

from pacer.frames.week.days import DayCard, PlannedLesson, monday_of
from pacer.plan.dates.planned import DaySlot
from pacer.qt.kit.rows import column_of
from pacer.qt.kit.widgets import scrolled
from pacer.qt.week.day_column import DayColumn
from pacer.text import _


class DaysGrid(QWidget):
    """``chosen`` carries the date that got the keyboard, ``dropped`` also the date it was dropped on.

    The other signals are those of each day's list.
    """

    chosen = Signal(object)
    row_chosen = Signal()
    go = Signal(int)
    go_week = Signal(int)
    move_day = Signal(int)
    move_row = Signal(int)
    take_away = Signal()
    pick = Signal()
    opened = Signal()
    dropped = Signal(object, int, object)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("Days"))
        self.columns: list[DayColumn] = []
        body = QWidget()
        self._grid = QGridLayout(body)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setSpacing(8)
        self._area = scrolled(body, _("Days"))
        column_of((self._area, 1), inside=self)

    def show_cards(self, cards: tuple[DayCard, ...], before: QWidget, after: QWidget) -> None:
        """Show other days; Tab leads from ``before`` over each of them to ``after``."""
        while len(self.columns) < len(cards):
            self.columns.append(self._made_column())
        for column in self.columns[len(cards) :]:
            column.hide()
        for column in self.columns:
            self._grid.removeWidget(column)
        rows = {monday: row for row, monday in enumerate(sorted({monday_of(card.day) for card in cards}))}
        in_row = dict.fromkeys(rows, 0)
        for column, card in zip(self.columns, cards, strict=False):
            monday = monday_of(card.day)
            self._grid.addWidget(column, rows[monday], in_row[monday])
            in_row[monday] += 1
            column.show_day(card)
            column.show()
        for first, second in pairwise((before, *(each.list for each in self.columns[: len(cards)]), after)):
            QWidget.setTabOrder(first, second)
        wide = max(in_row.values(), default=0)
        for number in range(7):
            self._grid.setColumnStretch(number, 1 if number < wide else 0)

    def _made_column(self) -> DayColumn:
        column = DayColumn()
        days = column.list
        days.focused.connect(self._on_focus)
        days.currentRowChanged.connect(self._on_row)
        days.dropped.connect(self._on_dropped)
        for asked, told in (
            (days.go, self.go), (days.go_week, self.go_week), (days.move_day, self.move_day),
            (days.move_row, self.move_row), (days.take_away, self.take_away), (days.pick, self.pick),
            (days.opened, self.opened),
        ):  # fmt: skip
            asked.connect(told)
        return column

    @property
    def days(self) -> list[date]:
        """The dates that are shown."""
        return [column.list.day for column in self.columns if not column.isHidden()]

    def _column(self, day: date) -> DayColumn | None:
        return next((each for each in self.columns if each.list.day == day and not each.isHidden()), None)

    def has_keyboard(self) -> bool:
        """Whether a day has it."""
        return any(column.list.hasFocus() for column in self.columns)

    def focus(self, day: date) -> None:
        """Give the keyboard to a day."""
        column = self._column(day)
        if column is not None:
            column.list.setFocus()

    def mark(self, day: date) -> None:
        """Show which day is the chosen one."""
        for each in self.columns:
            each.list.mark(each.list.day == day)

    def choose(self, day: date, row: int) -> None:
        """Choose one of a day's outlines."""
        column = self._column(day)
        if column is not None:
            column.list.choose(row)

    def lesson(self, day: date) -> PlannedLesson | None:
        """The chosen outline of a day."""
        column = self._column(day)
        return None if column is None else column.list.lesson()

    def place(self, day: date) -> DaySlot | None:
        """Where that stands, if it is planned."""
        column = self._column(day)
        return None if column is None else column.list.place()

    def _on_focus(self) -> None:
        column = self._sent_by()
        if column is not None:
            self._area.ensureWidgetVisible(column, 0, 0)
            self.chosen.emit(column.list.day)

    def _on_row(self, _row: int) -> None:
        self.row_chosen.emit()

    def _on_dropped(self, what: object, row: int) -> None:
        column = self._sent_by()
        if column is not None:
            self.dropped.emit(what, row, column.list.day)

    def _sent_by(self) -> DayColumn | None:
        sender = self.sender()
        return next((column for column in self.columns if column.list is sender), None)
