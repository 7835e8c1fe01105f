"""The week in the outlines of its days: groups and stations are read there, the order is written there."""

from collections.abc import Sequence
from dataclasses import replace

from pacer.plan.draft.read_toml import draft_of
from pacer.plan.draft.write_toml import written
from pacer.plan.file.reader import read_bytes
from pacer.plan.finding import Finding
from pacer.plan.findings import findings
from pacer.plan.outline import Outline
from pacer.plan.problems import Problem, clipped
from pacer.plan.week.problem import WeekProblem
from pacer.text import _


def unclear_lists(outline: Outline) -> tuple[Finding, ...]:
    """What makes groups or stations of an outline none for a week, such as two of one name."""
    return tuple(one for one in findings(outline) if one.impossible and one.place[0] in ("group", "station"))


def groups_of(outlines: Sequence[Outline]) -> tuple[str, ...]:
    """The groups of a week, as its outlines list them, each once; without names, neutral ones."""
    names = [group.name for outline in outlines for group in outline.groups or outline.visitors]
    first = dict[str, str]()
    for name in names:
        first.setdefault(name.casefold(), name)
    return tuple(first.values())


def stations_of(outlines: Sequence[Outline], groups: int) -> tuple[str, ...]:
    """The stations, the teacher's table first; where none are written, as many as there are groups.

    Where days name other stations, they count by their place in the outline, and so are their names here.
    """
    named = [_stations(outline) for outline in outlines if outline.stations]
    alike = {tuple(sorted(name.casefold() for name in names)) for names in named}
    if len(alike) == 1:
        return named[0]
    count = max(map(len, named), default=groups)
    return (_("Teacher's table"), *(_("Station {n}", n=number) for number in range(1, count)))


def _stations(outline: Outline) -> tuple[str, ...]:
    own = next((station.name for station in outline.stations if station.teacher), _("Teacher's table"))
    return (own, *(station.name for station in outline.stations if not station.teacher))


def with_order(data: bytes, file: str, problem: WeekProblem, order: Sequence[int]) -> bytes | list[Problem]:
    """An outline's file with the groups that meet the teacher that day, in the order of their visits.

    Comments and everything else stay; where a day has another number of visits, ``groups`` says so. Returns
    problems where it is no outline or can't say it.
    """
    before = read_bytes(data, file)
    if isinstance(before, list):
        return before
    text = data.decode("utf-8")
    draft = draft_of(text, file)
    if isinstance(draft, list):
        return draft
    names = [problem.groups[group] for group in order]
    block = replace(draft.block, order=", ".join(names))
    if before.block.groups != len(order):
        block = replace(block, groups=str(len(order)))
    new = written(replace(draft, block=block), text, draft).encode("utf-8")
    after = read_bytes(new, file)
    if isinstance(after, list):
        return after
    if [after.visitors[number].name.casefold() for number in after.visit_order] != [
        name.casefold() for name in names
    ]:
        what = _("The order {names} can't be written here.", names=clipped(", ".join(names), 80))
        return [Problem(file, None, what, _("Give every group of the week a [[group]] with its name."))]
    return new


def wall_agrees(problem: WeekProblem, day: Sequence[Sequence[int]]) -> bool:
    """Whether the Wall, which lets the groups of a day go round the stations in turn, shows this day."""
    order = [visit.index(0) for visit in day if 0 in visit]
    if len(order) != len(day) or len(order) != len(problem.groups):
        return False
    turn = {group: at for at, group in enumerate(order)}
    return all(
        station == (turn[group] - at) % len(order)
        for at, visit in enumerate(day)
        for group, station in enumerate(visit)
    )
