"""Times of day in a typed outline, "9:00 Warm-up" and "9:00–9:05 Warm-up", made into lengths."""

from itertools import pairwise

from pacer.plan.typed.durations_in_text import read_time
from pacer.plan.typed.line import ParsedLine, between_s, read_after_clock, shadow, take_time
from pacer.plan.typed.vocabulary import END_WORDS, folded
from pacer.text import _

_LONGEST_STEP_S = 3600
_EARLIEST_BARE_HOUR = 7


def resolve_clocks(lines: list[ParsedLine]) -> None:
    """Give every line with a time of day its length: to its own end, or to the next line's beginning."""
    timed = [line for line in lines if line.lead_min is not None or line.start_min is not None]
    if _is_schedule(timed):
        for line in timed:
            if line.lead_min is not None:
                read_after_clock(line)
    else:
        for line in timed:
            _doubt_lead(line)
    starts = [line for line in timed if line.start_min is not None]
    for at, line in enumerate(starts):
        following = starts[at + 1].start_min if at + 1 < len(starts) else None
        if line.end_min is None and _says_end(line):
            line.what = "total"
            line.said_s = between_s(starts[0].start_min or 0, line.start_min or 0)
        else:
            _set_length(line, following)


def _doubt_lead(line: ParsedLine) -> None:
    """Show a "9:05" at the beginning that is read as m:ss and looks like a time of day all the same."""
    timing = line.timing
    if timing is None or timing.how != "colon" or timing.place != "lead":
        return
    if line.lead_min is not None and line.lead_min >= _EARLIEST_BARE_HOUR * 60:
        line.doubts.append(_("Read as minutes and seconds, not as a time of day."))


def _is_schedule(timed: list[ParsedLine]) -> bool:
    """Whether times at the beginning of lines are times of day and not m:ss.

    They are when each is less than an hour after the one before and something says so: an hour from 7 on,
    "am" or "pm", a range, or a line that says "end".
    """
    starts = [line.lead_min if line.start_min is None else line.start_min for line in timed]
    if len(starts) < 2 or starts[0] is None:
        return False
    steps = [between_s(a or 0, b or 0) for a, b in pairwise(starts)]
    if not all(0 < step < _LONGEST_STEP_S for step in steps):
        return False
    says_so = any(line.is_surely_clock or _says_end(line) for line in timed)
    return says_so or starts[0] >= _EARLIEST_BARE_HOUR * 60


def _says_end(line: ParsedLine) -> bool:
    words = folded(line.title)
    return bool(words) and len(words) <= 3 and words[0] in END_WORDS


def _set_length(line: ParsedLine, following: int | None) -> None:
    """The length of one line of the day; minutes that are written there all the same win."""
    end = following if line.end_min is None else line.end_min
    length = None if end is None else between_s(line.start_min or 0, end)
    text = line.words if line.end_min is None else line.title
    own = read_time(shadow(text))
    if own is not None and not line.is_row and (own.is_plain or own.seconds == length):
        take_time(line, text, shadow(text))
        if length is not None and line.seconds != length:
            line.doubts.append(_("The minutes differ from the times of day: the minutes are taken."))
        return
    if length is None:
        line.is_open = True
        line.doubts.append(_("Nothing says when this ends: add minutes, or a last line such as 9:25 end."))
        return
    line.seconds, line.has_time = length, True
    if line.end_min is not None and following is not None and following != line.end_min:
        line.doubts.append(_("This does not end when the next line begins."))
