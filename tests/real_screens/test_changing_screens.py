"""The worst that cables, a lid and a projector do, in random order, in a running lesson."""

import json
import os
import subprocess
import sys
import time
from collections.abc import Callable
from itertools import groupby
from statistics import median

import pytest

from tests.real_screens.child_process import PATIENCE_S, Child, wait_until

if os.environ.get("PACER_REQUIRE_QT") != "1":
    pytest.importorskip("PySide6.QtGui", reason="Qt lacks system libraries here", exc_type=ImportError)

from tests.real_screens.pacer_on_screens import PLAIN_WORDS, PacerOnScreens, Shot, is_curtain, shows_wall
from tests.real_screens.screen_changes import PAIRS, Screens, Watcher, random_changes

SEED = int(os.environ.get("PACER_SCREENS_SEED", "20260309"))
TIMES = int(os.environ.get("PACER_SCREENS_TIMES", "1"))  # 10 for two minutes of it
SECONDS = 12 * TIMES
PRESSES = (("v", "voice"), ("m", "example"), ("t", "table_mark"), ("f", "happened"))

# The program as it is; it tells every piece of a screen change, before the program hears of it, and every
# frame of the Desk, the curtain and the Wall. argv: data folder.
TELLER = """
import sys, time
from pathlib import Path
from PySide6.QtCore import QEvent, QObject
from PySide6.QtGui import QGuiApplication
from pacer.qt import app, start
from pacer.text import use_language

use_language()
NAMES = {"DeskView": "desk", "Curtain": "curtain", "WallCanvas": "wall"}

def tell(what):
    print(what, f"{time.monotonic():.4f}", flush=True)

class Watch(QObject):
    def eventFilter(self, watched, event):
        if event.type() == QEvent.Type.Paint and type(watched).__name__ in NAMES:
            tell(NAMES[type(watched).__name__])
        return False

def change(*_):
    tell("change")

def listen(screen):
    for signal in (screen.geometryChanged, screen.virtualGeometryChanged):
        signal.connect(change)

def added(screen):
    listen(screen)
    change()

show, watch = app.Program.show, Watch()

def shown(program):
    gui = QGuiApplication.instance()
    gui.installEventFilter(watch)
    gui.screenAdded.connect(added)
    gui.screenRemoved.connect(change)
    gui.primaryScreenChanged.connect(change)
    for screen in gui.screens():
        listen(screen)
    show(program)

app.Program.show = shown
sys.exit(start.run_app(Path(sys.argv[1]), demo=False))
"""


def assert_right_to_the_second(pacer: PacerOnScreens, shots: list[Shot]) -> None:
    """Each picture is the very Wall that is painted, at its size, from the day record."""

    def size(shot: Shot) -> tuple[int, int]:
        return shot.image.width(), shot.image.height()

    for pixels, found in groupby(sorted(shots, key=size), size):
        same = list(found)
        for shot, expected in zip(same, pacer.expected(same, pixels), strict=True):
            assert expected.images
            assert expected.is_seen_in(shot.image), f"{shot.path} is not the Wall of that second"


