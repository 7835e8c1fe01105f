"""A block of 75 minutes, by the keyboard alone on a real laptop and projector: every leg, to the bell."""

import os
import signal
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.real_screens.child_process import Child, wait_until
from tests.real_screens.monitors import PROJECTOR, TwoMonitors

if os.environ.get("PACER_REQUIRE_QT") != "1":
    pytest.importorskip("PySide6.QtGui", reason="Qt lacks system libraries here", exc_type=ImportError)

from tests.real_screens.pacer_on_screens import LESSON, PacerOnScreens, private_colours
from tests.real_screens.private_marker import private_pixels

GUARD_S = 0.5  # no key twice within its guard of 0.4 s

# What is pressed, and the events that are then on disk beside those before.
LEGS = (
    ("Next", "moved"),
    ("g", "leg_began"),
    ("Next", "leg_began"),
    ("ctrl+Down", "bell_moved"),
    ("ctrl+Down", "bell_moved"),
    ("Next", "leg_began"),
    ("Next", "leg_began"),
    ("o", "group_left_out"),
    ("Up", "time_added"),
    ("Next", "leg_began"),
    ("Next", "leg_began"),
    ("Home", "bell_rang"),
)


def test_a_block_of_75_minutes_goes_by_keys_through_every_leg_and_nothing_private_is_on_the_projector(
    two_monitors: TwoMonitors, run_child: Callable[..., Child], tmp_path: Path
) -> None:
    pacer = PacerOnScreens(two_monitors, run_child, tmp_path)
    plan = LESSON.replace("minutes = 60", "minutes = 75").replace("groups = 2", "groups = 3")
    (pacer.data / "outlines" / "halves.toml").write_text(plan, encoding="utf-8")
    pacer.start_lesson()
    kinds = ["started"]
    for number, (key, kind) in enumerate(LEGS):
        time.sleep(GUARD_S)
        pacer.press(key)
        kinds.append(kind)
        pacer.wait_for_events(*kinds)
        shot = pacer.projector(f"block-{number:02}-{key}")
        assert private_colours(shot.image) == set(), shot.path
        assert private_pixels(shot.image) == 0, shot.path
    legs = [event.body for event in pacer.events() if event.body.kind == "leg_began"]
    assert [(leg.leg, leg.group) for leg in legs] == [
        ("move", 0), ("visit", 0), ("swap", 1), ("visit", 1), ("share", -1), ("clean_up", -1)
    ]  # fmt: skip


def test_in_a_visit_screens_come_and_go_and_the_program_dies_and_the_visit_goes_on(
    two_monitors: TwoMonitors, run_child: Callable[..., Child], tmp_path: Path
) -> None:
    pacer = PacerOnScreens(two_monitors, run_child, tmp_path)
    plan = LESSON.replace("minutes = 60", "minutes = 75").replace("groups = 2", "groups = 3")
    (pacer.data / "outlines" / "halves.toml").write_text(plan, encoding="utf-8")
    child, _private, _wall = pacer.start_lesson()
    kinds = ["started"]
    for key in ("g", "Next"):
        time.sleep(GUARD_S)
        pacer.press(key)
        kinds.append("leg_began")
        pacer.wait_for_events(*kinds)
    for change in (lambda: two_monitors.unplug(PROJECTOR), lambda: two_monitors.plug(PROJECTOR),
                   two_monitors.mirror, two_monitors.extend):  # fmt: skip
        change()
        kinds.append("screens_changed")
        pacer.wait_for_events(*kinds)
        seen = pacer.glance("visit-screens").projector
        if seen is not None:
            assert private_colours(seen) == set()
            assert private_pixels(seen) == 0
    os.kill(child.pid, signal.SIGKILL)
    wait_until(lambda: not child.running, "the program to be gone")
    pacer.start()
    two_monitors.wait_for_window("Pacer")
    pacer.show_pages()
    two_monitors.key("Return")
    pacer.wait_for_events(*kinds, "gap")
    shot = pacer.wait_for_painted_wall("visit-again")
    assert private_colours(shot.image) == set()
    assert private_pixels(shot.image) == 0
    time.sleep(GUARD_S)
    pacer.press("o")
    *_before, last = pacer.wait_for_events(*kinds, "gap", "group_left_out")
    assert (last.body.group, last.body.why) == (0, "missed")
