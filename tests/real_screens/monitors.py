"""Two real X11 monitors for tests, a laptop and a projector, to unplug, mirror and photograph."""

import os
import re
import shutil
import subprocess
import tempfile
import time
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import Self

from tests.real_screens.child_process import PATIENCE_S, dies_with_us, end_group, wait_until
from tests.real_screens.window_manager import MOVE_KEYS, chosen_manager
from tests.real_screens.x_server import ScreensUnavailableError, XServer, install_hint

LAPTOP, PROJECTOR = 0, 1
OUTPUTS = ("DUMMY0", "DUMMY1")
DEFAULT_MODES = ("1368x768", "1280x720")
PROJECTOR_MODES = ("1280x720", "1920x1080")
MIRROR_MODE = "1280x720"


@dataclass(frozen=True)
class Monitor:
    """A monitor that is lit: its place and size in pixels of the whole X screen."""

    name: str
    x: int
    y: int
    width: int
    height: int
    primary: bool


@dataclass(frozen=True)
class Window:
    """A visible window with a title: the place and size of its inside, without the frame, in pixels."""

    id: int
    title: str
    x: int
    y: int
    width: int
    height: int


class TwoMonitors:
    """DUMMY0 (the laptop), DUMMY1 (the projector) and a window manager on a display of their own."""

    def __init__(self, module_folder: Path | None = None) -> None:
        """Nothing starts yet; `module_folder` replaces the folder in which Xorg looks for drivers."""
        self._module_folder = module_folder
        self._folder: tempfile.TemporaryDirectory[str] | None = None
        self._server: XServer | None = None
        self._manager: subprocess.Popen[bytes] | None = None
        self._set_defaults()

    def _set_defaults(self) -> None:
        self._modes = list(DEFAULT_MODES)
        self._lit = [True, True]
        self._mirrored = False
        self._primary = LAPTOP

    # --- start and stop

    def start(self, timeout_s: float = PATIENCE_S) -> Self:
        """Start both programs and wait until they answer; ScreensUnavailableError says why they do not."""
        if self._server:
            raise RuntimeError("these monitors are started already")
        self._folder = tempfile.TemporaryDirectory(prefix="pacer-two-monitors-")
        try:
            self._server = XServer(Path(self._folder.name), self._module_folder)
            self._server.start(timeout_s)
            for mode in PROJECTOR_MODES:
                self._run("xrandr", "--addmode", OUTPUTS[PROJECTOR], mode)
            self._apply()
            self._start_manager(timeout_s)
            self.reset()
        except BaseException:
            self.stop()
            raise
        return self

    def _start_manager(self, timeout_s: float) -> None:
        assert self._folder is not None
        manager, output = chosen_manager(), Path(self._folder.name, "manager.out")
        missing = [package for command, package in manager.packages.items() if not shutil.which(command)]
        if missing:
            raise ScreensUnavailableError(f"there is no window manager; {install_hint(missing)}")
        command, settings = manager.prepare(Path(self._folder.name))
        with output.open("wb") as out:
            self._manager = subprocess.Popen(
                dies_with_us(command),
                stdin=subprocess.DEVNULL,
                stdout=out,
                stderr=subprocess.STDOUT,
                env=self.env() | settings,
                start_new_session=True,
            )
        end = time.monotonic() + timeout_s
        while "window id #" not in self._run("xprop", "-root", "_NET_SUPPORTING_WM_CHECK"):
            if self._manager.poll() is not None or time.monotonic() > end:
                said = output.read_text(errors="replace").strip()
                raise ScreensUnavailableError(f"{manager.name} did not start: {said or 'it says nothing'}")
            time.sleep(0.05)

    def stop(self) -> None:
        """End window manager and server and remove their folder; harmless when nothing runs."""
        manager, server, folder = self._manager, self._server, self._folder
        self._manager = self._server = self._folder = None
        try:
            if manager:
                end_group(manager)
        finally:
            if server:
                server.stop()
            if folder:
                folder.cleanup()

    def __enter__(self) -> Self:
        """Start."""
        return self.start()

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """Stop, whatever happened."""
        self.stop()

    # --- for the programs that run on it

    @property
    def display(self) -> str:
        """The display name, such as ":1"; RuntimeError when the monitors are not started."""
        if not self._server or not self._server.display:
            raise RuntimeError("these monitors are not started")
        return self._server.display

    @property
    def pids(self) -> list[int]:
        """Process numbers of the server and the window manager, as far as they run."""
        server = self._server.pid if self._server else None
        manager = self._manager.pid if self._manager else None
        return [pid for pid in (server, manager) if pid is not None]

    def env(self) -> dict[str, str]:
        """The environment for a child process: ours, on this display, through Qt's X11 plugin, unscaled."""
        env = {name: value for name, value in os.environ.items() if not name.startswith("QT_")}
        for name in ("WAYLAND_DISPLAY", "XAUTHORITY"):
            env.pop(name, None)
        return env | {"DISPLAY": self.display, "QT_QPA_PLATFORM": "xcb"}

    def _run(self, *argv: str, may_fail: bool = False) -> str:
        """Run a small X tool and return its output; RuntimeError with its words when it fails or hangs."""
        try:
            done = subprocess.run(
                argv,
                env=self.env(),
                stdin=subprocess.DEVNULL,
                capture_output=True,
                timeout=PATIENCE_S,
                check=False,
            )
        except FileNotFoundError:
            raise ScreensUnavailableError(f"there is no command {argv[0]} on this machine") from None
        except subprocess.TimeoutExpired:
            raise RuntimeError(f"{' '.join(argv)} did not end within {PATIENCE_S:g} s") from None
        if done.returncode and not may_fail:
            raise RuntimeError(f"{' '.join(argv)} failed: {done.stderr.decode(errors='replace').strip()}")
        return done.stdout.decode(errors="replace") if not done.returncode else ""

    # --- cables, lid and modes

    def monitors(self) -> list[Monitor]:
        """The monitors that are lit now, as the server lists them."""
        pattern = r"^ *\d+: \+(\*?)\S+ (\d+)/\d+x(\d+)/\d+\+(\d+)\+(\d+) +(\S+)"
        found = re.findall(pattern, self._run("xrandr", "--listmonitors"), re.MULTILINE)
        return [Monitor(name, int(x), int(y), int(w), int(h), bool(star)) for star, w, h, x, y, name in found]

    def monitor(self, number: int) -> Monitor:
        """The lit monitor DUMMY<number>; LookupError when it is unplugged."""
        for monitor in self.monitors():
            if monitor.name == OUTPUTS[number]:
                return monitor
        raise LookupError(f"{OUTPUTS[number]} is not lit")

    def reset(self) -> None:
        """Back to the start: side by side, first modes, laptop primary, the pointer on the laptop."""
        self._set_defaults()
        self._apply()
        self._run("xdotool", "mousemove", "20", "740")

    def unplug(self, number: int) -> None:
        """Take monitor `number` away (0: the lid closes); the other one then starts at 0, 0."""
        if not self._lit[1 - number]:
            raise ValueError("one monitor has to stay: X cannot do without")
        self._lit[number] = False
        self._apply()

    def plug(self, number: int) -> None:
        """Bring monitor `number` back in the mode it had."""
        self._lit[number] = True
        self._apply()

    def mirror(self) -> None:
        """Both monitors show the same picture, 1280x720."""
        self._lit, self._mirrored = [True, True], True
        self._apply()

    def extend(self) -> None:
        """Both monitors side by side, each in its own mode: laptop left, projector right."""
        self._lit, self._mirrored = [True, True], False
        self._apply()

    def set_mode(self, number: int, size: str) -> None:
        """Give monitor `number` a mode such as "1920x1080"; RuntimeError when it has no such mode."""
        before = self._modes[number]
        self._modes[number] = size
        try:
            self._apply()
        except RuntimeError:
            self._modes[number] = before
            raise

    def swap_primary(self) -> None:
        """Make the other monitor the primary one."""
        self._primary = 1 - self._primary
        self._apply()

    def _apply(self) -> None:
        primary = self._primary if self._lit[self._primary] else 1 - self._primary
        arguments: list[str] = []
        left = 0
        for number, output in enumerate(OUTPUTS):
            arguments += ["--output", output]
            if not self._lit[number]:
                arguments += ["--off"]
                continue
            mode = MIRROR_MODE if self._mirrored else self._modes[number]
            arguments += ["--mode", mode, "--pos", f"{left}x0"] + ["--primary"] * (number == primary)
            left += 0 if self._mirrored else int(mode.split("x")[0])
        self._run("xrandr", *arguments)

    # --- what is seen

    def screenshot(self, path: Path, monitor: int | None = None) -> Path:
        """Write a picture of the whole X screen, or of one monitor, to `path` and return it."""
        crop: list[str] = []
        if monitor is not None:
            place = self.monitor(monitor)
            crop = ["-crop", f"{place.width}x{place.height}+{place.x}+{place.y}", "+repage"]
        self._run("import", "-silent", "-window", "root", *crop, str(path))
        return path

    def windows(self) -> list[Window]:
        """The visible windows that have a title, those without a frame or a manager too."""
        listed = self._run("xdotool", "search", "--onlyvisible", "--name", ".", may_fail=True).split()
        found = (self._window(int(number)) for number in listed)
        # Some managers keep a window of their own that bears their name.
        own = chosen_manager().name
        return [window for window in found if window and window.title.lower() != own]

    def _window(self, number: int) -> Window | None:
        title = self._run("xdotool", "getwindowname", str(number), may_fail=True).removesuffix("\n")
        told = self._run("xwininfo", "-id", str(number), may_fail=True)
        named = ("Absolute upper-left X", "Absolute upper-left Y", "Width", "Height")
        values = [re.search(rf"{name}: +(-?\d+)", told) for name in named]
        # A window may close while it is being looked at.
        numbers = [int(value.group(1)) for value in values if value]
        return Window(number, title, *numbers) if len(numbers) == len(named) else None

    def wait_for_window(self, title: str, timeout_s: float = PATIENCE_S) -> Window:
        """Wait for a visible window whose title holds `title`; AssertionError after `timeout_s` seconds."""

        def look() -> list[Window]:
            return [window for window in self.windows() if title in window.title]

        return wait_until(look, f"a window titled {title!r}", timeout_s)[0]

    def active_window_title(self) -> str:
        """The title of the window that has the keyboard, or "" when none has it."""
        return self._run("xdotool", "getactivewindow", "getwindowname", may_fail=True).removesuffix("\n")

    # --- what is pressed

    def activate(self, window: Window) -> None:
        """Give `window` the keyboard and wait until it has it."""
        self._run("xdotool", "windowactivate", "--sync", str(window.id))

    def move_to(self, number: int, title: str) -> None:
        """Move the window titled `title`, which has the keyboard, to monitor `number`, by the manager's keys.

        The manager numbers monitors in an order of its own, so one key is tried after the other.
        """

        def is_there() -> bool:
            place, found = self.monitor(number), [w for w in self.windows() if w.title == title]
            return bool(found) and place.x <= found[0].x + found[0].width // 2 < place.x + place.width

        for key in MOVE_KEYS * 2:
            if not is_there():
                self.key(key)
                time.sleep(0.3)
        wait_until(is_there, f"the window {title!r} to be on {OUTPUTS[number]}")

    def key(self, *names: str) -> None:
        """Press and release keys, one after the other, by X names or keycodes: "space", "ctrl+z", "58"."""
        self._run("xdotool", "key", *names)

    def hold_key(self, name: str, seconds: float) -> None:
        """Hold one key down for so many seconds; the server repeats it by itself as for a real keyboard."""
        self._run("xdotool", "keydown", name)
        try:
            time.sleep(seconds)
        finally:
            self._run("xdotool", "keyup", name)

    def repeat_keys(self, delay_ms: int, per_second: int) -> None:
        """Have held keys repeat after a delay, so many times a second."""
        self._run("xset", "r", "rate", str(delay_ms), str(per_second))

    def lay_out_keyboard(self, layout: str) -> None:
        """Give the keyboard a layout by its name in xkeyboard-config, such as "fr"."""
        self._run("setxkbmap", layout)

    def minimise(self, window: Window) -> None:
        """Put a window away as a click on its title bar or a gesture would."""
        self._run("xdotool", "windowminimize", str(window.id))

    def move(self, window: Window, x: int, y: int) -> None:
        """Ask the window manager to put a window's corner elsewhere."""
        self._run("xdotool", "windowmove", str(window.id), str(x), str(y))

    def show_desktop(self) -> None:
        """Put all windows away by the window manager's own key."""
        self.key("super+F10")

    def point_at(self, number: int) -> None:
        """Put the pointer into the middle of monitor `number`: new windows open where it is."""
        place = self.monitor(number)
        self._run("xdotool", "mousemove", str(place.x + place.width // 2), str(place.y + place.height // 2))

    def click(self, x: int, y: int) -> None:
        """Press and release the left mouse button at a place of the whole X screen, in pixels."""
        self._run("xdotool", "mousemove", str(x), str(y), "click", "1")

    def type_text(self, text: str) -> None:
        """Type `text` into the window that has the keyboard."""
        self._run("xdotool", "type", "--delay", "20", "--", text)
