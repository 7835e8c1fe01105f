"""The coach copy: the teacher chooses fields and pictures, and where the page goes."""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from pathlib import Path

from PySide6.QtWidgets import QCheckBox, QComboBox, QDialog, QGridLayout, QWidget

from pacer.frames.after_school.coach_lines import FIELDS, NOTES, CoachField, coach_lines, field_words
from pacer.frames.pictures import QUESTIONS, chart, short_title
from pacer.qt.kit.files import ask_new_pdf
from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.widgets import button, label, named, notice, show_words
from pacer.qt.paper.pages import Paper, PaperError
from pacer.qt.paper.print_card import usual_paper
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.text import _

MOST_PICTURES = 4
FIRST_PICTURES = ("where_time", "late_steps", "over_usually", "improving")


class CoachDialog(QDialog):
    """Asks what goes on the page. Notes are left out unless they are ticked."""

    def __init__(self, days: Sequence[Day], choice: LessonChoice, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(_("Coach copy"))
        self._days, self._choice = days, choice
        # The heading says already how many lessons there are, and of when.
        unticked = {*NOTES, "lessons"}
        self.fields = {field: self._tick(field_words(field), field not in unticked) for field in FIELDS}
        self.pictures = {name: self._tick(short_title(name), name in FIRST_PICTURES) for name in QUESTIONS}
        self.paper = named(QComboBox(), _("Paper"))
        self.paper.addItems(["A4", "Letter"])
        self.paper.setCurrentText(usual_paper())
        self.notice = notice()
        self.save_button = button(_("&Save as PDF…"), self._on_save)
        self.close_button = button(_("Close"), self.reject)
        self._lay_out()
        self._on_tick()

    @classmethod
    def ask(cls, days: Sequence[Day], choice: LessonChoice, parent: QWidget) -> None:
        dialog = cls(days, choice, parent)
        dialog.exec()
        dialog.deleteLater()

    def _tick(self, words: str, ticked: bool) -> QCheckBox:
        tick = QCheckBox(words)
        tick.setChecked(ticked)
        tick.toggled.connect(self._on_tick)
        return tick

    def _lay_out(self) -> None:
        why = _("Nobody gets it but by your hand. It says when time went where, not how well you teach.")
        column_of(
            label(_("One page that you choose and own"), "large"),
            label(why, "quiet", wrap=True),
            label(_("Fields"), bold=True),
            _in_columns(self.fields.values(), 2),
            label(_("Pictures, four at most"), bold=True),
            _in_columns(self.pictures.values(), 3),
            self.notice,
            row_of(label(_("Paper")), self.paper, STRETCH, self.close_button, self.save_button),
            gap=10,
            inside=self,
            margins=(28, 22, 28, 22),
        )

    def _on_tick(self) -> None:
        chosen = self.chosen_pictures
        full = len(chosen) >= MOST_PICTURES
        for name, tick in self.pictures.items():
            tick.setEnabled(not full or name in chosen)

    @property
    def chosen_pictures(self) -> list[str]:
        """The pictures ticked, in the order of the questions."""
        return [name for name, tick in self.pictures.items() if tick.isChecked()]

    @property
    def chosen_fields(self) -> list[CoachField]:
        return [field for field, tick in self.fields.items() if tick.isChecked()]

    def _on_save(self) -> None:
        path = ask_new_pdf(self, _("Save the coach copy"), "coach-copy.pdf")
        if path is not None:
            self.save(path)

    def save(self, path: Path) -> bool:
        """Write the page; what is wrong is told in the dialog, which stays open. Whether it was written."""
        from pacer.qt.paper.coach_copy import CoachHeading, coach_pdf

        paper: Paper = "A4" if self.paper.currentText() == "A4" else "Letter"
        shown = self._choice.days(self._days)
        charts = [chart(name, self._days, self._choice) for name in self.chosen_pictures]
        lines = coach_lines(self._days, self._choice, self.chosen_fields)
        try:
            heading = CoachHeading.of(shown, replace(self._choice, kinds=()))
            told = _("Written to {path}", path=coach_pdf(path, paper, heading, charts, lines))
        except (PaperError, ValueError) as error:
            show_words(self.notice, str(error))
            return False
        show_words(self.notice, told)
        return True


def _in_columns(ticks: Iterable[QCheckBox], count: int) -> QGridLayout:
    grid = QGridLayout()
    grid.setHorizontalSpacing(24)
    for number, tick in enumerate(ticks):
        grid.addWidget(tick, number // count, number % count)
    return grid
