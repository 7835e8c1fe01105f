"""Cells of a table that were pasted one a line, and minutes that stand on lines of their own."""

from collections.abc import Mapping, Sequence
from collections.abc import Set as AbstractSet
from itertools import pairwise

from pacer.plan.typed.durations_in_text import Timing
from pacer.plan.typed.line import ParsedLine
from pacer.plan.typed.line_time import read_time
from pacer.plan.typed.plain_signs import neat, shadow
from pacer.plan.typed.table.columns import role_named
from pacer.plan.typed.table.row import Roles, read_row
from pacer.plan.typed.vocabulary import HEADERS, LENGTH_LABELS, TOTAL_WORDS, folded, phrase
from pacer.text import _

_FURTHER_IN, _LABEL_MOST, _MOST_MORE, _MOST_COLUMNS = 2, 31, 2, 8


def read_cells(lines: Sequence[ParsedLine]) -> None:
    """Give titles the minutes that stand on lines of their own, and mark those and what is beside them."""
    free = [line for line in lines if not (line.what or line.is_quoted or line.is_note)]
    flat = [
        line
        for line in free
        if not line.mark and line.indent < _FURTHER_IN and "\t" not in line.clean.strip()
    ]
    order = _read_headed(flat)
    _take_title_labels(flat)
    _read_timed([line for line in flat if not (line.what or line.is_row)], order)


def _read_headed(flat: Sequence[ParsedLine]) -> Sequence[str]:
    """Read rows below names of columns that stand one a line.

    Returns the roles of the columns where there are such and the rows below have cells missing.
    """
    roles = [role_named(line.words) if len(line.words) < _LABEL_MOST else "" for line in flat]
    first = next((at for at, role in enumerate(roles) if role), None)
    if first is None:
        return ()
    near = roles[first : first + _MOST_COLUMNS]
    timed_at = next((n for n, line in enumerate(flat[first:]) if line.has_time or _is_clock(line)), len(near))
    width = max((n + 1 for n, role in enumerate(near[:timed_at]) if role), default=0)
    named = near[:width]
    if width < 2 or "title" not in named or not {"minutes", "start"}.intersection(named):
        return ()
    body = flat[first + width :]
    for more in range(_MOST_MORE + 1):
        size, cells = width + more, body[more:]
        columns = [*named, *[""] * more]
        at = named.index("minutes" if "minutes" in named else "start")
        times = [_time_alone(line) is not None or _is_clock(line) for line in cells[at::size]]
        if len(times) > 1 and all(times) and len(cells) % size in (0, at + 1, at + 2):
            _fill_rows([*flat[first : first + width], *body[:more]], columns, cells)
            return ()
    for head in flat[first : first + width]:
        head.what = "heading"
    return named


def _fill_rows(heads: Sequence[ParsedLine], columns: Sequence[str], cells: Sequence[ParsedLine]) -> None:
    for head in heads:
        head.what = "heading"
    roles: Roles = {}
    for at, role in enumerate(columns):
        if role and role not in roles.values():
            roles[at] = role
    labels = {at: head.words for at, head in enumerate(heads) if at not in roles}
    at_title = columns.index("title")
    for start in range(0, len(cells), len(columns)):
        row = cells[start : start + len(columns)]
        if len(row) <= at_title:
            continue
        title = row[at_title]
        whole_row = read_row(title, [neat(line.clean) for line in row], roles, labels)
        title.__dict__.update(whole_row.__dict__)
        for line in row:
            if line is not title:
                line.what, line.of = "note", title.number


def _time_alone(line: ParsedLine) -> Timing | None:
    """The time of a line that holds nothing else, or only a word such as "Time:" before it."""
    if line.start_min is not None:
        return None
    if line.timing is not None and not line.title and not line.class_line:
        return line.timing
    label, colon, rest = line.words.partition(":")
    if colon and phrase(label) in LENGTH_LABELS:
        low = shadow(rest)
        timing = read_time(low)
        if timing is not None and not any(map(str.isalnum, timing.without(low))):
            return timing
    return None


