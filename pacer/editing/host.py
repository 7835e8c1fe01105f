"""What an outline under edit asks of the program around it: timers, the main thread, and ears."""

from collections.abc import Callable
from pathlib import Path
from typing import Protocol

from pacer.plan.draft.with_text import TypedDraft


class Timer(Protocol):
    """Calls once, some time after each start."""

    def start(self) -> None:
        """Begin to wait, anew if it waits already."""
        ...

    def stop(self) -> None:
        """Wait no longer."""
        ...


class Host(Protocol):
    """What an outline under edit asks of the program around it, and tells it.

    ``told`` gets the words of a notice, empty for none, and which: ``failed``, ``conflict``, ``slow`` or
    nothing; ``changed`` the sheet before, None for another outline.
    """

    def timer(self, ms: int, then: Callable[[], None]) -> Timer:
        """A timer that is not started yet."""
        ...

    def on_main(self, then: Callable[[], None]) -> None:
        """Call on the thread that edits, later; any thread may ask for it."""
        ...

    def tell_changed(self, before: TypedDraft | None) -> None:
        """The outline is another one now."""
        ...

    def tell(self, words: str, which: str) -> None:
        """There is something to tell, or nothing any more."""
        ...

    def tell_saved(self, path: Path) -> None:
        """A file was written."""
        ...
