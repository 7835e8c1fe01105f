"""A picture in a low window: every row is named and thick enough to be seen; the page is scrolled to it."""

from itertools import pairwise

import pytest
from PySide6.QtCore import QRectF

from pacer.frames.pictures.chart import Axis, Chart, ChartBox
from pacer.frames.pictures.shared import row_axis
from pacer.qt.charts.layout import lay_out, screen_height
from pacer.qt.charts.look import TYPE_PX
from pacer.qt.charts.plot import ChartPlot
from pacer.qt.charts.ticks import is_scale
from pacer.qt.charts.view import ChartView
from tests.qt.charts.chart_factories import how_long, improving, where_time
from tests.qt.window_factories import settle

pytestmark = pytest.mark.usefixtures("dressed")
LOW = (888, 330)  # what a window of 960 × 540 leaves for question, picture and answer


def rows(count: int, **more: float) -> Chart:
    """So many named rows, each with a bar."""
    names = row_axis("Kind", (f"Kind {number}" for number in range(count)))
    bars = tuple(ChartBox(0, 5, row - 0.3, row + 0.3, "main", "filled") for row in range(count))
    return Chart("rows", "Invented?", 3, "Three.", Axis("minutes", 0, 10), names, boxes=bars, **more)


@pytest.mark.parametrize("count", [2, 5, 9, 14])
@pytest.mark.parametrize("lines", [0.0, 3.0])
def test_every_row_keeps_its_name_and_a_bar_to_see_where_a_window_is_low(count: int, lines: float) -> None:
    made = rows(count, row_lines=lines)
    sides = lay_out(made, QRectF(0, 0, LOW[0], screen_height(made, TYPE_PX)), TYPE_PX)
    assert [label.text for label in sides.y_ticks] == [words for _at, words in made.y.ticks]
    middles = sorted(label.at for label in sides.y_ticks)
    assert all(later - earlier >= max(1.0, lines * 0.9) * TYPE_PX for earlier, later in pairwise(middles))


@pytest.mark.parametrize("draw", [how_long, improving])
def test_a_picture_of_values_is_no_flat_line(draw) -> None:
    made = draw(30)
    assert is_scale(made.y)
    assert lay_out(made, QRectF(0, 0, LOW[0], screen_height(made, TYPE_PX)), TYPE_PX).plot.height() >= 80


def test_what_is_behind_a_picture_stands_beside_its_question_where_both_fit() -> None:
    view = ChartView()
    view.set_chart(where_time(30))
    view.resize(*LOW)
    view.show()
    settle()
    assert abs(view.title.geometry().center().y() - view.count.geometry().center().y()) < view.title.height()
    assert view.count.geometry().left() > view.title.geometry().left()
    view.resize(320, 500)
    settle()
    assert view.count.geometry().top() >= view.title.geometry().bottom()
    view.close()
    view.deleteLater()
    settle()


def test_a_plot_asks_for_the_height_that_its_picture_needs() -> None:
    plot, made = ChartPlot(), where_time(30)
    plot.set_chart(made)
    assert plot.minimumHeight() == round(screen_height(made, TYPE_PX))
    plot.deleteLater()
    settle()
