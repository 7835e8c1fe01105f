"""One line that holds several phases: "Warm-up 5 → Review 3 → Model 10", taken apart into a text for each."""

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

from pacer.plan.typed.durations_in_text import Timing
from pacer.plan.typed.line_time import read_time
from pacer.plan.typed.odd_numbers import NAMED_LESSON
from pacer.plan.typed.plain_signs import shadow
from pacer.plan.typed.vocabulary import (
    ABOUT_LABELS,
    OR_WORDS,
    SECTION_PHRASES,
    folded,
    guess_kind,
    kind_begins,
    phrase,
)

_MOST_PARTS = 30
_MOST_SIGNS = 1_200
_FEW_WORDS, _FEWEST_IN_TALK = 9, 3
_LABEL = re.compile(r"([^:]{1,40}):\s{1,5}(?=\S)")
_SUM = re.compile(
    r"[\s,;]{0,5}(?:=|\(?\btotal:?|\bsum:?)\s{0,3}(?P<sum>\d{1,3})\s{0,3}(?:min(?:ute)?s?\.?|')?\)?\s*$"
)
# How parts may be set apart: the signs, whether a part may lack minutes, whether the sign alone says enough.
_GAPS = (
    (re.compile(r" {0,3}(?:[→➔➜⇒⟶⟹➙➝➞➡⮕]\ufe0f?|-{1,2}>|=>|»|>{1,2}) {0,3}"), True, True),
    (re.compile(r"\s{1,5}[•●▪◦·]\s{0,3}"), False, True),
    (re.compile(r" {0,3}\| {0,3}"), False, True),
    (re.compile(r" {0,3}; {0,3}"), False, True),
    (re.compile(r" {1,3}/ {1,3}"), False, True),
    (re.compile(r" {1,3}\+ {1,3}"), False, True),
    (re.compile(r"(?<=[\])]) {1,3}- {1,3}"), False, True),
    (
        re.compile(
            r" {0,3}(?:, {0,3}(?:(?:and then|then|and|y|e|et|und)\b)?|\b(?:and )?then\b"
            r"|(?:(?<=[\d')])|(?<=min)|(?<=mins)|(?<=min\.)|(?<=utes)|(?<=utos)|(?<=uten))"
            r" {1,2}(?:and|y|e|et|und)\b)"
            r" {0,3}"
        ),
        False,
        False,
    ),
)
_NUMBERED = re.compile(r"(?:(?<=\s)|^)\(?(\d{1,2})[.)]\s{1,3}(?=[^\W\d])")
_CLOCK = re.compile(r"(?<![\w:.-])(\d{1,2}):(\d{2})(?: ?[ap]m\b)?(?![\w:]| ?(?:-|to|min))")
_NAMED_PART = re.compile(r"[^\W\d_][^\d]{1,30} \d{1,3}")
_NAMED_LESSON = re.compile(NAMED_LESSON)
_GLUE = re.compile(r"^[\s,;/|-]+|[\s,;/|-]+$")


@dataclass(frozen=True)
class Parts:
    """The texts of the phases of one line; ``said_s`` is what the line says they take together."""

    texts: tuple[str, ...]
    is_sure: bool
    label: str = ""
    said_s: int | None = None


def parts_of(text: str, marked: str = "", *, is_item: bool = False) -> Parts | None:
    """The parts of a line that holds several phases, None where it holds one. ``is_item``: further in.

    ``marked`` is the line with the number before it, if it has one.
    """
    if len(text) > _MOST_SIGNS:
        return None
    label = _LABEL.match(text)
    if label is not None and phrase(label[1]) in ABOUT_LABELS:
        return None
    low = shadow(text)
    if sum(map(str.isdigit, low)) < 2:
        return None
    summed = _SUM.search(low)
    said_s = None if summed is None else int(summed["sum"]) * 60
    if summed is not None:
        text, low = text[: summed.start()], low[: summed.start()]
    parts = _by_numbers(marked or text) or _by_clocks(text, low)
    if parts is None:
        for gap, may_lack, is_sure in _GAPS:
            texts = [_GLUE.sub("", part) for part in _split(gap, text, low)]
            parts = _checked(texts, may_lack=may_lack, is_sure=is_sure, is_item=is_item)
            if parts is not None:
                break
    if parts is None or said_s is None:
        return parts
    return replace(parts, said_s=said_s)


def _split(gap: re.Pattern[str], text: str, low: str) -> list[str]:
    """The parts between gaps; a gap within brackets parts nothing."""
    parts: list[str] = []
    at = 0
    for match in gap.finditer(low):
        if len(parts) >= _MOST_PARTS:
            return []
        head = low[at : match.start()]
        if head.count("(") <= head.count(")"):
            parts.append(text[at : match.start()])
            at = match.end()
    parts.append(text[at:])
    while len(parts) > 2 and not parts[-1].strip():
        parts.pop()
    return parts


