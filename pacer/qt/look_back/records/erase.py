"""Deletes day records for good: which dates, what would go and what stays, and a word to type first."""

from contextlib import suppress
from pathlib import Path

from PySide6.QtCore import QDate, QSignalBlocker, Signal
from PySide6.QtWidgets import QCheckBox, QComboBox, QDateEdit, QLineEdit, QStackedWidget, QWidget

from pacer.frames.words.records import day_of, erased_words, going_words, span_words, staying_words
from pacer.log.database import LogError
from pacer.log.date_span import DateSpan
from pacer.log.day_records import DayRecords
from pacer.log.erase import Erasable, erasable, erase, school_years
from pacer.log.erase_outlines import erase_outlines, outlines_of
from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.widgets import button, fill_choices, label, named, shortcut, show_words
from pacer.run.clock import Clock, local_now
from pacer.settings.folders import Folders
from pacer.settings.planned_days import PlannedDaysStore
from pacer.text import _

_ISO = "yyyy-MM-dd"
DAY, RANGE, YEAR = "day", "range", "year"


class ErasePanel(QWidget):
    """Choose, read, type a word, delete. ``done`` is as of ``DataPanel``."""

    done = Signal(str, str, bool)

    def __init__(self, records: DayRecords, where: Folders, clock: Clock) -> None:
        super().__init__()
        self.setAccessibleName(_("Delete for good"))
        self._records, self._where, self._clock = records, where, clock
        self._erasable: Erasable | None = None
        self._outlines: tuple[Path, ...] = ()
        self._dates_set = False
        self.which = named(QComboBox(), _("What to delete"))
        kinds = ((_("One day"), DAY), (_("From – to"), RANGE), (_("A school year"), YEAR))
        fill_choices(self.which, kinds)
        self.since, self.until = self._date(_("From")), self._date(_("To"))
        self._to = label(_("to"), "quiet")
        self.year = named(QComboBox(), _("School year"))
        self.keep = QCheckBox(_("Keep outlines"))
        self.keep.setChecked(True)
        self.keep.setAccessibleDescription(
            _("Without the tick, outlines by which no other lesson was taught are deleted as well")
        )
        self.going, self.staying = label("", wrap=True), label("", "quiet", wrap=True)
        self.ask_button = button(_("&Delete for good…"), self._on_ask)
        self.typed = named(QLineEdit(), _("Type {word} to delete for good").format(word=_word()))
        self.yes_button = button(_("Delete for good"), self._on_yes)
        self.no_button = button(_("Keep all"), self.give_up)
        self._choices, self._asked, self._pages = QWidget(), QWidget(), QStackedWidget()
        self._lay_out()
        self.which.activated.connect(self._look)
        self.year.activated.connect(self._look)
        self.keep.toggled.connect(self._look)
        self.typed.textChanged.connect(self._on_typed)
        self.typed.returnPressed.connect(self._on_yes)

    def _date(self, name: str) -> QDateEdit:
        edit = named(QDateEdit(), name)
        edit.setCalendarPopup(True)
        edit.setDisplayFormat(_ISO)
        edit.setMinimumWidth(130)
        edit.dateChanged.connect(self._look)
        return edit

    def _lay_out(self) -> None:
        dates = row_of(self.since, self._to, self.until, self.year, STRETCH, gap=8)
        column_of(self.which, dates, self.keep, gap=8, inside=self._choices)
        first = QWidget()
        column_of(self.ask_button, STRETCH, gap=8, inside=first)
        words = _("This can't be undone. To go on, type: {word}").format(word=_word())
        caption = label(words, bold=True, wrap=True, of=self.typed)
        answers = row_of(self.no_button, self.yes_button, STRETCH)
        column_of(caption, self.typed, answers, STRETCH, gap=8, inside=self._asked)
        shortcut("Escape", self._asked, self.give_up)
        for page in (first, self._asked):
            self._pages.addWidget(page)
        heading = label(_("Delete for good"), bold=True)
        parts = heading, self._choices, self.going, self.staying, self._pages, STRETCH
        column_of(*parts, gap=8, inside=self)

    @property
    def is_asking(self) -> bool:
        """Whether the word is to be typed."""
        return self._pages.currentWidget() is self._asked

    def reload(self) -> None:
        """Read again what there is, and begin anew."""
        self._turn_to(0)
        with suppress(LogError):  # what can't be read is told by the list beside this
            self._offer()
        self._look()

    def _offer(self) -> None:
        """Offer the school years and, the first time, the dates of the lessons."""
        years = ((span_words(span), span) for span in school_years(self._records))
        fill_choices(self.year, years, self.year.currentData())
        runs = [*self._records.runs(), *self._records.trashed_runs()]
        if self._dates_set:
            return
        self._dates_set = bool(runs)
        last = max((day_of(run) for run in runs), default=local_now(self._clock).date().isoformat())
        for edit in (self.since, self.until):
            with QSignalBlocker(edit):
                edit.setDate(QDate.fromString(last, _ISO))

    def show_day(self, iso: str) -> None:
        """Offer the day of the lesson that is chosen in the list, while nothing is being asked."""
        day = QDate.fromString(iso, _ISO)
        if not self.is_asking and self.which.currentData() == DAY and day.isValid():
            self.since.setDate(day)

    @property
    def span(self) -> DateSpan | None:
        """The dates chosen; None where they are none."""
        kind = self.which.currentData()
        if kind == YEAR:
            chosen = self.year.currentData()
            return chosen if isinstance(chosen, DateSpan) else None
        since = self.since.date().toString(_ISO)
        until = since if kind == DAY else self.until.date().toString(_ISO)
        return DateSpan(since, until) if since <= until else None

    def _look(self, *_changed: object) -> None:
        """Say what would go and what stays."""
        kind = self.which.currentData()
        for widget, shown in ((self.since, kind != YEAR), (self._to, kind == RANGE),
                              (self.until, kind == RANGE), (self.year, kind == YEAR)):  # fmt: skip
            widget.setVisible(shown)
        span, self._erasable, self._outlines = self.span, None, ()
        if span is None:
            nothing = _("There are no school years with lessons yet.") if kind == YEAR else ""
            self._show(nothing or _("“From” is later than “to”: nothing is chosen."), "")
            return
        try:
            self._erasable = erasable(self._records, span, self._clock.now().utc_ms)
            if not self.keep.isChecked():
                self._outlines = outlines_of(self._records, self._where, self._erasable)
            total = len(self._records.runs()) + len(self._records.trashed_runs())
        except LogError as error:
            self._erasable = None
            self._show(str(error), "")
            return
        others = max(0, total - len(self._erasable.lessons))
        self._show(
            going_words(self._erasable, self._outlines),
            staying_words(self._erasable, others, self.keep.isChecked()),
        )

    def _show(self, going: str, staying: str) -> None:
        self.going.setText(going)
        show_words(self.staying, staying)
        can = self._records.can_write and self._erasable is not None and not self._erasable.is_empty
        self.ask_button.setEnabled(can)

    def _on_ask(self) -> None:
        self._look()
        if not self.ask_button.isEnabled():
            return
        self.typed.clear()
        self.typed.setAccessibleDescription(f"{self.going.text()} {self.staying.text()}")
        self._on_typed()
        self._turn_to(1)
        self.typed.setFocus()

    def _on_typed(self, *_text: object) -> None:
        self.yes_button.setEnabled(self._is_typed())

    def _is_typed(self) -> bool:
        return self.typed.text().strip().casefold() == _word().casefold()

    def give_up(self) -> None:
        """Delete nothing and go back to the choices."""
        self._turn_to(0)
        self.ask_button.setFocus()

    def _turn_to(self, page: int) -> None:
        """Show the button or the question; while it is asked, nothing else can be chosen."""
        self._pages.setCurrentIndex(page)
        self._choices.setVisible(page == 0)

    def _on_yes(self) -> None:
        if not self.is_asking or not self._is_typed() or self._erasable is None:
            return
        span, outlines = self._erasable.span, self._outlines
        self._turn_to(0)
        self.which.setFocus()
        with QSignalBlocker(self.keep):
            self.keep.setChecked(True)  # to delete outlines, too, is said each time anew
        try:
            done = erase(self._records, span, self._clock.now().utc_ms)
        except LogError as error:
            self.done.emit("", str(error), False)
            return
        left = [*done.left, *self._without_outlines(outlines), *self._without_starts()]
        gone = sum(not path.exists() for path in outlines)
        self.done.emit(erased_words(done, gone), "\n".join(dict.fromkeys(left)), True)

    def _without_outlines(self, paths: tuple[Path, ...]) -> tuple[str, ...]:
        """Delete the outlines that were named; returns what is left."""
        if not paths:
            return ()
        try:
            return erase_outlines(self._records, self._where, paths)
        except LogError as error:
            return (str(error),)

    def _without_starts(self) -> tuple[str, ...]:
        """Let the planned days forget when the deleted lessons began; returns what is left."""
        try:
            runs = *self._records.runs(), *self._records.trashed_runs()
        except LogError as error:
            return (str(error),)
        planned = PlannedDaysStore(self._where.planned_days_file, self._clock)
        return tuple(filter(None, [planned.keep_lessons({run.started_utc_ms for run in runs})]))


def _word() -> str:
    """What is to be typed."""
    return _("delete")
