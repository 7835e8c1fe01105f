"""What each line of a typed outline is among the lines around it: a phase, a note, a title, a total."""

import re
from dataclasses import dataclass, field

from pacer.plan.durations import format_duration
from pacer.plan.file.model import MAX_PHASE_S, MAX_PHASES
from pacer.plan.typed.clocks_in_text import between_s
from pacer.plan.typed.line import ParsedLine
from pacer.plan.typed.line_signs import (
    are_capitals_headings,
    has_other_mark,
    is_described,
    is_header_line,
    is_heading_word,
    is_in_words,
    is_only_time,
    is_plain,
    is_script,
    is_sentence,
    is_spoken,
    is_time_of_day,
    label_of,
    stands_in,
)
from pacer.plan.typed.line_time import read_time
from pacer.plan.typed.plain_signs import neat, one_line, shadow, tidied
from pacer.plan.typed.second_look import doubt_clocks, doubt_first_line, doubt_unlike
from pacer.plan.typed.vocabulary import (
    ABOUT_LABELS,
    CLASS_LABELS,
    CLOSINGS,
    GREETINGS,
    HEADERS,
    HOMEWORK,
    LENGTH_LABELS,
    MAIL_LABELS,
    NOTE_LABELS,
    TITLE_LABELS,
    TOTAL_WORDS,
    WITH_TOTAL,
    folded,
    guess_kind,
    is_kind_name,
)
from pacer.text import _

CLASS_LABEL = "For the class"
MOST_TITLE, MOST_LINE, MOST_NOTES = 120, 300, 5000


_NAME_WORDS = 3


def find_totals(lines: list[ParsedLine]) -> None:
    """Find the lines that say a sum; they are no phases, and their times of day begin none."""
    for line in lines:
        if not (line.what or line.is_quoted or line.is_row or line.is_note):
            _mark_total(line)


def classify_lines(lines: list[ParsedLine]) -> None:
    """Decide what every line is; sets ``what`` and ``why``, and gives notes to their phases."""
    doubt_first_line(lines)
    marked = [line for line in lines if not line.what and line.mark]
    listed = next((line for line in marked if line.has_time), next(iter(marked), None))
    classifier = _Classifier(
        listed, is_described=is_described(lines), are_capitals=are_capitals_headings(lines)
    )
    for line in lines:
        classifier.classify(line)
    doubt_unlike(classifier.phases)
    doubt_clocks(classifier.phases)


