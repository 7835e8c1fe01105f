"""Decides what a command leads to in the second half: legs in turn, groups that are out, another bell."""

from collections.abc import Callable

from pacer.plan.durations import parse_duration
from pacer.plan.problems import clipped
from pacer.run import events as ev
from pacer.run.legs import Leg, NextLeg
from pacer.run.refusal import Decision, Refusal
from pacer.run.state import LessonState
from pacer.text import _

BELL_STEP_S = 300
LEAST_BLOCK_S = 300


def begin(state: LessonState, how: str, ending: ev.Ending = "unsaid") -> Decision:
    """Leave the mini lesson for the first leg."""
    first = _after_mini_lesson(state)
    return Refusal(_("Nothing comes after the mini lesson.")) if first is None else _to(first, how, ending)


def following(state: LessonState) -> NextLeg | None:
    """The leg that comes next; None outside of the second half and in its last leg."""
    leg = state.leg
    if leg is None:
        return None
    if leg.kind in ("move", "swap") and leg.group >= 0 and leg.group not in state.groups_out:
        return NextLeg("visit", leg.group)
    if leg.kind in ("move", "visit", "swap"):
        return _to_next_group(state, swaps=leg.kind == "visit")
    return NextLeg("clean_up") if leg.kind == "share" and state.plan.block.clean_up_s else None


def before(state: LessonState) -> NextLeg | int | None:
    """The leg that came before, or the phase of the mini lesson by its index; None where there is none."""
    legs = state.legs
    if len(legs) > 1 and legs[-2].end_ms == legs[-1].begin_ms:
        return NextLeg(legs[-2].kind, legs[-2].group)
    return state.visits[-1].index if state.visits else None


def _after_mini_lesson(state: LessonState) -> NextLeg | None:
    block, groups = state.plan.block, state.groups_to_come
    if block.move_s and groups:
        return NextLeg("move", groups[0])
    return _to_next_group(state, swaps=False)


def _to_next_group(state: LessonState, *, swaps: bool) -> NextLeg | None:
    block, groups = state.plan.block, state.groups_to_come
    if groups:
        return NextLeg("swap" if swaps and block.swap_s else "visit", groups[0])
    if block.share_s:
        return NextLeg("share")
    return NextLeg("clean_up") if block.clean_up_s else None


def _to(step: NextLeg, how: str, ending: ev.Ending = "unsaid") -> ev.LegBegan:
    return ev.LegBegan.model_validate({"leg": step.kind, "group": step.group, "ending": ending, "how": how})


def _next(state: LessonState, _argument: str, _now: int) -> Decision:
    step = following(state)
    if step is None:
        return Refusal(_("The bell ends the lesson: Home."))
    return _to(step, "next")


def _back(state: LessonState, _argument: str, _now: int) -> Decision:
    step = before(state)
    if isinstance(step, NextLeg):
        return _to(step, "back")
    if step is None:
        return Refusal(_("Nothing came before."))
    return ev.Moved(to=step, ending="unsaid", how="back")


def jump(state: LessonState, argument: str) -> Decision | None:
    """To a group's visit by its name or number, to the share or the clean-up; None where it names none."""
    name = " ".join(argument.casefold().split())
    if name in ("share", "clean-up", "transition", "move"):
        walk = _after_mini_lesson(state)
        step = {"share": NextLeg("share"), "clean-up": NextLeg("clean_up")}.get(name, walk)
        return None if step is None else _to(step, "jump")
    number = _group_number(state, name)
    if number is None:
        return None
    leg = state.leg
    if leg is not None and leg.kind == "visit" and leg.group == number:
        return Refusal(_("This group is at the table already."))
    return _to(NextLeg("visit", number), "jump")


def _group_number(state: LessonState, name: str) -> int | None:
    """The group that is meant: by name, as "group 2", or, in the second half, by its place in the order."""
    visitors = state.plan.visitors
    for number, group in enumerate(visitors):
        if group.name.casefold() == name:
            return number
    digits = name.removeprefix("group ")
    place = _count(digits, 2) - 1 if digits != name or state.leg is not None else -1
    return state.plan.visit_order[place] if 0 <= place < len(visitors) else None


def _count(text: str, most_digits: int) -> int:
    """A number from 1; 0 where it is none."""
    return int(text) if text.isascii() and text.isdigit() and len(text) <= most_digits else 0


