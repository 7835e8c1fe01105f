"""What an outline under edit asks of the program around it: timers, the main thread, and ears."""

from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Protocol


class Timer(Protocol):
    """Calls once, some time after each start."""

    def start(self) -> None:
        """Begin to wait, anew if it waits already."""

    def stop(self) -> None:
        """Wait no longer."""


@dataclass(frozen=True)
class Host:
    """The program around an outline under edit.

    ``timer`` makes a timer, not started, that calls after so many ms; ``on_main`` calls later on the thread
    that edits, whichever thread asks. ``changed`` is called when the outline is another one, ``saved`` when a
    file was written, ``told`` with the words of a notice, empty for none, and which it is: ``failed``,
    ``conflict``, ``slow``, ``copied`` or nothing.
    """

    timer: Callable[[int, Callable[[], None]], Timer]
    on_main: Callable[[Callable[[], None]], None]
    changed: Callable[[], None]
    told: Callable[[str, str], None]
    saved: Callable[[Path], None]
