"""Rows copied from a word processor or a spreadsheet: which column is the title, which the minutes."""

import csv
import re
from collections.abc import Sequence
from itertools import pairwise

from pacer.plan.kinds import KINDS
from pacer.plan.typed.durations_in_text import Timing, is_not_known_yet, read_time
from pacer.plan.typed.line import ParsedLine, neat, read_line, shadow, take_time
from pacer.plan.typed.vocabulary import HEADERS, STRETCHES, TOTAL_WORDS, folded, guess_kind, phrase
from pacer.text import _

_HEADER_SECONDS = frozenset({"seconds", "sec", "secs", "segundos"})
_CLOCK_CELL = re.compile(r"\d{1,2}:\d{2} ?(?:[ap]\.?m\.?)?")
_RANGE_CELL = re.compile(r"\d{1,2}:\d{2} ?(?:[ap]\.?m\.?)? ?(?:-|to) ?\d{1,2}:\d{2} ?(?:[ap]\.?m\.?)?")
_OFFSETS = re.compile(
    r"(?:min(?:ute)?s?\.? )?(\d{1,3}) ?'? ?(?:-|to|a|bis) ?(\d{1,3}) ?(?:min(?:ute)?[ns]?\.?|')?"
)
_UNITS = {"min", "mins", "minutes", "minuten", "minutos", "in", "approx", "est", "estimated", "planned"}
_BLANKS = re.compile(r" {2,}")
_LONGEST_SPACED = 600
_MOST_ABOVE = 6  # rows about the lesson above the names of columns
_LONGEST_NAME, _MOST_TURNED = 30, 8
MOST_CELLS = 100  # a row of more is no row of a lesson, and columns are gone through again and again
Roles = dict[int, str]
Row = tuple[int, list[str]]


def read_tables(lines: list[ParsedLine]) -> None:
    """Read the rows among the lines anew, run by run. A row stays a row whatever its cells hold.

    A table on its side adds lines: those of its phases, all with the number of the row of titles.
    """
    runs: list[list[Row]] = [[]]
    before: list[str] = []
    delimiter = ""
    spaced = _spaced_rows(lines)
    for at, line in enumerate(lines):
        is_blank = line.what in ("blank", "divider")
        delimiter = delimiter if not is_blank and delimiter in line.clean else _delimiter(line.clean)
        is_text = line.is_quoted or line.is_note or line.is_part or (line.what and not is_blank)
        cells = [] if is_text else _cells(line, before, delimiter, line.number in spaced)
        run = runs[-1]
        if cells and run and ("\t" in line.clean) != ("\t" in lines[run[-1][0]].clean):
            runs.append([])
        if cells:
            runs[-1].append((at, cells))
        elif not is_blank and run:
            runs.append([])
        before = before if is_blank else cells
    for run in reversed(runs):
        _read_run(lines, run)


def _delimiter(text: str) -> str:
    """The sign between cells, where a line of names of columns has one: "Activity,Minutes"."""
    for sign in (";", ","):
        names = text.split(sign)
        if 2 <= len(names) <= MOST_CELLS and sum(bool(role_named(name)) for name in names) >= 2:
            return sign if all(len(name) < _LONGEST_NAME for name in names) else ""
    return ""


def _spaced(text: str) -> list[str]:
    """The cells of a row that is set in columns with blanks."""
    return _BLANKS.split(text.strip()) if "   " in text and len(text) < _LONGEST_SPACED else []


def _spaced_rows(lines: Sequence[ParsedLine]) -> set[int]:
    """The numbers of lines that are set in columns with blanks, as their neighbours are, three at least."""
    filled = [line for line in lines if line.what not in ("blank", "divider")]
    sizes = [0 if line.mark or line.what or line.is_part else len(_spaced(line.clean)) for line in filled]
    rows: set[int] = set()
    for at, (line, size) in enumerate(zip(filled, sizes, strict=True)):
        near = [sizes[to] for to in (at - 1, at + 1) if 0 <= to < len(sizes)]
        is_short = size > 1 and at > 0 and filled[at - 1].number in rows and size < sizes[at - 1]
        if is_short or (size > 2 and size in near):
            rows.add(line.number)
    return rows


