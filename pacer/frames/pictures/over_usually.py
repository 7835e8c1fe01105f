"""Which phase runs over, usually? A dot a lesson at actual over budget, open where it was cut off."""

from collections.abc import Sequence
from math import ceil

from pacer.frames.pictures.chart import Axis, Chart, ChartLine, Dots, LegendKey, Table
from pacer.frames.pictures.shared import drawn_dots, row_axis
from pacer.frames.words.choice import choice_words, date_words
from pacer.frames.words.kinds import kind_words
from pacer.frames.words.wording import lessons_words
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.over_usually import LEAST_LESSONS, OverRow, most_often_over, over_usually
from pacer.text import _, counted

LEAST_AXIS = 2.0
_SPREAD = 0.26  # dots of a row lie so far from its middle at most, so that they can be told apart
_LANES = 5
_MEDIAN = 0.40


def chart(days: Sequence[Day], choice: LessonChoice) -> Chart:
    """The ratios of the chosen lessons."""
    rows = over_usually(days, choice)
    title = _("Which phase runs over, usually?")
    if not rows:
        missing = _(
            "Not enough lessons yet: the dots appear with the first lesson that has a phase to learn from."
        )
        return Chart("over_usually", title, 0, missing, choice=choice_words(choice, 0))
    count = len({ending.run for row in rows for ending in row.ratios})
    names = _names(rows, choice.learning(days))
    dots, dot_keys = _dots(rows)
    budget = ChartLine(((1, -0.5), (1, len(rows) - 0.5)), "solid", "over")
    medians = tuple(_median_line(at, row) for at, row in enumerate(rows) if row.lessons >= LEAST_LESSONS)
    return Chart(
        name="over_usually",
        title=title,
        lessons=count,
        summary=_summary(rows, names),
        x=_x_axis(rows),
        y=row_axis(_("Phase: how often it ran over"), map(_row_words, rows, names)),
        dots=dots,
        lines=(budget, *medians),
        keys=(*dot_keys, LegendKey(budget, _("the budget")), *_median_keys(medians)),
        table=_table(rows, names),
        choice=choice_words(choice, count),
    )


def _median_line(at: int, row: OverRow) -> ChartLine:
    """The usual ratio; dashed where it is only a lower bound."""
    ratio, at_least = row.median
    return ChartLine(((ratio, at - _MEDIAN), (ratio, at + _MEDIAN)), "dashed" if at_least else "solid")


def _median_keys(medians: Sequence[ChartLine]) -> list[LegendKey]:
    words = {"solid": _("usual: as many took longer as shorter"), "dashed": _("usual, at least")}
    used = {line.stroke: line for line in medians}
    return [LegendKey(used[stroke], text) for stroke, text in words.items() if stroke in used]


def _names(rows: Sequence[OverRow], days: Sequence[Day]) -> list[str]:
    if len({day.title for day in days}) > 1:
        return [kind_words(row.name) for row in rows]
    titles = {phase.id: phase.title for day in days for phase in day.mini}
    return [titles[row.name] for row in rows]


def _row_words(row: OverRow, name: str) -> str:
    return _("{phase}: {n} of {all}", phase=name, n=row.over, all=len(row.ratios))


def _dots(rows: Sequence[OverRow]) -> tuple[tuple[Dots, ...], tuple[LegendKey, ...]]:
    """Dots and rings, a row's spread over lanes in the order of their lessons."""
    places: dict[bool, list[tuple[float, float]]] = {True: [], False: []}
    for at, row in enumerate(rows):
        for number, ending in enumerate(row.ratios):
            lane = number % _LANES - _LANES // 2 if len(row.ratios) > 1 else 0
            places[ending.complete].append((float(ending.ratio), at + lane * _SPREAD / (_LANES // 2)))
    return drawn_dots(
        (Dots(tuple(places[True])), _("a lesson")),
        (Dots(tuple(places[False]), "ring"), _("cut off: at least this long")),
    )


def _x_axis(rows: Sequence[OverRow]) -> Axis:
    longest = max(float(ending.ratio) for row in rows for ending in row.ratios)
    upper = max(LEAST_AXIS, ceil(longest * 1.04 * 4) / 4)
    return Axis(_("Actual time as a multiple of the budget"), 0, upper, _ticks(upper))


def _ticks(upper: float) -> tuple[tuple[float, str], ...]:
    """Nothing, half, the budget, twice, and so on; of a very long axis only some."""
    named = {0.0: "0", 0.5: _("½: half"), 1.0: _("1: as planned"), 2.0: _("2: twice")}
    step = max(1, ceil(upper / 12))
    more = {float(n): str(n) for n in range(3, int(upper) + 1) if n % step == 0}
    between = {1.5: "1½"} if upper <= 6 else {}
    return tuple(sorted((at, text) for at, text in {**more, **between, **named}.items() if at <= upper))


def _summary(rows: Sequence[OverRow], names: Sequence[str]) -> str:
    most = most_often_over(rows)
    if most is None:
        words = _("Not enough lessons yet to say what is usual: a phase needs {needed}.")
        return words.format(needed=lessons_words(LEAST_LESSONS))
    if most.over == 0:
        return _("No phase that has lessons enough ran over its budget.")
    name = names[list(rows).index(most)]
    first = _("{phase} ran over its budget most often: in {n} of {all} lessons").format(
        phase=name[:1].upper() + name[1:], n=most.over, all=len(most.ratios)
    )
    if most.unknown:
        cut_off = counted(
            "{n} more was cut off before its budget was used.",
            "{n} more were cut off before their budget was used.",
            most.unknown,
        )
        return f"{first}; {cut_off}"
    ratio, at_least = most.median
    words = (
        _("At their median you gave it at least {n} times what is written.")
        if at_least
        else _("At their median you gave it {n} times what is written.")
    )
    return f"{first}. {words.format(n=f'{ratio:.2f}')}"


def _table(rows: Sequence[OverRow], names: Sequence[str]) -> Table:
    """First what is usual of each phase, then every dot."""
    headings = (_("Phase"), _("Lesson"), _("Times the budget"), _("Ran over"), _("Cut off within budget"))
    usual, each = [], []
    for row, name in zip(rows, names, strict=True):
        ratio, at_least = row.median
        median = _bounded(ratio, at_least) if row.lessons >= LEAST_LESSONS else ""
        of = counted("usual of {n} lesson", "usual of {n} lessons", row.lessons)
        usual.append((name, of, median, str(row.over), str(row.unknown)))
        for ending in row.ratios:
            times = _bounded(float(ending.ratio), not ending.complete)
            marks = (ending.is_over, not (ending.is_over or ending.complete))
            words = (_("yes") if mark else "" for mark in marks)
            each.append((name, f"{date_words(ending.date)}, {ending.title}", times, *words))
    return Table(headings, (*usual, *each), right=(2, 3, 4))


def _bounded(ratio: float, at_least: bool) -> str:
    return f"≥ {ratio:.2f}" if at_least else f"{ratio:.2f}"
