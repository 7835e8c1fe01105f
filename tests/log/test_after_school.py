"""What was said after school is kept in order beside the lesson; the trash gives back for 30 days."""

import sqlite3
from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.log import database
from pacer.log.database import UnwritableFolder
from pacer.log.day_records import DayRecords, UnknownRun
from pacer.log.trash import KEPT_DAYS, Trashed
from pacer.run.clock import ManualClock
from pacer.run.corrections import (
    BorderMoved,
    Correction,
    DayFlagged,
    EndingSaid,
    LineWent,
    ReasonGiven,
    TakenBack,
    TomorrowNoted,
    VisitSplit,
    WentTo,
    effective,
)
from pacer.run.fold import fold
from pacer.run.repair import repaired
from pacer.run.session import Session

NINE_MS = 1_790_000_000_000
DAY_MS = 86_400_000
MOVED = BorderMoved(visit=0, t_ms=200_000)
TALKED = ReasonGiven(phase=1, reason="talked")


def taught(records: DayRecords, outline, day: int = 0) -> int:
    """A lesson of two phases; returns its run number."""
    clock, journal = ManualClock(NINE_MS + day * DAY_MS), records.journal()
    session = Session(clock, journal)
    session.start(outline)
    for ms, press in ((150_000, "next done"), (300_000, "next"), (90_000, "bell-now")):
        clock.advance(ms)
        session.do(*press.split())
    assert journal.run_id is not None
    return journal.run_id


@pytest.fixture
def records(tmp_path) -> Iterator[DayRecords]:
    with DayRecords.open(tmp_path) as opened:
        yield opened


@pytest.fixture
def run(records, invented) -> int:
    return taught(records, invented)


def test_where_left_over_lines_went_comes_back_when_the_file_is_opened_again(tmp_path, invented) -> None:
    said = (
        LineWent(about="written", of=1, to="table"),
        LineWent(about="marked", of=-1, to="done"),
        LineWent(about="stuck", of=3, to=""),
        WentTo(phase=1, to="done"),
    )
    with DayRecords.open(tmp_path) as opened:
        run = taught(opened, invented)
        for body in said:
            opened.after().say(run, body, NINE_MS)
    with DayRecords.open(tmp_path) as opened:
        events = opened.after().of(run)
    assert [event.body for event in events] == list(said)
    after = effective(events)
    assert after.lines == ((("written", 1), "table"), (("marked", -1), "done"))
    assert after.went == ((1, "done"),)


def test_nothing_said_is_nothing_kept(records, run) -> None:
    assert records.after().of(run) == []
    assert dict(records.after().all()) == {}


def test_what_is_said_is_numbered_from_0_in_each_lesson_and_comes_back_in_order(
    records, run, invented
) -> None:
    """Whatever the clock said: a clock that was set back changes no order."""
    other = taught(records, invented, 1)
    store = records.after()
    said = [store.say(run, MOVED, 50), store.say(run, TALKED, 40), store.take_back(run, 0, 30)]
    alone = store.say(other, DayFlagged(flagged=True), 60)
    said.append(store.say(run, TomorrowNoted(text="½ first – “why?”"), 20))
    assert [event.number for event in said] == [0, 1, 2, 3]
    assert (said[2], alone) == (
        Correction(2, 30, TakenBack(target=0)),
        Correction(0, 60, DayFlagged(flagged=True)),
    )
    assert store.of(run) == said
    assert dict(store.all()) == {run: said, other: [alone]}


def test_it_is_on_disk_at_once_and_there_when_the_file_is_opened_again(tmp_path, invented) -> None:
    with DayRecords.open(tmp_path) as records:
        run = taught(records, invented)
        said = [records.after().say(run, body, 7) for body in (MOVED, TALKED, TakenBack(target=1))]
        with DayRecords.open(tmp_path) as other:
            assert other.after().of(run) == said
    with DayRecords.open(tmp_path) as again:
        assert again.after().of(run) == said
        assert again.after().say(run, TALKED, 8).number == 3


BODY = st.one_of(
    st.builds(BorderMoved, visit=st.integers(0, 3), t_ms=st.integers(0, 560_000)),
    st.builds(VisitSplit, visit=st.integers(0, 3), t_ms=st.integers(0, 560_000), to=st.integers(0, 5)),
    st.builds(EndingSaid, phase=st.integers(0, 5), ending=st.sampled_from(("done", "moved on"))),
    st.builds(ReasonGiven, phase=st.integers(0, 5), reason=st.sampled_from(("late", "talked", ""))),
    st.builds(TomorrowNoted, text=st.text(max_size=200)),
    st.builds(TakenBack, target=st.integers(0, 9)),
)


@pytest.mark.slow
@given(st.lists(BODY, max_size=10))
def test_the_store_and_the_fold_in_memory_agree_and_the_lessons_events_never_change(
    tmp_path_factory, invented, bodies
) -> None:
    with DayRecords.open(tmp_path_factory.mktemp("said")) as records:
        run = taught(records, invented)
        events = records.events(run)
        said = [Correction(number, number, body) for number, body in enumerate(bodies)]
        for number, body in enumerate(bodies):
            records.after().say(run, body, number)
        kept = records.after().of(run)
        assert kept == said
        original = fold(events)
        assert repaired(original, effective(kept)) == repaired(original, effective(said))
        assert records.events(run) == events


