"""Look back's first view: one lesson in ten seconds, one thing for tomorrow, and its repair."""

from collections.abc import Callable, Sequence
from itertools import pairwise
from typing import TYPE_CHECKING

from PySide6.QtCore import QRectF, Qt
from PySide6.QtGui import QPainter, QPaintEvent
from PySide6.QtWidgets import QLineEdit, QStackedWidget, QWidget

from pacer.editing.correct_lesson import CorrectedLesson, NotKeptError
from pacer.frames.record import RecordRow
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords, RunRow
from pacer.plan.durations import format_duration
from pacer.qt.desk.tapes import paint_tapes
from pacer.qt.kit.rows import TOP, column_of, row_of
from pacer.qt.kit.widgets import PlainTable, button, label, named, notice, scrolled, show_words
from pacer.qt.look_back.left_over import LeftOverRows
from pacer.qt.look_back.lesson_list import LessonList
from pacer.run.corrections import AnyAfter
from pacer.run.table_list import LineKey
from pacer.text import _, counted

if TYPE_CHECKING:
    from pacer.qt.look_back.repair.panel import RepairPanel

MOST_LETTERS = 200
LEAST_LIST_PX = 256  # a day, a time and what kind of lesson it was
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
        with QPainter(self) as painter:
            paint_tapes(painter, QRectF(self.rect()), self._rows)


class LessonView(QWidget):
    """A list of day records beside the one chosen."""

    def __init__(self, records: DayRecords | None, utc_now_ms: Callable[[], int]) -> None:
        super().__init__()
        self.setAccessibleName(_("A lesson"))
        self.lesson = CorrectedLesson(records, utc_now_ms)
        self.list = LessonList()
        self.list.chosen.connect(self._on_choice)
        self.title = label("", "title", wrap=True)
        self.sentence = label("", "large", wrap=True)
        self.about = label("", "quiet", wrap=True)
        self.trouble = notice()
        self.tapes = Tapes()
        headings = (_("Phase"), _("Planned"), _("Actual"), _("Over"), _("Ending"))
        self.table = PlainTable(_("Phases, planned and actual"), headings)
        self.left_heading = label(_("What was left over, and where it goes"), bold=True)
        self.left = LeftOverRows()
        self.left.said.connect(self._on_left)
        self.tomorrow_note = named(QLineEdit(), _("One thing tomorrow"))
        self.tomorrow_note.setMaxLength(MOST_LETTERS)
        self.tomorrow_note.setPlaceholderText(_("Appears in the next outline you open"))
        self.tomorrow_note.editingFinished.connect(self.keep_tomorrow_note)
        tip = _("Mend forgotten or mistaken presses")
        self.repair_button = button(_("Repa&ir…"), self._on_repair, tip=tip)
        self.repair_button.setCheckable(True)
        self.open_button = button("", self._on_open, tip=_("To what was left over and has no answer yet"))
        self.repair: RepairPanel | None = None
        self._sides = QStackedWidget()
        self._lay_out()

    def _lay_out(self) -> None:
        shown = QWidget()
        column_of((self.tapes, 3), self.left_heading, self.left, (self.table, 2), inside=shown)
        self.table.setMinimumHeight(LEAST_TABLE_PX)
        # In a low window both are scrolled to, and neither is cut off.
        self._shown = scrolled(shown, _("Planned over actual"))
        self._sides.addWidget(self._shown)
        self._tomorrow_note_label = label(_("One thing tomorrow"), bold=True)
        right = column_of(
            row_of((self.title, 1), (self.open_button, 0, TOP), (self.repair_button, 0, TOP), gap=18),
            self.sentence,
            self.about,
            self.trouble,
            (self._sides, 1),
            row_of(self._tomorrow_note_label, (self.tomorrow_note, 1), gap=12),
            gap=8,
        )
        self.list.setMinimumWidth(LEAST_LIST_PX)
        row_of((self.list, 5), (right, 15), gap=24, inside=self)
        self._order_tabs()

    def _order_tabs(self) -> None:
        """Set the tab order to the order on the screen; the rows of what was left over come and go."""
        above = self.list, self.open_button, self.repair_button
        order = *above, *self.left.chips.values(), self.table, self.tomorrow_note
        for before, following in pairwise(order):
            QWidget.setTabOrder(before, following)

    def reload(self) -> None:
        """Read the list again, and show a lesson of it."""
        self.keep_tomorrow_note()
        self.list.show_runs(())
        try:
            runs, shown = self.lesson.read_list()
        except LogError as error:
            self._show_nothing(_("The day records can't be read"), str(error))
            return
        self.list.show_runs(runs)
        if runs:
            self.list.choose_row(shown)
            return
        self._show_nothing(_("No day records yet"), _("After a lesson, planned over actual is shown here."))

    def _on_choice(self, run: object) -> None:
        if not isinstance(run, RunRow):
            return
        self.keep_tomorrow_note()
        try:
            self.lesson.open(run)
        except LogError as error:
            self._show_nothing(_("This day record can't be read"), str(error))
        else:
            self._show()

    def _show(self) -> None:
        """Show the lesson as it was mended."""
        shown, repair = self.lesson.frame(), self.lesson.repair
        self.title.setText(shown.title)
        self.sentence.setText(shown.sentence)
        self.about.setText(shown.about)
        self.tomorrow_note.setText(shown.tomorrow_note)
        count = shown.still_open
        self.open_button.setText(counted("{n} still &open", "{n} still &open", count) if count else "")
        self._show_parts(True)
        self.repair_button.setEnabled(shown.may_repair)
        self.tapes.show_rows(shown.phases)
        self.table.show_rows(shown.cells, right=(1, 2, 3))
        self.left.show_rows(shown.left, enabled=self.lesson.can_write)
        self.left_heading.setVisible(bool(shown.left))
        self._order_tabs()
        if self.repair is not None and self.repair_button.isChecked():
            self.repair.show_lesson(repair.original, repair.after, repair.stages)

    def _show_nothing(self, title: str, about: str) -> None:
        self.lesson.close()
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
        self.open_button.setVisible(shown and not repairing and bool(self.open_button.text()))
        for part in (self.tomorrow_note, self._tomorrow_note_label):
            part.setVisible(shown and not repairing)
        self.tomorrow_note.setEnabled(self.lesson.can_write)

    # --- what is said about a lesson

    def keep_tomorrow_note(self) -> None:
        """Save the note for tomorrow if it was changed."""
        if self.lesson.is_other_tomorrow_note(self.tomorrow_note.text()):
            self._say(self.lesson.say_tomorrow_note, self.tomorrow_note.text())

    def _on_repair(self) -> None:
        """Show the repair in place of the tapes, or the tapes again; what was typed for tomorrow is kept."""
        self.keep_tomorrow_note()
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
        self._say(self.lesson.say, body)

    def _on_open(self) -> None:
        """Take the keyboard to the first question without an answer, and bring it into sight."""
        chip = self.left.first_open()
        if chip is not None:
            chip.setFocus(Qt.FocusReason.ShortcutFocusReason)
            self._shown.ensureWidgetVisible(self.left)
            self._shown.ensureWidgetVisible(chip)

    def _on_left(self, key: LineKey, went: str) -> None:
        self._say(self.lesson.say_left, key, went)

    def _on_taken_back(self, number: int) -> None:
        self._say(self.lesson.take_back, number)

    def _say(self, say: Callable[..., None], *what: object) -> None:
        """Write a correction and show the lesson again; a failure is told and changes nothing."""
        try:
            say(*what)
        except NotKeptError as error:
            show_words(self.trouble, str(error))
            return
        self.trouble.hide()
        self._show()
