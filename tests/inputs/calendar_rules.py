"""iCalendar by RFC 5545: folded and escaped lines, and rules held against a count of every single day."""

import random
from calendar import monthrange
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from pacer.plan.calendar_file import CalendarDays, CalendarEntry, entries_of
from tests.faults.slices import Work
from tests.inputs.reader import NAME, must_equal
from tests.inputs.toml_rules import by_rules

ZONE = ZoneInfo("America/New_York")
FIRST, LAST = date(2026, 1, 1), date(2027, 6, 30)
DAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
SUMMARIES = ("Early release", "a, b; c", "back\\slash", "é数🍎" * 12, "x" * 200, "No school: halves", "a\\nb")
# What the RFC itself works out in 3.8.5.3: the rule, the first day, the days that come of it.
WORKED_OUT = (
    ("FREQ=DAILY;COUNT=10", "19970902", "0902 0903 0904 0905 0906 0907 0908 0909 0910 0911"),
    ("FREQ=DAILY;INTERVAL=10;COUNT=5", "19970902", "0902 0912 0922 1002 1012"),
    ("FREQ=WEEKLY;COUNT=10;WKST=SU;BYDAY=TU,TH", "19970902",
    "0902 0904 0909 0911 0916 0918 0923 0925 0930 1002"),
    ("FREQ=WEEKLY;INTERVAL=2;COUNT=8;WKST=SU;BYDAY=TU,TH", "19970902",
    "0902 0904 0916 0918 0930 1002 1014 1016"),
    ("FREQ=MONTHLY;COUNT=10;BYDAY=1FR", "19970905", "0905 1003 1107 1205 0102 0206 0306 0403 0501 0605"),
    ("FREQ=MONTHLY;COUNT=6;BYDAY=-2MO", "19970922", "0922 1020 1117 1222 0119 0216"),
    ("FREQ=MONTHLY;COUNT=6;BYMONTHDAY=-3", "19970928", "0928 1029 1128 1229 0129 0226"),
    ("FREQ=MONTHLY;INTERVAL=18;COUNT=2;BYMONTHDAY=10", "19970910", "0910 0310"),
    ("FREQ=YEARLY;COUNT=4;BYMONTH=6,7", "19970610", "0610 0710 0610 0710"),
    ("FREQ=YEARLY;COUNT=2;BYDAY=20MO", "19970519", "0519 0518"),
    ("FREQ=YEARLY;COUNT=2;BYWEEKNO=20;BYDAY=MO", "19970512", "0512 0511"),
    ("FREQ=MONTHLY;COUNT=3;BYDAY=TU,WE,TH;BYSETPOS=3", "19970904", "0904 1007 1106"),
    ("FREQ=MONTHLY;COUNT=7;BYDAY=MO,TU,WE,TH,FR;BYSETPOS=-2", "19970929",
    "0929 1030 1127 1230 0129 0226 0330"),
    ("FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=MO", "19970805", "0805 0810 0819 0824"),
    ("FREQ=WEEKLY;INTERVAL=2;COUNT=4;BYDAY=TU,SU;WKST=SU", "19970805", "0805 0817 0819 0831"),
    ("FREQ=MONTHLY;COUNT=5;BYMONTHDAY=15,30", "20070115", "0115 0130 0215 0315 0330"),
    ("FREQ=MONTHLY;COUNT=3;BYDAY=FR;BYMONTHDAY=13", "19980213", "0213 0313 1113"),
)  # fmt: skip


def _folded(chance: random.Random, line: str) -> bytes:
    """3.1: a line may be folded between any two octets, and so within a sign."""
    data, pieces = line.encode(), []
    while data:
        size = chance.choice((74, 74, 30, 7)) if pieces or len(data) > 75 or chance.random() < 0.3 else 75
        pieces.append(data[:size])
        data = data[size:]
    return chance.choice((b"\r\n ", b"\r\n ", b"\r\n\t")).join(pieces) + b"\r\n"


def _escaped(text: str) -> str:
    """3.3.11: a backslash, a semicolon and a comma in a text are escaped."""
    return "".join(f"\\{char}" if char in "\\;," else char for char in text)


def _file(chance: random.Random, events: list[list[str]]) -> bytes:
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//invented//EN"]
    for number, event in enumerate(events):
        body = [f"UID:{number}@invented", "DTSTAMP:20260101T000000Z", *event, 'X-ODD;A="b:c;d":' + "y" * 90]
        chance.shuffle(body)
        alarm = ["BEGIN:VALARM", "ACTION:DISPLAY", "DESCRIPTION:no", "TRIGGER:-PT5M", "END:VALARM"]
        lines += ["BEGIN:VEVENT", *body, *(alarm if chance.random() < 0.2 else ()), "END:VEVENT"]
    return b"".join(_folded(chance, line) for line in (*lines, "END:VCALENDAR"))


def _rule(chance: random.Random) -> dict[str, list[str]]:
    rule: dict[str, list[str]] = {"FREQ": [chance.choice(("DAILY", "WEEKLY", "MONTHLY", "YEARLY"))]}
    frequency = rule["FREQ"][0]
    if chance.random() < 0.4:
        rule["INTERVAL"] = [str(chance.randrange(1, 5))]
    if frequency == "YEARLY" or chance.random() < 0.2:
        rule["BYMONTH"] = [
            str(month) for month in sorted(chance.sample(range(1, 13), chance.randrange(1, 4)))
        ]
    match frequency, chance.randrange(3):
        case "WEEKLY", 0 | 1:
            rule["BYDAY"] = chance.sample(DAYS, chance.randrange(1, 5))
            if chance.random() < 0.5:
                rule["WKST"] = [chance.choice(("SU", "MO"))]
        case "MONTHLY" | "YEARLY", 0:
            rule["BYDAY"] = [chance.choice(("1", "2", "-1", "3", "")) + chance.choice(DAYS)]
        case "MONTHLY" | "YEARLY", 1:
            rule["BYMONTHDAY"] = [str(chance.choice((1, 10, 28, 30, 31, -1, -2)))]
        case "DAILY", 0:
            rule["BYDAY"] = chance.sample(DAYS, 3)
    return rule


