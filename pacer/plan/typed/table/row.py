"""One row of a table read by the roles of its columns."""

from dataclasses import replace

from pacer.plan.kinds import KINDS
from pacer.plan.typed.durations_in_text import Timing
from pacer.plan.typed.line import ParsedLine, read_line, take_time
from pacer.plan.typed.line_time import is_not_known_yet, read_time
from pacer.plan.typed.plain_signs import shadow
from pacer.plan.typed.vocabulary import BEFORE_TIME, TOTAL_WORDS, folded, guess_kind
from pacer.text import _

Roles = dict[int, str]
_BEFORE_TIME = BEFORE_TIME | {"up", "to", "cerca", "de"}


def read_row(old: ParsedLine, cells: list[str], roles: Roles, labels: dict[int, str]) -> ParsedLine:
    """One row read by the roles of its columns; what has no role is a note, so that nothing is lost."""
    line = ParsedLine(old.number, old.raw, old.clean, is_row=True, doubts=[*old.kept_doubts])
    cell_of = {role: cells[at] for at, role in roles.items() if at < len(cells)}
    line.title = line.words = cell_of.get("title", "")
    line.class_line = cell_of.get("class_line", "")
    extra = [
        f"{labels[at]}: {cell}" if at in labels else cell
        for at, cell in enumerate(cells)
        if cell and (at not in roles or roles[at] == "notes")
    ]
    _take_kind(line, cell_of.get("kind", ""), extra)
    _take_clocks(line, cell_of)
    _take_minutes(line, cell_of, extra)
    line.notes = "\n".join(extra)
    _mark_total(line)
    return line


def _take_kind(line: ParsedLine, cell: str, extra: list[str]) -> None:
    kind = KINDS.get("-".join(cell.lower().split()))
    if kind is not None:
        line.kind = kind.name
    elif cell:
        line.kind = guess_kind(cell)
        extra.append(cell)


def _take_clocks(line: ParsedLine, cell_of: dict[str, str]) -> None:
    start, end = read_line(0, cell_of.get("start", "")), read_line(0, cell_of.get("end", ""))
    if start.start_min is not None:
        line.start_min, line.end_min = start.start_min, start.end_min
    elif start.lead_min is not None:
        line.start_min, line.end_min = start.lead_min, end.lead_min
    line.is_surely_clock = line.start_min is not None


def _take_minutes(line: ParsedLine, cell_of: dict[str, str], extra: list[str]) -> None:
    cell = cell_of.get("minutes") or cell_of.get("seconds") or ""
    timing = _time_in(cell, "min" if cell_of.get("minutes") else "s") if cell else None
    if timing is not None:
        line.start_min = line.end_min = None
        line.timing, line.seconds, line.has_time = timing, timing.seconds, True
        line.doubts += timing.doubts
    elif cell and not is_not_known_yet(shadow(cell)) and cell.strip("-–— "):
        inside = read_line(0, cell)
        extra.append(cell)
        if inside.timing is not None and inside.timing.is_plain:
            line.timing, line.seconds, line.has_time = inside.timing, inside.seconds, True
            line.doubts.append(_("There is more than a time in the column of minutes."))
    elif not cell and line.start_min is None:
        timing = read_time(shadow(line.title))
        if timing is not None and (timing.is_plain or not cell_of.keys() & {"minutes", "seconds"}):
            old_class_line = line.class_line
            take_time(line, line.title, shadow(line.title))
            extra[:0] = [line.class_line] if old_class_line and line.class_line else []
            line.class_line = old_class_line or line.class_line


def _time_in(cell: str, unit: str) -> Timing | None:
    """What a cell holds, in the unit of its column; a word before the number says that it is rough."""
    words = cell.split()
    while words and folded(words[0]) and set(folded(words[0])) <= _BEFORE_TIME:
        words.pop(0)
    bare = " ".join(words)
    timing = (only_time(bare) if unit == "min" else None) or only_time(f"{bare} {unit}")
    if timing is None or timing.doubts or bare == " ".join(cell.split()):
        return timing
    return replace(timing, doubts=(_("A rough time: it is taken as it stands."),))


def _mark_total(line: ParsedLine) -> None:
    words = folded(line.title) or folded(line.notes)
    if line.has_time and words and words[0] in TOTAL_WORDS and len(words) <= 2:
        line.notes = ""
    if (line.has_time and not words and not line.notes) or (words and words[0] in TOTAL_WORDS):
        line.what, line.said_s = "total", line.seconds


def only_time(cell: str) -> Timing | None:
    """The time that a cell holds and nothing else."""
    low = shadow(cell)
    timing = read_time(low)
    return timing if timing is not None and not any(map(str.isalnum, timing.without(low))) else None
