"""Which line of a TOML text holds which key, so that a problem can say where it is."""

import re

Path = tuple[str | int, ...]

_HEADER = re.compile(r"^\s*(\[{1,2})\s*([^\[\]#]+?)\s*\]{1,2}\s*(?:#.*)?$")
_KEY = re.compile(r"""^\s*((?:[\w-]+|"[^"]*"|'[^']*')(?:\s*\.\s*(?:[\w-]+|"[^"]*"|'[^']*'))*)\s*=""")


def _parts(dotted: str) -> list[str]:
    return [part.strip().strip("\"'") for part in dotted.split(".")]


class _Tables:
    """Follows table headers and counts the entries of arrays of tables."""

    def __init__(self) -> None:
        self.counts: dict[Path, int] = {}

    def enter(self, parts: list[str], is_array: bool) -> Path:
        path: Path = ()
        for part in parts[:-1]:
            path = (*path, part)
            if path in self.counts:
                path = (*path, self.counts[path])
        path = (*path, parts[-1])
        if is_array:
            self.counts[path] = self.counts.get(path, -1) + 1
            path = (*path, self.counts[path])
        return path


def key_lines(text: str) -> dict[Path, int]:
    """Map each table and key path (``("phase", 0, "budget")``) to its line, counted from 1.

    A plain scan, not a parser: the text is known to be valid TOML. Lines inside a multi-line
    string are passed over; keys inside an inline table fall back to the line of the table.
    """
    tables = _Tables()
    found: dict[Path, int] = {(): 1}
    current: Path = ()
    fence = ""
    for number, line in enumerate(text.split("\n"), start=1):
        if fence:
            fence = "" if line.count(fence) % 2 else fence
            continue
        if match := _HEADER.match(line):
            current = tables.enter(_parts(match[2]), match[1] == "[[")
            found.setdefault(current, number)
        elif match := _KEY.match(line):
            found.setdefault((*current, *_parts(match[1])), number)
            rest = line[match.end() :]
            fence = next((mark for mark in ('"""', "'''") if rest.count(mark) % 2), "")
    return found


def line_of(lines: dict[Path, int], path: Path) -> int:
    """The line of a path, or of the nearest table around it."""
    while path not in lines and path:
        path = path[:-1]
    return lines.get(path, 1)