def _fits(day: date, start: date, rule: dict[str, list[str]]) -> bool:
    """Whether a rule names a day, by 3.3.10: the period it lies in, then what each part of the rule says."""
    every = int(rule.get("INTERVAL", ["1"])[0])
    match rule["FREQ"][0]:
        case "DAILY":
            periods = (day - start).days
        case "WEEKLY":
            first = DAYS.index(rule.get("WKST", ["MO"])[0])
            weeks = [when - timedelta(days=(when.weekday() - first) % 7) for when in (day, start)]
            periods = (weeks[0] - weeks[1]).days // 7
        case "MONTHLY":
            periods = (day.year - start.year) * 12 + day.month - start.month
        case _:
            periods = day.year - start.year
    if periods % every or ((months := rule.get("BYMONTH")) and str(day.month) not in months):
        return False
    length = monthrange(day.year, day.month)[1]
    if "BYMONTHDAY" in rule:
        return any(int(n) in (day.day, day.day - length - 1) for n in rule["BYMONTHDAY"])
    if "BYDAY" in rule:
        places = {"", str((day.day + 6) // 7), str(-((length - day.day) // 7 + 1))}
        return any(name[-2:] == DAYS[day.weekday()] and name[:-2] in places for name in rule["BYDAY"])
    match rule["FREQ"][0]:
        case "DAILY":
            return True
        case "WEEKLY":
            return day.weekday() == start.weekday()
        case _:
            return day.day == start.day and (
                "BYMONTH" in rule or rule["FREQ"][0] == "MONTHLY" or day.month == start.month
            )


def _expanded(start: date, rule: dict[str, list[str]]) -> list[date]:
    every_day = (start + timedelta(days=n) for n in range((LAST - start).days + 1))
    days = [day for day in every_day if _fits(day, start, rule)]
    if "COUNT" in rule:
        return days[: int(rule["COUNT"][0])]
    if "UNTIL" in rule:
        return [day for day in days if f"{day:%Y%m%d}" <= rule["UNTIL"][0]]
    return days


def _by_days(chance: random.Random) -> str:
    """A few events by chance; each day of the span is counted by hand."""
    wanted: set[CalendarEntry] = set()
    events = []
    for _event in range(chance.randrange(1, 4)):
        summary, rule = chance.choice(SUMMARIES), _rule(chance)
        start = date(2024, 1, 1) + timedelta(days=chance.randrange(900))
        # A first day that its own rule doesn't name is left undefined by the RFC.
        tried = (start + timedelta(days=n) for n in range(4000))
        start = next((day for day in tried if _fits(day, day, rule)), start)
        if not _fits(start, start, rule):
            rule = {"FREQ": ["DAILY"]}
        match chance.randrange(3):
            case 0:
                rule["COUNT"] = [str(chance.randrange(1, 400))]
            case 1:
                rule["UNTIL"] = [f"{start + timedelta(days=chance.randrange(800)):%Y%m%d}"]
        left_out = set(chance.sample(found := _expanded(start, rule), min(len(found), chance.randrange(3))))
        words = ";".join(
            f"{name}={','.join(values)}" for name, values in chance.sample(list(rule.items()), len(rule))
        )
        event = [f"SUMMARY:{_escaped(summary)}", f"DTSTART;VALUE=DATE:{start:%Y%m%d}", f"RRULE:{words}"]
        if left_out:
            event.append("EXDATE;VALUE=DATE:" + ",".join(f"{day:%Y%m%d}" for day in sorted(left_out)))
        events.append(event)
        wanted |= {
            CalendarEntry(day, None, None, summary)
            for day in found
            if FIRST <= day <= LAST and day not in left_out
        }
    data = _file(chance, events)
    found = entries_of(data, NAME, FIRST, LAST, ZONE)
    assert isinstance(found, CalendarDays), found
    assert not found.unread, found.unread
    read = list(found.entries)
    order = sorted(wanted, key=lambda entry: (entry.day, entry.summary))
    if read != order:
        missing = [f"{entry.day} {entry.summary[:12]}" for entry in order if entry not in read][:3]
        more = [str(entry)[:60] for entry in read if entry not in wanted][:3]
        must_equal((), (missing, more), f"{events!r} lacks and adds")
    return "read"


def _worked_out(chance: random.Random) -> str:
    rule, start, months = WORKED_OUT[chance.randrange(len(WORKED_OUT))]
    first = date.fromisoformat(start)
    data = _file(chance, [["SUMMARY:a", f"DTSTART;VALUE=DATE:{start}", f"RRULE:{rule}"]])
    days: list[str] = []
    for year in range(first.year, first.year + 11):
        found = entries_of(data, NAME, date(year, 1, 1), date(year, 12, 31), ZONE)
        assert isinstance(found, CalendarDays), found
        days += [f"{entry.day:%m%d}" for entry in found.entries]
    must_equal(months.split(), days, rule)
    return "read"


def works(seed: int, tries: int) -> list[Work]:
    """Try so many calendars against a count of every day, and the RFC's own examples."""
    return [
        by_rules("iCalendar rules (RFC 5545)", _by_days, seed, tries),
        by_rules("iCalendar, the RFC's examples", _worked_out, seed, max(40, tries // 10)),
    ]
