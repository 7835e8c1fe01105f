"""The sign of life: small, at two places by turns, and all that is painted again for it."""

import pytest
from PySide6.QtCore import QRect, QSize

from pacer.frames.desk import DeskFrame
from pacer.qt.desk.beat import MOST_SIDE, beat_place
from pacer.qt.desk.changes import changed_desk_area


@pytest.mark.parametrize("size", [QSize(960, 540), QSize(1366, 768), QSize(1920, 1080), QSize(3840, 2160)])
def test_a_second_of_a_pause_repaints_only_the_two_places_of_the_dot(size: QSize) -> None:
    was, now = (
        DeskFrame("paused", "PAUSED", 0, phase_title="Review", number="1:30", left_s=90, beat=beat)
        for beat in (0, 1)
    )
    far_right = round(size.width() * 0.72)
    place = beat_place(size, far_right)
    assert changed_desk_area(was, now, size) == [place]
    assert place.height() <= MOST_SIDE + 1
    assert QRect(0, 0, far_right, round(size.height() * 0.03)).contains(place), "above all words"
