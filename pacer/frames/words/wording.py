"""Times and stages in words, the same on every window."""

from datetime import UTC, datetime, timedelta
from typing import TYPE_CHECKING

from pacer.plan.durations import format_duration
from pacer.text import _, counted

if TYPE_CHECKING:  # nothing of a lesson is loaded for the words of the first page
    from pacer.pace.stages import Stage
    from pacer.run.events import Ending, Mode


def lessons_words(count: int) -> str:
    """``8 lessons``."""
    return counted("{n} lesson", "{n} lessons", count)


def hour_minute(at: datetime) -> str:
    """A clock time, ``9:05``."""
    return f"{at.hour}:{at.minute:02d}"


def whole_seconds(ms: int) -> int:
    """Milliseconds left as the whole seconds to show: a second counts until it is over."""
    return -(-ms // 1000)


def countdown(ms: int) -> str:
    """Time left for children, ``m:ss``; never below zero."""
    return format_duration(max(0, whole_seconds(ms)))


def signed(seconds: int) -> str:
    """Time left for the teacher: ``3:48``, or ``+1:10`` once it is over."""
    return f"+{format_duration(-seconds)}" if seconds < 0 else format_duration(seconds)


def local_time(utc_ms: int, offset_s: int) -> datetime:
    """The time on the classroom's clock."""
    return datetime.fromtimestamp(utc_ms / 1000, UTC) + timedelta(seconds=offset_s)


def over_words(seconds: int | None) -> str:
    """Seconds past a plan, ``+1:10`` or ``−0:20``; empty for what was not reached."""
    if seconds is None:
        return ""
    sign = "+" if seconds > 0 else "−" if seconds < 0 else ""
    return sign + format_duration(abs(seconds))


def signed_change(seconds: int) -> str:
    """A change of an allotment: ``−1:30`` or ``+0:15``."""
    return ("−" if seconds < 0 else "+") + format_duration(abs(seconds))


def took_words(seconds: int, *, cut_off: bool, reached: bool) -> str:
    """How long a phase took; at least so long when it was cut off."""
    if not reached:
        return ""
    return ("≥ " if cut_off else "") + format_duration(seconds)


def mode_words(mode: "Mode") -> str:
    """What kind of lesson a day record is of; nothing for an ordinary one."""
    return {"live": "", "rehearsal": _("rehearsal"), "demo": _("invented"), "baseline": _("baseline")}[mode]


def clock_words(utc_ms: int, offset_s: int) -> str:
    """A time of day as on a classroom clock, ``9:14``: the minute that has begun."""
    minute = (utc_ms // 1000 + offset_s) // 60 % (24 * 60)
    return f"{minute // 60}:{minute % 60:02d}"


def clock_seconds(utc_ms: int, offset_s: int) -> str:
    """The same with seconds, ``09:14:30``, for tables and JSON."""
    second = (utc_ms // 1000 + offset_s) % 86_400
    return f"{second // 3600:02d}:{second // 60 % 60:02d}:{second % 60:02d}"


def stage_word(stage: "Stage") -> str:
    """The word the Desk shows for a stage."""
    return {
        "ready": _("READY"),
        "steady": _("STEADY"),
        "closing": _("CLOSING"),
        "borrowing": _("BORROWING"),
        "move_on": _("MOVE ON"),
        "paused": _("PAUSED"),
        "ended": _("ENDED"),
    }[stage]


def ending_words(ending: "Ending | None") -> str:
    """How a phase ended, for tables."""
    if ending is None:
        return _("not yet")
    return {
        "done": _("done"),
        "moved on": _("moved on"),
        "unsaid": _("nobody said"),
        "bell": _("bell"),
        "interrupted": _("interrupted"),
        "skipped": _("skipped"),
    }[ending]


def ago_words(seconds: int) -> str:
    """How long ago something was, in the largest fitting unit: ``20 s``, ``14 min``, ``3 h``, ``2 days``."""
    if seconds < 60:
        return _("{n} s", n=seconds)
    if seconds < 3600:
        return _("{n} min", n=seconds // 60)
    if seconds < 86_400:
        return _("{n} h", n=seconds // 3600)
    return counted("{n} day", "{n} days", seconds // 86_400)
