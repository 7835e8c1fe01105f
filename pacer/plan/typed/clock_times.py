"""Times of day in a typed outline, "9:00 Warm-up" and "9:00–9:05 Warm-up", made into lengths."""

from itertools import pairwise

from pacer.plan.typed.durations_in_text import read_time
from pacer.plan.typed.line import ParsedLine, between_s, read_after_clock, shadow, take_time
from pacer.plan.typed.vocabulary import END_WORDS, folded
from pacer.text import _

_LONGEST_STEP_S = 3600
_EARLIEST_BARE_HOUR = 7


def resolve_clocks(bits: list[ParsedLine]) -> None:
    """Give every line with a time of day its length: to its own end, or to the next line's beginning."""
    timed = [bit for bit in bits if bit.lead_min is not None or bit.start_min is not None]
    if _is_schedule(timed):
        for bit in timed:
            if bit.lead_min is not None:
                read_after_clock(bit)
    else:
        for bit in timed:
            _doubt_lead(bit)
    line = [bit for bit in timed if bit.start_min is not None]
    for at, bit in enumerate(line):
        following = line[at + 1].start_min if at + 1 < len(line) else None
        if bit.end_min is None and _says_end(bit):
            bit.what = "total"
            bit.said_s = between_s(line[0].start_min or 0, bit.start_min or 0)
        else:
            _measure(bit, following)


def _doubt_lead(bit: ParsedLine) -> None:
    """Show a "9:05" at the beginning that is read as m:ss and looks like a time of day all the same."""
    timing = bit.timing
    if timing is None or timing.how != "colon" or timing.place != "lead":
        return
    if bit.lead_min is not None and bit.lead_min >= _EARLIEST_BARE_HOUR * 60:
        bit.doubts.append(_("Read as minutes and seconds, not as a time of day."))


def _is_schedule(timed: list[ParsedLine]) -> bool:
    """Whether times at the beginning of lines are times of day and not m:ss.

    They are when each is less than an hour after the one before and something says so: an hour from 7 on,
    "am" or "pm", a range, or a line that says "end".
    """
    starts = [bit.lead_min if bit.start_min is None else bit.start_min for bit in timed]
    if len(starts) < 2 or starts[0] is None:
        return False
    steps = [between_s(a or 0, b or 0) for a, b in pairwise(starts)]
    if not all(0 < step < _LONGEST_STEP_S for step in steps):
        return False
    says_so = any(bit.is_surely_clock or _says_end(bit) for bit in timed)
    return says_so or starts[0] >= _EARLIEST_BARE_HOUR * 60


def _says_end(bit: ParsedLine) -> bool:
    words = folded(bit.title)
    return bool(words) and len(words) <= 3 and words[0] in END_WORDS


def _measure(bit: ParsedLine, following: int | None) -> None:
    """The length of one line of the day; minutes that are written there all the same win."""
    end = following if bit.end_min is None else bit.end_min
    length = None if end is None else between_s(bit.start_min or 0, end)
    text = bit.words if bit.end_min is None else bit.title
    own = read_time(shadow(text))
    if own is not None and not bit.is_row and (own.is_plain or own.seconds == length):
        take_time(bit, text, shadow(text))
        if length is not None and bit.seconds != length:
            bit.doubts.append(_("The minutes differ from the times of day: the minutes are taken."))
        return
    if length is None:
        bit.is_open = True
        bit.doubts.append(_("Nothing says when this ends: add minutes, or a last line such as 9:25 end."))
        return
    bit.seconds, bit.has_time = length, True
    if bit.end_min is not None and following is not None and following != bit.end_min:
        bit.doubts.append(_("This does not end when the next line begins."))
