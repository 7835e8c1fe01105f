"""What is to be seen to at the table: the outline's lines, phases moved there, marks and stuck problems."""

from collections.abc import Iterable

from pacer.plan.outline import Outline
from pacer.text import _, counted


def table_lines(
    plan: Outline, moved: Iterable[int], marks: Iterable[tuple[str, int, int]]
) -> tuple[str, ...]:
    """The lines in an order that later presses only add to, so that a line keeps its number.

    ``moved`` are phases by their index that left for the table, ``marks`` the kind, the phase (-1: in the
    groups) and the number of each mark, in the order of their times. What was marked more than once is one
    line with its count.
    """
    written = [line.strip() for line in plan.table_list.splitlines() if line.strip()]
    titles = [phase.title for phase in plan.phases]
    leavers = [index for index in moved if plan.phases[index].movable == "table"]
    counts: dict[tuple[str, int], int] = {}
    for kind, index, number in marks:
        if kind in ("table_mark", "tally"):
            about = number if kind == "tally" else index
            counts[kind, about] = counts.get((kind, about), 0) + 1
    marked = []
    for (kind, about), count in counts.items():
        if kind == "tally":
            marked.append(_("Problem {number}: {count} stuck", number=about, count=count))
            continue
        where = titles[about] if about >= 0 else _("Groups")
        marked.append(counted("{phase}: {n} mark", "{phase}: {n} marks", count, phase=where))
    return (*written, *(_("{phase}: moved here", phase=titles[index]) for index in leavers), *marked)
