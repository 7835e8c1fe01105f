"""Did rehearsing tell what a lesson takes, and did the warnings help? Two pictures that compare lessons."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction
from itertools import starmap
from math import ceil, floor

from pacer.frames.pictures.chart import Axis, Chart, ChartLine, ChartWords, Dots, LegendKey, Table
from pacer.frames.pictures.shared import drawn_dots, hundredths_words, late_words, row_axis
from pacer.frames.words.choice import choice_words, date_words
from pacer.frames.words.kinds import kind_words
from pacer.frames.words.wording import lessons_words, over_words
from pacer.plan.durations import format_duration
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.compare import (
    LEAST_EACH,
    LEAST_PAIRS,
    NEAR_DAYS,
    PAIR_DAYS,
    RehearsalRatio,
    Rehearsals,
    Warned,
    Warnings,
    median_late_s,
    rehearsals,
    taught_modes,
    warnings,
)
from pacer.review.statistics.rounding import half_up
from pacer.text import _, counted, ngettext

ROW_WARNED, ROW_BASELINE = 0, 1
SPREAD, STEP = 0.3, 0.1  # dots of one place stand side by side: how far at most, and how far apart
NEARLY_S = 10
LEAST_CHANCE = 0.0001
MEDIAN_HALF = 0.38


def rehearsal_chart(days: Sequence[Day], choice: LessonChoice) -> Chart:
    """Each phase as it was rehearsed and as it then was, in minutes; on the diagonal both are the same."""
    compared = rehearsals(days, choice)
    in_force = replace(choice, modes=("rehearsal", *taught_modes(choice)))
    dots, dot_keys = _pair_dots(compared)
    upper = max([5, *(ceil(max(point) * 1.05) for dotted in dots for point in dotted.points)])
    lines, line_keys = _pair_lines(compared, upper)
    count = len(compared.pairs)
    return Chart(
        name="rehearsal",
        title=_("Did the rehearsal tell what the lesson takes?"),
        lessons=count,
        summary=_rehearsal_summary(compared),
        x=Axis(_("Rehearsed, in minutes"), 0, upper),
        y=Axis(_("With the class, in minutes"), 0, upper),
        dots=dots,
        lines=lines if dots else (),
        keys=(*dot_keys, *line_keys) if dots else (),
        table=_rehearsal_table(compared),
        choice=choice_words(in_force, count),
    )


def _pair_dots(compared: Rehearsals) -> tuple[tuple[Dots, ...], tuple[LegendKey, ...]]:
    points: dict[bool, list[tuple[float, float]]] = {False: [], True: []}
    for pair in compared.pairs:
        for phase in pair.phases:
            points[phase.cut_off].append((phase.rehearsed_s / 60, phase.live_s / 60))
    return drawn_dots(
        (Dots(tuple(points[False])), _("a phase, rehearsed and with the class")),
        (Dots(tuple(points[True]), "ring"), _("cut off with the class: it needed at least that")),
    )


def _pair_lines(compared: Rehearsals, upper: int) -> tuple[tuple[ChartLine, ...], tuple[LegendKey, ...]]:
    """The diagonal and, after three pairs, the ratio of all together."""
    same = ChartLine(((0, 0), (upper, upper)), "dashed", "quiet")
    lines, keys = [same], [LegendKey(same, _("as long as rehearsed"))]
    ratio = compared.all_together
    if ratio.enough and ratio.median:
        # To the edge of the square, whichever is met first.
        end = upper / max(1.0, float(ratio.median))
        lines.append(ChartLine(((0, 0), (end, end * float(ratio.median))), "solid", "over"))
        keys.append(
            LegendKey(lines[-1], _("{times} times as long, the median", times=times_words(ratio.median)))
        )
    return tuple(lines), tuple(keys)


def times_words(ratio: Fraction) -> str:
    """A ratio to a hundredth, a half rounded up: ``1.35``."""
    return hundredths_words(half_up(ratio * 100))


def _rehearsal_summary(compared: Rehearsals) -> str:
    ratio = compared.all_together
    alone = ""
    if compared.alone:
        alone = " " + ngettext(
            "{n} rehearsal has no such lesson within {days} days.",
            "{n} rehearsals have no such lesson within {days} days.",
            compared.alone,
        ).format(n=compared.alone, days=PAIR_DAYS)
    if not ratio.enough or ratio.median is None or ratio.least is None or ratio.most is None:
        words = _(
            "Not enough lessons yet: {n} of {needed} rehearsals that were followed by the same lesson "
            "with the class."
        )
        return words.format(n=ratio.pairs, needed=LEAST_PAIRS) + alone
    words = _(
        "With the class a lesson took {times} times as long as rehearsed, at the median of {n} pairs: "
        "from {least} to {most} times."
    )
    least, most = times_words(ratio.least), times_words(ratio.most)
    return words.format(times=times_words(ratio.median), n=ratio.pairs, least=least, most=most) + alone


def _rehearsal_table(compared: Rehearsals) -> Table:
    """Each phase of each pair, then the ratios that three pairs stand behind."""
    headings = (
        _("Rehearsed on"), _("Lesson on"), _("Lesson"), _("Phase"), _("Kind"), _("Rehearsed (m:ss)"),
        _("With the class (m:ss)"), _("Times as long"),
    )  # fmt: skip
    rows: list[tuple[str, ...]] = [
        (
            date_words(pair.rehearsed), date_words(pair.live), pair.title, phase.title,
            kind_words(phase.kind), format_duration(phase.rehearsed_s),
            ("≥ " if phase.cut_off else "") + format_duration(phase.live_s),
            ("≥ " if phase.cut_off else "") + times_words(Fraction(phase.live_s, phase.rehearsed_s)),
        )
        for pair in compared.pairs
        for phase in pair.phases
    ]  # fmt: skip
    rows += [_ratio_row(ratio, kind_words(ratio.kind)) for ratio in compared.ratios]
    rows += [_ratio_row(compared.all_together, _("all together"))] if compared.pairs else []
    return Table(headings, tuple(rows), (5, 6, 7))


def _ratio_row(ratio: RehearsalRatio, words: str) -> tuple[str, ...]:
    pairs = counted("{n} pair", "{n} pairs", ratio.pairs)
    times_or_too_few = (
        times_words(ratio.median) if ratio.enough and ratio.median is not None else _("too few pairs")
    )
    return _("Median"), "", pairs, "", words, "", "", times_or_too_few


def warnings_chart(days: Sequence[Day], choice: LessonChoice) -> Chart:
    """How late groups started with the Desk's warnings and without, a dot for each lesson, in two rows."""
    compared = warnings(days, choice)
    in_force = replace(choice, modes=("baseline", *taught_modes(choice)), kinds=())
    dots, lines, words = [], [], []
    for row, lessons, late_s in _medians(compared):
        at = float(late_s) / 60
        dots.append(Dots(_side_by_side(lessons, row)))
        lines.append(ChartLine(((at, row - MEDIAN_HALF), (at, row + MEDIAN_HALF)), "solid", "over"))
        words.append(ChartWords(at, row + MEDIAN_HALF + 0.06, over_words(half_up(late_s)), "centre"))
    count = len(compared.warned) + len(compared.baseline)
    zero = ChartLine(((0, -0.5), (0, 1.5)), "dashed", "quiet")
    return Chart(
        name="warnings",
        title=_("Did the warnings help?"),
        lessons=count,
        summary=_warnings_summary(compared),
        x=_late_axis(compared),
        y=row_axis(_("Kind of lesson"), starmap(_row_words, _sides(compared))),
        dots=tuple(dots),
        lines=(zero, *lines) if dots else (),
        words=tuple(words),
        keys=(
            LegendKey(dots[0], _("a lesson")), LegendKey(lines[0], _("median")),
            LegendKey(zero, _("as planned")),
        ) if dots else (),
        table=_warnings_table(compared),
        choice=choice_words(in_force, count),
    )  # fmt: skip


