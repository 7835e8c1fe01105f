"""Which column of a table is the title, which the minutes: by their names, and by what they hold."""

import re
from itertools import pairwise

from pacer.plan.typed.line import read_line
from pacer.plan.typed.line_time import read_time
from pacer.plan.typed.plain_signs import shadow
from pacer.plan.typed.table.row import Roles, only_time
from pacer.plan.typed.vocabulary import HEADERS, folded, phrase

_HEADER_SECONDS = frozenset({"seconds", "sec", "secs", "segundos"})
_CLOCK_CELL = re.compile(r"\d{1,2}:\d{2} ?(?:[ap]\.?m\.?)?")
_RANGE_CELL = re.compile(r"\d{1,2}:\d{2} ?(?:[ap]\.?m\.?)? ?(?:-|to) ?\d{1,2}:\d{2} ?(?:[ap]\.?m\.?)?")
_OFFSETS = re.compile(
    r"(?:min(?:ute)?s?\.? )?(\d{1,3}) ?'? ?(?:-|to|a|bis) ?(\d{1,3}) ?(?:min(?:ute)?[ns]?\.?|')?"
)
_UNITS = {"min", "mins", "minutes", "minuten", "minutos", "in", "approx", "est", "estimated", "planned"}
_MOST_ABOVE = 6  # rows about the lesson above the names of columns
_LONGEST_NAME = 30


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


def write_starts(rows: list[list[str]], columns: list[int]) -> None:
    """Write minutes that go up from zero as times: "0", "5", "12" are when each part begins."""
    for at in columns:
        cells = [cell_at(cells, at).strip("+'") for cells in rows]
        if len(cells) > 2 and all(cell.isdecimal() and len(cell) < 4 for cell in cells):
            starts = [int(cell) for cell in cells]
            if starts[0] == 0 and all(a < b for a, b in pairwise(starts)):
                for row, start in zip(rows, starts, strict=True):
                    row[at] = f"{start // 60}:{start % 60:02}"


def header_at(rows: list[list[str]]) -> int | None:
    """Which row names the columns; rows about the lesson may stand above it, none with minutes."""
    for at, cells in enumerate(rows[:_MOST_ABOVE]):
        if _is_header(cells, rows[at + 1 :]):
            roles = {role_named(cell) for cell in cells}
            return at if at == 0 or ("title" in roles and {"minutes", "start"} & roles) else None
        if any(map(only_time, cells)):
            return None
    return None


def _is_header(header: list[str], rows: list[list[str]]) -> bool:
    """Whether a row names columns: two of the names are known, or one, above rows that have a time there."""
    if any(map(only_time, header)) or any(read_time(shadow(cell)) for cell in header):
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


def cell_at(cells: list[str], at: int | None) -> str:
    """The cell of a column; empty where the row is shorter or there is no such column."""
    return "" if at is None or at >= len(cells) else cells[at].strip()


def lengths(cells: list[str]) -> list[int]:
    """The lengths in seconds of a column of minutes counted from the start: "0-3", "3-13"; else zeros."""
    matches = [_OFFSETS.fullmatch(shadow(cell)) for cell in cells]
    ends = [(int(match[1]), int(match[2])) for match in matches if match is not None]
    is_chain = len(ends) > 1 and ends[0][0] == 0 and all(a[1] == b[0] < b[1] for a, b in pairwise(ends))
    if not is_chain:
        return [0] * len(cells)
    return [0 if match is None else (int(match[2]) - int(match[1])) * 60 for match in matches]


def fill_roles(roles: Roles, rows: list[list[str]], labels: dict[int, str]) -> None:
    """Find by content what no header named: times of day, minutes, numbers of the rows, titles."""
    width = max((len(cells) for cells in rows), default=0)
    columns = {at: [cells[at] for cells in rows if at < len(cells) and cells[at]] for at in range(width)}
    named_time = next((at for at, role in roles.items() if role == "minutes"), None)
    for at, cells in columns.items():
        if (at not in roles or at == named_time) and are_clocks(cells):
            roles[at] = "start" if "start" not in roles.values() else "end"
    if not {"minutes", "seconds"} & set(roles.values()):
        free = {at: cells for at, cells in columns.items() if at not in roles and at not in labels}
        counts = {at: sum(only_time(cell) is not None for cell in cells) for at, cells in free.items()}
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


def are_clocks(cells: list[str]) -> bool:
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
