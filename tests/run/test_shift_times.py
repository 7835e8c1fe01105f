"""A lesson whose start is mended: every time it holds goes along, and no length of time does."""

from collections.abc import Iterator
from dataclasses import fields, is_dataclass

from pydantic import BaseModel

from pacer.run.events import Forecasted, ScreensChanged
from pacer.run.legs import BellChange, GroupOut, Leg, LegChange
from pacer.run.shift_times import shift_times
from pacer.run.state import LessonState
from pacer.run.table_list import LineKey
from pacer.run.timeline import (
    AddedTime,
    GivenCue,
    HalfTime,
    PartnerBurst,
    ScreensChange,
    Settle,
    Span,
    Stall,
    TimedMark,
    TimeGap,
    Visit,
)

BY_MS = 90_000
LENGTHS = {"clock_set_ms", "took_ms", "gap_ms"}
OF_THE_DAY = {"planned_utc_ms"}  # a time of the room's clock, which no mended start moves


def full_state(outline) -> LessonState:
    """A state that has something of everything."""
    return LessonState(
        outline=outline,
        started_utc_ms=1_000_000,
        planned_utc_ms=900_000,
        utc_offset_s=3600,
        mode="rehearsal",
        shape="Regular",
        visits=(Visit(0, 0, 60_000, "done"), Visit(1, 60_000)),
        stopped=(Span(10_000, 20_000), Span(70_000)),
        added=(AddedTime(30_000, 0, 60),),
        talks=(PartnerBurst(0, Span(40_000, 45_000), 30, ""),),
        marks=(TimedMark("voice", 0, 50_000),),
        face="strip",
        hidden=True,
        fill="problem",
        page=2,
        edge="top",
        blank_from=1,
        settling_ms=45_000,
        settles=(Settle(0, 3_000),),
        halves=(HalfTime(0, 2_000, "talk"),),
        pressed_ms=84_000,
        screens=(ScreensChange(55_000, ScreensChanged(screens=("one",))),),
        stalls=(Stall(56_000, 600),),
        gaps=(TimeGap(57_000, 4_000, "slept"),),
        clock_set_ms=5_000,
        forecasts=(Forecasted(index=1, low=0.2, high=0.4, end_ms=80_000, lessons=8),),
        forecasts_before=1,
        cues=(GivenCue(58_000, "talk"),),
        cues_before=1,
        ended_ms=90_000,
        ended_by_hand=True,
        bell_offset_s=4,
        legs=(Leg("move", 0, 75_000, 80_000), Leg("visit", 0, 80_000)),
        leg_changes=(LegChange(82_000, 1, 60),),
        out=(GroupOut(83_000, 1, "missed"),),
        bell_changes=(BellChange(84_000, -300),),
        ticked=(LineKey("written", 0),),
    )


def times(value: object, path: str = "") -> Iterator[tuple[str, int]]:
    """Every number of milliseconds in a value, with the way to it; the outline holds none."""
    if isinstance(value, BaseModel):
        named = [(name, getattr(value, name)) for name in type(value).model_fields]
    elif is_dataclass(value):
        named = [
            (field.name, getattr(value, field.name)) for field in fields(value) if field.name != "outline"
        ]
    elif hasattr(value, "_asdict"):
        named = list(value._asdict().items())
    elif isinstance(value, tuple):
        named = [(str(at), each) for at, each in enumerate(value)]
    else:
        named = []
    for name, held in named:
        here = f"{path}.{name}"
        if name.endswith("_ms") and held is not None:
            yield here, held
        else:
            yield from times(held, here)


def test_the_state_here_has_something_of_everything(invented) -> None:
    """A new field has to be filled above: then the next test asks whether its times go along."""
    state, empty = full_state(invented), LessonState()
    assert [field.name for field in fields(state)
            if getattr(state, field.name) == getattr(empty, field.name)] == []  # fmt: skip


def test_every_time_goes_along_and_lengths_and_the_room_s_clock_stay(invented) -> None:
    state = full_state(invented)
    before, after = dict(times(state)), dict(times(shift_times(state, BY_MS)))
    moved = {path: after[path] - at for path, at in before.items()}
    stay = {path for path in before if path.rpartition(".")[2] in LENGTHS | OF_THE_DAY}
    stay |= {path for path in before if path.startswith(".stalls") and path.endswith("late_ms")}
    assert moved.pop(".started_utc_ms") == -BY_MS  # the same clock time for all that happened
    assert {path for path, by in moved.items() if by != BY_MS} == stay
    assert {moved[path] for path in stay} == {0}


def test_a_cut_that_was_asked_for_goes_along(invented) -> None:
    state = LessonState(outline=invented, visits=(Visit(0, 0, cut_anew=(30_000,)),))
    assert shift_times(state, BY_MS).visits[0].cut_anew == (30_000 + BY_MS,)
