"""Rows copied from a word processor or a spreadsheet: which column is the title, which the minutes."""

import re
from itertools import pairwise

from pacer.plan.kinds import KINDS
from pacer.plan.typed.durations_in_text import Timing, is_not_known_yet, read_time
from pacer.plan.typed.line import ParsedLine, neat, read_line, shadow, take_time
from pacer.plan.typed.vocabulary import HEADERS, TOTAL_WORDS, folded, guess_kind, phrase
from pacer.text import _

_HEADER_SECONDS = frozenset({"seconds", "sec", "secs", "segundos"})
_CLOCK_CELL = re.compile(r"\d{1,2}:\d{2} ?(?:[ap]\.?m\.?)?")
_RANGE_CELL = re.compile(r"\d{1,2}:\d{2} ?(?:[ap]\.?m\.?)? ?(?:-|to) ?\d{1,2}:\d{2} ?(?:[ap]\.?m\.?)?")
MOST_CELLS = 100  # a row of more is no row of a lesson, and columns are gone through again and again
Roles = dict[int, str]
Row = tuple[int, list[str]]


def read_tables(lines: list[ParsedLine]) -> None:
    """Read the rows among the lines anew, run by run. A row stays a row whatever its cells hold."""
    run: list[Row] = []
    before: list[str] = []
    for at, line in enumerate(lines):
        cells = [] if line.is_quoted or line.is_note else _cells(line.clean, before)
        if cells and run and ("\t" in line.clean) != ("\t" in lines[run[-1][0]].clean):
            _read_run(lines, run)
            run = []
        if cells:
            run.append((at, cells))
        elif line.what not in ("blank", "divider"):
            _read_run(lines, run)
            run = []
        before = cells if line.what not in ("blank", "divider") else before
    _read_run(lines, run)


def _cells(text: str, before: list[str]) -> list[str]:
    """The cells of a row; none where the line is no row. ``before``: the cells of the line above."""
    if text.count("\t") + text.count("|") > MOST_CELLS:
        return []
    if "\t" in text:
        cells = [neat(cell) for cell in text.split("\t")]
        is_row = "\t" in text.strip() or (len(cells) == len(before) and any(cells))
        return cells if is_row else []
    pipes = text.count("|")
    stripped = text.strip()
    if not pipes or not stripped.strip("|-: "):
        return []
    cells = [neat(cell) for cell in stripped.removeprefix("|").removesuffix("|").split("|")]
    two_heads = len(cells) == 2 and all(_role_named(cell) for cell in cells)
    is_row = pipes >= 2 or two_heads or (len(cells) == 2 and len(before) == 2)
    return cells if is_row and len(cells) > 1 else []


def _role_named(cell: str) -> str:
    name = phrase(cell)
    if name in _HEADER_SECONDS:
        return "seconds"
    if not name and cell.strip() != "#":
        return ""
    return next((role for role, names in HEADERS.items() if name in names), "")


def _read_run(lines: list[ParsedLine], run: list[Row]) -> None:
    if not run:
        return
    header = run[0][1]
    roles, labels = {}, {}
    is_header = sum(bool(_role_named(cell)) for cell in header) >= 2 and not any(map(_only_time, header))
    if is_header:
        lines[run[0][0]].what, lines[run[0][0]].is_row = "heading", True
        named = {at: _role_named(cell) for at, cell in enumerate(header)}
        # The first column of a name has it; a second "Notes" is one more note.
        roles = {at: role for at, role in named.items() if role and role not in list(named.values())[:at]}
        labels = {at: cell for at, cell in enumerate(header) if at not in roles and cell}
        run = run[1:]
    _fill_roles(roles, [cells for _at, cells in run], labels)
    for at, cells in run:
        lines[at] = _row(lines[at], cells, roles, labels)


def _fill_roles(roles: Roles, rows: list[list[str]], labels: dict[int, str]) -> None:
    """Find by content what no header named: times of day, minutes, numbers of the rows, titles."""
    width = max((len(cells) for cells in rows), default=0)
    columns = {at: [cells[at] for cells in rows if at < len(cells) and cells[at]] for at in range(width)}
    named_time = next((at for at, role in roles.items() if role == "minutes"), None)
    for at, cells in columns.items():
        if (at not in roles or at == named_time) and _are_clocks(cells):
            roles[at] = "start" if "start" not in roles.values() else "end"
    if not {"minutes", "seconds"} & set(roles.values()):
        free = {at: cells for at, cells in columns.items() if at not in roles and at not in labels}
        counts = {at: sum(_only_time(cell) is not None for cell in cells) for at, cells in free.items()}
        numbered = [at for at, cells in free.items() if _are_row_numbers(cells)]
        best = sorted((at for at in counts if counts[at]), key=lambda at: (at in numbered, -counts[at], at))
        if best and not ("start" in roles.values() and best[0] in numbered):
            roles[best[0]] = "minutes"
        roles.update({at: "number" for at in numbered if at not in roles})
    if "title" not in roles.values():
        left = [at for at in columns if at not in roles and any(map(folded, columns[at]))]
        if left:
            roles[left[0]] = "title"
            labels.pop(left[0], None)


def _are_clocks(cells: list[str]) -> bool:
    """Whether a column holds times of day that go up, or ranges of them."""
    low = [shadow(cell) for cell in cells]
    if not low or not all(_CLOCK_CELL.fullmatch(cell) or _RANGE_CELL.fullmatch(cell) for cell in low):
        return False
    lines = [read_line(0, cell) for cell in low]
    if any(line.end_min is not None for line in lines):
        return True
    starts = [line.lead_min or 0 for line in lines]
    steps = [(b - a) % 720 for a, b in pairwise(starts)]
    return len(starts) > 1 and starts[0] >= 7 * 60 and all(0 < step < 60 for step in steps)


def _are_row_numbers(cells: list[str]) -> bool:
    bare = [cell.strip(".)#( ") for cell in cells]
    return len(bare) > 1 and bare == [str(number) for number in range(1, len(bare) + 1)]


def _only_time(cell: str) -> Timing | None:
    """The time that a cell holds and nothing else."""
    low = shadow(cell)
    timing = read_time(low)
    return timing if timing is not None and not any(map(str.isalnum, timing.without(low))) else None


def _row(old: ParsedLine, cells: list[str], roles: Roles, labels: dict[int, str]) -> ParsedLine:
    """One row read by the roles of its columns; what has no role is a note, so that nothing is lost."""
    line = ParsedLine(old.number, old.raw, old.clean, is_row=True)
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
    timing = _only_time(cell if cell_of.get("minutes") else f"{cell} s") if cell else None
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


def _mark_total(line: ParsedLine) -> None:
    words = folded(line.title)
    if (line.has_time and not words and not line.notes) or (words and words[0] in TOTAL_WORDS):
        line.what, line.said_s = "total", line.seconds
