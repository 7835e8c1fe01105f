"""Anything that may be said of a lesson after school."""

from typing import get_args

from hypothesis import strategies as st

from pacer.plan.kinds import Fate
from pacer.run.corrections import (
    START_ROOM_MS,
    BorderMoved,
    Correction,
    DayFlagged,
    EndingSaid,
    LineWent,
    Reason,
    ReasonGiven,
    StartMoved,
    TakenBack,
    TomorrowNoted,
    TomorrowNoteDone,
    VisitSplit,
    WentTo,
)
from pacer.run.events import Ending
from pacer.run.table_list import LineKind

PHASES = 6
TIMES = st.one_of(st.integers(0, 600_000), st.integers(0, 4_000_000))
VISITS = st.integers(0, 9)
BODY = st.one_of(
    st.builds(BorderMoved, visit=VISITS, t_ms=TIMES),
    st.builds(VisitSplit, visit=VISITS, t_ms=TIMES, to=st.integers(0, PHASES + 1)),
    st.builds(StartMoved, early_ms=st.one_of(st.integers(0, 900_000), st.just(START_ROOM_MS))),
    st.builds(WentTo, phase=st.integers(0, PHASES + 1), to=st.sampled_from((*get_args(Fate), "done", ""))),
    st.builds(
        LineWent,
        about=st.sampled_from(get_args(LineKind)),
        of=st.integers(-1, 9),
        to=st.sampled_from((*get_args(Fate), "done", "")),
    ),
    st.builds(TomorrowNoteDone, done=st.booleans()),
    st.builds(EndingSaid, phase=st.integers(0, PHASES + 1), ending=st.sampled_from(get_args(Ending))),
    st.builds(ReasonGiven, phase=st.integers(0, PHASES + 1), reason=st.sampled_from((*get_args(Reason), ""))),
    st.builds(DayFlagged, flagged=st.booleans()),
    st.builds(TomorrowNoted, text=st.text(max_size=200)),
    st.builds(TakenBack, target=st.integers(0, 14)),
)


def numbered(bodies: list) -> list[Correction]:
    return [Correction(number, 1_790_000_000_000 + number, body) for number, body in enumerate(bodies)]


def said(*bodies) -> list[Correction]:
    return numbered(list(bodies))
