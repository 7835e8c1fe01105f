"""The picture's height and the back row's distance, and what the back row can read at these sizes."""

from collections.abc import Sequence
from typing import TypeVar

from PySide6.QtCore import QSignalBlocker, Qt, Signal
from PySide6.QtGui import QValidator
from PySide6.QtWidgets import QAbstractSpinBox, QCheckBox, QDoubleSpinBox, QSpinBox, QWidget

from pacer.frames.back_row import BackRowCard, SizeRow, centimetres
from pacer.qt.kit import theme
from pacer.qt.kit.rows import STRETCH, column_of, grid_of, row_of
from pacer.qt.kit.setting_fields import keep
from pacer.qt.kit.widgets import button, label, named
from pacer.settings.store import SettingsStore
from pacer.text import _

# A centimetre under the least height that can be typed stands for "not measured".
LEAST_CM, MOST_CM = 15, 600
NOT_MEASURED_CM = LEAST_CM - 1
LEAST_M, MOST_M = 1.0, 40.0
ROWS = 7
_Spin = TypeVar("_Spin", bound=QAbstractSpinBox)


class HeightSpin(QSpinBox):
    """Whole centimetres; an empty field means that nothing was measured."""

    def __init__(self) -> None:
        super().__init__()
        self.setRange(NOT_MEASURED_CM, MOST_CM)
        self.lineEdit().setPlaceholderText(_("not measured"))

    def textFromValue(self, cm: int) -> str:
        return "" if cm == NOT_MEASURED_CM else super().textFromValue(cm)

    def valueFromText(self, text: str) -> int:
        return super().valueFromText(text) if text.strip() else NOT_MEASURED_CM

    def validate(self, text: str, at: int) -> tuple[QValidator.State, str, int]:
        if not text.strip():
            return QValidator.State.Acceptable, text, at
        if text.strip() == str(NOT_MEASURED_CM):
            return QValidator.State.Intermediate, text, at  # the beginning of a greater number
        return super().validate(text, at)


class SizeTable(QWidget):
    """The rows of the test card, as the teacher sees them."""

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("Sizes on the Wall"))
        grid = grid_of(16, 1, inside=self, shares={4: 1})
        for column, text in enumerate((_("On the Wall"), _("Share"), _("Height"), _("Arc-minutes"), "")):
            grid.addWidget(label(text, "quiet"), 0, column, _side(column))
        for column, width in enumerate((150, 64, 72, 100)):
            grid.setColumnMinimumWidth(column, width)
        self.cells = [[label() for _column in range(5)] for _row in range(ROWS)]
        for number, cells in enumerate(self.cells, 1):
            for column, cell in enumerate(cells):
                grid.addWidget(cell, number, column, _side(column))

    def show_rows(self, rows: Sequence[SizeRow]) -> None:
        """Show other rows; fewer than before leave the last lines out."""
        for number, cells in enumerate(self.cells):
            row = rows[number] if number < len(rows) else None
            texts = ("",) * 5 if row is None else _texts(row)
            for cell, text in zip(cells, texts, strict=True):
                cell.setText(text)
                cell.setVisible(row is not None)
            small = row is not None and row.verdict == "too small"
            cells[-1].setFont(theme.font(15, theme.SEMIBOLD if small else theme.REGULAR))
        self.setAccessibleDescription(". ".join(f"{row.heading}: {row.note}" for row in rows))


def _texts(row: SizeRow) -> tuple[str, ...]:
    return row.heading, row.share_words, row.height_words, row.seen_words, row.verdict_words


def _wide(spin: _Spin, name: str) -> _Spin:
    spin.setMinimumWidth(140)
    spin.lineEdit().setTextMargins(8, 0, 8, 0)
    return named(spin, name)


def _side(column: int) -> Qt.AlignmentFlag:
    return Qt.AlignmentFlag.AlignRight if column in (1, 2, 3) else Qt.AlignmentFlag.AlignLeft


