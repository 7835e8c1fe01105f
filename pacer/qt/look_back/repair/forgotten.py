"""A press that was forgotten: within a visit the class went on to another phase."""

from PySide6.QtCore import Signal
from PySide6.QtWidgets import QComboBox, QLineEdit, QWidget

from pacer.frames.after_school.repair_times import OddTimeError, read_within
from pacer.frames.after_school.timeline import Timeline
from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.widgets import button, fill_choices, label, named
from pacer.qt.look_back.repair.fields import note, tell
from pacer.run.state import LessonState
from pacer.text import _

_TIME_PX = 104


class ForgottenPress(QWidget):
    """Visit, phase and time of a press that is to be added.

    ``split`` carries the visit, the lesson time in ms and the phase that came. Where that is the very phase
    that came next anyway, the press was late and not forgotten: ``late`` carries the visit and the time.
    """

    split = Signal(int, object, int)
    late = Signal(int, object)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("A press was forgotten here"))
        self._line, self._state = Timeline(), LessonState()
        self.visit = named(QComboBox(), _("The visit in which a press was forgotten"))
        self.phase = named(QComboBox(), _("The phase that came"))
        self.visit.activated.connect(self._on_visit)
        self.phase.activated.connect(self._on_edited)
        for box in (self.visit, self.phase):
            box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            box.setMinimumContentsLength(8)
        self.time = named(QLineEdit(), _("When it came: a time of day, or +m:ss after the visit began"))
        self.time.setFixedWidth(_TIME_PX)
        self.time.textEdited.connect(self._on_edited)
        self.time.returnPressed.connect(self._on_add)
        self.add = button(_("Add the press"), self._on_add, "chip")
        self.note = note()
        came = row_of(label(_("In")), (self.visit, 1), label(_("came")), (self.phase, 1), gap=8)
        at = row_of(label(_("at")), self.time, self.add, STRETCH, gap=8)
        column_of(came, at, self.note, gap=4, inside=self)

    def show_lesson(self, line: Timeline, state: LessonState, *, enabled: bool, anew: bool) -> None:
        """Offer the visits of a lesson; what was typed stays unless the lesson is another."""
        same = line.pieces == self._line.pieces and not anew
        self._line, self._state = line, state
        if not same:
            visits = [
                (f"{at + 1} {piece.title}", at)
                for at, piece in enumerate(line.pieces)
                if state.visits[at].end_ms is not None
            ]
            fill_choices(self.visit, visits, None if anew else self.visit.currentData())
            self._offer_phases()
            if anew:
                self.clear()
        for widget in (self.visit, self.phase, self.time, self.add):
            widget.setEnabled(enabled and self.visit.count() > 0)

    def pick(self, visit: int, t_ms: int) -> None:
        """Choose a visit and a time, as a click on the timeline does."""
        at = self.visit.findData(visit)
        if at >= 0 and self.visit.isEnabled():
            self.visit.setCurrentIndex(at)
            self._offer_phases()
            self.time.setText(self._line.clock(t_ms))
            self._on_edited()

    def clear(self) -> None:
        self.time.clear()
        self._tell("")

    def _on_visit(self) -> None:
        self._offer_phases()
        self._on_edited()

    def _offer_phases(self) -> None:
        """All phases but the visit's own; first the one that a forgotten press most likely skipped."""
        visit = self.visit.currentData()
        own = -1 if visit is None else self._state.visits[visit].index
        phases = () if visit is None else self._state.plan.phases
        others = [(phase.title, index) for index, phase in enumerate(phases) if index != own]
        fill_choices(self.phase, others, own + 1)

    def _on_edited(self) -> None:
        """Say what adding the press would do."""
        if not self.time.text().strip():
            self._tell("")
            return
        try:
            visit, t_ms = self._read()
        except OddTimeError:
            self._tell("")  # half typed is no mistake yet
            return
        self._tell(self._line.split_words(visit, t_ms, self.phase.currentText()))

    def _read(self) -> tuple[int, int]:
        visit = self.visit.currentData()
        text = self.time.text()
        if not text.strip():
            piece = self._line.pieces[visit]
            raise OddTimeError(
                _("Type when {phase} came: {visit} ran from {begin} to {end}.").format(
                    phase=self.phase.currentText(),
                    visit=piece.title,
                    begin=self._line.clock(piece.begin_ms),
                    end=self._line.clock(piece.end_ms),
                )
            )
        return visit, read_within(self._line, visit, text)

    def _on_add(self) -> None:
        if self.visit.currentData() is None or self.phase.currentData() is None:
            return
        try:
            visit, t_ms = self._read()
        except OddTimeError as error:
            self._tell(str(error), odd=True)
            self.time.setFocus()
            return
        to = self.phase.currentData()
        after = self._state.visits[visit + 1].index if visit + 1 < len(self._state.visits) else -1
        if to == after:
            self.late.emit(visit, t_ms)
        else:
            self.split.emit(visit, t_ms, to)

    def _tell(self, words: str, *, odd: bool = False) -> None:
        tell(self.note, words, odd=odd)
        self.time.setAccessibleDescription(words)
