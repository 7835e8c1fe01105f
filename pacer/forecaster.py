"""Turns past lessons into the forecaster of a lesson, which says what days like this one came to."""

from collections.abc import Sequence
from functools import cache

from pacer.pace.cut import Allotments, cut, uncut_s
from pacer.pace.forecasts.past import PastEnding
from pacer.pace.reading import Foresee
from pacer.remember import identity_cache
from pacer.run.events import Forecasted
from pacer.run.state import LessonState

STEP_MS = 10_000  # odds that changed every second would only be noise


def forecaster(endings: Sequence[PastEnding]) -> Foresee:
    """A forecaster from past endings in order of time. What can be learned is learned once an outline.

    numpy is imported here, when a lesson needs it, and not when the program starts; nor in the first lesson,
    of which nothing can be foretold.
    """
    if not endings:
        return _nothing
    from pacer.pace.forecasts.forecast import forecast
    from pacer.pace.forecasts.learned import Learned, Planned, learn

    @cache
    def learned(_title: str, plan: tuple[Planned, ...]) -> Learned:
        return learn(endings, plan)

    def foresee(state: LessonState, now_ms: int) -> Forecasted | None:
        begin_ms = 0 if state.visit is None else state.visit.begin_ms
        return stepped(state, max(begin_ms, now_ms - now_ms % STEP_MS))

    @identity_cache
    def stepped(state: LessonState, now_ms: int) -> Forecasted | None:
        current = cut(state)
        # In a baseline lesson nothing is foretold, as nobody may be told.
        if current is None or not state.is_in_mini_lesson or state.mode == "baseline":
            return None
        mini = state.plan.phases[: state.plan.mini_count]
        plan = tuple(Planned(phase.id, phase.kind, phase.budget_s) for phase in mini)
        prediction = forecast(
            learned(state.plan.title, plan),
            current.index,
            state.spent_ms(current.index, now_ms) / 1000,
            (current.end_ms - now_ms) / 1000,
            today=_endings_today(state),
            budgets_s=_budgets_s(state, current),
            over=_over(state, current),
            held_s=_held_ms(state, current.index, now_ms) / 1000,
        )
        if prediction is None:
            return None
        return Forecasted(
            index=current.index,
            low=prediction.odds.low,
            high=prediction.odds.high,
            end_ms=now_ms + round(prediction.end_s * 1000),
            lessons=prediction.lessons,
        )

    return foresee


def _nothing(_state: LessonState, _now_ms: int) -> Forecasted | None:
    return None


def _budgets_s(state: LessonState, current: Allotments) -> list[float]:
    """The written budgets, and of a later phase that has had some time already what is left of its own.

    Never what a re-cut leaves of them: past durations over written budgets hold the hurry of late days
    already, and a shorter budget would count it a second time.
    """
    plan = state.plan
    budgets = [float(phase.budget_s) for phase in plan.phases[: plan.mini_count]]
    for index, _seconds in current.later:
        budgets[index] = float(uncut_s(state, index, current.end_ms))
    return budgets


def _held_ms(state: LessonState, index: int, now_ms: int) -> int:
    """For how long the running phase lasts on in any case: what she gave it by hand is meant for it.

    Taken time holds nothing and hurries nobody more than past days did.
    """
    added_s = state.added_s(index)
    given_ms = (state.plan.phases[index].budget_s + added_s) * 1000
    return max(0, given_ms - state.spent_ms(index, now_ms)) if added_s > 0 else 0


def _over(state: LessonState, current: Allotments) -> list[int]:
    """Later phases that were finished before or have left the lesson."""
    left = (index for index, _seconds in current.later)
    return [index for index in left if uncut_s(state, index, current.end_ms) == 0 or index in state.left]


def _endings_today(state: LessonState) -> list[PastEnding]:
    """The phases of today that are over, each at its last visit."""
    endings = []
    for index in range(state.plan.mini_count):
        ending, phase = state.ending_of(index), state.plan.phases[index]
        if ending is not None and index != state.index:
            end = max(visit.end_ms or 0 for visit in state.visits if visit.index == index)
            endings.append(
                PastEnding(
                    run=0,
                    date="",
                    phase=phase.id,
                    kind=phase.kind,
                    planned_s=phase.budget_s,
                    actual_s=state.spent_ms(index, end) / 1000,
                    ending=ending,
                    late_s=state.late_ms / 1000,
                )
            )
    return endings
