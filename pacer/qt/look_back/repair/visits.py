"""The repair's table of visits: when each began and ended, which can be typed, and how it ended."""

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QGridLayout, QLabel, QWidget

from pacer.frames.after_school.coach_lines import reason_words
from pacer.frames.after_school.repair_times import read_begin, read_end, read_took
from pacer.frames.after_school.repair_words import START, Border, Timeline, timeline
from pacer.frames.words.wording import ending_words
from pacer.qt.kit.rows import LEFT, RIGHT
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
        self.began = TimeField("", self._read_begin, self._begin_words) if visit == 0 else label()
        self.ended = TimeField("", self._read_end, self._words)
        self.took = TimeField("", self._read_took, self._words)
        self.ending, self.ending_label = EndingBox(), label()
        self.fields = tuple(
            each for each in (self.began, self.ended, self.took) if isinstance(each, TimeField)
        )
        for field in self.fields:
            field.setFixedWidth(_TIME_PX)
            field.setAlignment(Qt.AlignmentFlag.AlignRight)
            field.typed.connect(self._on_begin_typed if field is self.began else self._on_typed)
        self.ending.chosen.connect(table.ending_chosen.emit)

    @property
    def widgets(self) -> tuple[QWidget, ...]:
        """All of them, in the order of the columns."""
        endings = (self.ending, self.ending_label)
        notes = tuple(field.note for field in self.fields)
        return (self.number, self.phase, self.began, self.ended, self.took, *endings, self.reason, *notes)

    def _border(self, visit: int | None = None) -> Border:
        wanted = self._visit if visit is None else visit
        return next(each for each in self._table.line.borders if each.visit == wanted)

    def _read_begin(self, text: str) -> int:
        return read_begin(self._table.line, self._border(START), text)

    def _begin_words(self, t_ms: int) -> str:
        return self._table.line.preview_words(START, t_ms)

    def _on_begin_typed(self, t_ms: int) -> None:
        line = self._table.line
        if line.clock(t_ms) == line.clock(0):
            self.forget()
        else:
            self._table.end_typed.emit(START, t_ms)

    def _read_end(self, text: str) -> int:
        return read_end(self._table.line, self._border(), text)

    def _read_took(self, text: str) -> int:
        return read_took(self._table.line, self._border(), text)

    def _words(self, t_ms: int) -> str:
        return self._table.line.preview_words(self._visit, t_ms)

    def _on_typed(self, t_ms: int) -> None:
        line = self._table.line
        if line.clock(t_ms) == line.clock(self._border().t_ms):
            self.forget()  # the very second that is shown
        else:
            self._table.end_typed.emit(self._visit, t_ms)

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
        self._grid = QGridLayout(self)
        self._grid.setContentsMargins(0, 0, 0, 0)
        self._grid.setHorizontalSpacing(8)
        self._grid.setVerticalSpacing(4)
        self._grid.setColumnStretch(1, 3)
        self._grid.setColumnStretch(_COLUMNS - 1, 2)
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
        self._grid.addWidget(row.number, at, 0)
        self._grid.addWidget(row.phase, at, 1)
        self._grid.addWidget(row.began, at, 2, RIGHT)
        for column, widget in ((3, row.ended), (4, row.took), (5, row.ending), (5, row.ending_label),
                               (6, row.reason)):  # fmt: skip
            self._grid.addWidget(widget, at, column)
        for below, field in enumerate(row.fields, start=1):
            self._grid.addWidget(field.note, at + below, 1, 1, _COLUMNS - 1)
        self.rows.append(row)


def _heading(words: str, *, right: bool) -> QLabel:
    heading = label(words, "quiet")
    heading.setAlignment(RIGHT if right else LEFT | Qt.AlignmentFlag.AlignVCenter)
    return heading
