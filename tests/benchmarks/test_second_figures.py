"""What one second changes is painted in less than half the time of the whole Wall, whatever fills it."""

import os
from dataclasses import replace
from time import thread_time

import pytest

os.environ.setdefault("QT_QPA_PLATFORM", "offscreen")
FRAMES = {
    "picture": {"fill": "picture"},
    "problem": {"fill": "problem", "problem": "2/3 or 3/4?"},
    "talk": {"title": "Partner talk", "full": 0, "fourths": 2, "whole": 1, "digits": "0:28", "turn": 1},
    "countdown": {"full": 17, "fourths": 3, "whole": 20, "digits": "17:31"},
}


@pytest.mark.parametrize("name", FRAMES)
def test_a_second_is_painted_in_less_than_half_the_time_of_the_whole_wall(name: str):
    widgets = pytest.importorskip("PySide6.QtWidgets", exc_type=ImportError)
    from PySide6.QtCore import QRect, QSize
    from PySide6.QtGui import QImage, QPainter, QRegion

    from pacer.frames.wall import PictureKey, WallFrame
    from pacer.qt.wall.fill import size_of_picture
    from pacer.qt.wall.layout import changed_area
    from pacer.qt.wall.painter import paint_wall

    application = widgets.QApplication.instance() or widgets.QApplication([])
    size, whole = QSize(1920, 1080), QRect(0, 0, 1920, 1080)
    usual = WallFrame("full", title="Guided practice", line="Problems 1–4", digits="7:38", full=7, fourths=3,
                      whole=8, next_title="Look back", picture=PictureKey(2, 1))  # fmt: skip
    before = replace(usual, **FRAMES[name])
    after = replace(before, digits=f"{before.digits[:-1]}1" if name != "countdown" else "17:30")
    kept = QImage(size_of_picture("bottom", size), QImage.Format.Format_RGB32)
    kept.fill(0x8A1030)
    region = QRegion()
    for area in changed_area(before, after, size):
        region += area
    image = QImage(size, QImage.Format.Format_RGB32)

    def once(area: QRegion | None) -> float:
        with QPainter(image) as painter:
            begin = thread_time()
            paint_wall(painter, whole, after, area=area, pictures=lambda *_asked: kept)
            return thread_time() - begin

    takes = [(once(region), once(None)) for _turn in range(9)]
    second, all_of_it = (min(side) for side in zip(*takes, strict=True))
    print(f"{name}: a second {second * 1000:.2f} ms, all {all_of_it * 1000:.2f} ms")
    assert second < all_of_it / 2
    assert application is not None
