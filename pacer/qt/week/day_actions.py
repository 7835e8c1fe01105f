"""What can be done with the chosen day and its lesson, as one row of buttons."""

from datetime import date

from PySide6.QtCore import Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QComboBox, QWidget

from pacer.frames.week.days import PlannedLesson
from pacer.frames.words.dates import day_words, usual_words
from pacer.plan.day_shapes import STARTING_SHAPES
from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.widgets import button, fill_choices, label, named
from pacer.settings.model import Settings
from pacer.text import _


class DayActions(QWidget):
    """The day in words, its shape, and the buttons.

    ``shape_chosen`` carries the name of a shape, empty for no school, or None for that of the week.
    """

    add_asked = Signal()
    open_asked = Signal()
    print_asked = Signal()
    save_asked = Signal()
    copy_asked = Signal()
    snow_asked = Signal()
    undo_asked = Signal()
    redo_asked = Signal()
    take_off_asked = Signal()
    shape_chosen = Signal(object)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("The chosen day"))
        self.day_line = label("", bold=True)
        self.shape = named(QComboBox(), _("Shape of this day"))
        self.shape.setToolTip(_("Shape of this day (F4)"))
        QShortcut(QKeySequence("F4"), self).activated.connect(self.shape.setFocus)
        self.shape.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
        self.shape.activated.connect(self._on_shape)
        self.add_button = button(_("&Add a lesson…"), self.add_asked.emit, tip=_("On the chosen day (A)"))
        self.open_button = button(_("&Open"), self.open_asked.emit, tip=_("In the page Outline (Enter)"))
        self.print_button = button(_("&Print card…"), self.print_asked.emit, tip=_("Its card (Ctrl+P)"))
        self.save_button = button(_("Sa&ve card…"), self.save_asked.emit, tip=_("Its card as a PDF"))
        self.copy_button = button(
            _("&Copy last week"), self.copy_asked.emit, tip=_("Onto the days of this week that are empty")
        )
        self.snow_button = button(
            _("&Snow day"),
            self.snow_asked.emit,
            tip=_("No school on the chosen day: all from then on moves by a school day"),
        )
        self.take_off_button = button(
            _("&Take off"), self.take_off_asked.emit, tip=_("Off the chosen day; its outline stays (Delete)")
        )
        self.undo_button = button(_("&Undo"), self.undo_asked.emit, tip=_("The last step (Ctrl+Z)"))
        self.redo_button = button(_("&Redo"), self.redo_asked.emit, tip=_("The step again (Ctrl+Y)"))
        of_week = self.copy_button, self.snow_button
        of_lesson = self.add_button, self.open_button, self.take_off_button
        steps, card = (self.undo_button, self.redo_button), (self.print_button, self.save_button)
        first = row_of(self.day_line, self.shape, STRETCH, *of_week, gap=8)
        second = row_of(*of_lesson, STRETCH, *steps, *card, gap=8)
        column_of(first, second, gap=6, inside=self)

    def show_day(self, day: date, settings: Settings, lesson: PlannedLesson | None) -> None:
        """Show another day, with the lesson that is chosen on it."""
        self.day_line.setText(day_words(day))
        shapes = settings.day_shapes
        choices: list[tuple[str, object]] = [(usual_words(day), None)]
        choices += [(shape.name, shape.name) for shape in shapes.shapes or STARTING_SHAPES]
        choices += [(_("no school"), "")]
        fill_choices(self.shape, choices, shapes.days.get(day.isoformat()))
        planned = lesson is not None and bool(lesson.name)
        for each in (self.open_button, self.take_off_button):
            each.setEnabled(planned)
        for each in (self.print_button, self.save_button):
            each.setEnabled(planned and lesson is not None and lesson.state != "gone")

    def show_steps(self, *, can_undo: bool, can_redo: bool) -> None:
        """Whether there is a step to take back, and one to do again."""
        self.undo_button.setEnabled(can_undo)
        self.redo_button.setEnabled(can_redo)

    def _on_shape(self, index: int) -> None:
        self.shape_chosen.emit(self.shape.itemData(index))
