"""All that may be a length of time in a typed line, by rules that hold for every line."""

import re
from dataclasses import dataclass, replace
from typing import Literal

from pacer.plan.durations import parse_duration
from pacer.plan.typed.vocabulary import (
    AT_WORDS,
    COUNTED,
    HOUR_WORDS,
    MAYBE_NAMING,
    MINUTE_WORDS,
    NAMING,
    NAMING_MANY,
    NUMBER_WORDS,
    RATES,
    SECOND_WORDS,
    SPAN_PHRASES,
    TIME_OF_DAY_AFTER,
    folded,
)
from pacer.text import _

_FEW_SECONDS = 15
NEAR = 24  # signs around a time that may tell what it is

Notation = Literal["unit", "colon", "bare"]
TimePlace = Literal["bracket", "lead", "tail", "mid"]

_FRACTIONS = {"½": ".5", "¼": ".25", "¾": ".75", "1/2": ".5", "1/4": ".25", "3/4": ".75"}
_AMOUNT = (
    r"\d{1,4}:\d{2}(?::\d{2})?|\d{1,3} ?[½¼¾]|\d{1,3} (?:1/2|1/4|3/4)(?=[ -]?[^\W\d])"
    rf"|(?:1/2|1/4|3/4)(?= ?(?:{HOUR_WORDS}|{MINUTE_WORDS})(?!\w))"
    r"|\d{1,6}(?:[.,]\d{1,2})?(?![.,]?\d)|[½¼¾]"
)
_TO = "-|to|a|à|bis|or|o|ou|oder"
_UNIT = rf"(?:(?P<h>{HOUR_WORDS})|(?P<m>{MINUTE_WORDS}|')|(?P<s>{SECOND_WORDS}|\"))(?!\w)"
_WORDS = "|".join(sorted(NUMBER_WORDS, key=len, reverse=True))
_SPANS = "|".join(sorted(SPAN_PHRASES, key=len, reverse=True))
_MORE_UNIT = "minutes?|mins?|minutos?|minuten|m|мин|seconds?|secs?|segundos?|sek|s"
# Every repeat is bounded, so a line costs time in proportion to its length.
_TIME = re.compile(
    r"(?<![\w/$€£#+×÷>'])(?<!\d[.,:])(?<![^\W\d]\.)"
    rf"(?:(?:(?P<low>{_AMOUNT}) ?(?:{_TO}) ?)?(?P<amount>{_AMOUNT})"
    rf"(?P<rough>-?ish| or so)?(?P<joint>[ -]{{0,3}}){_UNIT}"
    rf"(?: ?(?:(?:and|y|und) )?(?P<more>\d{{1,2}})(?: ?(?P<more_unit>{_MORE_UNIT})(?!\w)|(?![\w.,:/])))?"
    rf"|(?P<span>{_SPANS})(?!\w)"
    rf"|(?P<word>{_WORDS}) (?P<word_unit>{HOUR_WORDS}|{MINUTE_WORDS}|{SECOND_WORDS})(?!\w)"
    rf"|(?:(?P<bare_low>{_AMOUNT}) ?(?:-|to|or) ?)?(?P<bare>{_AMOUNT})"
    r"(?:(?P<ish>-?ish| or so|\+(?= {0,3}$)| ?\?(?= {0,3}$))(?!\w)"
    r"|(?![\w/%°¢:×÷\ufe0f\u20e3]|[.,]\d|\.\w|-\w)))"
)
_BEFORE_WORD = re.compile(r"([^\W\d_]+)[. ]{0,3}$")
_AFTER_WORD = re.compile(r" {0,3}([^\W\d_]+)")
_SUM_AFTER = re.compile(r" {0,3}(?:[+×÷*/<>=]|x \d|- ?\d)")
_SUM_BEFORE = re.compile(r"(?:[+×÷*<>]|\d ?=|\d ?x) {0,3}$")
_MINI_LESSON = re.compile(r"mini[- ]?(?:lesson|leccion|lección)[. ]{0,3}$")
_CHAIN = re.compile(r"[ ,&+-]{0,4}(?:and|to|or|y|o|a|through|bis)? {0,3}")
_MORE_NUMBERS = re.compile(r" {0,3}(?:,|&|-|and|to|or|y|o|a|through) {0,3}\d")
_CLOCK_VALUE = re.compile(r"(?:[01]?\d|2[0-3]):[0-5]\d")
_NO_SPAN_AFTER = re.compile(r" ?(?:[ap]\.?m\b|uhr\b)")
_LED_TO = re.compile(
    r"(?:[~≈≤<]|\b(?:about|approx\.?|approximately|around|ca\.?|circa|max\.?|up to|aprox\.?|cerca de|env\.?"
    r"|environ|etwa)) ?$"
)
_ROUGH_AFTER = re.compile(r"(?:-?ish| or so)(?!\w)")
_ROUGH_BEFORE = re.compile(r"[~≈] ?$")
_HOURS_RE = re.compile(HOUR_WORDS)
_SECONDS_RE = re.compile(rf'{SECOND_WORDS}|"')