@pytest.mark.parametrize(
    "damage",
    [
        'UPDATE after_event SET body = \'{"kind": "border_m\' WHERE number = 1',
        'UPDATE after_event SET body = \'{"kind": "of a newer program"}\' WHERE number = 1',
        "UPDATE after_event SET body = x'ff00fe' WHERE number = 1",
        "UPDATE after_event SET utc_ms = 'noon' WHERE number = 1",
        "DELETE FROM after_event WHERE number = 1",
    ],
)
def test_a_damaged_one_is_left_out_and_hides_neither_the_others_nor_the_lesson(records, run, damage) -> None:
    store = records.after()
    first = store.say(run, MOVED, 1)
    store.say(run, TALKED, 2)
    third = store.say(run, DayFlagged(flagged=True), 3)
    records.connection.execute(damage)
    assert store.of(run) == [first, third]
    assert records.events(run)
    assert store.say(run, TALKED, 4).number == 3


def test_with_the_lesson_goes_all_that_was_said_about_it(records, run, invented) -> None:
    other = taught(records, invented, 1)
    for each in (run, other):
        records.after().say(each, MOVED, 1)
    records.trash().put([run], 1)
    records.connection.execute("DELETE FROM run WHERE id = ?", (run,))
    assert list(records.after().all()) == [other]
    assert records.trash().all() == []
    assert records.connection.execute("SELECT count(*) FROM after_event").fetchone() == (1,)


def test_nothing_is_said_about_a_lesson_that_is_not_there(records, run) -> None:
    with pytest.raises(database.LogError):
        records.after().say(run + 1, MOVED, 1)
    assert dict(records.after().all()) == {}


def test_where_the_file_was_moved_away_nothing_is_said_and_it_says_so(records, run) -> None:
    records.path.rename(records.path.with_name("moved"))
    for write in (lambda: records.after().say(run, MOVED, 1), lambda: records.trash().put([run], 1)):
        with pytest.raises(UnwritableFolder, match="moved or deleted"):
            write()
    records.path.with_name("moved").rename(records.path)
    assert records.after().of(run) == []


def test_the_newest_thing_for_tomorrow_is_of_the_lesson_it_was_said_about_last(
    records, run, invented
) -> None:
    other, store = taught(records, invented, 1), records.after()
    assert store.newest_tomorrow_note() == (0, "")
    store.say(other, TomorrowNoted(text="begin with the line"), 10)
    store.say(run, TomorrowNoted(text="one example"), 20)
    store.say(run, TALKED, 30)
    assert store.newest_tomorrow_note() == (run, "one example")
    store.say(run, TomorrowNoted(text=""), 40)
    assert store.newest_tomorrow_note() == (0, "")
    store.say(other, TomorrowNoted(text="two examples"), 50)
    records.trash().put([other], 60)
    assert store.newest_tomorrow_note() == (0, "")


# --- the trash


def test_a_lesson_in_the_trash_is_in_no_list_and_comes_back_whole(records, run, invented) -> None:
    other = taught(records, invented, 1)
    said, events = records.after().say(run, MOVED, 1), records.events(run)
    records.trash().put([run], NINE_MS)
    assert [row.id for row in records.runs()] == [other]
    assert [row.id for row in records.trashed_runs()] == [run]
    assert records.trash().all() == [Trashed(run, NINE_MS)]
    records.trash().take_out(run)
    assert [row.id for row in records.runs()] == [other, run]
    assert (records.trash().all(), records.trashed_runs()) == ([], [])
    assert (records.events(run), records.after().of(run)) == (events, [said])


def test_it_stays_30_days_to_the_millisecond_and_then_is_gone(records, run, invented) -> None:
    other = taught(records, invented, 1)
    trash = records.trash()
    trash.put([run], NINE_MS)
    trash.put([other], NINE_MS + DAY_MS)
    assert [each.days_left(NINE_MS + DAY_MS) for each in trash.all()] == [30, 29]
    gone_ms = NINE_MS + KEPT_DAYS * DAY_MS
    assert trash.empty(gone_ms - 1) == []
    assert records.events(run)
    assert trash.empty(gone_ms) == [run]
    assert [row.id for row in records.trashed_runs()] == [other]
    with pytest.raises(UnknownRun):
        records.events(run)
    assert trash.empty(gone_ms) == []


def test_put_in_again_it_stays_no_longer_and_what_is_not_there_is_not_put(records, run) -> None:
    trash = records.trash()
    trash.put([run, run, run + 7], NINE_MS)
    trash.put([run], NINE_MS + 9 * DAY_MS)
    assert trash.all() == [Trashed(run, NINE_MS)]
    trash.take_out(run)
    trash.take_out(run)
    trash.put([run], NINE_MS + 9 * DAY_MS)
    assert trash.all() == [Trashed(run, NINE_MS + 9 * DAY_MS)]


def test_a_clock_that_was_set_back_never_empties_the_trash_sooner(records, run) -> None:
    trash = records.trash()
    trash.put([run], NINE_MS)
    (only,) = trash.all()
    for now_ms in (NINE_MS - 400 * DAY_MS, NINE_MS - 1, 0):
        assert only.days_left(now_ms) == KEPT_DAYS
        assert trash.empty(now_ms) == []
    assert trash.empty(NINE_MS + KEPT_DAYS * DAY_MS) == [run]


def test_two_open_files_number_what_they_say_one_after_the_other(tmp_path, records, run) -> None:
    with DayRecords.open(tmp_path) as other:
        numbers = [store.say(run, TALKED, 1).number for store in (records.after(), other.after()) * 3]
    assert numbers == [0, 1, 2, 3, 4, 5]
    connection = sqlite3.connect(records.path)
    assert connection.execute("SELECT count(*) FROM after_event").fetchone() == (6,)
    connection.close()
