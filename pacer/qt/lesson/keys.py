"""Turns key presses into commands: no auto-repeat, no double press, taps told from holds."""

from dataclasses import dataclass
from typing import Literal

from PySide6.QtCore import QElapsedTimer, QEvent, QObject, Qt, QTimer, Signal
from PySide6.QtGui import QKeyEvent

from pacer.commands import HOLD_MS, KEYS, SAME_KEY_GUARD_MS, SHEET_KEYS, Key
from pacer.qt.kit.held_keys import SAME_MOMENT_MS, STILL_DOWN_MS, WRAP_MS
from pacer.qt.kit.key_places import code_of, writes
from pacer.qt.kit.widgets import application

RELEASE_MS = 30  # so long the press of the same moment may be on its way
_NONE, _CTRL = Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.ControlModifier
_SHIFT, _KEYPAD = Qt.KeyboardModifier.ShiftModifier, Qt.KeyboardModifier.KeypadModifier


def _code(name: str) -> tuple[int, bool]:
    """Qt's number of a key of the table, and whether Ctrl is held with it."""
    plain = name.removeprefix("Ctrl+")
    return int(getattr(Qt.Key, f"Key_{plain}")), plain != name


KEY_OF_CODE: dict[tuple[int, bool], Key] = {_code(name): key for key in KEYS for name in key.names}
SHEET_OF_CODE = {_code(name)[0]: sheet for name, sheet in SHEET_KEYS.items()}
ENTER = (Qt.Key.Key_Return, Qt.Key.Key_Enter)

KeyStage = Literal["pressed", "held", "down", "again", "repeat", "up", "other"]


@dataclass(frozen=True)
class KeyRead:
    """What one key event comes to; ``code`` is Qt's number of the key it stands for.

    ``pressed`` and ``held`` count. ``down``: only its end will tell a tap from a hold. ``again``: the same
    line of the table ``after_ms`` milliseconds after it counted, a slip. ``repeat``: sent by the system
    while the key stays down. ``up``: let go; ``let_go`` follows if that tells a tap from a hold.
    ``other``: no key of a lesson.
    """

    code: int
    key: Key | None
    what: KeyStage
    after_ms: int = 0


class KeyReader(QObject):
    """Reads the key events of one listener one after the other, by the time each carries.

    ``let_go`` comes with a KeyRead, ``pressed`` or ``held``, once a key with two meanings is really up.
    """

    let_go = Signal(object)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.clock = QElapsedTimer()  # for events that carry no time
        self.clock.start()
        self._counted: dict[Key, int] = {}
        self._signs: dict[int, int] = {}  # of keys that are down: when each was last heard of
        self._ups: dict[int, int] = {}
        self._began: dict[int, int] = {}  # keys with two meanings that are down: since when
        self._released: KeyRead | None = None
        self._timer = QTimer(self)
        self._timer.setSingleShot(True)
        self._timer.timeout.connect(self._on_time)

    def read(self, event: QKeyEvent) -> KeyRead:
        """What a press or a release comes to."""
        code, key = code_of(event), _key_of(event)
        now = event.timestamp() or self.clock.elapsed()
        is_press = event.type() == QEvent.Type.KeyPress
        if event.isAutoRepeat() or (is_press and self._repeats(code, now)):
            if is_press:
                self._signs[code] = now
                self._forget_release(code)
            return KeyRead(code, key, "repeat")
        self.settle()
        if not is_press:
            return self._up(code, key, now)
        self._signs[code] = now
        return KeyRead(code, None, "other") if key is None else self._down(code, key, now)

    def settle(self) -> None:
        """Take the last release for real: what came after it, or the time that went by, says so."""
        self._timer.stop()
        found, self._released = self._released, None
        if found is not None:
            self._began.pop(found.code, None)
            self.let_go.emit(found)

    def lose_touch(self) -> None:
        """From now on releases may go elsewhere: the next press of a key that was down is a new one."""
        self._signs.clear()

    def _repeats(self, code: int, now: int) -> bool:
        up, sign = self._ups.get(code), self._signs.get(code)
        return (up is not None and _since(up, now) <= SAME_MOMENT_MS) or (
            sign is not None and _since(sign, now) < STILL_DOWN_MS
        )

    def _down(self, code: int, key: Key, now: int) -> KeyRead:
        self._began.pop(code, None)
        last = self._counted.get(key)
        if last is not None and _since(last, now) < SAME_KEY_GUARD_MS:
            return KeyRead(code, key, "again", _since(last, now))
        self._counted[key] = now
        if key.held is None:
            return KeyRead(code, key, "pressed")
        self._began[code] = now
        return KeyRead(code, key, "down")

    def _up(self, code: int, key: Key | None, now: int) -> KeyRead:
        self._ups[code] = now
        self._signs.pop(code, None)
        began = self._began.get(code)
        if began is not None and key is not None:
            self._released = KeyRead(code, key, "held" if _since(began, now) >= HOLD_MS else "pressed")
            self._timer.start(RELEASE_MS)
        return KeyRead(code, key, "up")

    def _forget_release(self, code: int) -> None:
        if self._released is not None and self._released.code == code:
            self._timer.stop()
            self._released = None

    def _on_time(self) -> None:
        """After a stall the press may wait behind this timer: it is given one more turn of the loop."""
        if self._timer.interval():
            self._timer.start(0)
        else:
            self.settle()


