"""What each line of a typed outline is among the lines around it: a phase, a note, a title, a total."""

import re
from dataclasses import dataclass, field

from pacer.plan.durations import format_duration
from pacer.plan.file.model import MAX_PHASE_S, MAX_PHASES
from pacer.plan.typed.durations_in_text import read_time
from pacer.plan.typed.line import FURTHER_IN, ParsedLine, between_s, neat, one_line, shadow, tidied
from pacer.plan.typed.table import role_named
from pacer.plan.typed.vocabulary import (
    ABOUT_LABELS,
    CLASS_LABELS,
    CLOSINGS,
    DAYS,
    GREETINGS,
    HEADERS,
    HOMEWORK,
    LEAD_WORDS,
    LENGTH_LABELS,
    MAIL_LABELS,
    NOTE_LABELS,
    SCRIPT_WORDS,
    SPEAKERS,
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
_EARLIEST_S = 7 * 60
_FEWEST_TOLD, _TOLD_SHARE = 3, 0.75
QUOTE_SIGNS = tuple('"“”„«»')
_NAME_WORDS, _MOST_NAMES, _LONGEST_HEADER, _SENTENCE_WORDS, _BRIEF_S = 3, 8, 200, 8, 60
_CLOCK = re.compile(r"(?<![\d:.])(?:[01]?\d|2[0-3]):[0-5]\d(?![\d:])")
_LABEL = re.compile(r"([^:]{1,30}): ?(.*)", re.DOTALL)


def find_totals(lines: list[ParsedLine]) -> None:
    """Find the lines that say a sum; they are no phases, and their times of day begin none."""
    for line in lines:
        if not (line.what or line.is_quoted or line.is_row or line.is_note):
            _mark_total(line)


def classify_lines(lines: list[ParsedLine]) -> None:
    """Decide what every line is; sets ``what`` and ``why``, and gives notes to their phases."""
    _doubt_first_line(lines)
    marked = [line for line in lines if not line.what and line.mark]
    listed = next((line for line in marked if line.has_time), next(iter(marked), None))
    classifier = _Classifier(listed, is_described=_is_described(lines))
    for line in lines:
        classifier.classify(line)
    _doubt_unlike(classifier.phases)
    _doubt_clocks(classifier.phases)


@dataclass
class _Classifier:
    """Goes through the lines in order. ``listed`` is the line that shows how the items of the list look.

    ``summed`` is how many phases stand above the last total, ``last`` the last line that is not blank.
    """

    listed: ParsedLine | None
    is_described: bool = False
    phases: list[ParsedLine] = field(default_factory=list)
    has_title: bool = False
    summed: int = 0
    greeted: bool = False
    closed: bool = False
    last: ParsedLine | None = None

    def classify(self, line: ParsedLine) -> None:
        """Decide what the next line is."""
        if line.what == "total":
            self._compare_total(line)
        elif not line.what:
            self._classify_line(line)
        self.last = self.last if line.what == "blank" else line

    def _classify_line(self, line: ParsedLine) -> None:
        under = self.phases[-1] if self.phases else None
        if line.is_quoted:
            self._make_phase(line)
        elif line.is_note and under is not None and self._took_label(line, under):
            return
        elif line.is_row:
            self._classify_row(line, under)
        elif self._is_beside(line) or is_header_line(line):
            line.what = "heading"
        elif _is_time_of_day(line) and not (under is not None and _is_in(line, under)):
            line.what, line.why = "heading", _("Read as a time of day, not as minutes.")
        elif under is not None and _is_spoken(line):
            line.doubts = [_("Kept as a note although there is a number in it.")] if line.has_time else []
            self._add_to_notes(line, under, neat(line.whole))
        elif _is_heading(line, under):
            self._make_heading(line)
        elif under is not None and self._took_label(line, under):
            return
        elif line.has_time or line.is_open:
            self._classify_timed(line, under)
        elif under is not None and (_is_below(line, under) or (self.is_described and not line.mark)):
            if is_kind_name(line.title):
                line.doubts.append(_("Read as a note: it has no minutes."))
            self._add_to_notes(line, under, neat(line.whole))
        elif not is_kind_name(line.title) and _is_above_phases(line, under, self.listed):
            self._make_heading(line)
        elif under is not None and _is_heading_word(line):
            line.what, line.why = "heading", _("Read as a heading: it has no minutes.")
        else:
            self._make_phase(line)

    def _is_beside(self, line: ParsedLine) -> bool:
        """Talk, greetings and names around a plan: what has no minutes and is said to somebody."""
        words = folded(line.words)
        if self.closed and not line.mark and len(words) <= _NAME_WORDS and not _is_plain(line):
            return True
        if line.is_talk and line.words.rstrip()[-1:] == "?" and not line.mark:
            line.why = _("Read as a question beside the plan.")
            return True
        if line.has_time or line.is_open or line.start_min is not None:
            return False
        self.closed = bool(words) and words[0] in CLOSINGS and line.words.rstrip()[-1:] in ",!."
        is_greeting = bool(words) and words[0] in GREETINGS
        is_greeting = is_greeting and (len(words) <= _NAME_WORDS or line.words.rstrip()[-1:] in ",!.:")
        is_name = self.greeted and 0 < len(words) <= _NAME_WORDS and not is_kind_name(line.title)
        self.greeted = is_greeting and line.words.rstrip()[-1:] in ",!."
        if line.is_talk and guess_kind(line.title) != "other":
            line.why = _("Read as talk beside the plan: it has no minutes.")
        return line.is_talk or is_greeting or is_name

    def _make_heading(self, line: ParsedLine) -> None:
        is_about = _label_of(line.words)[0] in ABOUT_LABELS and not line.is_hashed
        if self.has_title or self.phases or is_about:
            line.what = "heading"
        else:
            line.what, self.has_title = "title", True

    def _took_label(self, line: ParsedLine, under: ParsedLine) -> bool:
        """Take "Note: …" and, further in, "For the class: …" to the phase above."""
        label, rest = _label_of(line.words)
        text = one_line(rest)
        is_item = line.mark in ("number", "letter") and not line.indent and line.has_time
        if label in NOTE_LABELS and not is_item:
            self._add_to_notes(line, under, text)
            return True
        is_in = _is_in(line, under) or bool(line.mark and line.style != under.style)
        if label in CLASS_LABELS and is_in and not under.class_line and 0 < len(text) <= MOST_LINE:
            under.class_line, line.what = text, "note"
            line.of = under.number
            return True
        return False

    def _add_to_notes(self, line: ParsedLine, under: ParsedLine, text: str) -> None:
        both = "\n".join(filter(None, (under.notes, text)))  # a lone bullet adds no line
        if len(both) > MOST_NOTES:
            line.what = "not understood"
            line.why = _("The notes of one phase take {most} characters at most.").format(most=MOST_NOTES)
            return
        under.notes, line.what = both, "note"
        line.of = under.number

    def _classify_timed(self, line: ParsedLine, under: ParsedLine | None) -> None:
        is_in = under is not None and (_is_in(line, under) or _has_other_mark(line, under))
        if line.is_detail or (line.start_min is None and is_script(line)):
            line.doubts = [_("Kept as a note although there is a number in it.")]
            if under is None:
                line.what, line.why = "heading", line.doubts[0]
            else:
                self._add_to_notes(line, under, neat(line.whole))
            return
        if under is not None and is_in and line.start_min is None and not line.is_part:
            is_weak = (line.timing is None or not line.timing.is_plain) and guess_kind(line.title) == "other"
            if is_weak or _is_in_words(line):
                is_clear = line.timing is None or (not line.timing.is_plain and _is_plain(under))
                kept = [_("Kept as a note although there is a number in it.")]
                line.doubts = [] if is_clear else kept
                self._add_to_notes(line, under, neat(line.whole))
                return
        if line.has_time and not line.title and self._belongs_to_line_above(line):
            return
        self._make_phase(line)

    def _belongs_to_line_above(self, line: ParsedLine) -> bool:
        """A time alone goes to a title on the line above that has none."""
        last = self.last
        if last is None or last.is_quoted or last.is_row or last.has_time or last.is_open:
            return False
        if last.what == "title" and not last.is_hashed and line.seconds is not None:
            last.what, last.why = "", ""
            self.has_title = False
            self._make_phase(last)
        if last.what != "phase" or line.seconds is None or not 1 <= line.seconds <= MAX_PHASE_S:
            return False
        last.seconds, last.has_time, last.why, last.doubts = line.seconds, True, "", [*line.doubts]
        line.what = "time"
        line.of = last.number
        return True

    def _classify_row(self, line: ParsedLine, under: ParsedLine | None) -> None:
        if line.title or line.has_time:
            self._make_phase(line)
        elif under is not None:
            self._add_to_notes(line, under, " ".join(line.clean.replace("|", " ").split()))
        else:
            self._make_heading(line)

    def _make_phase(self, line: ParsedLine) -> None:
        """Make the line a phase, or say why it can't be one."""
        _move_excess_to_notes(line)
        line.why = self._refusal(line)
        if line.why:
            line.what = "not understood"
            return
        line.what = "phase"
        self.phases.append(line)
        if not line.is_row and line.words.endswith(".") and line.timing and line.timing.place == "mid":
            line.doubts.append(_("Read out of a sentence."))
        if not line.has_time and not line.is_open:
            line.doubts.append(_("No minutes found: write them at the end, such as: Review 3"))

    def _refusal(self, line: ParsedLine) -> str:
        if not any(char.isprintable() and not char.isspace() for char in line.title):
            return _("There is no title. Write a title and its minutes, such as: Review 3")
        if len(line.title) > MOST_TITLE:
            return _("The title is too long: {most} characters at most.").format(most=MOST_TITLE)
        if len(line.notes) > MOST_NOTES:
            return _("The notes of one phase take {most} characters at most.").format(most=MOST_NOTES)
        if line.has_time and line.seconds is None:
            return _("Its time is no length of time. Write minutes: 3, 2:30 or 90 s.")
        if line.seconds is not None and not 1 <= line.seconds <= MAX_PHASE_S:
            return _("A phase takes from 1 second to 3 hours; this says {time}.").format(
                time=format_duration(line.seconds)
            )
        if len(self.phases) >= MAX_PHASES:
            return _("A lesson has {most} phases at most.").format(most=MAX_PHASES)
        return ""

    def _compare_total(self, line: ParsedLine) -> None:
        """Say where a total and the phases above it differ."""
        above = [phase.seconds or 0 for phase in self.phases]
        since_last_total = above[self.summed :]
        self.summed = len(above)
        if line.sum_s is None and above:
            line.sum_s = (
                sum(above) if line.said_s == sum(above) or not since_last_total else sum(since_last_total)
            )
        if line.said_s is not None and line.sum_s is not None and line.said_s != line.sum_s:
            line.why = _("This says {said}, the phases come to {sum}.").format(
                said=format_duration(line.said_s), sum=format_duration(line.sum_s)
            )


def title_text(raw: str) -> str:
    """The lesson's title on its line, without "#" and "Lesson:"."""
    text = neat(tidied(raw)).lstrip("# ").strip()
    label, rest = _label_of(text)
    return rest if label in TITLE_LABELS and rest else text


def _label_of(text: str) -> tuple[str, str]:
    """The words before a line's colon and the text behind it; the first is empty without a label."""
    match = _LABEL.fullmatch(text)
    return (phrase(match[1]), match[2].strip()) if match else ("", "")


def _is_above_phases(line: ParsedLine, under: ParsedLine | None, listed: ParsedLine | None) -> bool:
    """Lines above all phases are about the lesson, but for items of the list; later ones end with a colon."""
    is_listed = listed is not None and bool(line.mark) and line.style == listed.style
    return (under is None and not is_listed) or (line.title.endswith(":") and not line.mark)


def _is_in(line: ParsedLine, under: ParsedLine) -> bool:
    return line.indent >= under.indent + FURTHER_IN


def _is_heading(line: ParsedLine, under: ParsedLine | None) -> bool:
    """Lines with "#", "Lesson: …", "Materials: …"; a line below a phase and further in is none."""
    if line.is_hashed:
        return line.timing is None or line.timing.how == "bare"
    label, rest = _label_of(line.words)
    if under is not None and _is_in(line, under):
        return False
    if label in MAIL_LABELS and not line.has_time and not line.mark:
        return True
    if label in HOMEWORK and under is not None and any(map(str.isalpha, rest)) and not _is_only_time(rest):
        if line.has_time:
            line.why = _("Read as what is done at home.")
        return True
    if label in TITLE_LABELS:
        return any(map(str.isalpha, rest)) and not line.start_min and not _is_only_time(rest)
    return label in ABOUT_LABELS and not (line.has_time and guess_kind(label) != "other")


def _is_only_time(text: str) -> bool:
    low = shadow(text)
    timing = read_time(low)
    return timing is not None and not folded(timing.without(low))


def _is_below(line: ParsedLine, under: ParsedLine) -> bool:
    """Whether a line without a time belongs to the phase above: further in, another mark, or a sentence."""
    if _is_in(line, under):
        return True
    if line.mark in ("bullet", "letter"):
        return line.style[1] != under.style[1] or under.is_row or under.is_quoted
    return not line.mark and not is_kind_name(line.title) and _is_sentence(line)


def _is_plain(line: ParsedLine) -> bool:
    return line.timing is not None and line.timing.is_plain


def _is_described(lines: list[ParsedLine]) -> bool:
    """Whether most lines with minutes have a line without below them: what is done, in words."""
    filled = [line for line in lines if line.what not in ("blank", "divider", "heading", "total")]
    timed = [at for at, line in enumerate(filled) if line.has_time and not line.what and not line.is_row]
    told = [
        at for at, line in enumerate(filled[1:]) if at in timed and (not line.has_time or is_script(line))
    ]
    return len(timed) >= _FEWEST_TOLD and _TOLD_SHARE * len(timed) <= len(told)


def _is_spoken(line: ParsedLine) -> bool:
    """ "Teacher: “Who has used one?”": who says it, and what."""
    label, rest = _label_of(line.words)
    return label in SPEAKERS and (rest[:1] in QUOTE_SIGNS or (line.has_time and not _is_only_time(rest)))


def is_header_line(line: ParsedLine) -> bool:
    """Whether a line holds names of columns and nothing else: "Phase   Time   Materials"."""
    if line.has_time or line.mark:
        return False
    names = re.split(r"\s{2,9}|\t| ?[|/;,] ?", line.clean.strip()[:_LONGEST_HEADER])
    names = names if len(names) > 1 else names[0].split(" ")
    return 1 < len(names) <= _MOST_NAMES and all(map(role_named, names))


def _is_time_of_day(line: ParsedLine) -> bool:
    if line.has_time or line.is_open or line.lead_min is not None or line.start_min is not None:
        return False
    return _CLOCK.search(shadow(line.words)) is not None


def _is_heading_word(line: ParsedLine) -> bool:
    """ "MIDDLE" and "Tuesday": what heads a part of a plan and is none."""
    words = folded(line.title)
    is_day = bool(words) and words[0] in DAYS and len(words) <= _NAME_WORDS
    return is_day or (line.title.isupper() and guess_kind(line.title) == "other" and not line.mark)


def is_script(line: ParsedLine) -> bool:
    """Whether a time stands in what is said or done within a phase: "Wait 10 seconds."."""
    timing = line.timing
    if timing is None or line.is_row or line.is_part:
        return False
    text = line.words.strip()
    words = folded(text)
    ends = text[-1:] in '.!?…"”»)'
    is_brief = timing.how == "unit" and line.seconds is not None and line.seconds < _BRIEF_S
    if _is_spoken(line):
        return True
    if text[:1] in QUOTE_SIGNS and (timing.place == "mid" or text[-1:] in QUOTE_SIGNS):
        return True
    if words and words[0] in SCRIPT_WORDS and (timing.place == "mid" or is_brief or ends):
        return True
    if "timer" in words and guess_kind(line.title) == "other":
        return True
    many = len(words) > _SENTENCE_WORDS and text[-1:] in ".!?…"
    return many and timing.place == "mid" and not LEAD_WORDS.issuperset(words[:1])


def _is_sentence(line: ParsedLine) -> bool:
    text = line.words.strip()
    if text.endswith(")") and is_kind_name(text.partition("(")[0]):
        return False
    return text.endswith((".", "!", "?", "…", ")", '"', "”")) or len(text) > _LONG or text[:1].islower()


def _is_in_words(line: ParsedLine) -> bool:
    """Whether the time stands in the middle of a sentence, or at the end of a long one."""
    if line.timing is None or not _is_sentence(line):
        return False
    many = len(folded(line.title)) > _FEW_WORDS and line.timing.place == "tail"
    return many or line.timing.place == "mid"


def _has_other_mark(line: ParsedLine, under: ParsedLine) -> bool:
    return line.mark in ("bullet", "letter") and line.style[1] != under.style[1] and not under.is_row


def _move_excess_to_notes(line: ParsedLine) -> None:
    """A long line: what follows the first colon or full stop goes to the notes, which are private."""
    line.title, line.class_line = one_line(line.title), one_line(line.class_line)
    if len(line.title) > MOST_TITLE:
        match = re.search(r"[:.;] | [-–—] ", line.title[:MOST_TITLE])
        if match and match.start():
            line.notes = "\n".join(filter(None, (line.title[match.end() :].strip(), line.notes)))
            line.title = line.title[: match.start()].strip()
    if len(line.class_line) > MOST_LINE:
        line.notes = "\n".join(filter(None, (line.class_line, line.notes)))
        line.class_line = ""


def _mark_total(line: ParsedLine) -> None:
    """ "= 25 min", "Total 25", "Time: 9:00–9:25"."""
    low = shadow(line.words)
    timing = read_time(low)
    rest = low if timing is None else timing.without(low)
    words = folded(rest)
    seconds = None if timing is None else timing.seconds
    says_total = bool(words) and WITH_TOTAL.issuperset(words) and bool(TOTAL_WORDS.intersection(words))
    is_sum = low.startswith("=") and timing is not None and WITH_TOTAL.issuperset(words)
    label = low.partition(":")[0]
    is_length = _label_of(low)[0] in LENGTH_LABELS | HEADERS["minutes"] and not any(map(str.isdigit, label))
    if is_length and (line.start_min is not None or timing is not None):
        says_total = True
        if line.start_min is not None and line.end_min is not None:
            seconds = between_s(line.start_min, line.end_min)
    if says_total or is_sum:
        line.what, line.said_s = "total", seconds


def _doubt_unlike(phases: list[ParsedLine]) -> None:
    """A lone number among minutes that have a unit may be something else."""
    free = [line for line in phases if line.timing is not None and not line.is_row]
    bare = [line for line in free if line.timing is not None and not line.timing.is_plain]
    if 0 < len(bare) * 5 <= len(free):
        for line in (line for line in bare if guess_kind(line.title) == "other"):
            line.doubts = line.doubts or [_("The other lines write their minutes with a unit.")]


def _doubt_clocks(phases: list[ParsedLine]) -> None:
    """ "Library 9:05" among minutes of another form is as likely a time of day."""
    colons = [line for line in phases if line.timing is not None and line.timing.how == "colon"]
    if 2 * len(colons) <= len(phases):
        for line in colons:
            if not line.is_row and (line.seconds or 0) >= _EARLIEST_S:
                line.doubts.append(_("Read as minutes and seconds, not as a time of day."))


def _doubt_first_line(lines: list[ParsedLine]) -> None:
    """A first line with a bare number above lines that all have a unit may be the lesson's title."""
    timed = [line for line in lines if not line.what and line.has_time]
    first = next((line for line in lines if line.what not in ("blank", "divider")), None)
    if first is None or not timed or first is not timed[0] or first.timing is None:
        return
    if first.timing.is_plain or guess_kind(first.title) != "other":
        return
    if len(timed) > 2 and all(line.timing is None or line.timing.is_plain for line in timed[1:]):
        first.doubts.append(_("If this is the title of the lesson, put # before it."))
