"""TOML text as whole lines under their headers: one can change while all others stay as they are."""

import re
import tomllib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import Any, Literal

from pacer.plan.draft.fields import Written

TomlLineKind = Literal["blank", "comment", "header", "key"]

_TOKEN = re.compile(
    r'"""(?:\\[\s\S]|[^\\])*?"{3,5}' r"|'''[\s\S]*?'{3,5}" r'|"(?:\\.|[^"\\\n])*"' r"|'[^'\n]*'"
    r"|(?P<comment>#[^\n]*)|(?P<end>\n)|(?P<open>[\[{])|(?P<close>[\]}])" r"|[^\"'#\n\[\]{}]+|[\s\S]"
)  # fmt: skip
LONGEST_CHANGED = 10_000  # the longest notes there may be, twice over
_LONE_END = re.compile(r"(?<!\r)\n")


@dataclass(frozen=True)
class TomlLine:
    """One line, or the several of a text or list in brackets, with its end; ``comments`` stand in it."""

    text: str
    kind: TomlLineKind
    comments: tuple[str, ...] = ()

    @cached_property
    def key(self) -> str:
        """The first part of the key of a ``key`` line; asked for once for every field of the table."""
        return str(next(iter(self.table)))

    @property
    def table(self) -> dict[str, Any]:
        """The line read alone."""
        return tomllib.loads(self.text.replace("\r\n", "\n"))


@dataclass
class Section:
    """A header with what stands under it. ``lead`` is what belongs to the header and stands above it."""

    path: tuple[str, ...] = ()
    is_array: bool = False
    lead: list[TomlLine] = field(default_factory=list)
    header: TomlLine | None = None
    body: list[TomlLine] = field(default_factory=list)

    @property
    def lines(self) -> list[TomlLine]:
        """All of it, in order."""
        return [*self.lead, *([self.header] if self.header else []), *self.body]

    def line_of(self, key: str) -> int | None:
        """Where in the body a key is written."""
        return next((at for at, line in enumerate(self.body) if line.kind == "key" and line.key == key), None)


def lines_of(text: str) -> list[TomlLine]:
    """The lines of a valid TOML text; joined again they are the text."""
    lines: list[TomlLine] = []
    start, depth, comments = 0, 0, list[str]()
    for token in _TOKEN.finditer(text):
        kind = token.lastgroup
        depth += (kind == "open") - (kind == "close")
        if kind == "comment":
            comments.append(token[0].strip())
        if kind == "end" and depth <= 0:
            lines.append(_line(text[start : token.end()], comments))
            start, depth, comments = token.end(), 0, []
    if start < len(text):
        lines.append(_line(text[start:], comments))
    return lines


def _line(text: str, comments: list[str]) -> TomlLine:
    kinds: dict[str, TomlLineKind] = {"": "blank", "#": "comment", "[": "header"}
    return TomlLine(text, kinds.get(text.strip()[:1], "key"), tuple(comments))


def sections_of(text: str) -> tuple[list[Section], list[TomlLine]]:
    """The sections of a valid TOML text, the root first, and the lines after the last of them."""
    sections = [Section()]
    for line in lines_of(text):
        if line.kind != "header":
            sections[-1].body.append(line)
            continue
        path, is_array = _header_path(line)
        lead = _cut_lead(sections[-1], is_end=False)
        sections.append(Section(path, is_array, lead, line))
    return sections, _cut_lead(sections[-1], is_end=True)


def _header_path(line: TomlLine) -> tuple[tuple[str, ...], bool]:
    table: Any = line.table
    path: list[str] = []
    while table:
        path.append(next(iter(table)))
        table = table[path[-1]]
        table = table[0] if isinstance(table, list) else table
    return tuple(path), line.text.lstrip().startswith("[[")


def _cut_lead(section: Section, *, is_end: bool) -> list[TomlLine]:
    """Take from a body's end what belongs to the header below: from the first blank line on.

    Comments without a blank line on either side belong to the header; at the end of the text, to the table
    above. Comments at the head of the text, before any key, are about the whole of it and stay there.
    """
    body = section.body
    blanks = [n for n, line in enumerate(body) if line.kind == "blank"]
    behind_keys = max(
        (n + 1 for n, line in enumerate(body) if line.kind not in ("blank", "comment")), default=0
    )
    if behind_keys or section.header is not None:
        at = next((n for n in blanks if n >= behind_keys), len(body) if is_end else behind_keys)
    else:
        at = len(body) if is_end else max((n + 1 for n in blanks), default=0)
    lead, section.body = body[at:], body[:at]
    return lead


