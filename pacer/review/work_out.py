"""Works out what an ended lesson came to, from its state as it was mended."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import UTC, datetime, timedelta

from pacer.pace.lateness import groups_in_time, lateness
from pacer.pace.stages import Stage
from pacer.pace.talk import segments, talk_shares
from pacer.pace.trim import whole_seconds
from pacer.plan.kinds import REVIEWING, REVIEWING_CAP_S, TalkMode
from pacer.review.days import Day, DayForecast, DayPhase, DayTalk
from pacer.run.corrections import Corrections
from pacer.run.state import LessonState


def day_of(run: int, state: LessonState, after: Corrections, stages: Mapping[int, Stage]) -> Day:
    """What an ended lesson came to. ``state`` is the lesson as mended, ``stages`` as its events say."""
    plan, block = state.plan, state.plan.block
    end_ms = max([state.ended_ms or 0, *(visit.end_ms or 0 for visit in state.visits)])
    local = datetime.fromtimestamp(state.planned_utc_ms / 1000, UTC) + timedelta(seconds=state.utc_offset_s)
    started = datetime.fromtimestamp(state.started_utc_ms / 1000, UTC) + timedelta(seconds=state.utc_offset_s)
    late = lateness(state)
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
        mini_end_s=_mini_end_s(state),
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
        length_s=_seconds(end_ms),
        ended=state.ended_ms is not None,
        flagged=after.flagged,
        repaired=after.is_repaired,
        thing=after.thing,
        paused_s=_paused_s(state),
    )


def _phases(
    state: LessonState, after: Corrections, stages: Mapping[int, Stage], end_ms: int
) -> tuple[DayPhase, ...]:
    reasons, went, left = dict(after.reasons), dict(after.went), state.left
    found = []
    for index, phase in enumerate(state.plan.phases):
        visits = [visit for visit in state.visits if visit.index == index]
        ending = state.ending_of(index)
        found.append(
            DayPhase(
                id=phase.id,
                title=phase.title,
                kind=phase.kind,
                planned_s=phase.budget_s,
                floor_s=phase.floor_s,
                actual_s=_seconds(state.spent_ms(index, end_ms)),
                begin_s=_seconds(visits[0].begin_ms) if visits else None,
                end_s=_seconds(visits[-1].end_ms or end_ms) if visits else None,
                added_s=state.added_s(index),
                ending=ending,
                stage=stages.get(index) if ending == "unsaid" else None,
                mini=index < state.plan.mini_count,
                left=index in left,
                fate=went.get(index, phase.movable or ""),
                reason=reasons.get(index, ""),
            )
        )
    return tuple(found)


def _mini_end_s(state: LessonState) -> int | None:
    ends = [v.end_ms for v in state.visits if v.index < state.plan.mini_count and v.end_ms is not None]
    return _seconds(max(ends) + state.late_ms) if ends else None


def _paused_s(state: LessonState) -> int:
    """From milliseconds: rounded phases would leave seconds between them that nobody paused."""
    ends = [v.end_ms for v in state.visits if v.index < state.plan.mini_count and v.end_ms is not None]
    if not ends:
        return 0
    end = max(ends)
    spent = sum(state.spent_ms(index, end) for index in range(len(state.plan.phases)))
    return _seconds(max(0, end - state.visits[0].begin_ms - spent))


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
    return tuple((_seconds(piece.begin_ms), _seconds(piece.end_ms), piece.mode) for piece in pieces)


def _review_s(state: LessonState, end_ms: int) -> int:
    """All phases that share the cap of reviewing, together."""
    return sum(
        _seconds(state.spent_ms(index, end_ms))
        for index, phase in enumerate(state.plan.phases)
        if phase.cap_group == REVIEWING or phase.kind in ("warm-up", "review")
    )


def _forecasts(state: LessonState) -> tuple[DayForecast, ...]:
    # Without a mini lesson there is no end of it to be in time.
    in_time = groups_in_time(state) if state.plan.mini_count else None
    return tuple(
        DayForecast(state.plan.phases[made.index].id, made.low, made.high, made.lessons, in_time)
        for made in state.forecasts
        if made.index < len(state.plan.phases)
    )


def _seconds(ms: int) -> int:
    """The nearest whole second, a half rounded up."""
    return (ms + 500) // 1000
