"""Week: days with their lessons, planned by key or mouse; two weeks ahead, and the unit at a glance."""

from collections.abc import Callable
from datetime import date, datetime, timedelta
from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import Signal
from PySide6.QtGui import QFocusEvent, QResizeEvent, QShowEvent
from PySide6.QtWidgets import QStackedWidget, QWidget

from pacer.editing.dates.week_editor import WeekEditor
from pacer.editing.dates.week_facts import WeekFacts
from pacer.frames.week.days import Facts, monday_of, shown_days, week_words
from pacer.plan.dates.planned import DaySlot
from pacer.qt.kit.rows import column_of, row_of
from pacer.qt.kit.style import suit_type
from pacer.qt.kit.widgets import label, shortcut, show_words
from pacer.qt.week.day_actions import DayActions
from pacer.qt.week.days_grid import DaysGrid
from pacer.qt.week.head import View, WeekHead
from pacer.qt.week.outline_picker import OutlineList, OutlinePicker
from pacer.qt.week.unit_view import UnitView
from pacer.run.clock import Clock, local_now
from pacer.text import _

if TYPE_CHECKING:
    from pacer.frames.paper_card import PaperCard

WIDE_PX = 1240  # of the page: all outlines stand beside the days, to be dragged there


class WeekPage(QWidget):
    """Shows some days and plans them; ``edit_asked`` carries the path of an outline to open."""

    edit_asked = Signal(object)

    def __init__(self, facts: WeekFacts, own_folder: Path, clock: Clock) -> None:
        super().__init__()
        self.setAccessibleName(_("Week"))
        self._source, self._own_folder, self._clock = facts, own_folder, clock
        self.editor = WeekEditor(facts.planned, facts.settings)
        self.view: View = "week"
        self._facts: Facts = facts.at(self._now())
        self.day = self._facts.lesson_day
        self.monday = monday_of(self.day)
        self._build()
        for keys, act in (
            ("Ctrl+Z", self._on_undo), ("Ctrl+Y", self._on_redo), ("Ctrl+Shift+Z", self._on_redo),
            ("PgUp", self.head.earlier.click), ("PgDown", self.head.later.click), ("Ctrl+P", self._on_print),
        ):  # fmt: skip
            shortcut(keys, self, act)
        facts.planned.subscribe(self._on_changed)
        facts.settings.subscribe(self._on_changed)

    def _now(self) -> datetime:
        # Naive local time: what the classroom's clock shows.
        return local_now(self._clock)

    def _build(self) -> None:
        self.head, self.grid = WeekHead(), DaysGrid()
        self.title, self.view_buttons, self.columns = self.head.title, self.head.views, self.grid.columns
        self.head.turned.connect(self._turn)
        self.head.view_asked.connect(self._on_view)
        self.head.bell_typed.connect(self._on_bell)
        self.hint = label("", "quiet", wrap=True)
        self.told = label("", "notice", wrap=True)
        self.shelf = OutlineList()
        self._side = QWidget()
        heading = label(_("Outli&nes: drag one to its day"), "quiet", wrap=True, of=self.shelf)
        column_of(heading, (self.shelf, 1), gap=6, inside=self._side)
        days = QWidget()
        row_of((self.grid, 1), self._side, gap=14, inside=days)
        self.unit = UnitView()
        self.stack = QStackedWidget()
        self.stack.addWidget(days)
        self.stack.addWidget(self.unit)
        self.day_actions = DayActions()
        self.copy_button, self.snow_button = self.day_actions.copy_button, self.day_actions.snow_button
        self.print_button, self.undo_button = self.day_actions.print_button, self.day_actions.undo_button
        self.redo_button = self.day_actions.redo_button
        for signal, act in (
            (self.grid.go, self._on_go), (self.grid.go_week, self._on_go_week),
            (self.grid.move_day, self._on_move_day), (self.grid.move_row, self._on_move_row),
            (self.grid.take_away, self._on_take_away), (self.grid.pick, self._on_pick),
            (self.grid.opened, self._on_open), (self.grid.dropped, self._on_dropped),
            (self.grid.chosen, self._on_day), (self.grid.row_chosen, self._show_actions),
            (self.day_actions.add_asked, self._on_pick), (self.day_actions.open_asked, self._on_open),
            (self.day_actions.print_asked, self._on_print), (self.day_actions.save_asked, self._on_save),
            (self.day_actions.copy_asked, self._on_copy), (self.day_actions.snow_asked, self._on_snow),
            (self.day_actions.undo_asked, self._on_undo), (self.day_actions.shape_chosen, self._on_shape),
            (self.day_actions.redo_asked, self._on_redo),
            (self.day_actions.take_off_asked, self._on_take_away),
        ):  # fmt: skip
            signal.connect(act)
        parts = self.head, (self.stack, 1), self.hint, self.told, self.day_actions
        column_of(*parts, gap=8, inside=self, margins=(36, 10, 36, 14))
        self.told.hide()
        self._side.hide()

    # Showing.

    def open_on(self, day: date) -> None:
        """Show a date, with the keyboard on it."""
        self.day, self.monday = day, monday_of(day)
        self.refresh()
        self.focus_day()

    def open_at_lesson_day(self) -> None:
        """Show the day of the lesson about to run."""
        self.open_on(self._source.lesson_day.at(self._now()))

    def showEvent(self, event: QShowEvent) -> None:
        super().showEvent(event)
        self.shelf.reload(self._own_folder)
        self.refresh()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """All outlines stand beside the days where there is room for both."""
        super().resizeEvent(event)
        suit_type(self)
        self._side.setVisible(self.width() >= WIDE_PX)
        self._side.setFixedWidth(max(230, min(380, self.width() // 6)))

    def focusInEvent(self, event: QFocusEvent) -> None:
        """The page itself is given the keyboard when it comes back: its day takes it."""
        super().focusInEvent(event)
        self.focus_day()

    def focus_day(self) -> None:
        """Give the keyboard to the chosen day."""
        self.grid.focus(self.day)

    def refresh(self) -> None:
        """Look at everything anew and show it."""
        self._facts = self._source.at(self._now())
        weeks = 2 if self.view == "two weeks" else 1
        title = _("Unit") if self.view == "unit" else week_words(self.monday, weeks)
        self.head.show_view(self.view, title)
        self.head.show_bell(self._facts.settings.last_bell)
        if self.view == "unit":
            self._show_unit()
            self.day_actions.setVisible(False)
            show_words(self.hint, "")
            return
        self.stack.setCurrentIndex(0)
        self.day_actions.setVisible(True)
        cards = shown_days(self.monday, weeks, self._facts)
        self.grid.show_cards(cards, self.view_buttons["unit"], self.shelf)
        suit_type(self)
        if all(card.day != self.day for card in cards):
            self.day = next((card.day for card in cards if card.day >= self.day), cards[-1].day)
        nothing = not any(card.lessons for card in cards)
        show_words(self.hint, _empty_words() if nothing else "")
        self._show_actions()

    def _show_unit(self) -> None:
        self.unit.show_rows(self._source.unit(self._facts))
        self.stack.setCurrentIndex(1)

    def _show_actions(self) -> None:
        self.grid.mark(self.day)
        lesson = self.grid.lesson(self.day)
        self.day_actions.show_day(self.day, self._facts.settings, lesson)
        self._show_steps()

    def _show_steps(self) -> None:
        self.day_actions.show_steps(can_undo=self.editor.can_undo, can_redo=self.editor.can_redo)

    def tell(self, words: str) -> None:
        """Say what came of the last thing that was asked; empty takes it away."""
        show_words(self.told, words)
        self._show_steps()  # the days are shown before the step is kept
        if self._facts.planned is not self._source.planned.now:
            self.refresh()  # a step that was not taken, for another window planned meanwhile, changes nothing

    # What is asked for.

    def _on_changed(self) -> None:
        if self.isVisible():
            self.refresh()

    def _on_view(self, view: View) -> None:
        self.tell("")
        self.view = view
        self.refresh()

    def _turn(self, days: int) -> None:
        if self.view != "unit":
            had = self.grid.has_keyboard()
            self.tell("")
            self.day, self.monday = _on(self.day, days), _on(self.monday, days)
            self.refresh()
            if had:
                self.focus_day()

    def _on_day(self, day: date) -> None:
        self.day = day
        self._show_actions()

    def _on_go(self, step: int) -> None:
        """To the next day that is shown, or over the edge into another week."""
        days = self.grid.days
        at = days.index(self.day) + step if self.day in days else 0
        if 0 <= at < len(days):
            self.day = days[at]
            self.focus_day()
        else:
            self._reach(self.editor.next_day(self.day, step))

    def _on_go_week(self, step: int) -> None:
        day = _on(self.day, 7 * step)
        if day in self.grid.days:
            self.day = day
            self.focus_day()

    def _reach(self, day: date) -> None:
        """Put the keyboard on a date, turning to its week where it isn't shown."""
        self.day = day
        if day not in self.grid.days:
            self.monday = monday_of(day)
        self.refresh()
        self.focus_day()

    def _chosen(self) -> tuple[DaySlot, str] | None:
        place, lesson = self.grid.place(self.day), self.grid.lesson(self.day)
        return None if place is None or lesson is None else (place, lesson.title)

    def _on_move_day(self, step: int) -> None:
        if (chosen := self._chosen()) is not None:
            to = self.editor.next_day(self.day, step)
            self._move(chosen[0], to, chosen[1])

    def _on_move_row(self, step: int) -> None:
        if (chosen := self._chosen()) is not None:
            place, title = chosen
            at = place.at + step
            if 0 <= at < len(self._facts.planned.of(place.day)):
                self.tell(self.editor.move(place, place.day, title, at))
                self._choose(place.day, at)

    def _move(self, place: DaySlot, to: date, title: str, at: int | None = None) -> None:
        before = self._facts.planned.of(to)
        self.tell(self.editor.move(place, to, title, at))
        if self._source.planned.of(to) != before:
            self._choose(to, len(before) if at is None else at)

    def _choose(self, day: date, row: int) -> None:
        self._reach(day)
        self.grid.choose(day, row)

    def _on_take_away(self) -> None:
        if (chosen := self._chosen()) is not None:
            self.tell(self.editor.take_away(*chosen))

    def _on_dropped(self, what: object, row: int, to: date) -> None:
        if isinstance(what, str):
            self.tell(self.editor.assign(to, what, self._source.outlines.title(what) or what, row))
            self._choose(to, row)
        elif isinstance(what, DaySlot):
            names = self._facts.planned.of(what.day)
            if what.at < len(names):
                title = self._source.outlines.title(names[what.at]) or names[what.at]
                # Its own row goes before it is put in again.
                at = row - 1 if to == what.day and row > what.at else row
                self._move(what, to, title, at)

    def _on_pick(self) -> None:
        day = self.day
        chosen = OutlinePicker.ask(self._own_folder, day, self)
        if chosen is not None:
            self.tell(self.editor.assign(day, *chosen))
            self._choose(day, len(self._source.planned.of(day)) - 1)

    def _on_open(self) -> None:
        if (chosen := self._chosen()) is not None:
            place, _title = chosen
            self.edit_asked.emit(self._source.outlines.path(self._source.planned.of(place.day)[place.at]))

    def _on_copy(self) -> None:
        self.tell(self.editor.copy_last_week(self.monday))

    def _on_snow(self) -> None:
        self.tell(self.editor.snow_day(self.day))

    def _on_shape(self, name: object) -> None:
        self.tell(self.editor.shape(self.day, name if isinstance(name, str) else None))

    def _on_bell(self, time: str) -> None:
        self._source.settings.change(last_bell=time)

    def _on_undo(self) -> None:
        self.tell(self.editor.undo())

    def _on_redo(self) -> None:
        self.tell(self.editor.redo())

    def _on_print(self) -> None:
        from pacer.qt.paper.print_card import print_card

        self._with_card(print_card)

    def _on_save(self) -> None:
        from pacer.qt.paper.print_card import save_card

        self._with_card(save_card)

    def _with_card(self, act: "Callable[[QWidget, PaperCard], str]") -> None:
        """Print or save the card of the chosen outline, or of the day's first one."""
        names = self._source.planned.of(self.day)
        if self.day not in self.grid.days or not names:
            self.tell(_("Choose a day with a lesson: its card is what is printed."))
            return
        place = self.grid.place(self.day)
        card = self._source.card(names[0 if place is None else place.at], self.day, self._now())
        self.tell(_("Its outline can't be used yet: open it first.") if card is None else act(self, card))


def _on(day: date, days: int) -> date:
    """Some days on; the date itself at the calendar's ends."""
    try:
        return day + timedelta(days=days)
    except OverflowError:
        return day


def _empty_words() -> str:
    return _("Nothing is planned here yet. A adds a lesson to the chosen day; last week can be copied.")
