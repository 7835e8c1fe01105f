"""Durations as a teacher types them, to whole seconds and back."""

import re
from fractions import Fraction

_COLONS = re.compile(r"(?:(\d{1,4}):)?(\d{1,4}):(\d{2})")
_N = r"(\d{1,9}(?:[.,]\d{1,9})?)"
# Weeks stand alone; otherwise the largest unit comes first, each at most once.
_ISO = re.compile(rf"P(?=.)(?:{_N}W|(?:{_N}D)?(?:T(?=.)(?:{_N}H)?(?:{_N}M)?(?:{_N}S)?)?)")
_ISO_UNITS = (7 * 86400, 86400, 3600, 60, 1)
_NUMBER_AND_UNIT = re.compile(r"(\d{1,6}(?:[.,]\d{1,3})?)\s*([a-z]*)\.?", re.IGNORECASE)
_UNITS = {
    "": 60, "m": 60, "min": 60, "mins": 60, "minute": 60, "minutes": 60,
    "s": 1, "sec": 1, "secs": 1, "second": 1, "seconds": 1,
    "h": 3600, "hr": 3600, "hrs": 3600, "hour": 3600, "hours": 3600,
}  # fmt: skip


def parse_duration(value: object) -> int:
    """Read a duration and return whole seconds.

    Accepts minutes (``"3"``, ``3``, ``2.5``), ``"2:30"``, ``"1:05:00"``, a number with a unit
    (``"90 s"``, ``"2 min"``, ``"1 h"``) and ISO 8601 durations of fixed length (``"PT2M30S"``).
    Raises ValueError when the text is none of these or does not come to whole seconds.
    """
    if isinstance(value, bool) or not isinstance(value, str | int | float):
        raise ValueError("not a duration")
    text = str(value).strip()
    if text[:1] in "pP" and text:
        return _parse_iso(text)
    if match := _COLONS.fullmatch(text):
        hours, minutes, seconds = (int(part or 0) for part in match.groups())
        if seconds > 59 or (match[1] and minutes > 59):
            raise ValueError("minutes and seconds after a colon go up to 59")
        return hours * 3600 + minutes * 60 + seconds
    if match := _NUMBER_AND_UNIT.fullmatch(text):
        unit = _UNITS.get(match[2].lower())
        if unit is None:
            raise ValueError("unknown unit")
        return _whole(_number(match[1]) * unit)
    raise ValueError("not a duration")


def _parse_iso(text: str) -> int:
    """ISO 8601; years and months have no fixed length and are refused."""
    match = _ISO.fullmatch(text.upper())
    if match is None:
        raise ValueError("not a duration of fixed length")
    parts = zip(match.groups(), _ISO_UNITS, strict=True)
    return _whole(sum((_number(written) * unit for written, unit in parts if written), Fraction(0)))


def _number(written: str) -> Fraction:
    """A number with a point or a comma, exactly."""
    return Fraction(written.replace(",", "."))


def _whole(seconds: Fraction) -> int:
    """Seconds as an integer; a fraction of a second is a slip, not a plan."""
    if seconds.denominator != 1:
        raise ValueError("not a whole number of seconds")
    return int(seconds)


def format_duration(seconds: int) -> str:
    """Whole seconds as ``m:ss``, with a leading minus when negative; hours stay in the minutes."""
    minutes, rest = divmod(abs(seconds), 60)
    return f"{'-' if seconds < 0 else ''}{minutes}:{rest:02d}"


def brief_duration(seconds: int) -> str:
    """As a teacher would write it: whole minutes as ``3``, others as ``2:30``; reads back the same."""
    text = format_duration(seconds)
    return text.removesuffix(":00")
