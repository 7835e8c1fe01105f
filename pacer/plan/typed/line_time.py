"""Which of the times on a line is its own, and the doubts that the others leave."""

import re
from dataclasses import replace

from pacer.plan.typed.durations_in_text import NEAR, Timing, possible_timings, word_before
from pacer.plan.typed.vocabulary import MAYBE_NAMING, OR_WORDS, folded, guess_kind
from pacer.text import _

_MOST_NAMED_S = 12 * 60  # "Group 3" may be a name, "Groups 30" is none
_NOT_YET = re.compile(r"(?:^|[\s(])(?:\?{1,3}|_{2,}|tbd|tba)\s{0,3}(?:minutes|mins?|minutos)?[.)]?$")
_PARTING = frozenset(":-=|,>→…([!;")  # what stands between a time and a title


def is_not_known_yet(line: str) -> bool:
    """Whether a line ends with a sign for minutes that are still to come: "Review ?", "Review __ min"."""
    return _NOT_YET.search(line.rstrip()[-NEAR:]) is not None


def without_unknown(line: str) -> str:
    """The line before that sign."""
    line = line.rstrip()
    match = _NOT_YET.search(line[-NEAR:])
    return line if match is None else line[: max(0, len(line) - NEAR) + match.start()]


def read_time(line: str) -> Timing | None:
    """The time in a line, None where there is none. ``line`` is the shadow of ``plain_signs.shadow``.

    In this order: a time alone in brackets, one with a unit or a colon at the beginning, the last one with
    a unit or a colon, a number at the end, a number at the beginning, a number right after a kind's name,
    and last "5-minute" before a word.
    """
    timings = possible_timings(line)
    plain = [timing for timing in timings if timing.how != "bare" and not timing.is_adjective]
    bare = [timing for timing in timings if timing.how == "bare" and timing.place != "bracket"]
    brackets = [timing for timing in timings if timing.place == "bracket"]
    if brackets:
        return _with_doubts(brackets[0], *_others(plain + bare, brackets[0], line))
    if plain:
        is_first = plain[0].place == "lead" or _is_remark(line, plain[0])
        leads = is_first and (len(plain) == 1 or _is_set_off(line, plain[0]))
        chosen = plain[0] if leads else plain[-1]
        between = line[plain[0].end : plain[-1].start]
        if plain[0].place != "lead" and plain[-1].place == "tail" and not folded(between):
            chosen = plain[-1]  # "to the nearest 5 minutes – 12 min"
        return _with_doubts(chosen, *_others([*plain, *bare], chosen, line))
    return _bare_minutes(line, bare) or next(
        (_with_doubts(timing) for timing in timings if timing.is_adjective), None
    )


def _others(timings: list[Timing], chosen: Timing, line: str) -> tuple[str, ...]:
    """The doubt that another time is in the line: one with a unit, or a number after "or", "was" and such."""
    for timing in (timing for timing in timings if timing.start != chosen.start):
        words = folded(line[min(timing.start, chosen.end) : timing.start])
        behind = folded(line[timing.end :])[:1]
        is_behind = timing.start > chosen.end and OR_WORDS.intersection((*words, *behind))
        if timing.how != "bare" or is_behind:
            return (_("There is more than one time in this line."),)
    return ()


def _is_remark(line: str, timing: Timing) -> bool:
    """Whether what stands behind a time is a remark on it, which may hold another: "5 min (was 8 min)"."""
    behind = line[timing.end :].lstrip(" .)]")
    words = folded(behind[:NEAR])
    return behind[:1] in ("(", "[", "!", ",", ";", "-") or bool(words and words[0] in OR_WORDS)


def _bare_minutes(line: str, bare: list[Timing]) -> Timing | None:
    """The number without a unit that is the minutes."""
    if not bare:
        return None
    last, first = bare[-1], bare[0]
    two = (_("Two numbers could be the minutes."),) if len(bare) > 1 else ()
    behind = line[first.end :].lstrip()
    words = folded(behind[:NEAR])
    if two and first.place == "mid" and (behind[:1] in ("(", "[") or OR_WORDS.intersection(words[:1])):
        return _with_doubts(first, *two)  # "6 (was 8)"
    if last.place == "tail":
        is_small = last.seconds is None or last.seconds <= _MOST_NAMED_S
        maybe = is_small and word_before(line, last.start) in MAYBE_NAMING
        may_name = (_("The number may belong to the title."),) if maybe and not two else ()
        return _with_doubts(last, *two, *may_name)
    if first.place == "lead":
        is_sure = bool(two) or _is_set_off(line, first)
        return _with_doubts(first, *two, *(() if is_sure else (_("The number may belong to the title."),)))
    if guess_kind(line[: first.start]) != "other":
        return _with_doubts(first, *two)
    return None


def _with_doubts(timing: Timing, *doubts: str) -> Timing:
    doubts = (*timing.doubts, *doubts)
    if timing.is_range:
        doubts = (*doubts, _("A range: the longer time is taken."))
    return replace(timing, doubts=doubts)


def _is_set_off(line: str, timing: Timing) -> bool:
    behind = line[timing.end : timing.end + 4]
    is_parted = behind.lstrip().startswith("..") or behind.lstrip(" .)]")[:1] in _PARTING
    return is_parted or _is_remark(line, timing)
