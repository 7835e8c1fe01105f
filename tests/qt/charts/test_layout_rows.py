"""Rows with words over their marks: groups by days, whatever the window, on paper and in black and white."""

from itertools import combinations

import numpy as np
import pytest
from PySide6.QtCore import QRectF
from PySide6.QtGui import QImage, QPainter

from pacer.frames.pictures.chart import Axis, Chart, ChartBox
from pacer.frames.pictures.groups_met import chart
from pacer.qt.charts.layout import lay_out, least_height, words_within, x_at, y_at
from pacer.qt.charts.look import MONO, SCREEN, TYPE_PX
from pacer.qt.charts.marks import paint_marks
from pacer.qt.charts.paint import paint_chart, picture_room
from pacer.qt.charts.view import ChartView
from pacer.review.choice import LessonChoice
from tests.frames.pictures.met_factories import weeks_of
from tests.qt.window_factories import settle

pytestmark = pytest.mark.usefixtures("dressed")
SHAPES = [(groups, days) for groups in (2, 3, 5, 8) for days in (1, 5, 12, 25)]
# The room of a picture in a window of 960 × 540 and of 1366 × 768; one too low is scrolled.
ROOMS = [(888, 180), (1040, 400)]
LONG = tuple(
    f"{name} with a name that is longer than any row" for name in ("One", "Two", "Three", "Four") * 2
)


def picture_of(groups: int, days: int, **names: tuple[str, ...]) -> Chart:
    return chart(weeks_of(days, groups, **names), LessonChoice(), None if days > 5 else "")


@pytest.mark.parametrize(("wide", "high"), ROOMS)
@pytest.mark.parametrize(("groups", "days"), SHAPES)
def test_all_words_stand_apart_and_off_their_bars(groups: int, days: int, wide: int, high: int) -> None:
    made = picture_of(groups, days)
    sides = lay_out(made, QRectF(0, 0, wide, max(high, least_height(made, TYPE_PX))), TYPE_PX)
    labels = words_within(made, sides)
    assert len(labels) == len(made.words), "none is left out"
    for one, other in combinations(labels, 2):
        assert not one.box.intersects(other.box), (one.text, other.text)
    for label in labels:
        assert sides.plot.adjusted(-1, -1, 1, 1).contains(label.box), label.text
    bars = [
        QRectF(x, y, x_at(made.x, box.x1, sides.plot) - x, y_at(made.y, box.y1, sides.plot) - y)
        for box in made.boxes
        for x, y in [(x_at(made.x, box.x0, sides.plot), y_at(made.y, box.y0, sides.plot))]
    ]
    for label in labels:
        # Figures and capitals: no letter there goes below its line.
        ink = label.box.adjusted(0, label.box.height() * 0.2, 0, -label.box.height() * 0.22)
        assert not any(ink.intersects(bar) for bar in bars), label.text
    for one, other in combinations((*sides.x_ticks, *sides.y_ticks), 2):
        assert not one.box.intersects(other.box), (one.text, other.text)


def test_names_that_are_too_long_are_shortened_and_take_no_room_from_the_days() -> None:
    made = picture_of(8, 25, names=LONG)
    sides = lay_out(made, QRectF(0, 0, 888, least_height(made, TYPE_PX)), TYPE_PX)
    assert sides.plot.width() > 888 * 0.6
    for one, other in combinations(words_within(made, sides), 2):
        assert not one.box.intersects(other.box)


def test_figures_that_have_no_room_are_left_out_together_and_what_is_owed_stays() -> None:
    made = picture_of(8, 25)
    narrow = lay_out(made, QRectF(0, 0, 420, 600), TYPE_PX)
    low = lay_out(made, QRectF(0, 0, 888, 240), TYPE_PX)
    for sides in (narrow, low):
        texts = [label.text for label in words_within(made, sides)]
        assert texts == [words.text for words in made.words if not words.together][: len(texts)]


@pytest.mark.parametrize(("groups", "days"), [(2, 1), (8, 25), (8, 5)])
def test_the_view_is_high_enough_for_its_rows_or_scrolls(groups: int, days: int) -> None:
    view = ChartView()
    view.set_chart(picture_of(groups, days))
    view.resize(888, 400)
    view.show()
    settle()
    assert view.plot.height() >= least_height(view.chart, TYPE_PX) - 1
    assert len(words_within(view.chart, view.plot.sides)) == len(view.chart.words)
    view.close()
    view.deleteLater()
    settle()


@pytest.mark.slow
@pytest.mark.parametrize(("groups", "days"), SHAPES)
def test_a_quarter_of_a_printed_page_holds_it(groups: int, days: int) -> None:
    """87 by 100 mm in type of 2.6 mm, in tenths of a millimetre: one of four pictures of a coach copy."""
    made = picture_of(groups, days)
    assert picture_room(QRectF(0, 0, 870, 1000), made, 26).height() > 0
    image = QImage(870, 1000, QImage.Format.Format_RGB32)
    with QPainter(image) as painter:
        paint_chart(painter, QRectF(0, 0, 870, 1000), made, mono=True, px=26)
    rgb = np.frombuffer(image.constBits(), np.uint8).reshape(1000, 870, 4)[:, :, :3]
    assert (rgb.max(axis=2) == rgb.min(axis=2)).all()
    assert (rgb < 128).any()


@pytest.mark.parametrize("look", [SCREEN, MONO], ids=["screen", "mono"])
@pytest.mark.parametrize("screen", [True, False])
def test_a_crossed_box_has_ink_on_both_diagonals_and_none_beside_them(look: object, screen: bool) -> None:
    crossed, ten = ChartBox(1, 9, 1, 9, "over", "crossed"), Axis("", 0, 10)
    shown = Chart("crossed", "", 1, "", ten, ten, boxes=(crossed,))
    image = QImage(200, 200, QImage.Format.Format_RGB32)
    image.fill(look.paper)
    with QPainter(image) as painter:
        paint_marks(painter, shown, QRectF(0, 0, 200, 200), look, TYPE_PX, screen=screen)

    def darkest(x: int, y: int) -> int:
        return min(image.pixelColor(x + i, y + j).lightness() for i in (-1, 0, 1) for j in (-1, 0, 1))

    on = [darkest(at, at) for at in (40, 80, 100, 160)] + [darkest(at, 200 - at) for at in (40, 80, 160)]
    beside = [darkest(100, 50), darkest(50, 100), darkest(150, 100), darkest(100, 150)]
    assert max(on) < min(beside) - 60
