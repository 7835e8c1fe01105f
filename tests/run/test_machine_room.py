"""Whatever is pressed of what a real room adds, in any order and with any undo, the lesson stays in order."""

import itertools

from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from pacer.frames.desk import desk_frame
from pacer.frames.record import record
from pacer.frames.wall import wall_frame
from pacer.pace.reading import Reading
from pacer.plan.file.reader import read_text
from pacer.plan.outline import Outline
from pacer.run import events as ev
from pacer.run.clock import ManualClock
from pacer.run.events import Event
from pacer.run.fold import fold
from pacer.run.refusal import Refusal
from pacer.run.session import MemoryJournal, Session

# Titles and texts hold what a format string would stumble over.
PLAN = """
format = 1
title = "Thirds {0}"
[block]
minutes = 75
[[phase]]
title = "Look {"
budget = "2"
attach = "line.pdf"
page = 2
problem = "1/3 + {x} = ?"
[[phase.burst]]
length = "0:30"
prompt = "A third is {} ."
[[phase]]
title = "Model"
budget = "3"
problem = "I see ____ ."
[[phase]]
title = "Practice"
budget = "2"
attach = "line.png"
wall = "strip"
[[phase]]
title = "Groups"
kind = "group"
budget = "20"
attach = "sheet.pdf"
"""
TURNS = ("blank", "pause", "go-on", "fill", "page-on", "page-back", "strip", "burst", "eyes-back", "settled")
MOVES = ("next", "back", "add", "take", "hide", "show", "wall", "voice")


class RoomMachine(RuleBasedStateMachine):
    """A lesson with a picture, two PDFs and problems, and texts with braces in them."""

    @initialize()
    def begin(self) -> None:
        outline = read_text(PLAN, "invented.toml")
        assert isinstance(outline, Outline), outline
        self.clock, self.journal = ManualClock(1_773_046_800_000), MemoryJournal()
        self.session = Session(self.clock, self.journal)
        self.session.start(outline)

    @rule(press=st.sampled_from(TURNS))
    def turn(self, press: str) -> None:
        before = self.session.state
        answer = self.session.do(press)
        after = self.session.state
        if isinstance(answer, Refusal):
            assert after == before
        elif press == "blank":
            assert after.is_blank is not before.is_blank
            assert after.is_paused or not after.is_blank

    @rule(press=st.sampled_from(MOVES))
    def move(self, press: str) -> None:
        was, was_blank = self.session.state.index, self.session.state.is_blank
        self.session.do(press)
        if self.session.state.index != was:
            # A slip of the clicker in a drill brings nothing back; the end of the lesson does.
            assert self.session.state.is_blank is (was_blank and self.session.state.is_running)
            assert self.session.state.fill is None
            assert self.session.state.page is None

    @rule(ms=st.integers(0, 2900))
    def wait(self, ms: int) -> None:
        self.clock.advance(ms)
        self.session.tick()

    @rule(ms=st.integers(3001, 400_000))
    def sleep(self, ms: int) -> None:
        self.clock.advance(ms)
        self.session.tick()

    @rule(times=st.integers(1, 4))
    def undo(self, times: int) -> None:
        for _time in range(times):
            target = self.session.last_undoable()
            answer = self.session.do("undo")
            assert isinstance(answer, Refusal) is (target is None)
            if not isinstance(answer, Refusal):
                assert answer.event.body == ev.Undone(target=target.seq)

    @precondition(lambda self: self.session.state.is_running)
    @rule()
    def press_what_must_be_refused(self) -> None:
        for press, argument in (("fill", "wall"), ("strip", "middle"), ("wall", "floor"), ("jump", "{0}")):
            assert isinstance(self.session.do(press, argument), Refusal)

    @rule(away_ms=st.integers(0, 600_000))
    def crash_and_go_on(self, away_ms: int) -> None:
        """Also with a blank Wall: it is blank again, and the phase clock still stands."""
        before = self.session.state
        kept = [Event.model_validate_json(event.model_dump_json()) for event in self.journal.events]
        self.clock = ManualClock(kept[-1].utc_ms + away_ms)
        self.session = Session(self.clock, self.journal, kept)
        self.session.tick()
        after = self.session.state
        assert (after.is_blank, after.is_paused, after.filled_with, after.shown_page, after.edge) == (
            before.is_blank, before.is_paused, before.filled_with, before.shown_page, before.edge
        )  # fmt: skip

    @invariant()
    def the_live_state_is_the_fold_of_what_is_written(self) -> None:
        assert fold(self.session.events) == self.session.state
        assert self.journal.events == list(self.session.events)

    @invariant()
    def spent_time_adds_up_to_lesson_time_less_what_stood_still(self) -> None:
        state, now = self.session.state, self.session.now_ms()
        end = now if state.ended_ms is None else state.ended_ms
        spent = [state.spent_ms(index, end) for index in range(len(state.plan.phases))]
        assert min(spent) >= 0
        spans = [(stop.begin_ms, end if stop.end_ms is None else stop.end_ms) for stop in state.stopped]
        edges = sorted({ms for span in spans for ms in span})
        still = sum(
            late - early
            for early, late in itertools.pairwise(edges)
            if any(begin <= early and late <= over for begin, over in spans)
        )
        assert sum(spent) == end - still

    @invariant()
    def what_is_shown_can_be_drawn_and_a_blank_wall_shows_nothing(self) -> None:
        state, now = self.session.state, self.session.now_ms()
        frame = wall_frame(Reading(state, now))
        if state.is_blank:
            assert (frame.face, frame.problem, frame.picture) == ("blank", "", None)
        desk_frame(Reading(state, now))
        assert len(record(state, now).phases) == 4


RoomMachine.TestCase.settings = settings(stateful_step_count=40)
test_any_presses_in_a_real_room = RoomMachine.TestCase
