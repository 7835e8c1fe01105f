"""What an empty page shows: a sentence that says what will be there, a picture of it, and the one action."""

from PySide6.QtCore import QEvent, QObject, Qt, Signal
from PySide6.QtGui import QResizeEvent
from PySide6.QtWidgets import QBoxLayout, QSizePolicy, QWidget

from pacer.qt.kit import theme
from pacer.qt.kit.empty.pictures import PictureName, SmallPicture
from pacer.qt.kit.rows import STRETCH, column_of, row_of, turn
from pacer.qt.kit.widgets import button, label, named, show_words

WORDS_PX = 560  # a sentence wider than this is hard to read
SIDE_PX = 24
LOW_PX = 210  # of a view; below it there is no room for a picture


class EmptyPage(QWidget):
    """Calm and the same on every page. ``asked`` comes with its one action.

    Without words for an action there is no button, where only time fills the page. ``tip`` names the
    action's key. Who shows it gives it the keyboard with ``setFocus``: that goes to the button.
    """

    asked = Signal()

    def __init__(self, sentence: str, picture: PictureName, action: str = "", *, tip: str = "") -> None:
        super().__init__()
        self.sentence = label("", "large", wrap=True)
        self.sentence.setAlignment(Qt.AlignmentFlag.AlignCenter)
        self.sentence.setMaximumWidth(WORDS_PX)
        self.sentence.setSizePolicy(QSizePolicy.Policy.Expanding, QSizePolicy.Policy.Preferred)
        self.picture = SmallPicture(picture)
        self.button = button(action, self.asked.emit, tip=tip)
        if action:
            self.setFocusProxy(self.button)
        else:
            self.button.hide()  # and never shown before it has a parent: that would be a window
        column_of(
            (row_of(STRETCH), 1),
            (self.picture, 4),
            row_of((self.sentence, 100), gap=0),
            row_of(STRETCH, self.button, STRETCH),
            (row_of(STRETCH), 2),
            gap=20,
            inside=self,
            margins=(SIDE_PX, 12, SIDE_PX, 12),
        )
        self.say(sentence)

    def say(self, sentence: str) -> None:
        """Say something else, and be called by it."""
        show_words(self.sentence, sentence)
        named(self, sentence)
        self._make_room()

    def resizeEvent(self, event: QResizeEvent) -> None:
        super().resizeEvent(event)
        self._make_room()

    def _make_room(self) -> None:
        """Set the sentence's least height: Qt cuts wrapped words off where the picture could give way."""
        wide = max(1, min(WORDS_PX, self.width() - 2 * SIDE_PX))
        self.sentence.setMinimumHeight(max(0, self.sentence.heightForWidth(wide)))


class EmptyOver(EmptyPage):
    """An empty page over a view of nothing, such as a table, as large as it; in a low one without picture."""

    def __init__(
        self, view: QWidget, sentence: str, picture: PictureName, action: str, *, tip: str = ""
    ) -> None:
        super().__init__(sentence, picture, action, tip=tip)
        self.setParent(view)
        self.setAttribute(Qt.WidgetAttribute.WA_StyledBackground)  # what is below it is not seen
        view.installEventFilter(self)
        self.hide()

    def show_if(self, empty: bool) -> None:
        """Cover the view while it is empty."""
        view = self.parentWidget()
        if view is not None:
            self.setGeometry(view.rect())
        self.setVisible(empty)
        self.raise_()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """Without room for a picture the button stands beside the sentence."""
        low = event.size().height() < LOW_PX
        self.picture.setVisible(not low)
        layout = self.layout()
        if isinstance(layout, QBoxLayout):
            turn(layout, stacked=not low)
            layout.setContentsMargins(SIDE_PX, 0 if low else 12, SIDE_PX, 0 if low else 12)
        self.sentence.setFont(theme.font(15 if low else 20))
        super().resizeEvent(event)

    def eventFilter(self, watched: QObject, event: QEvent) -> bool:
        if event.type() == QEvent.Type.Resize and isinstance(watched, QWidget):
            self.setGeometry(watched.rect())
        return False
