"""The day on Today: its shape said large, another shape for today only, and the re-cut of a short day."""

from datetime import date

from PySide6.QtCore import QSignalBlocker, Signal
from PySide6.QtGui import QKeySequence, QShortcut
from PySide6.QtWidgets import QCheckBox, QComboBox, QWidget

from pacer.frames.words.dates import next_day_words
from pacer.frames.words.day import doubt_words, offer_words, shape_words, warning_words
from pacer.plan.day_shapes import STARTING_SHAPES, DayShape, on_a_day, too_long_s
from pacer.plan.durations import format_duration
from pacer.plan.fit import LEAST_BLOCK_S
from pacer.plan.outline import Outline
from pacer.qt.kit.rows import TOP, column_of, row_of
from pacer.qt.kit.widgets import fill_choices, label, named, notice, show_words
from pacer.settings.store import SettingsStore
from pacer.text import _


class DayRow(QWidget):
    """Shows and chooses the day's shape.

    ``recut_changed`` comes with another answer to the offer.
    """

    recut_changed = Signal()

    def __init__(self, settings: SettingsStore) -> None:
        super().__init__()
        self._settings = settings
        self.setAccessibleName(_("The day's shape"))
        self._day = self._today = date.min
        self._shown: tuple[object, ...] = ()
        self._offered: tuple[object, ...] = ()
        self.shape: DayShape | None = None
        self.line = label("", "large", bold=True, wrap=True)
        self.which = named(QComboBox(), _("Shape of today"))
        self.which.setMinimumHeight(36)
        self.which.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToContents)
        self.which.setToolTip(
            _("For this day only (F4); the week and its exceptions are kept in Day shapes (Ctrl+D)")
        )
        self.which.activated.connect(self._on_which)
        QShortcut(QKeySequence("F4"), self).activated.connect(self.which.setFocus)
        self.recut_box = QCheckBox()
        self.recut_box.toggled.connect(self.recut_changed)
        self.offer = label("", "quiet", wrap=True)
        self.short = label(_("A block under 60 min: small groups will be short."), "quiet", wrap=True)
        self.warning = label("", bold=True, wrap=True)
        self.doubt = notice()
        self._lay_out()

    def _lay_out(self) -> None:
        first, self._second = row_of((self.line, 1), self.which, gap=12), QWidget()
        row_of((self.recut_box, 0, TOP), (self.offer, 1), gap=12, inside=self._second)
        column_of(first, self.doubt, self.short, self._second, self.warning, gap=2, inside=self)

    @property
    def recut(self) -> bool:
        """Whether the offered re-cut is taken."""
        return bool(self.offer.text()) and self.recut_box.isChecked()

    def in_force(self, outline: Outline) -> Outline:
        """The outline as it is taught today: in the block of the day's shape, cut where wanted."""
        return outline if self.shape is None else on_a_day(outline, self.shape, recut=self.recut)

    @property
    def shape_name(self) -> str:
        """The name of the day's shape, empty for the outline's own block."""
        return "" if self.shape is None else self.shape.name

    def show_day(self, outline: Outline | None, day: date, today: date | None = None) -> None:
        """Show the shape of a date, and what it asks of an outline; the date, too, if it isn't ``today``."""
        self._day, self._today = day, today or day
        shapes, choice = self._settings.now.day_shapes, self._settings.now.day_choice
        usual = shapes.on(day)
        is_chosen = choice[0] == day.isoformat()  # she has looked it up, and said so
        name = choice[1] if is_chosen else "" if usual is None else usual.name
        self.shape = self._settings.now.shape_on(day)
        names = tuple(shape.name for shape in shapes.shapes)
        # The night before, another day can be said before any shapes were set up.
        offered = names or tuple(shape.name for shape in STARTING_SHAPES if day != self._today)
        self.which.setVisible(bool(offered))
        if self._shown != (offered, name):
            self._shown = offered, name
            choices = [(_("the outline's own block"), ""), *((each, each) for each in offered)]
            fill_choices(self.which, choices, "" if self.shape is None else name)
        # An empty name in the calendar is a day without the block; she may still teach.
        no_block = bool(names) and usual is None and self.shape is None
        self._say(outline, day, no_block=no_block)
        doubts = () if is_chosen else shapes.doubts_on(day)
        show_words(self.doubt, doubt_words(doubts, is_today=day == self._today))
        # What can't be kept of the plan on this day is said; it can be started all the same.
        taught = None if outline is None else self.in_force(outline)
        show_words(self.warning, "" if taught is None else warning_words(taught, is_cut=self.recut))
        told = bool(self.line.text() or names) or not self.short.isHidden() or not self.warning.isHidden()
        self.setVisible(outline is not None and told)

    def _say(self, outline: Outline | None, day: date, *, no_block: bool) -> None:
        shape = self.shape
        if shape is None:
            words = _("No block today") if no_block else ""
        elif self._settings.now.start_when_pressed:
            words = _("{name}, {minutes} min from the start to the bell")
            words = words.format(name=shape.name, minutes=shape.length_s // 60)
        else:
            words = shape_words(shape, day)
        which_day = next_day_words(day, self._today)
        show_words(self.line, " · ".join(filter(None, (which_day, words))))
        block_s = 0 if outline is None else (shape.length_s if shape else outline.block.length_s)
        self.short.setVisible(0 < block_s < LEAST_BLOCK_S)
        self._offer(outline)

    def _offer(self, outline: Outline | None) -> None:
        """Offer the re-cut anew, and on, where the outline or the shape is another one."""
        shape = self.shape
        wanted = outline is not None and shape is not None and too_long_s(outline, shape) > 0
        self._second.setVisible(wanted)
        if outline is None or shape is None or not wanted:
            self.offer.setText("")
            self._offered = ()
            return
        self.offer.setText(offer_words(outline, shape, is_today=self._day == self._today))
        cut_s = on_a_day(outline, shape, recut=True).mini_lesson_s
        self.recut_box.setText(_("Short&en to {length}").format(length=format_duration(cut_s)))
        self.recut_box.setAccessibleDescription(self.offer.text())
        if self._offered != (outline, shape):
            self._offered = outline, shape
            with QSignalBlocker(self.recut_box):
                self.recut_box.setChecked(True)

    def _on_which(self, index: int) -> None:
        self._settings.refresh()
        choice, shapes = (self._day.isoformat(), self.which.itemData(index)), self._settings.now.day_shapes
        if choice[1] and not shapes.shapes:
            shapes = shapes.model_copy(update={"shapes": STARTING_SHAPES})
        self._settings.change(day_choice=choice, day_shapes=shapes)

    def choose_shape(self) -> None:
        """Give the keyboard to the day's shape."""
        if self.which.isVisible():
            self.which.setFocus()
