"""What was not taught, and where did it go? A bar per kind of phase, in parts by where it went."""

from collections.abc import Sequence

from pacer.frames.pictures.chart import Axis, Chart, ChartBox, ChartWords, Table
from pacer.frames.pictures.shared import LEAST_LESSONS, FillLook, box_keys, row_axis, too_few_words
from pacer.frames.words.choice import choice_words, date_words
from pacer.frames.words.kinds import fate_words, kind_words
from pacer.frames.words.wording import lessons_words
from pacer.plan.durations import format_duration
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.not_taught import WENT, LeftFate, NotTaught, NotTaughtRow, not_taught
from pacer.text import _, counted, ngettext

HALF = 0.32  # of a row's height
LEAST_AXIS = 4
MOST_TICKS = 10
_LOOKS: dict[LeftFate, FillLook] = {
    "table": ("main", "filled"),
    "tomorrow": ("second", "dotted"),
    "dropped": ("quiet", "hatched"),
    "": ("quiet", "outline"),
}


def chart(days: Sequence[Day], choice: LessonChoice) -> Chart:
    """What is missing of the chosen kinds in the lessons that are shown."""
    untaught = not_taught(days, choice)
    names = [kind_words(row.name) if untaught.by_kind else row.title for row in untaught.rows]
    boxes, words = _marks(untaught)
    most = max([LEAST_AXIS, *(len(row.missing) for row in untaught.rows)])
    return Chart(
        name="not_taught",
        title=_("What was not taught, and where did it go?"),
        lessons=untaught.lessons,
        summary=_summary(untaught, names),
        x=Axis(_("How often it was not taught; beside the bar the planned time that is missing (m:ss)"),
               0, most * 1.15, _ticks(most)),
        y=row_axis(_("Phase: not taught, of all planned"), map(_row_words, untaught.rows, names)),
        boxes=boxes,
        words=words,
        keys=box_keys(boxes, _LOOKS.values(), map(went_words, _LOOKS)),
        table=_table(untaught, names),
        choice=choice_words(choice, untaught.lessons),
    )  # fmt: skip


def _marks(untaught: NotTaught) -> tuple[tuple[ChartBox, ...], tuple[ChartWords, ...]]:
    """The parts of each row from 0 on, and the missing time behind them."""
    boxes, words = [], []
    for at, row in enumerate(untaught.rows):
        begin = 0
        for went in WENT:
            end = begin + len(row.of(went))
            if end > begin:
                boxes.append(ChartBox(begin, end, at - HALF, at + HALF, *_LOOKS[went]))
            begin = end
        if row.missing:
            words.append(ChartWords(begin, at, f" {format_duration(row.missing_s)}", "left"))
    return tuple(boxes), tuple(words)


def _ticks(most: int) -> tuple[tuple[float, str], ...]:
    """Whole numbers: half a phase is never missing."""
    step = next(s * 10**power for power in range(9) for s in (1, 2, 5) if most <= s * 10**power * MOST_TICKS)
    return tuple((float(at), str(at)) for at in range(0, most + 1, step))


def _row_words(row: NotTaughtRow, name: str) -> str:
    return _("{phase}: {n} of {all}", phase=name, n=len(row.missing), all=row.planned)


def went_words(went: str) -> str:
    """Where a phase went, for legend and table."""
    return fate_words(went) if went else _("not written down")


def why_words(why: str) -> str:
    """Why a phase was not taught."""
    return {
        "left": _("left by a re-cut"),
        "skipped": _("skipped"),
        "cut off": _("cut off before its floor"),
    }[why]


def _summary(untaught: NotTaught, names: Sequence[str]) -> str:
    missing = untaught.missing
    if not untaught.planned:
        return _("Not enough lessons yet: one lesson with a phase of the chosen kinds is needed.")
    count = lessons_words(untaught.lessons)
    if not missing:
        words = ngettext(
            "All was taught: {n} planned phase in {lessons}.",
            "All was taught: {n} planned phases in {lessons}.",
            untaught.planned,
        )
        return words.format(n=untaught.planned, lessons=count)
    places = ", ".join(
        f"{went_words(went)} {n}" for went in WENT if (n := sum(phase.went == went for phase in missing))
    )
    first = counted(
        "{missing} of {n} planned phase in {lessons} was not taught, {time} of planned time; "
        "where it went: {places}.",
        "{missing} of {n} planned phases in {lessons} were not taught, {time} of planned time; "
        "where it went: {places}.",
        untaught.planned, missing=len(missing), lessons=count, places=places,
        time=format_duration(sum(phase.missing_s for phase in missing)),
    )  # fmt: skip
    return f"{first} {_most_words(untaught, names)}"


def _most_words(untaught: NotTaught, names: Sequence[str]) -> str:
    if untaught.lessons < LEAST_LESSONS:
        return too_few_words(untaught.lessons)
    at = max(range(len(names)), key=lambda n: len(untaught.rows[n].missing))
    row = untaught.rows[at]
    words = _("Most often it was {phase}: {n} of {all} times.")
    return words.format(phase=names[at], n=len(row.missing), all=row.planned)


def _table(untaught: NotTaught, names: Sequence[str]) -> Table:
    """The sums of each row, then everything that was not taught, the newest first."""
    headings = (
        _("Date"), _("Lesson"), _("Phase"), _("What came of it"), _("Where it went"), _("How often"),
        _("Missing of its plan (m:ss)"),
    )  # fmt: skip
    rows: list[tuple[str, ...]] = []
    for row, name in zip(untaught.rows, names, strict=True):
        rows.append((_("all"), "", name, _("taught"), "", str(row.taught), ""))
        for went in WENT:
            if own := row.of(went):
                time = format_duration(sum(phase.missing_s for phase in own))
                rows.append((_("all"), "", name, _("not taught"), went_words(went), str(len(own)), time))
    rows += [
        (
            date_words(phase.date), phase.lesson, phase.phase, why_words(phase.why), went_words(phase.went),
            "1", format_duration(phase.missing_s),
        )
        for phase in untaught.missing[::-1]
    ]  # fmt: skip
    return Table(headings, tuple(rows), (5, 6))
