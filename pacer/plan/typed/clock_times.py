"""Times of day in a typed outline, "9:00 Warm-up" and "9:00–9:05 Warm-up", made into lengths."""

import re
from collections.abc import Callable, Sequence
from itertools import pairwise

from pacer.plan.typed.clocks_in_text import between_s
from pacer.plan.typed.line import ParsedLine, read_after_clock, take_time, trimmed_before
from pacer.plan.typed.line_time import read_time
from pacer.plan.typed.plain_signs import neat, shadow
from pacer.plan.typed.vocabulary import END_WORDS, PAUSE_WORDS, TIME_OF_DAY_AFTER, folded
from pacer.text import _

_LONGEST_STEP_S = 3600
_EARLIEST_BARE_HOUR = 7
_DAY = 24 * 60
_HOURS, _SECONDS = 1, 2  # leading times are hours and minutes, or minutes and seconds from zero
_MINUTES = r"(?:min(?:ute)?[ns]?|minutos?|minuti|mins)\.?"
_OFFSET = (
    rf"(?P<named>{_MINUTES} ?)?(?P<a>\d{{1,3}}) ?(?:'|{_MINUTES})? ?(?:-|to|a|à|bis|→) ?(?P<b>\d{{1,3}})"
    rf" ?(?:'|{_MINUTES}(?!\w))?(?!\w|[:/.]\d)"
)
_OFFSET_LEAD = re.compile(rf"[\s(\[*_]{{0,3}}{_OFFSET}")
_OFFSET_NAMED = re.compile(_OFFSET.replace(r"} ?)?(?P<a>", r"} ?)(?P<a>").replace(" ?)?(?P<a>", " ?)(?P<a>"))
_LONG_RANGE = re.compile(r"[\s(\[]{0,3}(\d{1,3}):(\d{2}) ?(?:-|to|→) ?(\d{1,3}):(\d{2})[)\]]?(?![\w:])")
_START = re.compile(
    rf"\s{{0,9}}(?:{_MINUTES} ?|t ?)?\+? ?(\d{{1,3}})(?:'| ?{_MINUTES})?(?![\w.)/-]|:\d)\s{{0,3}}[:|-]?"
    r"\s{1,3}(?=[^\W\d])"
)
_FEWEST_STARTS = 3
_OFFSET_TAIL = re.compile(rf"[(\[]{_OFFSET}[)\]]")


def resolve_clocks(lines: list[ParsedLine]) -> None:
    """Give every line with a time of day its length: to its own end, or to the next line's beginning.

    Times that begin at 0:00 are counted from the start of the lesson, in hours and minutes or, where that
    would be too long, in minutes and seconds.
    """
    timed = [line for line in lines if line.begin_min is not None]
    scale = _scale(timed)
    timed = [line for line in timed if line.begin_min is not None]
    for line in timed:
        if not scale:
            _doubt_lead(line)
        elif line.lead_min is not None:
            read_after_clock(line)
    _tell_pauses(lines, [line for line in timed if not scale or len(timed) == 1])
    starts = [line for line in timed if line.start_min is not None and not line.what]
    for at, line in enumerate(starts):
        following = starts[at + 1].start_min if at + 1 < len(starts) else None
        is_pause = following is None and at > 0 and line.end_min is None and bool(_words(line) & PAUSE_WORDS)
        is_end = at > 0 and _says_end(line) and (following is None or len(_words(line)) == 1)
        if line.end_min is None and (is_end or is_pause):
            line.what = "total"
            line.said_s = _length_s(starts[0].start_min or 0, line.start_min or 0, scale)
            if is_pause and not _says_end(line):
                line.why = _("Read as the end of the lesson: nothing says how long it takes.")
        else:
            _set_length(line, following, scale)


def _length_s(start: int, end: int, scale: int) -> int:
    return end - start if scale == _SECONDS else between_s(start, end)


def _tell_pauses(lines: Sequence[ParsedLine], timed: Sequence[ParsedLine]) -> None:
    """ "8:15 bell" and "Lunch 11:05-11:35" beside minutes say when, and time nothing."""
    others = sum(line.has_time and line.lead_min is None for line in lines)
    for line in timed if others > 1 else ():
        is_day = (line.begin_min or 0) >= _EARLIEST_BARE_HOUR * 60 or line.end_min is not None
        if _words(line) & TIME_OF_DAY_AFTER and is_day:
            line.what, line.why = "heading", _("Read as a time of day, not as minutes.")
        elif line.end_min is not None and len(timed) == 1:
            line.doubts.append(_("Read from its times of day; the other lines have minutes."))


def _words(line: ParsedLine) -> set[str]:
    return set(folded(line.title))


def _scale(timed: Sequence[ParsedLine]) -> int:
    """What leading times are; 0 where they are neither times of day nor counted from the start."""
    starts = [line.begin_min for line in timed]
    if 0 in starts[1:2]:  # a line about the plan may stand above it
        timed[0].lead_min = None
        return _scale(timed[1:])
    if not starts or starts[0] is None:
        return 0
    if starts[0] == 0 and len(starts) > 1:
        ups = [(b or 0) - (a or 0) for a, b in pairwise(starts)]
        lasts = [line.end_min - (line.start_min or 0) for line in timed if line.end_min is not None]
        if all(up > 0 for up in ups):
            return _SECONDS if max([*ups, *lasts]) * 60 > _LONGEST_STEP_S else _HOURS
    is_day = _is_schedule(timed) or all(line.lead_min is None for line in timed)
    return _HOURS if is_day else 0


