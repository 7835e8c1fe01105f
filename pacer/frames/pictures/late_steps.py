"""Why did groups start late? A step for each cause, from the planned start of groups down to the real one."""

from collections.abc import Sequence
from dataclasses import replace

from pacer.frames.pictures.chart import Axis, Chart, ChartBox, ChartLine, ChartWords, LegendKey, Table
from pacer.frames.pictures.shared import FillLook, box_keys, row_axis
from pacer.frames.words.choice import choice_words
from pacer.frames.words.kinds import cause_words, kind_words
from pacer.frames.words.wording import signed_change
from pacer.plan.durations import format_duration
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.late_steps import LateSteps, late_steps, running_sums
from pacer.review.statistics.rounding import half_up
from pacer.text import _, counted

NAMED = 4
_HALF = 0.32  # of a row's height
_LATER: FillLook = ("over", "hatched")
_GAINED: FillLook = ("second", "outline")
_WHOLE: FillLook = ("main", "filled")
LEAST_AXIS_S = 120
TICK_STEPS_S = (30, 60, 120, 300, 600, 1200, 3600)
MOST_TICKS = 10


def chart(days: Sequence[Day], choice: LessonChoice) -> Chart:
    """The steps of the chosen lessons' mean; a single lesson shows its own."""
    late = late_steps(choice.days(days))
    title, in_force = _("Why did groups start late?"), replace(choice, kinds=())
    if not late.lessons:
        return Chart("late_steps", title, 0, _empty_words(late), choice=choice_words(in_force, 0))
    names = _names(choice.days(days), late)
    total = half_up(late.whole)
    steps = running_sums(late.shown)
    spans = [*steps, (0, total)]
    looks = [*(_LATER if b > a else _GAINED for a, b in steps), _WHOLE]
    boxes = tuple(
        ChartBox(min(span) / 60, max(span) / 60, row - _HALF, row + _HALF, *look)
        for row, (span, look) in enumerate(zip(spans, looks, strict=True))
    )
    joints = tuple(
        ChartLine(((b / 60, row + _HALF), (b / 60, row + 1 - _HALF)), "dotted", "quiet")
        for row, (_a, b) in enumerate(steps)
    )
    plan = ChartLine(((0, -0.5), (0, len(steps) + 0.5)), "solid", "over")
    whole = _("all together") if late.lessons == 1 else _("all together, mean of the lessons")
    texts = (_("made groups later"), _("gained time"), whole)
    return Chart(
        name="late_steps",
        title=title,
        lessons=late.lessons,
        summary=_summary(late, names),
        x=_x_axis(spans),
        y=row_axis(_("Cause"), [*(names[step.cause] for step in late.steps), _("groups started")]),
        boxes=boxes,
        lines=(*joints, plan),
        words=tuple(
            ChartWords(max(a, b) / 60, row, f" {signed_change(b - a)}", "left")
            for row, (a, b) in enumerate(spans)
        ),
        keys=(
            *box_keys(boxes, (_LATER, _GAINED, _WHOLE), texts),
            LegendKey(plan, _("planned start of groups")),
        ),
        table=_table(late, names, total),
        choice=choice_words(in_force, late.lessons),
    )


def sentence(day: Day) -> str:
    """Why groups started when they did on one day, in one plain sentence whose parts add up."""
    if day.group_late_s is None:
        return _("The lesson ended before groups started.")
    late_s = day.group_late_s
    titles = {phase.id: phase.title for phase in day.phases}
    named = [(cause_words(cause) or titles.get(cause, cause), seconds) for cause, seconds in day.causes]
    return _with_parts(_begun(late_s), named if late_s else [], late_s)


def _begun(late_s: int) -> str:
    if not late_s:
        return _("Groups started on time")
    words = _("Groups started {time} late") if late_s > 0 else _("Groups started {time} early")
    return words.format(time=format_duration(abs(late_s)))


def _with_parts(begun: str, parts: Sequence[tuple[str, int]], whole_s: int) -> str:
    part_words = _named_parts(parts, whole_s, plain=whole_s > 0)
    return f"{begun}: {part_words}." if part_words else f"{begun}."


def _names(days: Sequence[Day], late: LateSteps) -> dict[str, str]:
    """The words for each cause: the title a phase had last, or its kind."""
    titles = {phase.id: phase.title for day in days for phase in day.phases}
    return {
        cause: cause_words(cause) or (kind_words(cause) if late.by_kind else titles.get(cause, cause))
        for cause in (step.cause for step in late.steps)
    }


def _named_parts(parts: Sequence[tuple[str, int]], whole_s: int, *, plain: bool) -> str:
    """The largest parts by name, the rest together. Where all push one way their sign is left out.

    What made the whole comes first: a gain explains no lateness, and a delay no early start.
    """
    ordered = sorted(parts, key=lambda part: (part[1] * whole_s < 0, -abs(part[1])))
    named = ordered if len(ordered) <= NAMED else ordered[: NAMED - 1]
    rest_s = whole_s - sum(seconds for _name, seconds in named)
    if rest_s:
        named = [*named, (_("others"), rest_s)]
    signless = plain and all(seconds > 0 for _name, seconds in named)
    return ", ".join(
        f"{name} {format_duration(seconds) if signless else signed_change(seconds)}"
        for name, seconds in named
    )


def _empty_words(late: LateSteps) -> str:
    if late.never:
        return counted(
            "In {n} lesson groups never started, so there is nothing to explain.",
            "In {n} lessons groups never started, so there is nothing to explain.",
            late.never,
        )
    return _("Not enough lessons yet: the steps appear with the first lesson in which groups start.")


def _summary(late: LateSteps, names: dict[str, str]) -> str:
    total = half_up(late.whole)
    words = _begun(total)
    if late.lessons > 1:
        words = _("{begun} on average of {n} lessons", begun=words, n=late.lessons)
    parts = [(names[step.cause], s) for step, s in zip(late.steps, late.shown, strict=True) if s]
    first = _with_parts(words, parts, total)
    if not late.never:
        return first
    more = counted(
        "In {n} more lesson groups never started.", "In {n} more lessons groups never started.", late.never
    )
    return f"{first} {more}"


def _x_axis(spans: Sequence[tuple[int, int]]) -> Axis:
    """From the earliest to the latest that is drawn, zero always among them, with room for the figures."""
    low = min(0, *(min(span) for span in spans))
    high = max(0, *(max(span) for span in spans))
    width = max(LEAST_AXIS_S, high - low)
    high = max(high, low + width)
    step = next((s for s in TICK_STEPS_S if width <= s * MOST_TICKS), TICK_STEPS_S[-1])
    first = low // step * step
    ticks = tuple((at / 60, signed_change(at) if at else "0:00") for at in range(first, high + step, step))
    label = _("After the planned start of groups (m:ss)")
    return Axis(label, first / 60, (high + 0.18 * width) / 60, ticks)


def _table(late: LateSteps, names: dict[str, str], total: int) -> Table:
    rows = [
        (names[step.cause], signed_change(seconds), f"{float(step.seconds):.1f}")
        for step, seconds in zip(late.steps, late.shown, strict=True)
    ]
    rows.append((_("groups started"), signed_change(total), f"{float(late.whole):.1f}"))
    headings = (_("Cause"), _("Mean (m:ss)"), _("Mean (s)"))
    return Table(headings, tuple(rows), right=(1, 2))
