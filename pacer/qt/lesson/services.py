"""What stands by while a lesson is on the screens: its pictures, and care for laptop, battery and tone."""

from collections.abc import Iterator

from PySide6.QtCore import QObject, Qt, QTimer

from pacer.frames.wall import PictureKey
from pacer.qt.attachments.cache import PictureShelf
from pacer.qt.lesson.care import LessonCare
from pacer.qt.lesson.lesson import Lesson
from pacer.qt.wall.pictures import no_picture
from pacer.qt.wall.window import Wall

CARE_AFTER_MS = 400  # what it loads must not keep the first frame of a lesson waiting
AHEAD_STEP_MS = 20  # between two texts that are drawn ahead, so that a press comes between


class LessonServices(QObject):
    """Serves one lesson at a time, from ``begin`` to ``end``."""

    def __init__(self, wall: Wall, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._wall = wall
        self.care = LessonCare(parent=self)
        self.shelf = PictureShelf(self)
        self.shelf.arrived.connect(wall.full.picture_arrived)
        # Not at once: the Wall may be in the middle of painting.
        self.shelf.arrived.connect(self._on_arrived, Qt.ConnectionType.QueuedConnection)
        self._lesson: Lesson | None = None
        self._steps: Iterator[None] = iter(())
        self._ahead = QTimer(self)
        self._ahead.setInterval(AHEAD_STEP_MS)
        self._ahead.timeout.connect(self._draw_ahead)

    def begin(self, lesson: Lesson) -> None:
        """Serve a lesson that is about to be shown."""
        self.end()
        self._lesson = lesson
        if lesson.outline.shown_files:
            self.shelf.open(lesson.outline)
            self._wall.full.pictures = self.shelf.picture
            lesson.pages_of = self.shelf.pages_of
            lesson.followed.connect(self._expect)
            self._expect()
        lesson.started.connect(self._begin_ahead)
        QTimer.singleShot(CARE_AFTER_MS, self, self._begin_care)

    def end(self) -> None:
        """Stop serving; the laptop may sleep, and no picture is kept."""
        self._lesson = None
        self._ahead.stop()
        self.care.detach()
        self.shelf.close()
        self._wall.full.pictures = no_picture

    def _on_arrived(self, _key: PictureKey) -> None:
        if self._lesson is not None:
            self._lesson.tell_of_files(self.shelf.unreadable)

    def _begin_care(self) -> None:
        if self._lesson is not None:
            self.care.attach(self._lesson, self._lesson.settings)
            self._begin_ahead()

    def _begin_ahead(self) -> None:
        """Once in a lesson, while nobody waits: draw the words of its phases, which then come at once."""
        if self._lesson is not None and self._lesson.is_running and self._wall.full.isVisible():
            self._steps = self._each_text(self._lesson)
            self._ahead.start()

    def _draw_ahead(self) -> None:
        if next(self._steps, True) is True:
            self._ahead.stop()

    def _each_text(self, lesson: Lesson) -> Iterator[None]:
        for index in range(len(lesson.outline.phases)):
            if lesson.is_running and lesson.session.state.index is not None:
                yield from self._wall.full.draw_ahead(lesson.frame_at(index))

    def _expect(self) -> None:
        """Have the pictures of this phase and the next drawn before they are wanted."""
        lesson, full = self._lesson, self._wall.full
        if lesson is not None:
            state = lesson.session.state
            ratio, index, phase = full.devicePixelRatioF(), state.index or 0, state.phase
            lines = ("", "") if phase is None else (phase.class_line, phase.second_line)
            size = full.picture_size(lesson.wall_frame.edge, lines)
            self.shelf.expect(index, size, ratio, full.sign_size())
