"""The middle of Today: what is said of the chosen lesson on its day, and one large Start."""

from collections.abc import Callable
from datetime import datetime

from PySide6.QtCore import Qt, Signal
from PySide6.QtWidgets import QWidget

from pacer.editing.dates.followed_plan import FollowedPlan
from pacer.frames.words.dates import planned_words
from pacer.frames.words.shelf import about_words
from pacer.plan.outline import Outline
from pacer.qt.kit.plan_view import PlanView
from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.widgets import button, label, scrolled, show_words
from pacer.qt.today.block_row import BlockRow
from pacer.qt.today.choices import Choices
from pacer.qt.today.day_row import DayRow
from pacer.qt.today.ready_lines import ReadyLines
from pacer.qt.today.start_row import StartRow
from pacer.qt.today.tomorrow_note_row import TomorrowNoteRow
from pacer.settings.outline_shelf import ShelfEntry
from pacer.settings.store import SettingsStore
from pacer.text import _


class LessonSide(QWidget):
    """One outline of the shelf on its date; ``mend_asked`` comes where its file can't be used as it is."""

    mend_asked = Signal()

    def __init__(self, settings: SettingsStore, followed: FollowedPlan) -> None:
        super().__init__()
        self.setAccessibleName(_("The chosen lesson"))
        self._settings, self._followed = settings, followed
        self._first_words: Callable[[Outline], str] = lambda _outline: ""
        self._left_words: Callable[[str], str] = lambda _subject: ""
        self.title = label("", "title", wrap=True)
        self.about = label("", "quiet", wrap=True)
        self.tomorrow_note_row = TomorrowNoteRow()
        self.left_line = label("", wrap=True)
        self.left_line.hide()
        self.day_row = DayRow(settings)
        self.plan = PlanView()
        self.ready_lines = ReadyLines()
        self.problems = label("", wrap=True)
        self.problems.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.problems.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByKeyboard)
        self.mend_button = button(_("&Mend it in Library"), self.mend_asked.emit)
        self.choices = Choices(settings)
        self.block_row, self.start_row = BlockRow(settings), StartRow()
        said = self.title, self.about, self.tomorrow_note_row, self.left_line, self.day_row
        plan = (self.plan, 1), self.ready_lines, (self.problems, 1), row_of(self.mend_button, STRETCH)
        # In a low window all but the block and Start scrolls.
        upper = QWidget()
        column_of(*said, *plan, self.choices, gap=8, inside=upper, margins=(0, 9, 0, 9))
        column_of((scrolled(upper, _("Lesson")), 1), self.block_row, self.start_row, gap=8, inside=self)

    def show_entry(self, entry: ShelfEntry | None) -> None:
        outline = None if entry is None else entry.outline
        for widget in (self.plan, self.block_row.line):
            widget.setVisible(outline is not None)
        self.problems.setVisible(outline is None)
        self.mend_button.setVisible(entry is not None and outline is None)
        self.setVisible(entry is not None)
        if outline is not None:
            self.title.setText(outline.title)
        elif entry is not None:
            from pacer.frames.words.broken import words_about  # few starts need it

            self.title.setText(_("{name} can't be used yet").format(name=entry.path.name))
            self.problems.setText(words_about(entry.path))
        self._show_before_lesson(outline)

    def show_before_lesson(
        self, outline: Outline | None, first: Callable[[Outline], str], left: Callable[[str], str]
    ) -> None:
        """Say of this outline, and of each that comes, what the lessons before it leave to it.

        ``first`` says which group goes first because it is owed most, ``left`` what was left over in its
        subject.
        """
        self._first_words, self._left_words = first, left
        self._show_before_lesson(outline)

    def _show_before_lesson(self, outline: Outline | None) -> None:
        show_words(self.left_line, "" if outline is None else self._left_words(outline.subject))
        about: list[str] = []
        if outline is not None:
            about = [planned_words(*self._followed.place), about_words(outline), self._first_words(outline)]
        self.about.setText(" · ".join(filter(None, about)))

    def show_day(self, outline: Outline | None, now: datetime) -> str:
        """Say which day it is, when the block starts and the bell rings; returns the first of it in words."""
        self.day_row.show_day(outline, self._followed.day, now.date())
        shape = self.day_row.shape
        self.block_row.show_start(shape)
        words = self.day_row.line.text()
        if outline is None:
            return words
        taught = self.day_row.in_force(outline)
        self.plan.show_outline(taught)
        block = None if self._settings.now.start_when_pressed else self._followed.block(taught, shape, now)
        self.block_row.show_bell(block, shape, taught, now)
        return words or self.block_row.line.text()
