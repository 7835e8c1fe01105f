"""What is to be seen to at the table: the outline's lines, phases moved there, marks and stuck problems."""

from collections.abc import Iterable
from typing import Literal, NamedTuple

from pacer.plan.outline import Outline
from pacer.text import _, counted

LineKind = Literal["written", "moved", "marked", "stuck"]


class LineKey(NamedTuple):
    """What a line is about, so that it is known again wherever it stands.

    ``of`` is the number of a line in the outline, the index of a phase that was moved or marked (-1: marks
    made in the groups), or the number of a problem.
    """

    about: LineKind
    of: int


class TableLine(NamedTuple):
    """A line of the table list as the Desk shows it."""

    key: LineKey
    text: str


def table_list(
    plan: Outline, moved: Iterable[int], marks: Iterable[tuple[str, int, int]]
) -> tuple[TableLine, ...]:
    """The lines in order.

    ``moved`` are phases by their index that left for the table, ``marks`` the kind, the phase (-1: in the
    groups) and the number of each mark, in the order of their times. What was marked more than once is one
    line with its count.
    """
    written = [line.strip() for line in plan.table_list.splitlines() if line.strip()]
    lines = [TableLine(LineKey("written", number), line) for number, line in enumerate(written)]
    titles = [phase.title for phase in plan.phases]
    for index in moved:
        if plan.phases[index].movable == "table":
            words = _("{phase}: moved here", phase=titles[index])
            lines.append(TableLine(LineKey("moved", index), words))
    counts: dict[LineKey, int] = {}
    for kind, index, number in marks:
        if kind in ("table_mark", "tally"):
            key = LineKey("stuck", number) if kind == "tally" else LineKey("marked", index)
            counts[key] = counts.get(key, 0) + 1
    for key, count in counts.items():
        if key.about == "stuck":
            words = _("Problem {number}: {count} stuck", number=key.of, count=count)
        else:
            where = titles[key.of] if key.of >= 0 else _("Groups")
            words = counted("{phase}: {n} mark", "{phase}: {n} marks", count, phase=where)
        lines.append(TableLine(key, words))
    return tuple(lines)
