"""Signs that a line was not read as it was meant; what nothing else doubted is doubted by them."""

import re

from pacer.plan.typed.line import ParsedLine, shadow
from pacer.plan.typed.vocabulary import HOUR_WORDS, MINUTE_WORDS, folded
from pacer.text import _

_TIMED = re.compile(rf"\d ?(?:{MINUTE_WORDS}|{HOUR_WORDS}|')(?!\w| (?:per|each|every|apiece|por|pro|par)\b)")
_CLOCK = re.compile(r"(?<![\d:.])(?:[01]?\d|2[0-3])[:h][0-5]\d(?![\d:])")
_ODD_START = re.compile(
    rf"(?:\d{{1,2}}[.)](?!\d)|[-+~|/&,;:)\]→>]|(?:{MINUTE_WORDS}|to|and|or|am|pm|until|from|of)(?![\w-]))"
)
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
