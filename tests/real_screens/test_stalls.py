"""The drawing thread stands still for three seconds: the next paint is right, and the stall is noted."""

import os
import signal
import sys
import time
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.real_screens.child_process import Child, wait_until

if os.environ.get("PACER_REQUIRE_QT") != "1":
    pytest.importorskip("PySide6.QtGui", reason="Qt lacks system libraries here", exc_type=ImportError)

from tests.real_screens.pacer_on_screens import PLAIN_WORDS, PacerOnScreens, Shot

STALL_S = 3.0
SIZE = (1280, 720)

# The program as it is, in a process that sleeps in its drawing thread as long as a file is there.
# argv: data folder, the file.
SLEEPER = """
import sys, time
from pathlib import Path
from PySide6.QtCore import QCoreApplication, QTimer
from pacer.qt import app, start
from pacer.text import use_language

use_language()
data, sign = Path(sys.argv[1]), Path(sys.argv[2])
show = app.Program.show

def look():
    if sign.exists():
        print("asleep", flush=True)
        while sign.exists():
            time.sleep(0.01)
        print("awake", flush=True)

def shown(program):
    show(program)
    timer = QTimer(program)
    timer.timeout.connect(look)
    timer.start(5)

app.Program.show = shown
sys.exit(start.run_app(data, demo=False))
"""


def wait_for_phase(pacer: PacerOnScreens, share: float) -> None:
    """Wait until so much of a second has passed since the last one began on the Wall."""
    start_ms = pacer.events()[0].utc_ms
    time.sleep((share - (time.time() - start_ms / 1000)) % 1)


def stalled(pacer: PacerOnScreens) -> list:
    """The stalls in the day record."""
    return [event for event in pacer.events() if event.body.kind == "stalled"]


def longest(pacer: PacerOnScreens) -> int:
    """The longest stall until now, in milliseconds."""
    return max((event.body.late_ms for event in stalled(pacer)), default=0)


def assert_next_paint_is_right(
    pacer: PacerOnScreens, frozen: Shot, stopped_utc_s: float, awake_utc_s: float, name: str
) -> None:
    """What was frozen was old; what follows it is the Wall of that very second, and the stall is on disk."""
    (old,) = pacer.expected([frozen], SIZE, late_s=1)
    assert not old.is_seen_in(frozen.image), "the drawing thread never stood still"

    def painted() -> Shot | None:
        shot = pacer.projector(f"{name}-after")
        return shot if shot.image != frozen.image else None

    new = wait_until(painted, "anything to be painted")
    (expected,) = pacer.expected([new], SIZE, since_ms=round(awake_utc_s * 1000))
    assert expected.is_seen_in(new.image), f"{new.path} is not the Wall of a second after the stall"
    wait_until(lambda: longest(pacer) >= 2000, "the stall to be written down")
    stall = max(stalled(pacer), key=lambda event: event.body.late_ms)  # a busy machine stalls, too
    start_ms = pacer.events()[0].utc_ms
    # Due at the first full second of the lesson in the stall, and shown between its end and the picture.
    begun_ms = stopped_utc_s * 1000
    due_ms = begun_ms + (start_ms - begun_ms) % 1000
    assert awake_utc_s * 1000 - due_ms - 1000 <= stall.body.late_ms <= new.span[1] - due_ms + 1000
    assert awake_utc_s * 1000 - 1 <= start_ms + stall.t_ms <= time.time() * 1000
    print(f"{name}: {stall.body.late_ms} ms late")


@pytest.mark.scenario("a drawing thread that stood still")
def test_a_process_that_stood_still_shows_the_right_second_at_its_next_paint(pacer: PacerOnScreens) -> None:
    child, *_windows = pacer.start_lesson()
    wait_for_phase(pacer, 0.7)
    os.kill(child.pid, signal.SIGSTOP)
    stopped = time.time()
    try:
        time.sleep(STALL_S)
        frozen = pacer.projector("10-stopped")
    finally:
        awake = time.time()
        os.kill(child.pid, signal.SIGCONT)
    assert_next_paint_is_right(pacer, frozen, stopped, awake, "10-stopped")
    assert child.running


@pytest.mark.long
@pytest.mark.scenario("a drawing thread that stood still")
def test_a_drawing_thread_that_slept_shows_the_right_second_at_its_next_paint(
    pacer: PacerOnScreens, run_child: Callable[..., Child], tmp_path: Path
) -> None:
    sign = tmp_path / "sleep now"
    child = run_child([sys.executable, "-c", SLEEPER, pacer.data, sign], env=PLAIN_WORDS)
    pacer.monitors.wait_for_window("Pacer")
    wait_until(lambda: pacer.monitors.active_window_title() == "Pacer", "the keyboard to be in Pacer")
    pacer.show_pages()
    pacer.monitors.key("Return")
    pacer.wait_for_wall()
    pacer.wait_for_events("started")
    pacer.wait_for_painted_wall("11-wall")
    wait_for_phase(pacer, 0.6)
    sign.touch()
    child.wait_for_output("asleep")
    stopped = time.time()
    time.sleep(STALL_S)
    frozen = pacer.projector("11-asleep")
    awake = time.time()
    sign.unlink()
    child.wait_for_output("awake")
    assert_next_paint_is_right(pacer, frozen, stopped, awake, "11-asleep")
