"""The private window: its pages, and the Desk while a lesson runs. The program never moves it."""

from functools import reduce
from typing import TYPE_CHECKING

from PySide6.QtCore import QRect, QSize, Qt, Signal
from PySide6.QtGui import QCloseEvent, QGuiApplication, QKeySequence, QShortcut
from PySide6.QtWidgets import QButtonGroup, QStackedWidget, QToolButton, QWidget
from shiboken6 import isValid

from pacer.qt.kit.held_keys import HeldKeys
from pacer.qt.kit.rows import STRETCH, column_of, row_of
from pacer.qt.kit.style import wear
from pacer.qt.kit.widgets import TellsPlace, label
from pacer.text import _

if TYPE_CHECKING:
    from pacer.qt.desk.window import DeskView
    from pacer.qt.screens.curtain import Curtain


LEAST = QSize(900, 560)
PAGES = ("today", "week", "library", "outline", "split", "look back", "room")


def _page_title(page: str) -> str:
    return {
        "today": _("Today"),
        "week": _("Week"),
        "library": _("Library"),
        "outline": _("Outline"),
        "split": _("Split"),
        "look back": _("Look back"),
        "room": _("Room"),
    }[page]


def least_size() -> QSize:
    """How small this window can be made: no larger than the smallest screen, so that on a laptop at 150 or
    200 % nothing is beyond its edge."""
    return reduce(QSize.boundedTo, (screen.availableSize() for screen in QGuiApplication.screens()), LEAST)


class MainWindow(TellsPlace):
    """Pages under one row of names.

    ``page_asked`` carries the name of a page that is to be shown, one of ``PAGES``: all but Today are made
    when they are first wanted. ``closing`` carries the close event, which may be ignored.
    """

    page_asked = Signal(str)
    closing = Signal(object)

    def __init__(self, today: QWidget, *, demo: bool) -> None:
        super().__init__()
        self.setWindowTitle(_("Pacer, demo: invented lessons") if demo else _("Pacer"))
        self.setMinimumSize(least_size())
        self.desk: DeskView | None = None
        self.curtain: Curtain | None = None
        self.pages = QStackedWidget()
        self.pages.addWidget(today)
        self.held_keys = HeldKeys(self)
        self.today = today
        self._names = QWidget()
        self._group = QButtonGroup(self)
        self._group.idClicked.connect(self._on_name)
        self._shortcuts: list[QShortcut] = []
        self.names = {page: self._page_button(page, number) for number, page in enumerate(PAGES, start=1)}
        note = [label(_("Demo: not kept."), "quiet")] if demo else []
        row_of(*self.names.values(), STRETCH, *note, inside=self._names, margins=(36, 10, 36, 0))
        self.names["today"].setChecked(True)
        self._page_focus: QWidget | None = None
        self._frame_hidden = False
        self._browse = QWidget()
        column_of(self._names, (self.pages, 1), inside=self._browse)
        self._whole = QStackedWidget()
        self._whole.addWidget(self._browse)
        column_of(self._whole, inside=self)
        wear(self)

    def _page_button(self, page: str, number: int) -> QToolButton:
        button, keys = QToolButton(), f"Ctrl+{number}"
        button.setText(_page_title(page))
        button.setCheckable(True)
        button.setProperty("role", "page")
        button.setFocusPolicy(Qt.FocusPolicy.StrongFocus)
        button.setToolTip(keys)
        self._group.addButton(button, number)
        # The button's own: it rests while the button is out of sight, so no slip leaves a running lesson.
        shortcut = QShortcut(QKeySequence(keys), button)
        shortcut.activated.connect(button.click)
        self._shortcuts.append(shortcut)
        return button

    def _show(self, view: QWidget) -> None:
        """Show the pages, the Desk or the curtain. Pages out of sight have neither keyboard nor keys."""
        pages, lesson = view is self._browse, (self.desk, self.curtain)
        if not (view in lesson and self._whole.currentWidget() in lesson):
            self.held_keys.rest()  # the lesson's keys tell taps from holds themselves
        for shortcut in self._shortcuts:
            shortcut.setEnabled(pages)
        if pages:
            self._browse.setEnabled(True)
            self._whole.setCurrentWidget(view)
            had, self._page_focus = self._page_focus, None
            seen = had is not None and isValid(had) and had.isVisibleTo(self._browse)
            target = had if seen else self.pages.currentWidget()
            if target is not None:
                target.setFocus()
            return
        focus = self.focusWidget()
        if focus is not None and self._browse.isAncestorOf(focus):
            self._page_focus = focus
        self._whole.setCurrentWidget(view)
        self._browse.setEnabled(False)

    def _on_name(self, number: int) -> None:
        self.page_asked.emit(PAGES[number - 1])

    def show_today(self) -> None:
        self.show_page("today", self.today)

    def show_page(self, page: str, widget: QWidget) -> None:
        """Show a page by its name, taken in when it is first shown. No page lifts the curtain."""
        if self.pages.indexOf(widget) < 0:
            self.pages.addWidget(widget)
        if self._whole.currentWidget() is not self.curtain:
            self.show_pages()
        self.pages.setCurrentWidget(widget)
        self.names[page].setChecked(True)

    def add_curtain(self, curtain: "Curtain") -> None:
        """Take in the curtain; it may be there before the first page is on the screen."""
        self.curtain = curtain
        self._whole.addWidget(curtain)

    def add_desk(self, desk: "DeskView") -> None:
        """Take in the Desk; it is made after the first page is on the screen."""
        self.desk = desk
        self._whole.addWidget(desk)

    def show_pages(self) -> None:
        """Show the page that was shown last, with the keyboard where it was."""
        if self._whole.currentWidget() is not self._browse:
            self._show(self._browse)

    def show_desk(self) -> None:
        """Show the Desk and give it the keyboard."""
        if self.desk is not None:
            self._show(self.desk)
            self.desk.setFocus()

    def show_curtain(self, text: str) -> None:
        """Cover everything private with a plain page, before the next paint, and keep the keyboard."""
        if self.curtain is not None:
            self.curtain.say(text)
            self._show(self.curtain)
            self.curtain.setFocus()

    def hide_frame(self, hidden: bool) -> None:
        """Fill this window's own screen without a title bar, or have it back; nothing is moved elsewhere."""
        if hidden != self._frame_hidden:
            self._frame_hidden = hidden
            self.setWindowState(self.windowState() ^ Qt.WindowState.WindowFullScreen)

    def sentence_at(self) -> QRect:
        """Where on the desktop the curtain's sentence is; nowhere while it is not shown."""
        curtain = self.curtain
        return QRect() if curtain is None or not curtain.isVisible() else curtain.sentence_at()

    def show_over(self, view: QWidget) -> QWidget:
        """Cover everything with a view that is shown for a while. Returns what it covers."""
        covered = self._whole.currentWidget() or self._browse
        self._whole.addWidget(view)
        self._show(view)
        view.setFocus()
        return covered

    def take_off(self, view: QWidget, covered: QWidget) -> None:
        """Take a view of ``show_over`` away again, unless something else has been shown since."""
        if self._whole.currentWidget() is view:
            self._show(covered)
            covered.setFocus()
        self._whole.removeWidget(view)

    @property
    def shows_curtain(self) -> bool:
        return self.curtain is not None and self._whole.currentWidget() is self.curtain

    @property
    def shows_desk(self) -> bool:
        return self._whole.currentWidget() is self.desk

    def closeEvent(self, event: QCloseEvent) -> None:
        """Closing the private window closes the program, unless something would be lost."""
        event.accept()
        self.closing.emit(event)
