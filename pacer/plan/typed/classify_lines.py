"""What each line of a typed outline is among the lines around it: a phase, a note, a title, a total."""

import re
from dataclasses import dataclass, field

from pacer.plan.durations import format_duration
from pacer.plan.file.model import MAX_PHASE_S, MAX_PHASES
from pacer.plan.typed.durations_in_text import read_time
from pacer.plan.typed.line import FURTHER_IN, ParsedLine, between_s, neat, one_line, shadow, tidied
from pacer.plan.typed.vocabulary import (
    ABOUT_LABELS,
    CLASS_LABELS,
    LENGTH_LABELS,
    NOTE_LABELS,
    SECTION_PHRASES,
    TITLE_LABELS,
    TOTAL_WORDS,
    WITH_TOTAL,
    folded,
    guess_kind,
    is_kind_name,
    phrase,
)
from pacer.text import _

CLASS_LABEL = "For the class"
MOST_TITLE, MOST_LINE, MOST_NOTES = 120, 300, 5000
_LONG, _FEW_WORDS = 60, 6
_LABEL = re.compile(r"([^:]{1,30}): ?(.*)", re.DOTALL)


@dataclass
class ClassifiedLines:
    """The lines seen so far. ``of``: the line of the phase that a line belongs to, by line number."""

    of: dict[int, int] = field(default_factory=dict)
    phases: list[ParsedLine] = field(default_factory=list)
    has_title: bool = False
    summed: int = 0


def find_totals(bits: list[ParsedLine]) -> None:
    """Find the lines that say a sum; they are no phases, and their times of day begin none."""
    for bit in bits:
        if not (bit.what or bit.is_quoted or bit.is_row or bit.is_note):
            _look_for_total(bit)


def classify_lines(bits: list[ParsedLine]) -> ClassifiedLines:
    """Decide what every line is; sets ``what`` and ``why``, and gives notes to their phases."""
    _look_for_sections(bits)
    listed = next((bit for bit in bits if not bit.what and bit.mark and bit.has_time), None)
    listed = listed or next((bit for bit in bits if not bit.what and bit.mark), None)
    _look_at_first(bits)
    placed = ClassifiedLines()
    last: ParsedLine | None = None
    for bit in bits:
        if bit.what == "total":
            _compare(bit, placed)
        elif not bit.what:
            _place_one(bit, placed, listed, last)
        last = last if bit.what == "blank" else bit
    return placed


def title_text(raw: str) -> str:
    """The lesson's title on its line, without "#" and "Lesson:"."""
    text = neat(tidied(raw)).lstrip("# ").strip()
    label, rest = _label_of(text)
    return rest if label in TITLE_LABELS and rest else text


def _label_of(text: str) -> tuple[str, str]:
    """The words before a line's colon and the text behind it; the first is empty without a label."""
    match = _LABEL.fullmatch(text)
    return (phrase(match[1]), match[2].strip()) if match else ("", "")


def _place_one(
    bit: ParsedLine, placed: ClassifiedLines, listed: ParsedLine | None, last: ParsedLine | None
) -> None:
    under = placed.phases[-1] if placed.phases else None
    if bit.is_quoted:
        _phase(bit, placed)
    elif bit.is_row:
        _row(bit, placed, under)
    elif _is_heading(bit, under):
        _heading(bit, placed)
    elif under is not None and _labelled(bit, under, placed):
        return
    elif bit.has_time or bit.is_open:
        _timed(bit, placed, under, last)
    elif under is not None and _is_below(bit, under):
        _note(bit, placed, under, neat(bit.whole))
    elif not is_kind_name(bit.title) and _heads(bit, under, listed):
        _heading(bit, placed)
    else:
        _phase(bit, placed)


def _heads(bit: ParsedLine, under: ParsedLine | None, listed: ParsedLine | None) -> bool:
    """Lines above all phases are about the lesson, but for items of the list; later ones end with a colon."""
    is_listed = listed is not None and bool(bit.mark) and bit.style == listed.style
    return (under is None and not is_listed) or (bit.title.endswith(":") and not bit.mark)


def _is_in(bit: ParsedLine, under: ParsedLine) -> bool:
    return bit.indent >= under.indent + FURTHER_IN


def _is_heading(bit: ParsedLine, under: ParsedLine | None) -> bool:
    """Lines with "#", "Lesson: …", "Materials: …"; a line below a phase and further in is none."""
    if bit.is_hashed:
        return bit.timing is None or bit.timing.how == "bare"
    label, rest = _label_of(bit.words)
    if under is not None and _is_in(bit, under):
        return False
    if label in TITLE_LABELS:
        return any(map(str.isalpha, rest)) and not bit.start_min and not _is_only_time(rest)
    return label in ABOUT_LABELS and not (bit.has_time and guess_kind(label) != "other")


def _is_only_time(text: str) -> bool:
    low = shadow(text)
    timing = read_time(low)
    return timing is not None and not folded(timing.without(low))


