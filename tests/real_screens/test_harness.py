"""The two-monitor harness does what the other real-screen tests rely on."""

import os
import signal
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.real_screens.child_process import Child, wait_until
from tests.real_screens.monitors import LAPTOP, PROJECTOR, TwoMonitors
from tests.real_screens.x_server import ScreensUnavailableError, missing_packages

RunChild = Callable[..., Child]

# A window in one flat colour (argv[2]), full screen on screen argv[1]; prints its keys and the screens.
WINDOW = """
import sys
from PySide6.QtCore import Qt
from PySide6.QtGui import QColor, QGuiApplication, QRasterWindow, QPainter, QKeySequence

class Window(QRasterWindow):
    def paintEvent(self, event):
        painter = QPainter(self)
        painter.fillRect(0, 0, self.width(), self.height(), QColor(sys.argv[2]))
        painter.end()
    def keyPressEvent(self, event):
        repeated = " again" if event.isAutoRepeat() else ""
        print("key", QKeySequence(event.key()).toString() + repeated, flush=True)

app = QGuiApplication(sys.argv)
def tell(*_):
    print("screens", *sorted(screen.name() for screen in app.screens()), flush=True)
app.screenAdded.connect(tell)
app.screenRemoved.connect(tell)
window = Window()
window.setTitle("Élan " + sys.argv[1])
screen = next(s for s in app.screens() if s.name() == sys.argv[1])
window.setScreen(screen)
window.setGeometry(screen.geometry())
window.showFullScreen()
tell()
sys.exit(app.exec())
"""


# A program that ignores the request to end, and with an argument starts another such one.
STUBBORN = """
import signal, subprocess, sys, time
signal.signal(signal.SIGTERM, signal.SIG_IGN)
print("ready", flush=True)
if len(sys.argv) > 1:
    inner = subprocess.Popen([sys.executable, "-c", sys.orig_argv[2]])
    print("inner", inner.pid, "end", flush=True)
time.sleep(60)
"""


def window_argv(screen: str, colour: str) -> list[str]:
    """The command that shows the coloured window on a screen."""
    return [sys.executable, "-c", WINDOW, screen, colour]


def pixel(picture: Path, x: int, y: int) -> str:
    """The colour of one pixel of a picture file, as "#rrggbb"."""
    gui = pytest.importorskip("PySide6.QtGui")
    image = gui.QImage(str(picture))
    assert image.width() > x, f"{picture} is {image.width()} pixels wide"
    assert image.height() > y, f"{picture} is {image.height()} pixels high"
    return str(image.pixelColor(x, y).name())


def is_alive(pid: int) -> bool:
    """Whether a process exists and is not merely waiting to be collected."""
    try:
        stat = Path(f"/proc/{pid}/stat").read_text()
    except (FileNotFoundError, ProcessLookupError):
        return False
    return stat.rpartition(")")[2].split()[0] != "Z"


def layout(monitors: TwoMonitors) -> dict[str, tuple[int, int, int, int, bool]]:
    """The lit monitors as name -> x, y, width, height, primary."""
    return {m.name: (m.x, m.y, m.width, m.height, m.primary) for m in monitors.monitors()}


def test_a_laptop_and_a_projector_stand_side_by_side(two_monitors: TwoMonitors) -> None:
    """The layout that every test starts from."""
    assert layout(two_monitors) == {
        "DUMMY0": (0, 0, 1368, 768, True),
        "DUMMY1": (1368, 0, 1280, 720, False),
    }


def test_modes_mirror_and_primary_can_be_changed(two_monitors: TwoMonitors) -> None:
    """A larger projector, the same picture on both, and the projector as the main monitor."""
    two_monitors.set_mode(PROJECTOR, "1920x1080")
    assert layout(two_monitors)["DUMMY1"] == (1368, 0, 1920, 1080, False)
    two_monitors.swap_primary()
    assert [m.name for m in two_monitors.monitors() if m.primary] == ["DUMMY1"]
    two_monitors.mirror()
    assert layout(two_monitors)["DUMMY0"][:4] == layout(two_monitors)["DUMMY1"][:4] == (0, 0, 1280, 720)
    two_monitors.extend()
    assert layout(two_monitors)["DUMMY1"] == (1368, 0, 1920, 1080, True)
    with pytest.raises(RuntimeError, match="xrandr"):
        two_monitors.set_mode(PROJECTOR, "123x45")
    assert layout(two_monitors)["DUMMY1"] == (1368, 0, 1920, 1080, True)


