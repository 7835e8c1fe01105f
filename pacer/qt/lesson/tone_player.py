"""Plays the tone. Qt's sound is loaded only when the first tone is prepared; no failure gets past here."""

from pathlib import Path
from typing import TYPE_CHECKING

from PySide6.QtCore import QLoggingCategory, QObject, QTemporaryDir, QUrl, Signal

from pacer.settings.whole_file import write_whole
from pacer.text import _

if TYPE_CHECKING:
    from PySide6.QtMultimedia import QSoundEffect


def _no_sound() -> str:
    return _("No tone: this laptop has nothing to play it on.")


class TonePlayer(QObject):
    """Plays the tone without making anybody wait for it.

    ``trouble`` says why there is no sound, in plain words, empty while there is none to tell;
    ``trouble_changed`` comes when it changes.
    """

    trouble_changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.trouble = ""
        self._folder: QTemporaryDir | None = None
        self._effect: QSoundEffect | None = None
        self._level = 0

    def prepare(self, level: int) -> None:
        """Load what playing at ``level`` percent needs, so that the tone itself comes at once."""
        try:
            self._set_trouble(self._load(level))
        except (ImportError, OSError):
            # A system without a sound library, or a full disk.
            self._set_trouble(_no_sound())

    def play(self, level: int) -> None:
        """Play the tone once at ``level`` percent of its full amplitude."""
        self.prepare(level)
        if self._effect is not None and not self.trouble:
            self._effect.play()

    def _load(self, level: int) -> str:
        """Make ready the output and the tone's file; returns what is wrong."""
        # The teacher is told in a line of the window; Qt's own words about sound are no use to her.
        QLoggingCategory.setFilterRules("qt.multimedia.*=false")
        from PySide6.QtMultimedia import QMediaDevices, QSoundEffect

        output = QMediaDevices.defaultAudioOutput()
        if output.isNull():
            return _no_sound()
        if self._effect is None:
            self._effect = QSoundEffect(output, self)
            self._effect.statusChanged.connect(self._on_status)
        elif self._effect.audioDevice() != output:
            self._effect.setAudioDevice(output)  # another loudspeaker since then
        if level != self._level:
            self._effect.setSource(QUrl.fromLocalFile(str(self._file_of(level))))
            self._level = level
        return _no_sound() if self._effect.status() == QSoundEffect.Status.Error else ""

    def _file_of(self, level: int) -> Path:
        """The tone at a level as a file, written once and deleted with the player. Raises OSError."""
        from pacer.tone import tone_wav

        if self._folder is None:
            self._folder = QTemporaryDir()
        path = Path(self._folder.path()) / f"tone-{level}.wav"
        if not path.exists():
            write_whole(path, tone_wav(level))
        return path

    def _on_status(self) -> None:
        from PySide6.QtMultimedia import QSoundEffect

        if self._effect is not None and self._effect.status() == QSoundEffect.Status.Error:
            self._set_trouble(_no_sound())

    def _set_trouble(self, trouble: str) -> None:
        if trouble != self.trouble:
            self.trouble = trouble
            self.trouble_changed.emit()
