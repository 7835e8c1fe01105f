"""Like with like: one row in which the lessons behind the pictures are chosen."""

from collections.abc import Iterable
from dataclasses import replace
from typing import cast

from PySide6.QtCore import QDate, QSignalBlocker, Signal
from PySide6.QtGui import QKeyEvent
from PySide6.QtWidgets import QCheckBox, QComboBox, QDateEdit, QWidget

from pacer.frames.words.kinds import kind_words
from pacer.frames.words.wording import mode_words
from pacer.qt.kit.rows import row_of
from pacer.qt.kit.widgets import fill_choices, label, named
from pacer.review.choice import Choosable, LessonChoice
from pacer.run.events import Mode
from pacer.text import _

DATE_PX = 130
_SECTION_BEGINS = (0, 5, 8)  # of yyyy-MM-dd
FIELDS = ("modes", "subjects", "kinds", "shapes", "titles")


def field_words(field: str) -> str:
    """What a field of the row chooses."""
    return {
        "modes": _("Lessons"),
        "subjects": _("Subject"),
        "kinds": _("Phase kind"),
        "shapes": _("Day shape"),
        "titles": _("Outline"),
    }[field]


def _all_words(field: str) -> str:
    return {
        "subjects": _("all subjects"),
        "kinds": _("all kinds"),
        "shapes": _("all shapes"),
        "titles": _("all outlines"),
    }[field]


def _value_words(field: str, value: str) -> str:
    if field == "modes":
        return _("live") if value == "live" else mode_words(cast(Mode, value))
    if field == "kinds":
        return kind_words(value)
    return value or {"subjects": _("no subject"), "shapes": _("own block")}.get(field, value)


class DateField(QDateEdit):
    """A date that can be typed as it is shown, dashes and all."""

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """A full section has gone on to the next by itself: the dash after it must not skip one more."""
        if event.text() == "-" and self.lineEdit().cursorPosition() in _SECTION_BEGINS:
            event.accept()
            return
        super().keyPressEvent(event)


class ChoiceBar(QWidget):
    """The filters. ``changed`` carries the new Choice; ``ticks`` are laid out elsewhere on the page."""

    changed = Signal(object)

    def __init__(self, choice: LessonChoice) -> None:
        super().__init__()
        self.setAccessibleName(_("Which lessons"))
        self.choice = self._default = choice
        self.boxes: dict[str, QComboBox] = {}
        for field in FIELDS:
            box = named(QComboBox(), field_words(field))
            box.setToolTip(field_words(field))
            box.setProperty("field", field)
            box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            box.setMinimumContentsLength(9)
            box.activated.connect(self._on_box)
            self.boxes[field] = box
        self.since, self.until = self._date(_("From")), self._date(_("To"))
        dates = label(_("From"), "quiet"), self.since, label(_("to"), "quiet"), self.until
        row_of(*((box, 1) for box in self.boxes.values()), *dates, gap=8, inside=self)
        self.flagged = self._tick(
            _("Days not like others, too"), _("Also days that were marked as not like others")
        )
        self.repaired = self._tick(
            _("Learn from repaired days"), _("Learn also from days whose times were mended")
        )
        self.ticks = (self.flagged, self.repaired)

    def _date(self, name: str) -> QDateEdit:
        edit = named(DateField(), name)
        edit.setCalendarPopup(True)
        edit.setDisplayFormat("yyyy-MM-dd")
        edit.setKeyboardTracking(False)
        edit.setMinimumWidth(DATE_PX)
        edit.dateChanged.connect(self._on_date)
        return edit

    def _tick(self, words: str, tip: str) -> QCheckBox:
        tick = QCheckBox(words, self)
        tick.setToolTip(tip)
        tick.setAccessibleDescription(tip)
        tick.toggled.connect(self._on_tick)
        return tick

    def offer(self, choosable: Choosable) -> None:
        """Show what there is to choose from; a choice that no lesson has any more is dropped."""
        for field, box in self.boxes.items():
            values: tuple[str, ...] = getattr(choosable, field)
            self._fill(box, field, values)
            # One value is no choice, but which lessons are shown is always said.
            box.setVisible(field == "modes" or len(values) > 1)
        if choosable.first:
            for edit, iso in ((self.since, choosable.first), (self.until, choosable.last)):
                with QSignalBlocker(edit):
                    edit.setDateRange(QDate.fromString(choosable.first, "yyyy-MM-dd"),
                                      QDate.fromString(choosable.last, "yyyy-MM-dd"))  # fmt: skip
                    chosen = self.choice.since if edit is self.since else self.choice.until
                    edit.setDate(QDate.fromString(chosen or iso, "yyyy-MM-dd"))
        for edit in (self.since, self.until):
            edit.setEnabled(bool(choosable.first))
        # A date after the last lesson, or before the first, chooses none: it goes with the lessons it named.
        since = self.choice.since if choosable.first and self.choice.since <= choosable.last else ""
        until = self.choice.until if choosable.first and self.choice.until >= choosable.first else ""
        self._change(since=since, until=until)

    def _fill(self, box: QComboBox, field: str, values: Iterable[str]) -> None:
        chosen = tuple(getattr(self.choice, field))
        choices: dict[tuple[str, ...], str] = {(value,): _value_words(field, value) for value in values}
        if field != "modes":
            choices = {(): _all_words(field)} | choices
        elif chosen and chosen not in choices:
            choices = {chosen: _value_words(field, chosen[0])} | choices
        fill_choices(box, ((words, value) for value, words in choices.items()), chosen)
        if field != "modes" and chosen not in choices:
            self._change(**{field: ()})

    def _on_box(self) -> None:
        box = self.sender()
        if isinstance(box, QComboBox):
            self._change(**{box.property("field"): tuple(box.currentData())})

    def _on_date(self) -> None:
        first, last = self.since.minimumDate(), self.until.maximumDate()
        since, until = self.since.date(), self.until.date()
        if since > until:  # the one that was not touched follows
            moved = self.sender() is self.since
            follower = self.until if moved else self.since
            with QSignalBlocker(follower):
                follower.setDate(since if moved else until)
            since, until = self.since.date(), self.until.date()
        self._change(
            # The whole span is no choice: lessons still to come belong to it, too.
            since="" if since == first else since.toString("yyyy-MM-dd"),
            until="" if until == last else until.toString("yyyy-MM-dd"),
        )

    def choose_all(self) -> None:
        """Choose as at the beginning: all lessons of the ordinary kind."""
        self.choice = self._default
        for tick in self.ticks:
            with QSignalBlocker(tick):
                tick.setChecked(False)
        self.changed.emit(self.choice)

    @property
    def is_narrowed(self) -> bool:
        """Whether anything else than at the beginning is chosen."""
        return self.choice != self._default

    def _on_tick(self) -> None:
        self._change(flagged=self.flagged.isChecked(), repaired=self.repaired.isChecked())

    def _change(self, **values: object) -> None:
        choice = replace(self.choice, **values)  # type: ignore[arg-type]
        if choice != self.choice:
            self.choice = choice
            self.changed.emit(choice)
