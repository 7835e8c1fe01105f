"""Where things stand in a TOML text: the line of every key, and what was opened and never closed."""

import re
import tomllib
from dataclasses import dataclass, field

from pacer.plan.finding import KeyPath

DEEPEST = 8  # no key of an outline lies deeper; what does is told at the table around it
_LONGEST_KEY = 200
# Possessive, so that no text makes the search go back.
_TOKEN = re.compile(
    r'(?P<long>"""(?:[^"\\]|\\[\s\S]|"{1,2}(?!"))*+"{3,5}'
    r"|'''(?:[^']|'{1,2}(?!'))*+'{3,5})"
    r"""|(?P<open>\"""[\s\S]*|'''[\s\S]*)"""
    r'|(?P<text>"(?:[^"\\\n]|\\[^\n])*+"'
    r"|'[^'\n]*+')"
    r"""|(?P<cut>["'][^\n]*)"""
    r"|(?P<comment>\#[^\n]*)|(?P<end>\n)|(?P<sign>[\[\]{}=,.])|(?P<bare>[^\s\[\]{}=,.\"'#]+)"
)


@dataclass(frozen=True)
class Opened:
    """Something that was opened in a line, counted from 1: a quote or a bracket, as it is written."""

    sign: str
    line: int


@dataclass
class _Bracket:
    """An array or an inline table that is open; ``at`` is the path of its next entry, or of its keys."""

    sign: str
    line: int
    at: KeyPath


@dataclass
class Places:
    """What a scan found: the line of each key and table, what is still open at the end, and long texts.

    ``long_texts`` gives of each text in three quotes that goes over several lines the first and the last.
    """

    lines: dict[KeyPath, int] = field(default_factory=lambda: {(): 1})
    still_open: Opened | None = None
    long_texts: list[tuple[int, int]] = field(default_factory=list)

    def add(self, path: KeyPath, line: int) -> None:
        """A path that is new brings the tables around it, which may have no header of their own."""
        for length in range(min(len(path), DEEPEST), 0, -1):
            if path[:length] in self.lines:
                break
            self.lines[path[:length]] = line


class _Scan:
    """Reads a text from its beginning to its end, once; it need not be valid TOML."""

    def __init__(self) -> None:
        self.places = Places()
        self._latest: dict[KeyPath, int] = {}  # the last index of each array of tables
        self._table: KeyPath = ()
        self._brackets: list[_Bracket] = []
        self._header = 0  # brackets before the name of a table
        self._is_key, self._parts, self._key_line = True, list[str](), 0
        self._value: KeyPath = ()

    def run(self, text: str) -> Places:
        line = 1
        for match in _TOKEN.finditer(text):
            kind, token = match.lastgroup or "", match[0]
            if kind == "open":
                self.places.still_open = Opened(token[:3], line)
                return self.places
            self._take(kind, token, line)
            if kind == "end":
                line += 1
            elif kind == "long" and (ends := token.count("\n")):
                self.places.long_texts.append((line, line + ends))
                line += ends
        if self._brackets:
            outermost = self._brackets[0]
            self.places.still_open = Opened(outermost.sign, outermost.line)
        return self.places

    def _take(self, kind: str, token: str, line: int) -> None:
        if kind == "end":
            if not self._brackets:
                self._begin_key()
        elif kind == "sign":
            self._take_sign(token, line)
        elif kind in ("text", "bare", "long", "cut"):
            if self._is_key:
                self._key_line = self._key_line or line
                if len(self._parts) <= DEEPEST:
                    self._parts.append(_name(token))
            elif self._brackets and line != self._brackets[-1].line:
                self.places.add(self._value, line)  # an entry of an array, told where the array is otherwise

    def _take_sign(self, sign: str, line: int) -> None:
        if self._is_key and not self._brackets and sign in "[]":
            self._take_header(sign)
        elif sign == "=" and self._is_key:
            self._value = self._within(tuple(self._parts))
            self.places.add(self._value, self._key_line or line)
            self._is_key = False
        elif sign in "[{":
            self.places.add(self._value, line)
            at = self._value if sign == "{" else _deeper(self._value, 0)
            self._brackets.append(_Bracket(sign, line, at))
            self._value = at
            self._is_key = False
            if sign == "{":
                self._begin_key()
        elif sign in "]}" and self._brackets:
            self._brackets.pop()
            self._is_key = False
        elif sign == "," and self._brackets:
            self._next_entry(self._brackets[-1])

    def _next_entry(self, bracket: _Bracket) -> None:
        if bracket.sign == "{":
            self._begin_key()
            return
        index = bracket.at[-1] if bracket.at else 0
        if isinstance(index, int) and len(bracket.at) < DEEPEST:
            bracket.at = (*bracket.at[:-1], index + 1)
        self._value = bracket.at

    def _begin_key(self) -> None:
        self._is_key, self._parts, self._key_line, self._header = True, [], 0, 0

    def _take_header(self, sign: str) -> None:
        if sign == "[":
            self._header += not self._parts
        elif self._parts and self._header:
            self._table = _table_path(self._parts, self._header > 1, self._latest)
            self.places.add(self._table, self._key_line)
            self._parts, self._header = [], 0

    def _within(self, parts: KeyPath) -> KeyPath:
        around = self._brackets[-1].at if self._brackets else self._table
        return (*around, *parts)[:DEEPEST]


def _deeper(path: KeyPath, step: str | int) -> KeyPath:
    return (*path, step)[:DEEPEST]


def _name(token: str) -> str:
    """The name that a part of a key says, out of its quotes."""
    if token[0] not in "\"'":
        return token[:_LONGEST_KEY]
    if "\\" in token and token[0] == '"' and len(token) <= _LONGEST_KEY:
        try:
            return str(tomllib.loads(f"k = {token}")["k"])
        except ValueError:
            pass
    return token[1:-1][:_LONGEST_KEY]


def _table_path(parts: list[str], is_array: bool, latest: dict[KeyPath, int]) -> KeyPath:
    """The path of a table from its header; ``latest`` keeps the last index of each array of tables."""
    path: KeyPath = ()
    for part in parts[:-1]:
        path = _deeper(path, part)
        if path in latest:
            path = _deeper(path, latest[path])
    path = _deeper(path, parts[-1])
    if not is_array:
        return path
    latest[path] = latest.get(path, -1) + 1
    return _deeper(path, latest[path])


def places_in(text: str) -> Places:
    """Scan a text once, in time and room in proportion to it, valid TOML or not. Never raises."""
    return _Scan().run(text)
