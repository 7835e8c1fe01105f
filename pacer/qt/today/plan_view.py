"""An outline at a glance: its phases in a quiet table, budgets, floors and the line for the class."""

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
        """Fill the table anew."""
        rows = [
            (each.title, format_duration(each.budget_s), format_duration(each.floor_s), each.class_line)
            for each in outline.phases
        ]
        self.show_rows(rows, right=(1, 2))
