"""Mirrored, on real monitors: the full Wall lies over all and leaves the keyboard where it was."""

import os
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.real_screens.child_process import Child, wait_until
from tests.real_screens.monitors import LAPTOP, PROJECTOR

if os.environ.get("PACER_REQUIRE_QT") != "1":
    pytest.importorskip("PySide6.QtGui", reason="Qt lacks system libraries here", exc_type=ImportError)

from PySide6.QtGui import QImage

from pacer.qt.kit import theme
from tests.real_screens.pacer_on_screens import PacerOnScreens, share_of, shows_wall
from tests.real_screens.private_marker import is_private, private_pixels


@pytest.mark.scenario("mirrored: keys of another program")
def test_a_mirrored_full_wall_never_takes_the_keyboard_from_another_program(
    pacer: PacerOnScreens, run_child: Callable[..., Child], tmp_path: Path
) -> None:
    monitors, typed = pacer.monitors, tmp_path / "typed"
    pacer.start_lesson()
    run_child(["xterm", "-T", "Problem", "-e", "sh", "-c", f"exec cat > '{typed}'"])
    monitors.wait_for_window("Problem")
    wait_until(lambda: monitors.active_window_title() == "Problem", "the keyboard to be in the terminal")
    monitors.mirror()
    begin, words = time.monotonic(), ""
    while time.monotonic() - begin < 4:
        assert monitors.active_window_title() == "Problem"
        monitors.type_text("hwn")
        words += "hwn"
    monitors.key("Return")
    wait_until(lambda: typed.exists() and typed.read_text().strip() == words, "every letter to arrive")
    pacer.wait_for_shot("17-mirrored", PROJECTOR, shows_wall, "the Wall over all")
    pacer.wait_for_events("started", "screens_changed")


@pytest.mark.scenario("mirrored: strip or no Wall")
@pytest.mark.parametrize("turns", [1, pytest.param(2, marks=pytest.mark.long)])
def test_a_mirrored_strip_or_none_shows_the_class_no_title_bar(pacer: PacerOnScreens, turns: int) -> None:
    monitors = pacer.monitors
    pacer.start_lesson()
    monitors.mirror()
    time.sleep(1)
    for _turn in range(turns):
        pacer.press("w")
        time.sleep(0.6)

    def is_plain(image: QImage) -> bool:
        return share_of(image.copy(0, 0, image.width(), 24), theme.PAPER) == 1.0

    pacer.wait_for_shot(f"17-no-title-{turns}", PROJECTOR, is_plain, "a page without a title bar")
    monitors.extend()
    wait_until(lambda: pacer.window("Wall strip") is not None or turns == 2, "the strip")
    time.sleep(1)
    private = pacer.window("Pacer")
    assert private is not None
    assert private.x + private.width <= 1368
    monitors.key("Return")
    pacer.wait_for_shot(f"17-desk-back-{turns}", LAPTOP, is_private, "the Desk on the laptop")
    assert private_pixels(pacer.projector(f"17-after-{turns}").image) == 0