def resolve_offsets(lines: Sequence[ParsedLine]) -> None:
    """Give lines with minutes counted from the start their lengths: "0–5 Hook", "Minutes 5–12: Review"."""
    _take_starts(lines)
    _take_long_ranges(lines)
    timed = _matching(lines, lambda line: _offset(shadow(line.words)))
    ends = [(int(match["a"]), int(match["b"])) for _line, match in timed]
    chained = sum(a[1] == b[0] for a, b in pairwise(ends))
    is_chain = len(ends) > 1 and chained == len(ends) - 1 and (ends[0][0] == 0 or len(ends) > 2)
    for (line, match), (first, last) in zip(timed, ends, strict=True):
        if first >= last or not (is_chain or (match["named"] and line.start_min is None)):
            continue
        before, after = trimmed_before(line.words[: match.start()]), line.words[match.end() :]
        title = " ".join(filter(None, (before, after.lstrip(" \t)]},;:.-–—"))))
        line.title, line.class_line, line.doubts = neat(title), "", [*line.kept_doubts]
        line.seconds, line.has_time, line.timing = (last - first) * 60, True, None
        line.lead_min = line.start_min = line.end_min = None
        if not is_chain:
            line.doubts.append(_("Read as minutes counted from the start."))


def _matching(
    lines: Sequence[ParsedLine], match_of: Callable[[ParsedLine], re.Match[str] | None]
) -> list[tuple[ParsedLine, re.Match[str]]]:
    """The lines that may hold times as they are typed, and do."""
    free = (line for line in lines if not (line.is_quoted or line.is_note or line.is_row))
    return [(line, match) for line in free if (match := match_of(line))]


def _offset(low: str) -> re.Match[str] | None:
    return _OFFSET_LEAD.match(low) or _OFFSET_TAIL.search(low) or _OFFSET_NAMED.search(low)


def _take_long_ranges(lines: Sequence[ParsedLine]) -> None:
    """ "0:00-5:00", "5:00-15:00": minutes and seconds from zero, as hours they would be too long."""
    timed = _matching(lines, lambda line: _LONG_RANGE.match(shadow(line.words)))
    figures = [tuple(map(int, match.groups())) for _line, match in timed]
    ends = [(a * 60 + b, c * 60 + d) for a, b, c, d in figures]
    is_chain = len(ends) > 1 and ends[0][0] == 0 and all(a[1] == b[0] for a, b in pairwise(ends))
    if not is_chain or max(b - a for a, b in ends) * 60 <= _LONGEST_STEP_S:
        return
    for (line, match), (first, last) in zip(timed, ends, strict=True):
        line.title, line.class_line, line.doubts = neat(line.words[match.end() :].lstrip(" :.-–—")), "", []
        line.seconds, line.has_time, line.timing = last - first, True, None
        line.lead_min = line.start_min = line.end_min = None


def _take_starts(lines: Sequence[ParsedLine]) -> None:
    """ "+0 Welcome", "+5 Warm-up", "0 Hook", "5 Teach": minutes from the start that go up from zero."""
    timed = _matching(lines, lambda line: _START.match(shadow(line.clean)))
    starts = [int(match[1]) for _line, match in timed]
    if len(starts) < _FEWEST_STARTS or starts[0] != 0 or any(b <= a for a, b in pairwise(starts)):
        return
    for (line, match), start in zip(timed, starts, strict=True):
        line.start_min, line.end_min, line.lead_min = start, None, None
        line.timing, line.seconds, line.has_time, line.class_line = None, None, False, ""
        line.words, line.mark, line.doubts = line.clean[match.end() :], "", [*line.kept_doubts]
        line.title = neat(line.words)


def _doubt_lead(line: ParsedLine) -> None:
    """Show a "9:05" at the beginning that is read as m:ss and looks like a time of day all the same."""
    timing = line.timing
    if timing is None or timing.how != "colon" or timing.place != "lead":
        return
    if line.lead_min is not None and line.lead_min >= _EARLIEST_BARE_HOUR * 60:
        line.doubts.append(_("Read as minutes and seconds, not as a time of day."))


def _is_schedule(timed: Sequence[ParsedLine]) -> bool:
    """Whether times at the beginning of lines are times of day and not m:ss.

    They are when each is less than an hour after the one before and something says so: an hour from 7 on,
    "am" or "pm", a range, or a line that says "end".
    """
    starts = [line.begin_min for line in timed]
    if len(starts) < 2 or starts[0] is None or any((start or 0) >= _DAY for start in starts):
        return False
    steps = [between_s(a or 0, b or 0) for a, b in pairwise(starts)]
    if not all(0 < step < _LONGEST_STEP_S for step in steps):
        return False
    says_so = any(line.is_surely_clock or _says_end(line) for line in timed)
    return says_so or starts[0] >= _EARLIEST_BARE_HOUR * 60


def _says_end(line: ParsedLine) -> bool:
    words = folded(line.title)
    return bool(words) and len(words) <= 3 and words[0] in END_WORDS


def _set_length(line: ParsedLine, following: int | None, scale: int) -> None:
    """The length of one line of the day; minutes that are written there all the same win."""
    end = following if line.end_min is None else line.end_min
    length = None if end is None else _length_s(line.start_min or 0, end, scale)
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
