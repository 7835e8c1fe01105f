"""The readers of what is planned: outlines, drafts, typed lines, split sheets, calendars, replay scripts."""

import argparse
from collections.abc import Sequence
from datetime import date
from functools import cache
from itertools import islice
from zoneinfo import ZoneInfo

from pacer.paths import template_folder
from pacer.plan.calendar_file import entries_of
from pacer.plan.draft.draft import Draft, set_head
from pacer.plan.draft.listed_lines import LISTED_FIELDS, listed_text, set_listed
from pacer.plan.draft.rewrite_text import with_text
from pacer.plan.draft.with_text import plain_outline, without_loose
from pacer.plan.draft.write_toml import draft_of, written
from pacer.plan.durations import brief_duration, parse_duration
from pacer.plan.file.reader import read_bytes
from pacer.plan.outline import Outline
from pacer.plan.split.sheet import SplitSheet
from pacer.plan.split.text import outline_lines, read_parts, table_lines, with_move
from pacer.plan.taken.plain_files import text_of_plain
from pacer.plan.taken.read_file import text_in
from pacer.plan.taken.taken import NotTakenError
from pacer.plan.typed.read_typed import plain_text, read_typed
from pacer.plan.week.integer_program import GaveUpError
from pacer.plan.week.problem import Clash
from pacer.plan.week.solve import rotation
from pacer.verbs.replay import new_replay
from pacer.verbs.rotation import asked_week
from pacer.verbs.script import Script, parse_script
from tests.conftest import INVENTED
from tests.inputs.documents import documents, wrapped, xml_of_documents
from tests.inputs.reader import NAME, Reader, must_be_plain, must_equal, refused
from tests.inputs.watched import checks, next_step

