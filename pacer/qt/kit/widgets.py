"""Small helpers that make labelled, named widgets the same way everywhere."""

from collections.abc import Callable, Iterable, Sequence
from typing import TypeVar

from PySide6.QtCore import QEvent, QSignalBlocker, Qt, Signal
from PySide6.QtGui import (
    QGuiApplication,
    QKeyEvent,
    QKeySequence,
    QMoveEvent,
    QResizeEvent,
    QShortcut,
    QShowEvent,
)
from PySide6.QtWidgets import (
    QAbstractItemView,
    QComboBox,
    QHeaderView,
    QLabel,
    QPushButton,
    QScrollArea,
    QSizePolicy,
    QSpinBox,
    QTableWidget,
    QTableWidgetItem,
    QWidget,
)

from pacer.qt.kit import theme
from pacer.qt.kit.rows import RIGHT

FRAME_PX = 40  # of the title of a window
_SIZES = {"title": 30, "large": 20}
_Widget = TypeVar("_Widget", bound=QWidget)


def named(widget: _Widget, name: str) -> _Widget:
    """Give a widget the name a screen reader says; returns the widget."""
    widget.setAccessibleName(name)
    return widget


def label(
    text: str = "", role: str = "", *, bold: bool = False, wrap: bool = False, of: QWidget | None = None
) -> QLabel:
    """Plain text (HTML is shown as text), in one of the sheet's roles.

    ``of`` is the field that the label names: it gets the keyboard when the letter marked by "&" is pressed.
    """
    words = QLabel(text)
    words.setTextFormat(Qt.TextFormat.PlainText)
    words.setWordWrap(wrap)
    if role:
        words.setProperty("role", role)
    if bold or role in _SIZES:
        weight = theme.SEMIBOLD if bold or role == "title" else theme.REGULAR
        words.setFont(theme.font(_SIZES.get(role, 15), weight))
    if not wrap:
        words.setSizePolicy(QSizePolicy.Policy.Preferred, QSizePolicy.Policy.Fixed)
    if of is not None:
        words.setBuddy(of)
    return words


def set_look(widget: QWidget, name: str, value: object) -> None:
    """Give a widget a property that the sheet asks for; Qt looks it up anew only when it is told to."""
    if widget.property(name) != value:
        widget.setProperty(name, value)
        widget.style().unpolish(widget)
        widget.style().polish(widget)


def notice() -> QLabel:
    """A framed line for what must not be missed, hidden until ``show_words`` says something in it."""
    line = label("", "notice", wrap=True)
    line.hide()
    return line


def show_words(line: QLabel, words: str) -> None:
    """Say something in a label that is hidden while there is nothing to say."""
    line.setText(words)
    line.setVisible(bool(words))


def button(
    text: str, on_click: Callable[[], object] | None = None, role: str = "", tip: str = ""
) -> QPushButton:
    """A button that Tab reaches and Return presses. ``on_click`` is a bound method."""
    push = QPushButton(text)
    push.setAutoDefault(True)
    if on_click is not None:
        push.clicked.connect(on_click)
    if role:
        push.setProperty("role", role)
    if tip:
        push.setToolTip(tip)
        push.setAccessibleDescription(tip)
    return push


def fill_choices(box: QComboBox, choices: Iterable[tuple[str, object]], chosen: object = None) -> None:
    """Put (words, value) pairs into a list in place of what it held, without a signal.

    The value ``chosen`` is chosen, or the first where there is none such.
    """
    values = []
    with QSignalBlocker(box):
        box.clear()
        for words, value in choices:
            box.addItem(words, value)
            values.append(value)
        box.setCurrentIndex(values.index(chosen) if chosen in values else 0)


def spin_box(value: int, least: int, most: int, name: str, unit: str = "") -> QSpinBox:
    """A field for a whole number from ``least`` to ``most``; ``unit`` stands behind it."""
    spin = named(QSpinBox(), name)
    spin.setRange(least, most)
    spin.setSuffix(unit)
    spin.setValue(value)
    spin.lineEdit().setTextMargins(8, 0, 8, 0)
    return spin


def shortcut(keys: str, owner: QWidget, act: Callable[[], object], *, in_children: bool = True) -> QShortcut:
    """A key that acts while ``owner``, or a widget in it, has the keyboard.

    Without ``in_children`` it acts for the owner alone, and once for a key that is held down.
    """
    key = QShortcut(QKeySequence(keys), owner)
    if in_children:
        key.setContext(Qt.ShortcutContext.WidgetWithChildrenShortcut)
    else:
        key.setContext(Qt.ShortcutContext.WidgetShortcut)
        key.setAutoRepeat(False)
    key.activated.connect(act)
    return key


