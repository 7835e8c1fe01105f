"""Which line of a TOML text holds which key, so that a problem can say where it is."""

from pacer.plan.file.toml_places import KeyPath, places_in

__all__ = ["KeyPath", "key_lines", "line_of"]


def key_lines(text: str) -> dict[KeyPath, int]:
    """Map each table, key and entry of an array (``("phase", 0, "budget")``) to its line, counted from 1."""
    return places_in(text).lines


def line_of(lines: dict[KeyPath, int], path: KeyPath) -> int:
    """The line of a path, or of the nearest table around it."""
    while path not in lines and path:
        path = path[:-1]
    return lines.get(path, 1)
