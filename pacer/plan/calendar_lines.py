"""Takes an iCalendar file apart into its events, in one pass, with the place of each line."""

import re
from collections.abc import Iterable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field

from pacer.plan.problems import ToldError
from pacer.text import _

MOST_EVENTS = 10_000
MOST_ALIKE = 500  # lines of one name in one event
MOST_ZONE_LINES = 3_000
_FOLD = re.compile(rb"\r?\n[ \t]")
# Only lines that say when and what; descriptions, attachments and guests are passed over unseen.
_LINE = re.compile(
    r"^(BEGIN|END|DTSTART|DTEND|DURATION|RRULE|RDATE|EXDATE|RECURRENCE-ID|UID|SUMMARY|STATUS"
    r"|TZID|TZNAME|TZOFFSETFROM|TZOFFSETTO)(?![\w-])([^\n]*)",
    re.MULTILINE | re.IGNORECASE,
)
_VALUE = re.compile(r'((?:;(?:[^":;]|"[^"]*+")*+)*+):(.*)', re.DOTALL)
_ZONE = re.compile(r';TZID=(?:"([^"]*)"|([^":;]*))', re.IGNORECASE)
_YEARLY = re.compile(r"^(?!.*(INTERVAL=0|BYHOUR|BYMINUTE|BYSECOND))(?=.*FREQ=YEARLY(;|$)).{1,200}$")
_OLD_START = re.compile(r"DTSTART:(?!199[2-9]|[2-9])\d{8}T")
_PLAIN_RULE = re.compile(r"(?!.*(UNTIL|COUNT|INTERVAL))RRULE:")
_ESCAPED = re.compile(r"\\([\\;,nN])")


class NoCalendarError(ToldError):
    """The file is no calendar, or too much of one."""


@dataclass(frozen=True)
class Property:
    """One line of an event: where it stands, the zone that it names, and what it says."""

    at: int
    zone: str
    value: str


@dataclass(frozen=True)
class CalendarEvent:
    """One event: where it begins, and its lines by name."""

    at: int
    lines: dict[str, list[Property]] = field(default_factory=dict)

    def has(self, *names: str) -> bool:
        """Whether there is a line of one of these names."""
        return not self.lines.keys().isdisjoint(names)

    def all(self, name: str) -> list[Property]:
        """The lines of a name."""
        return self.lines.get(name, [])

    def first(self, name: str) -> Property | None:
        """The first line of a name; a second one says nothing (RFC 5545 allows one alone)."""
        return next(iter(self.all(name)), None)

    def value(self, name: str) -> str:
        """What the first line of a name says, nothing where there is none."""
        line = self.first(name)
        return "" if line is None else line.value

    @property
    def summary(self) -> str:
        """The event's words on one line."""
        text = _ESCAPED.sub(lambda found: " " if found[1] in "nN" else found[1], self.value("SUMMARY"))
        return " ".join(text.split())


class FoundEvents:
    """The events of a file, and where it was cut off, as (place, why). Places count bytes of whole lines."""

    def __init__(self, data: bytes, text: str) -> None:
        self.events: list[CalendarEvent] = []
        self.cut: list[tuple[int, str]] = []
        self._data, self._text = data, text

    def lines_at(self, places: Iterable[int]) -> dict[int, int]:
        """The line, from 1, on which each place stands in the file as it is folded."""
        lines, line, before, removed = {}, 1, 0, 0
        folds = _FOLD.finditer(self._data)
        fold = next(folds, None)
        for at in sorted(set(places)):
            line += self._text.count("\n", before, at)
            before = at
            while fold is not None and fold.start() - removed <= at:
                line, removed = line + 1, removed + len(fold[0])
                fold = next(folds, None)
            lines[at] = line
        return lines


def events_in(data: bytes) -> FoundEvents:
    """The events of a file's bytes. Raises NoCalendarError."""
    data = data if b"\n" in data else data.replace(b"\r", b"\n")
    # Lines are made whole before they are text: a fold may come between the bytes of a letter.
    whole = _FOLD.sub(b"", data).removeprefix(b"\xef\xbb\xbf")
    head = whole[:2_000].lstrip()[:40].upper()
    if not head.startswith(b"BEGIN:VCALENDAR") or not _is_text(whole):
        raise _no_calendar(is_card=head.startswith(b"BEGIN:VCARD"))
    # A character for each byte until a value is read, so that places are the file's.
    text = whole.decode("latin-1")
    found = FoundEvents(data, text)
    if not _walk(found, text) and not found.events:
        raise _no_calendar()
    return found


