"""Groups and stations as the teacher edits them: a line each, with bars between what is said of one."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import islice
from typing import TypeVar

from pacer.plan.draft.draft import Draft, DraftGroup, DraftStation
from pacer.plan.draft.fields import GROUP_FIELDS, STATION_FIELDS, problem_with, tidied
from pacer.plan.draft.read_toml import MOST_LISTED
from pacer.plan.outline import MAX_GROUPS
from pacer.text import _

LISTED_FIELDS = ("named_groups", "stations")
TEACHER = "true"
_BAR = "|"
_OTHERS = ("teacher", "true")  # whatever the language of the screen
Listed = TypeVar("Listed", DraftGroup, DraftStation)


def listed_text(draft: Draft, name: str) -> str:
    """The lines of ``named_groups`` or ``stations``."""
    if name == "stations":
        return "\n".join(map(station_line, draft.stations))
    return "\n".join(map(group_line, draft.named_groups))


def group_line(group: DraftGroup) -> str:
    """``Circle | carpet | circle.png``, without what is not written."""
    return _joined([group.name, group.place, group.picture])


def station_line(station: DraftStation) -> str:
    """``Our table | two words | table.png | teacher``, without what is not written."""
    mark = {TEACHER: _("teacher"), "false": ""}.get(station.teacher, station.teacher)
    parts = [station.name, station.words, station.picture, mark]
    # A picture of that name would be read as the mark where it stands last.
    return _joined(parts) + (f" {_BAR}" if not mark and _is_mark(station.picture) else "")


def set_listed(draft: Draft, name: str, text: str) -> tuple[Draft, str]:
    """Write the lines of ``named_groups`` or ``stations``. Returns the draft, and what is wrong or nothing.

    Lines that are as they were keep what stands in the file, to the sign.
    Of a page that was pasted by mistake no more is kept than a draft can be opened with. Raises KeyError.
    """
    if name == "stations":
        stations = _rows(text, draft.stations, station_line, _station)
        return replace(draft, stations=stations), _wrong(text, stations, STATION_FIELDS, "station")
    if name != "named_groups":
        raise KeyError(name)
    groups = _rows(text, draft.named_groups, group_line, _group)
    return replace(draft, named_groups=groups), _wrong(text, groups, GROUP_FIELDS, "group")


def says_listed(draft: Draft, name: str, text: str) -> bool:
    """Whether lines say what a draft holds already, whatever their blanks."""
    changed, _words = set_listed(draft, name, text)
    return bool(getattr(changed, name) == getattr(draft, name))


def _rows(
    text: str, before: Sequence[Listed], line_of: Callable[[Listed], str], read: Callable[[str], Listed]
) -> tuple[Listed, ...]:
    waiting: dict[str, list[Listed]] = {}
    for row in before:
        waiting.setdefault(line_of(row), []).append(row)
    lines = filter(None, _lines(text))
    return tuple(
        waiting[line].pop(0) if waiting.get(line) else read(line) for line in islice(lines, MOST_LISTED)
    )


def _lines(text: str) -> list[str]:
    return [" ".join(line.split()) for line in tidied("notes", text).split("\n")]


def _group(line: str) -> DraftGroup:
    return DraftGroup(*_parts(line, len(GROUP_FIELDS)))


def _station(line: str) -> DraftStation:
    parts = [part.strip() for part in line.split(_BAR)]
    if len(parts) == len(STATION_FIELDS) - 1 and _is_mark(parts[-1]):
        parts.insert(-1, "")  # no picture is called so: its name has an ending
    name, words, picture, mark = _parts(f" {_BAR} ".join(parts), len(STATION_FIELDS))
    return DraftStation(name, words, picture, TEACHER if _is_mark(mark) else mark)


def _is_mark(text: str) -> bool:
    return text.casefold() in (*_OTHERS, _("teacher").casefold())


def _parts(line: str, many: int) -> list[str]:
    parts = [part.strip() for part in line.split(_BAR, many - 1)]
    parts[-1] = parts[-1].strip(f" {_BAR}")  # bars too many say nothing
    return [*parts, *[""] * (many - len(parts))]


def _joined(parts: Sequence[str]) -> str:
    """The parts with bars between, on one line, without bars at its end; never an empty line."""
    line = f" {_BAR} ".join(parts)
    return " ".join(line.split()).rstrip(f" {_BAR}") or _BAR


def _wrong(text: str, rows: Sequence[object], names: Sequence[str], part: str) -> str:
    if (many := sum(map(bool, _lines(text)))) > MAX_GROUPS:
        words = _("There are {n} lines here; a lesson has {most} at most. Take some out.")
        return words.format(n=many, most=MAX_GROUPS)
    found = (problem_with(name, getattr(row, name), part) for row in rows for name in names)
    return next(filter(None, found), "")
