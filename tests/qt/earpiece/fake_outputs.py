"""Outputs that come and go as a test says, and note what is played on them."""

from PySide6.QtCore import QObject, Signal

from pacer.earpiece.cues import EarCue
from pacer.earpiece.outputs import Output
from pacer.earpiece.patterns import RATE_HZ, pattern

EARBUD, SPEAKERS = Output("usb-1", "Earbud"), Output("card-0", "Speakers")
HDMI = Output("card-0.hdmi", "HDMI Audio")


def played_bytes(cue: EarCue, level: int) -> bytes:
    """What is played for a cue: a fifth of a second of silence, then its pattern."""
    return bytes(2 * RATE_HZ // 5) + pattern(cue, level).tobytes()


class FakeOutputs(QObject):
    """As the player asks for them; ``made`` lists all that were opened in a test."""

    changed = Signal()
    made: "list[FakeOutputs]" = []  # noqa: RUF012 - emptied before each test
    there: "tuple[Output, ...] | None" = ()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        self.present = type(self).there
        self.played: list[tuple[Output, bytes]] = []
        self.stops = 0
        self.is_closed = False
        self.made.append(self)

    def play(self, output: Output, pcm: bytes, rate_hz: int) -> bool:
        self.played.append((output, pcm))
        return rate_hz == 48_000

    def stop(self) -> None:
        self.stops += 1

    def close(self) -> None:
        self.is_closed = True

    def now(self, *present: Output) -> None:
        """These are there from now on."""
        self.present = present
        self.changed.emit()
