"""Works out what an ended lesson came to, from its state as it was mended."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from typing import Literal

from pacer.pace.lateness import groups_in_time, lateness
from pacer.pace.leg_cut import planned_visit_s
from pacer.pace.stages import Stage
from pacer.pace.talk import segments, talk_shares
from pacer.pace.trim import whole_seconds
from pacer.plan.kinds import REVIEWING, REVIEWING_CAP_S, Fate, TalkMode
from pacer.review.days import Day, DayForecast, DayHalf, DayPhase, DayTalk, DayVisit
from pacer.review.statistics.rounding import whole_s
from pacer.run.corrections import Corrections, Went
from pacer.run.legs import LegKind
from pacer.run.state import LessonState


def day_of(run: int, state: LessonState, after: Corrections, stages: Mapping[int, Stage]) -> Day:
    """What an ended lesson came to. ``state`` is the lesson as mended, ``stages`` as its events say."""
    plan, block = state.plan, state.plan.block
    end_ms = max([state.ended_ms or 0, *(visit.end_ms or 0 for visit in state.visits)])
    local = datetime.fromtimestamp(state.planned_utc_ms / 1000, UTC) + timedelta(seconds=state.utc_offset_s)
    started = datetime.fromtimestamp(state.started_utc_ms / 1000, UTC) + timedelta(seconds=state.utc_offset_s)
    late, mini_end_ms = lateness(state), _mini_end_ms(state)
    problems, problems_s = _problems(state, end_ms)
    names = [phase.id for phase in plan.phases]
    return Day(
        run=run,
        date=started.date().isoformat(),
        title=plan.title,
        subject=plan.subject,
        mode=state.mode,
        shape=state.shape,
        planned_s=local.hour * 3600 + local.minute * 60 + local.second,
        late_s=whole_seconds([state.late_ms])[0],
        block=(block.length_s, block.move_s, block.groups, block.swap_s, block.clean_up_s, block.share_s),
        mini_lesson_s=plan.mini_lesson_s,
        mini_end_s=None if mini_end_ms is None else whole_s(mini_end_ms + state.late_ms),
        group_late_s=None if late is None else late.whole_s,
        causes=()
        if late is None
        else tuple(
            (names[part.cause] if isinstance(part.cause, int) else f":{part.cause}", part.seconds)
            for part in late.parts
        ),
        phases=_phases(state, after, stages, end_ms),
        talk=_talk(state, end_ms),
        ribbon=_ribbon(state, end_ms),
        review_s=_review_s(state, end_ms),
        review_cap_s=plan.caps_s.get(REVIEWING, REVIEWING_CAP_S),
        forecasts=_forecasts(state),
        cues=len(state.cues),
        length_s=whole_s(end_ms),
        ended=state.ended_ms is not None,
        flagged=after.flagged,
        repaired=after.is_repaired,
        thing=after.thing,
        paused_s=_paused_s(state),
        groups=tuple(group.name for group in plan.visitors),
        visits=visits_of(state, end_ms),
        half=_half(state, end_ms),
        problems=problems,
        problems_s=problems_s,
    )


def _problems(state: LessonState, end_ms: int) -> tuple[int, int]:
    """Review problems gone through and the seconds of their reviews; zeros where nobody knows how many.

    The highest that was tallied, or all that were planned where the work was done. A review that something
    from outside ended, or that nobody ended, tells no pace.
    """
    count = seconds = 0
    for index, phase in enumerate(state.plan.phases[: state.plan.mini_count]):
        visits = [visit for visit in state.visits if visit.index == index]
        ending = visits[-1].ending if visits else None
        if phase.kind != "review" or ending not in ("done", "moved on"):
            continue
        tallied = [mark.number for mark in state.marks if mark.kind == "tally" and mark.index == index]
        known = max([*tallied, phase.examples if ending == "done" else 0])
        if known:
            count += known
            seconds += whole_s(state.spent_ms(index, end_ms))
    return count, seconds


def visits_of(state: LessonState, end_ms: int) -> tuple[DayVisit, ...]:
    """What each group had at the table up to a time, in the order of the outline; empty without legs."""
    if not state.legs:
        return ()
    planned_s, why = planned_visit_s(state), {out.group: out.why for out in state.out}
    visits = []
    for number, group in enumerate(state.plan.visitors):
        begins = [leg.begin_ms for leg in state.legs if leg.kind == "visit" and leg.group == number]
        had_s = whole_s(state.visit_had_ms(number, end_ms))
        begin_s = whole_s(begins[0]) if begins and had_s else None
        visits.append(DayVisit(group.name, planned_s, had_s, begin_s, why.get(number, "")))
    return tuple(visits)


def _half(state: LessonState, end_ms: int) -> DayHalf | None:
    if not state.legs:
        return None
    swaps = sum(leg.kind == "swap" for leg in state.legs)
    move_s, swaps_s, share_s = (_legs_s(state, kind, end_ms) for kind in ("move", "swap", "share"))
    kept_s = state.plan.block.kept_share_s
    return DayHalf(move_s, swaps, swaps_s, share_s, kept_s, _bell_cut(state, share_s, kept_s))


def _legs_s(state: LessonState, kind: LegKind, end_ms: int) -> int:
    """All legs of a kind together, in whole seconds."""
    return whole_s(
        sum(state.leg_spent_ms(number, end_ms) for number, leg in enumerate(state.legs) if leg.kind == kind)
    )


def _bell_cut(state: LessonState, share_s: int, kept_s: int) -> LegKind | Literal[""]:
    """The leg that the bell cut short: it ran until then, and there was more to come of it."""
    last = state.legs[-1]
    if state.bell_offset_s is None or last.end_ms != state.ended_ms or last.kind == "clean_up":
        return ""
    return "" if last.kind == "share" and share_s >= kept_s else last.kind


def _phases(
    state: LessonState, after: Corrections, stages: Mapping[int, Stage], end_ms: int
) -> tuple[DayPhase, ...]:
    reasons, went, left = dict(after.reasons), dict(after.went), state.left
    phases = []
    for index, phase in enumerate(state.plan.phases):
        visits = [visit for visit in state.visits if visit.index == index]
        ending = state.ending_of(index)
        phases.append(
            DayPhase(
                id=phase.id,
                title=phase.title,
                kind=phase.kind,
                planned_s=phase.budget_s,
                floor_s=phase.floor_s,
                actual_s=whole_s(state.spent_ms(index, end_ms)),
                begin_s=whole_s(visits[0].begin_ms) if visits else None,
                end_s=whole_s(visits[-1].end_ms or end_ms) if visits else None,
                added_s=state.added_s(index),
                ending=ending,
                stage=stages.get(index) if ending == "unsaid" else None,
                mini=index < state.plan.mini_count,
                left=index in left,
                fate=_fate(went.get(index, phase.movable)),
                reason=reasons.get(index, ""),
            )
        )
    return tuple(phases)


def _fate(went: Went | None) -> Fate | Literal[""]:
    """What was done at the table after all was not taught to the class all the same: the table had it."""
    return "table" if went == "done" else went or ""


def _mini_end_ms(state: LessonState) -> int | None:
    """When the mini lesson was left for the last time, in lesson time; None where it never was."""
    ends = (v.end_ms for v in state.visits if v.index < state.plan.mini_count and v.end_ms is not None)
    return max(ends, default=None)


def _paused_s(state: LessonState) -> int:
    """From milliseconds: rounded phases would leave seconds between them that nobody paused."""
    end = _mini_end_ms(state)
    if end is None:
        return 0
    spent = sum(state.spent_ms(index, end) for index in range(len(state.plan.phases)))
    # A mini lesson that was gone back to from the groups has their time within it.
    away = sum(min(leg.end_ms or end, end) - leg.begin_ms for leg in state.legs if leg.begin_ms < end)
    return whole_s(max(0, end - state.visits[0].begin_ms - spent - away))


def _talk(state: LessonState, end_ms: int) -> DayTalk:
    shares = talk_shares(state, end_ms)
    long, wide = shares.longest, shares.longest_if_unmarked
    return DayTalk(
        shares.teacher_ms,
        shares.unmarked_ms,
        shares.total_ms,
        0 if long is None else long.length_ms,
        0 if long is None else long.begin_ms,
        0 if wide is None else wide.length_ms,
        0 if wide is None else wide.begin_ms,
    )


def _ribbon(state: LessonState, end_ms: int) -> tuple[tuple[int, int, TalkMode], ...]:
    mini = tuple(visit for visit in state.visits if visit.index < state.plan.mini_count)
    pieces = segments(replace(state, visits=mini), end_ms)
    return tuple((whole_s(piece.begin_ms), whole_s(piece.end_ms), piece.mode) for piece in pieces)


def _review_s(state: LessonState, end_ms: int) -> int:
    """All phases that share the cap of reviewing, together."""
    return sum(
        whole_s(state.spent_ms(index, end_ms))
        for index, phase in enumerate(state.plan.phases)
        if phase.cap_group == REVIEWING or phase.kind in ("warm-up", "review")
    )


def _forecasts(state: LessonState) -> tuple[DayForecast, ...]:
    # Without a mini lesson there is no end of it to be in time.
    in_time = groups_in_time(state) if state.plan.mini_count else None
    return tuple(
        DayForecast(
            state.plan.phases[forecast.index].id, forecast.low, forecast.high, forecast.lessons, in_time
        )
        for forecast in state.forecasts
        if forecast.index < len(state.plan.phases)
    )
