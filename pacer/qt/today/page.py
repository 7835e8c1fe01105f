"""Today: the outlines, the block on the clock, and one large Start."""

from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QGuiApplication, QHideEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QHBoxLayout, QVBoxLayout, QWidget

from pacer.editing.dates.lesson_day import LessonDay
from pacer.frames.words.dates import day_words, planned_words
from pacer.frames.words.shelf import about_words
from pacer.plan.day import BlockToday, block_today
from pacer.plan.outline import Outline
from pacer.qt.kit.empty_page import EmptyPage
from pacer.qt.kit.rows import STRETCH, row_of
from pacer.qt.kit.ticker import Ticker
from pacer.qt.kit.widgets import button, label, scrolled, shortcut, show_words
from pacer.qt.today.block_row import BlockRow
from pacer.qt.today.choices import Choices
from pacer.qt.today.day_row import DayRow
from pacer.qt.today.own_folder import copy_into, open_folder
from pacer.qt.today.plan_view import PlanView
from pacer.qt.today.ready_lines import ReadyLines
from pacer.qt.today.ready_panel import WIDTH as LIST_PX
from pacer.qt.today.ready_side import ReadySide
from pacer.qt.today.shelf import TodayShelf
from pacer.qt.today.start_row import ResumeRow, StartRow
from pacer.qt.today.tomorrow_note_row import TomorrowNoteRow
from pacer.run.clock import Clock, local_now
from pacer.settings.outline_shelf import ShelfEntry, stamp
from pacer.settings.planned_days import path_of
from pacer.settings.store import SettingsStore
from pacer.text import _

