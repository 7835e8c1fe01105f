"""A table on its side: its rows are what columns are elsewhere."""

from pacer.plan.typed.line import ParsedLine
from pacer.plan.typed.line_time import read_time
from pacer.plan.typed.plain_signs import shadow
from pacer.plan.typed.table.columns import are_clocks, fill_roles, role_named
from pacer.plan.typed.table.row import Roles, only_time, read_row

_MOST_TURNED = 8
Row = tuple[int, list[str]]


def _heads(rows: list[list[str]]) -> list[str]:
    """What the rows of a table on its side hold, by their first cells; a row of times needs no name."""
    heads = [role_named(cells[0]) for cells in rows]
    return [
        head or ("start" if not cells[0] and are_clocks(cells[1:]) else "")
        for head, cells in zip(heads, rows, strict=True)
    ]


def turned(run: list[Row]) -> list[list[str]] | None:
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
        return columns if 2 * timed > len(cells) or are_clocks(cells) else None
    times = [[only_time(cell) is not None for cell in cells] for cells in rows]
    one = [at for at, row in enumerate(times) if all(row)]
    is_turned = len(rows) == 2 and len(one) == 1 and not any(times[1 - one[0]])
    return columns if is_turned else None


def read_turned(lines: list[ParsedLine], run: list[Row], columns: list[list[str]]) -> None:
    """Put the phases of the columns in place of the row of titles; the other rows belong to it."""
    heads = _heads([cells for _at, cells in run])
    roles: Roles = {}
    if "title" in heads and len(columns) < len(run[0][1]):
        for at, role in enumerate(heads):
            if role and role not in roles.values():
                roles[at] = role
        labels = {at: run[at][1][0] for at in range(len(run)) if at not in roles and run[at][1][0]}
    else:
        labels = {}
        fill_roles(roles, columns, labels)
    at_title = next((at for at, role in roles.items() if role == "title"), 0)
    place = run[at_title][0]
    title = lines[place]
    for at, _row in run:
        if at != place:
            lines[at].what, lines[at].of, lines[at].doubts = "note", title.number, []
    rows = [read_row(title, cells, roles, labels) for cells in columns]
    lines[place : place + 1] = [line for line in rows if line.title or line.has_time] or [title]
