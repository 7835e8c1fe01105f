"""Reads the times that are typed while a lesson is repaired: a time of day, or how long a visit took."""

import re

from pacer.frames.after_school.timeline import Border, Timeline
from pacer.plan.durations import parse_duration
from pacer.text import _

_CLOCK = re.compile(r"(\d{1,2})[:.h](\d{2})(?:[:.](\d{2}))?\s*(?:([ap])\.?\s*m\.?)?", re.IGNORECASE)
_DAY_S, _HALF_DAY_S = 86_400, 43_200


class OddTimeError(ValueError):
    """What was typed is no time that fits; the message says so in plain words."""


def read_end(line: Timeline, border: Border, text: str) -> int:
    """The lesson time in ms at which a visit ends: ``9:14``, ``9:14:30``, or ``+4:30`` after it began.

    Raises OddTimeError.
    """
    text = text.strip()
    if text.startswith("+"):
        return read_took(line, border, text)
    return _in_room(line, border, read_clock(line, text, border.room))


def read_begin(line: Timeline, border: Border, text: str) -> int:
    """The lesson time in ms at which the lesson really began: a time of day. Raises OddTimeError."""
    low, high = border.room
    t_ms = read_clock(line, text.strip(), (low, high))
    if low <= t_ms <= high:
        return t_ms
    words = _("The lesson may begin at {low} at the earliest and at {high} at the latest.")
    raise OddTimeError(words.format(low=line.clock(low), high=line.clock(high)))


def read_took(line: Timeline, border: Border, text: str) -> int:
    """The same from how long the visit took: ``4:30``, ``4`` minutes, ``+4:30``. Raises OddTimeError."""
    text = text.strip().removeprefix("+").strip()
    try:
        seconds = parse_duration(text)
    except ValueError as error:
        raise OddTimeError(
            _("“{text}” is no length. Type minutes and seconds, for example 4:30.", text=text)
        ) from error
    begin_ms = line.pieces[border.visit].begin_ms
    # Counted from the second that is shown, so that began and took add up to ended.
    whole_ms = (line.clock_ms + begin_ms) // 1000 * 1000 - line.clock_ms
    return _in_room(line, border, whole_ms + seconds * 1000)


def read_within(line: Timeline, visit: int, text: str) -> int:
    """A lesson time in ms within a visit, neither its begin nor its end. Raises OddTimeError."""
    piece, text = line.pieces[visit], text.strip()
    room = (piece.begin_ms, piece.end_ms)
    border = Border(visit, piece.end_ms, room, None)
    t_ms = read_took(line, border, text) if text.startswith("+") else read_clock(line, text, room)
    if not room[0] < t_ms < room[1]:
        raise OddTimeError(
            _("{phase} ran from {begin} to {end}. Type a time in between.").format(
                phase=piece.title, begin=line.clock(room[0]), end=line.clock(room[1])
            )
        )
    return t_ms


def read_clock(line: Timeline, text: str, room: tuple[int, int]) -> int:
    """A time of day as lesson time in ms, in the half of the day that fits ``room``. Raises OddTimeError."""
    match = _CLOCK.fullmatch(text)
    if match is None or int(match[2]) > 59 or int(match[3] or 0) > 59 or int(match[1]) > 23:
        words = _("“{text}” is no time of day. Type it like {example}.")
        raise OddTimeError(words.format(text=text, example=line.clock(room[0])))
    second = int(match[1]) * 3600 + int(match[2]) * 60 + int(match[3] or 0)
    seconds_of_day = [second]
    if match[4]:
        second = second % _HALF_DAY_S + (_HALF_DAY_S if match[4].lower() == "p" else 0)
        seconds_of_day = [second]
    elif int(match[1]) <= 12:
        seconds_of_day.append((second + _HALF_DAY_S) % _DAY_S)
    start_s = line.clock_ms // 1000
    times = []
    for second_of_day in seconds_of_day:
        # The lesson may go past midnight, so the nearest such time to the room counts.
        middle_s = start_s + (room[0] + room[1]) // 2000
        away_s = (second_of_day - middle_s + _HALF_DAY_S) % _DAY_S - _HALF_DAY_S
        times.append((middle_s + away_s) * 1000 - line.clock_ms)
    # A minute that has begun: the border itself may lie within the second that is typed.
    return next((t for t in times if room[0] - 1000 < t <= room[1]), times[0])


def _in_room(line: Timeline, border: Border, t_ms: int) -> int:
    low, high = border.room
    if low - 1000 < t_ms < low:
        return low  # the second that is shown for it
    if low <= t_ms <= high:
        return t_ms
    after = border.visit + 1 < len(line.pieces) or line.after
    words = (
        _("{phase} began at {low} and what follows ended at {high}. Type a time in between.")
        if after
        else _("{phase} began at {low} and the lesson ended at {high}. Type a time in between.")
    )
    raise OddTimeError(
        words.format(phase=line.pieces[border.visit].title, low=line.clock(low), high=line.clock(high))
    )
