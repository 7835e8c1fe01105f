"""After school: whatever is mended, the lesson as it was comes back, no time is lost and none is made up."""

from collections.abc import Callable
from dataclasses import replace
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.run.corrections import (
    START_ROOM_MS,
    BorderMoved,
    Correction,
    DayFlagged,
    EndingSaid,
    ReasonGiven,
    StartMoved,
    TakenBack,
    VisitSplit,
    effective,
)
from pacer.run.fold import fold
from pacer.run.legs import Leg
from pacer.run.repair import border_moved, border_room, early_ms, leg_after, repaired, visit_split
from pacer.run.state import LessonState
from pacer.run.timeline import Visit
from tests.run.correction_factories import BODY, PHASES, VISITS, numbered, said

# Most repairs fit: a place as a share of the room there is, in percent, sometimes a little outside.
SHARE = st.one_of(st.integers(0, 100), st.integers(-10, 110))
FITTING = st.one_of(
    st.tuples(st.just("border"), VISITS, SHARE, st.just(0)),
    st.tuples(st.just("split"), VISITS, SHARE, st.integers(0, PHASES - 1)),
    st.tuples(st.just("start"), st.just(0), SHARE, st.just(0)),
)
SAID = st.lists(st.one_of(FITTING, FITTING, BODY), max_size=14)
PRESSES = (
    "next", "next done", "next moved-on", "back", "jump practice", "jump model", "undo", "pause", "go-on",
    "burst 0:20", "eyes-back", "voice", "example", "tally 3", "table-mark", "happened",
)  # fmt: skip
MOMENT = st.tuples(
    st.one_of(st.just(0), st.integers(1, 5_000), st.integers(1, 300_000)), st.sampled_from(PRESSES)
)
DAY = st.tuples(st.lists(MOMENT, max_size=18), st.sampled_from(("end done", "bell-now", "")))


def taught(new_lesson: Callable, day: tuple) -> LessonState:
    """A lesson of random presses; a press that is refused is none. Some never end."""
    lesson = new_lesson()
    presses, end = day
    for wait_ms, press in presses:
        _wait(lesson, wait_ms)
        lesson.session.do(*press.split())
    if end:
        _wait(lesson, 1_000)
        lesson.session.do(*end.split())
    return lesson.state


def _wait(lesson, ms: int) -> None:
    while ms > 0:
        lesson.clock.advance(min(ms, 2_000))
        lesson.session.tick()
        ms -= 2_000