@pytest.mark.parametrize(("number", "left"), [(PROJECTOR, "DUMMY0"), (LAPTOP, "DUMMY1")])
def test_a_running_program_sees_a_monitor_go_and_come_back(
    two_monitors: TwoMonitors, run_child: RunChild, number: int, left: str
) -> None:
    """Unplugging the projector and closing the lid both reach Qt as a changed list of screens."""
    child = run_child(window_argv(left, "#1d3f72"))
    child.wait_for_output("screens DUMMY0 DUMMY1\n")
    two_monitors.unplug(number)
    assert [m.name for m in two_monitors.monitors()] == [left]
    child.wait_for_output(f"screens {left}\n")
    with pytest.raises(LookupError):
        two_monitors.monitor(number)
    two_monitors.plug(number)
    assert sorted(layout(two_monitors)) == ["DUMMY0", "DUMMY1"]
    wait_until(lambda: child.out().endswith("screens DUMMY0 DUMMY1\n"), "both screens in Qt again")


def test_a_full_screen_window_is_seen_on_its_own_monitor_only(
    two_monitors: TwoMonitors, run_child: RunChild, tmp_path: Path
) -> None:
    """What a program shows on the projector is on the picture of the projector and not on the laptop's."""
    run_child(window_argv("DUMMY1", "#c83264"))
    window = two_monitors.wait_for_window("Élan DUMMY1")
    assert (window.x, window.y, window.width, window.height) == (1368, 0, 1280, 720)

    def projector_colours() -> set[str]:
        shot = two_monitors.screenshot(tmp_path / "projector.png", PROJECTOR)
        return {pixel(shot, 0, 0), pixel(shot, 640, 360), pixel(shot, 1279, 719)}

    wait_until(lambda: projector_colours() == {"#c83264"}, "the colour in the projector's corners and middle")
    laptop = two_monitors.screenshot(tmp_path / "laptop.png", LAPTOP)
    assert "#c83264" not in {pixel(laptop, 0, 0), pixel(laptop, 684, 384), pixel(laptop, 1367, 767)}
    both = two_monitors.screenshot(tmp_path / "both.png")
    assert (pixel(both, 1367, 300), pixel(both, 1368, 300)) == (pixel(laptop, 1367, 300), "#c83264")


def test_keys_and_text_reach_the_window_with_the_keyboard_and_no_other(
    two_monitors: TwoMonitors, run_child: RunChild
) -> None:
    """A key goes to the window that was activated last."""
    first = run_child(window_argv("DUMMY0", "#1d3f72"))
    first_window = two_monitors.wait_for_window("Élan DUMMY0")
    second = run_child(window_argv("DUMMY1", "#c83264"))
    second_window = two_monitors.wait_for_window("Élan DUMMY1")
    assert {w.title for w in two_monitors.windows()} == {"Élan DUMMY0", "Élan DUMMY1"}

    two_monitors.activate(second_window)
    assert two_monitors.active_window_title() == "Élan DUMMY1"
    two_monitors.key("Page_Down", "space")
    second.wait_for_output("key PgDown\nkey Space\n")

    two_monitors.activate(first_window)
    assert two_monitors.active_window_title() == "Élan DUMMY0"
    two_monitors.type_text("hp")
    first.wait_for_output("key H\nkey P\n")
    assert "PgDown" not in first.out()
    assert "key H" not in second.out()


def test_a_held_key_repeats_by_itself(two_monitors: TwoMonitors, run_child: RunChild) -> None:
    """Programs get the presses a real keyboard would repeat; under load Qt does not mark each as repeated."""
    child = run_child(window_argv("DUMMY0", "#1d3f72"))
    two_monitors.activate(two_monitors.wait_for_window("Élan DUMMY0"))
    two_monitors.hold_key("Page_Up", 1.2)
    wait_until(lambda: child.out().count("key PgUp") >= 5, "the key to repeat")
    assert child.out().splitlines()[1] == "key PgUp"