ODD_OUTLINE = b"""\xef\xbb\xbfformat = 1\r
"title" = 'Halves \\ of "halves"'\r
table_list = \"\"\"A, B\r
C \\u00e9\"\"\"\r
block.minutes = 0x4B\r
block.groups = 0\r
phase = [{title = "Warm-up", budget = "1:30", burst = [{length = "20 s", prompt = ""}]},\
 {title = "Wall", budget = 2.5, wall = "strip", attach = "a/b.png", page = 3}]\r
"""
TYPED = (
    b"Halves of halves\nWarm-up 2\nReview: halves 3 min\n  note for me\n\nModeling 7:30 [modeling]\n"
    b"9:00 Move\n"
    b'9:02-9:15 Group 1\nTotal 25 min\n"A 5 or 6" 4\nShare\t5\n',
    b"time\tphase\tkind\n2\tWarm-up\tcount\n3\tReview\treview\n1 h\tGroups\tother\n",
    b"| Phase | Minutes |\n|---|---|\n| Warm-up | 2 |\n| Talk | 1.5 |\n"
    b"- Closing ~3 min (class line: I can)\n----\n",
    "Aufwärmen 2′\n½ hour Modeling\nالدرس ٣\n数 5 min\n1h30 Project\nhalf a minute Quiet\n".encode(),
)
SPLIT = (
    b"# Halves\nMark halves 10 [everyone]\nTurn and talk 2:30, value 3, needs 1 -> table\n"
    b"3) Exit note 5 min\n"
    b"Extra 12 [extension]\nHand out 1.5 min [materials] value 1 -> not taught\nLook 90 s needs 1, 2 and 3\n",
)
WEEKS = (
    b"groups 3\nstations 3\ndays 5\nmeet 3\nowed Circle=4:00,Star=2\n",
    b"groups Circle,Star\nstations Our table,Books\nvisits 2,1,2\ndays 3\nmeet 2,Star=3\nrepeats\n",
)
CALENDAR = (
    b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:invented\r\nBEGIN:VTIMEZONE\r\nTZID:Invented\r\n"
    b"BEGIN:STANDARD\r\n"
    b"DTSTART:20251102T020000\r\nTZOFFSETFROM:-0400\r\nTZOFFSETTO:-0500\r\n"
    b"RRULE:FREQ=YEARLY;BYMONTH=11;BYDAY=1SU\r\n"
    b"END:STANDARD\r\nBEGIN:DAYLIGHT\r\nDTSTART:20260308T020000\r\nTZOFFSETFROM:-0500\r\nTZOFFSETTO:-0400\r\n"
    b"END:DAYLIGHT\r\nEND:VTIMEZONE\r\nBEGIN:VEVENT\r\nUID:1\r\nDTSTAMP:20260101T000000Z\r\n"
    b"SUMMARY:Early\\, release\r\n"
    b" of all\r\nDTSTART;TZID=Invented:20260302T090000\r\nDTEND;TZID=Invented:20260302T101500\r\n"
    b"RRULE:FREQ=WEEKLY;BYDAY=MO,WE;COUNT=9\r\nEXDATE;TZID=Invented:20260304T090000\r\nEND:VEVENT\r\n"
    b"BEGIN:VEVENT\r\n"
    b"UID:1\r\nRECURRENCE-ID;TZID=Invented:20260309T090000\r\nDTSTART;TZID=Invented:20260310T100000\r\n"
    b"DURATION:PT1H\r\nSUMMARY:Moved\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n",
    b"BEGIN:VCALENDAR\nVERSION:2.0\nBEGIN:VEVENT\nUID:2\nSUMMARY:No school\nDTSTART;VALUE=DATE:20260311\n"
    b"DTEND;VALUE=DATE:20260314\nRDATE;VALUE=DATE:20260401,20260402\n"
    b"RRULE:FREQ=MONTHLY;BYDAY=-1FR;UNTIL=20261231\n"
    b"END:VEVENT\nBEGIN:VEVENT\nUID:3\nDTSTART:20200101T080000Z\nDURATION:P1DT2H\n"
    b"RRULE:FREQ=YEARLY;BYMONTH=3;BYMONTHDAY=1,-1;BYSETPOS=1;WKST=SU\nSTATUS:CANCELLED\nEND:VEVENT\n"
    b"END:VCALENDAR\n",
)
SCRIPT = (
    b"start 9:06 planned 9:00\n# late\n0:30 next done\n2:00 add 1:00\n2:10 look\n3:00 burst\n"
    b"3:30 eyes-back\n5:00 undo\n"
    b"6:00 next\n7:00 jump 4\n8:00 wall strip\n9:00 keep\n10:00 end done\n",
    b"start 2026-03-08 1:59:30\n1:00 pause\n4:00 go-on\n5:00 happened\n5:10 hide\n5:20 show\n12:00 back\n",
    b"start 9:03 planned 9:00\n0:10 missed 2\n0:20 tick\n2:10 groups\n2:20 undo\n2:30 groups\n2:40 tick 2\n"
    b"2:50 next\n3:00 missed\n4:00 missed star\n5:00 bell-earlier 3:00\n5:30 add 1:00\n5:40 pause\n"
    b"6:20 go-on\n7:00 keep 0\n7:30 bell-later\n8:00 jump 2\n8:10 jump share\n9:00 back\n9:20 next\n"
    b"9:40 next\n10:00 bell-now\n",
    b"start 9:00\n1:00 jump share\n1:10 jump Circle\n1:20 jump Warm-up\n1:30 jump group 3\n"
    b"2:00 missed group 3\n"
    b"3:00 keep\n4:00 take 3:00\n5:00 jump clean-up\n6:00 next\n7:00 end done\n8:00 tick\n",
)
# A short mini lesson, so that a script soon comes to the groups; every key of the second half.
HALF = """\
format = 1
title = "Halves on a number line"
unit = "Halves"
table_list = \"\"\"
Mark one half
Cut a strip\"\"\"
[block]
minutes = 20
mini_lesson = "2"
move = "0:30"
groups = 3
swap = "0:20"
clean_up = "0:30"
share = "3"
share_floor = "1:30"
visit_floor = "2"
order = ["Star", "Circle"]
share_prompt = "Half of ____ is ____ ."
move_words = "Folder, pencil"
move_picture = "walk.png"
[[group]]
name = "Circle"
place = "carpet"
picture = "a/circle.png"
[[group]]
name = "Star"
[[group]]
name = "قلب"
place = "window table"
[[station]]
name = "Our table"
words = "with strips"
picture = "table.png"
teacher = true
[[station]]
name = "Game table"
words = "roll, fold"
[[station]]
name = "Books"
[[phase]]
title = "Warm-up"
budget = "1"
floor = "0:30"
movable = "table"
[[phase]]
title = "Modeling"
kind = "modeling"
budget = "1"
cap = "1:30"
cap_group = "first"
""".encode()
LISTED = (
    b"Circle | carpet | circle.png\nStar\nHeart | | heart.png\n",
    "Our table | with me | table.png | teacher\nBooks\nقلب | two words\nMap | | teacher\n".encode(),
    b"|\n||||\ncircle | circle | circle | circle | circle\n",
)
SPAN = (date(2026, 1, 1), date(2026, 12, 31))
CLASSROOM = ZoneInfo("America/New_York")
_LONGEST_REPLAY_S = 1200  # of this campaign: what a look costs is a matter of the figures


