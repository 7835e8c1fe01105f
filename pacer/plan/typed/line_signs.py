"""What a line looks like by itself or beside another: a heading, a sentence, part of a script, a note."""

import re
from collections.abc import Sequence

from pacer.plan.typed.line import FURTHER_IN, ParsedLine
from pacer.plan.typed.line_time import read_time
from pacer.plan.typed.plain_signs import shadow
from pacer.plan.typed.table.columns import role_named
from pacer.plan.typed.vocabulary import (
    DAYS,
    LEAD_WORDS,
    SCRIPT_WORDS,
    SPEAKERS,
    folded,
    guess_kind,
    is_kind_name,
    phrase,
)

_LONG, _FEW_WORDS = 60, 6
_FEWEST_TOLD, _TOLD_SHARE = 3, 0.75
QUOTE_SIGNS = tuple('"“”„«»')
_NAME_WORDS, _MOST_NAMES, _LONGEST_HEADER, _SENTENCE_WORDS, _BRIEF_S = 3, 8, 200, 8, 60
_CLOCK = re.compile(r"(?<![\d:.])(?:[01]?\d|2[0-3]):[0-5]\d(?![\d:])")
_LABEL = re.compile(r"([^:]{1,30}): ?(.*)", re.DOTALL)


def label_of(text: str) -> tuple[str, str]:
    """The words before a line's colon and the text behind it; the first is empty without a label."""
    match = _LABEL.fullmatch(text)
    return (phrase(match[1]), match[2].strip()) if match else ("", "")


def stands_in(line: ParsedLine, under: ParsedLine) -> bool:
    """Whether a line stands further in than the one above that it may belong to."""
    return line.indent >= under.indent + FURTHER_IN


def is_only_time(text: str) -> bool:
    """Whether a text is a length of time and nothing else."""
    low = shadow(text)
    timing = read_time(low)
    return timing is not None and not folded(timing.without(low))


def is_plain(line: ParsedLine) -> bool:
    """Whether the minutes of a line have a unit or stand in brackets."""
    return line.timing is not None and line.timing.is_plain


def is_spoken(line: ParsedLine) -> bool:
    """ "Teacher: “Who has used one?”": who says it, and what."""
    label, rest = label_of(line.words)
    return label in SPEAKERS and (rest[:1] in QUOTE_SIGNS or (line.has_time and not is_only_time(rest)))


def is_header_line(line: ParsedLine) -> bool:
    """Whether a line holds names of columns and nothing else: "Phase   Time   Materials"."""
    if line.has_time or line.mark:
        return False
    names = re.split(r"\s{2,9}|\t| ?[|/;,] ?", line.clean.strip()[:_LONGEST_HEADER])
    names = names if len(names) > 1 else names[0].split(" ")
    return 1 < len(names) <= _MOST_NAMES and all(map(role_named, names))


def is_time_of_day(line: ParsedLine) -> bool:
    """Whether a line tells a time of day and has no minutes: "Lunch 11:40"."""
    if line.has_time or line.is_open or line.lead_min is not None or line.start_min is not None:
        return False
    return _CLOCK.search(shadow(line.words)) is not None


def is_heading_word(line: ParsedLine, *, are_capitals: bool) -> bool:
    """ "Tuesday", and "MIDDLE" where capitals head the parts of a plan and are none."""
    words = folded(line.title)
    is_day = bool(words) and words[0] in DAYS and len(words) <= _NAME_WORDS
    return is_day or (are_capitals and _is_capital(line))


def are_capitals_headings(lines: Sequence[ParsedLine]) -> bool:
    """Whether several lines without minutes are in capitals, and none with minutes is."""
    free = [line for line in lines if not line.what]
    timed = any(line.has_time and line.title.isupper() for line in free)
    return not timed and sum(not line.has_time and _is_capital(line) for line in free) > 1


def _is_capital(line: ParsedLine) -> bool:
    return line.title.isupper() and guess_kind(line.title) == "other" and not line.mark


def is_script(line: ParsedLine) -> bool:
    """Whether a time stands in what is said or done within a phase: "Wait 10 seconds."."""
    timing = line.timing
    if timing is None or line.is_row or line.is_part:
        return False
    text = line.words.strip()
    words = folded(text)
    ends = text[-1:] in '.!?…"”»)'
    is_brief = timing.how == "unit" and line.seconds is not None and line.seconds < _BRIEF_S
    if is_spoken(line):
        return True
    if text[:1] in QUOTE_SIGNS and (timing.place == "mid" or text[-1:] in QUOTE_SIGNS):
        return True
    if words and words[0] in SCRIPT_WORDS and (timing.place == "mid" or is_brief or ends):
        return True
    if "timer" in words and guess_kind(line.title) == "other":
        return True
    many = len(words) > _SENTENCE_WORDS and text[-1:] in ".!?…"
    return many and timing.place == "mid" and not LEAD_WORDS.issuperset(words[:1])


def is_sentence(line: ParsedLine) -> bool:
    """Whether a line reads as a sentence or a long remark, not as a title."""
    text = line.words.strip()
    if text.endswith(")") and is_kind_name(text.partition("(")[0]):
        return False
    return text.endswith((".", "!", "?", "…", ")", '"', "”")) or len(text) > _LONG or text[:1].islower()


def is_in_words(line: ParsedLine) -> bool:
    """Whether the time stands in the middle of a sentence, or at the end of a long one."""
    if line.timing is None or not is_sentence(line):
        return False
    many = len(folded(line.title)) > _FEW_WORDS and line.timing.place == "tail"
    return many or line.timing.place == "mid"


def has_other_mark(line: ParsedLine, under: ParsedLine) -> bool:
    """Whether a line is an item of another list than the phase above."""
    return line.mark in ("bullet", "letter") and line.style[1] != under.style[1] and not under.is_row


def is_described(lines: list[ParsedLine]) -> bool:
    """Whether most lines with minutes have a line without below them: what is done, in words."""
    filled = [line for line in lines if line.what not in ("blank", "divider", "heading", "total")]
    timed = [at for at, line in enumerate(filled) if line.has_time and not line.what and not line.is_row]
    told = [
        at for at, line in enumerate(filled[1:]) if at in timed and (not line.has_time or is_script(line))
    ]
    return len(timed) >= _FEWEST_TOLD and _TOLD_SHARE * len(timed) <= len(told)
