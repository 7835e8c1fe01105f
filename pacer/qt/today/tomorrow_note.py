"""Shows on Today, once it can be seen, what the lessons before leave to it; passes the note's tick on."""

from PySide6.QtCore import QObject, QTimer

from pacer.editing.carried_over import CarriedOver
from pacer.editing.first_group import FirstGroup
from pacer.editing.tomorrow_note import TomorrowNote
from pacer.log.database import LogError
from pacer.qt.screens.private_window import MainWindow
from pacer.qt.today.page import TodayPage

READ_AFTER_MS = 50  # once Today can be seen


class TomorrowNoteKeeper(QObject):
    """Connects the note to its row on Today; a window whose first page is another one has no such row."""

    def __init__(
        self,
        window: MainWindow,
        note: TomorrowNote,
        first_group: FirstGroup,
        carried: CarriedOver,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._pages, self._note = window.pages, note
        self._first_group, self._carried = first_group, carried
        if isinstance(window.today, TodayPage):
            self._today = window.today
            self._today.tomorrow_note_row.ticked.connect(self._on_ticked)
            window.pages.currentChanged.connect(self._on_page)
            QTimer.singleShot(READ_AFTER_MS, self, self._on_page)

    def _on_page(self) -> None:
        if self._pages.currentWidget() is self._today:
            self._today.tomorrow_note_row.show_note(self._note.text())
            self._carried.forget()
            self._today.show_before_lesson(self._first_group.words, self._carried.words)

    def _on_ticked(self, done: bool) -> None:
        try:
            self._note.tick(done)
        except LogError as error:
            self._today.tomorrow_note_row.tick(not done)
            self._today.show_notice(str(error))
