"""The table of phases on Today."""

from pacer.pace.cut import allotted_at_start
from pacer.qt.kit.plan_view import PlanView


def budgets(view: PlanView) -> list[str]:
    return [view.item(row, 1).text() for row in range(view.rowCount())]


def test_on_a_day_that_is_too_short_budgets_are_those_that_the_lesson_begins_with(qtbot, invented):
    view = PlanView()
    qtbot.addWidget(view)
    view.show_outline(invented)
    assert budgets(view) == ["2:00", "3:00", "7:00", "3:00", "8:00", "2:00"]
    short = invented.model_copy(update={"mini_lesson_s": 1200})
    view.show_outline(short)
    assert budgets(view) == [
        "1:00 of 2:00", "1:30 of 3:00", "5:45 of 7:00", "2:45 of 3:00", "8:00", "1:00 of 2:00",
    ]  # fmt: skip
    assert sum(allotted_at_start(short)) == 1200
