"""What a picture of Look back costs to draw again: 150 ms at most on an ordinary laptop, once it was drawn.

From the chart's value to the painted widget, offscreen; the best of several takes counts, since the machine
may be doing something else as well.
"""

import os
import random
import time
from collections.abc import Iterator

import pytest

from pacer.frames.pictures.chart import Axis, AxisSpan, Chart, ChartBox, ChartLine, Dots
from tests.benchmarks.side_by_side import slower

REDRAWN_MS, TAKES = 150, 4
TONES, PATTERNS = ("main", "second", "over", "quiet"), ("filled", "filled", "dotted", "outline")


def chart(days: int, **marks: object) -> Chart:
    names = tuple((day + 0.5, f"day {day}") for day in range(days))
    return Chart(
        "invented",
        "Invented?",
        days,
        "Invented.",
        Axis("day", 0, days, names),
        Axis("minutes", 0, 40),
        **marks,
    )


def stacked(days: int) -> Chart:
    """Eight parts a day, of every tone and pattern, a few with an open end."""
    chance, boxes = random.Random(1), []
    for day in range(days):
        at = 0.0
        for part in range(8):
            long = chance.uniform(1, 4)
            boxes.append(
                ChartBox(day + 0.1, day + 0.9, at, at + long, TONES[part % 4], PATTERNS[part // 2], part == 7)
            )
            at += long
    return chart(days, boxes=tuple(boxes))


def spread(days: int, shape: str = "dot") -> Chart:
    chance = random.Random(2)
    return chart(days, dots=(Dots(tuple((day + 0.5, chance.uniform(0, 40)) for day in range(days)), shape),))


def curve(days: int, *, steps: bool, stroke: str = "solid") -> Chart:
    chance = random.Random(3)
    points = tuple((day + 0.5, chance.uniform(0, 40)) for day in range(days))
    return chart(days, lines=(ChartLine(points, stroke, steps=steps),), spans=(AxisSpan(0, days / 4),))


def rows(days: int) -> Chart:
    """Eight rows of dots, rings among them: as many as phases."""
    chance = random.Random(4)
    spots = [
        (chance.uniform(0, days), row * 5 + chance.uniform(0, 2)) for row in range(8) for _day in range(days)
    ]
    return chart(days, dots=(Dots(tuple(spots[::2])), Dots(tuple(spots[1::2]), "ring", "second")))


@pytest.fixture(scope="module")
def window() -> Iterator[tuple[object, object]]:
    os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
    widgets = pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)
    from pacer.qt.charts.view import ChartView
    from tests.qt.style_factories import dress

    application = widgets.QApplication.instance() or widgets.QApplication([])
    dress(application)
    made = ChartView()
    made.setMinimumSize(800, 600)  # as the program's window has one
    made.resize(1920, 1080)
    made.show()
    made.set_chart(spread(2))
    application.processEvents()
    assert made.plot.isVisible()
    yield application, made
    made.close()
    made.deleteLater()
    application.processEvents()


def redrawn_ms(window: tuple[object, object], drawn: Chart) -> float:
    application, view = window
    took = []
    for _take in range(TAKES):
        begin = time.thread_time()
        view.set_chart(drawn)
        view.grab()  # paints the whole widget once, now
        took.append((time.thread_time() - begin) * 1000)
        application.processEvents()
    return min(took)


@pytest.mark.parametrize(
    "drawn",
    [
        stacked(900), spread(900), spread(900, "ring"), spread(900, "triangle"), rows(900),
        curve(900, steps=True), curve(900, steps=False), curve(900, steps=False, stroke="dashed"),
        curve(900, steps=True, stroke="dotted"),
    ],
    ids=["boxes", "dots", "rings", "triangles", "rows", "steps", "line", "dashes", "dotted steps"],
)  # fmt: skip
def test_a_picture_of_900_days_is_redrawn_within_150_milliseconds(window, drawn: Chart) -> None:
    ms = redrawn_ms(window, drawn)
    print(f"redrawn in {ms:.0f} ms")
    assert ms <= REDRAWN_MS * slower()


def test_four_times_the_boxes_cost_no_more_than_in_proportion_and_are_within_150_milliseconds(window) -> None:
    few, many = redrawn_ms(window, stacked(900)), redrawn_ms(window, stacked(3600))
    print(f"7,200 boxes {few:.0f} ms, 28,800 boxes {many:.0f} ms")
    assert many <= REDRAWN_MS * slower()
    assert many <= 5 * few