def free_comments(lead: Sequence[TomlLine]) -> list[TomlLine]:
    """Of the lines above a header, those that a blank line parts from it; nothing without a comment.

    Where there is no blank line at all they may as well be about what stands above.
    """
    last = max((at for at, line in enumerate(lead) if line.kind == "blank"), default=len(lead) - 1)
    free = list(lead[: last + 1])
    return free if any(line.kind == "comment" for line in free) else []


def as_comments(line: TomlLine, end: str) -> list[TomlLine]:
    """The comments of a line that goes, as lines of their own."""
    indent = line.text[: len(line.text) - len(line.text.lstrip())] if line.kind != "comment" else ""
    return [TomlLine(f"{indent}{comment}{end}", "comment", (comment,)) for comment in line.comments]


def commented_out(line: TomlLine, end: str) -> list[TomlLine]:
    """A line that goes, kept whole as comments."""
    comments = (f"# {part}".rstrip() for part in line.text.strip().split("\n"))
    return [TomlLine(f"{part}{end}", "comment", (part,)) for part in comments]


def changed_line(line: TomlLine, key: str, value: Written, end: str) -> list[TomlLine]:
    """A line with another value; its key, blanks and comment stay.

    A list over several lines, and a very long line, which tomlkit takes seconds over, are written anew below
    their comments.
    """
    if len(line.text) > LONGEST_CHANGED or (isinstance(value, list) and "\n" in line.text.strip()):
        indent = line.text[: len(line.text) - len(line.text.lstrip())]
        return [*as_comments(line, end), new_line(key, value, end, indent)]
    import tomlkit

    document = tomlkit.parse(line.text)
    document[key] = tomlkit.value(_literal(value))
    return [TomlLine(_with_ends(tomlkit.dumps(document), end), "key", line.comments)]


def new_line(key: str, value: Written, end: str, indent: str = "") -> TomlLine:
    """A line for a key that wasn't written before."""
    return TomlLine(_with_ends(f"{indent}{key} = {_literal(value)}\n", end), "key")


def with_line_end(line: TomlLine, end: str) -> TomlLine:
    """The line with an end, which the last one of a text may lack."""
    return line if line.text.endswith("\n") else TomlLine(line.text + end, line.kind, line.comments)


def _with_ends(text: str, end: str) -> str:
    return text if end == "\n" else _LONE_END.sub(end, text)


def _literal(value: Written) -> str:
    if isinstance(value, list):
        return f"[{', '.join(map(_literal, value))}]"
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int):
        return str(value)
    if value.isprintable() and '"' not in value and "\\" not in value:
        return f'"{value}"'  # most texts: no need to wake tomlkit
    import tomlkit

    value = value.encode("utf-8", "replace").decode("utf-8")
    if "\n" in value and "\r" not in value:
        # A line end right after the quotes is no part of the value. A sign in its place keeps tomlkit, whose
        # releases differ there, from putting one in or losing one.
        raw = tomlkit.string("x" + value, multiline=True).as_string()
        return raw.replace("x", "\n", 1)
    return tomlkit.string(value).as_string()


def fresh_text(tables: Mapping[str, Any], end: str = "\n") -> str:
    """A whole new file from its tables."""
    block = table_text("[block]", tables["block"], end) if tables["block"] else ""
    listed = (table_text(f"[[{key}]]", of, end) for key in ("group", "station") for of in tables[key])
    phases = (phase_text(phase, end) for phase in tables["phase"])
    return "".join([_keys_text(tables, end), block, *listed, *phases])


def phase_text(phase: Mapping[str, Any], end: str, blank: bool = True) -> str:
    """A phase's table with its bursts."""
    bursts = (table_text("[[phase.burst]]", burst, end, blank) for burst in phase["burst"])
    return "".join([table_text("[[phase]]", phase, end, blank), *bursts])


def table_text(header: str, table: Mapping[str, Any], end: str, blank: bool = True) -> str:
    """A table with its header, and a blank line above."""
    return f"{end if blank else ''}{header}{end}{_keys_text(table, end)}"


def _keys_text(table: Mapping[str, Any], end: str) -> str:
    return "".join(new_line(key, of, end).text for key, of in table.items() if not _holds_tables(of))


def _holds_tables(value: object) -> bool:
    return isinstance(value, dict) or (isinstance(value, list) and all(isinstance(of, dict) for of in value))
