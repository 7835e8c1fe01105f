"""Headings whose minutes are those of the parts below them: they say a sum and are no phases."""

from collections.abc import Sequence

from pacer.plan.durations import format_duration
from pacer.plan.file.model import MAX_PHASES
from pacer.plan.typed.line import FURTHER_IN, ParsedLine
from pacer.plan.typed.line_signs import is_script
from pacer.plan.typed.vocabulary import SECTION_PHRASES, WHOLE_WORDS, folded, guess_kind, phrase
from pacer.text import _

_FEWEST_LINES, _MOST_OF_ALL = 4, 0.7
_ARROWS = frozenset("→➔➜⇒>")
_LEAST_SHARE, _MOST_SHARE = 0.6, 1.5


def mark_sections(lines: Sequence[ParsedLine]) -> None:
    """Mark as totals the lines whose parts stand below them; parts that come to another sum are shown."""
    timed = [
        line
        for line in lines
        if not line.what and line.has_time and line.seconds and not line.is_quoted and _may_count(line)
    ][: MAX_PHASES * 2]
    _mark_whole(timed)
    _mark_above_all(timed)
    _mark_by_sums(timed)
    for at, line in enumerate(timed):
        if not line.what and not line.is_row:
            _mark_above_parts(line, _parts_below(timed, at))


def _may_count(line: ParsedLine) -> bool:
    """A lone number further in is as likely part of a note as minutes."""
    is_weak = line.timing is not None and not line.timing.is_plain and guess_kind(line.title) == "other"
    is_weak = is_weak or (line.timing is not None and line.timing.place == "mid" and line.start_min is None)
    return not line.is_note and not is_script(line) and not (is_weak and line.indent >= FURTHER_IN)


def _mark_whole(timed: Sequence[ParsedLine]) -> None:
    """The first line, or one called "Mini lesson", whose minutes are those of all that follow.

    A first line that is called nothing of the kind may as well be a phase that is as long as the others
    together: with a lone number, or where its title tells a kind, it is one. Either way it is shown.
    """
    for at, line in enumerate(timed):
        after = [below.seconds or 0 for below in timed[at + 1 :]]
        is_first = at == 0 and not line.mark and not line.is_row and not line.is_part
        is_named = phrase(line.title) in SECTION_PHRASES and len(after) > 2
        if len(after) < 2 or sum(after) != line.seconds or not (is_first or is_named):
            continue
        if is_named or _is_strong(line) or (WHOLE_WORDS - {"time"}).intersection(folded(line.title)[-2:]):
            _make_total(line, sum(after))
        elif guess_kind(line.title) != "other" or (line.timing is not None and not line.timing.is_plain):
            line.doubts.append(_("The lines below have as many minutes: if it is their sum, leave it out."))
        else:
            _make_total(line, sum(after))
            line.why = _("Read as a heading: its minutes are the sum of the lines below.")


def _mark_above_all(timed: Sequence[ParsedLine]) -> None:
    """ "Math block 60 min" above all else says how long there is, whatever the phases come to."""
    if len(timed) < _FEWEST_LINES or timed[0].what or timed[0].mark or timed[0].is_row or timed[0].is_part:
        return
    words, after = folded(timed[0].title), [below.seconds or 0 for below in timed[1:]]
    seconds = timed[0].seconds or 0
    if words and WHOLE_WORDS.intersection(words[-2:]) and seconds > _MOST_OF_ALL * sum(after):
        _make_total(timed[0], sum(after))
        if sum(after) != seconds:
            timed[0].why = _("Read as the time there is for all.")


def _mark_by_sums(timed: Sequence[ParsedLine]) -> None:
    """Lines that look alike and fall into sums and their parts without a rest, at least twice."""
    free = [line for line in timed if not line.what]
    heads: list[tuple[ParsedLine, int]] = []
    at, most = 0, 0
    while at < len(free):
        head, sum_s, end = free[at], 0, at + 1
        while end < len(free) and sum_s < (head.seconds or 0):
            sum_s += free[end].seconds or 0
            end += 1
        if sum_s != head.seconds:
            return
        most = max(most, end - at - 1)
        heads.append((head, sum_s))
        at = end
    if len(heads) > 1 and most > 1:
        for head, sum_s in heads:
            _make_total(head, sum_s)
            head.why = _("Read as a heading: its minutes are the sum of the lines below.")


def _look(line: ParsedLine) -> tuple[int, str, bool, bool, bool]:
    text = line.words.strip()
    bare = line.title.strip("*_: ")
    return (
        line.indent,
        line.bullet or line.mark,
        line.is_hashed,
        text.startswith("**") or text.endswith(":"),
        bare.isupper() and len(bare) > 1,
    )


def _is_strong(line: ParsedLine) -> bool:
    _indent, _mark, is_hashed, is_strong, is_upper = _look(line)
    return is_hashed or is_strong or is_upper


def _depth(line: ParsedLine) -> int:
    """How far in a line stands for the eye, whatever makes it so."""
    indent, mark, is_hashed, is_strong, is_upper = _look(line)
    mark = "" if mark in _ARROWS else mark
    inner = {"": 0, "number": 1, "letter": 2}.get(mark, 3)
    return 10 * (indent // FURTHER_IN) + inner - 20 * is_hashed - 5 * is_strong - 5 * is_upper


def _parts_below(timed: Sequence[ParsedLine], at: int) -> list[ParsedLine]:
    """The lines right below one that stand further in than it does."""
    depth = _depth(timed[at])
    parts: list[ParsedLine] = []
    for below in timed[at + 1 :]:
        if below.is_row or below.what or _depth(below) <= depth:
            break
        parts.append(below)
    direct = min((_depth(part) for part in parts), default=0)
    return [part for part in parts if _depth(part) == direct]


def _mark_above_parts(line: ParsedLine, parts: Sequence[ParsedLine]) -> None:
    sum_s = sum(part.seconds or 0 for part in parts)
    if not parts or line.seconds is None:
        return
    is_plain = all(part.timing is None or part.timing.is_plain for part in parts)
    if sum_s == line.seconds:
        _make_total(line, sum_s)
        if len(parts) == 1:
            line.why = _("Read as a heading: its minutes are the sum of the lines below.")
    elif len(parts) == 1 and sum_s < line.seconds and parts[0].indent >= line.indent + FURTHER_IN:
        parts[0].is_detail = True  # one of several items below, and no part of a sum
    elif len(parts) > 1 and is_plain and _LEAST_SHARE * line.seconds <= sum_s <= _MOST_SHARE * line.seconds:
        _make_total(line, sum_s)
        line.why = _("This says {said}, its parts come to {sum}.").format(
            said=format_duration(line.seconds), sum=format_duration(sum_s)
        )
    elif sum_s < line.seconds and guess_kind(line.title) != "other":
        line.doubts.append(_("Its parts have minutes of their own, which are left out."))
        for part in parts:
            part.is_detail = True
    elif len(parts) > 1 and is_plain:
        line.doubts.append(_("Lines below it have minutes of their own; all are counted."))


def _make_total(line: ParsedLine, sum_s: int) -> None:
    line.what, line.said_s, line.sum_s = "total", line.seconds, sum_s