def _cells(line: ParsedLine, before: list[str], delimiter: str, is_spaced: bool) -> list[str]:
    """The cells of a row; none where the line is no row. ``before``: the cells of the line above."""
    text = line.clean
    if text.count("\t") + text.count("|") + (text.count(delimiter) if delimiter else 0) > MOST_CELLS:
        return []
    if "\t" in text:
        # A tab behind a bullet or a number belongs to the list; the rest may be a row all the same.
        text = line.whole if line.mark and line.whole else text
        cells = [neat(cell) for cell in text.split("\t")]
        is_row = "\t" in text.strip() or (len(cells) == len(before) > 1 and any(cells) and not line.mark)
        return cells if is_row else []
    if delimiter:
        return [neat(cell) for cell in next(csv.reader([text], delimiter=delimiter), [])]
    if is_spaced:
        return [neat(cell) for cell in _spaced(text)]
    pipes = text.count("|")
    stripped = text.strip()
    if not pipes or not stripped.strip("|-: "):
        return []
    cells = [neat(cell) for cell in stripped.removeprefix("|").removesuffix("|").split("|")]
    two_heads = len(cells) == 2 and all(role_named(cell) for cell in cells)
    timed = len(cells) == 2 and _only_time(cells[1]) is not None and bool(folded(cells[0]))
    is_row = pipes >= 2 or two_heads or timed or (len(cells) == 2 and len(before) == 2)
    return cells if is_row and len(cells) > 1 else []


def role_named(cell: str) -> str:
    """What a column of this name holds; empty where the name is none that is known."""
    if len(cell) > _LONGEST_NAME or any(map(str.isdigit, cell)):
        return ""
    if not any(map(str.isalpha, cell)) and cell.strip() != "#":
        return ""
    names = [phrase(cell), phrase(cell.partition("(")[0])]
    names.append(" ".join(word for word in names[0].split() if word not in _UNITS))
    if names[0] in _HEADER_SECONDS:
        return "seconds"
    for name in names if names[1] or cell.strip() == "#" else names[:1]:
        for role, known in HEADERS.items():
            if name in known:
                return role
    return ""


def _read_run(lines: list[ParsedLine], run: list[Row]) -> None:
    if not run:
        return
    columns = _turned(run)
    if columns is not None:
        _read_turned(lines, run, columns)
        return
    roles, labels = {}, {}
    doubts: list[str] = []
    top = _header_at([cells for _at, cells in run])
    for at, _cells_above in run[: top or 0]:
        lines[at].what, lines[at].is_row = "heading", True
    run = run[top or 0 :]
    header = run[0][1]
    if top is not None:
        lines[run[0][0]].what, lines[run[0][0]].is_row = "heading", True
        named = {at: role_named(cell) for at, cell in enumerate(header)}
        # The first column of a name has it; a second "Notes" is one more note.
        roles = {at: role for at, role in named.items() if role and role not in list(named.values())[:at]}
        labels = {at: cell for at, cell in enumerate(header) if at not in roles and cell}
        run = run[1:]
        clocked = [at for at, role in named.items() if role == "minutes" and _are_clocks(_column(run, at))]
        if clocked and "minutes" in [role for at, role in named.items() if at not in clocked]:
            minutes = next(at for at, role in named.items() if role == "minutes" and at not in clocked)
            roles = {at: role for at, role in roles.items() if role != "minutes"} | {minutes: "minutes"}
            labels.pop(minutes, None)
        titles = [at for at, role in named.items() if role == "title"]
        if len(titles) > 1 and all(cells[at] for _at, cells in run for at in titles if at < len(cells)):
            title = next((at for at in titles if phrase(header[at]) not in STRETCHES), titles[0])
            roles = {at: role for at, role in roles.items() if role != "title"} | {title: "title"}
            labels |= {at: header[at] for at in titles if at != title}
            labels.pop(title, None)
            doubts = [_("More than one column could be the title.")]
    rows = [cells for _at, cells in run]
    _write_starts(rows, [at for at in range(len(header)) if roles.get(at, "minutes") == "minutes"])
    _fill_roles(roles, rows, labels)
    at_minutes = next((at for at, role in roles.items() if role == "minutes"), None)
    offsets = _lengths([_cell(cells, at_minutes) for cells in rows])
    for (at, cells), length_s in zip(run, offsets, strict=True):
        line = lines[at] = read_row(lines[at], cells, roles, labels)
        if length_s:
            line.seconds, line.has_time, line.doubts = length_s, True, [*line.kept_doubts]
            line.notes = line.notes.replace(_cell(cells, at_minutes), "", 1).strip("\n")
        line.doubts += doubts if not line.what else ()
    _mark_section_rows([lines[at] for at, _cells in run])