class PicturePanel(QWidget):
    """Two numbers, the test card's button, and under them what follows from the numbers.

    ``card_asked`` asks to show the test card, or to take it away again.
    """

    card_asked = Signal()

    def __init__(self, settings: SettingsStore) -> None:
        super().__init__()
        self._settings = settings
        self.setAccessibleName(_("Picture"))
        self._reported_mm: int | None = None
        self.picture_height = self._picture_height()
        self.reported = QCheckBox("")
        self.reported.toggled.connect(self._on_reported)
        self.back_row = self._back_row()
        self.card_button = button(
            "", self.card_asked.emit, tip=_("Shows the sizes on the screen that the class sees")
        )
        self.verdict = label("", bold=True, wrap=True)
        self.table = SizeTable()
        self.sample = label(_("Sizes of a phase of 20 minutes."), "quiet", wrap=True)
        self.other_rules = label("", "quiet", wrap=True)
        self._lay_out()
        self.show_settings(None)
        self.tell_card_shown(False)
        keep(self.picture_height.valueChanged, settings, "picture_height_mm", _height_mm)
        keep(self.back_row.valueChanged, settings, "back_row_mm", lambda metres: round(metres * 10) * 100)

    def _picture_height(self) -> HeightSpin:
        spin = _wide(HeightSpin(), _("Height of the picture in centimetres"))
        spin.setToolTip(_("Measure the lit picture with a tape, from its lower edge to its upper edge"))
        return spin

    def _back_row(self) -> QDoubleSpinBox:
        distance = _("From the picture to the child who sits farthest away, in metres")
        spin = _wide(QDoubleSpinBox(), distance)
        spin.setRange(LEAST_M, MOST_M)
        spin.setDecimals(1)
        spin.setSingleStep(0.5)
        return spin

    def _lay_out(self) -> None:
        grid = grid_of(12, 8, shares={3: 1})
        lines = (
            (_("Height of the &picture"), self.picture_height, _("cm")),
            (_("Distance of the back ro&w"), self.back_row, _("m")),
        )
        for number, (text, spin, unit) in enumerate(lines):
            grid.addWidget(label(text, of=spin), number, 0)
            grid.addWidget(spin, number, 1)
            grid.addWidget(label(unit), number, 2)
        grid.addWidget(self.reported, 0, 3)
        grid.addLayout(row_of(STRETCH, self.card_button), 1, 3)
        column_of(grid, self.verdict, self.table, self.sample, self.other_rules, gap=8, inside=self)

    def show_settings(self, reported_mm: int | None) -> None:
        """Show the numbers; ``reported_mm`` is the height that the system reports, if it can be believed."""
        self._reported_mm = reported_mm
        typed = self._settings.now.picture_height_mm
        believed = typed is None and reported_mm is not None
        shown = typed if typed is not None else reported_mm if believed else None
        with (
            QSignalBlocker(self.picture_height),
            QSignalBlocker(self.back_row),
            QSignalBlocker(self.reported),
        ):
            # Half of what is typed may be a number by itself: the field is left alone while it is right.
            value = NOT_MEASURED_CM if shown is None else round(shown / 10)
            if self.picture_height.value() != value:
                self.picture_height.setValue(value)
            metres = self._settings.now.back_row_mm / 1000
            if self.back_row.value() != metres:
                self.back_row.setValue(metres)
            self.reported.setChecked(believed)
        self.picture_height.setEnabled(not believed)
        self.reported.setVisible(reported_mm is not None)
        if reported_mm is not None:
            self.reported.setText(_("as the screen &says: {cm} cm").format(cm=centimetres(reported_mm)))

    def show_card(self, card: BackRowCard) -> None:
        """Show what the back row can read."""
        self.verdict.setText(card.verdict if card.picture_height_mm is not None else f"{card.head}.")
        self.table.show_rows(card.rows)
        self.other_rules.setText(card.other_rules)

    def tell_card_shown(self, shown: bool) -> None:
        """Let the button say what it does now."""
        self.card_button.setText(_("Close the &test card") if shown else _("&Test card"))

    def _on_reported(self, checked: bool) -> None:
        height = None if checked or self._reported_mm is None else round(self._reported_mm / 10)
        self._settings.change(picture_height_mm=None if height is None else max(LEAST_CM, height) * 10)
        if not checked:
            self.picture_height.setFocus()
            self.picture_height.selectAll()


def _height_mm(cm: int) -> int | None:
    return None if cm == NOT_MEASURED_CM else cm * 10