def _jump(state: LessonState, argument: str, _now: int) -> Decision:
    decision = jump(state, argument)
    if decision is not None:
        return decision
    # A number means a group here: it must not lead back into the mini lesson.
    index = None if argument.isdigit() else state.plan.index_of(argument)
    if index is None:
        return Refusal(_('There is no group and no phase "{name}".', name=clipped(argument)))
    return ev.Moved(to=index, ending="unsaid", how="jump")


def _keep(state: LessonState, argument: str, _now: int) -> Decision:
    """One group fewer today, as offered; the argument is its number, worked out by who knows the pace."""
    if not argument:
        return Refusal(_("There is time for every group that is to come."))
    group = int(argument) if argument.isascii() and argument.isdigit() else -1
    if group not in state.groups_to_come:
        return Refusal(_("Only a group that is still to come can be left for another day."))
    return ev.GroupLeftOut(group=group, why="dropped")


def missed(state: LessonState, argument: str, _now: int) -> Decision:
    """A group that was pulled out has no visit: the one that is due now, or the one that is named."""
    group = _group_number(state, argument.casefold()) if argument else _due(state)
    if group is None:
        return Refusal(_("No group is due now."))
    if group in state.groups_out:
        return Refusal(_("This group has no visit today already."))
    leg = state.leg
    if group in state.visited_groups and not (leg is not None and leg.kind == "visit" and leg.group == group):
        return Refusal(_("This group has had its visit."))
    return ev.GroupLeftOut(group=group, why="missed")


def _due(state: LessonState) -> int | None:
    """The group at the table, or the one that comes next."""
    leg = state.leg
    if leg is not None and leg.group >= 0 and leg.group not in state.groups_out:
        return leg.group
    return state.groups_to_come[0] if state.groups_to_come else None


def move_bell(state: LessonState, argument: str, now_ms: int, sign: int) -> Decision:
    """The bell rings earlier or later today."""
    try:
        seconds = sign * (parse_duration(argument) if argument else BELL_STEP_S)
    except ValueError:
        seconds = 0
    if not 0 < abs(seconds) <= ev.MOST_BELL_S:
        return Refusal(_("Say by how many minutes the bell moves, such as 10."))
    if state.bell_ms + seconds * 1000 <= now_ms:
        return Refusal(_("Then the bell would have rung already: Home."))
    return ev.BellMoved(seconds=seconds)


def tick(state: LessonState, argument: str, _now: int) -> Decision:
    """A line of the table list is done: the first that is not, or the one that is numbered from 1."""
    lines = state.table_list
    open_lines = [number for number, line in enumerate(lines) if line.key not in state.ticked]
    if not lines:
        return Refusal(_("There is nothing on the table list."))
    if not argument and not open_lines:
        return Refusal(_("All of the table list is done."))
    number = _count(argument, 3) - 1 if argument else open_lines[0]
    if number not in open_lines:
        return Refusal(_("No open line of the table list has this number."))
    return ev.ListTicked(number=number)


def title_of(state: LessonState, leg: Leg | NextLeg) -> str:
    """What a leg is called on screen."""
    group = state.plan.visitors[leg.group].name if 0 <= leg.group < len(state.plan.visitors) else ""
    return {
        "visit": group,
        "move": _("Transition"),
        "swap": _("Swap"),
        "share": _("Share"),
        "clean_up": _("Clean up"),
    }[leg.kind]


RULES: dict[str, Callable[[LessonState, str, int], Decision]] = {
    "next": _next,
    "back": _back,
    "jump": _jump,
    "groups": lambda _s, _a, _n: Refusal(_("The groups have begun already.")),
    "keep": _keep,
    "uncut": lambda _s, _a, _n: Refusal(
        _("Visits are equal: there is no re-cut to undo. Page Up undoes a press.")
    ),
    "burst": lambda _s, _a, _n: Refusal(_("Partner talk is for the mini lesson.")),
    "example": lambda _s, _a, _n: Refusal(_("Examples are counted in the mini lesson.")),
    "fill": lambda _s, _a, _n: Refusal(_("The Wall shows the groups now.")),
    "page-on": lambda _s, _a, _n: Refusal(_("There are no pages to turn now.")),
    "page-back": lambda _s, _a, _n: Refusal(_("There are no pages to turn now.")),
}
