"""The repair's table of visits: when each began and ended, which can be typed, and how it ended."""

from collections.abc import Callable
from functools import partial

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QLabel, QWidget

from pacer.frames.after_school.coach_lines import reason_words
from pacer.frames.after_school.repair_times import read_begin, read_end, read_took
from pacer.frames.after_school.timeline import START, Border, Timeline, timeline
from pacer.frames.words.wording import ending_words
from pacer.qt.kit.rows import LEFT, RIGHT, grid_of
from pacer.qt.kit.widgets import label
from pacer.qt.look_back.repair.fields import ElidedLabel, EndingBox, TimeField
from pacer.run.corrections import Corrections
from pacer.run.state import LessonState
from pacer.text import _

_TIME_PX = 88
_COLUMNS = 7


class VisitRow:
    """The widgets of one visit, made once and filled again; ``end_typed`` is the table's signal."""

    def __init__(self, table: "VisitTable", visit: int) -> None:
        self._table, self._visit = table, visit
        self.number, self.phase = label(str(visit + 1), "quiet"), ElidedLabel()
        self.reason = label("", "quiet")
        # All others begin where the one before ends.
        self.began = self._field(read_begin, START) if visit == 0 else label()
        self.ended, self.took = self._field(read_end, visit), self._field(read_took, visit)
        self.ending, self.ending_label = EndingBox(), label()
        each_time = self.began, self.ended, self.took
        self.fields = tuple(each for each in each_time if isinstance(each, TimeField))
        self.ending.chosen.connect(table.ending_chosen.emit)

    @property
    def widgets(self) -> tuple[QWidget, ...]:
        """All of them, in the order of the columns."""
        endings = (self.ending, self.ending_label)
        notes = tuple(field.note for field in self.fields)
        return (self.number, self.phase, self.began, self.ended, self.took, *endings, self.reason, *notes)

    def _field(self, read: Callable[[Timeline, Border, str], int], of: int) -> TimeField:
        """A time at the end of a visit; of START, at the begin of the lesson."""
        field = TimeField(of, partial(self._read, read, of), partial(self._words, of))
        field.setFixedWidth(_TIME_PX)
        field.setAlignment(Qt.AlignmentFlag.AlignRight)
        field.typed.connect(self._on_typed)
        return field

    def _border(self, of: int) -> Border:
        return next(each for each in self._table.line.borders if each.visit == of)

    def _read(self, read: Callable[[Timeline, Border, str], int], of: int, text: str) -> int:
        return read(self._table.line, self._border(of), text)

    def _words(self, of: int, t_ms: int) -> str:
        return self._table.line.preview_words(of, t_ms)

    def _on_typed(self, of: int, t_ms: int) -> None:
        line = self._table.line
        if line.clock(t_ms) == line.clock(self._border(of).t_ms):
            self.forget()  # the very second that is shown
        else:
            self._table.end_typed.emit(of, t_ms)

    def show(self, state: LessonState, after: Corrections, *, fixed: bool) -> None:
        """Fill the row; ``fixed``: nothing can be changed."""
        line, visit = self._table.line, state.visits[self._visit]
        piece, index = line.pieces[self._visit], visit.index
        self.phase.setText(piece.title)
        can = not fixed and any(each.visit == self._visit for each in line.borders)
        ended = visit.end_ms is not None
        began = line.clock(piece.begin_ms)
        if isinstance(self.began, TimeField):
            self.began.setAccessibleName(_("The lesson really began at"))
            self.began.show_time(began)
            self.began.setEnabled(can)
        else:
            self.began.setText(began)
        for field, name, text in (
            (self.ended, _("{phase} ended at"), line.clock(piece.end_ms)),
            (self.took, _("{phase} took"), line.length_words(self._visit)),
        ):
            field.setAccessibleName(name.format(phase=piece.title))
            field.show_time(text if ended else "")
            field.setEnabled(can)
        last = not any(each.index == index for each in state.visits[self._visit + 1 :])
        self.ending_label.setText(ending_words(visit.ending))
        choose = can and last and visit.ending is not None
        self.ending.setVisible(choose)
        self.ending_label.setVisible(not choose)
        if visit.ending is not None:
            self.ending.show_ending(index, piece.title, visit.ending)
        reason = dict(after.reasons).get(index, "") if last else ""
        self.reason.setText(reason_words(reason) if reason else "")

    def forget(self) -> None:
        """Discard what was typed and show the times in force."""
        for field in self.fields:
            field.forget()


class VisitTable(QWidget):
    """A row for every visit.

    ``end_typed`` carries a visit and the lesson time in ms of its end (START: of the begin),
    ``ending_chosen`` a phase and how it ended.
    """

    end_typed = Signal(int, object)
    ending_chosen = Signal(int, str)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("Visits"))
        self.line = Timeline()
        self.rows: list[VisitRow] = []
        self._grid = grid_of(8, 4, inside=self, shares={1: 3, _COLUMNS - 1: 2})
        headings = ("", _("Phase"), _("Began"), _("Ended"), _("Took"), _("Ending"), _("Reason"))
        for column, words in enumerate(headings):
            self._grid.addWidget(_heading(words, right=column in (2, 3, 4)), 0, column)

    def show_visits(self, original: LessonState, state: LessonState, after: Corrections, *, fixed: bool,
                    anew: bool) -> None:  # fmt: skip
        """Show the visits of a lesson; ``anew``: what was typed belongs to another lesson."""
        self.line = timeline(original, state)
        while len(self.rows) > len(state.visits):
            for widget in self.rows.pop().widgets:
                self._grid.removeWidget(widget)
                widget.hide()
                widget.deleteLater()
        while len(self.rows) < len(state.visits):
            self._add()
        for row in self.rows:
            if anew:
                row.forget()
            row.show(state, after, fixed=fixed)

    def _add(self) -> None:
        row = VisitRow(self, len(self.rows))
        at = 1 + 4 * len(self.rows)
        columns = row.number, row.phase, row.began, row.ended, row.took, row.ending, row.reason
        for column, widget in enumerate(columns):
            self._grid.addWidget(widget, at, column, RIGHT if column == 2 else Qt.AlignmentFlag(0))
        self._grid.addWidget(row.ending_label, at, 5)
        for below, field in enumerate(row.fields, start=1):
            self._grid.addWidget(field.note, at + below, 1, 1, _COLUMNS - 1)
        self.rows.append(row)


def _heading(words: str, *, right: bool) -> QLabel:
    heading = label(words, "quiet")
    heading.setAlignment(RIGHT if right else LEFT | Qt.AlignmentFlag.AlignVCenter)
    return heading