def _heading(bit: ParsedLine, placed: ClassifiedLines) -> None:
    is_about = _label_of(bit.words)[0] in ABOUT_LABELS and not bit.is_hashed
    if placed.has_title or placed.phases or is_about:
        bit.what = "heading"
    else:
        bit.what, placed.has_title = "title", True


def _labelled(bit: ParsedLine, under: ParsedLine, placed: ClassifiedLines) -> bool:
    """Take "Note: …" and, further in, "For the class: …" to the phase above."""
    label, rest = _label_of(bit.words)
    line = one_line(rest)
    if label in NOTE_LABELS:
        _note(bit, placed, under, line)
        return True
    is_in = _is_in(bit, under) or bool(bit.mark and bit.style != under.style)
    if label in CLASS_LABELS and is_in and not under.class_line and 0 < len(line) <= MOST_LINE:
        under.class_line, bit.what = line, "note"
        placed.of[bit.number] = under.number
        return True
    return False


def _note(bit: ParsedLine, placed: ClassifiedLines, under: ParsedLine, text: str) -> None:
    both = "\n".join(filter(None, (under.notes, text)))  # a lone bullet adds no line
    if len(both) > MOST_NOTES:
        bit.what = "not understood"
        bit.why = _("The notes of one phase take {most} characters at most.").format(most=MOST_NOTES)
        return
    under.notes, bit.what = both, "note"
    placed.of[bit.number] = under.number


def _is_below(bit: ParsedLine, under: ParsedLine) -> bool:
    """Whether a line without a time belongs to the phase above: further in, another mark, or a sentence."""
    if _is_in(bit, under):
        return True
    if bit.mark in ("bullet", "letter"):
        return bit.style[1] != under.style[1] or under.is_row or under.is_quoted
    return not bit.mark and not is_kind_name(bit.title) and _is_sentence(bit)


def _is_sentence(bit: ParsedLine) -> bool:
    text = bit.words.strip()
    return text.endswith((".", "!", "?", "…", ")", '"', "”")) or len(text) > _LONG or text[:1].islower()


def _timed(
    bit: ParsedLine, placed: ClassifiedLines, under: ParsedLine | None, last: ParsedLine | None
) -> None:
    is_in = under is not None and (_is_in(bit, under) or _has_other_mark(bit, under))
    if under is not None and is_in and bit.start_min is None:
        is_weak = (bit.timing is None or not bit.timing.is_plain) and guess_kind(bit.title) == "other"
        if is_weak or _is_in_words(bit):
            bit.doubts = [_("Kept as a note although there is a number in it.")] if bit.has_time else []
            _note(bit, placed, under, neat(bit.whole))
            return
    if bit.has_time and not bit.title and _belongs_to_line_above(bit, placed, last):
        return
    _phase(bit, placed)


def _is_in_words(bit: ParsedLine) -> bool:
    """Whether the time stands in the middle of a sentence, or at the end of a long one."""
    if bit.timing is None or not _is_sentence(bit):
        return False
    many = len(folded(bit.title)) > _FEW_WORDS and bit.timing.place == "tail"
    return many or bit.timing.place == "mid"


def _has_other_mark(bit: ParsedLine, under: ParsedLine) -> bool:
    return bit.mark in ("bullet", "letter") and bit.style[1] != under.style[1] and not under.is_row


def _belongs_to_line_above(bit: ParsedLine, placed: ClassifiedLines, last: ParsedLine | None) -> bool:
    """A time alone goes to a title on the line above that has none."""
    if last is None or last.is_quoted or last.is_row or last.has_time or last.is_open:
        return False
    if last.what == "title" and not last.is_hashed and bit.seconds is not None:
        last.what, last.why = "", ""
        placed.has_title = False
        _phase(last, placed)
    if last.what != "phase" or bit.seconds is None or not 1 <= bit.seconds <= MAX_PHASE_S:
        return False
    last.seconds, last.has_time, last.why, last.doubts = bit.seconds, True, "", [*bit.doubts]
    bit.what = "time"
    placed.of[bit.number] = last.number
    return True


def _row(bit: ParsedLine, placed: ClassifiedLines, under: ParsedLine | None) -> None:
    if bit.title or bit.has_time:
        _phase(bit, placed)
    elif under is not None:
        _note(bit, placed, under, " ".join(bit.clean.replace("|", " ").split()))
    else:
        _heading(bit, placed)


def _phase(bit: ParsedLine, placed: ClassifiedLines) -> None:
    """Make the line a phase, or say why it can't be one."""
    _shorten(bit)
    bit.why = _why_not(bit, placed)
    if bit.why:
        bit.what = "not understood"
        return
    bit.what = "phase"
    placed.phases.append(bit)
    if not bit.is_row and bit.words.endswith(".") and bit.timing and bit.timing.place == "mid":
        bit.doubts.append(_("Read out of a sentence."))
    if not bit.has_time and not bit.is_open:
        bit.doubts.append(_("No minutes found: write them at the end, such as: Review 3"))


