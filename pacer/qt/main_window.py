"""The private window: its pages, and the Desk while a lesson runs. The program never moves it."""

from typing import TYPE_CHECKING

from PySide6.QtCore import Qt, Signal
from PySide6.QtGui import QCloseEvent, QKeySequence, QShortcut
from PySide6.QtWidgets import QButtonGroup, QHBoxLayout, QStackedWidget, QToolButton, QVBoxLayout, QWidget

from pacer.qt.widgets import label
from pacer.text import _

if TYPE_CHECKING:
    from pacer.qt.curtain import Curtain
    from pacer.qt.desk_window import DeskView


class MainWindow(QWidget):
    """Pages under one row of names. ``look_back_asked`` comes when that page is about to be shown."""

    look_back_asked = Signal()
    closing = Signal()

    def __init__(self, today: QWidget, *, demo: bool) -> None:
        super().__init__()
        self.setWindowTitle(_("Pacer, demo: invented lessons") if demo else _("Pacer"))
        self.setMinimumSize(900, 560)
        self.desk: DeskView | None = None
        self.curtain: Curtain | None = None
        self.pages = QStackedWidget()
        self.pages.addWidget(today)
        self.today = today
        self._look_back: QWidget | None = None
        self._names = QWidget()
        row = QHBoxLayout(self._names)
        row.setContentsMargins(36, 10, 36, 0)
        self._group = QButtonGroup(self)
        self.today_name = self._page_button(_("Today"), "Ctrl+1")
        self.look_back_name = self._page_button(_("Look back"), "Ctrl+2")
        for name in (self.today_name, self.look_back_name):
            row.addWidget(name)
        row.addStretch(1)
        if demo:
            row.addWidget(label(_("Demo: everything here is invented, and nothing is kept."), "quiet"))
        self.today_name.setChecked(True)
        self.today_name.clicked.connect(self.show_today)
        self.look_back_name.clicked.connect(self.look_back_asked.emit)
        self._browse = QWidget()
        browse = QVBoxLayout(self._browse)
        browse.setContentsMargins(0, 0, 0, 0)
        browse.addWidget(self._names)
        browse.addWidget(self.pages, 1)
        self._whole = QStackedWidget()
        self._whole.addWidget(self._browse)
        layout = QVBoxLayout(self)
        layout.setContentsMargins(0, 0, 0, 0)
        layout.addWidget(self._whole)

    def _page_button(self, title: str, keys: str) -> QToolButton:
        button = QToolButton()
        button.setText(title)
        button.setCheckable(True)
        button.setProperty("role", "page")
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        button.setToolTip(keys)
        self._group.addButton(button)
        shortcut = QShortcut(QKeySequence(keys), self)
        shortcut.activated.connect(button.click)
        return button

    def show_today(self) -> None:
        """Show the Today page."""
        self._whole.setCurrentWidget(self._browse)
        self.pages.setCurrentWidget(self.today)
        self.today_name.setChecked(True)

    def show_look_back(self, page: QWidget) -> None:
        """Show the Look back page, which is made when it is first wanted."""
        if self._look_back is None:
            self._look_back = page
            self.pages.addWidget(page)
        self._whole.setCurrentWidget(self._browse)
        self.pages.setCurrentWidget(page)
        self.look_back_name.setChecked(True)

    def add_lesson_views(self, desk: "DeskView", curtain: "Curtain") -> None:
        """Take in the Desk and the curtain; they are made after the first page is on the screen."""
        self.desk, self.curtain = desk, curtain
        self._whole.addWidget(desk)
        self._whole.addWidget(curtain)

    def show_desk(self) -> None:
        """Show the Desk and give it the keyboard."""
        if self.desk is not None:
            self._whole.setCurrentWidget(self.desk)
            self.desk.setFocus()

    def show_curtain(self, text: str) -> None:
        """Cover everything private with a plain page, before the next paint, and keep the keyboard."""
        if self.curtain is not None:
            self.curtain.say(text)
            self._whole.setCurrentWidget(self.curtain)
            self.curtain.setFocus()

    @property
    def shows_desk(self) -> bool:
        """Whether the Desk is what this window shows."""
        return self._whole.currentWidget() is self.desk

    def closeEvent(self, event: QCloseEvent) -> None:
        """Closing the private window closes the program; every event is on disk already."""
        self.closing.emit()
        event.accept()
