"""Which phase runs over, usually? A row for each phase, a dot for each lesson at actual over budget."""

from collections.abc import Sequence
from math import ceil

from pacer.frames.chart import Axis, Chart, Dots, Key, Line, Table
from pacer.frames.choice_words import choice_words, date_words
from pacer.frames.kind_words import kind_words
from pacer.frames.wording import ending_words
from pacer.plan.durations import format_duration
from pacer.review.choice import Choice
from pacer.review.days import Day
from pacer.review.over_usually import LEAST_LESSONS, OverRow, OverUsually, Ran, over_usually
from pacer.text import _, ngettext

SPREAD = 0.3  # of a row: its dots stand so far above and below its middle
BAR = 0.4  # half the length of a median's bar
LEAST_UPPER, MOST_UPPER = 2, 4  # times the budget that the axis goes to; what lies beyond stands at its end
_PLAN = Line(((0, 0), (0, 1)), "dashed", "over")
_MEDIAN = Line(((0, 0), (0, 1)), "solid", "second")
_AT_LEAST = Line(((0, 0), (0, 1)), "dotted", "second")


def chart(days: Sequence[Day], choice: Choice) -> Chart:
    """The picture of the lessons to learn from; by phase where they are all of one outline."""
    found = over_usually(days, choice)
    names = {row.name: _name(row, found) for row in found.rows}
    upper = _upper(found)
    dots, dot_keys = _dots(found, upper)
    medians, median_keys = _medians(found, upper)
    last = max(1, len(found.rows)) - 0.5
    plan = Line(((1, -0.5), (1, last)), _PLAN.stroke, _PLAN.tone)
    return Chart(
        name="over_usually",
        title=_("Which phase runs over, usually?"),
        lessons=found.lessons,
        summary=_summary(found, names),
        x=Axis(_("Actual time, times the budget"), 0, upper, _ticks(upper)),
        y=Axis(
            _("Phase; its lessons from the first (top) to the last"),
            -0.5,
            last,
            tuple((float(at), _row_words(row, names)) for at, row in enumerate(found.rows)),
            upside_down=True,
        ),
        dots=dots,
        lines=(plan, *medians) if found.rows else (),
        keys=(*dot_keys, Key(_PLAN, _("as planned")), *median_keys) if found.rows else (),
        table=_table(found, names),
        choice=choice_words(choice, found.lessons),
    )


def _name(row: OverRow, found: OverUsually) -> str:
    """The title that a phase had last, or its kind."""
    return row.ran[-1].phase_title if found.by_id else kind_words(row.name)


def _upper(found: OverUsually) -> float:
    """Where the axis ends: at a half beyond the largest ratio, never before twice the budget."""
    largest = max((one.ratio for row in found.rows for one in row.ran), default=0)
    return min(MOST_UPPER, max(LEAST_UPPER, ceil(2 * largest) / 2))


def _ticks(upper: float) -> tuple[tuple[float, str], ...]:
    words = {0.5: _("half, 0.5"), 1.0: _("as planned, 1"), 2.0: _("twice, 2")}
    halves = [at / 2 for at in range(int(2 * upper) + 1)]
    return tuple((at, words.get(at, f"{at:g}")) for at in halves)


def _dots(found: OverUsually, upper: float) -> tuple[tuple[Dots, ...], tuple[Key, ...]]:
    """A mark for each ending, in order of time from the top of its row to the bottom."""
    ended: list[tuple[float, float]] = []
    cut_off: list[tuple[float, float]] = []
    beyond: list[tuple[float, float]] = []
    for at, row in enumerate(found.rows):
        for number, one in enumerate(row.ran):
            y = at - SPREAD + 2 * SPREAD * (number + 0.5) / len(row.ran)
            if one.ratio > upper:
                beyond.append((upper, y))
            else:
                (cut_off if one.cut_off else ended).append((float(one.ratio), y))
    made = [
        (Dots(tuple(ended)), _("a lesson; moved on counts as it is")),
        (Dots(tuple(cut_off), "ring"), _("cut off by the bell or an interruption: at least so long")),
        (
            Dots(tuple(beyond), "triangle", "over"),
            _("more than {n} times the budget: see the table").format(n=f"{upper:g}"),
        ),
    ]
    drawn = [(dots, text) for dots, text in made if dots.points]
    return tuple(dots for dots, _text in drawn), tuple(Key(dots, text) for dots, text in drawn)


