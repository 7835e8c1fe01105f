"""The first start: one calm page with three ways to begin, by 1, 2, 3, arrows and Enter, or by mouse."""

from typing import Literal, get_args

from PySide6.QtCore import QSize, Qt, Signal
from PySide6.QtGui import QKeyEvent, QResizeEvent
from PySide6.QtWidgets import QLabel, QPushButton, QSizePolicy, QWidget

from pacer.qt.kit.empty.pictures import PictureName, SmallPicture
from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.widgets import label, named, scrolled, shortcut
from pacer.text import _

Way = Literal["template", "write", "paste"]
WAYS: tuple[Way, ...] = get_args(Way)
MOST = QSize(1160, 400)  # of the three cards together
SIDE_PX = 18  # of the room beside a card's words
_PICTURES: dict[Way, PictureName] = {"template": "today", "write": "outline", "paste": "paste"}


def _title(way: Way) -> str:
    return {
        "template": _("Start a template now"),
        "write": _("Write my own"),
        "paste": _("Paste mine"),
    }[way]


def _about(way: Way) -> str:
    return {
        "template": _("A lesson that is ready. Look at it and press Start."),
        "write": _("One phase a line: Review 3. You see at once whether it fits."),
        "paste": _("From a document, a table or an e-mail, just as it is."),
    }[way]


class WayCard(QPushButton):
    """One way to begin: a button as large as its picture and words. ``stepped`` carries an arrow's way."""

    stepped = Signal(int)

    def __init__(self, way: Way) -> None:
        super().__init__()
        self.way = way
        self.setProperty("role", "way")
        self.setAutoDefault(True)
        self.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        number, title = str(WAYS.index(way) + 1), _title(way)
        named(self, f"{number} {title}")
        self.setAccessibleDescription(_about(way))
        self._about = label(_about(way), wrap=True)
        self._title = label(f"{number}  {title}", "large", bold=True, wrap=True)
        picture = SmallPicture(_PICTURES[way])
        for inside in (picture, self._title, self._about):
            inside.setAttribute(Qt.WidgetAttribute.WA_TransparentForMouseEvents)
        margins = SIDE_PX, 16, SIDE_PX, 18
        column_of((picture, 1), self._title, self._about, gap=10, inside=self, margins=margins)

    def sizeHint(self) -> QSize:
        layout = self.layout()
        return super().sizeHint() if layout is None else layout.sizeHint()

    def minimumSizeHint(self) -> QSize:
        layout = self.layout()
        return super().minimumSizeHint() if layout is None else layout.minimumSize()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Words keep their height: in little room the picture gives way."""
        super().resizeEvent(event)
        for words in (self._title, self._about):
            _keep_whole(words, self.width() - 2 * SIDE_PX)

    def keyPressEvent(self, event: QKeyEvent) -> None:
        steps = {Qt.Key.Key_Left: -1, Qt.Key.Key_Up: -1, Qt.Key.Key_Right: 1, Qt.Key.Key_Down: 1}
        step = steps.get(Qt.Key(event.key()))
        if step is None:
            super().keyPressEvent(event)
        else:
            self.stepped.emit(step)


def _keep_whole(words: QLabel, width: int) -> None:
    words.setMinimumHeight(max(0, words.heightForWidth(max(1, width))))


class FirstStartPage(QWidget):
    """``chosen`` carries the way to begin, one of ``WAYS``."""

    chosen = Signal(str)

    def __init__(self) -> None:
        super().__init__()
        self.setAccessibleName(_("How do you want to begin?"))
        self.cards = {way: WayCard(way) for way in WAYS}
        for number, (way, card) in enumerate(self.cards.items(), start=1):
            card.clicked.connect(self._on_clicked)
            card.stepped.connect(self._on_stepped)
            shortcut(str(number), self, self.cards[way].click)
        title = label(_("How do you want to begin?"), "title")
        about = label(_("Press 1, 2 or 3. The other two stay within reach."), "quiet")
        cards = QWidget()
        row_of(*((card, 1) for card in self.cards.values()), gap=20, inside=cards)
        cards.setMaximumSize(MOST)
        inner = QWidget()
        column_of(
            (row_of(STRETCH), 1),
            row_of(STRETCH, title, STRETCH),
            row_of(STRETCH, about, STRETCH),
            (row_of((cards, 100), gap=0), 6),
            (row_of(STRETCH), 2),
            gap=14,
            inside=inner,
            margins=(36, 12, 36, 20),
        )
        # In a window smaller than all this the page is scrolled: a page never makes its window grow.
        column_of(scrolled(inner, _("How do you want to begin?")), inside=self)
        self.setFocusProxy(self.cards["template"])

    def _on_clicked(self) -> None:
        card = self.sender()
        if isinstance(card, WayCard):
            self.chosen.emit(card.way)

    def _on_stepped(self, step: int) -> None:
        card = self.sender()
        if isinstance(card, WayCard):
            self.cards[WAYS[(WAYS.index(card.way) + step) % len(WAYS)]].setFocus()
