"""Look back's first view: one lesson in ten seconds, one thing for tomorrow, and its repair."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import pairwise
from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import (
    QHBoxLayout,
    QLineEdit,
    QStackedWidget,
    QVBoxLayout,
    QWidget,
)

from pacer.frames.lesson_words import about_words, lesson_sentence
from pacer.frames.record import Record, RecordRow, marks_words, record
from pacer.frames.words.wording import ending_words, over_words, took_words
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords, RunRow
from pacer.plan.durations import format_duration
from pacer.qt.desk.tapes import paint_tapes
from pacer.qt.kit.widgets import button, fill_row, label, named, plain_table, scrolled
from pacer.qt.look_back.lesson_list import LessonList
from pacer.review.replay_with_stages import folded
from pacer.run.corrections import AfterEvent, AnyAfter, TakenBack, ThingTomorrow, repaired, standing
from pacer.run.events import Event
from pacer.run.fold import fold
from pacer.text import _

if TYPE_CHECKING:
    from pacer.qt.look_back.repair.panel import RepairPanel

THING_LETTERS = 200
LEAST_TAPE_PX, AXIS_PX, MOST_TAPES_PX, LEAST_TABLE_PX = 24, 40, 240, 130


class Tapes(QWidget):
    """Planned over actual of one record, painted to one scale."""

    def __init__(self) -> None:
        super().__init__()
        self.setMinimumHeight(AXIS_PX)
        self.setAccessibleName(_("Planned over actual"))
        self._rows: Sequence[RecordRow] = ()

    def show_rows(self, rows: Sequence[RecordRow]) -> None:
        """Paint another record; its words go to screen readers."""
        self._rows = rows
        # Every row and the axis below them; more than a few rows are painted closer.
        self.setMinimumHeight(min(MOST_TAPES_PX, LEAST_TAPE_PX * len(rows) + AXIS_PX))
        self.setAccessibleDescription(
            ". ".join(
                _("{title}: planned {planned}, took {actual}").format(
                    title=row.title, planned=format_duration(row.planned), actual=format_duration(row.actual)
                )
                for row in rows
            )
        )
        self.update()

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the tapes."""
        with QPainter(self) as painter:
            paint_tapes(painter, QRectF(self.rect()), self._rows)


