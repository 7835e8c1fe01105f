"""The program under a Wayland compositor: it runs, and keeps the Wall and all that is private apart."""

import sys
from pathlib import Path

import pytest
from PySide6.QtGui import QImage

from tests.real_screens.child_process import Child, wait_until
from tests.real_screens.pacer_on_screens import shows_wall
from tests.real_screens.private_marker import private_pixels
from tests.real_screens.wayland import SCREENS, TwoWaylandScreens, missing_commands

PROGRAM = Path(__file__).parents[1] / "benchmarks" / "measured_child.py"
# Prints what the ready list says of windows, on the platform it is started on.
READY = """
from PySide6.QtWidgets import QApplication, QWidget
from pacer.qt.lesson.room_facts import room_facts
application, window = QApplication([]), QWidget()
print("placed", room_facts(window, (), "", None, records=None, keys_tried=False).windows_placed)
"""

pytestmark = pytest.mark.skipif(
    bool(missing_commands()), reason="install sway, grim and util-linux for a Wayland compositor"
)


@pytest.fixture(scope="module")
def screens():
    with TwoWaylandScreens() as made:
        yield made


def test_the_wall_fills_one_screen_and_nothing_private_is_on_it(screens, tmp_path: Path) -> None:
    env = screens.env() | {"HOME": str(tmp_path), "LC_ALL": "C.UTF-8"}
    program = Child([sys.executable, PROGRAM, "pacer-counting", str(tmp_path / "data"), "120"], env)

    def seen() -> list[QImage]:
        return [QImage(str(screens.screenshot(tmp_path / f"{name}.png", name))) for name in SCREENS]

    def wall_is_there() -> bool:
        assert program.running, program.report()
        return any(shows_wall(image) and private_pixels(image) == 0 for image in seen())

    try:
        wait_until(wall_is_there, "the Wall on one screen")
        wall, other = sorted(seen(), key=private_pixels)
        assert (wall.width(), wall.height()) in ((1368, 768), (1280, 720))
        assert private_pixels(wall) == 0
        assert private_pixels(other) > 0, "the Desk is on the other"
        there = next(name for name, image in zip(SCREENS, seen(), strict=True) if not private_pixels(image))
        screens.command(f'[title="^Pacer"] move to output {there}')
        wait_until(lambda: not any(map(private_pixels, seen())), "the curtain where the class looks")
    finally:
        program.close()


def test_the_program_knows_that_it_can_place_no_window_here(screens, tmp_path: Path) -> None:
    told = Child([sys.executable, "-c", READY], screens.env() | {"HOME": str(tmp_path)})
    try:
        assert told.wait() == 0, told.report()
        assert "placed False" in told.out()
    finally:
        told.close()