@dataclass(frozen=True)
class Timing:
    """A length of time in a line: where it stands, how it is written, and what she should look at.

    ``seconds`` is None where it comes to none.
    """

    start: int
    end: int
    seconds: int | None
    how: Notation
    is_range: bool = False
    is_adjective: bool = False
    place: TimePlace = "mid"
    doubts: tuple[str, ...] = ()

    @property
    def is_plain(self) -> bool:
        """Written with a unit, with a colon or in brackets: not a number that could be anything."""
        return self.how != "bare" or self.place == "bracket"

    def without(self, line: str) -> str:
        """The line with a blank in its place."""
        return f"{line[: self.start]} {line[self.end :]}"


def possible_timings(line: str) -> list[Timing]:
    """Everything that may be a time, in order; numbers that name or count something are left out."""
    last_word = max((at for at, char in enumerate(line) if char.isalnum()), default=-1)
    first_word = next((at for at, char in enumerate(line) if char.isalnum()), 0)
    timings: list[Timing] = []
    named_end = -1
    match = _TIME.search(line)
    while match is not None:
        is_named = _is_named(line, match, named_end)
        timing = _timing_of(match, is_named)
        if is_named:
            named_end = match.end()
        names_only = timing is not None and timing.how == "bare" and is_named
        if timing is not None and not names_only and not _is_no_time(line, match, timing):
            timings.append(_with_place(line, timing, first_word, last_word))
        # A number that was tried as the rest of this time and isn't stands for itself.
        more = match.start("more")
        is_open = more > 0 and (timing is None or timing.end <= more)
        match = _TIME.search(line, more if is_open else match.end())
    return timings


def _is_named(line: str, match: re.Match[str], named_end: int) -> bool:
    """Whether the number is called something: "page 12", or follows one that is: "pages 3 and 4"."""
    if match["word"] or match["span"] or match["ish"] or match["rough"]:
        return False
    word = word_before(line, match.start())
    if word in NAMING:
        return not _MINI_LESSON.search(line[max(0, match.start() - NEAR) : match.start()])
    if word in NAMING_MANY and (match["bare_low"] or _MORE_NUMBERS.match(line, match.end())):
        return True
    between = line[named_end : match.start()] if named_end >= 0 and match.start() - named_end < NEAR else "x"
    return bool(between) and _CHAIN.fullmatch(between) is not None and between.strip() != ""


def word_before(line: str, at: int) -> str:
    """The word right before a place, folded; empty where none is near."""
    match = _BEFORE_WORD.search(line[max(0, at - NEAR) : at])
    return "".join(folded(match[1])) if match else ""


def _timing_of(match: re.Match[str], is_named: bool) -> Timing | None:
    if match["span"]:
        return Timing(match.start(), match.end(), SPAN_PHRASES[match["span"]] * 60, "unit")
    if match["word"]:
        unit = _unit_of(match["word_unit"])
        return Timing(match.start(), match.end(), _seconds(NUMBER_WORDS[match["word"]], unit), "unit")
    if match["bare"]:
        how: Notation = "colon" if ":" in match["bare"] else "bare"
        if is_named and how == "bare":
            return None
        start, seconds, is_range = _range_or_amount(match, "bare", match["bare_low"], "min")
        rough = (_("A rough time: it is taken as it stands."),) if match["ish"] else ()
        return Timing(start, match.end(), seconds, how, is_range, doubts=rough)
    if is_named and match["s"] and not match["low"] and not match["joint"]:
        return None
    unit = "h" if match["h"] else "s" if match["s"] else "min"
    start, seconds, is_range = _range_or_amount(match, "amount", None if is_named else match["low"], unit)
    end = match.end()
    if match["more"]:
        seconds, end = _with_more(match, seconds, unit)
    after = _ROUGH_AFTER.match(match.string, end)
    end = end if after is None else after.end()
    rough = (_("A rough time: it is taken as it stands."),) if after or match["rough"] else ()
    return Timing(start, end, seconds, "unit", is_range, is_adjective="-" in match["joint"], doubts=rough)


