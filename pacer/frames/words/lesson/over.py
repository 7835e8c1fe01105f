"""What happened in a lesson that is over, in one line for the Desk."""

from pacer.pace.lateness import lateness
from pacer.plan.durations import format_duration
from pacer.review.statistics.rounding import whole_s
from pacer.run.state import LessonState
from pacer.text import _, counted

LEAST_OVER_S = 15
NAMED_AT_MOST = 1


def over_words(state: LessonState, end_ms: int) -> str:
    """When the groups began, what ran over most, what was left out; without any of it that nothing ran over.

    Seconds are rounded as Look back does, so that both say the same of a lesson.
    """
    parts = [part for part in (_groups_began(state), _most_over(state, end_ms), _left_out(state)) if part]
    return " · ".join(parts) if parts else _("Nothing ran over")


def _groups_began(state: LessonState) -> str:
    """How far from plan the groups began, as Look back has it; empty without a second half."""
    late = lateness(state)
    if not state.legs or late is None:
        return ""
    late_s = late.whole_s
    if abs(late_s) < LEAST_OVER_S:
        return _("Groups on time")
    words = _("Groups {time} late") if late_s > 0 else _("Groups {time} early")
    return words.format(time=format_duration(abs(late_s)))


def _most_over(state: LessonState, end_ms: int) -> str:
    phases = state.plan.phases
    took_s = [whole_s(state.spent_ms(index, end_ms)) for index in range(len(phases))]
    over = {index: took_s[index] - each.budget_s for index, each in enumerate(phases)}
    most = max(over, key=lambda index: over[index])
    if over[most] < LEAST_OVER_S:
        return ""
    return _("{phase} +{time}", phase=phases[most].title, time=format_duration(over[most]))


def _left_out(state: LessonState) -> str:
    left = [index for index in range(state.plan.mini_count) if not state.visited(index)]
    if not left:
        return ""
    if len(left) <= NAMED_AT_MOST:
        return _("without {phase}", phase=state.plan.phases[left[0]].title)
    return counted("without {n} phase", "without {n} phases", len(left))
