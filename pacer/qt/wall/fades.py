"""How the Wall changes: a fourth that leaves fades, and larger changes keep a distance so nothing flashes."""

from collections.abc import Callable
from dataclasses import fields
from operator import attrgetter

from PySide6.QtCore import QElapsedTimer, Qt, QTimer

from pacer.frames.wall import FOURTHS, WallFrame

FADE_MS = 300
FADE_STEPS = 6
# A general flash is a pair of opposing changes, and three in a second are allowed (WCAG 2.2, 2.3.1). Changes
# at this distance are three in any second, so at most a flash and a half, whatever keys are pressed.
CALM_MS = 350
STEP_S = 2  # time that went on by no more than this is no press


# All of a frame that time alone does not change: compared once a second, so it is picked out only once.
_OF_TIME = ("digits", "full", "fourths")
_without_time = attrgetter(*(field.name for field in fields(WallFrame) if field.name not in _OF_TIME))


def fourths_left(frame: WallFrame) -> int:
    """Fourths of minute squares that are left."""
    return frame.full * FOURTHS + frame.fourths


def loses_a_fourth(old: WallFrame, new: WallFrame) -> bool:
    """Whether time took one fourth away and nothing else changed but digits."""
    return fourths_left(old) - fourths_left(new) == 1 and _without_time(old) == _without_time(new)


def is_digits_alone(old: WallFrame, new: WallFrame) -> bool:
    """Whether two frames differ in their digits alone: what is said aloud and its squares stay."""
    if (old.digits is None) != (new.digits is None) or fourths_left(old) != fourths_left(new):
        return False
    return _without_time(old) == _without_time(new)


def is_ordinary(old: WallFrame, new: WallFrame) -> bool:
    """Whether nothing happened but that time went on by a moment: small, and once a second."""
    if old.face in ("off", "blank") or _without_time(old) != _without_time(new):
        return False
    if fourths_left(old) - fourths_left(new) not in (0, 1):
        return False
    return old.digits == new.digits or 0 <= _seconds(old.digits) - _seconds(new.digits) <= STEP_S


def _seconds(digits: str | None) -> int:
    minutes, _colon, seconds = (digits or "0:0").partition(":")
    return int(minutes) * 60 + int(seconds)


class Fade:
    """Fades once in a few even steps, for each is a repaint; ``show`` gets what is left, from 1 to 0.

    What is left follows from the time that passed, so a late step is no longer fade.
    """

    def __init__(self, show: Callable[[float], None], fade_ms: int = FADE_MS) -> None:
        self._show = show
        self._fade_ms = fade_ms
        self._since = QElapsedTimer()
        self._timer = QTimer()
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.setInterval(fade_ms // FADE_STEPS)
        self._timer.timeout.connect(self._on_step)

    @property
    def is_running(self) -> bool:
        """Whether something still fades."""
        return self._timer.isActive()

    def start(self) -> None:
        """Begin at 1."""
        self._since.start()
        self._timer.start()

    def stop(self) -> None:
        """Leave it as it is."""
        self._timer.stop()

    def _on_step(self) -> None:
        left = max(0.0, 1.0 - self._since.elapsed() / self._fade_ms)
        if left == 0.0:
            self.stop()
        self._show(left)


class CalmChanges:
    """Lets changes through at once, but larger ones only so far apart; of those that wait the newest wins.

    ``show`` gets the frames that are let through. ``calm_ms`` 0 lets everything through.
    """

    def __init__(self, show: Callable[[WallFrame], None]) -> None:
        self._show = show
        self.calm_ms = CALM_MS
        self._shown: WallFrame | None = None
        self._held: WallFrame | None = None
        self._timer = QTimer()
        self._timer.setSingleShot(True)
        self._timer.setTimerType(Qt.TimerType.PreciseTimer)
        self._timer.timeout.connect(self._on_calm)

    def change(self, frame: WallFrame) -> None:
        """Show a frame now or, if a larger change was just made, when that is long enough ago."""
        self._held = None
        if self._shown is not None and (frame == self._shown or is_ordinary(self._shown, frame)):
            self._shown = frame
            self._show(frame)
        elif self._timer.isActive():
            self._held = frame
        else:
            self._let_through(frame)

    def forget(self) -> None:
        """Begin anew: nothing is shown any more, and nothing waits."""
        self._timer.stop()
        self._shown = self._held = None

    def _let_through(self, frame: WallFrame) -> None:
        self._shown = frame
        if self.calm_ms:
            self._timer.start(self.calm_ms)
        self._show(frame)

    def _on_calm(self) -> None:
        frame, self._held = self._held, None
        if frame is not None:
            self._let_through(frame)
