"""Times of day in a typed line: a range anywhere, or one at the beginning."""

import re
from typing import NamedTuple

from pacer.plan.typed.vocabulary import CLOCK_LEADS, folded

_CLOCK = r"(\d{1,2})(?:([:.h])(\d{2}))? ?([ap]\.?m\b\.?)?"
_CLOCK_RANGE = re.compile(
    rf"(?<![\w:.]){_CLOCK}(?: uhr)? ?(?:-|to|until|till|bis|a|à|as|→|>|->) ?(\d{{1,2}})([:.h])(\d{{2}}) ?"
    r"([ap]\.?m\b\.?|uhr\b)?"
    r"(?!\w|:\d| ?(?:mins?|minutes|h|s)\b|\.\d)"
)
_CLOCK_LEAD = re.compile(
    r"[(\[]?(\d{1,2})[:h.](\d{2}) ?([ap]\.?m\b\.?|uhr\b)?[)\]]?(?![\w:.])"
    r"(?! ?(?:mins?\b|minutes?\b|minut|h\b|s\b))"
)
_TO_HOUR = re.compile(
    r"(\d{1,2})[:.h](\d{2}) ?(?:-|to|a|à|bis) ?(\d{1,2})(?![\d:.,/\w]| ?(?:min|m\b|h\b|s\b|'|sec))"
)
_LONGEST_TO_HOUR_S = 90 * 60
_FOUR_FIGURES = re.compile(r"(?<![\w:.])([01]\d|2[0-3])([0-5]\d) ?- ?([01]\d|2[0-3])([0-5]\d)(?![\w:.])")
_DAY_HALF = 12 * 60


class ClockRange(NamedTuple):
    """From when to when, in minutes from midnight, and where in the line that stands."""

    start_min: int
    end_min: int
    place: tuple[int, int]


class LeadingClock(NamedTuple):
    """What may be a time of day, in minutes from midnight, where it ends, and whether it is nothing else."""

    minute: int
    end: int
    is_sure: bool


def clock_range(low: str) -> ClockRange | None:
    """The range of times of day in a line, given in its shadow."""
    for match in _CLOCK_RANGE.finditer(low):
        first, last = _minute(match[1], match[3], match[4]), _minute(match[5], match[7], match[8])
        is_even = match[2] in (match[6], None) and not (match[2] is None and match[6] == ".")
        if first is None or last is None or not is_even or not _stands_apart(low, match):
            continue
        is_bracketed = low[match.start() - 1 : match.start()] in ("(", "[")
        return ClockRange(first, last, (match.start() - is_bracketed, match.end()))
    hour = _TO_HOUR.match(low)
    if hour is not None:
        first, last = _minute(hour[1], hour[2], None), _minute(hour[3], None, None)
        if first is not None and last is not None and 0 < between_s(first, last) <= _LONGEST_TO_HOUR_S:
            return ClockRange(first, last, (0, hour.end()))
    four = _FOUR_FIGURES.search(low)
    if four is None:
        return None
    first, last = int(four[1]) * 60 + int(four[2]), int(four[3]) * 60 + int(four[4])
    return ClockRange(first, last, four.span())


def leading_clock(low: str) -> LeadingClock | None:
    """A time of day at the beginning of a line, or what looks like one."""
    lead = _CLOCK_LEAD.match(low)
    if lead is None or (minute := _minute(lead[1], lead[2], lead[3], most=99)) is None:
        return None
    return LeadingClock(minute, lead.end(), bool(lead[3]))


def _stands_apart(low: str, match: re.Match[str]) -> bool:
    """Whether a range of times begins or ends a line, or stands in brackets: within a sentence it is told."""
    before, after = folded(low[: match.start()]), low[match.end() :].strip(" .,;:)]!")
    is_bracketed = low[match.start() - 1 : match.start()] in ("(", "[") and match.start() > 0
    return is_bracketed or not after or CLOCK_LEADS.issuperset(before)


def _minute(hour: str, minute: str | None, half: str | None, most: int = 23) -> int | None:
    """A time of day in minutes from midnight; None where there is no such time."""
    hours, minutes = int(hour), int(minute or 0)
    if hours > most or minutes > 59:
        return None
    if half and half[0] in "ap":
        hours = hours % 12 + (12 if half.startswith("p") else 0)
    return hours * 60 + minutes


def between_s(start_min: int, end_min: int) -> int:
    """Seconds from one time of day to a later one; past noon the hours may begin again."""
    return (end_min - start_min) % _DAY_HALF * 60
