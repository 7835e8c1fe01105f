"""What is wrong with an outline's file as a whole, and its text set right without dropping a line of it."""

import codecs
import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from pacer.plan.draft.read_toml import draft_of, has_unknown_keys, tables_in
from pacer.plan.file.reader import MAX_BYTES, read_text
from pacer.plan.outline import Outline
from pacer.plan.problems import Problem
from pacer.plan.typed.read_typed import read_typed

# nothing: an empty file; list: lines as they are typed; fields: what stands in some fields won't do;
# text: its text can't be read as an outline's; foreign: nothing of an outline is in it.
Fault = Literal["nothing", "list", "fields", "text", "foreign"]
MOST_STEPS = 40
LEAST_PHASES = 2
_STRAIGHT = str.maketrans(
    {
        **dict.fromkeys("\u201c\u201d\u201e\u201f\u00ab\u00bb\u2033", '"'),
        **dict.fromkeys("\u2018\u2019\u2032", "'"),
        "\u00a0": " ",
        "\u200b": None,
        "\ufeff": None,
    }
)
_OURS = re.compile(
    r"^\s*(\[\[?\s*(phase|block|group|station)\b|format\s*=|budget\s*=|title\s*=)", re.MULTILINE
)
_VALUE = re.compile(r"^(\s*[A-Za-z_]\w*\s*=\s*)(.*?)\s*$")
_HEADING = re.compile(r"^\s*\[+\s*(phase\s*\.\s*burst|phase|block|group|station)\s*\]*\s*$")
_LISTS = {"phase", "group", "station", "phase.burst"}


@dataclass(frozen=True)
class Damage:
    """What is wrong with a file: its kind, the line in question where one is, and what stands there."""

    fault: Fault
    line: int | None = None
    shown: str = ""
    problems: tuple[Problem, ...] = ()


@dataclass(frozen=True)
class Mended:
    """A text that can be opened: how many lines were put right, and how many became remarks."""

    text: str
    righted: int = 0
    remarks: int = 0


def decoded(data: bytes) -> str:
    """A file's bytes as text, whichever program wrote them; never raises."""
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return data.decode("utf-16", "replace")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError:
        return data.decode("cp1252", "replace")


def damage_of(text: str, name: str = "outline.toml") -> Damage | None:
    """What is wrong with a file's text; None where it is a sound outline."""
    result = read_text(text, name)
    if isinstance(result, Outline):
        return None
    problems = tuple(result)
    if not text.strip():
        return Damage("nothing", problems=problems)
    lines = text.replace("\r\n", "\n").split("\n")
    line, shown = _place(problems, lines)
    tables = tables_in(text)
    is_ours = _OURS.search(text) is not None
    if tables is not None and is_ours:
        if shown.startswith("["):  # what is missing is told at the heading: no line to look at
            line, shown = _place([each for each in problems if not _is_heading(each, lines)], lines)
        return Damage("fields", line, shown, problems)
    if is_ours:
        return Damage("text", line, shown, problems)
    if tables is None and len(read_typed(text).phases) >= LEAST_PHASES and "\x00" not in text:
        return Damage("list", problems=problems)
    return Damage("foreign", problems=problems)


def damage_in(path: Path, data: bytes) -> Damage | None:
    """What is wrong with a file that holds these bytes; None where it is a sound outline."""
    damage = damage_of(decoded(data), str(path))
    if damage is None:  # sound, but another program may have saved it in its own way
        try:
            data.decode("utf-8")
        except UnicodeDecodeError:
            return Damage("text")
    return damage


def _place(problems: Sequence[Problem], lines: Sequence[str]) -> tuple[int | None, str]:
    """The line of the first problem, and what stands there."""
    line = problems[0].line if problems else None
    return line, lines[line - 1].strip() if line is not None and line <= len(lines) else ""


def _is_heading(problem: Problem, lines: Sequence[str]) -> bool:
    return _place([problem], lines)[1].startswith("[")


def mended(text: str) -> Mended | None:
    """The text set right so that it can be opened, every line of it still there; None where that fails.

    Values that won't do are left: they are shown in their fields.
    """
    if "\x00" in text or len(text) > MAX_BYTES:
        return None
    lines = text.replace("\r\n", "\n").replace("\r", "\n").split("\n")
    righted, remarks = set[int](), set[int]()
    for _step in range(MOST_STEPS):
        number = _first_fault("\n".join(lines))
        if number == 0:
            break
        if number is None or number > len(lines):
            return None
        better = _better(lines, number - 1)
        if better is not None:
            lines[number - 1] = better
            righted.add(number)
        elif lines[number - 1].lstrip().startswith("#"):
            return None
        else:
            lines[number - 1] = f"# {lines[number - 1]}"
            remarks.add(number)
            righted.discard(number)
    whole = "\n".join(lines)
    if _first_fault(whole) != 0 or not (tables_in(whole) or {}).get("phase"):
        return None
    if "format" not in (tables_in(whole) or {}):
        whole = f"format = 1\n{whole}"
    return Mended(whole, len(righted), len(remarks))


def _first_fault(text: str) -> int | None:
    """The line that keeps a text from being opened, 0 where none does, None where nobody can say."""
    tables = tables_in(text)
    problems = read_text(text, "")
    if isinstance(problems, Outline) or (tables is not None and not has_unknown_keys(tables)):
        return 0
    numbers = [problem.line for problem in problems if problem.line is not None]
    if tables is None:
        return next(iter(numbers), None)
    return next((number for number in numbers if _says_nothing(text, number)), 0)


def _says_nothing(text: str, number: int) -> bool:
    """Whether a line holds nothing that an outline under edit knows: without it the same is left."""
    lines = text.split("\n")
    lines[number - 1] = f"# {lines[number - 1]}"
    return draft_of("\n".join(lines)) == draft_of(text)


def _better(lines: list[str], at: int) -> str | None:
    """The first way to put a line right that moves the first fault further down; None where there is none."""
    before = _reach("\n".join(lines))
    for better in (change(lines[at]) for change in _CHANGES):
        if better != lines[at] and _reach("\n".join([*lines[:at], better, *lines[at + 1 :]])) > before:
            return better
    return None


def _reach(text: str) -> float:
    """How far a text can be read."""
    fault = _first_fault(text)
    return float("inf") if fault == 0 else -1.0 if fault is None else float(fault)


def _quoted(line: str) -> str:
    """The value of a key as a text between quotes, whatever quotes it has now."""
    match = _VALUE.match(line.translate(_STRAIGHT))
    if match is None:
        return line
    value = match[2].strip("\"'").replace("\\", "\\\\").replace('"', '\\"')
    return f'{match[1]}"{value}"'


def _with_key(line: str) -> str:
    """A key whose sign is a colon, as many write it."""
    match = re.match(r"^(\s*[A-Za-z_]\w*)\s*:\s*(.+?)\s*$", line)
    return line if match is None else _quoted(f"{match[1]} = {match[2]}")


def _heading(line: str) -> str:
    match = _HEADING.match(line)
    if match is None:
        return line
    name = re.sub(r"\s", "", match[1])
    return f"[[{name}]]" if name in _LISTS else f"[{name}]"


_CHANGES: tuple[Callable[[str], str], ...] = (
    lambda line: line.translate(_STRAIGHT), _heading, _quoted, _with_key,
)  # fmt: skip
