"""Plays cues on the one chosen output or not at all, and says why when there is nothing to hear."""

from collections.abc import Callable
from contextlib import suppress

from PySide6.QtCore import QObject, Signal

from pacer.earpiece.cues import EarCue
from pacer.earpiece.outputs import Output, is_there
from pacer.earpiece.patterns import RATE_HZ, pattern
from pacer.qt.earpiece.outputs import Outputs, open_outputs
from pacer.text import _

NOWHERE = Output("", "")
# Silence before each cue: what is wireless or saves power takes a moment to wake, and would swallow the first
# tone. How long is our own guess, without a source; a cue begins within half a second of its stage.
LEAD_S = 0.2
GAP_S = 0.15  # between a pattern and words


class EarPlayer(QObject):
    """``trouble`` says why a cue would not be heard, in plain words, and is empty while it would be.

    ``outputs_changed`` comes when outputs come or go, ``trouble_changed`` when ``trouble`` changes.
    """

    outputs_changed = Signal()
    trouble_changed = Signal()

    def __init__(
        self,
        chosen: Output = NOWHERE,
        opened: Callable[[QObject], Outputs] | None = None,
        parent: QObject | None = None,
    ) -> None:
        super().__init__(parent)
        self.trouble = ""
        self._chosen = chosen
        self._sounds: dict[tuple[EarCue, int], bytes] = {}
        self._outputs: Outputs | None = None
        with suppress(ImportError, OSError):  # a system without a sound library
            self._outputs = (opened or open_outputs)(self)
            self._outputs.changed.connect(self._on_outputs)
        self._look()

    @property
    def present(self) -> tuple[Output, ...] | None:
        """The outputs there now; None while that is not known yet."""
        return () if self._outputs is None else self._outputs.present

    def choose(self, output: Output) -> None:
        """Play on another output from now on; what plays ends."""
        if output != self._chosen and self._outputs is not None:
            self._outputs.stop()
        self._chosen = output
        self._look()

    def prepare(self, cue: EarCue, level: int) -> bytes:
        """The sound of a cue, worked out if it was not yet; so it can come at once when it is wanted."""
        if (cue, level) not in self._sounds:
            self._sounds[cue, level] = bytes(2 * round(LEAD_S * RATE_HZ)) + pattern(cue, level).tobytes()
        return self._sounds[cue, level]

    def play(self, cue: EarCue, level: int, words: bytes = b"") -> bool:
        """Play a cue at a level in percent, and words after it, on the chosen output; False if it is gone."""
        if self._outputs is None or not is_there(self._chosen, self.present or ()):
            return False
        gap = bytes(2 * round(GAP_S * RATE_HZ)) if words else b""
        return self._outputs.play(self._chosen, self.prepare(cue, level) + gap + words, RATE_HZ)

    def shut(self) -> None:
        """Be silent and look no more."""
        outputs, self._outputs = self._outputs, None
        if outputs is not None:
            outputs.changed.disconnect(self._on_outputs)
            outputs.close()

    def _on_outputs(self) -> None:
        self._look()
        self.outputs_changed.emit()

    def _look(self) -> None:
        present = self.present
        trouble = ""
        if self._chosen != NOWHERE and present is not None and not is_there(self._chosen, present):
            trouble = _("Earpiece: {name} is not there. No cue is heard.", name=self._chosen.name)
        if trouble != self.trouble:
            self.trouble = trouble
            self.trouble_changed.emit()