def _shorten(bit: ParsedLine) -> None:
    """A long line: what follows the first colon or full stop goes to the notes, which are private."""
    bit.title, bit.class_line = one_line(bit.title), one_line(bit.class_line)
    if len(bit.title) > MOST_TITLE:
        match = re.search(r"[:.;] | [-–—] ", bit.title[:MOST_TITLE])
        if match and match.start():
            bit.notes = "\n".join(filter(None, (bit.title[match.end() :].strip(), bit.notes)))
            bit.title = bit.title[: match.start()].strip()
    if len(bit.class_line) > MOST_LINE:
        bit.notes = "\n".join(filter(None, (bit.class_line, bit.notes)))
        bit.class_line = ""


def _why_not(bit: ParsedLine, placed: ClassifiedLines) -> str:
    if not any(char.isprintable() and not char.isspace() for char in bit.title):
        return _("There is no title. Write a title and its minutes, such as: Review 3")
    if len(bit.title) > MOST_TITLE:
        return _("The title is too long: {most} characters at most.").format(most=MOST_TITLE)
    if len(bit.notes) > MOST_NOTES:
        return _("The notes of one phase take {most} characters at most.").format(most=MOST_NOTES)
    if bit.has_time and bit.seconds is None:
        return _("Its time is no length of time. Write minutes: 3, 2:30 or 90 s.")
    if bit.seconds is not None and not 1 <= bit.seconds <= MAX_PHASE_S:
        return _("A phase takes from 1 second to 3 hours; this says {time}.").format(
            time=format_duration(bit.seconds)
        )
    if len(placed.phases) >= MAX_PHASES:
        return _("A lesson has {most} phases at most.").format(most=MAX_PHASES)
    return ""


def _look_for_total(bit: ParsedLine) -> None:
    """ "= 25 min", "Total 25", "Time: 9:00–9:25"."""
    low = shadow(bit.words)
    timing = read_time(low)
    rest = low if timing is None else timing.without(low)
    words = folded(rest)
    seconds = None if timing is None else timing.seconds
    says_total = bool(words) and WITH_TOTAL.issuperset(words) and bool(TOTAL_WORDS.intersection(words))
    is_sum = low.startswith("=") and timing is not None and WITH_TOTAL.issuperset(words)
    is_length = _label_of(low)[0] in LENGTH_LABELS
    if is_length and (bit.start_min is not None or timing is not None):
        says_total = True
        if bit.start_min is not None and bit.end_min is not None:
            seconds = between_s(bit.start_min, bit.end_min)
    if says_total or is_sum:
        bit.what, bit.said_s = "total", seconds


def _look_for_sections(bits: list[ParsedLine]) -> None:
    """A line whose minutes are those of the parts below it says their sum: "Mini lesson 25"."""
    timed = [bit for bit in bits if not bit.what and bit.has_time and bit.seconds and not bit.is_quoted]
    for at, bit in enumerate(timed[: MAX_PHASES * 2]):
        inner: list[int] = []
        for below in timed[at + 1 :]:
            if not _is_in(below, bit):
                break
            inner.append(below.seconds or 0)
        after = [below.seconds or 0 for below in timed[at + 1 :]]
        is_section = phrase(bit.title) in SECTION_PHRASES
        is_first = at == 0 and not bit.mark and not bit.is_row and len(after) > 1
        parts = inner or (after if is_section or is_first else [])
        if len(parts) > 1 and (sum(parts) == bit.seconds or (inner and is_section)):
            bit.what, bit.said_s, bit.sum_s = "total", bit.seconds, sum(parts)


def _look_at_first(bits: list[ParsedLine]) -> None:
    """A first line with a bare number above lines that all have a unit may be the lesson's title."""
    timed = [bit for bit in bits if not bit.what and bit.has_time]
    first = next((bit for bit in bits if bit.what not in ("blank", "divider")), None)
    if first is None or not timed or first is not timed[0] or first.timing is None:
        return
    if first.timing.is_plain or guess_kind(first.title) != "other":
        return
    if len(timed) > 2 and all(bit.timing is None or bit.timing.is_plain for bit in timed[1:]):
        first.doubts.append(_("If this is the title of the lesson, put # before it."))


def _compare(bit: ParsedLine, placed: ClassifiedLines) -> None:
    """Say where a total and the phases above it differ."""
    above = [phase.seconds or 0 for phase in placed.phases]
    since = above[placed.summed :]
    placed.summed = len(above)
    if bit.sum_s is None and above:
        bit.sum_s = sum(above) if bit.said_s == sum(above) or not since else sum(since)
    if bit.said_s is not None and bit.sum_s is not None and bit.said_s != bit.sum_s:
        bit.why = _("This says {said}, the phases come to {sum}.").format(
            said=format_duration(bit.said_s), sum=format_duration(bit.sum_s)
        )
