"""Exceptions by date: listed, added, taken out, and taken in from a calendar file."""

from collections import Counter
from collections.abc import Callable, Sequence
from datetime import date, timedelta
from operator import itemgetter
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QDate, QLocale, Qt
from PySide6.QtWidgets import QComboBox, QDateEdit, QListWidget, QListWidgetItem, QWidget

from pacer.plan.day_shapes import DayShapes, Doubt, days_named, doubts_in
from pacer.plan.problems import Problem, clipped
from pacer.qt.kit.files import ask_file
from pacer.qt.kit.rows import TOP, column_of, row_of
from pacer.qt.kit.widgets import button, label, named
from pacer.qt.today.calendar_reader import CalendarReader
from pacer.qt.today.shape_rows import ShapeRow, ShapeTable, WrongField
from pacer.text import _, counted

if TYPE_CHECKING:
    from pacer.plan.calendar_file import CalendarDays, Unread

AHEAD_DAYS = 400
TOLD_UNREAD = 3
TOLD_STRANGERS = 4
_DAY = Qt.ItemDataRole.UserRole


class DayExceptions(QWidget):
    """The days that differ from the week. A day holds a row of the shapes' table, None for no block."""

    def __init__(self, today: date, table: ShapeTable, tell: Callable[[str], object]) -> None:
        super().__init__()
        self.setAccessibleName(_("Exceptions"))
        self._today, self._table, self._tell = today, table, tell
        self.days: dict[str, ShapeRow | None] = {}
        self.doubts: list[Doubt] = []
        self._offered: dict[date, str] = {}
        self._offered_doubts: tuple[Doubt, ...] = ()
        self.reader = CalendarReader(self)
        self.reader.arrived.connect(self._on_read)
        self.list = named(QListWidget(), _("Exceptions by date"))
        self.list.setMinimumHeight(96)
        first = QDate(today.year, today.month, today.day)
        self.date = named(QDateEdit(first), _("Date of an exception"))
        self.date.setCalendarPopup(True)
        self.date.setDisplayFormat("d MMM yyyy")
        self.date.setMinimumWidth(140)
        self.date.setMinimumHeight(36)
        self.which = named(QComboBox(), _("Shape of that day"))
        self.which.setMinimumHeight(36)
        self.add_button = button(_("Add day"), self._on_add)
        self.remove_button = button(_("Take day out"), self._on_remove)
        self.file_button = button(_("From a calendar &file…"), self._on_file)
        self.result = label("", wrap=True)
        self.take_button = button("", self._on_take)
        self.take_button.hide()
        self._lay_out()

    def _lay_out(self) -> None:
        add = row_of(self.date, self.which, self.add_button, self.remove_button)
        take = row_of((self.file_button, 0, TOP), (self.result, 1), (self.take_button, 0, TOP))
        heading = label(_("Days that differ"), bold=True)
        column_of(heading, (self.list, 1), add, take, gap=8, inside=self)

    def show_days(self) -> None:
        """List the days from today on, in order, by the names as they are typed now."""
        chosen = self.which.currentIndex()
        self.which.clear()
        self.which.addItems([*(row.title for row in self._table.rows), _("no block")])
        self.which.setCurrentIndex(chosen if 0 <= chosen < self.which.count() else 0)
        self.list.clear()
        for day, shape in sorted(self.days.items(), key=itemgetter(0)):
            name = _("no block") if shape is None else shape.title
            self._list(f"{_day_words(date.fromisoformat(day))}   {name}", day)
        for number, doubt in enumerate(self.doubts):
            self._list(_doubt_words(doubt), number)

    def _list(self, words: str, day: str | int) -> None:
        item = QListWidgetItem(words, self.list)
        item.setData(_DAY, day)

    def forget(self, gone: ShapeRow) -> int:
        """Take out the days of a shape that was taken out. Returns how many."""
        days = [day for day, row in self.days.items() if row is gone]
        for day in days:
            del self.days[day]
        return len(days)

    def _on_add(self) -> None:
        rows, index = self._table.rows, self.which.currentIndex()
        day = self.date.date()
        iso = date(day.year(), day.month(), day.day()).isoformat()
        self.days[iso] = rows[index] if index < len(rows) else None
        self.show_days()
        self.list.setCurrentRow(sorted(self.days).index(iso))
        self.date.setDate(day.addDays(1))

    def _on_remove(self) -> None:
        number = self.list.currentRow()
        item = self.list.currentItem()
        if item is not None:
            del (self.days if isinstance(item.data(_DAY), str) else self.doubts)[item.data(_DAY)]
            self.show_days()
            self.list.setCurrentRow(min(number, self.list.count() - 1))

    def _on_file(self) -> None:
        path = ask_file(self, _("Calendar"), "", _("Calendars (*.ics)"))
        if path is not None:
            self.read(path)

    def read(self, path: Path) -> None:
        """Read a calendar file in a thread and show what it holds; nothing is taken in yet."""
        self._offered, self._offered_doubts = {}, ()
        self.take_button.hide()
        self.result.setText("")
        shapes = self._table.shapes()
        if isinstance(shapes, WrongField):
            self.reader.forget()
            self._tell(shapes.words)
            self._table.point_at(shapes.field)
            return
        self._tell("")
        self.result.setText(_("Reading {file} …", file=clipped(path.name)))
        self.reader.ask(path, self._today, self._today + timedelta(days=AHEAD_DAYS))

    def _on_read(self, path: Path, read: "CalendarDays | list[Problem]") -> None:
        self.result.setText("")
        shapes = self._table.shapes()
        if isinstance(shapes, WrongField):  # typed meanwhile
            self._tell(shapes.words)
            return
        if isinstance(read, list):
            self._tell("\n".join(f"{path.name}: {each.what} {each.fix}".rstrip() for each in read))
            return
        of_shapes = DayShapes(shapes=shapes)
        named_days, strangers = days_named(((entry.day, entry.summary) for entry in read.entries), of_shapes)
        self._offered = named_days
        unread = ((each.summary, each.first, each.last) for each in read.unread)
        self._offered_doubts = doubts_in(unread, of_shapes)
        words = [found_words(path.name, named_days, strangers), *unread_lines(read.unread)]
        self.result.setText("\n".join(filter(None, words)))
        if named_days or self._offered_doubts or self.doubts:
            taken = counted("&Take this {n} day in", "&Take these {n} days in", len(named_days))
            only_doubts = _("&Remind me on the days that could not be read")
            self.take_button.setText(taken if named_days else only_doubts)
            self.take_button.setVisible(bool(named_days or self._offered_doubts))

    def _on_take(self) -> None:
        """Take the days in; a name that was changed since the file was read is left out, and said."""
        by_name = {row.title: row for row in self._table.rows}
        days = {day.isoformat(): by_name[name] for day, name in self._offered.items() if name in by_name}
        left = len(self._offered) - len(days)
        self.days.update(days)
        self.doubts = list(self._offered_doubts)  # another reading of the calendar leaves other things open
        self._offered, self._offered_doubts = {}, ()
        words = counted("{n} day taken in.", "{n} days taken in.", len(days))
        if left:
            words += " " + _("{n} name a shape that was changed; read the file again.").format(n=left)
        self.result.setText(words)
        self.take_button.hide()
        self.show_days()
        self.list.setFocus()


