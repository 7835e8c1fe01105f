"""Look back's Repair of one lesson: forgotten and mistaken presses mended, endings and reasons said."""

from collections.abc import Mapping
from itertools import pairwise

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtWidgets import QCheckBox, QWidget

from pacer.editing.correct_lesson import Repair
from pacer.frames.after_school.repair_words import day_words, last_change, last_words, over_phases, unsaid
from pacer.frames.after_school.timeline import START, timeline
from pacer.pace.stages import Stage
from pacer.qt.kit.rows import RIGHT, STRETCH, column_of, row_of
from pacer.qt.kit.widgets import button, label, scrolled, show_words
from pacer.qt.look_back.repair.forgotten import ForgottenPress
from pacer.qt.look_back.repair.taps import Reasons, UnsaidEndings
from pacer.qt.look_back.repair.timeline import RepairTimeline
from pacer.qt.look_back.repair.visits import VisitTable
from pacer.run.corrections import AnyAfter, Corrections, DayFlagged, EndingSaid, ReasonGiven
from pacer.run.state import LessonState
from pacer.text import _

_LEAST_PX = 170


class RepairPanel(QWidget):
    """Shows one lesson as it was mended and lets it be mended further. It writes nothing.

    ``said`` carries what is to be written, ``taken_back`` the number of what is to be taken back; the owner
    writes it and shows the lesson again.
    """

    said = Signal(object)
    taken_back = Signal(int)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("Repair"))
        self._repair = Repair(LessonState(), Corrections())
        self.day = label("", bold=True)
        self.as_it_was = button(_("Show as it &was"), self._on_as_it_was, "chip")
        self.as_it_was.setCheckable(True)
        self.timeline = RepairTimeline()
        self.preview = label("", "quiet", wrap=True)
        self.unsaid = UnsaidEndings()
        self.visits = VisitTable()
        self.pauses = label(_("Pauses count here; the tapes leave them out."), "quiet", wrap=True)
        self.forgotten = ForgottenPress()
        self.reasons = Reasons()
        self.flagged = QCheckBox(_("This day was not like others"))
        self.flagged.setToolTip(_("Nothing is learned from it, and pictures leave it out."))
        self._can_take_back = False
        self.take_back = button(_("&Take back the last change"), self._on_take_back, "chip")
        self.last = label("", "quiet", wrap=True)
        self.last.setAlignment(RIGHT)
        self._headings: dict[QWidget, QWidget] = {}
        self._order: list[QWidget] = []
        self._connect()
        self._lay_out()

    def _connect(self) -> None:
        self.timeline.border_moved.connect(self._on_border)
        self.timeline.previewed.connect(self._on_preview)
        self.timeline.picked.connect(self.forgotten.pick)
        self.visits.end_typed.connect(self._on_border)
        self.visits.ending_chosen.connect(self._on_ending)
        self.unsaid.said.connect(self._on_ending)
        self.unsaid.answered.connect(self.timeline.setFocus)
        self.forgotten.split.connect(self._on_split)
        self.forgotten.late.connect(self._on_late)
        self.reasons.said.connect(self._on_reason)
        self.flagged.clicked.connect(self._on_flagged)

    def _lay_out(self) -> None:
        # What is said in one tap comes first: it is said every day, times are mended now and then.
        parts: list[QWidget] = []
        for words, widget in (
            (_("Endings that nobody named"), self.unsaid),
            (_("Why it ran over"), self.reasons),
        ):
            self._headings[widget] = label(words, bold=True)
            parts += [self._headings[widget], widget]
        heading = label(_("A press was forgotten here"), bold=True)
        parts += [self.visits, self.pauses, heading, self.forgotten]
        inner, page = QWidget(), QWidget()
        column_of(*parts, STRETCH, gap=8, inside=inner, margins=(0, 0, 8, 0))
        self.area = scrolled(inner, _("What can be mended and said"))
        self.area.setMinimumHeight(_LEAST_PX)
        column_of(
            row_of((self.day, 1), self.as_it_was),
            self.timeline,
            self.preview,
            (self.area, 1),
            self.last,
            row_of(self.flagged, STRETCH, self.take_back, gap=12),
            gap=6,
            inside=page,
        )
        # In the smallest window all of it scrolls; elsewhere the timeline stays in sight.
        column_of(scrolled(page, _("Repair of the lesson")), inside=self)

    # --- what is shown

    def show_lesson(
        self, state: LessonState, after: Corrections, stages: Mapping[int, Stage] | None = None
    ) -> None:
        """Show a lesson. ``state`` is the fold of its own events, ``after`` what was said since.

        ``stages`` is what the Desk showed at unsaid endings, by phase; without it no guess is told.
        """
        anew = state != self._repair.original
        self._repair = Repair(state, after, stages)
        if anew:
            self.as_it_was.setChecked(False)
        self._show(anew=anew)

    def _show(self, *, anew: bool) -> None:
        fixed, repair = self.as_it_was.isChecked(), self._repair
        original, after = repair.original, repair.after
        if original.outline is None:
            return
        shown = original if fixed else repair.mended
        line = timeline(original, shown)
        self.day.setText(day_words(after, as_it_was=fixed))
        self.timeline.show_line(line, fixed=fixed)
        self._on_preview(*(self.timeline.moving or (START, None)))
        self.visits.show_visits(original, shown, after, fixed=fixed, anew=anew)
        self.pauses.setVisible(any(stop.end_ms != stop.begin_ms for stop in shown.stopped))
        questions = unsaid(shown, repair.stages)
        self.unsaid.show_endings(questions, enabled=not fixed)
        self._headings[self.unsaid].setVisible(bool(questions))
        self.forgotten.show_lesson(line, shown, enabled=not fixed, anew=anew)
        over = over_phases(shown, after)
        self.reasons.show_phases(over, enabled=not fixed)
        self._headings[self.reasons].setVisible(bool(over))
        self._order_tabs()
        with QSignalBlocker(self.flagged):
            self.flagged.setChecked(after.flagged)
        words = last_words(original, after)
        show_words(self.last, _("Last change: {words}").format(words=words) if words else "")
        self._can_take_back = bool(words)
        if not words and self.take_back.hasFocus():  # Qt would put the keyboard somewhere else on the page
            self.timeline.setFocus()
        self.take_back.setEnabled(self._can_take_back or self.timeline.moving is not None)
        self.take_back.setAccessibleDescription(words)
        self.as_it_was.setEnabled(fixed or after.is_repaired)

    def _order_tabs(self) -> None:
        """Set the tab order to the order on the screen; widgets are made at any time."""
        order: list[QWidget] = [self.as_it_was, self.timeline]
        order += [each for pair in self.unsaid.buttons for each in pair]
        order += self.reasons.chips.values()
        for row in self.visits.rows:
            order += [*row.fields, row.ending]
        form = self.forgotten
        order += [form.visit, form.phase, form.time, form.add, self.flagged, self.take_back]
        if order != self._order:
            self._order = order
            for before, following in pairwise(order):
                QWidget.setTabOrder(before, following)

    def _on_preview(self, visit: int, t_ms: int | None) -> None:
        """Tell what a border that is being moved does to the phases on its two sides."""
        if t_ms is None:
            hint = _("Drag a border, or choose it by Up and Down, move it by Left and Right, press Enter.")
            words = "" if self.as_it_was.isChecked() else hint
        else:
            words = self._repair.preview_words(visit, t_ms)
        self.preview.setText(words)
        self.take_back.setEnabled(self._can_take_back or t_ms is not None)

    # --- what is said

    def _on_border(self, visit: int, t_ms: int) -> None:
        self.said.emit(self._repair.border(visit, t_ms))

    def _on_split(self, visit: int, t_ms: int, to: int) -> None:
        self._say_forgotten(self._repair.split(visit, t_ms, to))

    def _on_late(self, visit: int, t_ms: int) -> None:
        self._say_forgotten(self._repair.border(visit, t_ms))

    def _say_forgotten(self, body: AnyAfter) -> None:
        """Emit a correction and, once it is written, clear the form of the forgotten press."""
        before = len(self._repair.after.effective)
        self.said.emit(body)
        if len(self._repair.after.effective) > before:
            self.forgotten.clear()

    def _on_ending(self, phase: int, ending: str) -> None:
        self.said.emit(EndingSaid(phase=phase, ending=ending))

    def _on_reason(self, phase: int, reason: str) -> None:
        self.said.emit(ReasonGiven(phase=phase, reason=reason))

    def _on_flagged(self, flagged: bool) -> None:
        with QSignalBlocker(self.flagged):
            self.flagged.setChecked(self._repair.after.flagged)  # true until it is written
        self.said.emit(DayFlagged(flagged=flagged))

    def _on_take_back(self) -> None:
        if self.timeline.moving is not None:  # by its letter: the timeline still has the keyboard
            self.timeline.give_up()
            return
        last = last_change(self._repair.after)
        if last is not None:
            self.taken_back.emit(last.number)

    def _on_as_it_was(self) -> None:
        self._show(anew=False)
