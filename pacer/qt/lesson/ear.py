"""Tells a running lesson's stages in the teacher's ear; made only where an earpiece is chosen."""

from typing import get_args

from PySide6.QtCore import QObject, QTimer
from shiboken6 import isValid

from pacer.earpiece.cues import EarCue
from pacer.earpiece.voice import SpeakTo
from pacer.frames.words.lesson.ear import all_ear_words, ear_words
from pacer.pace.ear_cues import EarCues
from pacer.pace.reading import Reading
from pacer.qt.earpiece.player import EarPlayer
from pacer.qt.earpiece.spoken import Spoken
from pacer.qt.lesson.lesson import Lesson
from pacer.settings.model import Settings


class LessonEar(QObject):
    """Listens to one lesson, until ``shut``. Sound is hers alone, so no screen and no curtain matters."""

    def __init__(
        self,
        lesson: Lesson,
        settings: Settings,
        player: EarPlayer,
        parent: QObject | None = None,
        voice: SpeakTo | None = None,
    ) -> None:
        super().__init__(parent)
        self.player = player
        player.setParent(self)
        self._lesson: Lesson | None = lesson
        self._level = settings.earpiece_level
        self._cues = EarCues()
        texts = all_ear_words(lesson.outline) if settings.earpiece_words else ()
        self.spoken = Spoken(texts, self._level, voice, self)
        self._unready: list[EarCue] = list(get_args(EarCue))
        QTimer.singleShot(0, self, self._prepare)
        lesson.looked.connect(self._on_looked)

    def _prepare(self) -> None:
        """One sound at a time: nothing else has to wait for all of them."""
        if self._unready and self._lesson is not None:
            self.player.prepare(self._unready.pop(0), self._level)
            QTimer.singleShot(0, self, self._prepare)

    def shut(self) -> None:
        """Be silent from now on."""
        lesson, self._lesson = self._lesson, None
        if lesson is not None and isValid(lesson):
            lesson.looked.disconnect(self._on_looked)
        self.spoken.shut()
        self.player.shut()

    def _on_looked(self, reading: Reading) -> None:
        cue = self._cues.due(reading)
        if cue is not None:
            self.player.play(cue, self._level, self.spoken.of(ear_words(cue, reading)))
