"""What one second changes is painted much faster than the whole Wall, whatever fills it."""

import time
from dataclasses import replace

import pytest
from PySide6.QtCore import QRect, QSize
from PySide6.QtGui import QImage, QPainter, QRegion

from pacer.frames.wall import WallFrame
from pacer.qt.wall.fill import size_of_picture
from pacer.qt.wall.layout import changed_area
from pacer.qt.wall.painter import paint_wall
from tests.qt.wall.wall_nursery import KEY, of_colour, talk, wall

pytestmark = pytest.mark.usefixtures("qapp")


@pytest.mark.benchmark_ratio
@pytest.mark.parametrize(
    "frame",
    [wall(fill="picture", picture=KEY), wall(fill="problem", problem="2/3 or 3/4?"), talk(28)],
    ids=["picture", "problem", "talk"],
)
def test_a_second_is_painted_much_faster_than_all_of_it(frame: WallFrame):
    new = replace(frame, digits=frame.digits[:-1] + "1")
    pictures = of_colour("#8A1030")
    kept = pictures(KEY, size_of_picture("bottom", QSize(1920, 1080)), 1.0)
    region = QRegion()
    for area in changed_area(frame, new, QSize(1920, 1080)):
        region += area
    image = QImage(1920, 1080, QImage.Format.Format_RGB32)

    def best(area: QRegion | None) -> float:
        times = []
        for _turn in range(7):
            with QPainter(image) as painter:
                begin = time.perf_counter()
                paint_wall(painter, QRect(0, 0, 1920, 1080), new, area=area, pictures=lambda *_asked: kept)
                times.append(time.perf_counter() - begin)
        return min(times)

    assert best(region) < best(None) / 2
