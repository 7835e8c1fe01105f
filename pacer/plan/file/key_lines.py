"""Which line of a TOML text holds which key, so that a problem can say where it is."""

import re

KeyPath = tuple[str | int, ...]

# No part can match what the next one matches, so no line is tried twice over.
_HEADER = re.compile(r"^\s*+(\[{1,2})([^\[\]#]++)\]{1,2}\s*+$")
_KEY = re.compile(r"""^\s*+((?:[\w-]++|"[^"]*"|'[^']*')(?:\s*+\.\s*+(?:[\w-]++|"[^"]*"|'[^']*'))*+)\s*+=""")
_STRING_OR_COMMENT = re.compile(
    r'"""(?:\\[\s\S]|[^\\])*?"{3,5}' r"|'''[\s\S]*?'{3,5}" r'|"(?:\\.|[^"\\\n])*"' r"|'[^'\n]*'|#[^\n]*"
)
_DEEPEST = 8
_BRACKET = re.compile(r"[\[\]{}]")


def _parts(dotted: str) -> list[str]:
    return [part.strip().strip("\"'") for part in dotted.split(".")]


def _table_path(parts: list[str], is_array: bool, latest: dict[KeyPath, int]) -> KeyPath:
    """The path of a table from its header; ``latest`` keeps the last index of each array of tables."""
    path: KeyPath = ()
    for part in parts[:-1]:
        path = (*path, part)
        if path in latest:
            path = (*path, latest[path])
    path = (*path, parts[-1])
    if not is_array:
        return path
    latest[path] = latest.get(path, -1) + 1
    return (*path, latest[path])


def _blanked(match: re.Match[str]) -> str:
    """What is left of a string or comment: its lines, and quotes around short text, which may be a key."""
    token = match[0]
    if token.startswith("#"):
        return ""
    if token.startswith(('"""', "'''")):
        return '""' + "\n" * token.count("\n")
    return token[0] + _BRACKET.sub("_", token[1:-1]).replace("=", "_") + token[-1]


def _add_path(lines: dict[KeyPath, int], path: KeyPath, number: int) -> None:
    """A path that is new brings the tables around it, which may have no header of their own."""
    for length in range(1, min(len(path), _DEEPEST) + 1):
        lines.setdefault(path[:length], number)


def key_lines(text: str) -> dict[KeyPath, int]:
    """Map each table and key path (``("phase", 0, "budget")``) to its line, counted from 1.

    A plain scan, not a parser: the text is known to be valid TOML. Strings and comments are blanked
    first; lines inside brackets are passed over, and keys there fall back to the line of the table.
    """
    latest: dict[KeyPath, int] = {}
    lines: dict[KeyPath, int] = {(): 1}
    current: KeyPath = ()
    depth = 0
    for number, line in enumerate(_STRING_OR_COMMENT.sub(_blanked, text).split("\n"), start=1):
        if depth == 0 and (match := _HEADER.match(line)):
            current = _table_path(_parts(match[2]), match[1] == "[[", latest)
            _add_path(lines, current, number)
            continue
        if depth == 0 and (match := _KEY.match(line)):
            _add_path(lines, (*current, *_parts(match[1])), number)
        depth += sum(1 if bracket in "[{" else -1 for bracket in _BRACKET.findall(line))
    return lines


def line_of(lines: dict[KeyPath, int], path: KeyPath) -> int:
    """The line of a path, or of the nearest table around it."""
    while path not in lines and path:
        path = path[:-1]
    return lines.get(path, 1)