@pytest.mark.scenario("lesson: screens changed at random")
def test_random_screen_changes_show_the_class_the_right_wall_and_nothing_private(
    pacer: PacerOnScreens,
) -> None:
    order = random_changes(SEED, TIMES, Screens(pacer.monitors))
    print(f"seed {SEED}: {', '.join(order)}")
    assert [order.count(change) for change in PAIRS] == [TIMES] * len(PAIRS)
    child, *_windows = pacer.start_lesson()
    watcher = Watcher(pacer, Screens(pacer.monitors), child)
    begin = time.monotonic()
    for index, change in enumerate(order):
        watcher.change(change)
        if index % 3 == 0:
            watcher.press(*PRESSES[index // 3 % len(PRESSES)])
        if index in (len(order) // 3, len(order) * 5 // 9):
            watcher.press("Page_Down", "moved")
        watcher.lift()
        time.sleep(max(0.0, begin + SECONDS * (index + 1) / len(order) - time.monotonic()))
    took_s = time.monotonic() - begin
    watcher.press("ctrl+End", "ended")
    assert_right_to_the_second(pacer, watcher.walls)
    sizes = {shot.image.width() for shot in watcher.walls}
    assert len(sizes) == 2 or TIMES < 10, "both resolutions were seen"
    assert watcher.lifted >= TIMES
    events = pacer.events()
    assert watcher.presses_noted() == watcher.pressed
    assert len(watcher.noted()) == watcher.real_changes >= 6 * TIMES
    assert all(body.curtain for body in watcher.noted())
    assert_time_adds_up(pacer, events)
    assert child.err() == ""
    tell(watcher, took_s)


def tell(watcher: Watcher, took_s: float) -> None:
    """Print the figures."""
    back, left = watcher.back_s, [0.0, *watcher.left_over_s]
    longest, slowest = max(back)
    print(f"{watcher.number} changes, {watcher.real_changes} real, in {took_s:.0f} s")
    print(f"{len(watcher.walls)} pictures of the right Wall; the window moved by hand {watcher.moved} times")
    print(
        f"the Wall back after {median(at for at, _change in back):.2f} s, at most {longest:.2f} s ({slowest})"
    )
    print(f"the curtain seen after at most {max(watcher.curtain_s):.2f} s, lifted {watcher.lifted} times")
    print(f"left over from before a change: {len(left) - 1} pictures, {max(left):.2f} s after it at most")


def assert_time_adds_up(pacer: PacerOnScreens, events: list) -> None:
    """Lesson time ran with the wall clock through every change, and all of it belongs to a phase."""
    start = events[0]
    for event in events:
        assert event.t_ms == pytest.approx(event.utc_ms - start.utc_ms, abs=20)
    argv = [sys.executable, "-m", "pacer", "log", "1", "--json", "--data-dir", str(pacer.data)]
    done = subprocess.run(argv, capture_output=True, text=True, timeout=600, check=False)
    assert (done.returncode, done.stderr) == (0, "")
    phases = json.loads(done.stdout)["record"]["phases"]
    assert sum(phase["actual"] for phase in phases) == pytest.approx(events[-1].t_ms / 1000, abs=2)


@pytest.mark.scenario("lesson: a loose cable")
def test_a_loose_cable_leaves_the_wall_right_and_the_desk_covered(pacer: PacerOnScreens) -> None:
    """Five times out and in again, faster than the screens settle, ends like one change."""
    child, *_windows = pacer.start_lesson()
    watcher = Watcher(pacer, Screens(pacer.monitors), child)
    assert watcher.shows_desk()
    for _time in range(5):
        for change in ("unplug", "plug"):
            watcher.screens.do(change)
            watcher.glance(change)
    begin = time.monotonic()
    seen = watcher.glance("at the end")
    while seen.projector is None or not shows_wall(seen.projector):
        assert seen.at_s - begin < PATIENCE_S, f"no Wall comes back, see {seen.whole}"
        seen = watcher.glance("at the end")
    assert seen.laptop is not None
    assert is_curtain(seen.laptop)
    assert_right_to_the_second(pacer, [seen.projector_shot])

    def noted() -> bool:
        last = watcher.noted()[-1:]
        return [(len(one.screens), one.wall, one.curtain) for one in last] == [(2, "DUMMY1", True)]

    wait_until(noted, "the screens to be noted as they are at last")
    watcher.lift()
    assert watcher.lifted == 1


@pytest.mark.long
@pytest.mark.scenario("lesson: every kind of change")
def test_the_curtain_is_the_first_private_frame_painted_after_any_change(
    pacer: PacerOnScreens, run_child: Callable[..., Child]
) -> None:
    child = run_child([sys.executable, "-c", TELLER, pacer.data], env=PLAIN_WORDS)
    pacer.monitors.wait_for_window("Pacer")
    wait_until(lambda: pacer.monitors.active_window_title() == "Pacer", "the keyboard to be in Pacer")
    pacer.show_pages()
    pacer.monitors.key("Return")
    pacer.wait_for_events("started")
    pacer.wait_for_painted_wall("12-wall")
    watcher = Watcher(pacer, Screens(pacer.monitors), child)
    took_ms: list[float] = []
    for change, back in (*PAIRS.items(), *PAIRS.items()):
        wait_until(watcher.shows_desk, "the Desk")
        before = child.out()
        watcher.change(change)
        told = [line.split() for line in child.out().removeprefix(before).splitlines()]
        names = [name for name, _at in told]
        begin = names.index("change")
        # A change that mirrors or closes the lid may leave nothing private to be painted at all.
        private = [(name, float(at)) for name, at in told[begin:] if name in ("desk", "curtain")]
        assert all(name == "curtain" for name, _at in private), (change, names)
        if private:
            took_ms.append((private[0][1] - float(told[begin][1])) * 1000)
        if back:
            watcher.lift()  # Enter does not show it under the Wall either
            watcher.change(back)
            names = [line.split()[0] for line in child.out().removeprefix(before).splitlines()]
            assert "desk" not in names[names.index("change") :], (back, names)
        watcher.lift()
    assert len(took_ms) >= 6
    print(f"from a change to the first private frame, a curtain: {min(took_ms):.1f} to {max(took_ms):.1f} ms")