def _range_or_amount(
    match: re.Match[str], group: str, low: str | None, unit: str
) -> tuple[int, int | None, bool]:
    """Where the amount in a group of the match begins, its seconds, and whether it ends a range."""
    seconds = _seconds(match[group], unit)
    low_s = _seconds(low, unit) if low else None
    is_range = low_s is not None and seconds is not None and low_s < seconds
    return match.start() if is_range else match.start(group), seconds, is_range


def _with_more(match: re.Match[str], seconds: int | None, unit: str) -> tuple[int | None, int]:
    """Read "1 h 5", "1 h 5 min", "2 min 30 s"; what doesn't go on with a smaller unit is left alone."""
    written = match["more_unit"]
    smaller = "s" if unit == "min" else "min"
    ends = not match.string[match.end() : match.end() + NEAR].strip(" .)]")
    is_open = not written and unit == "min" and not (len(match["more"]) == 2 and ends)
    if seconds is None or unit == "s" or is_open or (written and _unit_of(written) != smaller):
        return seconds, match.start("more")
    more = _seconds(match["more"], smaller)
    return (None if more is None else seconds + more), match.end()


def _is_no_time(line: str, match: re.Match[str], timing: Timing) -> bool:
    """Sums, counted things, rates ("2 min per problem") and plurals ("by 3s") are no lengths of time."""
    near = line[match.end() : match.end() + NEAR]
    word = _AFTER_WORD.match(near)
    after = "".join(folded(word[1])) if word else ""
    before = line[max(0, timing.start - 6) : timing.start]
    if timing.how == "colon" and _is_time_of_day(line, match, near):
        return True
    if timing.how == "unit":
        is_plural = bool(match["s"]) and match["joint"] == "" and match["s"] in ("s", '"')
        few = timing.seconds is None or timing.seconds < _FEW_SECONDS
        is_counted = word_before(line, match.start()) in NAMING | MAYBE_NAMING
        return after in RATES or (is_plural and (few or is_counted))
    if timing.how == "bare" and timing.seconds is not None and timing.seconds > 999 * 60:
        return True
    is_sum = bool(_SUM_AFTER.match(near) or _SUM_BEFORE.search(before))
    return timing.how == "bare" and (is_sum or after in COUNTED or after in RATES)


def _is_time_of_day(line: str, match: re.Match[str], near: str) -> bool:
    """ "at 8:05", "until 9:40", "10:15 am", "Lunch 11:40": told, and not timed."""
    if _NO_SPAN_AFTER.match(near) or ":" in (match["bare_low"] or ""):
        return True
    if _CLOCK_VALUE.fullmatch(match["bare"] or "") is None:
        return False
    before = line[: match.start()]
    words = folded(before[-2 * NEAR :])
    return bool(words) and (words[-1] in AT_WORDS or bool(TIME_OF_DAY_AFTER.intersection(words)))


def _with_place(line: str, timing: Timing, first_word: int, last_word: int) -> Timing:
    head = line[max(0, timing.start - NEAR) : timing.start].rstrip()
    led = _LED_TO.search(head)
    before = head if led is None else head[: led.start()].rstrip()
    after = line[timing.end : timing.end + 4].lstrip(" .~")
    place: TimePlace = "mid"
    if before[-1:] in ("(", "[", "{", "<") and (after[:1] in (")", "]", "}", ">") or timing.end > last_word):
        place = "bracket"
    elif timing.start <= first_word and timing.end <= last_word:
        place = "lead"
    elif timing.end > last_word:
        place = "tail"
    rough = led is not None and _ROUGH_BEFORE.search(led[0])
    doubts = (_("A rough time: it is taken as it stands."),) if rough and not timing.is_range else ()
    return replace(timing, place=place, doubts=(*timing.doubts, *doubts))


def _unit_of(written: str) -> str:
    if _HOURS_RE.fullmatch(written):
        return "h"
    return "s" if _SECONDS_RE.fullmatch(written) else "min"


def _seconds(amount: str, unit: str) -> int | None:
    """An amount with its unit in whole seconds. "1:05 h" is hours and minutes, "1:05" alone m:ss."""
    for sign, decimals in _FRACTIONS.items():
        if amount.endswith(sign):
            amount = (amount.removesuffix(sign).strip() or "0") + decimals
    try:
        if ":" not in amount:
            return parse_duration(f"{amount} {unit}")
        return parse_duration(f"{amount}:00" if unit == "h" and amount.count(":") == 1 else amount)
    except ValueError:
        return None
