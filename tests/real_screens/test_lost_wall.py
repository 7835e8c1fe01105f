"""A Wall that the window manager puts away on real monitors comes back by itself."""

import os
import time

import pytest

if os.environ.get("PACER_REQUIRE_QT") != "1":
    pytest.importorskip("PySide6.QtGui", reason="Qt lacks system libraries here", exc_type=ImportError)

from tests.real_screens.pacer_on_screens import PacerOnScreens, shows_wall

WAYS = ("minimised", "show desktop", "moved")


@pytest.mark.scenario("the Wall put away")
@pytest.mark.parametrize(
    "ways", [WAYS, *(pytest.param((way,) * 4, marks=pytest.mark.long) for way in WAYS)], ids=["each", *WAYS]
)
def test_the_wall_comes_back_by_itself_within_a_second(pacer: PacerOnScreens, ways: tuple[str, ...]) -> None:
    child, private, wall = pacer.start_lesson()
    monitors = pacer.monitors
    for turn, way in enumerate(ways):
        begin = time.monotonic()
        if way == "minimised":
            monitors.minimise(wall)
        elif way == "show desktop":
            monitors.show_desktop()
        else:
            monitors.move(wall, 40, 40)
        lost = False
        while True:
            shot = pacer.projector(f"16-{way}-{turn}-{time.monotonic() - begin:.2f}")
            found = pacer.window("Wall")
            place = found and (found.x, found.y, found.width, found.height)
            right = place == (1368, 0, 1280, 720) and shows_wall(shot.image)
            if right and (lost or shot.at_s - begin > 0.5):
                break
            lost |= not right
            assert shot.at_s - begin < 5, f"the Wall did not come back: {shot.path}"
        print(f"{way}: lost {lost}, back after {time.monotonic() - begin:.2f} s")
        assert monitors.active_window_title() != "Wall"
        if way == "show desktop":
            monitors.activate(private)  # it is back as well, and says that the keys are elsewhere
    pacer.press("space")
    pacer.wait_for_events("started", "paused")
    assert child.running
