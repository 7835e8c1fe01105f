"""Has words rendered by the system's voice beside the main thread, long before they are wanted."""

from collections.abc import Sequence
from threading import Event, Thread

from PySide6.QtCore import QObject, Signal

from pacer.earpiece.voice import SpeakTo, find_voice
from pacer.qt.kit.threads import tell_main


class Spoken(QObject):
    """Words by their text, as soon as they are rendered; none where the system has no voice for it."""

    _rendered = Signal(str, bytes)

    def __init__(
        self,
        texts: Sequence[str],
        level: int,
        voice: SpeakTo | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self._sounds: dict[str, bytes] = {}
        self._shut = Event()
        self._rendered.connect(self._on_rendered)
        found = voice or find_voice()
        if found is not None and texts:
            work = (found, tuple(texts), level, self._shut)
            Thread(target=self._render, args=work, name="words", daemon=True).start()

    def of(self, text: str) -> bytes:
        """The samples of a text, empty while there are none."""
        return self._sounds.get(text, b"")

    def shut(self) -> None:
        """Render no more."""
        self._shut.set()

    def _render(self, voice: SpeakTo, texts: tuple[str, ...], level: int, shut: Event) -> None:
        from pacer.earpiece.render_words import render

        for text in texts:
            samples = render(voice, text, level).tobytes()
            if shut.is_set():
                return
            tell_main(self._rendered, text, samples)

    def _on_rendered(self, text: str, samples: bytes) -> None:
        self._sounds[text] = samples