@cache
def outlines() -> Sequence[bytes]:
    """The templates, the tests' own outline, and one in odd spelling."""
    templates = (path.read_bytes() for path in sorted(template_folder().glob("*.toml")))
    return (*islice(templates, 4), INVENTED.encode(), HALF, ODD_OUTLINE)


def read_outline(data: bytes) -> str:
    """An outline; written anew from what was read of it, it is the same."""
    outline = read_bytes(data, NAME)
    checks()
    if not isinstance(outline, Outline):
        return refused(outline, data)
    draft = draft_of(data.decode("utf-8-sig"))
    assert isinstance(draft, Draft), "the outline's reader takes it, the draft's does not"
    again = read_bytes(written(draft, None).encode(), NAME)
    must_equal(outline, again, "written anew")
    return "read"


def read_draft(data: bytes) -> str:
    """An outline under edit: unchanged its text stays; changed, it reads back as changed."""
    text = data.decode("utf-8", "replace")
    draft = draft_of(without_loose(text)[0], NAME)
    next_step()
    if not isinstance(draft, Draft):
        return refused(draft, data) if draft else "refused"
    changed = set_head(draft, "title", "Another title")[0]
    for wanted, saved in ((draft, written(draft, text, draft)), (changed, written(changed, text, draft))):
        next_step()
        again = draft_of(saved)
        next_step()
        assert isinstance(again, Draft), "what is saved can't be opened again"
        must_equal(wanted.content, again.content, "saved and opened")
    with_text(draft)
    next_step()
    plain_outline(draft)
    return "read"


def read_lines(data: bytes) -> str:
    """Typed lines: each is accounted for, and the phases written out are read as the same."""
    text = data.decode("utf-8", "surrogateescape" if data[:1] == b"\xff" else "replace")
    typed = read_typed(text)
    checks()
    assert len(typed.lines) + len(typed.rest) == len(text.splitlines()), "a line is lost"
    for why in {line.why for line in typed.lines if line.why}:
        must_be_plain(why)
    once = read_typed(plain_text(typed.phases)).phases
    must_equal([phase.seconds for phase in typed.phases], [phase.seconds for phase in once], "minutes")
    must_equal(once, read_typed(plain_text(once)).phases, "written out")
    return "refused" if typed.not_understood else "read"


def read_document(data: bytes) -> str:
    """What a teacher has in a file: text that is no longer changed when it is taken once more, or why not."""
    try:
        found = text_in(data, "named.csv" if data[:5] == b"Phase" else "named")
    except NotTakenError as error:
        must_be_plain(error.what)
        must_be_plain(error.fix)
        return "refused"
    checks()
    for words in found.left_aside:
        must_be_plain(words)
    for part in found.parts:
        again = text_of_plain(part.text.encode("utf-8", "replace")).text
        must_equal(part.text.encode("utf-8", "replace"), again.encode(), "taken once more")
    return "read"


def read_document_xml(data: bytes) -> str:
    """The same of a document whose archive is whole and whose XML is not."""
    return read_document(wrapped(data))


def read_split(data: bytes) -> str:
    """A split sheet: its outcome, its lines, and a part put elsewhere by hand."""
    text = data.decode("utf-8", "replace")
    parts = read_parts(text)
    next_step()
    for problem in parts.problems:
        must_be_plain(problem.why)
    sheet = SplitSheet(parts=parts.parts)
    sheet.outcome()
    checks()
    must_equal(len(outline_lines(sheet)) > 0, "whole group" in sheet.best().fates, "lines of what all hear")
    table_lines(sheet)
    if parts.parts:
        moved = read_parts(with_move(text, parts.lines[-1], "table"))
        must_equal("table", moved.parts[-1].moved_to, "moved to")
        others = [at for at, line in enumerate(parts.lines) if line != parts.lines[-1]]
        must_equal([parts.parts[at] for at in others], [moved.parts[at] for at in others], "the other parts")
    return "refused" if parts.problems else "read"


def read_calendar(data: bytes) -> str:
    """A calendar; the days of two half years are those of the year."""
    found = entries_of(data, NAME, *SPAN, CLASSROOM)
    checks()
    if isinstance(found, list):
        return refused(found, data)
    for unread in found.unread:
        must_be_plain(unread.why)
        assert SPAN[0] <= unread.first <= unread.last <= SPAN[1], f"days outside the span: {unread}"
        assert 1 <= unread.line <= data.count(b"\n") + data.count(b"\r") + 1, f"no such line: {unread}"
    for entry in found.entries:
        assert SPAN[0] <= entry.day <= SPAN[1], f"a day outside the span: {entry}"
    return "refused" if found.unread else "read"


