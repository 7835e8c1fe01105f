"""What the Desk answers to a press that was followed: a few words for three metres."""

from pacer.frames.words import wording
from pacer.frames.words.wording import signed_change
from pacer.run import events as ev
from pacer.run.events import Event
from pacer.run.state import LessonState
from pacer.text import _


def answer_words(before: LessonState, after: LessonState, event: Event, undone: Event | None) -> str:
    """The answer to the press that became an event; ``undone`` is the event that it took back, if any."""
    if undone is None:
        return _press_words(after, event.body)
    return _("Undone: {press}", press=_press_words(before, undone.body))


def _press_words(state: LessonState, body: ev.AnyBody) -> str:
    """A press in a few words."""
    match body:
        case ev.Started():
            return _("Started")
        case ev.Moved(how=how, ending=ending) | ev.LegBegan(how=how, ending=ending):
            asked = {"back": _("Back"), "jump": _("Jump"), "groups": _("Groups")}
            endings = {"done": _("Next, done"), "moved on": _("Next, moved on")}
            return asked.get(how) or endings.get(ending) or _("Next")
        case ev.TimeAdded(seconds=seconds):
            return signed_change(seconds)
        case ev.Tally(number=number):
            return _("Stuck on {number}: {n}", number=number, n=_tallies(state, number))
        case ev.TableMark():
            return _("Table mark {n}", n=state.count("table_mark"))
        case ev.Example():
            return _("Example {n}", n=state.count("example", state.index or 0))
        case ev.Voice():
            return _("Child’s voice {n}", n=state.count("voice"))
        case ev.Happened():
            return _("Something happened")
        case ev.Paused():
            return _("Paused")
        case ev.WentOn():
            return _("Going on")
        case ev.CutKept():
            return _("Kept")
        case ev.CutDeclined():
            return _("Written times again")
        case ev.BurstStarted(length_s=length):
            return _("Partners {time}", time=wording.countdown(length * 1000))
        case ev.EyesBack():
            return _("Eyes back")
        case ev.Settled():
            return _("All eyes back")
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
            edges = {"bottom": _("Strip below"), "top": _("Strip above")}
            return edges.get(edge) or {"left": _("Strip left"), "right": _("Strip right")}[edge]
        case ev.Blanked():
            return _("Wall blank")
        case ev.Unblanked():
            return _("Wall back")
        case ev.GroupLeftOut():
            return _("No visit today")
        case ev.BellMoved():
            at = wording.clock_words(state.utc_ms(state.bell_ms), state.utc_offset_s)
            return _("Bell at {time}", time=at)
        case ev.ListTicked():
            return _("Ticked")
        case ev.BellRang() | ev.Ended():
            return _("Ended")
        case ev.HalfReady():
            return _("Half are ready")
        case ev.Here():
            return _("Still so")
        case ev.Gap():
            return _("time away")
    return _("Done")


def _tallies(state: LessonState, number: int) -> int:
    return sum(mark.kind == "tally" and mark.number == number for mark in state.marks)
