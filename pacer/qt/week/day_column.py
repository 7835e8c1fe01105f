"""One day on Week: its name and date, its shape, its outlines, and what earlier lessons left for it."""

from PySide6.QtCore import Qt
from PySide6.QtGui import QMouseEvent, QResizeEvent
from PySide6.QtWidgets import QFrame

from pacer.frames.week.days import DayCard
from pacer.qt.kit.rows import column_of
from pacer.qt.kit.widgets import label, named, set_look, show_words
from pacer.qt.week.day_list import DayList
from pacer.text import _, counted

LOW_PX = 330  # of a column: in less, what was carried here would leave no room for the second lesson


class DayColumn(QFrame):
    """A day. A press anywhere on it gives it the keyboard."""

    def __init__(self) -> None:
        super().__init__()
        self.weekday, self.date = label("", bold=True), label("", "quiet", wrap=True)
        self.shape = label("", "quiet", wrap=True)
        self.list = DayList()
        self.card: DayCard | None = None
        self.carried = label("", "quiet", wrap=True)
        self.carried.setTextInteractionFlags(Qt.TextInteractionFlag.NoTextInteraction)
        parts = self.weekday, self.date, self.shape, (self.list, 1), self.carried
        column_of(*parts, gap=3, inside=self, margins=(7, 7, 7, 7))

    def show_day(self, card: DayCard) -> None:
        """Show another day, or the same one anew."""
        self.card = card
        named(self, card.name)
        next_day = _("{weekday} · next", weekday=card.weekday)
        self.weekday.setText(next_day if card.is_lesson_day else card.weekday)
        self.date.setText(card.date)
        show_words(self.shape, card.shape)
        self.list.show_day(card)
        self._show_carried()
        set_look(self, "marked", card.is_lesson_day)

    def _show_carried(self) -> None:
        """All that was carried here, or in a low window how much, with the rest under the mouse."""
        carried = () if self.card is None else self.card.carried
        whole = "\n".join((_("Carried here:"), *carried)) if carried else ""
        is_short = bool(whole) and self.height() < LOW_PX
        n = len(carried)
        show_words(
            self.carried,
            counted("Carried here: {n} note", "Carried here: {n} notes", n) if is_short else whole,
        )
        self.carried.setToolTip(whole if is_short else "")

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._show_carried()

    def mousePressEvent(self, event: QMouseEvent) -> None:
        """A press beside the list is one on its day."""
        super().mousePressEvent(event)
        self.list.setFocus()