def _is_text(data: bytes) -> bool:
    try:
        data.decode("utf-8")
    except UnicodeDecodeError:
        return False
    return True


def _no_calendar(*, is_card: bool = False) -> NoCalendarError:
    what = _("This is not an iCalendar file.")
    if is_card:
        what = _("This is not an iCalendar file but a card with addresses.")
    return NoCalendarError(what, _("Export the school's calendar as .ics and name that file."), 1)


def _walk(found: FoundEvents, text: str) -> bool:
    """Follow the parts in each other; lines count for the innermost. Whether all parts end."""
    parts: list[str] = []
    event: CalendarEvent | None = None
    zones: list[str] = []
    for line in _LINE.finditer(text):
        name, rest = line[1].upper(), line[2].rstrip()
        part = rest.strip(": \t").upper()
        if event is not None and name not in ("BEGIN", "END"):
            if parts[-1:] == ["VEVENT"] and not _add_line(event, line.start(), name, rest):
                found.cut.append((line.start(), _("One event has too many lines; the rest of it is lost.")))
            continue
        is_in_zone = "VTIMEZONE" in parts[:3] or part == "VTIMEZONE"
        if is_in_zone and (name != "RRULE" or _YEARLY.search(part)):
            zones.append(f"{name}{rest}")
        if name == "BEGIN":
            if part == "VEVENT":
                _keep(found, event)
                event = CalendarEvent(line.start())
            parts.append(part)
        elif name == "END":
            if part == "VEVENT":
                _keep(found, event)
                event = None
            if part in parts[-3:]:
                while parts.pop() != part:
                    pass
    if event is not None:
        _keep(found, event)
        found.cut.append((event.at, _("The file ends in the middle of an event; what came after is lost.")))
    elif parts:
        found.cut.append((len(text.rstrip()), _("The file is cut off: what came after is lost.")))
    _learn_zones(zones)
    return not parts


def _keep(found: FoundEvents, event: CalendarEvent | None) -> None:
    if event is None:
        return
    if len(found.events) >= MOST_EVENTS:
        raise NoCalendarError(_("The calendar holds too many events."), _("Export one term."))
    found.events.append(event)


def _add_line(event: CalendarEvent, at: int, name: str, rest: str) -> bool:
    """Add a line to an event; False for the first of too many."""
    alike = event.lines.setdefault(name, [])
    if len(alike) > MOST_ALIKE:
        return True
    match = _VALUE.fullmatch(rest.encode("latin-1").decode("utf-8", "replace"))
    # A line without a colon says nothing that could be read, which is told where it is needed.
    head, value = (match[1], match[2]) if match else ("", "")
    zone = _ZONE.search(head)
    alike.append(Property(at, (zone[1] or zone[2] or "") if zone else "", value.strip()))
    return len(alike) <= MOST_ALIKE


def _zone_lines(lines: list[str]) -> Iterator[str]:
    """The lines of zones; what holds since long ago holds since 1992, so that it is soon followed."""
    for at, line in enumerate(lines):
        is_old = _OLD_START.match(line) and any(_PLAIN_RULE.match(near) for near in lines[at + 1 : at + 8])
        yield line[:8] + "1992" + line[12:] if is_old else line


def _learn_zones(lines: list[str]) -> None:
    """Let the library know the zones that the file brings along; without one its name is looked up.

    The library follows a zone's rule from its beginning, which for one by the second takes forever: such
    rules are left out above.
    """
    if not lines or len(lines) > MOST_ZONE_LINES:
        return
    from icalendar import Calendar

    with suppress(
        ValueError, LookupError, AttributeError, TypeError, ArithmeticError, OSError, RecursionError
    ):
        Calendar.from_ical(
            "\r\n".join(["BEGIN:VCALENDAR", *_zone_lines(lines), "END:VCALENDAR", ""]), multiple=True
        )
