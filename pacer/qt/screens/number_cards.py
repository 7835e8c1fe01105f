"""Asks which screen the class sees, or has the Desk card: large numbers, answered in the private window."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from PySide6.QtCore import QEventLoop, QPoint, QRect, QRectF, Qt, QTimer, Signal
from PySide6.QtGui import QHideEvent, QKeyEvent, QPainter, QPaintEvent
from PySide6.QtWidgets import QWidget

from pacer.qt.kit import theme
from pacer.qt.kit.key_places import code_of
from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.widgets import button, named
from pacer.qt.screens.present import ScreenInfo, find_screen
from pacer.qt.screens.private_window import MainWindow
from pacer.qt.screens.watch import ScreenWatch
from pacer.text import _

CORNER_SHARE = 0.75  # of the size in the middle: two corners leave a band between them free
MOST_SCREENS = 9  # one key each
CANCELLED = -1

OVERLAY = (
    Qt.WindowType.Tool
    | Qt.WindowType.FramelessWindowHint
    | Qt.WindowType.WindowStaysOnTopHint
    | Qt.WindowType.WindowDoesNotAcceptFocus
    | Qt.WindowType.WindowTransparentForInput
    # A window manager could put it on another screen, or take the keyboard there.
    | Qt.WindowType.X11BypassWindowManagerHint
)


def make_overlay(widget: QWidget, title: str) -> None:
    """Make a widget a window that clicks pass through and that never takes the keyboard."""
    widget.setWindowFlags(OVERLAY)
    widget.setAttribute(Qt.WidgetAttribute.WA_ShowWithoutActivating)
    widget.setAttribute(Qt.WidgetAttribute.WA_OpaquePaintEvent)
    widget.setAttribute(Qt.WidgetAttribute.WA_QuitOnClose, False)
    widget.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    widget.setWindowTitle(title)


def show_overlay(widget: QWidget, screen: ScreenInfo, rect: QRect) -> None:
    """Show such a window on a screen, above the others; nowhere if the screen is gone."""
    live = find_screen(screen)
    if live is None:
        widget.hide()
        return
    widget.setScreen(live)
    widget.setGeometry(rect)
    widget.show()
    widget.raise_()


def sentence() -> str:
    """The one thing that is said on every screen."""
    return _("Press the number that the class sees.")


class NumberFace(QWidget):
    """A large number and one sentence, painted to fit."""

    def __init__(self, number: int, words: str, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self._number = number
        self._words = words
        name = _("Screen {n}").format(n=number) if number else words
        self.setAccessibleName(name)
        self.setAccessibleDescription(words)

    def paintEvent(self, _event: QPaintEvent) -> None:
        """Paint the number over the sentence; without a number the sentence alone."""
        width, height = self.width(), self.height()
        with QPainter(self) as painter:
            painter.fillRect(self.rect(), theme.PAPER)
            painter.setPen(theme.SQUARE)
            below = 0.0
            if self._number:
                below = height * 0.78
                painter.setFont(theme.font(min(height, width) * 0.62, theme.SEMIBOLD))
                painter.drawText(QRectF(0, 0, width, below), _CENTRE, str(self._number))
            painter.setPen(theme.INK)
            painter.setFont(theme.font(max(16.0, min(height * 0.06, width * 0.04))))
            box = QRectF(width * 0.05, below, width * 0.9, height - below)
            painter.drawText(box, _CENTRE | Qt.TextFlag.TextWordWrap, self._words)


_CENTRE = Qt.AlignmentFlag.AlignCenter


class Card(NumberFace):
    """A face in a window of its own that clicks pass through and that never takes the keyboard."""

    def __init__(self, number: int, words: str, window: QWidget) -> None:
        super().__init__(number, words, window)
        make_overlay(self, self.accessibleName())

    def show_on(self, screen: ScreenInfo, share: float = 1.0, clear_of: QRect | None = None) -> None:
        """Show it in the middle of a screen, over this share of its width and height.

        ``clear_of``: what it must not cover; where it would, it lies in a corner that is free.
        """
        show_overlay(self, screen, card_rect(screen.rect, share, clear_of or QRect()))


def card_rect(screen: QRect, share: float, clear_of: QRect) -> QRect:
    """Where a card lies: in the middle, or smaller in the corner that covers least of what must be seen."""

    def covered(place: QRect) -> int:
        both = place & clear_of
        return both.width() * both.height()

    middle = QRect(QPoint(0, 0), screen.size() * share)
    middle.moveCenter(screen.center())
    corner = screen.size() * (share * CORNER_SHARE)
    right, low = screen.right() - corner.width() + 1, screen.bottom() - corner.height() + 1
    corners = [QRect(QPoint(x, y), corner) for y in (screen.top(), low) for x in (screen.left(), right)]
    return min((middle, *corners), key=covered)


class NumberPage(QWidget):
    """The private window's part: its own number, and the keys and buttons that answer.

    ``chosen`` carries the number, −1 when nothing was chosen: Escape, or the window closed. ``answers`` are
    the numbers that answer, with what their buttons are called; 0 stands for none.
    """

    chosen = Signal(int)

    def __init__(self, own: int, answers: Mapping[int, str], words: str) -> None:
        super().__init__()
        self._numbers = tuple(answers)
        self.setAccessibleName(words)
        self.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        self.face = NumberFace(own, words, self)
        self.buttons = [
            named(button(str(number) if number else _("0: none"), self._on_button), name)
            for number, name in answers.items()
        ]
        self.cancel = button(_("Cancel"), self._on_cancel, tip=_("Escape"))
        row = row_of(STRETCH, *self.buttons, 36, self.cancel, STRETCH)
        column_of((self.face, 1), row, inside=self, margins=(0, 0, 0, 36))

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """A digit answers, Escape cancels."""
        number = code_of(event) - int(Qt.Key.Key_0)
        if event.key() == Qt.Key.Key_Escape:
            self.chosen.emit(CANCELLED)
        elif number in self._numbers and not event.isAutoRepeat():
            self.chosen.emit(number)
        else:
            super().keyPressEvent(event)

    def hideEvent(self, event: QHideEvent) -> None:
        """A closed window answers nothing."""
        super().hideEvent(event)
        if not event.spontaneous():
            self.chosen.emit(CANCELLED)

    def _on_button(self) -> None:
        self.chosen.emit(self._numbers[self.buttons.index(self.sender())])  # type: ignore[arg-type]

    def _on_cancel(self) -> None:
        self.chosen.emit(CANCELLED)


class NumberCards:
    """The question which screen the class sees, with an ``ask`` that tests can replace."""

    @staticmethod
    def ask(
        window: MainWindow, screens: Sequence[ScreenInfo], private: ScreenInfo | None
    ) -> ScreenInfo | None:
        """Return the screen that the class sees; None when cancelled, or when the screens change."""
        shown = numbered(screens)
        own = next((n for n, one in shown.items() if private and one.rect.intersects(private.rect)), 0)
        answers = {number: _("The class sees screen {n}").format(n=number) for number in shown}
        apart = {number: one for number, one in shown.items() if number != own}
        return shown.get(_ask(window, NumberPage(own, answers, sentence()), apart, sentence()))


@dataclass(frozen=True)
class CardAnswer:
    """The screen for the Desk card, None for no card."""

    screen: ScreenInfo | None


class CardNumbers:
    """The question which screen has the Desk card, with an ``ask`` that tests can replace."""

    @staticmethod
    def ask(
        window: MainWindow, screens: Sequence[ScreenInfo], free: Sequence[ScreenInfo]
    ) -> CardAnswer | None:
        """Return the answer, one of the free screens or none; None when cancelled, or when screens change.

        A screen that is not free has no number: the class sees nothing of the question.
        """
        shown = {number: screen for number, screen in numbered(screens).items() if screen in free}
        answers = {number: _("The Desk card goes on screen {n}").format(n=number) for number in shown}
        answers[0] = _("No Desk card")
        words = _("Press the number for your Desk card, 0 for none.")
        answer = _ask(window, NumberPage(0, answers, words), shown, words)
        return CardAnswer(shown.get(answer)) if answer in answers else None


def _ask(window: MainWindow, page: NumberPage, shown: Mapping[int, ScreenInfo], words: str) -> int:
    """Show the page, and numbers on other screens, until it is answered."""
    covered = window.show_over(page)
    cards = [Card(number, words, window) for number in shown]
    loop = _Loop(page, cards)
    for card, screen in zip(cards, shown.values(), strict=True):
        card.show_on(screen)
    window.activateWindow()
    answer = loop.wait()
    window.take_off(page, covered)
    for gone in (page, *cards):
        gone.deleteLater()
    return answer


def numbered(screens: Sequence[ScreenInfo]) -> dict[int, ScreenInfo]:
    """The screens by number, from left to right; of mirrored ones the first alone."""
    apart: list[ScreenInfo] = []
    for screen in sorted(screens, key=lambda one: (one.place[:2], one.name)):
        if not any(screen.rect.intersects(other.rect) for other in apart):
            apart.append(screen)
    return dict(enumerate(apart[:MOST_SCREENS], 1))


class _Loop(QEventLoop):
    """Waits for the page's answer, or for the screens to change.

    The cards go with the next turn of whatever event loop runs then: what takes their place is there by then,
    and no dialog that is open over the question can keep them.
    """

    def __init__(self, page: NumberPage, cards: Sequence[Card]) -> None:
        super().__init__(page)
        self._answer = CANCELLED
        self._cards = tuple(cards)
        page.chosen.connect(self._on_chosen)
        ScreenWatch(self).changed.connect(self._on_screens)

    def wait(self) -> int:
        """The number, −1 where nothing was chosen."""
        self.exec()
        return self._answer

    def _on_chosen(self, number: int) -> None:
        if self.isRunning():
            self._answer = number
            self.quit()
            for card in self._cards:
                QTimer.singleShot(0, card, card.hide)

    def _on_screens(self) -> None:
        self._on_chosen(CANCELLED)


class MoveNotes:
    """Where Pacer's window is on the class's screen, a note on each other one: move it here."""

    def __init__(self, window: MainWindow) -> None:
        self._window = window
        self._cards: list[Card] = []

    def show(self, screens: Sequence[ScreenInfo], wall: ScreenInfo) -> None:
        """Show the notes, half as large as their screens; they stay until ``hide``."""
        if self._cards:
            return
        words = _("Pacer's window is on the screen that the class sees. Move it here, then press Enter.")
        for screen in numbered([wall, *screens]).values():
            if not screen.rect.intersects(wall.rect):
                card = Card(0, words, self._window)
                card.show_on(screen, 0.5, self._window.sentence_at())
                self._cards.append(card)

    def hide(self) -> None:
        for card in self._cards:
            card.hide()
            card.deleteLater()
        self._cards = []
