"""A panel to try a clicker on: which key came, what it does in a lesson, and what the guards ignore."""

import re
import sys
from collections.abc import Callable
from dataclasses import dataclass, replace
from typing import Literal

from PySide6.QtCore import QEvent, Qt, Signal
from PySide6.QtGui import QFocusEvent, QKeyEvent
from PySide6.QtWidgets import QFrame, QWidget

from pacer.commands import COMMANDS, SAME_KEY_GUARD_MS, Key
from pacer.qt.kit import theme
from pacer.qt.kit.rows import column_of, grid_of
from pacer.qt.kit.widgets import application, label, named
from pacer.qt.lesson.keys import ENTER, KeyRead, KeyReader
from pacer.text import N_, _, counted

SHOWN_PRESSES = 5

# Keys whose name in Qt is not what stands on them.
_NAMES = {
    "Period": N_("Full stop"), "Comma": N_("Comma"), "Return": N_("Enter"), "Backtab": N_("Shift+Tab"),
    "Control": "Ctrl", "unknown": N_("A key without a name"),
}  # fmt: skip
_MODIFIERS = (
    (Qt.KeyboardModifier.ControlModifier, "Ctrl+", Qt.Key.Key_Control),
    (Qt.KeyboardModifier.AltModifier, "Alt+", Qt.Key.Key_Alt),
    (Qt.KeyboardModifier.ShiftModifier, "Shift+", Qt.Key.Key_Shift),
    (Qt.KeyboardModifier.MetaModifier, "Meta+", Qt.Key.Key_Meta),
)


def key_name(event: QKeyEvent) -> str:
    """The key of an event as it is called, with what is held down beside it: ``Ctrl+Page Down``."""
    held = [text for modifier, text, own in _MODIFIERS if event.modifiers() & modifier and event.key() != own]
    if event.key() == Qt.Key.Key_Backtab:  # Qt's own name for Tab with Shift
        held.clear()
    return "".join(held) + _name(event.key())


def _name(code: int) -> str:
    """What stands on a key, or what it is called."""
    try:
        name = Qt.Key(code or Qt.Key.Key_unknown).name.removeprefix("Key_")
    except ValueError:  # Qt names no letter of another script
        name = "unknown" if code > sys.maxunicode else ""
    if name not in _NAMES and code <= sys.maxunicode and code != Qt.Key.Key_Space:
        return chr(code)
    return _(_NAMES.get(name, re.sub(r"(?<=[a-z])(?=[A-Z])", " ", name)))


def what_it_does(key: Key) -> str:
    """What a key of the table does in a lesson, as a short sentence without its full stop."""
    command, argument = key.tries[0]
    if len(key.tries) == 1 and argument in ("", "unsaid"):
        return _(COMMANDS[command].title)
    words = _(key.title)
    return words[:1].upper() + words[1:]


@dataclass(eq=False)
class _Press:
    """One press as the panel tells it; repeats of a key that stays down add to it."""

    code: int
    name: str
    words: str
    repeats: int = 0

    @property
    def note(self) -> str:
        if not self.repeats:
            return ""
        return counted(
            "{n} more while it stayed down: ignored", "{n} more while it stayed down: ignored", self.repeats
        )


class _Pad(QFrame):
    """Where the keys are pressed. ``told`` comes when there is a press to tell of, ``turned`` on focus."""

    told = Signal(object)
    turned = Signal()

    def __init__(self, clicker_blanks: Callable[[], bool]) -> None:
        super().__init__()
        self._clicker_blanks = clicker_blanks
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.reader = KeyReader(self)
        self.reader.let_go.connect(self._on_let_go)
        self._press: _Press | None = None

    def event(self, event: QEvent) -> bool:
        """Shortcuts of the window rest here; Tab and Escape are told and leave."""
        if isinstance(event, QKeyEvent):
            if event.type() == QEvent.Type.ShortcutOverride:
                event.accept()
                return True
            if event.type() in (QEvent.Type.KeyPress, QEvent.Type.KeyRelease):
                self._read(event)
                if event.type() == QEvent.Type.KeyPress and event.key() == Qt.Key.Key_Escape:
                    self.leave()
                    return True
        return super().event(event)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        event.accept()  # nothing of what is pressed here may act on the page behind

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        event.accept()

    def focusInEvent(self, event: QFocusEvent) -> None:
        super().focusInEvent(event)
        self.turned.emit()

    def focusOutEvent(self, event: QFocusEvent) -> None:
        super().focusOutEvent(event)
        self.reader.lose_touch()
        self.turned.emit()

    def leave(self) -> None:
        """Give the keys back to the page."""
        if not self.focusNextPrevChild(True):
            self.clearFocus()

    def _read(self, event: QKeyEvent) -> None:
        key = self.reader.read(event)
        if event.type() == QEvent.Type.KeyRelease:
            return
        if key.key is not None:
            key = replace(key, key=key.key.as_set(clicker_blanks=self._clicker_blanks()))
        if key.what != "repeat":
            self._press = _Press(key.code, key_name(event), _words(event, key))
        elif self._press and self._press.code == key.code:
            self._press.repeats += 1
        else:
            return
        self.told.emit(self._press)

    def _on_let_go(self, read: KeyRead) -> None:
        """Now it is known whether it was a tap or a hold; the press is told anew."""
        if self._press is None or self._press.code != read.code:
            self._press = _Press(read.code, _name(read.code), "")
        assert read.key is not None
        if read.what == "held" and read.key.held:
            self._press.words = _("Held: {what}").format(what=_(COMMANDS[read.key.held].title))
        else:
            self._press.words = what_it_does(read.key)
        self.told.emit(self._press)


