"""The pictures of Look back: which lessons, the picture with its words, and the coach copy."""

from dataclasses import replace

from PySide6.QtWidgets import QWidget

from pacer.frames.pictures import QUESTIONS, chart
from pacer.frames.pictures.chart import Chart
from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.qt.charts.view import ChartView
from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.widgets import button, notice, shortcut, show_words
from pacer.qt.look_back.choice_bar import ChoiceBar
from pacer.review.choice import LessonChoice, choosable
from pacer.review.day_book import DayBook, KeptBook
from pacer.run.events import Mode
from pacer.text import _, counted

# Where phases stand together, whatever their kind.
WITHOUT_KINDS = (
    "where_time", "late_steps", "lost_minutes", "groups_met", "talk_share", "review_kept", "week",
    "rehearsal", "warnings",
)  # fmt: skip
# Where something is learned, so that it matters whether days whose times were mended count; elsewhere a
# narrow row has no room for a choice that changes nothing.
LEARNING = ("over_usually", "how_long", "improving", "unit", "rehearsal", "warnings")


class PicturesView(QWidget):
    """One picture at a time, made from the lessons that the row above it chooses."""

    def __init__(self, records: DayRecords, modes: tuple[Mode, ...], parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._records = records
        self._book = DayBook(())
        self._name = QUESTIONS[0]
        self._monday = ""
        self._kept_book = KeptBook()  # reading years of days takes longer than drawing them
        self.bar = ChoiceBar(LessonChoice(modes=modes))
        self.bar.changed.connect(self._draw)
        self.notice = notice()
        self.picture = ChartView()
        self.earlier = button(_("Week before"), self._on_step, tip=_("Alt+Left"))
        self.later = button(_("Week after"), self._on_step, tip=_("Alt+Right"))
        self.together = button(_("Whole &unit"), self._draw, tip=_("All chosen weeks, or one"))
        self.together.setCheckable(True)
        self.everything = button(_("All &again"), self.bar.choose_all, tip=_("Choose no lessons apart"))
        self.coach = button(_("&Coach copy…"), self._on_coach, tip=_("A page to print with what you choose"))
        self._keys = [
            shortcut("Alt+Left", self, self.earlier.click),
            shortcut("Alt+Right", self, self.later.click),
        ]
        steps = self.together, self.earlier, self.later, *self.bar.ticks, self.everything, STRETCH, self.coach
        column_of(self.bar, self.notice, (self.picture, 1), row_of(*steps, gap=10), gap=10, inside=self)

    def show_picture(self, name: str) -> None:
        """Read the lessons again and show a picture by its name."""
        self._name = name
        self._read()
        self._draw()

    def _read(self) -> None:
        try:
            self._book = self._kept_book.read(self._records)
        except LogError as error:
            show_words(self.notice, str(error))
            return
        damaged = self._book.damaged
        words = counted(
            "{n} day record can't be read and is left out.",
            "{n} day records can't be read and are left out.",
            damaged,
        )
        show_words(self.notice, words if damaged else "")

    def _offer(self) -> None:
        """Offer what lessons of the chosen kind and subject have; phase kinds where they change something."""
        choice = self.bar.choice
        like = LessonChoice(modes=choice.modes, subjects=choice.subjects, flagged=True)
        own, every = choosable(like.days(self._book.days)), choosable(self._book.days)
        self.bar.offer(
            replace(own, modes=every.modes, subjects=every.subjects, first=every.first, last=every.last)
        )
        self.bar.boxes["kinds"].setEnabled(self._name not in WITHOUT_KINDS)
        self.everything.setVisible(self.bar.is_narrowed)

    def _draw(self) -> None:
        self._offer()
        both = self._name == "groups_met"
        self.together.setVisible(both)
        self.bar.repaired.setVisible(self._name in LEARNING)
        self.together.setText(_("One wee&k") if self.together.isChecked() else _("Whole &unit"))
        is_week = self._name == "week" or (both and not self.together.isChecked())
        for step, keys in zip((self.earlier, self.later), self._keys, strict=True):
            step.setVisible(is_week)
            keys.setEnabled(is_week)
        self.picture.set_chart(self._chart())

    def _chart(self) -> Chart:
        days, choice = self._book.days, self.bar.choice
        match self._name:
            case "week":
                from pacer.frames.pictures import week

                return week.chart(days, choice, self._monday)
            case "groups_met":
                from pacer.frames.pictures import groups_met

                return groups_met.chart(days, choice, None if self.together.isChecked() else self._monday)
            case "unit":
                from pacer.frames.pictures import unit

                return unit.chart(days, choice)
            case "rehearsal" | "warnings":
                from pacer.frames.pictures import compare

                draw = compare.rehearsal_chart if self._name == "rehearsal" else compare.warnings_chart
                return draw(days, choice)
            case _:
                return chart(self._name, days, choice)

    def _on_step(self) -> None:
        """Show the week before or after among the weeks that have lessons."""
        from pacer.review.questions.weeks import weeks

        by = -1 if self.sender() is self.earlier else 1
        mondays = weeks(self.bar.choice.days(self._book.days))
        if not mondays:
            return
        at = mondays.index(self._monday) if self._monday in mondays else len(mondays) - 1
        self._monday = mondays[min(max(0, at + by), len(mondays) - 1)]
        self._draw()

    def _on_coach(self) -> None:
        from pacer.qt.look_back.coach_dialog import CoachDialog

        CoachDialog.ask(self._book.days, self.bar.choice, self.window())
