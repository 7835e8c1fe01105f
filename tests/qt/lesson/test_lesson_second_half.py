"""The running lesson after the mini lesson: to the second, undone, cut off and resumed, ended, rehearsed."""

import pytest

from pacer.log.day_records import DayRecords
from pacer.run.clock import ManualClock
from pacer.run.session import Session
from tests.qt.lesson.half_factories import LEG_KINDS, Bare, go_to
from tests.qt.window_factories import click, room_time_ms, wall_words


@pytest.fixture
def new_bare(qapp):
    """Begins a lesson without windows."""
    made = []

    def begin(outline, **options) -> Bare:
        made.append(Bare(outline, **options))
        return made[-1]

    yield begin
    for bare in made:
        bare.shut()


@pytest.mark.parametrize("kind", LEG_KINDS)
def test_the_next_look_comes_when_the_second_of_the_leg_changes_not_that_of_the_clock(
    new_bare, invented, kind
):
    """Share and clean-up last until the bell, so their seconds are those of the lesson, begun 620 ms ago."""
    made = go_to(new_bare(invented), kind)
    made.clock.advance(370)
    made.lesson.press("undo")
    made.lesson.press("next") if made.session.state.leg else made.lesson.press("groups")
    made.clock.advance(250)
    assert made.lesson._until_boundary() == (380 if kind in ("share", "clean_up") else 750)


@pytest.mark.parametrize("away_s", [5, 60])
def test_undoing_the_move_brings_the_phase_back_with_its_clock_as_if_it_had_never_been_left(stage, away_s):
    stage.wait(30)
    left = stage.desk.frame.left_s
    stage.tap("G")
    stage.wait(away_s)
    assert stage.desk.frame.part == "half"
    stage.tap("Ctrl+Z")
    assert stage.desk.frame.part == "mini"
    assert stage.desk.frame.left_s == left - away_s - 2
    assert stage.session.state.legs == ()


@pytest.mark.slow
@pytest.mark.parametrize("kind", LEG_KINDS)
def test_a_lesson_that_was_cut_off_in_a_leg_goes_on_in_it_with_the_time_away_counted(
    new_program, invented, room_clock, tmp_path, kind
):
    with DayRecords.open(tmp_path / "data") as records:
        clock = ManualClock(room_time_ms("9:00"))
        session = Session(clock, records.journal())
        session.start(invented)
        clock.advance(60_000)
        session.do("groups")
        while session.state.leg.kind != kind:
            clock.advance(60_000)
            session.do("next")
        gone_ms = session.now_ms() + 90_000
    room_clock.advance(gone_ms)
    running = new_program()
    click(running.today.resume_button)
    state = running.program.room.lesson.session.state
    assert state.leg.kind == kind
    assert state.leg_spent_ms(len(state.legs) - 1, running.program.room.lesson.session.now_ms()) == 90_000
    assert running.program.room.desk.frame.part == "half"
    running.tap("Home")
    assert not running.program.room.lesson.is_running


def test_after_the_bell_the_desk_says_what_it_came_to_and_how_to_go_on_and_enter_closes(stage):
    go_to(stage, "share")
    stage.tap("Home")
    frame = stage.desk.frame
    assert (frame.word, frame.part) == ("ENDED", "over")
    assert frame.under.startswith("Owed most: ")
    assert stage.desk.loud == "Enter closes. Page Up takes it back."
    stage.tap("PageUp")
    assert stage.session.state.leg.kind == "share"
    assert stage.desk.loud == ""
    stage.tap("Return")
    assert stage.room.lesson is stage.lesson, "Enter closes nothing while the lesson runs"
    stage.tap("Home").tap("Return")
    assert stage.room.lesson is None


@pytest.mark.parametrize("kind", LEG_KINDS)
def test_escape_and_enter_end_nothing_in_any_leg(stage, kind):
    go_to(stage, kind)
    before = len(stage.session.events)
    stage.tap("Escape").tap("Return")
    assert len(stage.session.events) == before
    assert stage.session.state.is_running


def test_a_refusal_in_the_second_half_is_told_on_the_desk_and_never_on_the_wall(stage):
    go_to(stage, "visit")
    stage.tap("P")
    assert stage.desk.answered == "Partner talk is for the mini lesson."
    assert "Partner talk" not in wall_words(*stage.wall_frames)


def test_a_screen_reader_is_told_when_another_group_is_at_the_table(stage):
    go_to(stage, "visit")
    first = stage.desk.accessibleDescription()
    go_next = stage.tap("PageDown").tap("PageDown")
    assert go_next.session.state.leg.kind == "visit"
    assert stage.desk.frame.phase_title in stage.desk.accessibleDescription() != first


def test_the_table_list_is_ticked_line_by_line_and_a_tick_is_undone(stage):
    stage.tap("T").tap("3").tap("3")
    go_to(stage, "visit")
    stage.lesson.refresh()
    assert stage.desk.frame.checks == (("Skip count: 1 mark", False), ("Problem 3: 2 stuck", False))
    stage.tap("L")
    assert [done for _line, done in stage.desk.frame.checks] == [True, False]
    stage.tap("L").tap("L")
    assert stage.refusals == ["All of the table list is done."]
    stage.tap("PageUp")
    assert [done for _line, done in stage.desk.frame.checks] == [True, False]


def test_a_rehearsal_runs_the_second_half_without_a_wall(new_bare, invented):
    made = go_to(new_bare(invented, mode="rehearsal"), "visit")
    made.lesson.refresh()
    assert "Rehearsal: no Wall, kept apart" in made.lesson._desk.near
    assert made.lesson._desk.part == "half"


@pytest.mark.slow
@pytest.mark.parametrize(("mode", "given"), [("live", ["borrowing", "quiet"]), ("baseline", [])])
def test_a_visit_that_is_over_and_a_long_silence_are_cued_once_and_never_in_a_baseline(
    new_bare, invented, mode, given
):
    made = new_bare(invented, mode=mode)
    made.clock.advance(20 * 60_000)
    go_to(made, "visit")
    cues_before = len(made.session.state.cues)
    for _second in range(30 * 60):
        made.clock.advance(1000)
        made.lesson.refresh()
    assert [cue.cue for cue in made.session.state.cues[cues_before:]] == given
