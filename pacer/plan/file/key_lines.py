"""Which line of a TOML text holds which key, so that a problem can say where it is."""

from collections.abc import Callable
from pathlib import Path

from pacer.plan.bounded_file import UnreadableFileError, read_bounded
from pacer.plan.file.toml_places import places_in
from pacer.plan.finding import KeyPath

__all__ = ["KeyPath", "key_lines", "line_of", "lines_in"]

MOST_BYTES = 1_000_000


def key_lines(text: str) -> dict[KeyPath, int]:
    """Map each table, key and entry of an array (``("phase", 0, "budget")``) to its line, counted from 1."""
    return places_in(text).lines


def lines_in(path: Path) -> Callable[[KeyPath], int | None]:
    """What tells the line of a path in a file that was read a moment ago; None where it can't be read now."""
    try:
        text = read_bounded(path, MOST_BYTES).decode("utf-8-sig", "replace")
    except UnreadableFileError:
        text = ""
    lines = key_lines(text.replace("\r\n", "\n"))
    return lambda place: line_of(lines, place) if text else None


def line_of(lines: dict[KeyPath, int], path: KeyPath) -> int:
    """The line of a path, or of the nearest table around it."""
    while path not in lines and path:
        path = path[:-1]
    return lines.get(path, 1)
