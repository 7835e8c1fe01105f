"""Two real X11 monitors for tests, a laptop and a projector, to unplug, mirror and photograph."""

import os
import re
import shutil
import subprocess
import tempfile
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from types import TracebackType
from typing import TYPE_CHECKING, Self

from tests.real_screens.camera import Camera, as_image
from tests.real_screens.child_process import PATIENCE_S, dies_with_us, end_group, wait_until
from tests.real_screens.window_manager import MOVE_KEYS, chosen_manager
from tests.real_screens.x_server import ScreensUnavailableError, XServer, install_hint

if TYPE_CHECKING:
    from PySide6.QtGui import QImage

LAPTOP, PROJECTOR = 0, 1
OUTPUTS = ("DUMMY0", "DUMMY1")
DEFAULT_MODES = ("1368x768", "1280x720")
PROJECTOR_MODES = ("1280x720", "1920x1080")
MIRROR_MODE = "1280x720"
Place = tuple[int, int, int, int]
"""Left, top, width and height in pixels of the whole X screen."""


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
        self._camera: Camera | None = None
        # Who wants to hear what is done to the screens or the Wall, before it is done, and "" once it is.
        self.listeners: list[Callable[[str], None]] = []
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
            self._camera = Camera(self.display)
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
        camera, self._camera = self._camera, None
        self._manager = self._server = self._folder = None
        try:
            if camera:
                camera.close()
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

    def run_tool(self, *argv: str) -> str:
        """Run a small X tool on these monitors and return its output; RuntimeError with its words."""
        return self._run(*argv)

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
            if monitor.name == f"DUMMY{number}":
                return monitor
        raise LookupError(f"DUMMY{number} is not lit")

    def reset(self) -> None:
        """Back to the start: side by side, first modes, laptop primary, the pointer on the laptop."""
        with self._changing("reset"):
            self._set_defaults()
        self._run("xdotool", "mousemove", "20", "740")

    def unplug(self, number: int) -> None:
        """Take monitor `number` away (0: the lid closes); the other one then starts at 0, 0."""
        if not self._lit[1 - number]:
            raise ValueError("one monitor has to stay: X cannot do without")
        with self._changing("unplug" if number == PROJECTOR else "close lid"):
            self._lit[number] = False

    def plug(self, number: int) -> None:
        """Bring monitor `number` back in the mode it had."""
        with self._changing("plug" if number == PROJECTOR else "open lid"):
            self._lit[number] = True

    def mirror(self) -> None:
        """Both monitors show the same picture, 1280x720."""
        with self._changing("mirror"):
            self._lit, self._mirrored = [True, True], True

    def extend(self) -> None:
        """Both monitors side by side, each in its own mode: laptop left, projector right."""
        with self._changing("extend"):
            self._lit, self._mirrored = [True, True], False

    def set_mode(self, number: int, size: str) -> None:
        """Give monitor `number` a mode such as "1920x1080"; RuntimeError when it has no such mode."""
        before = self._modes[number]
        try:
            with self._changing("resize"):
                self._modes[number] = size
        except RuntimeError:
            self._modes[number] = before
            raise

    def swap_primary(self) -> None:
        """Make the other monitor the primary one."""
        with self._changing("swap primary"):
            self._primary = 1 - self._primary

    @contextmanager
    def _changing(self, what: str) -> Iterator[None]:
        """What is asked for inside is done at the end; whoever listens hears of it before and after."""
        self.tell(what)
        try:
            yield
            primary = self._primary if self._lit[self._primary] else 1 - self._primary
            arguments: list[str] = []
            for number, output in enumerate(OUTPUTS):
                arguments += ["--output", output]
                place = self.place(number)
                if place is None:
                    arguments += ["--off"]
                    continue
                x, y, width, height = place
                arguments += ["--mode", f"{width}x{height}", "--pos", f"{x}x{y}"]
                arguments += ["--primary"] * (number == primary)
            self._run("xrandr", *arguments)
        finally:
            self.tell("")

    def place(self, number: int) -> Place | None:
        """Where monitor `number` has been asked to be, None where it is unplugged."""
        if not self._lit[number]:
            return None
        modes = [MIRROR_MODE if self._mirrored else mode for mode in self._modes]
        (laptop, _height), size = (tuple(map(int, modes[one].split("x"))) for one in (LAPTOP, number))
        return (laptop if number == PROJECTOR and self._lit[LAPTOP] and not self._mirrored else 0), 0, *size

    def tell(self, what: str) -> None:
        """Tell whoever listens what is about to be done; "" says that it is done."""
        for listener in self.listeners:
            listener(what)

    # --- what is seen

    def photograph(self, monitor: int | None = None) -> "QImage":
        """A picture of the whole X screen, or of one monitor."""
        assert self._camera is not None, "these monitors are not started"
        while True:
            places = [self.monitor(monitor)] if monitor is not None else self.monitors()
            x, y = min(at.x for at in places), min(at.y for at in places)
            right, low = max(at.x + at.width for at in places), max(at.y + at.height for at in places)
            pixels = self._camera.pixels(x, y, right - x, low - y)
            if pixels is not None:  # the screen changed under the camera
                return as_image(pixels)

    def screenshot(self, path: Path, monitor: int | None = None) -> Path:
        """Write a picture of the whole X screen, or of one monitor, to `path` and return it."""
        assert self.photograph(monitor).save(str(path)), f"{path} can't be written"
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

    def activate(self, window: Window, *, wait: bool = True) -> None:
        """Give `window` the keyboard and, if asked to, wait until it has it; it may be gone by then."""
        self._run("xdotool", "windowactivate", *(["--sync"] * wait), str(window.id), may_fail=not wait)

    def move_to(self, number: int, window: str | int) -> None:
        """Move the window of a title or id, which has the keyboard, to a monitor, by the manager's keys.

        The manager numbers monitors in an order of its own, so one key is tried after the other.
        """

        def is_there() -> bool:
            place, found = self.monitor(number), [w for w in self.windows() if window in (w.title, w.id)]
            return bool(found) and place.x <= found[0].x + found[0].width // 2 < place.x + place.width

        for key in MOVE_KEYS * 2:
            if not is_there():
                self.tell("window moved")
                self.key(key)
                self.tell("")
                time.sleep(0.3)
        wait_until(is_there, f"the window {window!r} to be on {OUTPUTS[number]}")

    def key(self, *names: str, apart_ms: int = 12) -> None:
        """Press and release keys, one after the other, by X names or keycodes: "space", "ctrl+z", "58"."""
        self._run("xdotool", "key", "--delay", str(apart_ms), *names)

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
        self.tell("minimise")
        self._run("xdotool", "windowminimize", str(window.id))
        self.tell("")

    def move(self, window: Window, x: int, y: int) -> None:
        """Ask the window manager to put a window's corner elsewhere."""
        self.tell("move")
        self._run("xdotool", "windowmove", str(window.id), str(x), str(y))
        self.tell("")

    def show_desktop(self) -> None:
        """Put all windows away by the window manager's own key."""
        self.tell("show desktop")
        self.key("super+F10")
        self.tell("")

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