def _words(event: QKeyEvent, read: KeyRead) -> str:
    """What a press that has just begun does."""
    if read.key is None:
        if event.key() in ENTER:
            return _("Lifts the curtain; closes a lesson that is over")
        return _("Nothing in a lesson")
    if read.what == "again":
        return _("Ignored: it came again after {after} ms, a slip within {guard} ms").format(
            after=read.after_ms, guard=SAME_KEY_GUARD_MS
        )
    does = what_it_does(read.key)
    if read.what == "down" and read.key.held:
        does = _("Let go: {tap}. Hold on: {hold}").format(tap=does, hold=_(COMMANDS[read.key.held].title))
    if read.code != event.key():  # by its place on the keyboard
        does = _("As {key}: {what}").format(key=_name(read.code), what=does)
    return does


class KeysPanel(QWidget):
    """Shows the last key large and the last five in a list. Nothing pressed here touches a lesson.

    ``clicker_blanks`` says what its blank button does by now.
    """

    def __init__(self, clicker_blanks: Callable[[], bool] = lambda: False) -> None:
        super().__init__()
        self.setAccessibleName(_("Test of keys and clicker"))
        self.pad = _Pad(clicker_blanks)
        self.pad.setObjectName("pad")
        named(self.pad, _("Field for keys: press each button of the clicker"))
        self.name = label("", bold=True)
        self.name.setFont(theme.font(44, theme.SEMIBOLD))
        self.does = label("", "large", wrap=True)
        self.note = label("", wrap=True)
        self.presses: list[_Press] = []
        self.rows = [(label("", bold=True), label("", "quiet", wrap=True)) for _row in range(SHOWN_PRESSES)]
        self.list = self._list()
        self._away = False
        self._lay_out()
        self.pad.told.connect(self._on_told)
        self.pad.turned.connect(self._show)
        application().applicationStateChanged.connect(self._on_application)
        self._show()

    @property
    def state(self) -> Literal["away", "idle", "ready"]:
        """Who gets the keys: another program, another part of this window, or the panel."""
        if self._away:
            return "away"
        return "ready" if self.pad.hasFocus() else "idle"

    def _lay_out(self) -> None:
        texts = self.name, self.does, self.note
        for text in texts:
            text.setAlignment(Qt.AlignmentFlag.AlignCenter)
        column_of(*texts, gap=4, inside=self.pad, margins=(24, 8, 24, 8))
        self.pad.setMinimumHeight(136)
        heading = label(_("The last five presses"), bold=True)
        column_of(self.pad, heading, self.list, gap=6, inside=self)

    def _list(self) -> QWidget:
        presses = named(QWidget(), _("The last five presses"))
        grid = grid_of(18, 4, inside=presses, shares={1: 1})
        grid.setColumnMinimumWidth(0, 150)
        for number, (name, words) in enumerate(self.rows):
            grid.addWidget(name, number, 0)
            grid.addWidget(words, number, 1)
        return presses

    def _on_told(self, press: object) -> None:
        assert isinstance(press, _Press)
        if not self.presses or self.presses[0] is not press:
            self.presses = [press, *self.presses][:SHOWN_PRESSES]
        self._show()

    def _on_application(self, state: Qt.ApplicationState) -> None:
        self._away = state != Qt.ApplicationState.ApplicationActive
        self._show()

    def _show(self) -> None:
        name, does, note = self._large()
        for text, words in ((self.name, name), (self.does, does), (self.note, note)):
            text.setText(words)
        self.pad.setAccessibleDescription(". ".join(filter(None, (name, does, note))))
        self._colour()
        for number, (left, right) in enumerate(self.rows):
            press = self.presses[number] if number < len(self.presses) else None
            left.setText("" if press is None else press.name)
            right.setText("" if press is None else ". ".join(filter(None, (press.words, press.note))))

    def _large(self) -> tuple[str, str, str]:
        if self.state == "away":
            return _("Keys go to another program"), _("Click this window to get them back."), ""
        if self.state == "idle":
            return _("Test the clicker"), _("Click here, then press each of its buttons."), ""
        leave = _("Nothing here touches a lesson. Tab or Escape leaves this field.")
        if not self.presses:
            return _("Press a key"), "", leave
        press = self.presses[0]
        return press.name, press.words, press.note or leave

    def _colour(self) -> None:
        fill, ink, border = {
            "away": (theme.PLUM, theme.ON_PLUM, theme.PLUM),
            "idle": (theme.DESK_PAPER, theme.SECONDARY, theme.OUTLINE),
            "ready": (theme.CLOSING, theme.DESK_INK, theme.DESK_INK),
        }[self.state]
        self.pad.setStyleSheet(
            f"#pad {{ background: {fill.name()}; border: 3px solid {border.name()}; border-radius: 8px; }}"
            f" QLabel {{ background: transparent; color: {ink.name()}; }}"
        )
