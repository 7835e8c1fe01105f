"""Decides what a command leads to: events, or a refusal in plain words. Pure; it changes nothing."""

from collections.abc import Callable
from typing import get_args

from pacer.plan.durations import parse_duration
from pacer.plan.kinds import AFTER_MINI_LESSON, BURST_S
from pacer.plan.problems import clipped
from pacer.run import events as ev
from pacer.run import second_half
from pacer.run.refusal import Decision, Refusal
from pacer.run.state import LessonState
from pacer.run.timeline import SETTLE_MS
from pacer.text import N_, _

_ENDINGS: dict[str, ev.Ending] = {
    "": "unsaid", "unsaid": "unsaid", "done": "done", "moved-on": "moved on", "interrupted": "interrupted",
}  # fmt: skip
_FACES: tuple[ev.Face, ...] = get_args(ev.Face)
_EDGES: tuple[ev.Edge, ...] = get_args(ev.Edge)
MAX_PAGE = 9999
MAX_ADD_S = 3600
CUT_ANEW = "*"  # the name of no phase


def decide(state: LessonState, command: str, argument: str, now_ms: int) -> Decision:
    """What a command leads to at a time. Starting and undoing need the log and are the session's."""
    if state.outline is None:
        return Refusal(_("The lesson has not started."))
    if state.ended_ms is not None or (state.index is None and state.leg is None):
        return Refusal(_("The lesson has ended."))
    rule = (second_half.RULES.get(command) if state.leg is not None else None) or _RULES.get(command)
    if rule is None:
        return Refusal(_('There is no command "{name}".', name=clipped(command)))
    return rule(state, argument.strip(), now_ms)


def _next(state: LessonState, argument: str, _now: int) -> Decision:
    ending = _ENDINGS.get(argument)
    if ending is None or ending == "interrupted":
        return Refusal(_("A phase ends unsaid, done or moved-on."))
    if state.next_index is None and state.plan.has_second_half:
        return second_half.begin(state, "next", ending)
    return ev.Moved(to=state.next_index, ending=ending)


def _back(state: LessonState, _argument: str, _now: int) -> Decision:
    index = _running_index(state)
    if index == 0:
        return Refusal(_("This is the first phase."))
    before = next((i for i in range(index - 1, 0, -1) if i not in state.left), 0)
    return ev.Moved(to=before, ending="unsaid", how="back")


def _jump(state: LessonState, argument: str, _now: int) -> Decision:
    to = state.plan.index_of(argument)
    if to is None:
        to_half = second_half.jump(state, argument) if state.plan.has_second_half else None
        return to_half or _no_phase(argument)
    if to == state.index:
        return Refusal(_("This phase is running already."))
    return ev.Moved(to=to, ending="unsaid", how="jump")


def _no_phase(name: str) -> Refusal:
    return Refusal(_('There is no phase "{name}".', name=clipped(name)))


def _groups(state: LessonState, _argument: str, _now: int) -> Decision:
    """To what comes after the mini lesson: its legs, or the first phase; an outline without any ends here."""
    if state.plan.has_second_half:
        return second_half.begin(state, "groups")
    index = _running_index(state)
    if state.plan.phases[index].kind in AFTER_MINI_LESSON:
        return Refusal(_("The mini lesson is over already."))
    after = state.plan.mini_count
    return ev.Moved(to=after if after < len(state.plan.phases) else None, ending="unsaid", how="groups")


def _where(
    holds: Callable[[LessonState], bool], follow: Callable[[], ev.AnyBody], why_not: str
) -> Callable[[LessonState, str, int], Decision]:
    """A rule for a press of one meaning: its event where something holds, else why it can't be."""
    return lambda state, _argument, _now: follow() if holds(state) else Refusal(_(why_not))


def _seconds(argument: str) -> int | None:
    """A length of time up to an hour; None where the argument is none."""
    try:
        seconds = parse_duration(argument)
    except ValueError:
        return None
    return seconds if 0 < seconds <= MAX_ADD_S else None


def _change_time(argument: str, sign: int) -> Decision:
    """Give time to the running phase or, with a sign of -1, take it."""
    seconds = _seconds(argument)
    if seconds is None:
        return Refusal(_("Say how much, up to an hour."))
    return ev.TimeAdded(seconds=sign * seconds)


def _keep(state: LessonState, argument: str, _now: int) -> Decision:
    """Accept the re-cut. The argument names the phases that leave with it, by id, with commas between.

    ``CUT_ANEW`` instead asks for another one, from now on.
    """
    if argument == CUT_ANEW:
        return ev.CutKept(anew=True)
    if state.cut_choice == "kept" and not argument:
        return Refusal(_("This cut is kept already."))
    leaving = []
    for name in filter(None, (part.strip() for part in argument.split(","))):
        index = state.plan.index_of(name)
        if index is None:
            return _no_phase(name)
        if index <= _running_index(state):
            return Refusal(_("Only a phase that is still to come can leave."))
        if state.plan.phases[index].movable is None:
            return Refusal(_('The plan does not let "{name}" leave.', name=clipped(name)))
        leaving.append(index)
    return ev.CutKept(leaving=tuple(leaving))


def _burst(state: LessonState, argument: str, _now: int) -> Decision:
    """The next burst planned in this phase, or one of the usual length."""
    index = _running_index(state)
    planned = state.plan.phases[index].bursts
    started = sum(talk.index == index for talk in state.talks)
    burst = planned[min(started, len(planned) - 1)] if planned else None
    seconds = _seconds(argument) if argument else (burst.length_s if burst else BURST_S)
    if seconds is None:
        return Refusal(_("Say how long, up to an hour."))
    return ev.BurstStarted(length_s=seconds, prompt=burst.prompt if burst else "")


