"""One day on Week: its name and date, its shape, its outlines, and what earlier lessons left for it."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QMouseEvent
from PySide6.QtWidgets import QFrame

from pacer.frames.week.days import DayCard
from pacer.qt.kit.rows import column_of
from pacer.qt.kit.widgets import label, named, show_words
from pacer.qt.week.day_list import DayList
from pacer.text import _


class DayColumn(QFrame):
    """A day. A press anywhere on it gives it the keyboard."""

    def __init__(self) -> None:
        super().__init__()
        self.weekday, self.date = label("", bold=True), label("", "quiet", wrap=True)
        self.shape = label("", "quiet", wrap=True)
        self.list = DayList()
        self.carried = label("", "quiet", wrap=True)
        self.carried.setTextInteractionFlags(Qt.TextInteractionFlag.NoTextInteraction)
        parts = self.weekday, self.date, self.shape, (self.list, 1), self.carried
        column_of(*parts, gap=3, inside=self, margins=(7, 7, 7, 7))

    def show_day(self, card: DayCard) -> None:
        """Show another day, or the same one anew."""
        named(self, card.name)
        next_day = _("{weekday} · next", weekday=card.weekday)
        self.weekday.setText(next_day if card.is_lesson_day else card.weekday)
        self.date.setText(card.date)
        show_words(self.shape, card.shape)
        self.list.show_day(card)
        lines = (_("Carried here:"), *card.carried) if card.carried else ()
        show_words(self.carried, "\n".join(lines))
        if self.property("marked") != card.is_lesson_day:
            self.setProperty("marked", card.is_lesson_day)
            self.style().unpolish(self)
            self.style().polish(self)

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """A press beside the list is one on its day."""
        super().mousePressEvent(event)
        self.list.setFocus()
