"""What the Desk answers to a press that was followed: a few words for three metres."""

from pacer.frames.words import wording
from pacer.frames.words.wording import signed_change
from pacer.run import events as ev
from pacer.run.events import Event
from pacer.run.state import LessonState
from pacer.text import N_, _

_PLAIN: dict[type[ev.Body], str] = {
    ev.Started: N_("Started"), ev.Happened: N_("Something happened"), ev.Paused: N_("Paused"),
    ev.WentOn: N_("Going on"), ev.CutKept: N_("Kept"), ev.CutDeclined: N_("Written times again"),
    ev.EyesBack: N_("Eyes back"), ev.Settled: N_("All eyes back"), ev.Blanked: N_("Wall blank"),
    ev.Unblanked: N_("Wall back"), ev.GroupLeftOut: N_("No visit today"), ev.ListTicked: N_("Ticked"),
    ev.BellRang: N_("Ended"), ev.Ended: N_("Ended"), ev.HalfReady: N_("Half are ready"),
    ev.Here: N_("Still so"), ev.Gap: N_("time away"),
}  # fmt: skip


def answer_words(before: LessonState, after: LessonState, event: Event, undone: Event | None) -> str:
    """The answer to the press that became an event; ``undone`` is the event that it took back, if any."""
    if undone is None:
        return _press_words(after, event.body)
    return _("Undone: {press}", press=_press_words(before, undone.body))


def _press_words(state: LessonState, body: ev.AnyBody) -> str:
    if type(body) in _PLAIN:
        return _(_PLAIN[type(body)])
    match body:
        case ev.Moved(how=how, ending=ending) | ev.LegBegan(how=how, ending=ending):
            asked = {"back": _("Back"), "jump": _("Jump"), "groups": _("Groups")}
            endings = {"done": _("Next, done"), "moved on": _("Next, moved on")}
            return asked.get(how) or endings.get(ending) or _("Next")
        case ev.TimeAdded(seconds=seconds):
            return signed_change(seconds)
        case ev.Tally(number=number):
            n = sum(mark.kind == "tally" and mark.number == number for mark in state.marks)
            return _("Stuck on {number}: {n}", number=number, n=n)
        case ev.TableMark():
            return _("Table mark {n}", n=state.count("table_mark"))
        case ev.Example():
            return _("Example {n}", n=state.count("example", state.index or 0))
        case ev.Voice():
            return _("Child’s voice {n}", n=state.count("voice"))
        case ev.BurstStarted(length_s=length):
            return _("Partners {time}", time=wording.countdown(length * 1000))
        case ev.TimeHidden(hidden=hidden):
            return _("Time hidden") if hidden else _("Time shown")
        case ev.WallTurned(face=face):
            return {"full": _("Wall full"), "strip": _("Wall strip"), "off": _("Wall off")}[face]
        case ev.FillTurned(fill=fill):
            words = {"countdown": _("Countdown"), "problem": _("Problem"), "picture": _("Picture")}
            return words[fill]
        case ev.PageTurned(page=page):
            return _("Page {n}", n=page)
        case ev.StripMoved(edge=edge):
            return {"bottom": _("Strip below"), "top": _("Strip above"), "left": _("Strip left"),
                    "right": _("Strip right")}[edge]  # fmt: skip
        case ev.BellMoved():
            at = wording.clock_words(state.utc_ms(state.bell_ms), state.utc_offset_s)
            return _("Bell at {time}", time=at)
    return _("Done")