def read_script(data: bytes) -> str:
    """A replay's script; a short one is replayed."""
    text = data.decode("utf-8", "replace")
    script = parse_script(text, NAME)
    checks()
    if not isinstance(script, Script):
        return refused(script, text.encode())
    if script.steps and script.steps[-1].at_s <= _LONGEST_REPLAY_S and len(script.steps) < 40:
        for plan in (INVENTED.encode(), HALF):
            outline = read_bytes(plan, NAME)
            assert isinstance(outline, Outline)
            run = new_replay(outline, script)
            for _shown in run.moments(script):
                pass
            for _number, _step, reason in run.refused:
                must_be_plain(reason)
    return "read"


def read_listed(data: bytes) -> str:
    """Lines of groups or stations: what is wrong is said, what is right is saved and read as it was typed."""
    text = data.decode("utf-8", "replace")
    start = draft_of(HALF.decode())
    assert isinstance(start, Draft)
    told = ""
    for name in LISTED_FIELDS:
        draft, words = set_listed(start, name, text)
        next_step()
        told = told or words
        if words:
            must_be_plain(words)
            continue
        again, _words = set_listed(start, name, listed_text(draft, name))
        must_equal(getattr(draft, name), getattr(again, name), "lines written out")
        next_step()
        saved = written(draft, HALF.decode(), start)
        next_step()
        opened = draft_of(saved)
        next_step()
        assert isinstance(opened, Draft), "what is saved can't be opened again"
        must_equal(draft.content, opened.content, "saved and opened")
    return "refused" if told else "read"


def read_week(data: bytes) -> str:
    """What is asked of a week's rotation, an option a line: a week, what clashes, or what is wrong."""
    lines = [line for line in data.decode("utf-8", "replace").splitlines() if line][:12]
    options = argparse.Namespace(outlines=[], groups=None, stations=None, days=None, visits=None, meet=[],
                                 owed=[], repeats=False, write=False)  # fmt: skip
    for line in lines:
        name, _bar, value = line.partition(" ")
        if name in ("groups", "stations", "visits"):
            setattr(options, name, value)
        elif name in ("meet", "owed"):
            getattr(options, name).append(value)
        elif name == "days" and value.strip().isascii() and value.strip().isdigit():
            options.days = int(value[:9])
        elif name == "repeats":
            options.repeats = True
    try:
        problem = asked_week(options, [])
        found = rotation(problem)
    except ValueError as error:
        must_be_plain(str(error))
        return "refused"
    except GaveUpError:
        return "refused"
    if isinstance(found, Clash):
        for reason in found.reasons:
            must_be_plain(reason)
        return "refused"
    for visits in found.places:
        for visit in visits:
            must_equal(len(set(visit)), len(visit), "groups at places of their own")
    return "read"


def read_duration(data: bytes) -> str:
    """A length of time, as in every field for one."""
    try:
        seconds = parse_duration(data.decode("utf-8", "replace"))
    except ValueError:
        return "refused"
    must_equal(
        seconds, parse_duration(brief_duration(seconds)) if seconds < 599_999 else seconds, "written out"
    )
    return "read"