def _column(run: list[Row], at: int) -> list[str]:
    return [cells[at] for _place, cells in run if at < len(cells) and cells[at]]


def _write_starts(rows: list[list[str]], columns: list[int]) -> None:
    """Write minutes that go up from zero as times: "0", "5", "12" are when each part begins."""
    for at in columns:
        cells = [_cell(cells, at).strip("+'") for cells in rows]
        if len(cells) > 2 and all(cell.isdecimal() and len(cell) < 4 for cell in cells):
            starts = [int(cell) for cell in cells]
            if starts[0] == 0 and all(a < b for a, b in pairwise(starts)):
                for row, start in zip(rows, starts, strict=True):
                    row[at] = f"{start // 60}:{start % 60:02}"


def _header_at(rows: list[list[str]]) -> int | None:
    """Which row names the columns; rows about the lesson may stand above it, none with minutes."""
    for at, cells in enumerate(rows[:_MOST_ABOVE]):
        if _is_header(cells, rows[at + 1 :]):
            roles = {role_named(cell) for cell in cells}
            return at if at == 0 or ("title" in roles and {"minutes", "start"} & roles) else None
        if any(map(_only_time, cells)):
            return None
    return None


def _is_header(header: list[str], rows: list[list[str]]) -> bool:
    """Whether a row names columns: two of the names are known, or one, above rows that have a time there."""
    if any(map(_only_time, header)) or any(read_time(shadow(cell)) for cell in header):
        return False
    known = [at for at, cell in enumerate(header) if role_named(cell)]
    if len(known) > 1:
        return True
    return any(
        role_named(header[at]) == "minutes"
        and rows != []
        and all(at < len(cells) and read_time(shadow(cells[at])) for cells in rows)
        for at in known
    )


def _cell(cells: list[str], at: int | None) -> str:
    return "" if at is None or at >= len(cells) else cells[at].strip()


def _lengths(cells: list[str]) -> list[int]:
    """The lengths in seconds of a column of minutes counted from the start: "0-3", "3-13"; else zeros."""
    matches = [_OFFSETS.fullmatch(shadow(cell)) for cell in cells]
    ends = [(int(match[1]), int(match[2])) for match in matches if match is not None]
    is_chain = len(ends) > 1 and ends[0][0] == 0 and all(a[1] == b[0] < b[1] for a, b in pairwise(ends))
    if not is_chain:
        return [0] * len(cells)
    return [0 if match is None else (int(match[2]) - int(match[1])) * 60 for match in matches]


def _mark_section_rows(lines: list[ParsedLine]) -> None:
    """Rows that hold a name and nothing else among rows with minutes head a part of the lesson."""
    open_rows = [line for line in lines if not line.what]
    timed = [line for line in open_rows if line.has_time]
    for line in open_rows:
        is_bare = not (line.has_time or line.notes or line.class_line or line.start_min is not None)
        is_name = line.title.isupper() or guess_kind(line.title) == "other"
        if line.title and is_bare and is_name and 2 * len(timed) > len(open_rows):
            line.what = "heading"
            line.why = _("Read as a heading: it has no minutes.")


