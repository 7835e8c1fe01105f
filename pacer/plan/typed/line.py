"""One typed line taken apart: its mark and indent, title, time, what is for the class, and clock times."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Literal

from pacer.plan.durations import parse_duration
from pacer.plan.kinds import KINDS, KindName
from pacer.plan.typed.clocks_in_text import clock_range, leading_clock
from pacer.plan.typed.durations_in_text import Timing
from pacer.plan.typed.line_time import is_not_known_yet, read_time, without_unknown
from pacer.plan.typed.plain_signs import neat, one_line, shadow, tidied
from pacer.plan.typed.vocabulary import (
    AFTER_TIME,
    BEFORE_TIME,
    CLASS_LABELS,
    CLOCK_LEADS,
    HOUR_WORDS,
    LEAD_WORDS,
    MINUTE_WORDS,
    NOTE_LABELS,
    SECOND_WORDS,
    folded,
    phrase,
)
from pacer.text import _

ListMark = Literal["", "bullet", "number", "letter"]

_BULLET = (
    r"(?:[-•◦▪▫‣⁃·●○■□◆◇►▶▸➤➢➔➜⇒⟶⟹➙➝➞➡⮕|»❖✓✔☐☑☒*+→>\ue000-\uf8ff]{1,2}(?!\d*[.,:]?\d+\s*$)\s{0,9}|o\s{1,9}(?=\S))"
    r"(?:\[[ x]?\]\s{0,9})?"
)
_NO_UNIT = rf"(?!(?:{HOUR_WORDS}|{MINUTE_WORDS}|{SECOND_WORDS}|uhr)(?!\w))"
_MARK = re.compile(
    rf"(?P<bullet>{_BULLET}|\[[ x]?\]\s{{0,9}})"
    rf"|(?P<levels>\d{{1,2}}(?:\.\d{{1,2}}){{1,3}}[.)]?\s{{1,9}}(?=[^\W\d]){_NO_UNIT})"
    r"|(?P<number>\((?:\d{1,2})\)\s{1,9}(?=\S)|#?\d{1,2}[.)](?!\d|[a-z]{1,4}\.)\s{0,9}(?=\S)|#\d{1,2}:?\s{1,9}"
    r"|\d{1,2}\ufe0f?\u20e3\s{0,9})"
    r"|(?P<letter>\(?(?:[a-h]|[ivx]{1,4})[.)]\s{1,9})"
)
_HASHES = re.compile(r"#{1,6}(?=\s|[^\W\d])\s{0,9}")
_QUOTED = re.compile(r'\s*"(.*)" (\d{1,4}(?::\d{2})?|\?)(?: \[([a-z-]+)\])?\s*', re.DOTALL)
_LED = re.compile(
    r"(?<!\S)(?:up to|at least|at most|less than|no more than|cerca de|bis zu|jusqu'à|até)$", re.IGNORECASE
)
_RIGHT = " \t,;:.-–—‒―=…|/→⟶➔➜➡⇒>([{<*_~≈≤@⏱⏰⌛⏳🕐🕒\ufe0f"
_LEFT = " \t,;:.-–—‒―=…|→⟶➔➜➡⇒>)]}*_~•⏱⏰⌛⏳\ufe0f"
FURTHER_IN = 2
_LABEL_MOST = 31
_TIMES = re.compile(r"(?<![\w.])(\d{1,2}) ?[x×]$", re.IGNORECASE)


@dataclass
class ParsedLine:
    """One line as far as it is read, while the lines around it are still to be looked at."""

    number: int
    raw: str
    clean: str = ""
    indent: int = 0
    mark: ListMark = ""
    bullet: str = ""
    words: str = ""
    whole: str = ""
    title: str = ""
    lead: str = ""
    timing: Timing | None = None
    seconds: int | None = None
    has_time: bool = False
    class_line: str = ""
    notes: str = ""
    kind: KindName | None = None
    start_min: int | None = None
    end_min: int | None = None
    is_surely_clock: bool = False
    lead_min: int | None = None
    lead_end: int = 0
    is_hashed: bool = False
    is_note: bool = False
    is_quoted: bool = False
    is_row: bool = False
    is_open: bool = False
    is_part: bool = False
    is_talk: bool = False
    is_detail: bool = False
    of: int | None = None
    kept_doubts: tuple[str, ...] = ()
    what: str = ""
    why: str = ""
    said_s: int | None = None
    sum_s: int | None = None
    block: tuple[tuple[str, str], ...] = ()
    doubts: list[str] = field(default_factory=list)

    @property
    def begin_min(self) -> int | None:
        """The time of day that it says first: where it begins, or what may be that."""
        return self.lead_min if self.start_min is None else self.start_min

    @property
    def style(self) -> tuple[int, str]:
        """How the line stands on the page: lines of one list look the same."""
        return self.indent, self.bullet or self.mark


def read_line(number: int, raw: str, inner: str | None = None, doubts: Sequence[str] = ()) -> ParsedLine:
    """A line by itself: what stands on it, or on ``inner`` where that is all that counts of it."""
    clean = tidied(raw if inner is None else inner)
    line = ParsedLine(number, raw, clean, kept_doubts=tuple(doubts), doubts=[*doubts])
    if _read_quoted(line):
        return line
    text = clean.lstrip()
    line.indent = sum(4 if char == "\t" else 1 for char in clean[: len(clean) - len(text)])
    text = text.rstrip()
    if match := _HASHES.match(text):
        line.is_hashed, text = True, text[match.end() :]
    low = shadow(text)
    at = 0
    match = _MARK.match(low)
    if match and not (low.startswith("|") and low.count("|") > 1):
        at = match.end()
        line.mark = "bullet" if match["bullet"] else "letter" if match["letter"] else "number"
        line.indent += FURTHER_IN * (match["levels"] or "").strip(" .)").count(".")
        line.bullet = match["bullet"].strip()[:1] if match["bullet"] else ""
    words = text[at:].rstrip()
    label = phrase(words.partition(":")[0]) if ":" in words[:_LABEL_MOST] else ""
    line.whole = words
    # A numbered item that is called so is one of the list: "B. Notes: plant parts - 10".
    is_item = line.mark in ("number", "letter") and not line.indent
    line.is_note = label in NOTE_LABELS and not is_item
    line.is_note |= label in CLASS_LABELS and line.indent >= FURTHER_IN
    if line.is_note:
        line.title = line.words = words
    else:
        read_words(line, _without_kind(line, words))
    return line


def part_of(line: ParsedLine, text: str) -> ParsedLine:
    """One of the phases that stand on a line together, read from its own text."""
    part = ParsedLine(line.number, line.raw, line.clean, line.indent, line.mark, line.bullet, is_part=True)
    part.kept_doubts, part.doubts, part.is_hashed = line.kept_doubts, [*line.kept_doubts], line.is_hashed
    part.is_talk, part.whole = line.is_talk, text
    read_words(part, text)
    return part


def read_after_clock(line: ParsedLine) -> None:
    """Read the line again as one that begins with a time of day."""
    line.timing, line.seconds, line.has_time, line.class_line = None, None, False, ""
    line.doubts = [*line.kept_doubts]
    line.start_min, line.lead_min = line.lead_min, None
    line.words = line.words[line.lead_end :].lstrip(_LEFT)
    line.title = neat(line.words)


def read_words(line: ParsedLine, text: str) -> None:
    """Title, time and class line from what stands behind the mark."""
    line.words = text
    low = shadow(text)
    clocks = clock_range(low)
    if clocks is not None:
        line.start_min, line.end_min, (begin, end) = clocks
        line.is_surely_clock = True
        before = trimmed_before(text[:begin])
        before = "" if CLOCK_LEADS.issuperset(folded(before)) and folded(before) else before
        text = " ".join(filter(None, (before, text[end:].lstrip(_LEFT))))
        low = shadow(text)
    elif lead := leading_clock(low):
        line.lead_min, line.lead_end, line.is_surely_clock = lead
    if is_not_known_yet(low):
        line.is_open = True
        text = text[: len(without_unknown(low))].rstrip(_RIGHT)
        low = shadow(text)
    line.title = neat(text)
    if line.start_min is None:
        take_time(line, text, low)


def take_time(line: ParsedLine, text: str, low: str) -> None:
    """Take the time out of a text, if there is one, and leave a title and what is for the class."""
    timing = None if line.is_open else read_time(low)
    if timing is None:
        return
    line.timing, line.seconds, line.has_time = timing, timing.seconds, True
    line.doubts += timing.doubts
    before, after = trimmed_before(text[: timing.start]), _trimmed_after(text[timing.end :])
    times = _TIMES.search(before)
    if times is not None and line.seconds is not None and timing.how == "unit":
        before, line.seconds = before[: times.start()].rstrip(_RIGHT), line.seconds * int(times[1])
        line.doubts.append(_("Read as all of them together."))
    is_lead = len(before) < _LABEL_MOST and LEAD_WORDS.issuperset(folded(before))
    if before and after and timing.how == "unit" and is_lead:
        before = ""  # "Then 10 minutes of modeling"
        line.doubts.append(_("Read out of a sentence."))
    words = folded(after.split(" ", 1)[0])
    if not before and words and words[0] in AFTER_TIME:
        after = after.split(" ", 1)[1] if " " in after else after
    remark = re.fullmatch(r"[(\[](.*?)[)\]]?\s*", after) if before else None
    if remark is not None:  # behind a time and in brackets: hers, not the class's
        line.notes, after = one_line(remark[1]), ""
    line.title, line.class_line = (neat(before), neat(after)) if before else (neat(after), "")


def trimmed_before(text: str) -> str:
    """What stands before a time, without the words that lead to it: "Review, about"."""
    text = _LED.sub("", text.rstrip(_RIGHT)).rstrip(_RIGHT)
    for _again in range(3):
        head, _blank, last = text.rpartition(" ")
        word = folded(last)
        if len(word) != 1 or word[0] not in BEFORE_TIME:
            break
        text = head.rstrip(_RIGHT)
    return text


def _trimmed_after(text: str) -> str:
    text = text.lstrip(_LEFT)
    if text.endswith((")", "]")) and text.count(")") + text.count("]") > text.count("(") + text.count("["):
        return text[:-1]
    return text


def _read_quoted(line: ParsedLine) -> bool:
    """The form that is never read in another way: a title in quotes, its minutes, perhaps its kind."""
    match = _QUOTED.fullmatch(line.clean)
    if match is None or not match[1].strip() or (match[3] and match[3] not in KINDS):
        return False
    try:
        line.seconds = None if match[2] == "?" else parse_duration(match[2])
    except ValueError:
        return False
    line.is_quoted, line.title, line.is_open = True, one_line(match[1]), match[2] == "?"
    line.has_time = not line.is_open
    line.kind = KINDS[match[3]].name if match[3] else None
    return True


def _without_kind(line: ParsedLine, text: str) -> str:
    """Take a kind in square brackets from the end of a line: "Fractions 3 [review]"."""
    if not text.endswith("]"):
        return text
    at = text.rfind("[")
    kind = KINDS.get(text[at + 1 : -1].strip().lower())
    if at <= 0 or kind is None:
        return text
    line.kind = kind.name
    return text[:at].rstrip()