def fitted(state: LessonState, wanted: list) -> list:
    """Bodies of what is wanted, each against the lesson as it was mended by those before."""
    bodies: list = []
    for each in wanted:
        if isinstance(each, tuple):
            kind, visit, share, to = each
            mended = repaired(state, effective(numbered(bodies)))
            if kind == "start":
                bodies.append(StartMoved(early_ms=min(100, max(0, share)) * 9_000))
                continue
            press_ms = early_ms(state, mended)  # what is said is counted from the press
            at = visit % len(mended.visits)
            low, high = border_room(mended, at) or (0, 0)
            if kind == "split":
                high = mended.visits[at].end_ms or 0
            t_ms = max(-START_ROOM_MS, low + (high - low) * share // 100 - press_ms)
            each = (
                BorderMoved(visit=at, t_ms=t_ms)
                if kind == "border"
                else VisitSplit(visit=at, t_ms=t_ms, to=to)
            )
        bodies.append(each)
    return bodies


def closed_ms(visit: Visit | Leg) -> int:
    """When a visit ended; one that has not lasts longer than any lesson here."""
    return 10**9 if visit.end_ms is None else visit.end_ms


def stretches(state: LessonState) -> list[Visit | Leg]:
    """All that a lesson is made of, in order of time: visits to phases and legs of the second half."""
    return sorted((*state.visits, *state.legs), key=lambda each: (each.begin_ms, closed_ms(each)))


def length_ms(state: LessonState) -> int:
    return sum(each.end_ms - each.begin_ms for each in stretches(state) if each.end_ms is not None)


def spent_ms(state: LessonState, told: LessonState) -> int:
    """The time of all phases and legs without pauses, up to one time of day however the start was mended."""
    now_ms = 10_000_000 + early_ms(told, state)
    with_groups_ms = sum(state.leg_spent_ms(number, now_ms) for number in range(len(state.legs)))
    return sum(state.spent_ms(index, now_ms) for index in range(PHASES)) + with_groups_ms


@given(DAY, SAID)
def test_the_lesson_as_it_was_is_untouched_and_comes_back_when_all_is_taken_back(
    new_lesson: Callable, day: tuple, wanted: list
) -> None:
    state = taught(new_lesson, day)
    bodies = fitted(state, wanted)
    before = repr(state)
    said = numbered(bodies)
    repaired(state, effective(said))
    assert repr(state) == before
    for event in reversed(said):
        said.append(Correction(len(said), event.utc_ms, TakenBack(target=event.number)))
    after = effective(said)
    assert (after.effective, after.is_repaired, after.flagged, after.thing) == ((), False, False, "")
    assert (after.reasons, after.endings) == ((), ())
    assert repaired(state, after) == state


@given(DAY, SAID)
def test_taking_back_the_last_one_is_as_if_it_had_never_been_said(
    new_lesson: Callable, day: tuple, wanted: list
) -> None:
    state = taught(new_lesson, day)
    bodies = fitted(state, wanted)
    said = numbered(bodies)
    last = next(reversed(effective(said).effective), None)
    if last is None:
        return
    without = [event for event in said if event.number != last.number]
    back = effective([*said, Correction(len(said), 0, TakenBack(target=last.number))])
    assert back == effective(without)
    assert repaired(state, back) == repaired(state, effective(without))


@given(DAY, SAID, st.integers(0, 13))
def test_taking_back_one_in_the_middle_leaves_all_others(
    new_lesson: Callable, day: tuple, wanted: list, which: int
) -> None:
    bodies = fitted(taught(new_lesson, day), wanted)
    said = numbered([body for body in bodies if not isinstance(body, TakenBack)])
    back = effective([*said, Correction(len(said), 0, TakenBack(target=which))])
    assert [event.number for event in back.effective] == [n for n in range(len(said)) if n != which]


@given(DAY, SAID)
def test_visits_stay_in_order_without_holes_and_what_they_last_together_stays(
    new_lesson: Callable, day: tuple, wanted: list
) -> None:
    """One repair after the other. Only the end of the lesson itself may be put to another time.

    Where the class went to the groups, legs take the time between two visits, or all that follows the last.
    """
    state = taught(new_lesson, day)
    bodies = fitted(state, wanted)
    told = state
    for count, body in enumerate(bodies, start=1):
        if isinstance(body, TakenBack):
            return
        before, state = state, repaired(told, effective(numbered(bodies[:count])))
        earlier_ms = early_ms(before, state)
        assert earlier_ms == 0 or isinstance(body, StartMoved)
        at_the_end = (
            isinstance(body, BorderMoved)
            and body.visit == len(before.visits) - 1
            and leg_after(before, body.visit) is None
        )
        lost = 0 if not at_the_end else (before.visits[-1].end_ms or 0) - (state.visits[-1].end_ms or 0)
        assert length_ms(state) == length_ms(before) - lost + earlier_ms
        if not at_the_end:
            assert spent_ms(state, told) == spent_ms(before, told) + earlier_ms
        ends = [each.end_ms for each in stretches(state)]
        assert [each.begin_ms for each in stretches(state)] == [0, *ends[:-1]]
        for own in (state.visits, state.legs):
            assert all(closed_ms(one) <= after.begin_ms for one, after in pairwise(own))
            assert all(one.begin_ms <= closed_ms(one) for one in own)
        assert [(leg.kind, leg.group) for leg in state.legs] == [(leg.kind, leg.group) for leg in told.legs]
        if state.ended_ms is not None:
            assert state.visits[-1].end_ms <= state.ended_ms
        if not isinstance(body, VisitSplit):
            assert [visit.index for visit in state.visits] == [visit.index for visit in before.visits]


@given(DAY, SAID)
def test_everything_but_visits_marks_and_bursts_is_as_the_lesson_left_it(
    new_lesson: Callable, day: tuple, wanted: list
) -> None:
    state = taught(new_lesson, day)
    bodies = fitted(state, wanted)
    mended = repaired(state, effective(numbered(bodies)))
    press_ms = early_ms(state, mended)
    assert press_ms >= 0
    assert mended.late_ms == state.late_ms - press_ms
    there = [event.body.early_ms for event in effective(numbered(bodies)).effective
             if isinstance(event.body, StartMoved)]  # fmt: skip
    assert press_ms in {0, *there}
    # A leg begins where the visit before it ends, and nothing else of it moves.
    legs = tuple(
        replace(leg, begin_ms=was.begin_ms) for leg, was in zip(mended.legs, state.legs, strict=True)
    )
    same = replace(mended, visits=state.visits, marks=state.marks, talks=state.talks, legs=legs)
    if not press_ms:
        assert same == state
    # Every clock time stays, whatever lesson time is counted from.
    assert on_the_clock(mended) == on_the_clock(state)


def on_the_clock(state: LessonState) -> list:
    """All that carries a lesson time, at its time of day; not the visits, nor in which phase it was."""

    def at(t_ms):
        return None if t_ms is None else state.utc_ms(t_ms)

    return [
        [(at(stop.begin_ms), at(stop.end_ms)) for stop in state.stopped],
        [(at(t), index, seconds) for t, index, seconds in state.added],
        [(at(talk.span.begin_ms), at(talk.span.end_ms), talk.length_s) for talk in state.talks],
        [(mark.kind, at(mark.t_ms), mark.number) for mark in state.marks],
        [(at(t), body) for t, body in state.screens],
        [(at(t), late_ms) for t, late_ms in state.stalls],
        [(at(t), gap_ms, cause) for t, gap_ms, cause in state.gaps],
        [(made.index, made.low, made.high, at(made.end_ms)) for made in state.forecasts],
        [(at(t), cue) for t, cue in state.cues],
        [at(state.ended_ms), at(state.settling_ms), state.settles, state.bell_offset_s],
    ]


@given(DAY, SAID)
def test_marks_and_bursts_are_in_the_phase_that_ran_then(
    new_lesson: Callable, day: tuple, wanted: list
) -> None:
    """On a border both sides did run."""
    state = taught(new_lesson, day)
    bodies = fitted(state, wanted)
    mended = repaired(state, effective(numbered(bodies)))
    for mark, told in zip(mended.marks, state.marks, strict=True):
        ran = {visit.index for visit in mended.visits if visit.begin_ms <= mark.t_ms <= closed_ms(visit)}
        if told.index < 0:
            assert mark.index == -1  # made while the groups worked, be it at the very border
            continue
        assert mark.index in ran if ran else mark.index == -1
        if told.index in ran:
            assert mark.index == told.index
    for talk in mended.talks:
        inside = [
            visit.index for visit in mended.visits if visit.begin_ms < talk.span.begin_ms < closed_ms(visit)
        ]
        assert inside in ([], [talk.index])


@given(DAY, VISITS, SHARE)
def test_a_border_moved_there_and_back_leaves_the_lesson_as_it_was(
    new_lesson: Callable, day: tuple, visit: int, share: int
) -> None:
    state = taught(new_lesson, day)
    (there,) = fitted(state, [("border", visit, share, 0)])
    visit = there.visit
    if state.visits[visit].end_ms is None:
        return
    back = BorderMoved(visit=visit, t_ms=state.visits[visit].end_ms)
    assert repaired(state, effective(numbered([there, back]))) == state


@given(DAY, VISITS, SHARE)
def test_a_border_moves_within_its_room_and_nowhere_else(
    new_lesson: Callable, day: tuple, visit: int, share: int
) -> None:
    state = taught(new_lesson, day)
    (body,) = fitted(state, [("border", visit, share, 0)])
    visit, t_ms = body.visit, body.t_ms
    room = border_room(state, visit)
    moved = border_moved(state, visit, t_ms)
    if room is None or not room[0] <= t_ms <= room[1]:
        assert moved == state
    else:
        assert moved.visits[visit].end_ms == t_ms
        assert border_room(moved, visit) in (room, (room[0], max(t_ms, state.ended_ms or t_ms)))
    if room is not None:
        for edge in room:
            assert border_moved(state, visit, edge).visits[visit].end_ms == edge


# Worked by hand: skip count 0:00-2:30 and done, review 2:30-7:30 unsaid, model 7:30-9:00, then the bell.


@pytest.fixture
def lesson(new_lesson: Callable):
    made = new_lesson()
    made.wait(150).do("next", "done").wait(60).do("voice").wait(240).do("next").wait(90).do("bell-now")
    return made


def seconds(state: LessonState) -> list[tuple[int, float, float, str]]:
    return [(v.index, v.begin_ms / 1000, v.end_ms / 1000, v.ending) for v in state.visits]


def test_cues_keep_their_clock_times_when_the_lesson_began_before_the_press(new_lesson: Callable) -> None:
    state = new_lesson(with_cues=True).wait(155).do("next").wait(10).do("end").state
    assert [t for t, _cue in state.cues] == [150_000]
    mended = repaired(state, effective(said(StartMoved(early_ms=60_000))))
    assert mended.started_utc_ms == state.started_utc_ms - 60_000
    assert mended.cues == ((210_000, "move_on"),)


def test_a_moved_border_gives_one_phase_what_it_takes_from_the_other_and_the_voice_with_it(lesson) -> None:
    mended = repaired(lesson.state, effective(said(BorderMoved(visit=0, t_ms=220_000))))
    assert seconds(mended) == [(0, 0, 220, "done"), (1, 220, 450, "unsaid"), (2, 450, 540, "bell")]
    assert [mark.index for mark in lesson.state.marks] == [1]
    assert [mark.index for mark in mended.marks] == [0]


def test_a_forgotten_press_splits_a_visit_and_the_ending_stays_at_its_end(lesson) -> None:
    mended = repaired(lesson.state, effective(said(VisitSplit(visit=2, t_ms=480_000, to=4))))
    assert seconds(mended)[2:] == [(2, 450, 480, "unsaid"), (4, 480, 540, "bell")]
    assert mended.ending_of(4) == "bell"
    assert lesson.state.ending_of(4) == "skipped"


def test_a_partner_burst_goes_with_the_border_to_the_phase_that_ran_then(new_lesson: Callable) -> None:
    state = new_lesson().wait(150).do("next").wait(20).do("burst").wait(30).do("next").do("end").state
    assert [talk.index for talk in state.talks] == [1]
    mended = repaired(state, effective(said(BorderMoved(visit=0, t_ms=180_000))))
    assert [talk.index for talk in mended.talks] == [0]


def test_where_nothing_was_taught_there_is_nothing_to_mend() -> None:
    assert repaired(LessonState(), effective(said(DayFlagged(flagged=True)))) == LessonState()


def test_a_forgotten_press_may_have_led_back_to_the_first_phase(lesson) -> None:
    mended = repaired(lesson.state, effective(said(VisitSplit(visit=2, t_ms=480_000, to=0))))
    assert seconds(mended)[2:] == [(2, 450, 480, "unsaid"), (0, 480, 540, "bell")]


@pytest.mark.parametrize(
    "body",
    [
        BorderMoved(visit=0, t_ms=450_001), BorderMoved(visit=1, t_ms=149_999), BorderMoved(visit=3, t_ms=1),
        BorderMoved(visit=2, t_ms=540_001), VisitSplit(visit=2, t_ms=480_000, to=2),
        VisitSplit(visit=2, t_ms=480_000, to=6), VisitSplit(visit=2, t_ms=450_000, to=4),
        VisitSplit(visit=2, t_ms=540_000, to=4), VisitSplit(visit=3, t_ms=480_000, to=4),
        EndingSaid(phase=3, ending="done"), EndingSaid(phase=9, ending="done"),
    ],
)  # fmt: skip
def test_a_repair_that_can_not_be_changes_nothing(lesson, body) -> None:
    assert repaired(lesson.state, effective(said(body))) == lesson.state


def test_a_split_into_no_phase_at_all_changes_nothing(lesson) -> None:
    assert visit_split(lesson.state, 2, 480_000, -1) == lesson.state


def test_a_voice_after_the_end_that_was_moved_is_in_no_phase(lesson) -> None:
    state = fold(lesson.session.events)
    mended = repaired(
        state, effective(said(BorderMoved(visit=1, t_ms=210_000), BorderMoved(visit=2, t_ms=215_000)))
    )
    assert seconds(mended)[-1] == (2, 210, 215, "bell")
    assert [mark.index for mark in mended.marks] == [1]
    earlier = [BorderMoved(visit=at, t_ms=t_ms) for at, t_ms in enumerate((200_000, 205_000, 206_000))]
    gone = repaired(state, effective(said(*earlier)))
    assert [mark.index for mark in gone.marks] == [-1]


def test_an_ending_said_is_no_repair_and_a_moved_border_is(lesson) -> None:
    ending = effective(said(EndingSaid(phase=1, ending="done"), ReasonGiven(phase=1, reason="talked")))
    assert not ending.is_repaired
    assert repaired(lesson.state, ending).ending_of(1) == "done"
    assert ending.endings == ((1, "done"),)
    assert ending.reasons == ((1, "talked"),)
    assert effective(said(BorderMoved(visit=0, t_ms=1))).is_repaired


@given(DAY, st.integers(0, START_ROOM_MS))
def test_a_late_press_mended_makes_the_lesson_less_late_and_its_first_visit_longer_by_as_much(
    new_lesson: Callable, day: tuple, early: int
) -> None:
    """The times of day of all borders stay; the phases together last longer by what was lost before."""
    state = taught(new_lesson, day)
    if state.visits[0].end_ms is None:
        return
    mended = repaired(state, effective(numbered([StartMoved(early_ms=early)])))
    assert early_ms(state, mended) == early
    assert mended.utc_ms(0) == state.utc_ms(0) - early
    assert mended.late_ms == state.late_ms - early
    first, was = mended.visits[0], state.visits[0]
    assert (first.begin_ms, first.end_ms) == (0, was.end_ms + early)
    for visit, other in zip(mended.visits[1:], state.visits[1:], strict=True):
        assert visit.begin_ms == other.begin_ms + early
    ends = [visit.end_ms for visit in mended.visits if visit.end_ms is not None]
    assert [mended.utc_ms(end) for end in ends] == [
        state.utc_ms(visit.end_ms) for visit in state.visits if visit.end_ms is not None
    ]
    back = repaired(state, effective(numbered([StartMoved(early_ms=early), StartMoved(early_ms=0)])))
    assert back == state


def test_start_pressed_eight_minutes_late_charges_the_first_phase_and_not_the_start(lesson) -> None:
    """Worked by hand: skip count 2:30 becomes 10:30, the groups are as late as before."""
    mended = repaired(lesson.state, effective(said(StartMoved(early_ms=480_000))))
    assert seconds(mended) == [(0, 0, 630, "done"), (1, 630, 930, "unsaid"), (2, 930, 1020, "bell")]
    assert [mark.t_ms for mark in mended.marks] == [mark.t_ms + 480_000 for mark in lesson.state.marks]
    assert mended.ended_ms == 1_020_000
    assert effective(said(StartMoved(early_ms=1))).is_repaired


def test_a_border_before_the_press_stays_where_it_is_until_the_start_is_moved_off_it(lesson) -> None:
    both = said(StartMoved(early_ms=480_000), BorderMoved(visit=0, t_ms=-120_000))
    assert seconds(repaired(lesson.state, effective(both)))[:2] == [
        (0, 0, 360, "done"),
        (1, 360, 930, "unsaid"),
    ]
    # Without the start the border can't be, and with a start after it the start can't.
    alone = effective([*both, Correction(2, 0, TakenBack(target=0))])
    assert repaired(lesson.state, alone) == lesson.state
    later = effective([*both, Correction(2, 0, StartMoved(early_ms=60_000))])
    assert repaired(lesson.state, later) == repaired(lesson.state, effective(both))


def test_the_border_to_the_groups_takes_the_walk_along(new_lesson: Callable) -> None:
    """Gone to the groups at 25:00 by the press, really at 24:00: the walk took 3:00, the visit its 10:00."""
    lesson = new_lesson().wait(600).do("next").wait(900).do("groups").wait(120).do("next").wait(600)
    original = lesson.do("end").state
    assert border_room(original, 1) == (600_000, 1_620_000)
    mended = border_moved(original, 1, 1_440_000)
    assert (mended.visits[1].end_ms, mended.legs[0].begin_ms) == (1_440_000, 1_440_000)
    assert (mended.legs[0].end_ms, mended.legs[1]) == (1_620_000, original.legs[1])
    assert border_moved(original, 1, 1_620_001) == original, "a visit to the table is not cut"
    early = repaired(original, effective([Correction(0, 0, StartMoved(early_ms=60_000))]))
    assert [leg.begin_ms for leg in early.legs] == [1_560_000, 1_680_000], "the clock of the groups stands"


def test_a_walk_of_no_time_before_the_last_visit_does_not_hold_its_end(new_lesson: Callable) -> None:
    original = new_lesson().do("groups").do("back").wait(10).do("end").state
    there = border_moved(original, 1, 0)
    assert [(visit.begin_ms, visit.end_ms) for visit in there.visits] == [(0, 0), (0, 0)]
    assert border_room(there, 1) == (0, 10_000)
    assert border_moved(there, 1, 10_000) == original


def test_a_mini_lesson_that_was_gone_back_to_keeps_the_groups_between(new_lesson: Callable) -> None:
    lesson = new_lesson().wait(600).do("groups").wait(60).do("back").wait(300).do("groups").wait(90)
    original = lesson.do("bell-now").state
    assert [border_room(original, at) for at in (0, 1)] == [(0, 660_000), (660_000, 1_050_000)]
    mended = border_moved(original, 0, 630_000)
    assert (mended.visits[0].end_ms, mended.visits[1].begin_ms) == (630_000, 660_000)
    assert [(leg.begin_ms, leg.end_ms) for leg in mended.legs] == [(630_000, 660_000), (960_000, 1_050_000)]
