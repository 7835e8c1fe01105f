"""A witness photographs the projector all through a test, and says what the class saw after each change."""

import threading
import time
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

from pacer.qt.kit import theme
from tests.real_screens.camera import Camera, as_image
from tests.real_screens.monitors import PROJECTOR, TwoMonitors
from tests.real_screens.private_marker import MARKERS

APART_S = 0.02
# What the display server leaves on a re-arranged screen goes once the program hears of it and paints there.
# With ten times a machine's load that took 17 s, so the time is told; after this long, or once a picture
# was clean, what is private there is the program's own doing.
LEFT_OVER_S = 30.0
LOSSES = ("minimise", "move", "show desktop", "crash")


@dataclass
class Change:
    """Something done to the screens or the Wall at a time (monotonic seconds), and what was seen of it.

    ``covered_ms``: to the first picture of the projector without a private pixel. ``wall_ms``: to the first
    with the Wall, where the Wall was there before. Both count from before the command that makes the change.
    """

    what: str
    at_s: float
    wall_before: bool
    covered_ms: float | None = None
    wall_ms: float | None = None
    wall_gone: bool = False


@dataclass
class Testimony:
    """All that a witness saw: pictures of the projector, those that were private, and each change."""

    photographs: int = 0
    left_over: int = 0
    private: list[Path] = field(default_factory=list)
    changes: list[Change] = field(default_factory=list)
    pictures: list[Path] = field(default_factory=list)
    faults: list[str] = field(default_factory=list)


class Witness(threading.Thread):
    """Runs beside a test; `stop` ends it and returns what it saw.

    It writes pictures into a folder, so many at most of what is seen and of what is private.
    """

    def __init__(self, monitors: TwoMonitors, folder: Path, most: int = 12) -> None:
        """Listen to what is done to the monitors from now on."""
        super().__init__(name="witness", daemon=True)
        self.seen = Testimony()
        self._monitors, self._folder, self._most = monitors, folder, most
        self._camera = Camera(monitors.display)
        self._done = threading.Event()
        self._lock = threading.Lock()
        self._busy = self._lifted = self._wall = False
        self._last: np.ndarray | None = None
        self._change = Change("begin", time.monotonic(), wall_before=False)
        monitors.listeners.append(self._hear)

    def _hear(self, what: str) -> None:
        with self._lock:
            if what == "lift":
                self._lifted = True
            elif what:
                self._keep_picture()
                # Where only the Wall is lost the screen is not re-arranged: nothing may be left over there.
                loses = what in LOSSES
                self._busy = not loses
                self._lifted = self._lifted and loses
                self._change = Change(what, time.monotonic(), self._wall)
                if loses:
                    self._change.covered_ms = 0.0
                self.seen.changes.append(self._change)
            else:
                self._busy = False

    def run(self) -> None:
        """Photograph until told to stop."""
        try:
            while not self._done.wait(APART_S):
                place, at_s, busy = self._monitors.place(PROJECTOR), time.monotonic(), self._busy
                if place is None or busy:
                    continue
                pixels = self._camera.pixels(*place)
                with self._lock:
                    # A picture taken while the screens change may be of two layouts.
                    if pixels is not None and not self._busy and at_s >= self._change.at_s:
                        self._look(pixels, at_s)
        except Exception as error:
            self.seen.faults.append(f"the witness stopped: {error!r}")

    def _look(self, pixels: np.ndarray, at_s: float) -> None:
        self.seen.photographs += 1
        self._last = pixels
        change, after_ms = self._change, (time.monotonic() - self._change.at_s) * 1000
        is_private = any((pixels == marker).any() for marker in MARKERS)
        paper = float((pixels == theme.PAPER.rgb()).mean())
        self._wall = not is_private and paper > 0.5 and bool((pixels == theme.SQUARE.rgb()).any())
        if not is_private:
            if change.covered_ms is None:
                change.covered_ms = after_ms
        elif not self._lifted:
            if change.covered_ms is None and at_s - change.at_s < LEFT_OVER_S:
                self.seen.left_over += 1
            else:
                private = self.seen.private
                private.append(private[-1] if len(private) > self._most else self._write(pixels, "private"))
        is_loss = change.what in LOSSES
        change.wall_gone |= is_loss and not self._wall
        if change.wall_before and change.wall_ms is None and self._wall and change.wall_gone == is_loss:
            change.wall_ms = after_ms

    @property
    def is_clean(self) -> bool:
        """Whether, since the last change, the projector was seen without a private pixel, or is dark."""
        dark = self._monitors.place(PROJECTOR) is None
        return dark or self._change.covered_ms is not None or bool(self.seen.private or self.seen.faults)

    @property
    def shows_wall(self) -> bool:
        """Whether the last picture was the Wall."""
        return self._wall

    def forget_the_lift(self) -> None:
        """What is shown now is shown to the class by mistake."""
        self._lifted = False

    def _keep_picture(self) -> None:
        """Keep the last picture before a change, to be read."""
        if self._last is not None and not self._lifted and len(self.seen.pictures) < self._most:
            self.seen.pictures.append(self._write(self._last, "seen"))
        self._last = None

    def _write(self, pixels: np.ndarray, name: str) -> Path:
        number = len(self.seen.private) + len(self.seen.pictures)
        path = self._folder / f"{name}-{number:03}.png"
        as_image(pixels).save(str(path), quality=80)
        return path

    def stop(self) -> Testimony:
        """End, keep the last picture, and return what was seen."""
        self._monitors.listeners.remove(self._hear)
        self._done.set()
        self.join()
        self._keep_picture()
        self._camera.close()
        return self.seen
