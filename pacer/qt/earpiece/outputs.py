"""The audio outputs of this computer, and a sound on one of them; which way depends on the system."""

import sys
from typing import Protocol

from PySide6.QtCore import QObject, QTimer, Signal, SignalInstance

from pacer.earpiece.outputs import Output
from pacer.earpiece.pulse import Pulse

NOTICE_MS = 250  # how soon a plug is noticed; the sound itself ends at once, whoever looks
BUSY_MS = 10  # while the server is asked or a sound is under way
AGAIN_MS = 2_000  # between looks for a server that is not there


class Outputs(Protocol):
    """What the player asks of a system; ``present`` is None until it is known."""

    @property
    def changed(self) -> SignalInstance:
        """Comes when the outputs change."""

    @property
    def present(self) -> tuple[Output, ...] | None:
        """The outputs there now."""

    def play(self, output: Output, pcm: bytes, rate_hz: int) -> bool:
        """Play 16-bit mono samples on this very output, in place of what plays; False if it is not there."""

    def stop(self) -> None:
        """Be silent."""

    def close(self) -> None:
        """Be silent for good."""


class PulseOutputs(QObject):
    """Those of PulseAudio, or of PipeWire in its place. Raises OSError where its library is missing."""

    changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self._timer = QTimer(self)
        self._timer.timeout.connect(self._turn)
        self._pulse = Pulse(self.changed.emit)
        self._timer.start(BUSY_MS)

    @property
    def present(self) -> tuple[Output, ...] | None:
        return self._pulse.outputs

    def play(self, output: Output, pcm: bytes, rate_hz: int) -> bool:
        self._pulse.turn()  # an output that has just gone is gone
        played = self._pulse.play(output, pcm, rate_hz)
        self._turn()
        return played

    def stop(self) -> None:
        self._pulse.stop()

    def close(self) -> None:
        self._timer.stop()
        self._pulse.close()

    def _turn(self) -> None:
        pulse = self._pulse
        if pulse.is_lost and self._timer.interval() == AGAIN_MS:
            told, pulse.outputs = pulse.outputs, None
            pulse.close()
            self._pulse = pulse = Pulse(self.changed.emit)
            pulse.outputs = told
        pulse.turn()
        busy = pulse.is_playing or pulse.outputs is None
        wanted_ms = AGAIN_MS if pulse.is_lost else (BUSY_MS if busy else NOTICE_MS)
        if self._timer.interval() != wanted_ms:
            self._timer.setInterval(wanted_ms)


def open_outputs(parent: QObject | None = None) -> Outputs:
    """The outputs of this system, where sound can be kept on one of them. Raises ImportError or OSError."""
    if sys.platform.startswith("linux"):
        return PulseOutputs(parent)
    from pacer.qt.earpiece.qt_outputs import QtOutputs

    return QtOutputs(parent)
