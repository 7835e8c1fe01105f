"""Days: worked out once from the events, kept beside them, and worked out again when anything was added."""

import sqlite3
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.log.database import FILE_NAME
from pacer.log.day_records import DayRecords
from pacer.review import day_book
from pacer.review.choice import LessonChoice
from pacer.review.day_book import KeptBook, read_days
from pacer.review.days import Day, day_from_text, day_to_text
from pacer.review.learning.past_endings import history
from pacer.run.clock import ManualClock
from pacer.run.corrections import BorderMoved, DayFlagged, EndingSaid, TakenBack, TomorrowNoted
from pacer.run.session import Session
from tests.review import by_hand
from tests.terms import TERM_DAYS

NINE_UTC_MS = 1_773_046_800_000  # 9 March 2026, 9:00 UTC
DAY_MS = 86_400_000
DEMO = LessonChoice(modes=("demo",))


def teach(records: DayRecords, outline, day: int = 0, mode="live", late_s: int = 0, shape: str = "") -> int:
    """Skip count 2:10 and done, review 3:00 and moved on, model 1:00 unsaid, then the end by hand."""
    clock = ManualClock(NINE_UTC_MS + day * DAY_MS + late_s * 1000)
    journal = records.journal()
    session = Session(clock, journal)
    session.start(outline, NINE_UTC_MS + day * DAY_MS, mode=mode, shape=shape)
    for seconds, command, argument in (
        (130, "next", "done"), (180, "next", "moved-on"), (60, "next", ""), (30, "end", "interrupted"),
    ):  # fmt: skip
        clock.advance(seconds * 1000)
        session.do(command, argument)
    assert journal.run_id is not None
    return journal.run_id


@pytest.fixture
def worked_out(monkeypatch) -> list[int]:
    """The run numbers that were worked out from events, as that happens."""
    seen: list[int] = []
    plain = day_book.work_out

    def counted(run, events, said):
        seen.append(run)
        return plain(run, events, said)

    monkeypatch.setattr(day_book, "work_out", counted)
    return seen


def test_a_day_says_what_its_presses_say(records, invented):
    teach(records, invented, late_s=90, shape="early release")
    (day,) = read_days(records).days
    assert (day.date, day.planned_s, day.late_s, day.shape, day.mode) == (
        "2026-03-09", 9 * 3600, 90, "early release", "live",
    )  # fmt: skip
    skip, review, model, *rest = day.phases
    assert (skip.actual_s, skip.begin_s, skip.end_s, skip.ending) == (130, 0, 130, "done")
    assert (review.actual_s, review.begin_s, review.ending) == (180, 130, "moved on")
    assert (model.actual_s, model.ending, model.stage) == (60, "unsaid", "steady")
    assert rest[0].ending == "interrupted"
    assert [(phase.reached, phase.ending) for phase in rest[1:]] == [(False, "skipped")] * 2
    assert day.review_s == 310
    assert day.length_s == 400


def test_what_was_worked_out_is_read_back_equal_and_not_worked_out_again(records, invented, worked_out):
    runs = [teach(records, invented, day) for day in range(3)]
    first = read_days(records)
    assert sorted(worked_out) == runs
    assert read_days(records) == first
    assert sorted(worked_out) == runs


@pytest.mark.parametrize(
    "body", [TomorrowNoted(text="less review"), DayFlagged(flagged=True), EndingSaid(phase=2, ending="done")]
)
def test_what_is_said_after_school_makes_only_that_day_anew(records, invented, worked_out, body):
    runs = [teach(records, invented, day) for day in range(3)]
    before = read_days(records).days
    worked_out.clear()
    records.after().say(runs[1], body, NINE_UTC_MS)
    after = read_days(records).days
    assert worked_out == [runs[1]]
    assert (after[0], after[2]) == (before[0], before[2])
    assert after[1] != before[1]
    records.after().say(runs[1], TakenBack(target=0), NINE_UTC_MS)
    assert read_days(records).days == before