class LessonKeys(QObject):
    """Has the keys of the windows of a lesson first: ``take`` is their ``take_key``.

    ``pressed`` carries the Key of the table; ``held`` the command of a key that was held down;
    ``confirmed`` comes with Return or Enter. Escape is swallowed: it never ends anything. ``sheet_asked``
    carries which sheet a key shows, or takes away where it lies already.
    """

    pressed = Signal(object)
    held = Signal(str)
    confirmed = Signal()
    sheet_asked = Signal(str)

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._active = False
        self.reader = KeyReader(self)
        self.reader.let_go.connect(self._on_read)
        # Another window has the keyboard: of ours, of another program, or none.
        application().focusWindowChanged.connect(self.reader.lose_touch)

    @property
    def active(self) -> bool:
        """Whether keys are the lesson's; else they pass, and releases are not heard of."""
        return self._active

    @active.setter
    def active(self, active: bool) -> None:
        if not active:
            self.reader.lose_touch()
        self._active = active

    def take(self, event: QKeyEvent) -> bool:
        """Take a key that goes down or up, if it is the lesson's."""
        if not self.active:
            return False
        found = self.reader.read(event)
        if event.key() == Qt.Key.Key_Escape:
            return True
        if event.key() in ENTER:
            if event.type() == QEvent.Type.KeyPress and found.what != "repeat":
                self.confirmed.emit()
            return True
        if event.key() in SHEET_OF_CODE and not event.modifiers():
            if event.type() == QEvent.Type.KeyPress and found.what != "repeat":
                self.sheet_asked.emit(SHEET_OF_CODE[event.key()])
            return True
        if found.key is None:
            return False
        self._on_read(found)
        return True

    def _on_read(self, found: KeyRead) -> None:
        if not self.active or found.key is None:
            return
        if found.what == "pressed":
            self.pressed.emit(found.key)
        elif found.what == "held":
            self.held.emit(found.key.held)


def _since(then: int, now: int) -> int:
    return (now - then) % WRAP_MS


def _key_of(event: QKeyEvent) -> Key | None:
    """The Key of the table behind an event; a key that is let go counts whatever is held with it."""
    code, held = code_of(event), event.modifiers() & ~_KEYPAD
    if event.type() == QEvent.Type.KeyRelease:
        return KEY_OF_CODE.get((code, False)) or KEY_OF_CODE.get((code, True))
    if held == _NONE or (held == _SHIFT and writes(code)):
        return KEY_OF_CODE.get((code, False))
    return KEY_OF_CODE.get((code, True)) if held == _CTRL else None
