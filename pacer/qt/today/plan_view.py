"""An outline at a glance: its phases in a quiet table, budgets, floors and the line for the class."""

from PySide6.QtCore import Qt
from PySide6.QtWidgets import QAbstractItemView, QHeaderView, QTableWidget

from pacer.plan.durations import format_duration
from pacer.plan.outline import Outline
from pacer.qt.kit.widgets import fill_row
from pacer.text import _


class PlanView(QTableWidget):
    """Shows the phases of one outline; nothing in it can be edited."""

    def __init__(self) -> None:
        super().__init__(0, 4)
        self.setAccessibleName(_("Phases"))
        self.setHorizontalHeaderLabels([_("Phase"), _("Budget"), _("Floor"), _("For the class")])
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setSelectionMode(QAbstractItemView.SelectionMode.NoSelection)
        self.setFocusPolicy(Qt.FocusPolicy.NoFocus)
        self.setShowGrid(False)
        self.verticalHeader().hide()
        header = self.horizontalHeader()
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setStretchLastSection(True)

    def show_outline(self, outline: Outline) -> None:
        """Fill the table anew."""
        self.setRowCount(len(outline.phases))
        for row, phase in enumerate(outline.phases):
            texts = (
                phase.title,
                format_duration(phase.budget_s),
                format_duration(phase.floor_s),
                phase.class_line,
            )
            fill_row(self, row, texts, right=(1, 2))
