"""A lesson that was cut off is offered, gone on with or closed; without records lessons run all the same."""

import pytest

from pacer.editing.kept_lessons import KeptLessons, UnkeptJournal
from pacer.run.clock import ManualClock
from pacer.run.session import Session
from pacer.settings.folders import Folders

NINE_MS = 1_773_046_800_000  # 9 March 2026, 9:00 UTC


@pytest.fixture
def clock() -> ManualClock:
    return ManualClock(NINE_MS)


@pytest.fixture
def told() -> list[str]:
    return []


@pytest.fixture
def open_kept(tmp_path, clock, told):
    """Opens the day records as a start of the program does; all of them are closed at the end."""
    opened = []

    def at_a_start(folder=tmp_path / "data") -> KeptLessons:
        kept = KeptLessons(Folders(folder, tmp_path / "outlines"), clock, ("live",), told.append)
        opened.append(kept)
        return kept

    yield at_a_start
    for kept in opened:
        kept.close()


def cut_off(kept: KeptLessons, outline, clock: ManualClock) -> None:
    """Begin a lesson, press Next after two minutes and never end it."""
    session = Session(clock, kept.journal())
    session.start(outline)
    clock.advance(120_000)
    session.do("next")


def test_nothing_is_offered_where_no_lesson_was_cut_off(open_kept, invented, clock):
    kept = open_kept()
    assert not kept.has_cut_off()
    assert kept.cut_off_words() == ""
    assert kept.go_on() is None
    kept.close_cut_off()
    assert kept.records.runs() == []


def test_a_lesson_that_was_cut_off_is_offered_with_its_title_and_how_long_ago(open_kept, invented, clock):
    cut_off(open_kept(), invented, clock)
    clock.advance(240_000)
    words = open_kept().cut_off_words()
    assert f"“{invented.title}” began at " in words
    assert "was cut off 4 min ago" in words


def test_going_on_counts_the_time_away(open_kept, invented, clock):
    cut_off(open_kept(), invented, clock)
    clock.advance(240_000)
    again = open_kept()
    went_on = again.go_on()
    assert went_on is not None
    session, _foresee = went_on
    assert session.tick() == 360_000
    assert session.state.index == 1
    session.do("end")
    assert not again.has_cut_off()


def test_closing_claims_nothing_after_the_last_thing_known(open_kept, invented, clock):
    cut_off(open_kept(), invented, clock)
    clock.advance(3_600_000)
    kept = open_kept()
    kept.close_cut_off()
    assert not kept.has_cut_off()
    (run,) = kept.records.runs()
    assert kept.records.events(run.id)[-1].t_ms == 120_000


def test_without_records_every_event_waits_and_the_reason_is_told(open_kept, invented, clock, tmp_path):
    (tmp_path / "data").write_text("a file in the way")
    kept = open_kept()
    assert kept.records is None
    assert kept.notice.endswith("Lessons run, but are not recorded.")
    journal = kept.journal()
    assert isinstance(journal, UnkeptJournal)
    session = Session(clock, journal)
    session.start(invented)
    assert session.unsaved == 1
    assert session.trouble == kept.notice
    assert (kept.past(), kept.foresee(), kept.cut_off_words()) == (None, None, "")


def test_records_that_are_closed_are_asked_no_more(open_kept, invented, clock):
    kept = open_kept()
    cut_off(kept, invented, clock)
    kept.close()
    assert kept.now() is None
    assert not kept.has_cut_off()


def test_records_that_cannot_be_read_any_more_are_told(open_kept, invented, clock, told):
    kept = open_kept()
    cut_off(kept, invented, clock)
    kept.records.connection.execute("DROP TABLE event")
    assert kept.cut_off_words() == ""
    assert len(told) == 1
    assert kept.foresee() is None
