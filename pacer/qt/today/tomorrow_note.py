"""Shows the note for tomorrow on Today, once the page can be seen, and passes its tick on."""

from PySide6.QtCore import QObject, QTimer

from pacer.editing.tomorrow_note import TomorrowNote
from pacer.log.database import LogError
from pacer.qt.screens.private_window import MainWindow
from pacer.qt.today.page import TodayPage

READ_AFTER_MS = 50  # once Today can be seen


class ThingKeeper(QObject):
    """Between a note and the Today page of a window; a window without one has no row for it."""

    def __init__(self, window: MainWindow, note: TomorrowNote, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._window, self._note = window, note
        if isinstance(window.today, TodayPage):
            window.today.thing_row.ticked.connect(self._on_ticked)
            window.pages.currentChanged.connect(self._on_page)
            QTimer.singleShot(READ_AFTER_MS, self, self._on_page)

    def _on_page(self) -> None:
        today = self._window.today
        if isinstance(today, TodayPage) and self._window.pages.currentWidget() is today:
            today.thing_row.show_thing(self._note.text())

    def _on_ticked(self, done: bool) -> None:
        today = self._window.today
        if not isinstance(today, TodayPage):
            return
        try:
            self._note.tick(done)
        except LogError as error:
            today.thing_row.tick(not done)
            today.show_notice(str(error))
