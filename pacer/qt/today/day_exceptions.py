"""Exceptions by date: listed, added, taken out, and taken in from a calendar file."""

from collections import Counter
from collections.abc import Callable, Sequence
from datetime import date, timedelta
from pathlib import Path

from PySide6.QtCore import QDate, QLocale, Qt
from PySide6.QtWidgets import (
    QComboBox,
    QDateEdit,
    QFileDialog,
    QHBoxLayout,
    QLineEdit,
    QListWidget,
    QListWidgetItem,
    QVBoxLayout,
    QWidget,
)

from pacer.plan.day_shapes import DayShape, DayShapes, days_named
from pacer.plan.problems import Problem, clipped
from pacer.qt.kit.widgets import button, label, named
from pacer.qt.today.shape_rows import ShapeRow, WrongField
from pacer.text import _, ngettext

AHEAD_DAYS = 400
TOLD_STRANGERS = 4
_DAY = Qt.ItemDataRole.UserRole


class DayExceptions(QWidget):
    """The days that differ from the week. A day holds a row of the shapes' table, None for no block."""

    def __init__(
        self,
        today: date,
        rows: Callable[[], Sequence[ShapeRow]],
        shapes: Callable[[], tuple[DayShape, ...] | WrongField],
        tell: Callable[[str], object],
        point_at: Callable[[QLineEdit], object],
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName(_("Exceptions"))
        self._today, self._rows, self._shapes = today, rows, shapes
        self._tell, self._point_at = tell, point_at
        self.days: dict[str, ShapeRow | None] = {}
        self._found: dict[date, str] = {}
        self.list = QListWidget()
        self.list.setMinimumHeight(96)
        named(self.list, _("Exceptions by date"))
        self.date = QDateEdit(QDate(today.year, today.month, today.day))
        self.date.setCalendarPopup(True)
        self.date.setDisplayFormat("d MMM yyyy")
        self.date.setMinimumWidth(140)
        self.date.setMinimumHeight(36)
        named(self.date, _("Date of an exception"))
        self.which = QComboBox()
        self.which.setMinimumHeight(36)
        named(self.which, _("Shape of that day"))
        self.add_button = button(_("Add day"), self._on_add)
        self.remove_button = button(_("Take day out"), self._on_remove)
        self.file_button = button(_("From a calendar &file…"), self._on_file)
        self.found = label("", wrap=True)
        self.take_button = button("", self._on_take)
        self.take_button.hide()
        self._lay_out()

    def _lay_out(self) -> None:
        add = QHBoxLayout()
        for widget in (self.date, self.which, self.add_button, self.remove_button):
            add.addWidget(widget)
        take = QHBoxLayout()
        take.addWidget(self.file_button, 0, Qt.AlignmentFlag.AlignTop)
        take.addWidget(self.found, 1)
        take.addWidget(self.take_button, 0, Qt.AlignmentFlag.AlignTop)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(0, 0, 0, 0)
        whole.setSpacing(8)
        whole.addWidget(label(_("Days that differ"), bold=True))
        whole.addWidget(self.list, 1)
        whole.addLayout(add)
        whole.addLayout(take)

    def show_days(self) -> None:
        """List the days from today on, in order, by the names as they are typed now."""
        chosen = self.which.currentIndex()
        self.which.clear()
        for row in self._rows():
            self.which.addItem(row.title)
        self.which.addItem(_("no block"))
        self.which.setCurrentIndex(chosen if 0 <= chosen < self.which.count() else 0)
        self.list.clear()
        for day, shape in sorted(self.days.items(), key=_by_day):
            name = _("no block") if shape is None else shape.title
            words = f"{_day_words(date.fromisoformat(day))}   {name}"
            item = QListWidgetItem(words)
            item.setData(_DAY, day)
            self.list.addItem(item)

    def forget(self, gone: ShapeRow) -> int:
        """Take out the days of a shape that was taken out. Returns how many."""
        days = [day for day, row in self.days.items() if row is gone]
        for day in days:
            del self.days[day]
        return len(days)

    def _on_add(self) -> None:
        rows, index = self._rows(), self.which.currentIndex()
        day = self.date.date()
        iso = date(day.year(), day.month(), day.day()).isoformat()
        self.days[iso] = rows[index] if index < len(rows) else None
        self.show_days()
        self._choose(iso)
        self.date.setDate(day.addDays(1))

    def _choose(self, iso: str) -> None:
        for number in range(self.list.count()):
            if self.list.item(number).data(_DAY) == iso:
                self.list.setCurrentRow(number)

    def _on_remove(self) -> None:
        number = self.list.currentRow()
        item = self.list.currentItem()
        if item is not None:
            del self.days[item.data(_DAY)]
            self.show_days()
            self.list.setCurrentRow(min(number, self.list.count() - 1))

    def _on_file(self) -> None:
        name, _kind = QFileDialog.getOpenFileName(self, _("Calendar"), "", _("Calendars (*.ics)"))
        if name:
            self.read(Path(name))

    def read(self, path: Path) -> None:
        """Read a calendar file and show what it holds; nothing is taken in yet."""
        # Loaded here, for the library is large and seldom wanted.
        from dateutil.tz import tzlocal

        from pacer.plan.calendar_file import CalendarEntry, read_calendar

        self._found = {}
        self.take_button.hide()
        shapes = self._shapes()
        if isinstance(shapes, WrongField):
            self.found.setText("")
            self._tell(shapes.words)
            self._point_at(shapes.field)
            return
        read = read_calendar(path, self._today, self._today + timedelta(days=AHEAD_DAYS), tzlocal())
        entries = [entry for entry in read if isinstance(entry, CalendarEntry)]
        problems = [found for found in read if isinstance(found, Problem)]
        if problems:
            self.found.setText("")
            self._tell("\n".join(f"{path.name}: {found.what} {found.fix}".rstrip() for found in problems))
            return
        named_days, strangers = days_named(
            ((entry.day, entry.summary) for entry in entries), DayShapes(shapes=shapes)
        )
        self._tell("")
        self._found = named_days
        self.found.setText(found_words(path.name, named_days, strangers))
        if named_days:
            words = ngettext("&Take this {n} day in", "&Take these {n} days in", len(named_days))
            self.take_button.setText(words.format(n=len(named_days)))
            self.take_button.show()

    def _on_take(self) -> None:
        """Take the days in; a name that was changed since the file was read is left out, and said."""
        by_name = {row.title: row for row in self._rows()}
        taken = {day.isoformat(): by_name[name] for day, name in self._found.items() if name in by_name}
        left = len(self._found) - len(taken)
        self.days.update(taken)
        self._found = {}
        words = ngettext("{n} day taken in.", "{n} days taken in.", len(taken)).format(n=len(taken))
        if left:
            words += " " + _("{n} name a shape that was changed; read the file again.").format(n=left)
        self.found.setText(words)
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
        words = ngettext("{n} entry names no shape: {names}", "{n} entries name no shape: {names}",
                         len(strangers))  # fmt: skip
        lines.append(words.format(n=len(strangers), names=shown))
    return "\n".join(lines)


def _by_day(entry: tuple[str, object]) -> str:
    return entry[0]


def _day_words(day: date) -> str:
    return QLocale().toString(QDate(day.year, day.month, day.day), "ddd d MMM yyyy")