def _tally(_state: LessonState, argument: str, _now: int) -> Decision:
    if len(argument) == 1 and argument in "123456789":
        return ev.Tally(number=int(argument))
    return Refusal(_("Name the problem by a number from 1 to 9."))


def _wall(state: LessonState, argument: str, _now: int) -> Decision:
    if not argument:
        return ev.WallTurned(face=_FACES[(_FACES.index(state.face) + 1) % len(_FACES)])
    if argument not in _FACES:
        return Refusal(_("The Wall is full, strip or off."))
    return ev.WallTurned(face=argument)


def _fill(state: LessonState, argument: str, _now: int) -> Decision:
    """What fills the Wall: the next of what the phase has, or the one that is named."""
    fills = state.fills
    if not argument:
        if len(fills) == 1:
            return Refusal(_("This phase has no problem and no picture for the Wall."))
        return ev.FillTurned(fill=fills[(fills.index(state.filled_with) + 1) % len(fills)])
    if argument in fills:
        return ev.FillTurned(fill=argument)
    words = {"countdown": _("countdown"), "problem": _("problem"), "picture": _("picture")}
    choices = ", ".join(words[fill] for fill in fills)
    return Refusal(_("In this phase the Wall can show: {choices}.", choices=choices))


def _page(state: LessonState, _argument: str, step: int) -> Decision:
    phase = state.phase
    if phase is None or not phase.is_pdf:
        return Refusal(_("This phase has no pages to turn."))
    if state.filled_with != "picture":
        return Refusal(_("The Wall does not show the PDF now. C brings it."))
    if state.shown_page + step < 1:
        return Refusal(_("This is the first page."))
    return ev.PageTurned(page=min(MAX_PAGE, state.shown_page + step))


def next_edge(edge: ev.Edge) -> ev.Edge:
    """The edge that the strip goes to after another one."""
    return _EDGES[(_EDGES.index(edge) + 1) % len(_EDGES)]


def _strip(state: LessonState, argument: str, _now: int) -> Decision:
    if not argument:
        return ev.StripMoved(edge=next_edge(state.edge or "bottom"))
    if argument not in _EDGES:
        return Refusal(_("The strip lies at the bottom, top, left or right."))
    return ev.StripMoved(edge=argument)


def _settled(state: LessonState, _argument: str, now_ms: int) -> Decision:
    """A press long after the burst is a slip: no class takes so long."""
    took_ms = state.settling_for_ms(now_ms)
    if took_ms is None or took_ms > SETTLE_MS:
        return Refusal(_("No partner talk has just ended."))
    return ev.Settled()


def _here(state: LessonState, _argument: str, now_ms: int) -> Decision:
    return ev.Here() if state.is_quiet(now_ms) else Refusal(_("Nothing was asked."))


def _end(_state: LessonState, argument: str, _now: int) -> Decision:
    ending = _ENDINGS.get(argument)
    if ending is None:
        return Refusal(_("A lesson ends unsaid, done, moved-on or interrupted."))
    return ev.Ended(ending=ending)


def _running_index(state: LessonState) -> int:
    index = state.index
    if index is None:
        raise LookupError("no phase is running")
    return index


_RULES: dict[str, Callable[[LessonState, str, int], Decision]] = {
    "next": _next,
    "back": _back,
    "jump": _jump,
    "groups": _groups,
    "pause": _where(lambda s: not s.is_paused, ev.Paused, N_("The lesson is paused already.")),
    "go-on": _where(lambda s: s.is_paused, ev.WentOn, N_("The lesson is not paused.")),
    "add": lambda _s, argument, _n: _change_time(argument or "1:00", 1),
    "take": lambda _s, argument, _n: _change_time(argument or "0:30", -1),
    "keep": _keep,
    "uncut": _where(
        lambda s: s.cut_choice != "declined", ev.CutDeclined, N_("The written budgets stand already.")
    ),
    "burst": _burst,
    "eyes-back": _where(lambda s: s.talk is not None, ev.EyesBack, N_("No partner talk is running.")),
    "voice": lambda _s, _a, _n: ev.Voice(),
    "example": lambda _s, _a, _n: ev.Example(),
    "tally": _tally,
    "table-mark": lambda _s, _a, _n: ev.TableMark(),
    "happened": lambda _s, _a, _n: ev.Happened(),
    "hide": _where(lambda s: not s.hidden, lambda: ev.TimeHidden(hidden=True), N_("Time is hidden already.")),
    "show": _where(lambda s: s.hidden, lambda: ev.TimeHidden(hidden=False), N_("Time is shown already.")),
    "wall": _wall,
    "fill": _fill,
    "page-on": lambda s, a, _n: _page(s, a, 1),
    "page-back": lambda s, a, _n: _page(s, a, -1),
    "strip": _strip,
    "blank": lambda s, _a, _n: ev.Unblanked() if s.is_blank else ev.Blanked(),
    "settled": _settled,
    "half-ready": lambda _s, _a, _n: ev.HalfReady(),
    "here": _here,
    "missed": second_half.missed,
    "bell-later": lambda s, a, n: second_half.move_bell(s, a, n, 1),
    "bell-earlier": lambda s, a, n: second_half.move_bell(s, a, n, -1),
    "tick": second_half.tick,
    "bell-now": lambda s, _a, now_ms: ev.BellRang(offset_s=round((now_ms - s.bell_ms) / 1000)),
    "end": _end,
}
