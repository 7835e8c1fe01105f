"""The week's rotation: the outlines of its days, what is wished, the week, and its order put into them."""

from collections.abc import Callable, Mapping
from pathlib import Path

from PySide6.QtWidgets import QComboBox, QDialog, QGridLayout, QLineEdit, QWidget

from pacer.editing.dates.week_orders import not_all_words, put_orders
from pacer.frames.week_table import WeekTable, clash_lines, day_name, gave_up_words, wall_words, week_table
from pacer.plan.durations import format_duration
from pacer.plan.outline import Outline
from pacer.plan.problems import clipped
from pacer.plan.week.in_outlines import groups_of, stations_of, unclear_lists, wall_agrees
from pacer.plan.week.integer_program import GaveUpError
from pacer.plan.week.problem import MOST_DAYS, MOST_VISITS, Clash, WeekProblem, WeekRotation
from pacer.plan.week.solve import rotation
from pacer.plan.week.typed_wishes import for_each_group, seconds
from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.widgets import (
    PlainTable,
    button,
    fill_choices,
    fit_to_screen,
    label,
    named,
    show_words,
    spin_box,
)
from pacer.settings.outline_shelf import shelf
from pacer.text import N_, _, counted


class WeekDialog(QDialog):
    """Asks for the outlines of Monday to Friday, shows the week, and puts its order into them.

    ``owed`` tells what past days owe to the groups of an outline, in seconds; she may write otherwise.
    ``changed`` are the outlines that were written.
    """

    def __init__(
        self, own_folder: Path, owed: Callable[[Outline], Mapping[str, int]], parent: QWidget | None = None
    ) -> None:
        super().__init__(parent)
        self.setWindowTitle(_("Week's rotation"))
        self.changed: tuple[Path, ...] = ()
        self._owed, self._owed_filled = owed, ""
        self._found: tuple[WeekProblem, WeekRotation] | None = None
        entries = [entry for entry in shelf(own_folder) if not entry.is_template and entry.outline]
        choices = [(entry.outline.title, entry) for entry in entries if entry.outline is not None]
        self.days = [named(QComboBox(), day_name(day)) for day in range(MOST_DAYS)]
        for box in self.days:
            fill_choices(box, [(_("no small groups"), None), *choices])
            box.setMinimumContentsLength(8)
            box.setSizeAdjustPolicy(QComboBox.SizeAdjustPolicy.AdjustToMinimumContentsLengthWithIcon)
            box.currentIndexChanged.connect(self._on_day)
        self.visits = spin_box(0, 0, MOST_VISITS, _("Visits a day"))
        self.visits.setSpecialValueText(_("as in the outlines"))
        self.visits.valueChanged.connect(self._on_changed)
        self.meet = spin_box(
            0, 0, MOST_DAYS * MOST_VISITS, _("How often every group meets the teacher at least")
        )
        self.meet.valueChanged.connect(self._on_changed)
        self.owed = named(QLineEdit(), _("Owed minutes"))
        self.owed.setPlaceholderText(_("Circle=13:00, Star=2"))
        self.owed.textChanged.connect(self._on_changed)
        self.table = PlainTable(_("The week: who is at each station"), (_("Day"), _("Visit")))
        self.words = named(label("", "notice", wrap=True), _("Notice"))
        self.work_button = button(_("&Work out the week"), self.work_out)
        self.put_button = button(_("&Put into the week's outlines"), self.put)
        self.close_button = button(_("Close"), self.reject)
        self._lay_out()
        self._on_changed()
        if not choices:
            show_words(self.words, _("There is no outline of your own yet. Write one for each day first."))

    @classmethod
    def ask(
        cls, own_folder: Path, owed: Callable[[Outline], Mapping[str, int]], parent: QWidget
    ) -> tuple[Path, ...]:
        """Show the dialog until it is closed; the outlines that were changed."""
        dialog = cls(own_folder, owed, parent)
        dialog.exec()
        dialog.deleteLater()
        return dialog.changed

    def _lay_out(self) -> None:
        grid = QGridLayout()
        grid.setHorizontalSpacing(10)
        for day, box in enumerate(self.days):
            grid.addWidget(label(day_name(day)), 0, day)
            grid.addWidget(box, 1, day)
            grid.setColumnStretch(day, 1)
        wishes = row_of(
            label(_("Visits a day")), self.visits, 16,
            label(_("Every group meets the teacher at least")), self.meet, STRETCH, gap=8,
        )  # fmt: skip
        column_of(
            label(_("The outline of each day"), bold=True), grid, wishes,
            row_of(label(_("Owed minutes")), (self.owed, 1), gap=8), (self.table, 1), self.words,
            row_of(self.work_button, STRETCH, self.close_button, self.put_button),
            gap=10, inside=self, margins=(24, 18, 24, 18),
        )  # fmt: skip
        fit_to_screen(self, 920, 620)

    @property
    def chosen(self) -> list[tuple[int, Path, Outline]]:
        """Weekday, file and outline of each day that has one."""
        entries = [(day, box.currentData()) for day, box in enumerate(self.days)]
        return [(day, entry.path, entry.outline) for day, entry in entries if entry is not None]

    def _on_day(self) -> None:
        """Another outline may have other groups; what the teacher wrote of them stays."""
        if self.owed.text() == self._owed_filled:
            owed: dict[str, int] = {}
            for _day, _path, outline in self.chosen:
                for group, seconds_owed in self._owed(outline).items():
                    owed[group] = max(owed.get(group, 0), seconds_owed)
            words = [f"{group}={format_duration(time_s)}" for group, time_s in owed.items() if time_s]
            self._owed_filled = ", ".join(words)
            self.owed.setText(self._owed_filled)
        self._on_changed()

    def _on_changed(self) -> None:
        """What is shown no longer answers what is asked."""
        self._show(None)
        show_words(self.words, "")
        self.work_button.setEnabled(bool(self.chosen))

    def _show(self, found: tuple[WeekProblem, WeekRotation] | None) -> None:
        self._found = found
        self.put_button.setEnabled(found is not None)
        shown = WeekTable((_("Day"), _("Visit")), ())
        if found is not None:
            shown = week_table(*found, [day for day, _path, _outline in self.chosen])
        self.table.setColumnCount(len(shown.heads))
        self.table.setHorizontalHeaderLabels(list(shown.heads))
        self.table.show_rows(shown.rows)

    def _problem(self) -> WeekProblem:
        """What is asked. Raises ValueError in plain words."""
        chosen = self.chosen
        paths = [path for _day, path, _outline in chosen]
        if len(set(paths)) < len(paths):
            raise ValueError(_("One outline is chosen for two days. Each day needs an outline of its own."))
        outlines = [outline for _day, _path, outline in chosen]
        for outline in outlines:
            for finding in unclear_lists(outline):
                raise ValueError(f"{clipped(outline.title)}: {finding.words}")
        groups = groups_of(outlines)
        visits = tuple(self.visits.value() or outline.block.groups for outline in outlines)
        owed_s = for_each_group([self.owed.text()] if self.owed.text().strip() else [], groups,
                                _("Owed minutes"), seconds)  # fmt: skip
        meets = (self.meet.value(),) * len(groups)
        return WeekProblem(groups, stations_of(outlines, len(groups)), visits, meets, owed_s)

    def work_out(self) -> None:
        """Show the week, or in words why there is none."""
        self._show(None)
        try:
            problem = self._problem()
            result = rotation(problem)
        except ValueError as error:
            show_words(self.words, str(error))
            return
        except GaveUpError:
            show_words(self.words, gave_up_words())
            return
        if isinstance(result, Clash):
            show_words(self.words, "\n".join(clash_lines(result)))
            return
        self._show((problem, result))
        agrees = all(wall_agrees(problem, visits) for visits in result.places)
        show_words(self.words, "" if agrees else wall_words())
        self.table.setFocus()

    def put(self) -> None:
        """Write the order of each day into its outline, and say so."""
        if self._found is None:
            return
        outcome = put_orders([path for _day, path, _outline in self.chosen], *self._found)
        self.changed = tuple(dict.fromkeys((*self.changed, *outcome.changed)))
        if outcome.problems:
            show_words(self.words, "\n".join([*map(str, outcome.problems), not_all_words(outcome)]))
            return
        one, many = N_("The order is in the outline."), N_("The order is in {n} outlines.")
        show_words(self.words, counted(one, many, len(outcome.changed)))
