"""A baseline lesson's Desk: time left, phase, next and clock; nothing warns, advises or foretells."""

from dataclasses import fields

import pytest

from pacer.forecaster import forecaster
from pacer.frames.desk import DeskFrame, desk_frame
from pacer.frames.wall import wall_frame
from pacer.log.day_records import DayRecords
from pacer.pace.reading import Reading
from pacer.plan.outline import Outline
from pacer.review.learning.past_endings import history
from pacer.run.clock import ManualClock
from pacer.run.events import Forecasted
from pacer.run.session import Done, MemoryJournal, Session
from pacer.run.state import LessonState
from pacer.verbs.headless_demo import load_demo_outlines
from pacer.verbs.invented_days import write_invented_days
from pacer.watch import keep_up

NINE_UTC_MS = 1_773_046_800_000  # Monday, 9 March 2026, 9:00


class Twins:
    """The same lesson twice, live and as a baseline, looked at once a second."""

    def __init__(self, outline: Outline, late_s: int = 0) -> None:
        self.clock = ManualClock(NINE_UTC_MS)
        self.live, self.base = (Session(self.clock, MemoryJournal()) for _ in range(2))
        for session, mode in ((self.live, "live"), (self.base, "baseline")):
            begun = session.start(outline, NINE_UTC_MS - late_s * 1000, mode=mode)
            assert isinstance(begun, Done)

    def wait(self, seconds: int) -> "Twins":
        for _second in range(seconds):
            self.clock.advance(1000)
            for session in (self.live, self.base):
                keep_up(session)
        return self

    def do(self, command: str, argument: str = "") -> "Twins":
        for session in (self.live, self.base):
            assert isinstance(session.do(command, argument), Done)
        return self

    @property
    def frames(self) -> tuple[DeskFrame, DeskFrame]:
        live, base = (
            desk_frame(Reading(session.state, session.now_ms())) for session in (self.live, self.base)
        )
        return live, base


@pytest.fixture
def twins(invented: Outline) -> Twins:
    return Twins(invented)


@pytest.mark.parametrize("wait", [0, 100, 120, 150, 190, 700])
def test_the_same_time_left_phase_next_and_clock_but_never_another_stage(twins: Twins, wait: int) -> None:
    live, base = twins.wait(wait).frames
    for shown in ("number", "left_s", "phase_id", "phase_title", "next_id", "next_title", "clock", "notes"):
        assert getattr(base, shown) == getattr(live, shown)
    assert (base.stage, base.word, base.level) == ("steady", "STEADY", 0)
    assert base.near == ("Baseline: no warnings",)


def test_what_warns_advises_or_foretells_is_left_at_its_empty_value(invented: Outline) -> None:
    """Six minutes late a re-cut is offered, the price is shown, and every phase is short."""
    twins = Twins(invented, late_s=360).wait(200)
    live, base = twins.frames
    silent = ("move_by", "move_by_reason", "headline", "under", "outlook", "notice", "ahead")
    empty = {field.name: field.default for field in fields(DeskFrame)}
    assert all(getattr(live, name) for name in silent)
    assert [getattr(base, name) for name in silent] == [empty[name] for name in silent]
    assert all(row.actual_s == 0 and not row.running for row in base.tape)
    assert [row.budget_s for row in base.tape] == [120, 180, 420, 180, 480, 120]


def test_pause_and_end_are_shown_as_always_and_the_wall_is_the_same(twins: Twins) -> None:
    live, base = twins.wait(30).do("pause").wait(20).frames
    assert (base.stage, base.word, base.number) == ("paused", "PAUSED", live.number)
    walls = [wall_frame(Reading(session.state, session.now_ms())) for session in (twins.live, twins.base)]
    assert walls[0] == walls[1]
    live, base = twins.do("go-on").do("end", "done").frames
    assert base == live
    assert base.word == "ENDED"


def test_what_was_pressed_is_counted_and_how_a_burst_is_ended_is_said(twins: Twins) -> None:
    twins.do("jump", "model").wait(65).do("example").do("tally", "3").do("table-mark")
    live, base = twins.frames
    pressed = ("Examples: 1 of 2", "Stuck on problem: 3 (1)", "1 mark for the table")
    assert base.near == ("Baseline: no warnings", *pressed)
    assert any(line.startswith("Your talk") for line in live.near)
    live, base = twins.do("burst").wait(5).frames
    assert base.notice == live.notice == "Partners: 0:25. E: eyes back"


@pytest.mark.slow
def test_no_cue_is_given_and_no_forecast_made_but_every_press_is_logged(
    invented: Outline, tmp_path: pytest.TempPathFactory
) -> None:
    with DayRecords.open(tmp_path) as records:
        write_invented_days(records, load_demo_outlines(), 30, until_utc_ms=NINE_UTC_MS)
        foresee = forecaster(history(records, ("demo",)).endings)
    made = {}
    outline = load_demo_outlines()[0]
    for mode in ("live", "baseline"):
        clock = ManualClock(NINE_UTC_MS)
        session = Session(clock, MemoryJournal())
        assert isinstance(session.start(outline, mode=mode), Done)
        for _second in range(900):
            clock.advance(1000)
            keep_up(session, foresee=foresee)
        session.do("next", "done")
        made[mode] = session.state, [event.body.kind for event in session.events]
        shown = desk_frame(Reading(session.state, session.now_ms(), foresee))
        assert any("such days" in line for line in shown.near) is (mode == "live")
    live, kinds = made["live"]
    assert isinstance(live, LessonState)
    assert isinstance(live.forecasts[0], Forecasted)
    assert "cued" in kinds
    base, kinds = made["baseline"]
    assert (base.forecasts, base.cues, kinds) == ((), (), ["started", "moved"])