if TYPE_CHECKING:
    from pacer.frames.paper_card import PaperCard

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
        self._settings, self._lesson_day = settings, lesson_day
        self.day = lesson_day.at(local_now(clock))
        self._followed: object = None
        self.as_taught: Callable[[Outline], Outline] | None = None
        self._first_words: Callable[[Outline], str] | None = None
        self._left_words: Callable[[str], str] | None = None
        self._build()
        self._seen: object = None
        self._minute = Ticker(self._to_next_minute, self)
        self._minute.ticked.connect(self.refresh_block)
        application = QGuiApplication.instance()
        assert isinstance(application, QGuiApplication)
        application.applicationStateChanged.connect(self._on_application_state)
        self._chosen = Path(settings.now.last_outline)
        with QSignalBlocker(self.shelf):
            self.reload()
        self._show_entry(self.entry())
        # What stands in for a file that is gone was not chosen by the teacher, and is not written down.
        self._chosen = self.chosen_path() or self._chosen
        settings.subscribe(self.refresh_block)

    def _build(self) -> None:
        self.notice = label("", "notice", wrap=True)
        self.resume_row = ResumeRow()
        self.resume_row.resume_asked.connect(self.resume_asked.emit)
        self.resume_row.close_asked.connect(self.close_asked.emit)
        self.resume_text, self.resume_button = self.resume_row.text, self.resume_row.resume_button
        self.close_button = self.resume_row.close_button
        columns = QHBoxLayout()
        columns.setSpacing(28)
        lesson = self._build_lesson()
        columns.addWidget(self._build_shelf(), 10)
        columns.addLayout(lesson, 22)
        self.empty = EmptyPage(
            _("Here the lesson you are about to teach will stand, with one large Start."),
            "today",
            _("Write an outline"),
        )
        self.empty.asked.connect(self.write_asked.emit)
        columns.addWidget(self.empty, 22)
        columns.addWidget(self._build_ready(), 10)
        whole = QVBoxLayout(self)
        whole.setContentsMargins(36, 18, 36, 28)
        whole.setSpacing(14)
        whole.addWidget(self.notice)
        whole.addWidget(self.resume_row)
        whole.addLayout(columns, 1)
        self.notice.hide()
        self.resume_row.hide()

    def _build_shelf(self) -> TodayShelf:
        self.shelf = TodayShelf()
        self.list, self.copy_button = self.shelf.list, self.shelf.copy_button
        self.folder_button = self.shelf.folder_button
        self.shelf.chosen.connect(self._on_choice)
        self.shelf.activated.connect(self._on_activated)
        self.shelf.copy_asked.connect(self._on_copy)
        self.shelf.folder_asked.connect(self._on_folder)
        self.shelf.shapes_asked.connect(self._on_shapes)
        return self.shelf

    def _build_lesson(self) -> QVBoxLayout:
        self.title = label("", "title", wrap=True)
        self.about = label("", "quiet", wrap=True)
        self.tomorrow_note_row = TomorrowNoteRow()
        self.left_line = label("", wrap=True)
        self.left_line.hide()
        self.day_row = DayRow(self._settings)
        self.day_row.recut_changed.connect(self.refresh_block)
        shortcut("Ctrl+D", self, self.day_row.choose_shape)
        self.plan = PlanView()
        self.ready_lines = ReadyLines()
        self.problems = label("", wrap=True)
        self.problems.setAlignment(Qt.AlignmentFlag.AlignTop)
        self.problems.setTextInteractionFlags(Qt.TextInteractionFlag.TextSelectableByKeyboard)
        self.mend_button = button(_("&Mend it in Library"), self._on_mend)
        self.choices = Choices(self._settings)
        self.block_row = BlockRow(self._settings)
        self.start_time, self.when_pressed = self.block_row.start_time, self.block_row.when_pressed
        self.block_line = self.block_row.line
        start = self.start_row = StartRow()
        self.aside_button = start.aside_button
        self.aside_button.toggled.connect(self._fit_columns)
        start.start_asked.connect(self._on_start)
        start.ready_asked.connect(self._on_ready)
        self.start_button, self.ready_button = start.start_button, start.ready_button
        right = QVBoxLayout()
        right.setSpacing(8)
        for widget in (self.title, self.about, self.tomorrow_note_row, self.left_line, self.day_row):
            right.addWidget(widget)
        right.addWidget(self.plan, 1)
        right.addWidget(self.ready_lines)
        right.addWidget(self.problems, 1)
        right.addLayout(row_of(self.mend_button, STRETCH))
        right.addWidget(self.choices)
        # In a low window all but the block and Start scrolls.
        upper = QWidget()
        upper.setLayout(right)
        whole = QVBoxLayout()
        whole.setSpacing(8)
        self._upper = scrolled(upper, _("Lesson"))
        whole.addWidget(self._upper, 1)
        whole.addWidget(self.block_row)
        whole.addWidget(start)
        return whole

    def _build_ready(self) -> QWidget:
        self.ready_side = ReadySide(self._settings)
        self.ready_panel, before = self.ready_side.panel, self.ready_side.before
        self.ready_panel.summed_up.connect(self.aside_button.show_summary)
        self.ready_lines.told.connect(self.ready_panel.show_problems)
        before.rehearse_asked.connect(self._on_rehearse)
        before.card_asked.connect(self._on_card)
        before.save_asked.connect(self._on_save)
        self.rehearse_button, self.card_button = before.rehearse_button, before.card_button
        self.save_button = before.save_button
        shortcut("Ctrl+P", self, self.card_button.click)
        return self.ready_side

    def reload(self) -> None:
        """Read the folders again and keep the choice."""
        self._seen = stamp(self._own_folder)
        if not self.shelf.reload(self._own_folder, self._chosen):
            self._show_entry(None)

    def choose(self, path: Path) -> None:
        """Choose an outline that was written elsewhere."""
        self._keep_choice(path)
        self.reload()

    def _keep_choice(self, path: Path) -> None:
        if path != self._chosen:
            self._chosen = path
            self._settings.change(last_outline=str(path))

    def reload_if_changed(self) -> None:
        """Read the folders again when a file came, went or was edited in another program."""
        if stamp(self._own_folder) != self._seen:
            self.reload()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Show the ready list beside the plan where there is room for both, else as the teacher chose."""
        super().resizeEvent(event)
        self._fit_columns()

    def _fit_columns(self) -> None:
        wide, aside = self.width() >= WIDE_PX, self.aside_button.isChecked()
        self.start_row.fit(wide)
        for widget in (self.shelf, self.choices):
            widget.setVisible(wide or not aside)
        # Beside both others the list doesn't set how narrow the window may be made.
        self.ready_side.setMinimumWidth(0 if wide else LIST_PX)
        self.ready_side.setVisible(wide or aside)

    def showEvent(self, event: QShowEvent) -> None:
        """Keep the line about the bell true while the page is seen."""
        super().showEvent(event)
        self.ready_panel.watch(True)
        self.reload_if_changed()
        self.refresh_block()
        self._minute.start()

    def hideEvent(self, event: QHideEvent) -> None:
        """Nobody reads the line: stand still."""
        super().hideEvent(event)
        self.ready_panel.watch(False)
        self._minute.stop()

    def _on_application_state(self, state: Qt.ApplicationState) -> None:
        if state == Qt.ApplicationState.ApplicationActive and self.isVisible():
            self.reload_if_changed()
            self.refresh_block()

    def focus_first(self) -> None:
        """Put the keyboard where the teacher most likely wants it."""
        start = self.start_button if self.start_button.isEnabled() else self.list
        if self.entry() is None:
            start = self.empty.button
        self.setFocusProxy(self.resume_button if self._waits else start)
        self.setFocus()

    def show_notice(self, text: str) -> None:
        """Show a notice above everything; empty takes it away."""
        self.notice.setText(text)
        self.notice.setVisible(bool(text))

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
        entry = self.entry()
        usable = entry is not None and entry.outline is not None
        for pressed in (self.start_button, self.ready_button, self.rehearse_button):
            pressed.setEnabled(usable and not self._waits)
        for pressed in (self.card_button, self.save_button):
            pressed.setEnabled(usable)

    @property
    def wanted(self) -> Path:
        """The outline that is to be chosen, there or not."""
        return self._chosen

    def entry(self) -> ShelfEntry | None:
        """The chosen entry."""
        return self.shelf.entry()

    def chosen_path(self) -> Path | None:
        """The file of the chosen entry."""
        entry = self.entry()
        return None if entry is None else entry.path

    def block(self, outline: Outline, now: datetime) -> BlockToday:
        """The block of an outline on the page's date, from the start of the day's shape if there is one."""
        shape = self.day_row.shape
        start = self._settings.now.block_start if shape is None else shape.start
        return block_today(now, start, outline.block.length_s, self.day)

    def planned_start(self, outline: Outline, now: datetime) -> datetime:
        """When the lesson should start: the block's start, or now."""
        block = self.block(outline, now)
        return block.start if block.now_belongs and not self._settings.now.start_when_pressed else now

    def _on_choice(self) -> None:
        entry = self.entry()
        self._show_entry(entry)
        if entry is not None and entry.path != self._chosen:
            self.show_notice("")  # before the change, which may have something new to tell
            self._keep_choice(entry.path)

    def _show_entry(self, entry: ShelfEntry | None) -> None:
        outline = None if entry is None else entry.outline
        for widget in (self.plan, self.block_line):
            widget.setVisible(outline is not None)
        self.problems.setVisible(outline is None)
        self.mend_button.setVisible(entry is not None and outline is None)
        self.empty.setVisible(entry is None)
        for part in (self._upper, self.block_row, self.start_row):
            part.setVisible(entry is not None)
        self._let_begin()
        self.copy_button.setEnabled(entry is not None)
        if entry is not None and outline is None:
            self.title.setText(_("{name} can't be used yet").format(name=entry.path.name))
            self.about.setText("")
            from pacer.frames.words.broken import words_about  # few starts need it

            self.problems.setText(words_about(entry.path))
        elif outline is not None:
            self.title.setText(outline.title)
            self.about.setText(self._about_words(outline))
        self._show_left(outline)
        self.refresh_block()
        self.ready_lines.show_entry(entry)

    def _about_words(self, outline: Outline) -> str:
        first = self._first_words(outline) if self._first_words is not None else ""
        place = planned_words(*self._lesson_day.place(self.day))
        return " · ".join(words for words in (place, about_words(outline), first) if words)

    def show_before_lesson(self, first: Callable[[Outline], str], left: Callable[[str], str]) -> None:
        """Say of this outline, and of each that is chosen, what the lessons before it leave to it.

        ``first`` says which group goes first because it is owed most, ``left`` what was left over in its
        subject.
        """
        self._first_words, self._left_words = first, left
        entry = self.entry()
        if entry is not None and entry.outline is not None:
            self.about.setText(self._about_words(entry.outline))
        self._show_left(None if entry is None else entry.outline)

    def _show_left(self, outline: Outline | None) -> None:
        words = "" if outline is None or self._left_words is None else self._left_words(outline.subject)
        show_words(self.left_line, words)

    def refresh_block(self) -> None:
        """Say which day it is, when the block starts and the bell rings, in plain words."""
        # Naive local time: the line says what the classroom's clock shows.
        now = local_now(self._clock)
        self._follow_plan(now)
        entry = self.entry()
        outline = None if entry is None else entry.outline
        self.day_row.show_day(outline, self.day, now.date())
        shape = self.day_row.shape
        self.block_row.show_start(shape)
        words = self.day_row.line.text()
        if outline is not None:
            taught = self.day_row.in_force(outline)
            self.plan.show_outline(taught)
            block = None if self._settings.now.start_when_pressed else self.block(taught, now)
            self.block_row.show_bell(block, shape, taught, now)
            words = words or self.block_row.line.text()
        self.ready_panel.show_lesson(outline, self.day, words)

    def _follow_plan(self, now: datetime) -> None:
        """Stand on the date of the lesson about to run; choose what is planned for it, once each time."""
        entry = self.entry()
        outline = None if entry is None else entry.outline
        start = self._settings.now.block_start
        bell = None if outline is None else block_today(now, start, outline.block.length_s).bell
        self.day = self._lesson_day.at(now, bell)
        name = self._lesson_day.next_name(self.day)
        if self._followed == (self.day, name):
            return
        self._followed = self.day, name
        if name is None:
            return
        path = path_of(name, self._own_folder)
        if path.exists():
            self.choose(path)
        else:
            words = _("{name} is planned for {day}, and is not in your folder. Plan another one on Week.")
            self.show_notice(words.format(name=path.name, day=day_words(self.day)))

    @property
    def follows_plan(self) -> bool:
        """Whether the lesson shown is planned for the page's date."""
        return self._lesson_day.next_name(self.day) is not None

    def _on_shapes(self) -> None:
        from pacer.qt.today.day_shapes_dialog import DayShapesDialog

        shapes = DayShapesDialog.ask(self._settings.now.day_shapes, local_now(self._clock).date(), self)
        if shapes is not None:
            self._settings.change(day_shapes=shapes)

    def _on_activated(self) -> None:
        """Enter chooses; Start is the next Enter."""
        self.focus_first()

    def _on_start(self) -> None:
        outline = self._fresh_outline()
        if outline is not None:
            self.start_asked.emit(outline)

    def _on_ready(self) -> None:
        outline = self._fresh_outline()
        if outline is not None:
            self.ready_asked.emit(outline)

    def _on_rehearse(self) -> None:
        outline = self._fresh_outline()
        if outline is not None:
            self.rehearse_asked.emit(outline)

    def _on_card(self) -> None:
        from pacer.qt.paper.print_card import print_card

        self._with_card(print_card)

    def _on_save(self) -> None:
        from pacer.qt.paper.print_card import save_card

        self._with_card(save_card)

    def _with_card(self, act: "Callable[[QWidget, PaperCard], str]") -> None:
        """Print or save the card of the page's date, with what earlier lessons leave to it."""
        from pacer.frames.paper_card import paper_card

        outline = self._fresh_outline()
        if outline is None:
            return
        taught = outline if self.as_taught is None else self.as_taught(outline)
        start = self.block(outline, local_now(self._clock)).start
        told = act(self, paper_card(taught, start, self.day_row.shape_name))
        if told:
            self.show_notice(told)

    def _fresh_outline(self) -> Outline | None:
        """The chosen outline as its file is now, in the day's shape; a file with problems shows them."""
        self.reload_if_changed()
        entry = self.entry()
        self.refresh_block()  # midnight may have passed since the last look
        return None if entry is None or entry.outline is None else self.day_row.in_force(entry.outline)

    def _on_copy(self) -> None:
        entry = self.entry()
        if entry is None:
            return
        target, told = copy_into(self._own_folder, entry.path)
        if target is not None:
            self.choose(target)
        self.show_notice(told)

    def _on_mend(self) -> None:
        path = self.chosen_path()
        if path is not None:
            self.mend_asked.emit(path)

    def _on_folder(self) -> None:
        self.show_notice(open_folder(self._own_folder))

    def _to_next_minute(self) -> int:
        """Milliseconds until the clock shows another minute."""
        return 60_000 - self._clock.now().utc_ms % 60_000