def found_words(file: str, days: dict[date, str], strangers: Sequence[tuple[date, str]]) -> str:
    """What a calendar file holds: days by shape, and the entries that name none."""
    if not days and not strangers:
        return _("{file} holds no day in the next {n} days.").format(file=clipped(file), n=AHEAD_DAYS)
    counts = ", ".join(f"{name} {count}" for name, count in sorted(Counter(days.values()).items()))
    lines = [counts + "." if counts else _("No entry names one of your shapes.")]
    if strangers:
        titles = (clipped(summary, 30) or _("without a title") for _day, summary in strangers)
        names = list(dict.fromkeys(titles))
        shown = ", ".join(names[:TOLD_STRANGERS]) + (", …" if len(names) > TOLD_STRANGERS else "")
        n = len(strangers)
        lines.append(
            counted("{n} entry names no shape: {names}", "{n} entries name no shape: {names}", n, names=shown)
        )
    return "\n".join(lines)


def unread_lines(unread: "Sequence[Unread]") -> list[str]:
    """What could not be read, a line each: where it stands, its words, why, and which days it may concern."""
    lines = [
        _(
            "Not read, line {line}: {name} ({days}). {why}",
            line=each.line, name=clipped(each.summary, 30) or _("without a title"),
            days=_span_words(each.first, each.last), why=each.why,
        )
        for each in unread[:TOLD_UNREAD]
    ]  # fmt: skip
    more = len(unread) - TOLD_UNREAD
    if more > 0:
        lines.append(counted("And {n} more.", "And {n} more.", more))
    return lines


def _doubt_words(doubt: Doubt) -> str:
    name = clipped(doubt.name, 30) or _("an event without a title")
    return _("{days}   {name}?  Could not be read", days=_span_words(doubt.first, doubt.last), name=name)


def _span_words(first: date, last: date) -> str:
    if first == last:
        return _day_words(first)
    return _("{first} to {last}", first=_day_words(first), last=_day_words(last))


def _day_words(day: date) -> str:
    return QLocale().toString(QDate(day.year, day.month, day.day), "ddd d MMM yyyy")
