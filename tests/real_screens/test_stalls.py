"""The drawing thread stands still for three seconds: the next paint is right, and the stall is noted."""

import os
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.real_screens.child_process import Child, wait_until
from tests.real_screens.monitors import TwoMonitors

if os.environ.get("PACER_REQUIRE_QT") != "1":
    pytest.importorskip("PySide6.QtGui", reason="Qt lacks system libraries here", exc_type=ImportError)

from tests.real_screens.pacer_on_screens import PLAIN_WORDS, PacerOnScreens, Shot

STALL_S = 3.0

# The program as it is, in a process that sleeps in its drawing thread once a file appears.
# argv: data folder, the file, how many seconds.
SLEEPER = """
import sys, time
from pathlib import Path
from PySide6.QtCore import QCoreApplication, QTimer
from pacer.qt import app, start
from pacer.text import use_language

use_language()
data, sign, seconds = Path(sys.argv[1]), Path(sys.argv[2]), float(sys.argv[3])
show = app.Program.show

def look():
    if sign.exists():
        sign.unlink()
        print("asleep", flush=True)
        time.sleep(seconds)
        print("awake", flush=True)

def shown(program):
    show(program)
    timer = QTimer(program)
    timer.timeout.connect(look)
    timer.start(5)

app.Program.show = shown
sys.exit(start.run_app(data, demo=False))
"""


@pytest.fixture
def pacer(two_monitors: TwoMonitors, run_child: Callable[..., Child], tmp_path: Path) -> PacerOnScreens:
    """The program, not yet started, with one invented lesson."""
    return PacerOnScreens(two_monitors, run_child, tmp_path)


def wait_for_phase(pacer: PacerOnScreens, share: float) -> None:
    """Wait until so much of a second has passed since the last one began on the Wall."""
    start_ms = pacer.events()[0].utc_ms
    time.sleep((share - (time.time() - start_ms / 1000)) % 1)


def stalled(pacer: PacerOnScreens) -> list:
    """The stalls in the day record."""
    return [event for event in pacer.events() if event.body.kind == "stalled"]


def assert_next_paint_is_right(pacer: PacerOnScreens, frozen: Shot, awake_utc_s: float, name: str) -> None:
    """What was frozen was old; what follows it is the Wall of that very second, and the stall is on disk."""
    (old,) = pacer.expected([frozen], (1280, 720))
    assert not old.is_seen_in(frozen.image), "the drawing thread never stood still"
    after: list[Shot] = []
    while not after or after[-1].span[1] < (awake_utc_s + 1.5) * 1000:
        after.append(pacer.projector(f"{name}-after-{len(after)}"))
    new = [shot for shot in after if shot.image != frozen.image]
    assert new, "nothing was painted any more"
    # A picture may have been taken before the first paint; from then on each one is right.
    first = after.index(new[0])
    assert after[first].at_s - after[0].at_s < 0.5
    for shot, expected in zip(after[first:], pacer.expected(after[first:], (1280, 720)), strict=True):
        assert expected.is_seen_in(shot.image), f"{shot.path} is not the Wall of that second"
    found = wait_until(lambda: stalled(pacer), "the stall to be written down", 3)
    (stall,) = found
    start_ms = pacer.events()[0].utc_ms
    # Due at the first full second of the lesson in the stall, and shown once it was over.
    begun_ms = awake_utc_s * 1000 - STALL_S * 1000
    due_ms = begun_ms + (start_ms - begun_ms) % 1000
    assert stall.body.late_ms >= 2500
    assert stall.body.late_ms == pytest.approx(awake_utc_s * 1000 - due_ms, abs=150)
    assert stall.t_ms == pytest.approx(awake_utc_s * 1000 - start_ms, abs=150)
    print(f"{name}: {stall.body.late_ms} ms late")


def test_a_process_that_stood_still_shows_the_right_second_at_its_next_paint(pacer: PacerOnScreens) -> None:
    child, *_windows = pacer.start_lesson()
    wait_for_phase(pacer, 0.7)
    os.kill(child.pid, signal.SIGSTOP)
    begin = time.time()
    try:
        time.sleep(STALL_S - 0.5)
        frozen = pacer.projector("10-stopped")
        time.sleep(begin + STALL_S - time.time())
    finally:
        os.kill(child.pid, signal.SIGCONT)
    assert_next_paint_is_right(pacer, frozen, time.time(), "10-stopped")
    assert child.running


def test_a_drawing_thread_that_slept_shows_the_right_second_at_its_next_paint(
    pacer: PacerOnScreens, run_child: Callable[..., Child], tmp_path: Path
) -> None:
    sign = tmp_path / "sleep now"
    child = run_child([sys.executable, "-c", SLEEPER, pacer.data, sign, str(STALL_S)], env=PLAIN_WORDS)
    pacer.monitors.wait_for_window("Pacer")
    wait_until(lambda: pacer.monitors.active_window_title() == "Pacer", "the keyboard to be in Pacer")
    pacer.monitors.key("Return")
    pacer.answer_numbers()
    pacer.wait_for_wall()
    pacer.wait_for_events("started")
    pacer.wait_for_painted_wall("11-wall")
    wait_for_phase(pacer, 0.6)
    sign.touch()
    child.wait_for_output("asleep", 2)
    time.sleep(STALL_S - 0.7)
    frozen = pacer.projector("11-asleep")
    assert "awake" not in child.out()
    child.wait_for_output("awake", 5)
    assert_next_paint_is_right(pacer, frozen, time.time(), "11-asleep")