@pytest.mark.parametrize("damage", ["not json", "[1, 2]", "{}", '["a"]', ""])
def test_a_kept_day_that_was_damaged_is_worked_out_again(tmp_path, records, invented, damage):
    teach(records, invented)
    whole = read_days(records)
    with sqlite3.connect(tmp_path / FILE_NAME) as connection:
        connection.execute("UPDATE day_worked_out SET body = ?", (damage,))
    connection.close()
    assert read_days(records) == whole
    assert read_days(records) == whole


def test_a_lesson_that_never_ended_and_one_in_the_trash_are_no_days(records, invented):
    kept, gone = teach(records, invented, 0), teach(records, invented, 1)
    Session(ManualClock(NINE_UTC_MS + 2 * DAY_MS), records.journal()).start(invented)
    records.trash().put([gone], NINE_UTC_MS)
    book = read_days(records)
    assert [day.run for day in book.days] == [kept]
    assert len(book.unended) == 1
    records.trash().take_out(gone)
    assert [day.run for day in read_days(records).days] == [kept, gone]


def test_a_damaged_lesson_is_counted_and_hides_no_other(tmp_path, records, invented):
    runs = [teach(records, invented, day) for day in range(3)]
    with sqlite3.connect(tmp_path / FILE_NAME) as connection:
        connection.execute("DELETE FROM event WHERE run_id = ? AND seq = 1", (runs[1],))
    connection.close()
    book = read_days(records)
    assert [day.run for day in book.days] == [runs[0], runs[2]]
    assert book.damaged == 1


def test_a_lesson_whose_last_press_went_to_a_number_that_no_lesson_has_is_told(tmp_path, records, invented):
    runs = [teach(records, invented, day) for day in range(3)]
    with sqlite3.connect(tmp_path / FILE_NAME) as connection:
        last = "SELECT max(seq) FROM event WHERE run_id = ?1"
        connection.execute(f"UPDATE event SET run_id = 77 WHERE run_id = ?1 AND seq = ({last})", (runs[1],))
    connection.close()
    book = read_days(records)
    assert [day.run for day in book.days] == [runs[0], runs[2]]
    assert [day.run for day in book.unended] == [runs[1]]
    assert book.damaged == 1


def test_nothing_is_learned_from_flagged_repaired_and_trashed_days_unless_asked_for(records, invented):
    plain, flagged, repaired, trashed, confirmed = (teach(records, invented, day) for day in range(5))
    after = records.after()
    after.say(flagged, DayFlagged(flagged=True), NINE_UTC_MS)
    after.say(repaired, BorderMoved(visit=0, t_ms=100_000), NINE_UTC_MS)
    after.say(confirmed, EndingSaid(phase=2, ending="moved on"), NINE_UTC_MS)
    records.trash().put([trashed], NINE_UTC_MS)
    found = history(records)
    assert {past.run for past in found.endings} == {plain, confirmed}
    assert found.set_aside == 2
    every = history(records, flagged=True, repaired=True)
    assert {past.run for past in every.endings} == {plain, flagged, repaired, confirmed}
    mended = next(past for past in every.endings if past.run == repaired and past.phase == "skip")
    assert mended.actual_s == 100
    said = next(past for past in found.endings if past.run == confirmed and past.phase == "model")
    assert (said.ending, said.stage) == ("moved on", None)


def test_the_choice_shows_repaired_days_but_learns_nothing_from_them(records, invented):
    plain, flagged, repaired = (teach(records, invented, day) for day in range(3))
    records.after().say(flagged, DayFlagged(flagged=True), NINE_UTC_MS)
    records.after().say(repaired, BorderMoved(visit=0, t_ms=100_000), NINE_UTC_MS)
    days = read_days(records).days
    choice = LessonChoice()
    assert [day.run for day in choice.days(days)] == [plain, repaired]
    assert [day.run for day in choice.learning(days)] == [plain]
    assert choice.left_out(days) == (1, 1)
    assert [day.run for day in LessonChoice(flagged=True, repaired=True).learning(days)] == [
        plain,
        flagged,
        repaired,
    ]