PLAN_READERS = (
    Reader("outline", outlines, read_outline, (
        b"[[phase]]\n", b"[block]\n", b"[[phase.burst]]\n", b'budget = "3"\n', b"a.b.c", b"{a.b = 1}", b"{",
        b"[[",
        b'"a\\"b".', b"kind = 'review'\n", b"cap_group", b"floor", b"1979-05-27T07:32:00Z", b"\xe2\x80\xae",
        b"x.", b"[[group]]\n", b"[[station]]\n", b"teacher = true\n", b"groups = 12\n", b"order = ['Star']\n",
        b"share_floor = 99\n", b"nan", b"-1", b"[", b"picture = '/etc/passwd'\n",
        b"name = 'A, B'\n", b"  ",
    ), share=20),
    Reader("draft", outlines, read_draft, (
        b"# typed, not understood: ", b"# typed: ", b"[[phase]]\n", b"title = 1\n", b"phase = []\n",
        b"\n# note\n",
        b"[block]\n", b'"""', b"a.b = 1\n", b"budget = 2.5\n",
    ), share=10),
    Reader("typed lines", lambda: TYPED, read_lines, (
        b"9:00 ", b" 5 min", b"\n   ", b"|", b"\t", b"total", b"[review]", b"- ", b"1. ", b"(",
        b"half an hour", b"?",
        b"to", b"\xe2\x80\x93", b"note: ", b"class line: ", b"12:59 pm ",
    ), share=12),
    Reader("document", documents, read_document, (
        b"{\\rtf1 ", b"\\cell ", b"\\row ", b"\\u-1?", b"\\'ff", b"\\bin9 ", b"{", b"}", b"<table>",
        b"<tr><td>", b"<ul><li>", b"</", b"<!--", b"rowspan=999", b'colspan="9"', b"&#0;", b"<![CDATA[",
        b"PK\x01\x02", b"PK\x05\x06", b"\xff\xff\xff\xff", b'"', b",", b";", b"\t", b"\r", b"\xff\xfe", b"\0",
        b"BEGIN:VEVENT\r\n", b"RRULE:FREQ=SECONDLY\r\n", b"DTSTART:1\r\n",
    ), share=14),
    Reader("document's XML", xml_of_documents, read_document_xml, (
        b"<w:p>", b"</w:p>", b"<w:tbl>", b"<w:tr>", b"<w:tc>", b"<w:strike/>", b'w:val="-1"',
        b'<w:gridSpan w:val="99"/>', b'table:number-columns-repeated="9999"',
        b'table:number-rows-repeated="1048576"', b'text:c="999999"', b"<text:list>", b"<text:p>",
        b"<!DOCTYPE a>", b"<!ENTITY b 'c'>", b"&b;", b"<row>", b'<c t="s"><v>9</v></c>', b'r="XFD1048576"',
        b'<c s="1"><v>1e9</v></c>', b"<v>nan</v>", b"\0", b"<", b">", b'"',
    ), share=12),
    Reader("split sheet", lambda: SPLIT, read_split, (
        b"-> ", b"needs 1", b"value 3", b"[everyone]", b" 10\n", b"->", b"\xe2\x86\x92 table", b"needs 99",
        b"(station)",
    ), share=8),
    Reader("calendar", lambda: CALENDAR, read_calendar, (
        b"BEGIN:VEVENT\r\n", b"END:VEVENT\r\n", b"RRULE:FREQ=DAILY\r\n", b"FREQ=SECONDLY", b"INTERVAL=0",
        b"COUNT=99999999", b"BYDAY=53MO", b"BYYEARDAY=366", b"DTSTART:00010101T000000\r\n", b";SKIP=OMIT",
        b"\r\n ",
        b"BYSETPOS=-366", b"DURATION:-P99999W\r\n", b"DTEND:20260302T101500Z\r\n", b"TZID=Nowhere",
        b"BYMONTHDAY=31",
        b"BEGIN:VTIMEZONE\r\n", b"UNTIL=99991231T235959Z", b"RDATE:20260101T000000Z\r\n", b"BEGIN:VCARD\r\n",
    ), share=16),
    Reader("replay script", lambda: SCRIPT, read_script, (
        b"start 9:00\n", b"0:00 next\n", b"480:00 end\n", b"9999:59 look\n", b" jump ", b" add 99:99",
        b"start 2026-03-08",
        b"planned 23:59", b"1:00 tally 999999999999\n", b"keep", b"undo\n", b"groups\n", b"missed",
        b"tick 99\n", b"bell-later 8:00:00\n", b"bell-earlier 5:00\n", b"bell-now\n", b"jump share\n",
        b"back\n", b"next\n", b" 0",
    ), share=9),
    Reader("lines of groups and stations", lambda: LISTED, read_listed, (
        b"|", b" | ", b"teacher", b"| | |", b"\n", b"\t", b"a" * 300, b"\xe2\x80\xae", b".png", b"\r",
        b"\x00", "ärmel".encode(),
    ), share=6),
    Reader("week's rotation", lambda: WEEKS, read_week, (
        b"groups ", b"stations ", b"visits ", b"meet ", b"owed ", b"days ", b"repeats\n", b",", b"=",
        b"99", b"0",
        b"Circle=", b"-1", b"\n", b"12",
    ), share=3),
    Reader("duration", lambda: (b"2:30", b"PT2M30S", b"1:05:00", b"90 s", b"1,5 min"), read_duration, (
        b"P1W", b"PT", b"h", b".", b",", b":", b"\xc2\xbd",
    ), share=3),
)  # fmt: skip
