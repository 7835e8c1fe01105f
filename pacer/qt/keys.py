"""Turns key presses into commands: no auto-repeat, no double press, taps told from holds."""

from PySide6.QtCore import QElapsedTimer, QEvent, QObject, Qt, Signal
from PySide6.QtGui import QKeyEvent

from pacer.commands import HOLD_MS, KEYS, SAME_KEY_GUARD_MS, Key

_PLAIN = (Qt.KeyboardModifier.NoModifier, Qt.KeyboardModifier.KeypadModifier)
_CTRL = Qt.KeyboardModifier.ControlModifier


def _code(name: str) -> tuple[int, bool]:
    """Qt's number of a key of the table, and whether Ctrl is held with it."""
    plain = name.removeprefix("Ctrl+")
    return int(getattr(Qt.Key, f"Key_{plain}")), plain != name


KEY_OF_CODE: dict[tuple[int, bool], Key] = {_code(name): key for key in KEYS for name in key.names}


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
        self._last: dict[Key, int] = {}
        self._down: dict[int, int] = {}

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        """Take the lesson's keys out of a window's events."""
        if not self.active or event.type() not in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
            return super().eventFilter(watched, event)
        assert isinstance(event, QKeyEvent)
        if event.key() == Qt.Key.Key_Escape:
            return True
        if event.key() in (Qt.Key.Key_Return, Qt.Key.Key_Enter):
            if event.type() == QEvent.Type.KeyPress and not event.isAutoRepeat():
                self.confirmed.emit()
            return True
        key = _key_of(event)
        if key is None:
            return super().eventFilter(watched, event)
        if not event.isAutoRepeat():
            if event.type() == QEvent.Type.KeyPress:
                self._on_press(event.key(), key)
            else:
                self._on_release(event.key(), key)
        return True

    def _on_press(self, code: int, key: Key) -> None:
        now = self._clock.elapsed()
        last = self._last.get(key)
        if last is not None and now - last < SAME_KEY_GUARD_MS:
            return
        self._last[key] = now
        if key.held is None:
            self.pressed.emit(key)
        else:
            self._down[code] = now

    def _on_release(self, code: int, key: Key) -> None:
        down = self._down.pop(code, None)
        if down is None or key.held is None:
            return
        if self._clock.elapsed() - down >= HOLD_MS:
            self.held.emit(key.held)
        else:
            self.pressed.emit(key)


def _key_of(event: QKeyEvent) -> Key | None:
    """The Key of the table behind an event; a key that is let go counts whatever is held with it."""
    code, modifiers = event.key(), event.modifiers()
    if event.type() == QEvent.Type.KeyRelease:
        return KEY_OF_CODE.get((code, False)) or KEY_OF_CODE.get((code, True))
    if modifiers in _PLAIN:
        return KEY_OF_CODE.get((code, False))
    return KEY_OF_CODE.get((code, True)) if modifiers & ~Qt.KeyboardModifier.KeypadModifier == _CTRL else None