@dataclass
class _Classifier:
    """Goes through the lines in order. ``listed`` is the line that shows how the items of the list look.

    ``summed`` is how many phases stand above the last total, ``last`` the last line that is not blank.
    """

    listed: ParsedLine | None
    is_described: bool = False
    are_capitals: bool = False
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
        elif is_time_of_day(line) and not (under is not None and stands_in(line, under)):
            line.what, line.why = "heading", _("Read as a time of day, not as minutes.")
        elif under is not None and is_spoken(line):
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
        elif under is not None and is_heading_word(line, are_capitals=self.are_capitals):
            line.what, line.why = "heading", _("Read as a heading: it has no minutes.")
        else:
            self._make_phase(line)

    def _is_beside(self, line: ParsedLine) -> bool:
        """Talk, greetings and names around a plan: what has no minutes and is said to somebody."""
        words = folded(line.words)
        if self.closed and not line.mark and len(words) <= _NAME_WORDS and not is_plain(line):
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
        is_about = label_of(line.words)[0] in ABOUT_LABELS and not line.is_hashed
        if self.has_title or self.phases or is_about:
            line.what = "heading"
        else:
            line.what, self.has_title = "title", True

    def _took_label(self, line: ParsedLine, under: ParsedLine) -> bool:
        """Take "Note: …" and, further in, "For the class: …" to the phase above."""
        label, rest = label_of(line.words)
        text = one_line(rest)
        is_item = line.mark in ("number", "letter") and not line.indent and line.has_time
        if label in NOTE_LABELS and not is_item:
            self._add_to_notes(line, under, text)
            return True
        is_in = stands_in(line, under) or bool(line.mark and line.style != under.style)
        if label in CLASS_LABELS and is_in and not under.class_line and 0 < len(text) <= MOST_LINE:
            under.class_line, line.what = text, "note"
            line.of = under.number
            return True
        return False

    def _add_to_notes(self, line: ParsedLine, under: ParsedLine, text: str) -> None:
        both = "\n".join(filter(None, (under.notes, text)))  # a lone bullet adds no line
        if len(both) > MOST_NOTES:
            line.what = "not understood"
            line.why = _("The notes of one phase take {most} characters at most.", most=MOST_NOTES)
            return
        under.notes, line.what = both, "note"
        line.of = under.number

    def _classify_timed(self, line: ParsedLine, under: ParsedLine | None) -> None:
        is_in = under is not None and (stands_in(line, under) or has_other_mark(line, under))
        if line.is_detail or (line.start_min is None and is_script(line)):
            line.doubts = [_("Kept as a note although there is a number in it.")]
            if under is None:
                line.what, line.why = "heading", line.doubts[0]
            else:
                self._add_to_notes(line, under, neat(line.whole))
            return
        if under is not None and is_in and line.start_min is None and not line.is_part:
            is_weak = (line.timing is None or not line.timing.is_plain) and guess_kind(line.title) == "other"
            if is_weak or is_in_words(line):
                is_clear = line.timing is None or (not line.timing.is_plain and is_plain(under))
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
            return _("The title is too long: {most} characters at most.", most=MOST_TITLE)
        if len(line.notes) > MOST_NOTES:
            return _("The notes of one phase take {most} characters at most.", most=MOST_NOTES)
        if line.has_time and line.seconds is None:
            return _("Its time is no length of time. Write minutes: 3, 2:30 or 90 s.")
        if line.seconds is not None and not 1 <= line.seconds <= MAX_PHASE_S:
            return _("A phase takes from 1 second to 3 hours; this says {time}.").format(
                time=format_duration(line.seconds)
            )
        if len(self.phases) >= MAX_PHASES:
            return _("A lesson has {most} phases at most.", most=MAX_PHASES)
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
    label, rest = label_of(text)
    return rest if label in TITLE_LABELS and rest else text


def _is_above_phases(line: ParsedLine, under: ParsedLine | None, listed: ParsedLine | None) -> bool:
    """Lines above all phases are about the lesson, but for items of the list; later ones end with a colon."""
    is_listed = listed is not None and bool(line.mark) and line.style == listed.style
    return (under is None and not is_listed) or (line.title.endswith(":") and not line.mark)


def _is_heading(line: ParsedLine, under: ParsedLine | None) -> bool:
    """Lines with "#", "Lesson: …", "Materials: …"; a line below a phase and further in is none."""
    if line.is_hashed:
        return line.timing is None or line.timing.how == "bare"
    label, rest = label_of(line.words)
    if under is not None and stands_in(line, under):
        return False
    if label in MAIL_LABELS and not line.has_time and not line.mark:
        return True
    if label in HOMEWORK and under is not None and any(map(str.isalpha, rest)) and not is_only_time(rest):
        if line.has_time:
            line.why = _("Read as what is done at home.")
        return True
    if label in TITLE_LABELS:
        return any(map(str.isalpha, rest)) and not line.start_min and not is_only_time(rest)
    return label in ABOUT_LABELS and not (line.has_time and guess_kind(label) != "other")


def _is_below(line: ParsedLine, under: ParsedLine) -> bool:
    """Whether a line without a time belongs to the phase above: further in, another mark, or a sentence."""
    if stands_in(line, under):
        return True
    if line.mark in ("bullet", "letter"):
        return line.style[1] != under.style[1] or under.is_row or under.is_quoted
    return not line.mark and not is_kind_name(line.title) and is_sentence(line)


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
    is_length = label_of(low)[0] in LENGTH_LABELS | HEADERS["minutes"] and not any(map(str.isdigit, label))
    if is_length and (line.start_min is not None or timing is not None):
        says_total = True
        if line.start_min is not None and line.end_min is not None:
            seconds = between_s(line.start_min, line.end_min)
    if says_total or is_sum:
        line.what, line.said_s = "total", seconds
