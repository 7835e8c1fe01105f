"""What a plan's groups, stations, visits and share say against each other."""

from collections.abc import Iterator

from pacer.plan.durations import format_duration
from pacer.plan.finding import Finding, KeyPath, impossible_finding, told_finding
from pacer.plan.fit import timed_visit_s, visit_s
from pacer.plan.kinds import AFTER_MINI_LESSON
from pacer.plan.outline import Outline, neutral_names
from pacer.plan.problems import clipped, did_you_mean
from pacer.text import _, counted

LEAST_VISIT_S = 60  # ours: who comes to the table for less sits down and stands up


def second_half_findings(outline: Outline) -> Iterator[Finding]:
    """All findings of the second half, in the order of the file."""
    block = outline.block
    if block.share_floor_s is not None and block.share_floor_s > block.share_s:
        what = _("The share keeps {floor}, and it is only {share} long.").format(
            floor=format_duration(block.share_floor_s), share=format_duration(block.share_s)
        )
        fix = _("Make what it keeps shorter or the share longer.")
        yield impossible_finding("share_floor_over_share", ("block", "share_floor"), what, fix)
    yield from _order(outline)
    yield from _names(outline)
    yield from _tables(outline)
    yield from _typed_as_phases(outline)
    yield from _short_visits(outline)


def _order(outline: Outline) -> Iterator[Finding]:
    """Names in the order of visits that no group has, or twice; a day of fewer groups leaves others known."""
    names = [group.name for group in (*outline.groups, *outline.visitors)]
    known = {name.casefold() for name in (*names, *neutral_names())}
    seen = set[str]()
    for name in outline.block.order:
        if name.casefold() in seen:
            what = _('order names "{name}" twice, and a group has one visit a day.', name=clipped(name))
            fix = _("Name each group once.")
            yield impossible_finding("order_twice", ("block", "order"), what, fix)
        seen.add(name.casefold())
        if name.casefold() not in known:
            lower = {each.lower(): each for each in names}
            near = did_you_mean(name, lower)
            fix = _("Write the name as in [[group]].")
            if near:
                fix = _('Did you mean "{near}"?', near=clipped(lower[near]))
            what = _('order names "{name}", and no group is called so.', name=clipped(name))
            yield impossible_finding("order_of_nobody", ("block", "order"), what, fix)


def _names(outline: Outline) -> Iterator[Finding]:
    seen = set[str]()
    for at, group in enumerate(outline.groups):
        if group.name.casefold() in seen:
            what = _('Two groups are called "{name}".', name=clipped(group.name))
            place: KeyPath = ("group", at, "name")
            yield impossible_finding("groups_of_one_name", place, what, _("Give each a name of its own."))
        seen.add(group.name.casefold())
    count = outline.block.groups
    if len(outline.groups) > count:
        rest = ", ".join(clipped(group.name) for group in outline.groups if group not in outline.visitors)
        what = _("{named} groups are named, and the block has groups = {count}: {rest} won't come.").format(
            named=len(outline.groups), count=count, rest=rest
        )
        yield told_finding("more_named", ("block", "groups"), what)


def _tables(outline: Outline) -> Iterator[Finding]:
    own = [at for at, station in enumerate(outline.stations) if station.teacher]
    if len(own) > 1:
        first, second = (clipped(outline.stations[at].name) for at in own[:2])
        what = _('"{first}" and "{second}" are both marked as your table.', first=first, second=second)
        place: KeyPath = ("station", own[1], "teacher")
        yield impossible_finding("two_own_tables", place, what, _("Mark one of them."))
    if outline.stations and not own:
        what = _('No station is marked as your table, so the Wall adds "Our table" to them.')
        yield told_finding("no_own_table", ("station", 0, "name"), what, _("Mark yours with teacher = true."))
    seen = set[str]()
    for at, station in enumerate(outline.stations):
        if station.name.casefold() in seen:
            what = _('Two stations are called "{name}": on the Wall nobody can tell them apart.',
                     name=clipped(station.name))  # fmt: skip
            yield told_finding("stations_of_one_name", ("station", at, "name"), what)
        seen.add(station.name.casefold())


def _typed_as_phases(outline: Outline) -> Iterator[Finding]:
    """Groups that are typed as phases could be run as visits."""
    after = outline.phases[outline.mini_count :]
    typed = sum(phase.kind == "group" for phase in after)
    # Where more is taught after it, another rule asks whether its kind is right.
    is_all = all(phase.kind in AFTER_MINI_LESSON for phase in after)
    if after and is_all and not typed and outline.block.groups:
        what = _('"{title}" is written as a phase, so no visits are run after it.', title=after[0].title)
        fix = _("The transition and the share have times of their own: [block] move and share.")
        yield told_finding("half_as_phases", ("phase", outline.mini_count, "kind"), what, fix)
    if typed:
        what = _("Groups typed as phases are run as phases; [block] groups = {n} runs them as visits.")
        place: KeyPath = ("phase", outline.mini_count, "kind")
        fix = _("For that, take out these phases and those of the transition and the share.")
        yield told_finding("groups_as_phases", place, what.format(n=typed), fix)


def _short_visits(outline: Outline) -> Iterator[Finding]:
    """Visits under their floor, and how many groups would have one that is long enough."""
    block, each_s = outline.block, visit_s(outline.block, outline.mini_lesson_s)
    if outline.has_second_half and LEAST_VISIT_S <= each_s < block.visit_floor_s:
        what = _("A visit is {each} long, under the least of {floor}.").format(
            each=format_duration(timed_visit_s(block, outline.mini_lesson_s)),
            floor=format_duration(block.visit_floor_s),
        )
        what = f"{what} {groups_that_fit(outline)}"
        yield told_finding("visits_under_floor", ("block", "groups"), what)


def groups_that_fit(outline: Outline) -> str:
    """How many groups would have a visit that is long enough."""
    block, mini_s = outline.block, outline.mini_lesson_s
    counts = (count for count in range(block.groups - 1, 0, -1))
    fit = next((count for count in counts if visit_s(block, mini_s, count) >= block.visit_floor_s), 0)
    if not fit:
        floor = format_duration(block.visit_floor_s)
        return _("Not even one group would have the least visit of {floor}.", floor=floor)
    each = format_duration(timed_visit_s(block, mini_s, fit))
    return counted("{n} group fits, with {each}.", "{n} groups fit, with {each} each.", fit, each=each)
