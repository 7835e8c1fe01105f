"""Mouse and close button on a real laptop and projector: the pointer, and the window manager's Alt+F4."""

import os
import time

import pytest

from tests.real_screens.monitors import PROJECTOR

if os.environ.get("PACER_REQUIRE_QT") != "1":
    pytest.importorskip("PySide6.QtGui", reason="Qt lacks system libraries here", exc_type=ImportError)

from PySide6.QtCore import QPointF, QRectF, QSizeF

from pacer.qt.kit import theme
from tests.real_screens.pacer_on_screens import PacerOnScreens, colours, is_curtain

FOOT = QRectF(0.74, 0.72, 0.245, 0.24)  # about where the targets lie in the window, as shares of it
CLOSES_APART_S = 1.2


@pytest.mark.scenario("mouse, Alt+F4 in a lesson")
def test_a_mouse_runs_the_lesson_and_alt_f4_keeps_it(pacer: PacerOnScreens) -> None:
    two_monitors = pacer.monitors
    child, private, _wall = pacer.start_lesson()

    def click(across: float, down: float) -> None:
        at, size = QPointF(private.x, private.y), QSizeF(private.width, private.height)
        two_monitors.click(round(at.x() + across * size.width()), round(at.y() + down * size.height()))
        time.sleep(0.6)  # as a hand does: no two presses within the guard

    click(0.3, 0.3)
    pacer.laptop("targets")
    click(FOOT.center().x(), FOOT.top() + FOOT.height() / 6)
    pacer.wait_for_events("started", "moved")
    click(FOOT.left() + FOOT.width() / 4, FOOT.center().y())
    pacer.wait_for_events("started", "moved", "paused")
    two_monitors.key("alt+F4")
    paper = {theme.PAPER.rgb()}
    pacer.wait_for_shot("paper", PROJECTOR, lambda image: colours(image) == paper, "paper on the Wall")
    kept = pacer.laptop("kept")
    assert is_curtain(kept.image)
    two_monitors.key("space")
    pacer.wait_for_events("started", "moved", "paused", "went_on")
    pacer.wait_for_painted_wall("wall-again")
    for _time in range(2):
        two_monitors.key("alt+F4")
        time.sleep(CLOSES_APART_S)
    assert child.wait() == 0
    pacer.wait_for_events("started", "moved", "paused", "went_on")