def _checked(texts: Sequence[str], *, may_lack: bool, is_sure: bool, is_item: bool) -> Parts | None:
    """The parts, if each is a title with its minutes and nothing else can be meant."""
    if not 2 <= len(texts) <= _MOST_PARTS:
        return None
    first, label, said_s = texts[0], "", None
    match = _LABEL.match(first)
    if match is not None and read_time(shadow(first[match.end() :])):
        whole = read_time(shadow(match[1]))
        if whole is not None or guess_kind(match[1]) == "other" or phrase(match[1]) in SECTION_PHRASES:
            label, first, said_s = match[1], first[match.end() :], None if whole is None else whole.seconds
    texts = [first, *texts[1:]]
    texts, has_talk = _without_talk(texts)
    pattern = _NAMED_PART if len(texts) > 2 else _NAMED_LESSON
    named = [
        pattern.fullmatch(shadow(text)) is not None and read_time(shadow(text)) is None for text in texts
    ]
    if sum(named) <= len(texts) / 2:  # "lesson 15" among minutes is fifteen minutes
        texts = [f"{text} min" if is_named else text for text, is_named in zip(texts, named, strict=True)]
    timings = [read_time(shadow(text)) for text in texts]
    timed = [timing for timing in timings if timing is not None]
    if not all(map(_is_titled, texts)) or len(timed) < 2:
        return None
    pairs = zip(texts, timings, strict=True)
    if any(timing and timing.place == "mid" and not _is_apart(text, timing) for text, timing in pairs):
        return None
    if len(timed) < len(texts) and not (may_lack and 2 * len(timed) > len(texts)):
        return None
    if any(_begins_remark(text) for text in texts[1:]):
        return None
    all_plain = all(timing.is_plain for timing in timed)
    kinds = sum(guess_kind(text) != "other" for text in texts)
    if not is_sure and not all_plain and (len(texts) == 2 or not kinds or is_item):
        return None
    if is_item and not all_plain:
        return None
    return Parts(
        tuple(texts),
        is_sure=all(timings) and not has_talk and (is_sure or len(texts) > 2),
        label=label,
        said_s=said_s,
    )


def _without_talk(texts: list[str]) -> tuple[list[str], bool]:
    """The parts without what a sentence says before the first: "for tomorrow I think warm-up 5 min"."""
    at = next((at for at, text in enumerate(texts) if read_time(shadow(text))), 0)
    if len(texts) - at < _FEWEST_IN_TALK:
        return texts, False
    rest = texts[at:]
    begin = kind_begins(rest[0])
    long = len(folded(rest[0])) > _FEW_WORDS // 2
    if begin and long:
        rest = [rest[0][begin:], *rest[1:]]
    return rest, at > 0 or bool(begin and long)


def _is_apart(text: str, timing: Timing) -> bool:
    """Whether minutes in the middle are set off from what follows: "6 min with cubes", "6 (was 8)"."""
    return timing.is_plain or text[timing.end :].lstrip()[:1] in ("(", "[")


def _is_titled(text: str) -> bool:
    low = shadow(text)
    timing = read_time(low)
    words = folded(low if timing is None else timing.without(low))
    return 0 < len(words) <= _FEW_WORDS and any(len(word) > 1 or not word.isascii() for word in words)


def _begins_remark(text: str) -> bool:
    words = folded(text[:20])
    return bool(words) and words[0] in OR_WORDS


def _by_numbers(text: str) -> Parts | None:
    """ "1) hook 3 min 2) teach 8 min 3) try 10 min": numbers that count up from one."""
    places = list(_NUMBERED.finditer(shadow(text)))[: _MOST_PARTS + 1]
    if len(places) < 2 or [int(match[1]) for match in places] != list(range(1, len(places) + 1)):
        return None
    ends = [match.start() for match in places[1:]] + [len(text)]
    texts = [_GLUE.sub("", text[match.end() : end]) for match, end in zip(places, ends, strict=True)]
    return _checked(texts, may_lack=True, is_sure=True, is_item=False)


def _by_clocks(text: str, low: str) -> Parts | None:
    """ "9:00 Warm-up, 9:05 Review, 9:10 end": times of day that go up, each with its title behind it."""
    places = list(_CLOCK.finditer(low))[: _MOST_PARTS + 1]
    minutes = [int(match[1]) * 60 + int(match[2]) for match in places]
    if len(places) < 3 or low[: places[0].start()].strip(" -*•"):
        return None
    if not all(0 < (b - a) % 720 < 180 for a, b in pairwise(minutes)):
        return None
    ends = [match.start() for match in places[1:]] + [len(text)]
    texts = [_GLUE.sub("", text[match.start() : end]) for match, end in zip(places, ends, strict=True)]
    titled = [len(folded(part)) > 0 for part in texts]
    return Parts(tuple(texts), is_sure=True) if all(titled) else None
