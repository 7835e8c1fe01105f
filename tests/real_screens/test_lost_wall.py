"""A Wall that the window manager puts away on real monitors comes back by itself."""

import os
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.real_screens.child_process import Child
from tests.real_screens.monitors import TwoMonitors

if os.environ.get("PACER_REQUIRE_QT") != "1":
    pytest.importorskip("PySide6.QtGui", reason="Qt lacks system libraries here", exc_type=ImportError)

from tests.real_screens.pacer_on_screens import PacerOnScreens, shows_wall


@pytest.fixture
def pacer(two_monitors: TwoMonitors, run_child: Callable[..., Child], tmp_path: Path) -> PacerOnScreens:
    """The program, not yet started, with one invented lesson."""
    return PacerOnScreens(two_monitors, run_child, tmp_path)


@pytest.mark.parametrize("how", ["minimised", "show desktop", "moved"])
def test_the_wall_comes_back_by_itself_within_a_second(pacer: PacerOnScreens, how: str) -> None:
    child, private, wall = pacer.start_lesson()
    monitors = pacer.monitors
    for turn in range(2):
        begin = time.monotonic()
        if how == "minimised":
            monitors.minimise(wall)
        elif how == "show desktop":
            monitors.show_desktop()
        else:
            monitors.move(wall, 40, 40)
        lost = False
        while True:
            shot = pacer.projector(f"16-{how}-{turn}-{time.monotonic() - begin:.2f}")
            found = pacer.window("Wall")
            right = found is not None and (found.x, found.y, found.width, found.height) == (
                1368,
                0,
                1280,
                720,
            )
            if right and shows_wall(shot.image) and (lost or shot.at_s - begin > 0.5):
                break
            lost = True
            assert shot.at_s - begin < 5, f"the Wall did not come back: {shot.path}"
        print(f"{how}: lost {lost}, back after {time.monotonic() - begin:.2f} s")
    assert monitors.active_window_title() != "Wall"
    if how == "show desktop":
        monitors.activate(private)  # it is back as well, and says that the keys are elsewhere
    pacer.press("space")
    pacer.wait_for_events("started", "paused")
    assert child.running
