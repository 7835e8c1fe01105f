"""The fields of an outline being edited: which there are, what each accepts, and how it is written."""

import re
from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError

from pacer.plan.file.model import (
    BlockTable,
    BurstTable,
    FileTable,
    GroupTable,
    OutlineTable,
    PhaseTable,
    StationTable,
)
from pacer.plan.file.problem_words import describe
from pacer.plan.finding import KeyPath
from pacer.plan.kinds import KindName
from pacer.text import _

Written = str | int | list[str]

HEAD_FIELDS = ("title", "subject", "unit", "table_list")
BLOCK_FIELDS = tuple(BlockTable.model_fields)
PHASE_FIELDS = (
    "id", "title", "kind", "budget", "floor", "cap", "cap_group", "cut_tier", "movable", "talk", "examples",
    "class_line", "second_line", "notes", "problem", "attach", "page", "wall",
)  # fmt: skip
BURST_FIELDS = tuple(BurstTable.model_fields)
GROUP_FIELDS = tuple(GroupTable.model_fields)
STATION_FIELDS = tuple(StationTable.model_fields)

_COUNTS = frozenset({"cut_tier", "examples", "page", "groups"})
_TIMES = frozenset(
    {
        "budget", "floor", "cap", "length", "minutes", "mini_lesson", "move", "swap", "clean_up", "share",
        "share_floor", "visit_floor",
    }
)  # fmt: skip
_NAMES = frozenset({"order"})  # a list of names, a comma between two
_YES_NO = {"true": True, "false": False}
_MARKS = frozenset({"teacher"})
_WORDS = frozenset({"id", "kind", "movable", "talk", "wall"}) | _COUNTS | _TIMES
_MOST_DIGITS = 9
# What each table needs beside the field that is asked about.
_PARTS: dict[str, tuple[type[FileTable], KeyPath, dict[str, Any]]] = {
    "outline": (OutlineTable, (), {"format": 1, "title": "T", "phase": [{"title": "T", "budget": "1"}]}),
    "block": (BlockTable, ("block",), {}),
    "phase": (PhaseTable, ("phase", 0), {"title": "T", "budget": "1"}),
    "burst": (BurstTable, ("phase", 0, "burst", 0), {}),
    "group": (GroupTable, ("group", 0), {"name": "T"}),
    "station": (StationTable, ("station", 0), {"name": "T"}),
}


def tidied(field: str, text: str) -> str:
    """A text as it is kept: line ends as ``\\n``, no half characters, no blanks around figures and words."""
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    text = text.encode("utf-8", "replace").decode("utf-8") if not text.isascii() else text
    if field in _NAMES:
        return ", ".join(names_in(text))
    if field not in _WORDS:
        return text
    text = text.strip()
    return str(int(text)) if field in _COUNTS and text.isdecimal() and len(text) <= _MOST_DIGITS else text


def names_in(text: str) -> list[str]:
    """The names of a list as it is edited, a comma or a line end between two."""
    names = (" ".join(name.split()) for name in re.split(r"[,\n]", text))
    return [name for name in names if name]


def value_of(field: str, text: str, like: object = None) -> Written:
    """What stands in the file for a text. ``like`` is the value before: bare figures stay bare.

    A text that should be a number and is none is written as text, so that reading tells the teacher.
    """
    if field in _NAMES:
        return names_in(text)
    if field in _MARKS and text in _YES_NO:
        return _YES_NO[text]
    bare = field in _COUNTS or field == "minutes" or (field in _TIMES and isinstance(like, int))
    if bare and text.isascii() and text.isdecimal() and len(text) <= _MOST_DIGITS and str(int(text)) == text:
        return int(text)
    return text


def text_of(value: object) -> str:
    """A value of the file as the teacher sees it; nothing where there is none."""
    if isinstance(value, str):
        return value
    if isinstance(value, list):
        return ", ".join(map(text_of, value))
    return "" if value is None else str(value).lower() if isinstance(value, bool) else str(value)


def is_as_written(field: str, text: str, value: object) -> bool:
    """Whether the file's value is this text already, and of a type that the reader takes."""
    if text_of(value) != text:
        return False
    if value is None:
        return True
    if isinstance(value, bool):
        return field in _MARKS
    if field in _NAMES:
        return isinstance(value, list) and all(isinstance(name, str) for name in value)
    fits = isinstance(value, str)
    if field in _COUNTS:
        fits = isinstance(value, int)
    elif field in _TIMES:
        fits = isinstance(value, str | int | float)
    return fits or value == value_of(field, text)


def problem_with(field: str, text: str, part: str = "phase") -> str:
    """What is wrong with one field alone, in plain words and with what to do; empty where it will do.

    ``part`` is ``outline``, ``block``, ``phase``, ``burst``, ``group`` or ``station``. Nothing typed yet is
    no problem here.
    """
    if not text:
        return ""
    table, loc, rest = _PARTS[part]
    value = value_of(field, text)
    try:
        table.model_validate({**rest, field: value})
    except ValidationError as error:
        for entry in error.errors(include_url=False):
            if entry["loc"][:1] == (field,):
                return _words({**entry, "loc": (*loc, *entry["loc"])}, field, value)
    return ""


def _words(entry: Mapping[str, Any], field: str, value: Written) -> str:
    what, fix = describe(entry)
    if field in _COUNTS and isinstance(value, str):
        fix = _("Write a whole number, such as 2.")
    return f"{what} {fix}".strip()


def kind_or_nothing(kind: str) -> str:
    """A kind as it is written: the one that an outline means anyway isn't."""
    usual: KindName = PhaseTable.model_fields["kind"].default
    return "" if kind == usual else kind
