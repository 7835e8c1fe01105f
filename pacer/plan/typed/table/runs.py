"""Rows copied from a word processor, a spreadsheet or a page: run by run, each row read anew."""

import csv
import re
from collections.abc import Sequence

from pacer.plan.typed.line import ParsedLine
from pacer.plan.typed.plain_signs import neat
from pacer.plan.typed.table.columns import (
    are_clocks,
    cell_at,
    fill_roles,
    header_at,
    lengths,
    role_named,
    write_starts,
)
from pacer.plan.typed.table.row import only_time, read_row
from pacer.plan.typed.table.turned import Row, read_turned, turned
from pacer.plan.typed.vocabulary import ACTIVITY_HEADERS, PHASE_HEADERS, STRETCHES, folded, guess_kind, phrase
from pacer.text import _

_BLANKS = re.compile(r" {2,}")
_LONGEST_SPACED = 600
_LONGEST_NAME = 30
MOST_CELLS = 100  # a row of more is no row of a lesson, and columns are gone through again and again


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
    timed = len(cells) == 2 and only_time(cells[1]) is not None and bool(folded(cells[0]))
    is_row = pipes >= 2 or two_heads or timed or (len(cells) == 2 and len(before) == 2)
    return cells if is_row and len(cells) > 1 else []


def _read_run(lines: list[ParsedLine], run: list[Row]) -> None:
    if not run:
        return
    columns = turned(run)
    if columns is not None:
        read_turned(lines, run, columns)
        return
    roles, labels = {}, {}
    doubts: list[str] = []
    top = header_at([cells for _at, cells in run])
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
        clocked = [at for at, role in named.items() if role == "minutes" and are_clocks(_column(run, at))]
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
            if not _are_phases_and_activities(run, header, titles):
                doubts = [_("More than one column could be the title.")]
    rows = [cells for _at, cells in run]
    write_starts(rows, [at for at in range(len(header)) if roles.get(at, "minutes") == "minutes"])
    fill_roles(roles, rows, labels)
    at_minutes = next((at for at, role in roles.items() if role == "minutes"), None)
    offsets = lengths([cell_at(cells, at_minutes) for cells in rows])
    for (at, cells), length_s in zip(run, offsets, strict=True):
        line = lines[at] = read_row(lines[at], cells, roles, labels)
        if length_s:
            line.seconds, line.has_time, line.doubts = length_s, True, [*line.kept_doubts]
            line.notes = line.notes.replace(cell_at(cells, at_minutes), "", 1).strip("\n")
        line.doubts += doubts if not line.what else ()
    _mark_section_rows([lines[at] for at, _cells in run])


def _are_phases_and_activities(run: list[Row], header: list[str], titles: list[int]) -> bool:
    """Whether one column names phases, each once, and the other says what is done in them."""
    names = [phrase(header[at]) for at in titles]
    if len(titles) > 2 or names[0] not in PHASE_HEADERS or names[-1] not in ACTIVITY_HEADERS:
        return False
    phases = _column(run, titles[0])
    return len({phrase(cell) for cell in phases}) == len(phases)


def _column(run: list[Row], at: int) -> list[str]:
    return [cells[at] for _place, cells in run if at < len(cells) and cells[at]]


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