def _is_clock(line: ParsedLine) -> bool:
    return not line.title and (line.start_min is not None or line.lead_min is not None)


def _take_title_labels(flat: Sequence[ParsedLine]) -> None:
    """ "Activity: Map hunt", where several lines begin so and others say their minutes."""
    if sum(_time_alone(line) is not None for line in flat) < 2:
        return
    labelled = [
        line
        for line in flat
        if ":" in line.words and phrase(line.words.partition(":")[0]) in HEADERS["title"]
    ]
    for line in labelled if len(labelled) > 1 else ():
        rest = line.words.partition(":")[2].strip()
        if rest and not line.has_time:
            line.words = line.whole = rest
            line.title = neat(rest)


def _read_timed(flat: Sequence[ParsedLine], order: Sequence[str]) -> None:
    """Find the lines that hold a time alone, and give each to its title. ``order``: columns named above."""
    timings = {line.number: timing for line in flat if (timing := _time_alone(line)) is not None}
    clocks = {
        line.number
        for line in flat
        if _is_clock(line) and (line.start_min is not None or line.is_surely_clock)
    }
    plain = clocks | {number for number, timing in timings.items() if timing.is_plain}
    times = plain
    if len(plain) > 1:
        numbers = [line for line in flat if line.number in timings and line.number not in plain]
        if [line.words.strip(".)") for line in numbers] == [str(n) for n in range(1, len(numbers) + 1)]:
            for line in numbers:
                line.what = "heading"
    elif len(timings) > 2 or (order and len(timings) > 1):
        times = set(timings)
    flat = [line for line in flat if not line.what and not _is_total(line)]
    others = [line for line in flat if line.has_time and line.number not in times and line.title]
    if len(times) > 1 and 2 * len(others) <= len(times):
        _give_times(flat, times, timings, order)


def _is_total(line: ParsedLine) -> bool:
    words = folded(line.title)
    return line.has_time and bool(words) and words[0] in TOTAL_WORDS


def _give_times(
    flat: Sequence[ParsedLine], times: AbstractSet[int], timings: Mapping[int, Timing], order: Sequence[str]
) -> None:
    """Find which line each time belongs to from how many lines stand between the times."""
    places = [at for at, line in enumerate(flat) if line.number in times]
    steps = {b - a for a, b in pairwise(places)}
    behind, before = len(flat) - 1 - places[-1], places[0]
    is_even, size = len(steps) == 1, max(steps)
    if 1 in steps:
        return
    is_doubtful = not (is_even or order) and size > 2
    is_time_first = bool(order) and order[0] in ("minutes", "start")
    if is_time_first or (not order and (before == 0 or (is_even and behind == size - 1))):
        firsts = [at + 1 for at in places]
        lasts = [*places[1:], len(flat)]
    elif is_even and behind == 0 and size > 2:
        firsts = [max(0, at - size + 1) for at in places]
        lasts = [at + 1 for at in places]
    else:
        firsts = [at - 1 for at in places]
        lasts = [*firsts[1:], len(flat)]
    if any(first >= len(flat) or first < 0 or flat[first].number in times for first in firsts):
        return
    for first, last, place in zip(firsts, lasts, places, strict=True):
        title, time = flat[first], flat[place]
        if title.has_time:
            continue
        _take(title, time, timings.get(time.number))
        for line in flat[first + 1 : last]:
            if line is not time and not line.has_time:
                line.what, line.of = "note", title.number
                title.notes = "\n".join(filter(None, (title.notes, neat(line.whole))))
        if is_doubtful:
            title.doubts.append(_("The minutes of line {number} are taken.", number=time.number))


def _take(title: ParsedLine, time: ParsedLine, timing: Timing | None) -> None:
    time.what, time.of = "time", title.number
    if timing is not None:
        title.timing, title.seconds, title.has_time = timing, timing.seconds, True
        title.doubts += timing.doubts
    title.start_min, title.end_min = time.start_min, time.end_min
    title.lead_min, title.lead_end, title.is_surely_clock = time.lead_min, 0, time.is_surely_clock
