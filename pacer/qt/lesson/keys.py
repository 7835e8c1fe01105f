"""Turns key presses into commands: no auto-repeat, no double press, taps told from holds."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Literal

from PySide6.QtCore import QElapsedTimer, QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent

from pacer.commands import HOLD_MS, KEYS, SAME_KEY_GUARD_MS, Key

REPEATS_MS = 120  # no finger presses a key again so soon; keyboards repeat about every 30 ms
_PLAIN = (Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.KeypadModifier)
_CTRL = Qt.KeyboardModifier.ControlModifier


def _code(name: str) -> tuple[int, bool]:
    """Qt's number of a key of the table, and whether Ctrl is held with it."""
    plain = name.removeprefix("Ctrl+")
    return int(getattr(Qt.Key, f"Key_{plain}")), plain != name


KEY_OF_CODE: dict[tuple[int, bool], Key] = {_code(name): key for key in KEYS for name in key.names}
ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)

What = Literal["pressed", "held", "down", "again", "repeat", "up", "other"]


@dataclass(frozen=True)
class KeyRead:
    """What one key event comes to.

    ``pressed`` and ``held`` count. ``down``: only its end will tell a tap from a hold. ``again``: the same
    line of the table ``after_ms`` milliseconds after it counted, a slip. ``repeat``: sent by the system
    while the key stays down. ``up``: let go, nothing follows. ``other``: no key of a lesson.
    """

    key: Key | None
    what: What
    after_ms: int = 0


class KeyReader:
    """Reads the key events of one listener one after the other. ``now_ms`` tells its time."""

    def __init__(self, now_ms: Callable[[], int]) -> None:
        self._now_ms = now_ms
        self._last: dict[Key, int] = {}
        self._seen: dict[Key, int] = {}
        self._down: dict[int, int] = {}

    def read(self, event: QKeyEvent) -> KeyRead:
        """What a press or a release comes to."""
        key = _key_of(event)
        if key is None:
            return KeyRead(None, "other")
        if event.isAutoRepeat():
            return KeyRead(key, "repeat")
        if event.type() == QEvent.Type.KeyPress:
            return self._pressed(event.key(), key)
        return self._released(event.key(), key)

    def _pressed(self, code: int, key: Key) -> KeyRead:
        now = self._now_ms()
        last, seen = self._last.get(key), self._seen.get(key)
        self._seen[key] = now
        if last is not None and now - last < SAME_KEY_GUARD_MS:
            if seen is not None and now - seen < REPEATS_MS:
                # A key that is held down, whose repeats a busy system left unmarked: none of them counts.
                self._last[key] = now
            return KeyRead(key, "again", now - last)
        self._last[key] = now
        if key.held is None:
            return KeyRead(key, "pressed")
        self._down[code] = now
        return KeyRead(key, "down")

    def _released(self, code: int, key: Key) -> KeyRead:
        down = self._down.pop(code, None)
        if down is None or key.held is None:
            return KeyRead(key, "up")
        return KeyRead(key, "held" if self._now_ms() - down >= HOLD_MS else "pressed")


class LessonKeys(QObject):
    """Filters the keys of the windows of a lesson.

    ``pressed`` carries the Key of the table; ``held`` the command of a key that was held down;
    ``confirmed`` comes with Return or Enter. Escape is swallowed: it never ends anything.
    """

    pressed = Signal(object)
    held = Signal(str)
    confirmed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.active = False
        self._clock = QElapsedTimer()
        self._clock.start()
        self._reader = KeyReader(self._now_ms)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Take the lesson's keys out of a window's events."""
        if not self.active or event.type() not in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
            return super().eventFilter(watched, event)
        assert isinstance(event, QKeyEvent)
        if event.key() == Qt.Key.Key_Escape:
            return True
        if event.key() in ENTER:
            if event.type() == QEvent.Type.KeyPress and not event.isAutoRepeat():
                self.confirmed.emit()
            return True
        found = self._reader.read(event)
        if found.key is None:
            return super().eventFilter(watched, event)
        if found.what == "pressed":
            self.pressed.emit(found.key)
        elif found.what == "held":
            self.held.emit(found.key.held)
        return True

    def _now_ms(self) -> int:
        return self._clock.elapsed()


def _key_of(event: QKeyEvent) -> Key | None:
    """The Key of the table behind an event; a key that is let go counts whatever is held with it."""
    code, modifiers = event.key(), event.modifiers()
    if event.type() == QEvent.Type.KeyRelease:
        return KEY_OF_CODE.get((code, False)) or KEY_OF_CODE.get((code, True))
    if modifiers in _PLAIN:
        return KEY_OF_CODE.get((code, False))
    return KEY_OF_CODE.get((code, True)) if modifiers & ~Qt.KeyboardModifier.KeypadModifier == _CTRL else None