def test_a_second_server_starts_beside_the_first_and_leaves_nothing_behind(two_monitors: TwoMonitors) -> None:
    """Another running X server is no obstacle, and stop() ends what was started."""
    with TwoMonitors() as others:
        assert others.display != two_monitors.display
        others.unplug(PROJECTOR)
        assert [m.name for m in others.monitors()] == ["DUMMY0"]
        assert sorted(layout(two_monitors)) == ["DUMMY0", "DUMMY1"]
        pids = others.pids
        socket = Path("/tmp/.X11-unix", "X" + others.display.removeprefix(":"))
        assert len(pids) == 2
        assert all(is_alive(pid) for pid in pids)
        assert socket.exists()
    assert not any(is_alive(pid) for pid in pids)
    assert not socket.exists()
    others.stop()
    with pytest.raises(RuntimeError, match="not started"):
        others.env()


def test_a_child_that_will_not_end_is_killed_with_its_own_children(run_child: RunChild) -> None:
    """Closing a child also ends what it started, even when both ignore the request to end."""
    child = run_child([sys.executable, "-c", STUBBORN, "with an inner one"])
    told = child.wait_for_output("end\n")
    wait_until(lambda: child.out().count("ready") == 2, "both processes to be ready")
    inner = int(told.split("inner ")[1].split()[0])
    assert is_alive(child.pid)
    assert is_alive(inner)
    child.close()
    assert not is_alive(child.pid)
    wait_until(lambda: not is_alive(inner), "the inner process to be gone")


def test_the_screens_end_when_the_test_run_is_killed(run_child: RunChild, tmp_path: Path) -> None:
    """A test run that is killed cannot clean up; its X server still does not stay behind."""
    program = (
        "import time; from tests.real_screens.monitors import TwoMonitors; m = TwoMonitors().start()\n"
        "print('pids', *m.pids, 'end', flush=True); time.sleep(60)"
    )
    child = run_child(
        [sys.executable, "-c", program], env={"TMPDIR": str(tmp_path)}, cwd=Path(__file__).parent
    )
    told = child.wait_for_output("end\n")
    pids = [int(pid) for pid in told.split("pids ")[1].split()[:2]]
    assert all(is_alive(pid) for pid in pids)
    os.kill(child.pid, signal.SIGKILL)
    wait_until(lambda: not any(is_alive(pid) for pid in pids), "server and window manager to be gone")


def test_without_a_dummy_driver_the_reason_names_its_package(
    two_monitors: TwoMonitors, tmp_path: Path
) -> None:
    """A real Xorg that finds no driver: the message says what to install, and nothing stays behind."""
    monitors = TwoMonitors(module_folder=tmp_path)
    with pytest.raises(ScreensUnavailableError, match=r"dummy driver.*xserver-xorg-video-dummy"):
        monitors.start()
    assert monitors.pids == []


def test_without_xorg_the_reason_names_its_package(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """A PATH without Xorg is said to be just that."""
    monkeypatch.setenv("PATH", str(tmp_path))
    with pytest.raises(ScreensUnavailableError, match=r"no Xorg.*xserver-xorg-core"):
        TwoMonitors().start()


def test_missing_tools_are_named_by_their_debian_packages(tmp_path: Path) -> None:
    """An empty machine lacks all of them; one that has the driver file only lacks the commands."""
    commands = ["openbox", "x11-utils", "x11-xkb-utils", "x11-xserver-utils", "xdotool"]
    commands += ["xserver-xorg-core", "xterm"]
    assert missing_packages(str(tmp_path), [str(tmp_path)]) == sorted([*commands, "xserver-xorg-video-dummy"])
    (tmp_path / "drivers").mkdir()
    (tmp_path / "drivers" / "dummy_drv.so").touch()
    assert missing_packages(str(tmp_path), [str(tmp_path)]) == commands


@pytest.mark.parametrize(
    ("required", "outcome"), [pytest.param("0", "1 skipped", marks=pytest.mark.long), ("1", "1 error")]
)
def test_tests_are_skipped_without_tools_unless_real_screens_are_required(
    tmp_path: Path, required: str, outcome: str
) -> None:
    """A developer's machine without Xorg skips with the package names; CI fails instead."""
    test = f"{__file__}::test_a_laptop_and_a_projector_stand_side_by_side"
    done = subprocess.run(
        [sys.executable, "-m", "pytest", "-rs", "-p", "no:cacheprovider", test],
        env=os.environ | {"PATH": str(tmp_path), "PACER_REQUIRE_REAL_SCREENS": required},
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        timeout=300,
        check=False,
    )
    assert outcome in done.stdout, done.stdout + done.stderr
    assert "xserver-xorg-core" in done.stdout
    assert done.returncode == int(required)