def scrolled(body: QWidget | None, name: str) -> QScrollArea:
    """A widget that is scrolled where its window is too low for it; Tab goes to what is in it."""
    area = named(QScrollArea(), name)
    area.setFrameShape(QScrollArea.Shape.NoFrame)
    area.setWidgetResizable(True)
    area.setFocusPolicy(Qt.FocusPolicy.NoFocus)
    if body is not None:
        area.setWidget(body)
    return area


def application() -> QGuiApplication:
    """The running application, for its signals."""
    running = QGuiApplication.instance()
    assert isinstance(running, QGuiApplication)
    return running


def fit_to_screen(dialog: QWidget, width: int, height: int) -> None:
    """Give a dialog its size, or as much of it as its screen has; a frame takes some of that."""
    screen = dialog.screen().availableGeometry().size()
    dialog.resize(min(width, screen.width() - 20), min(height, screen.height() - FRAME_PX))


class PlainTable(QTableWidget):
    """A table to read, not to write in, with the name that a screen reader says."""

    def __init__(self, name: str, headings: tuple[str, ...]) -> None:
        super().__init__(0, len(headings))
        self.setAccessibleName(name)
        self.setHorizontalHeaderLabels(list(headings))
        self.setEditTriggers(QAbstractItemView.EditTrigger.NoEditTriggers)
        self.setTabKeyNavigation(False)  # Tab goes on to the page; arrow keys move among the cells
        self.setSelectionBehavior(QAbstractItemView.SelectionBehavior.SelectRows)
        self.setShowGrid(False)
        self.verticalHeader().hide()
        header = self.horizontalHeader()
        header.setSectionResizeMode(QHeaderView.ResizeMode.ResizeToContents)
        header.setStretchLastSection(True)
        header.setDefaultAlignment(Qt.AlignmentFlag.AlignLeft | Qt.AlignmentFlag.AlignVCenter)

    def stretch(self, column: int) -> None:
        """Let one column take the room that is left."""
        self.horizontalHeader().setStretchLastSection(False)
        self.horizontalHeader().setSectionResizeMode(column, QHeaderView.ResizeMode.Stretch)

    def show_rows(self, rows: Sequence[Sequence[str]], right: tuple[int, ...] = ()) -> None:
        """Show other rows; the columns named in ``right``, figures, are aligned right, heading and all."""
        self.setRowCount(len(rows))
        for row, texts in enumerate(rows):
            for column, text in enumerate(texts):
                item = QTableWidgetItem(text)
                if column in right:
                    item.setTextAlignment(RIGHT)
                self.setItem(row, column, item)
        for column in right if rows else ():
            heading = self.horizontalHeaderItem(column)
            if heading is not None:
                heading.setTextAlignment(RIGHT)


# Not by event filters: one in Python is called for every event of its widget, at every second for its paint.


def nobody(_event: QKeyEvent) -> bool:
    """Take no key."""
    return False


class KeysFirst(QWidget):
    """``take_key`` is asked of each key that goes down or up; what it takes goes no further."""

    def __init__(self, parent: QWidget | None = None) -> None:
        super().__init__(parent)
        self.take_key: Callable[[QKeyEvent], bool] = nobody

    def keyPressEvent(self, event: QKeyEvent) -> None:
        """Offer it first."""
        if not self.take_key(event):
            super().keyPressEvent(event)

    def keyReleaseEvent(self, event: QKeyEvent) -> None:
        """Offer it first."""
        if not self.take_key(event):
            super().keyReleaseEvent(event)


class TellsPlace(KeysFirst):
    """``placed`` comes when it is shown, moved, resized, minimized or the like, before its next paint."""

    placed = Signal()

    def showEvent(self, event: QShowEvent) -> None:
        """It has come."""
        super().showEvent(event)
        self.placed.emit()

    def moveEvent(self, event: QMoveEvent) -> None:
        """It may be on another screen."""
        super().moveEvent(event)
        self.placed.emit()

    def resizeEvent(self, event: QResizeEvent) -> None:
        """It may reach onto another screen."""
        super().resizeEvent(event)
        self.placed.emit()

    def changeEvent(self, event: QEvent) -> None:
        """It may have been minimized, or be back."""
        super().changeEvent(event)
        if event.type() == QEvent.Type.WindowStateChange:
            self.placed.emit()
