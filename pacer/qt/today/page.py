"""Today: the outlines, the block on the clock, and one large Start."""

from collections.abc import Callable
from datetime import date, datetime
from pathlib import Path

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QHideEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QSizePolicy, QWidget

from pacer.editing.dates.followed_plan import FollowedPlan
from pacer.editing.dates.lesson_day import LessonDay
from pacer.frames.words.dates import day_words
from pacer.plan.outline import Outline
from pacer.qt.kit.empty.page import EmptyPage
from pacer.qt.kit.rows import column_of, row_of
from pacer.qt.kit.ticker import Ticker
from pacer.qt.kit.widgets import application, named, notice, shortcut, show_words
from pacer.qt.today.lesson_side import LessonSide
from pacer.qt.today.ready_panel import WIDTH as LIST_PX
from pacer.qt.today.ready_panel import ReadyPanel
from pacer.qt.today.shelf import TodayShelf
from pacer.qt.today.start_row import BeforeRow, ResumeRow
from pacer.run.clock import Clock, local_now
from pacer.settings.outline_shelf import ShelfEntry
from pacer.settings.store import SettingsStore
from pacer.text import _

WIDE_PX = 1140  # of the page: the outlines, the plan and the ready list stand side by side


class TodayPage(QWidget):
    """Choose the lesson and start it.

    ``start_asked``, ``ready_asked`` and ``rehearse_asked`` carry the chosen outline in the day's shape;
    ``resume_asked`` and ``close_asked`` ask to go on with, or to close, the lesson that was cut off;
    ``mend_asked`` carries the path of a file that can't be used as it is, ``write_asked`` comes where there
    is no outline, to write one. ``day`` is the date of all that is shown: today until its last bell, then the
    next day with school. ``as_taught`` makes an outline the one that is taught, with what earlier lessons
    leave to it.
    """

    start_asked = Signal(object)
    ready_asked = Signal(object)
    rehearse_asked = Signal(object)
    resume_asked = Signal()
    close_asked = Signal()
    mend_asked = Signal(object)
    write_asked = Signal()

    def __init__(
        self,
        own_folder: Path,
        settings: SettingsStore,
        clock: Clock,
        lesson_day: LessonDay,
        parent: QWidget | None = None,
    ) -> None:
        super().__init__(parent)
        self.setAccessibleName(_("Today"))
        self._own_folder, self._clock = own_folder, clock
        self._settings = settings
        self.followed = FollowedPlan(settings, lesson_day, own_folder, local_now(clock))
        self.as_taught: Callable[[Outline], Outline] | None = None
        self._build()
        self._minute = Ticker(self._to_next_minute, self.refresh_block, self)
        application().applicationStateChanged.connect(self._on_application_state)
        with QSignalBlocker(self.list):
            self.shelf.reload()
        self._show_entry()
        # What stands in for a file that is gone was not chosen by the teacher, and is not written down.
        self.shelf.wanted = self.chosen_path() or self.shelf.wanted
        settings.subscribe(self.refresh_block)

    def _build(self) -> None:
        self.notice = notice()
        self.resume_row = ResumeRow()
        self.resume_text, self.resume_button = self.resume_row.text, self.resume_row.resume_button
        self.close_button = self.resume_row.close_button
        self.resume_button.clicked.connect(self.resume_asked)
        self.close_button.clicked.connect(self.close_asked)
        self.empty = EmptyPage(
            _("Here the lesson you are about to teach will stand, with one large Start."),
            "today",
            _("Write an outline"),
        )
        self.empty.asked.connect(self.write_asked)
        lesson, shelf, ready = self._build_lesson(), self._build_shelf(), self._build_ready()
        columns = row_of((shelf, 10), (lesson, 22), (self.empty, 22), (ready, 10), gap=28)
        parts = self.notice, self.resume_row, (columns, 1)
        column_of(*parts, gap=14, inside=self, margins=(36, 18, 36, 28))
        self.resume_row.hide()
        self._begins = {
            self.start_button: self.start_asked,
            self.ready_button: self.ready_asked,
            self.rehearse_button: self.rehearse_asked,
        }
        for begin in self._begins:
            begin.clicked.connect(self._on_begin)

    def _build_shelf(self) -> TodayShelf:
        self.shelf = TodayShelf(self._own_folder, self._settings)
        self.list, self.copy_button = self.shelf.list, self.shelf.copy_button
        self.folder_button = self.shelf.folder_button
        self.shelf.shown.connect(self._show_entry)
        self.shelf.changed.connect(self.show_notice)
        self.shelf.activated.connect(self.focus_first)  # Enter chooses; Start is the next Enter
        self.shelf.told.connect(self.show_notice)
        self.shelf.shapes_asked.connect(self._on_shapes)
        return self.shelf

    def _build_lesson(self) -> LessonSide:
        lesson = self.lesson = LessonSide(self._settings, self.followed)
        self.title, self.about, self.left_line = lesson.title, lesson.about, lesson.left_line
        self.tomorrow_note_row, self.day_row = lesson.tomorrow_note_row, lesson.day_row
        self.plan, self.ready_lines, self.problems = lesson.plan, lesson.ready_lines, lesson.problems
        self.mend_button, self.choices = lesson.mend_button, lesson.choices
        block, start = lesson.block_row, lesson.start_row
        self.start_time, self.when_pressed = block.start_time, block.when_pressed
        self.start_button, self.ready_button = start.start_button, start.ready_button
        self.aside_button = start.aside_button
        lesson.mend_asked.connect(self._on_mend)
        self.day_row.recut_changed.connect(self.refresh_block)
        shortcut("Ctrl+D", self, self.day_row.choose_shape)
        self.aside_button.toggled.connect(self._fit_columns)
        return lesson

    def _build_ready(self) -> QWidget:
        self.ready_panel, before = ReadyPanel(self._settings), BeforeRow()
        self.ready_side = named(QWidget(), _("Getting ready"))
        self.ready_side.setSizePolicy(QSizePolicy.Policy.Ignored, QSizePolicy.Policy.Preferred)
        column_of((self.ready_panel, 1), before, gap=10, inside=self.ready_side)
        self.ready_panel.summed_up.connect(self.aside_button.show_summary)
        self.ready_lines.told.connect(self.ready_panel.show_problems)
        self.rehearse_button, self.card_button = before.rehearse_button, before.card_button
        self.save_button = before.save_button
        for card in (self.card_button, self.save_button):
            card.clicked.connect(self._on_card)
        shortcut("Ctrl+P", self, self.card_button.click)
        return self.ready_side

    def reload(self) -> None:
        """Read the folders again and keep the choice."""
        self.shelf.reload()

    def choose(self, path: Path) -> None:
        """Choose an outline that was written elsewhere."""
        self.shelf.choose(path)

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Show the ready list beside the plan where there is room for both, else as the teacher chose."""
        super().resizeEvent(event)
        self._fit_columns()

    def _fit_columns(self) -> None:
        wide, aside = self.width() >= WIDE_PX, self.aside_button.isChecked()
        self.lesson.start_row.fit(wide)
        for widget in (self.shelf, self.choices):
            widget.setVisible(wide or not aside)
        # Beside both others the list doesn't set how narrow the window may be made.
        self.ready_side.setMinimumWidth(0 if wide else LIST_PX)
        self.ready_side.setVisible(wide or aside)

    def showEvent(self, event: QShowEvent) -> None:
        """Keep the line about the bell true while the page is seen."""
        super().showEvent(event)
        self.ready_panel.watch(True)
        self.shelf.reload_if_changed()
        self.refresh_block()
        self._minute.start()

    def hideEvent(self, event: QHideEvent) -> None:
        """Nobody reads the line: stand still."""
        super().hideEvent(event)
        self.ready_panel.watch(False)
        self._minute.stop()

    def _on_application_state(self, state: Qt.ApplicationState) -> None:
        if state == Qt.ApplicationState.ApplicationActive and self.isVisible():
            self.shelf.reload_if_changed()
            self.refresh_block()

    def focus_first(self) -> None:
        """Put the keyboard where the teacher most likely wants it."""
        start = self.start_button if self.start_button.isEnabled() else self.list
        if self.entry() is None:
            start = self.empty.button
        self.setFocusProxy(self.resume_button if self._waits else start)
        self.setFocus()

    def show_notice(self, text: str = "") -> None:
        """Show a notice above everything; empty takes it away."""
        show_words(self.notice, text)

    def offer_resume(self, text: str) -> None:
        """Offer to go on with a lesson that was cut off, before any other; empty takes the offer away."""
        self.resume_text.setText(text)
        self.resume_row.setVisible(bool(text))
        self._let_begin()
        self.focus_first()

    @property
    def _waits(self) -> bool:
        """Whether a lesson that was cut off is offered."""
        return self.resume_row.isVisibleTo(self)

    def _let_begin(self) -> None:
        """No lesson begins without an outline, nor over one that was cut off."""
        usable = self._outline() is not None
        for begin in self._begins:
            begin.setEnabled(usable and not self._waits)
        for pressed in (self.card_button, self.save_button):
            pressed.setEnabled(usable)

    def entry(self) -> ShelfEntry | None:
        return self.shelf.entry()

    def chosen_path(self) -> Path | None:
        return self.shelf.path()

    @property
    def day(self) -> date:
        """The date of all that is shown."""
        return self.followed.day

    def planned_start(self, outline: Outline, now: datetime) -> datetime:
        """When the lesson should start: the block's start, or now."""
        return self.followed.start(outline, self.day_row.shape, now)

    def _show_entry(self) -> None:
        entry = self.entry()
        self.lesson.show_entry(entry)
        self.empty.setVisible(entry is None)
        self._let_begin()
        self.copy_button.setEnabled(entry is not None)
        self.refresh_block()
        self.ready_lines.show_entry(entry)

    def _outline(self) -> Outline | None:
        entry = self.entry()
        return None if entry is None else entry.outline

    def show_before_lesson(self, first: Callable[[Outline], str], left: Callable[[str], str]) -> None:
        """Say what the lessons before leave to this one; see ``LessonSide``."""
        self.lesson.show_before_lesson(self._outline(), first, left)

    def refresh_block(self) -> None:
        """Say which day it is, when the block starts and the bell rings, in plain words."""
        # Naive local time: the line says what the classroom's clock shows.
        now = local_now(self._clock)
        self._follow_plan(now)
        outline = self._outline()
        self.ready_panel.show_lesson(outline, self.day, self.lesson.show_day(outline, now))

    def _follow_plan(self, now: datetime) -> None:
        """Choose what is planned for the date, once each time."""
        path = self.followed.follow(now, self._outline())
        if path is None:
            return
        if path.exists():
            self.choose(path)
        else:
            words = _("{name} is planned for {day}, and is not in your folder. Plan another one on Week.")
            self.show_notice(words.format(name=path.name, day=day_words(self.day)))

    @property
    def follows_plan(self) -> bool:
        """Whether the lesson shown is planned for the page's date."""
        return self.followed.is_planned

    def _on_shapes(self) -> None:
        from pacer.qt.today.day_shapes_dialog import DayShapesDialog

        self._settings.refresh()
        shapes = DayShapesDialog.ask(self._settings.now.day_shapes, local_now(self._clock).date(), self)
        if shapes is not None:
            self._settings.change(day_shapes=shapes)

    def _on_begin(self) -> None:
        """Ask for a lesson in the way of the button that was pressed."""
        asked = next(asked for begin, asked in self._begins.items() if begin is self.sender())
        outline = self._fresh_outline()
        if outline is not None:
            asked.emit(outline)

    def _on_card(self) -> None:
        """Print or save the card of the page's date, with what earlier lessons leave to it."""
        from pacer.frames.paper_card import paper_card
        from pacer.qt.paper.print_card import print_card, save_card

        act = save_card if self.sender() is self.save_button else print_card
        outline = self._fresh_outline()
        if outline is None:
            return
        taught = outline if self.as_taught is None else self.as_taught(outline)
        start = self.followed.block(outline, self.day_row.shape, local_now(self._clock)).start
        told = act(self, paper_card(taught, start, self.day_row.shape_name))
        if told:
            self.show_notice(told)

    def _fresh_outline(self) -> Outline | None:
        """The chosen outline as its file is now, in the day's shape; a file with problems shows them."""
        self.shelf.reload_if_changed()
        self.refresh_block()  # midnight may have passed since the last look
        outline = self._outline()
        return None if outline is None else self.day_row.in_force(outline)

    def _on_mend(self) -> None:
        path = self.chosen_path()
        if path is not None:
            self.mend_asked.emit(path)

    def _to_next_minute(self) -> int:
        """Milliseconds until the clock shows another minute."""
        return 60_000 - self._clock.now().utc_ms % 60_000
