"""A plain page over everything private, shown when children might see this window."""

from PySide6.QtCore import QElapsedTimer, QRect, Qt, QTimer, Signal
from PySide6.QtGui import QFocusEvent, QPaintEvent, QResizeEvent
from PySide6.QtWidgets import QApplication

from pacer.commands import SAME_KEY_GUARD_MS
from pacer.qt.kit import theme
from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.target import GAP, Target, least_height, press_key, same_text
from pacer.qt.kit.widgets import KeysFirst, application, label
from pacer.run.room_plan import CurtainWords, Plan
from pacer.text import _

TEXT_PX = 40, 32, 26, 21, 17, 14  # readable while walking up to the laptop; smaller only over a small dialog
MARGIN, APART = 60, 30
TARGET_WIDTH = 340


def curtain_words(words: CurtainWords) -> str:
    """What the curtain says: how things are, and on a line of its own what keys do; nothing of the lesson."""
    return {
        "changed": _("The screens changed.\nEnter shows the Desk again; all keys work."),
        "asked": _("\nEnter shows the Desk; all keys work."),
        "second": _("A second screen is here.\nEnter shows the Desk on this one."),
        "own": _("This is your own screen now.\nEnter shows the Desk; all keys work."),
        "mirrored": _("All screens show the same.\nEnter asks who sees them; all keys work."),
        "move": _("Move this window to your own screen, then press Enter.\nAll keys work."),
        "class": _("The class sees this screen.\nEnter asks whether anybody looks."),
        "wall only": _("Nothing private is shown.\nThe lesson's keys work here."),
        "unsaved": _("Some presses are not saved yet.\nEnter again leaves without saving."),
        "over": _("The lesson is over.\nEnter opens Look back when nobody else sees this."),
        "looking": _("One moment: Pacer looks at the screens."),
        "pages mirrored": _("All screens show the same.\nIf only you see them now, press Enter."),
        "pages class": _(
            "The class sees this screen. Move this window to your own.\nIf nobody looks now, press Enter."
        ),
        "pages unknown": _("Who sees this screen is not known yet.\nIf only you see it, press Enter."),
        "question": _("One question first."),
        "kept": _(
            "The lesson is kept. It goes on when Pacer starts again.\n"
            "Pacer closes in a moment; Enter goes on with the lesson now."
        ),
    }[words]


def target_words(plan: Plan) -> str:
    """What a large target says that does what Enter does; nothing where Enter does nothing."""
    if plan.words == "kept":
        return _("Go on with the lesson")
    if plan.words == "over":
        return _("Look back")
    if plan.words == "mirrored":
        return _("Ask who sees them")
    if plan.lifts and plan.words in ("changed", "asked", "second", "own", "move"):
        return _("Show the Desk")
    return _("Show it") if plan.lifts else ""


def close_popups() -> None:
    """Close every menu and list that is open, the last one first."""
    popup = QApplication.activePopupWidget()
    while popup is not None:
        popup.close()
        left, popup = popup, QApplication.activePopupWidget()
        if popup is left:
            return


class Curtain(KeysFirst):
    """Says one thing and takes the keys; there is nothing of the lesson on it.

    ``leave_asked`` comes from the target that leaves Pacer, ``painted`` with its first frame.
    """

    leave_asked = Signal()
    painted = Signal()

    def __init__(self) -> None:
        super().__init__()
        self._is_painted = False
        self.setAccessibleName(_("Curtain"))
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        # It paints its own page in the Wall's colours: nothing of it is marked as private.
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)
        self._since = QElapsedTimer()
        self._since.start()
        self._text = label("", wrap=True)
        self._text.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._keys = label("", wrap=True)
        self._keys.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self._keys_words, self._elsewhere = "", False
        application().applicationStateChanged.connect(self._on_application_state)
        self._enter, self._leave = (Target(self, theme.PAPER, theme.INK) for _side in range(2))
        self._enter.clicked.connect(self._on_enter)
        self._leave.clicked.connect(self.leave_asked)
        self._leave.setText(_("Leave Pacer"))
        for target in (self._enter, self._leave):
            target.setFixedWidth(TARGET_WIDTH)
            target.hide()
        targets = row_of(STRETCH, self._enter, self._leave, STRETCH, gap=3 * GAP)
        parts = STRETCH, self._text, APART, self._keys, APART, targets, STRETCH
        self._column = column_of(*parts, gap=0, inside=self)

    def offer(self, plan: Plan) -> None:
        """Offer what Enter does as a large target and, where the window was closed, to leave."""
        words = target_words(plan)
        for target, shown in ((self._enter, bool(words)), (self._leave, plan.words == "kept")):
            target.setFixedHeight(least_height(self) + 20)
            target.setVisible(shown)
        self._enter.setText(words)
        same_text((self._enter, self._leave))
        self._fit()
        self._since.start()

    def say(self, text: str) -> None:
        """Change what it says; its second line is about keys."""
        words, _line, self._keys_words = text.partition("\n")
        self._text.setText(words)
        self.setAccessibleDescription(text)
        self._show_keys()

    def sentence_at(self) -> QRect:
        """Where on the desktop its words are."""
        words = self._text.geometry() | self._keys.geometry() if self._keys.text() else self._text.geometry()
        return QRect(self.mapToGlobal(words.topLeft()), words.size())

    def focusOutEvent(self, event: QFocusEvent) -> None:
        """A key pressed just before opens its menu 100 ms later, above this: it goes before it is painted."""
        super().focusOutEvent(event)
        if event.reason() == Qt.FocusReason.PopupFocusReason:
            QTimer.singleShot(0, self, close_popups)

    def _on_enter(self) -> None:
        """As the key does; but not where it has only just come under a finger."""
        if self._since.elapsed() >= SAME_KEY_GUARD_MS:
            press_key(self, "Return", self._enter.when_ms)

    def _on_application_state(self, state: Qt.ApplicationState) -> None:
        """A change of screens often takes the keyboard along: as on the Desk, that is said large."""
        self._elsewhere = state != Qt.ApplicationState.ApplicationActive
        self._show_keys()

    def _show_keys(self) -> None:
        """No key is promised while none comes here."""
        elsewhere = _("Keys go to another program. Click here.")
        self._keys.setText(elsewhere if self._elsewhere else self._keys_words)
        self._keys.setVisible(bool(self._keys.text()))
        self._fit()

    def paintEvent(self, event: QPaintEvent) -> None:
        super().paintEvent(event)
        if not self._is_painted:
            self._is_painted = True
            self.painted.emit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._fit()

    def _fit(self) -> None:
        """Write it in the largest letters in which all of it is seen."""
        margin = min(MARGIN, self.width() // 12, self.height() // 12)
        self._column.setContentsMargins(margin, margin, margin, margin)
        width, height = self.width() - 2 * margin, self.height() - 2 * (margin + APART)
        if not self._enter.isHidden():
            height -= self._enter.height()
        for px in TEXT_PX:
            self._text.setFont(theme.font(px))
            self._keys.setFont(theme.font(px, theme.BOLD if self._elsewhere else theme.REGULAR))
            shown = [one for one in (self._text, self._keys) if one.text()]
            if sum(one.heightForWidth(width) for one in shown) <= height:
                return