def test_like_is_compared_with_like(records, invented):
    for day, (mode, shape) in enumerate(
        (("live", ""), ("live", "short"), ("rehearsal", ""), ("baseline", ""))
    ):
        teach(records, invented, day, mode=mode, shape=shape)
    days = read_days(records).days

    def chosen(**wanted) -> list[str]:
        return [day.date[-2:] for day in LessonChoice(**wanted).days(days)]

    assert chosen() == ["09", "10"]
    assert chosen(shapes=("short",)) == ["10"]
    assert chosen(modes=("rehearsal",)) == ["11"]
    assert chosen(modes=("live", "baseline"), since="2026-03-10", until="2026-03-12") == ["10", "12"]
    assert chosen(subjects=("reading",)) == []
    assert chosen(titles=(invented.title,)) == ["09", "10"]
    kinds = LessonChoice(kinds=("review", "modeling")).phases(days[0])
    assert [phase.kind for phase in kinds] == ["review", "modeling"]


def test_the_term_equals_tables_made_from_the_raw_events(term: tuple[Day, ...], term_folder: Path):
    """Each phase of the term against pandas: time, ending, begin and end; each lesson's lateness."""
    phases, runs = by_hand.phases(term_folder), by_hand.runs(term_folder).set_index("run")
    assert len(term) == len(runs) == TERM_DAYS
    rows = {(row.run, row.phase): row for row in phases.itertuples()}
    for day in term:
        assert day.date == runs.loc[day.run, "date"]
        assert day.late_s == round(runs.loc[day.run, "late_s"])
        assert day.cues == runs.loc[day.run, "cues"]
        for index, phase in enumerate(day.phases):
            row = rows[day.run, index]
            assert (phase.id, phase.kind, phase.planned_s, phase.mini) == (
                row.id, row.kind, row.planned_s, row.mini,
            )  # fmt: skip
            assert (phase.actual_s, phase.ending) == (row.actual_s, row.ending)
            assert phase.reached == (row.visits > 0)
            if phase.reached:
                assert phase.begin_s == round(row.begin_ms / 1000)
                assert phase.end_s == round(row.end_ms / 1000)


def test_the_causes_of_each_day_add_up_to_its_lateness(term: tuple[Day, ...]):
    late = [day for day in term if day.group_late_s is not None]
    assert len(late) > TERM_DAYS - 10
    for day in late:
        assert sum(seconds for _cause, seconds in day.causes) == day.group_late_s


@given(data=st.data())
def test_a_day_comes_back_from_its_text(term, data):
    day = data.draw(st.sampled_from(term))
    changed = day._replace(
        title=data.draw(st.text()),
        thing=data.draw(st.text()),
        group_late_s=data.draw(st.none() | st.integers()),
    )
    assert day_from_text(day_to_text(changed)) == changed


def test_a_kept_book_is_read_again_only_when_a_record_has_changed_here_or_elsewhere(
    tmp_path: Path, invented, monkeypatch
) -> None:
    read: list[DayRecords] = []
    plain = day_book.read_days
    monkeypatch.setattr(day_book, "read_days", lambda records: read.append(records) or plain(records))
    book = KeptBook()
    with DayRecords.open(tmp_path) as records:
        teach(records, invented)
        assert [len(book.read(records).days) for _time in range(3)] == [1, 1, 1]
        assert len(read) == 1, "what the reading itself keeps is no change"
        run = teach(records, invented, day=1)
        assert len(book.read(records).days) == 2
        with DayRecords.open(tmp_path) as other:
            other.after().say(run, TomorrowNoted(text="Pencils"), NINE_UTC_MS)
        assert book.read(records).days[-1].thing == "Pencils"
        assert len(read) == 3