class LessonView(QWidget):
    """A list of day records beside the one chosen."""

    def __init__(
        self, records: DayRecords | None, utc_now_ms: Callable[[], int], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName(_("A lesson"))
        self._records, self._utc_now_ms = records, utc_now_ms
        self._run: RunRow | None = None
        self._events: list[Event] = []
        self._said: list[AfterEvent] = []
        self.list = LessonList()
        self.list.chosen.connect(self._on_choice)
        self.title = label("", "title", wrap=True)
        self.sentence = label("", "large", wrap=True)
        self.about = label("", "quiet", wrap=True)
        self.trouble = label("", "notice", wrap=True)
        self.trouble.hide()
        self.tapes = Tapes()
        self.table = plain_table(
            _("Phases, planned and actual"),
            (_("Phase"), _("Planned"), _("Actual"), _("Over"), _("Ending")),
        )
        self.thing = QLineEdit()
        self.thing.setMaxLength(THING_LETTERS)
        self.thing.setPlaceholderText(_("Appears in the next outline you open"))
        named(self.thing, _("One thing tomorrow"))
        self.thing.editingFinished.connect(self.keep_thing)
        self.repair_button = button(
            _("Repa&ir…"), self._on_repair, tip=_("Mend forgotten or mistaken presses")
        )
        self.repair_button.setCheckable(True)
        self.repair: RepairPanel | None = None
        self._sides = QStackedWidget()
        self._lay_out()

    def _lay_out(self) -> None:
        head = QHBoxLayout()
        head.setSpacing(18)
        head.addWidget(self.title, 1)
        head.addWidget(self.repair_button, 0, Qt.AlignmentFlag.AlignTop)
        shown = QWidget()
        column = QVBoxLayout(shown)
        column.setContentsMargins(0, 0, 0, 0)
        column.addWidget(self.tapes, 3)
        column.addWidget(self.table, 2)
        self.table.setMinimumHeight(LEAST_TABLE_PX)
        # In a low window both are scrolled to, and neither is cut off.
        self._shown = scrolled(shown, _("Planned over actual"))
        self._sides.addWidget(self._shown)
        tomorrow = QHBoxLayout()
        tomorrow.setSpacing(12)
        self._thing_label = label(_("One thing tomorrow"), bold=True)
        tomorrow.addWidget(self._thing_label)
        tomorrow.addWidget(self.thing, 1)
        right = QVBoxLayout()
        right.setSpacing(8)
        right.addLayout(head)
        for widget in (self.sentence, self.about, self.trouble):
            right.addWidget(widget)
        right.addWidget(self._sides, 1)
        right.addLayout(tomorrow)
        left = QVBoxLayout()
        left.addWidget(self.list, 1)
        columns = QHBoxLayout(self)
        columns.setContentsMargins(0, 0, 0, 0)
        columns.setSpacing(24)
        columns.addLayout(left, 5)
        columns.addLayout(right, 15)
        for before, following in pairwise((self.list, self.repair_button, self.table, self.thing)):
            QWidget.setTabOrder(before, following)

    def reload(self) -> None:
        """Read the list again; the lesson shown stays chosen, else the newest is."""
        self.keep_thing()
        shown = None if self._run is None else self._run.id
        newest = self._newest()
        self.list.show_runs(())
        try:
            runs = [] if self._records is None else self._records.runs()
        except LogError as error:
            self._show_nothing(_("The day records can't be read"), str(error))
            return
        self.list.show_runs(runs)
        if not runs:
            self._show_nothing(
                _("No day records yet"), _("After a lesson, planned over actual is shown here.")
            )
            return
        # A lesson that was taught since is what she wants to see.
        wanted = shown if runs[0].id == newest else runs[0].id
        self.list.choose_row(next((row for row, run in enumerate(runs) if run.id == wanted), 0))

    def _newest(self) -> int | None:
        run = self.list.run(0)
        return None if run is None else run.id

    def _on_choice(self, run: object) -> None:
        if isinstance(run, RunRow) and self._records is not None:
            self.keep_thing()
            self._show_run(run)

    def _show_run(self, run: RunRow) -> None:
        if self._records is None:
            return
        try:
            self._events = self._records.events(run.id)
            self._said = self._records.after().of(run.id)
        except LogError as error:
            self._show_nothing(_("This day record can't be read"), str(error))
            return
        self._run = run
        self._show()

    def _show(self) -> None:
        """Show the lesson as it was mended."""
        original, after = fold(self._events), standing(self._said)
        state = repaired(original, after)
        found = record(state, self._events[-1].t_ms)
        self.title.setText(found.title)
        self.sentence.setText(lesson_sentence(self._events, self._said))
        # Why groups started late is said above, in a sentence.
        marks = marks_words(replace(found, lateness=()) if self.sentence.text() else found)
        self.about.setText(about_words(found, state, after, marks))
        self.thing.setText(after.thing)
        self._show_parts(True)
        self.repair_button.setEnabled(state.ended_ms is not None and self._can_write())
        self.tapes.show_rows(found.phases)
        self._fill(found)
        if self.repair is not None and self.repair_button.isChecked():
            self.repair.show_lesson(original, after, folded(self._events)[1])

    def _fill(self, found: Record) -> None:
        self.table.setRowCount(len(found.phases))
        for number, row in enumerate(found.phases):
            texts = (
                row.title,
                format_duration(row.planned),
                took_words(row.actual, cut_off=row.cut_off, reached=row.visits > 0),
                over_words(row.over),
                ending_words(row.ending),
            )
            fill_row(self.table, number, texts, right=(1, 2, 3))

    def _show_nothing(self, title: str, about: str) -> None:
        self._run = None
        self.title.setText(title)
        self.sentence.setText("")
        self.about.setText(about)
        self._show_parts(False)

    def _show_parts(self, shown: bool) -> None:
        repairing = shown and self.repair_button.isChecked()  # a repair needs the room
        self.sentence.setVisible(shown and not repairing and bool(self.sentence.text()))
        self.about.setVisible(not repairing)
        for widget in (self._sides, self.tapes, self.table, self.repair_button):
            widget.setVisible(shown)
        for part in (self.thing, self._thing_label):
            part.setVisible(shown and not repairing)
        self.thing.setEnabled(self._can_write())

    def _can_write(self) -> bool:
        return self._records is not None and self._records.can_write

    # --- what is said about a lesson

    def keep_thing(self) -> None:
        """Keep the thing for tomorrow if it was changed."""
        if self._run is None:
            return
        text = " ".join(self.thing.text().split())
        if text != standing(self._said).thing:
            self._say(ThingTomorrow(text=text))

    def _on_repair(self) -> None:
        """Show the repair in place of the tapes, or the tapes again."""
        if self.repair is None:
            from pacer.qt.look_back.repair.panel import RepairPanel

            self.repair = RepairPanel()
            self.repair.said.connect(self._on_said)
            self.repair.taken_back.connect(self._on_taken_back)
            self._sides.addWidget(self.repair)
        repairing = self.repair_button.isChecked()
        self._sides.setCurrentWidget(self.repair if repairing else self._shown)
        self.repair_button.setText(_("Repa&ir is done") if repairing else _("Repa&ir…"))
        self._show()

    def _on_said(self, body: AnyAfter) -> None:
        self._say(body)

    def _on_taken_back(self, number: int) -> None:
        self._say(TakenBack(target=number))

    def _say(self, body: AnyAfter) -> None:
        """Write it down, then show the lesson again; what can't be written is told and changes nothing."""
        if self._run is None or self._records is None:
            return
        try:
            self._said.append(self._records.after().say(self._run.id, body, self._utc_now_ms()))
            self.trouble.hide()
        except LogError as error:
            # The text itself, too: another lesson may be shown by now.
            what = f"“{body.text}”" if isinstance(body, ThingTomorrow) else _("What you entered")
            self.trouble.setText(_("{reason} {what} is not kept.").format(reason=error, what=what))
            self.trouble.show()
            return
        self._show()
