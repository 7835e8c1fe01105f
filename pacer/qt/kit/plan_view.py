"""An outline at a glance: its phases in a quiet table, budgets, floors and the line for the class."""

from collections.abc import Sequence

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractItemView

from pacer.plan.durations import format_duration
from pacer.plan.outline import Outline
from pacer.qt.kit.widgets import PlainTable
from pacer.text import _

LEAST_PX = 44  # in the smallest window what was noted for today comes first


class PlanView(PlainTable):
    """Shows the phases of one outline; nothing in it can be chosen."""

    def __init__(self) -> None:
        super().__init__(_("Phases"), (_("Phase"), _("Budget"), _("Floor"), _("For the class")))
        self.setSelectionMode(QAbstractItemView.SelectionMode.NoSelection)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setMinimumHeight(LEAST_PX)

    def show_outline(self, outline: Outline) -> None:
        """Fill the table anew, with the outline as it is taught today.

        Where the day is too short for it, a budget is what the lesson begins with, of what is planned.
        """
        rows = [
            (each.title, _budget_words(each.budget_s, now_s), format_duration(each.floor_s), each.class_line)
            for each, now_s in zip(outline.phases, _at_start_s(outline), strict=True)
        ]
        self.show_rows(rows, right=(1, 2))


def _at_start_s(outline: Outline) -> Sequence[int]:
    """The seconds with which each phase begins if the lesson begins on time."""
    budgets = [phase.budget_s for phase in outline.phases]
    if sum(budgets[: outline.mini_count]) <= outline.mini_lesson_s:
        return budgets
    from pacer.pace.cut import allotted_at_start  # what a lesson needs is not loaded for every start

    return allotted_at_start(outline)


def _budget_words(planned_s: int, now_s: int) -> str:
    if now_s == planned_s:
        return format_duration(planned_s)
    return _("{now} of {planned}", now=format_duration(now_s), planned=format_duration(planned_s))
