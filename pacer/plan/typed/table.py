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
Roles = dict[int, str]
Row = tuple[int, list[str]]


def read_tables(bits: list[ParsedLine]) -> None:
    """Read the rows among the lines anew, run by run. A row stays a row whatever its cells hold."""
    run: list[Row] = []
    before: list[str] = []
    for at, bit in enumerate(bits):
        cells = [] if bit.is_quoted or bit.is_note else _cells(bit.clean, before)
        if cells and run and ("\t" in bit.clean) != ("\t" in bits[run[-1][0]].clean):
            _read_run(bits, run)
            run = []
        if cells:
            run.append((at, cells))
        elif bit.what not in ("blank", "divider"):
            _read_run(bits, run)
            run = []
        before = cells if bit.what not in ("blank", "divider") else before
    _read_run(bits, run)


def _cells(line: str, before: list[str]) -> list[str]:
    """The cells of a row; none where the line is no row. ``before``: the cells of the line above."""
    if "\t" in line:
        cells = [neat(cell) for cell in line.split("\t")]
        is_row = "\t" in line.strip() or (len(cells) == len(before) and any(cells))
        return cells if is_row else []
    pipes = line.count("|")
    stripped = line.strip()
    if not pipes or not stripped.strip("|-: "):
        return []
    cells = [neat(cell) for cell in stripped.removeprefix("|").removesuffix("|").split("|")]
    two_heads = len(cells) == 2 and all(_role_named(cell) for cell in cells)
    is_row = pipes >= 2 or two_heads or (len(cells) == 2 and len(before) == 2)
    return cells if is_row and len(cells) > 1 else []


def _role_named(cell: str) -> str:
    said = phrase(cell)
    if said in _HEADER_SECONDS:
        return "seconds"
    if not said and cell.strip() != "#":
        return ""
    return next((role for role, names in HEADERS.items() if said in names), "")


def _read_run(bits: list[ParsedLine], run: list[Row]) -> None:
    if not run:
        return
    head = run[0][1]
    roles, labels = {}, {}
    is_header = sum(bool(_role_named(cell)) for cell in head) >= 2 and not any(map(_only_time, head))
    if is_header:
        bits[run[0][0]].what, bits[run[0][0]].is_row = "heading", True
        named = {at: _role_named(cell) for at, cell in enumerate(head)}
        # The first column of a name has it; a second "Notes" is one more note.
        roles = {at: role for at, role in named.items() if role and role not in list(named.values())[:at]}
        labels = {at: cell for at, cell in enumerate(head) if at not in roles and cell}
        run = run[1:]
    _fill_roles(roles, [cells for _at, cells in run], labels)
    for at, cells in run:
        bits[at] = _row(bits[at], cells, roles, labels)


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
    bits = [read_line(0, cell) for cell in low]
    if any(bit.end_min is not None for bit in bits):
        return True
    starts = [bit.lead_min or 0 for bit in bits]
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
    bit = ParsedLine(old.number, old.raw, old.clean, is_row=True)
    of = {role: cells[at] for at, role in roles.items() if at < len(cells)}
    bit.title = bit.words = of.get("title", "")
    bit.class_line = of.get("class_line", "")
    extra = [
        f"{labels[at]}: {cell}" if at in labels else cell
        for at, cell in enumerate(cells)
        if cell and (at not in roles or roles[at] == "notes")
    ]
    _take_kind(bit, of.get("kind", ""), extra)
    _take_clocks(bit, of)
    _take_minutes(bit, of, extra)
    bit.notes = "\n".join(extra)
    _look_for_total(bit)
    return bit


def _take_kind(bit: ParsedLine, said: str, extra: list[str]) -> None:
    kind = KINDS.get("-".join(said.lower().split()))
    if kind is not None:
        bit.kind = kind.name
    elif said:
        bit.kind = guess_kind(said)
        extra.append(said)


def _take_clocks(bit: ParsedLine, of: dict[str, str]) -> None:
    start, end = read_line(0, of.get("start", "")), read_line(0, of.get("end", ""))
    if start.start_min is not None:
        bit.start_min, bit.end_min = start.start_min, start.end_min
    elif start.lead_min is not None:
        bit.start_min, bit.end_min = start.lead_min, end.lead_min
    bit.is_surely_clock = bit.start_min is not None


def _take_minutes(bit: ParsedLine, of: dict[str, str], extra: list[str]) -> None:
    cell = of.get("minutes") or of.get("seconds") or ""
    timing = _only_time(cell if of.get("minutes") else f"{cell} s") if cell else None
    if timing is not None:
        bit.start_min = bit.end_min = None
        bit.timing, bit.seconds, bit.has_time = timing, timing.seconds, True
        bit.doubts += timing.doubts
    elif cell and not is_not_known_yet(shadow(cell)) and cell.strip("-–— "):
        inside = read_line(0, cell)
        extra.append(cell)
        if inside.timing is not None and inside.timing.is_plain:
            bit.timing, bit.seconds, bit.has_time = inside.timing, inside.seconds, True
            bit.doubts.append(_("There is more than a time in the column of minutes."))
    elif not cell and bit.start_min is None:
        timing = read_time(shadow(bit.title))
        if timing is not None and (timing.is_plain or not of.keys() & {"minutes", "seconds"}):
            line = bit.class_line
            take_time(bit, bit.title, shadow(bit.title))
            extra[:0] = [bit.class_line] if line and bit.class_line else []
            bit.class_line = line or bit.class_line


def _look_for_total(bit: ParsedLine) -> None:
    words = folded(bit.title)
    if (bit.has_time and not words and not bit.notes) or (words and words[0] in TOTAL_WORDS):
        bit.what, bit.said_s = "total", bit.seconds
