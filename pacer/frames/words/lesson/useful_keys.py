"""Which keys do something at an instant: what the Desk lists when it is asked for them."""

from pacer.commands import Key, LessonPart, named_keys
from pacer.pace.reading import Reading
from pacer.run.machine import decide
from pacer.run.refusal import Refusal
from pacer.text import _

KeyLines = tuple[tuple[str, str], ...]
"""Labels of keys, each with what it does."""


def useful_keys(
    reading: Reading, part: LessonPart, undo_since_ms: int | None, *, clicker_blanks: bool = False
) -> KeyLines:
    """Every key that would be followed now. ``undo_since_ms``: since when the press that undo means is over,
    None where there is nothing to undo."""
    found = [
        (_(key.label), _(title))
        for key, title in named_keys(part, clicker_blanks=clicker_blanks)
        if _works(reading, key, undo_since_ms)
    ]
    if part == "over":
        found.append((_("Enter"), _("close the lesson")))
    return tuple(found)


def keys_before_start() -> KeyLines:
    """What starts a lesson that is ready."""
    return ((_("Space"), _("start")), (_("Page Down"), _("start")))


def _works(reading: Reading, key: Key, undo_since_ms: int | None) -> bool:
    if key.tries[0][0] == "undo":
        return undo_since_ms is not None and (key.within_ms is None or undo_since_ms <= key.within_ms)
    return any(_would_do(reading, command, argument) for command, argument in key.tries)


def _would_do(reading: Reading, command: str, argument: str) -> bool:
    state = reading.state
    if command == "take" and reading.left_ms <= 0:
        return False
    return not isinstance(decide(state, command, argument, reading.now_ms), Refusal)
