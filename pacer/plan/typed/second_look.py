"""Signs that a line was not read as it was meant; what nothing else doubted is doubted by them."""

import re

from pacer.plan.typed.line import ParsedLine
from pacer.plan.typed.plain_signs import shadow
from pacer.plan.typed.vocabulary import HOUR_WORDS, MINUTE_WORDS, folded, guess_kind
from pacer.text import _

_TIMED = re.compile(rf"\d ?(?:{MINUTE_WORDS}|{HOUR_WORDS}|')(?!\w| (?:per|each|every|apiece|por|pro|par)\b)")
_CLOCK = re.compile(r"(?<![\d:.])(?:[01]?\d|2[0-3])[:h][0-5]\d(?![\d:])")
_ODD_START = re.compile(
    rf"(?:\d{{1,2}}[.)](?!\d)|[-+~|/&,;:)\]→>]|(?:{MINUTE_WORDS}|to|and|or|am|pm|until|from|of)(?![\w-]))"
)
_EARLIEST_S = 7 * 60  # seconds that look like a time of day, as 7:00 does
_SHORTEST_S, _LONGEST_S = 15, 90 * 60
_MOST_WORDS = 14


def second_look(line: ParsedLine) -> str:
    """Why a line that seemed clear might have meant something else; empty where nothing says so."""
    if line.is_quoted or line.is_note:
        return ""
    if line.what == "phase":
        return _at_phase(line)
    if line.what in ("heading", "title") and not line.is_row and _TIMED.search(shadow(line.clean)):
        return _("Left out although there are minutes in it.")
    return ""


def _at_phase(line: ParsedLine) -> str:
    low = shadow(line.title)
    if _TIMED.search(low) or _CLOCK.search(low):
        return _("There is a time in its title.")
    if _ODD_START.match(low):
        return _("Its title begins in the middle of something.")
    if "\t" in line.whole and not line.is_row:
        return _("It has more than one cell.")
    if len(folded(line.title)) > _MOST_WORDS:
        return _("It is long for a title.")
    if line.seconds is not None and not _is_usual(line):
        return _("It is very short or very long.")
    return ""


def _is_usual(line: ParsedLine) -> bool:
    says_unit = line.timing is not None and line.timing.how == "unit"
    return says_unit or _SHORTEST_S <= (line.seconds or 0) <= _LONGEST_S


def doubt_unlike(phases: list[ParsedLine]) -> None:
    """A lone number among minutes that have a unit may be something else."""
    free = [line for line in phases if line.timing is not None and not line.is_row]
    bare = [line for line in free if line.timing is not None and not line.timing.is_plain]
    if 0 < len(bare) * 5 <= len(free):
        for line in (line for line in bare if guess_kind(line.title) == "other"):
            line.doubts = line.doubts or [_("The other lines write their minutes with a unit.")]


def doubt_clocks(phases: list[ParsedLine]) -> None:
    """ "Library 9:05" among minutes of another form is as likely a time of day."""
    colons = [line for line in phases if line.timing is not None and line.timing.how == "colon"]
    if 2 * len(colons) <= len(phases):
        for line in colons:
            if not line.is_row and (line.seconds or 0) >= _EARLIEST_S:
                line.doubts.append(_("Read as minutes and seconds, not as a time of day."))


def doubt_first_line(lines: list[ParsedLine]) -> None:
    """A first line with a bare number above lines that all have a unit may be the lesson's title."""
    timed = [line for line in lines if not line.what and line.has_time]
    first = next((line for line in lines if line.what not in ("blank", "divider")), None)
    if first is None or not timed or first is not timed[0] or first.timing is None:
        return
    if first.timing.is_plain or guess_kind(first.title) != "other":
        return
    if len(timed) > 2 and all(line.timing is None or line.timing.is_plain for line in timed[1:]):
        first.doubts.append(_("If this is the title of the lesson, put # before it."))
