"""Keeps what was taken from elsewhere and is no outline yet: neither a crash nor a closed window loses it."""

from pathlib import Path

from pacer.run.clock import Clock
from pacer.settings.folders import own_elsewhere
from pacer.settings.recovery import Recovery


class TakenStore:
    """One text in the data folder, for its owner only, in the form of a recovery file."""

    def __init__(self, data: Path, clock: Clock, elsewhere: Path | None = None) -> None:
        self._clock = clock
        self._path = data / "taken"
        self._recovery = Recovery(self._path, elsewhere or own_elsewhere() / "taken")

    def keep(self, text: str) -> str:
        """Put a text in the place of the one before; a notice where that can't be done as it should."""
        return self._recovery.keep(self._path, text, "", self._clock.now().utc_ms).notice

    def kept(self) -> str:
        """The text that was kept, empty where there is none."""
        return next((kept.text for kept in self._recovery.all()), "")

    def drop(self) -> None:
        """Keep nothing any more."""
        self._recovery.drop(self._path)
