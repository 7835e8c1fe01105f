"""Day shapes: the bell schedule of each kind of day, the weekly pattern, and the days that differ."""

from datetime import date

from PySide6.QtCore import QLocale
from PySide6.QtWidgets import QComboBox, QDialog, QDialogButtonBox, QGridLayout, QWidget

from pacer.plan.day_shapes import STARTING_SHAPES, DayShapes
from pacer.qt.kit.rows import column_of, row_of
from pacer.qt.kit.widgets import (
    fill_choices,
    fit_to_screen,
    label,
    named,
    notice,
    scrolled,
    show_words,
    without_pictures,
)
from pacer.qt.today.day_exceptions import DayExceptions
from pacer.qt.today.shape_rows import ShapeRow, ShapeTable, WrongField
from pacer.text import _, counted

SCHOOL_DAYS = 5


class DayShapesDialog(QDialog):
    """Accepted only when every field makes sense; until then all that was typed stays."""

    def __init__(self, shapes: DayShapes, today: date, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.setWindowTitle(_("Day shapes"))
        self._was = shapes
        self.table = ShapeTable(shapes.shapes or STARTING_SHAPES)
        self.week = [self._weekday(number) for number in range(SCHOOL_DAYS)]
        self._pattern: list[ShapeRow | None] = [self._usual(number) for number in range(SCHOOL_DAYS)]
        self.exceptions = DayExceptions(today, self.table, self._tell)
        # Days that are over are left as they are and not shown.
        self._past = {day: name for day, name in shapes.days.items() if day < today.isoformat()}
        for day, name in shapes.days.items():
            if day not in self._past and (not name or self._row(name) is not None):
                self.exceptions.days[day] = self._row(name)
        self.exceptions.doubts = [each for each in shapes.doubts if each.last >= today]
        self.problem = notice()
        self.table.changed.connect(self._show)
        self.table.removed.connect(self._on_removed)
        self._lay_out(is_new=not shapes.shapes)
        self._show()

    def _lay_out(self, *, is_new: bool) -> None:
        words = _("When the block starts and how long it is on each kind of day. The bell ends it.")
        if is_new:
            words += " " + _("These are starting values of ours: change them to your school's.")
        days = QGridLayout()
        days.setVerticalSpacing(6)
        days.addWidget(label(_("Every week"), bold=True), 0, 0, 1, 2)
        for number, combo in enumerate(self.week):
            days.addWidget(label(combo.accessibleName()), number + 1, 0)
            days.addWidget(combo, number + 1, 1)
        days.setRowStretch(SCHOOL_DAYS + 1, 1)
        below = row_of((days, 2), (self.exceptions, 5), gap=36)
        buttons = QDialogButtonBox(
            QDialogButtonBox.StandardButton.Save | QDialogButtonBox.StandardButton.Cancel
        )
        without_pictures(buttons)
        buttons.accepted.connect(self._on_save)
        buttons.rejected.connect(self.reject)
        body = QWidget()
        column_of((self.table, 4), (below, 5), gap=12, inside=body)
        parts = label(words, "quiet", wrap=True), (scrolled(body, _("Day shapes")), 1), self.problem, buttons
        column_of(*parts, gap=12, inside=self, margins=(28, 18, 28, 18))
        fit_to_screen(self, 1040, 680)

    def _weekday(self, number: int) -> QComboBox:
        day = QLocale().standaloneDayName(number + 1, QLocale.FormatType.LongFormat)
        combo = named(QComboBox(), day)
        combo.setMinimumHeight(32)
        combo.currentIndexChanged.connect(self._on_week)
        return combo

    def _row(self, name: str) -> ShapeRow | None:
        return next((row for row in self.table.rows if name and row.title == name), None)

    def _usual(self, number: int) -> ShapeRow | None:
        """The shape of a weekday; one that nothing names takes the first."""
        name = self._was.week.get(number)
        first = self.table.rows[0] if self.table.rows else None
        return first if name is None or (name and self._row(name) is None) else self._row(name)

    def _show(self) -> None:
        """Bring the names in every list up to what is typed."""
        choices = [*((row.title, row) for row in self.table.rows), (_("no block"), None)]
        for combo, chosen in zip(self.week, self._pattern, strict=True):
            fill_choices(combo, choices, chosen)
        self.exceptions.show_days()

    def _on_week(self) -> None:
        combo = self.sender()
        if isinstance(combo, QComboBox):
            self._pattern[self.week.index(combo)] = combo.currentData()

    def _on_removed(self, gone: ShapeRow) -> None:
        """What named the shape: weekdays take the first one, exceptions go, and both is said."""
        first = self.table.rows[0] if self.table.rows else None
        self._pattern = [first if row is gone else row for row in self._pattern]
        days = self.exceptions.forget(gone)
        self._tell("")
        if days:
            self._tell(counted("{n} day went with it.", "{n} days went with it.", days))
        self._show()

    def _tell(self, words: str) -> None:
        show_words(self.problem, words)

    def _on_save(self) -> None:
        shapes = self.table.shapes()
        if isinstance(shapes, WrongField):
            self._tell(shapes.words)
            self.table.point_at(shapes.field)
            return
        self.accept()

    def result_shapes(self) -> DayShapes:
        """What is typed; the shapes as they were while a field is wrong."""
        shapes = self.table.shapes()
        if isinstance(shapes, WrongField):
            return self._was
        if not shapes:
            return DayShapes()
        week = {number: "" if row is None else row.title for number, row in enumerate(self._pattern)}
        weekend = {number: name for number, name in self._was.week.items() if number >= SCHOOL_DAYS}
        days = {day: "" if row is None else row.title for day, row in self.exceptions.days.items()}
        doubts = tuple(self.exceptions.doubts)
        return DayShapes(shapes=shapes, week={**week, **weekend}, days={**self._past, **days}, doubts=doubts)

    @staticmethod
    def ask(shapes: DayShapes, today: date, parent: QWidget) -> DayShapes | None:
        """The teacher's day shapes; None when she cancels. Never called while a lesson runs."""
        dialog = DayShapesDialog(shapes, today, parent)
        saved = dialog.exec() == QDialog.DialogCode.Accepted
        chosen = dialog.result_shapes() if saved else None
        dialog.deleteLater()
        return chosen