def _medians(found: OverUsually, upper: float) -> tuple[tuple[Line, ...], tuple[Key, ...]]:
    """A short bar at each phase's median; dotted where it is only known to be at least so much."""
    lines: list[Line] = []
    for at, row in enumerate(found.rows):
        ratio, at_least = row.median
        look = _AT_LEAST if at_least else _MEDIAN
        if ratio <= upper:
            lines.append(Line(((ratio, at - BAR), (ratio, at + BAR)), look.stroke, look.tone))
    strokes = {line.stroke for line in lines}
    keys = [Key(_MEDIAN, _("median: half of the lessons stayed within it"))] if "solid" in strokes else []
    keys += [Key(_AT_LEAST, _("median, at least: too many were cut off"))] if "dotted" in strokes else []
    return tuple(lines), tuple(keys)


def _row_words(row: OverRow, names: dict[str, str]) -> str:
    """``review, over in 7 of 9``."""
    least = row.maybe_over > 0
    words = _("{what}, over in at least {over} of {n}") if least else _("{what}, over in {over} of {n}")
    return words.format(what=names[row.name], over=row.over, n=len(row.ran))


def ratio_words(ratio: float, *, at_least: bool = False) -> str:
    """A ratio to two places: ``1.24``, ``≥ 1.24``."""
    return ("≥ " if at_least else "") + f"{ratio:.2f}"


def _summary(found: OverUsually, names: dict[str, str]) -> str:
    most = found.most
    if most is not None:
        return _most_words(most, names)
    if found.most_lessons >= LEAST_LESSONS:
        return _("No phase with {needed} lessons or more ever ran over its budget ({n} in all).").format(
            needed=LEAST_LESSONS, n=found.lessons
        )
    return ngettext(
        "Not enough lessons yet to say what usually runs over: {needed} with the same phase are needed, "
        "{n} is the most so far.",
        "Not enough lessons yet to say what usually runs over: {needed} with the same phase are needed, "
        "{n} are the most so far.",
        found.most_lessons,
    ).format(needed=LEAST_LESSONS, n=found.most_lessons)


def _most_words(most: OverRow, names: dict[str, str]) -> str:
    """What runs over most often, how often, and how far it goes at the median."""
    ratio, at_least = most.median
    what = names[most.name][:1].upper() + names[most.name][1:]
    if most.maybe_over:
        first = _("{what} runs over most often: in at least {over} of {counted}.")
    else:
        first = _("{what} runs over most often: in {over} of {counted}.")
    second = (
        _("At the median it took at least {ratio} times its budget.")
        if at_least
        else _("At the median it took {ratio} times its budget.")
    )
    return f"{first} {second}".format(
        what=what, over=most.over, counted=_counted(most), ratio=ratio_words(ratio)
    )


def _counted(row: OverRow) -> str:
    """The lessons, or the times where a lesson has several."""
    times = len(row.ran)
    if times == row.lessons:
        return ngettext("{n} lesson", "{n} lessons", times).format(n=times)
    return _("{n} times in {lessons} lessons").format(n=times, lessons=row.lessons)


def _table(found: OverUsually, names: dict[str, str]) -> Table:
    """Each phase's median and counts, then every ending, the oldest first."""
    headings = (
        _("Phase"), _("Date"), _("Lesson"), _("Budget (m:ss)"), _("Actual (m:ss)"), _("Ended"),
        _("Actual (times the budget)"), _("Ran over"), _("Cut off within the budget"), _("Of"),
    )  # fmt: skip
    rows = [_median_row(row, names) for row in found.rows]
    rows += [_ran_row(names[row.name], one) for row in found.rows for one in row.ran]
    return Table(headings, tuple(rows), (3, 4, 6, 7, 8, 9))


def _median_row(row: OverRow, names: dict[str, str]) -> tuple[str, ...]:
    ratio, at_least = row.median
    counts = (str(row.over), str(row.maybe_over), str(len(row.ran)))
    return (
        names[row.name], _("median of all"), "", "", "", "", ratio_words(ratio, at_least=at_least), *counts,
    )  # fmt: skip


def _ran_row(name: str, one: Ran) -> tuple[str, ...]:
    past, unknown = one.past, one.cut_off and not one.is_over
    return (
        name, date_words(past.date), one.title, format_duration(round(past.planned_s)),
        format_duration(round(past.actual_s)), ending_words(past.ending),
        ratio_words(float(one.ratio), at_least=one.cut_off), str(int(one.is_over)), str(int(unknown)), "1",
    )  # fmt: skip