_Side = tuple[int, Sequence[Warned]]


def _sides(compared: Warnings) -> tuple[_Side, _Side]:
    """Both kinds of lessons, each with its row."""
    return (ROW_WARNED, compared.warned), (ROW_BASELINE, compared.baseline)


def _medians(compared: Warnings) -> list[tuple[int, Sequence[Warned], Fraction]]:
    """Of each kind that has lessons its row, the lessons and how late they were at the median, in seconds."""
    late_s = [(row, lessons, median_late_s(lessons)) for row, lessons in _sides(compared)]
    return [(row, lessons, middle) for row, lessons, middle in late_s if middle is not None]


def _row_words(row: int, lessons: Sequence[Warned]) -> str:
    words = _("with warnings ({n})") if row == ROW_WARNED else _("baseline ({n})")
    return words.format(n=len(lessons))


def _side_by_side(lessons: Sequence[Warned], row: int) -> tuple[tuple[float, float], ...]:
    """A dot for each lesson; those of nearly one time step aside, up and down in turn, so that all show."""
    most = max(Counter(lesson.late_s // NEARLY_S for lesson in lessons).values(), default=1)
    step = min(STEP, SPREAD / max(1, most // 2))
    met: Counter[int] = Counter()
    points = []
    for lesson in lessons:
        turn = met[lesson.late_s // NEARLY_S]
        met[lesson.late_s // NEARLY_S] += 1
        aside = step * ((turn + 1) // 2) * (1 if turn % 2 else -1)
        points.append((lesson.late_s / 60, row + aside))
    return tuple(points)


def _late_axis(compared: Warnings) -> Axis:
    late = [lesson.late_s / 60 for lesson in (*compared.warned, *compared.baseline)]
    label = _("Minutes groups started late (below 0: early)")
    return Axis(label, min([0, *(floor(x * 1.04) for x in late)]), max([5, *(ceil(x * 1.04) for x in late)]))


def _warnings_summary(compared: Warnings) -> str:
    with_s, without_s = median_late_s(compared.warned), median_late_s(compared.baseline)
    if not compared.enough or with_s is None or without_s is None:
        words = _(
            "Not enough lessons yet: {needed} of each kind are needed, of one subject and day shape and at "
            "most {days} days apart; so far {warned} with warnings and {baseline} without. "
            "A baseline is ticked on the Room page."
        )
        warned, baseline = len(compared.warned), len(compared.baseline)
        return words.format(needed=LEAST_EACH, days=NEAR_DAYS, warned=warned, baseline=baseline)
    first = _(
        "Groups started {with_} at the median of {warned} lessons with warnings, "
        "{without} at that of {baseline} without.",
        with_=late_words(with_s), warned=len(compared.warned), without=late_words(without_s),
        baseline=len(compared.baseline),
    )  # fmt: skip
    if compared.is_called:
        return first + " " + _("That is more than the usual ups and downs.")
    return first + " " + _("Can't tell yet: so much can be chance.")


def chance_words(p: Fraction | float) -> str:
    """A probability to four places, a very small one as an upper bound."""
    return f"{float(p):.4f}" if p >= LEAST_CHANCE else f"< {LEAST_CHANCE}"


def _warnings_table(compared: Warnings) -> Table:
    headings = (_("Kind of lesson"), _("Date"), _("Lesson"), _("Groups late (m:ss)"))
    rows = []
    for row, lessons, middle in _medians(compared):
        words = _("with warnings") if row == ROW_WARNED else _("baseline")
        rows += [
            (words, date_words(lesson.date), lesson.title, over_words(lesson.late_s)) for lesson in lessons
        ]
        rows.append((words, _("Median"), lessons_words(len(lessons)), over_words(half_up(middle))))
    if compared.enough and compared.p is not None:
        name = _("Chance of such a difference without a cause (rank-sum test)")
        rows.append((name, "", "", chance_words(compared.p)))
    left_out = (
        (_("Baseline lessons without a like lesson near, left out"), compared.unlike),
        (_("Lessons in which groups never started, left out"), compared.never),
    )
    rows += [(words, "", "", str(count)) for words, count in left_out if count]
    return Table(headings, tuple(rows), (3,))
