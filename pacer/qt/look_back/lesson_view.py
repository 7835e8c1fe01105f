"""Look back's first view: one lesson in ten seconds, one thing for tomorrow, and its repair."""

from collections.abc import Callable, Sequence
from functools import partial
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

from pacer.editing.correct_lesson import CorrectedLesson, NotKeptError
from pacer.frames.record import RecordRow
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords, RunRow
from pacer.plan.durations import format_duration
from pacer.qt.desk.tapes import paint_tapes
from pacer.qt.kit.widgets import button, fill_row, label, named, plain_table, scrolled
from pacer.qt.look_back.lesson_list import LessonList
from pacer.run.corrections import AnyAfter
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
        self.lesson = CorrectedLesson(records, utc_now_ms)
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
        """Read the list again, and show a lesson of it."""
        self.keep_thing()
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
        self.keep_thing()
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
        self.thing.setText(shown.tomorrow_note)
        self._show_parts(True)
        self.repair_button.setEnabled(shown.may_repair)
        self.tapes.show_rows(shown.phases)
        self.table.setRowCount(len(shown.cells))
        for number, cells in enumerate(shown.cells):
            fill_row(self.table, number, cells, right=(1, 2, 3))
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
        for part in (self.thing, self._thing_label):
            part.setVisible(shown and not repairing)
        self.thing.setEnabled(self.lesson.can_write)

    # --- what is said about a lesson

    def keep_thing(self) -> None:
        """Keep the thing for tomorrow if it was changed."""
        if self.lesson.is_other_tomorrow_note(self.thing.text()):
            self._say(partial(self.lesson.say_tomorrow_note, self.thing.text()))

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
        self._say(partial(self.lesson.say, body))

    def _on_taken_back(self, number: int) -> None:
        self._say(partial(self.lesson.take_back, number))

    def _say(self, say: Callable[[], None]) -> None:
        """Write it down, then show the lesson again; what can't be written is told and changes nothing."""
        try:
            say()
        except NotKeptError as error:
            self.trouble.setText(str(error))
            self.trouble.show()
            return
        self.trouble.hide()
        self._show()