def _heads(rows: list[list[str]]) -> list[str]:
    """What the rows of a table on its side hold, by their first cells; a row of times needs no name."""
    heads = [role_named(cells[0]) for cells in rows]
    return [
        head or ("start" if not cells[0] and _are_clocks(cells[1:]) else "")
        for head, cells in zip(heads, rows, strict=True)
    ]


def _turned(run: list[Row]) -> list[list[str]] | None:
    """The columns of a table on its side, each as a row; None where a table stands as usual."""
    rows = [cells for _at, cells in run]
    width = len(rows[0])
    if not 2 <= len(rows) <= _MOST_TURNED or width < 3 or any(len(cells) != width for cells in rows):
        return None
    heads = _heads(rows)
    is_labelled = "title" in heads and bool({"minutes", "start"}.intersection(heads))
    if is_labelled and sum(bool(role_named(cell)) for cell in rows[0][1:]) > 1:
        return None
    first = 1 if is_labelled else 0
    columns = [list(column) for column in zip(*rows, strict=True)][first:]
    if is_labelled:
        at = heads.index("minutes" if "minutes" in heads else "start")
        cells = [column[at] for column in columns]
        timed = sum(read_time(shadow(cell)) is not None for cell in cells)
        return columns if 2 * timed > len(cells) or _are_clocks(cells) else None
    times = [[_only_time(cell) is not None for cell in cells] for cells in rows]
    one = [at for at, row in enumerate(times) if all(row)]
    is_turned = len(rows) == 2 and len(one) == 1 and not any(times[1 - one[0]])
    return columns if is_turned else None


def _read_turned(lines: list[ParsedLine], run: list[Row], columns: list[list[str]]) -> None:
    heads = _heads([cells for _at, cells in run])
    roles: Roles = {}
    if "title" in heads and len(columns) < len(run[0][1]):
        for at, role in enumerate(heads):
            if role and role not in roles.values():
                roles[at] = role
        labels = {at: run[at][1][0] for at in range(len(run)) if at not in roles and run[at][1][0]}
    else:
        labels = {}
        _fill_roles(roles, columns, labels)
    at_title = next((at for at, role in roles.items() if role == "title"), 0)
    place = run[at_title][0]
    title = lines[place]
    for at, _row in run:
        if at != place:
            lines[at].what, lines[at].of, lines[at].doubts = "note", title.number, []
    made = [read_row(title, cells, roles, labels) for cells in columns]
    lines[place : place + 1] = [line for line in made if line.title or line.has_time] or [title]


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
        inside = [at for at in free if at not in numbered and _hold_times(free[at], len(rows))]
        if inside and sum(counts[at] > 0 for at in counts if at not in numbered) == 0:
            counts = dict.fromkeys(counts, 0)  # the minutes stand beside the titles
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
    is_early = starts[0] == 0 and len(starts) > 2  # counted from the start of the lesson
    return len(starts) > 1 and (starts[0] >= 7 * 60 or is_early) and all(0 < step < 60 for step in steps)


def _hold_times(cells: list[str], rows: int) -> bool:
    timings = [read_time(shadow(cell)) for cell in cells]
    return 2 * sum(timing is not None and timing.is_plain for timing in timings) > rows


def _are_row_numbers(cells: list[str]) -> bool:
    bare = [cell.strip(".)#( ") for cell in cells]
    return len(bare) > 1 and bare == [str(number) for number in range(1, len(bare) + 1)]


def _only_time(cell: str) -> Timing | None:
    """The time that a cell holds and nothing else."""
    low = shadow(cell)
    timing = read_time(low)
    return timing if timing is not None and not any(map(str.isalnum, timing.without(low))) else None


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
    words = folded(line.title) or folded(line.notes)
    if line.has_time and words and words[0] in TOTAL_WORDS and len(words) <= 2:
        line.notes = ""
    if (line.has_time and not words and not line.notes) or (words and words[0] in TOTAL_WORDS):
        line.what, line.said_s = "total", line.seconds
