"""Lessons, outlines, budgets' pasts and splits as lists and lines tell them. Values of our own."""

from dataclasses import replace
from datetime import datetime
from pathlib import Path

import pytest

from pacer.frames.lesson_words import about_words as lesson_about
from pacer.frames.lesson_words import lesson_sentence, run_words, tomorrow_note_words
from pacer.frames.record import record
from pacer.frames.words.carried import carried_words
from pacer.frames.words.past import past_frame, whole_words
from pacer.frames.words.shelf import about_words, block_words, entry_words
from pacer.frames.words.split import column_words, part_words, verdict, where_words
from pacer.log.day_records import DayRecords
from pacer.pace.past import PastEnding
from pacer.plan.day import BlockToday
from pacer.plan.split.sheet import SheetPart, SplitSheet
from pacer.review.day_book import work_out
from pacer.review.learning.budgets import Proposal, WholePlan
from pacer.run.clock import ManualClock
from pacer.run.corrections import Correction, DayFlagged, StartMoved, WentTo, effective, repaired
from pacer.run.fold import fold
from pacer.run.session import Session
from pacer.settings.outline_shelf import ShelfEntry


@pytest.fixture
def run(tmp_path: Path, invented):
    """The row and the events of a rehearsal at 9:00 on 9 March 2026: the bell comes within the review."""
    with DayRecords.open(tmp_path) as records:
        clock = ManualClock(1_773_046_800_000)
        session = Session(clock, records.journal())
        session.start(invented, mode="rehearsal")
        for seconds, press in ((150, "next done"), (100, "bell-now")):
            clock.advance(seconds * 1000)
            session.do(*press.split())
        (row,) = records.runs()
        return row, records.events(row.id)


def test_a_lesson_is_two_lines_with_its_day_and_its_mode(run) -> None:
    row, events = run
    assert run_words(row) == "Thirds on a number line\n2026-03-09  9:00 · rehearsal"
    assert lesson_sentence(events, []) == "The lesson ended before groups started."
    assert lesson_sentence(events[:2], []) == ""
    assert tomorrow_note_words(row, "less review") == (
        "One thing for tomorrow, written after 9 Mar 2026: less review"
    )
    assert tomorrow_note_words(None, "less review") == tomorrow_note_words(row, "") == ""


def test_a_lesson_tells_when_it_was_and_whether_it_was_mended_or_counts(run) -> None:
    _row, events = run
    state = fold(events)
    found = record(state, state.ended_ms)
    words = lesson_about(found, state, effective([]), "")
    assert words == f"{found.date} · planned 9:00, started 9:00 · 4:10 of 25:00 planned"
    bodies = StartMoved(early_ms=60_000), DayFlagged(flagged=True)
    said = effective([Correction(number, 0, body) for number, body in enumerate(bodies)])
    assert lesson_about(found, repaired(state, said), said, "1 voice").splitlines()[1:] == [
        "1 voice",
        "repaired: the times shown were mended · not like other days: nothing is learned from it",
    ]


def test_what_was_not_taught_and_goes_somewhere_is_carried_to_the_next_outline(run) -> None:
    _row, events = run
    said = [Correction(0, 0, WentTo(phase=2, to="table")), Correction(1, 0, WentTo(phase=3, to="tomorrow"))]
    assert carried_words([work_out(1, events, said)]) == (
        "Not taught on 9 Mar 2026, for the table: Model (Thirds on a number line); "
        "for tomorrow: Vocabulary and talk (Thirds on a number line)"
    )
    assert carried_words([work_out(1, events, [])]) == ""


def test_an_outline_on_the_shelf_says_whose_it_is_and_that_it_has_problems(invented) -> None:
    own = ShelfEntry(Path("thirds.toml"), False, invented)
    assert entry_words(own) == "Thirds on a number line\nyours · mathematics · 75 min block"
    assert entry_words(replace(own, outline=None, is_template=True)) == "thirds.toml\ntemplate · has problems"
    assert about_words(invented) == "mathematics · mini lesson 25:00 · 6 phases, 25:00 planned · block 75 min"


def test_the_bell_is_told_and_a_start_outside_the_block_counts_from_the_press(invented) -> None:
    now, bell = datetime(2026, 3, 9, 9, 5), datetime(2026, 3, 9, 10, 15)
    block = BlockToday(start=datetime(2026, 3, 9, 9), bell=bell, now_belongs=True)
    assert block_words(block, invented, now) == "Bell at 10:15"
    assert block_words(replace(block, now_belongs=False), invented, now) == (
        "Bell at 10:15. It is 9:05 now, so a start counts from the press."
    )
    assert block_words(None, invented, now) == "75 min from the start to the bell"


REVIEW = Proposal("review", "review", "Review", 180, 240, False, 200, False, 9, 9, 2, False)


def ending(seconds: float, how: str) -> PastEnding:
    return PastEnding(1, "day 1", "review", "review", 180, seconds, how)


def test_a_past_says_what_is_enough_and_how_sure_that_is() -> None:
    found = past_frame(REVIEW, (ending(200, "done"), ending(300, "interrupted")))
    assert found.sentence == (
        "4 is enough on 7 of 10 days. You give 3:30. 9 lessons, 2 cut off. Ctrl+U writes 4."
    )
    assert found.cells == ("about 4 (9 lessons, 2 cut off)", "about 4 (9 lessons)", "about 4")
    assert found.dots == ((200, True), (300, False))
    least = past_frame(replace(REVIEW, at_least=True, given_s=None, by_kind=True, written_s=240), ())
    assert least.sentence == "At least 4 for 7 of 10 days. 9 lessons, 2 cut off, from its kind."
    assert past_frame(replace(REVIEW, proposed_s=None), ()) is None


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({}, "Together these budgets are kept on about 8 of 10 days."),
        ({"level_at_most": True}, "Together these budgets are kept on about 8 of 10 days, perhaps fewer."),
        ({"needs_s": 1501}, "Your honest budgets need 26 min: choose what moves."),
        ({"needs_s": 1501, "at_least": True}, "Your honest budgets need at least 26 min: choose what moves."),
        ({"level": None}, ""),
        ({"proposals": (replace(REVIEW, proposed_s=None),)}, ""),
    ],
)
def test_all_budgets_together_are_told_in_days_or_in_the_minutes_they_need(changes, words: str) -> None:
    plan = WholePlan((REVIEW,), 1500, 1500, False, (), 0.81, False)
    assert whole_words(replace(plan, **changes)) == words


@pytest.fixture
def sheet() -> SplitSheet:
    return SplitSheet(
        whole_group_s=600, table_s=300, tables=3,
        parts=(
            SheetPart(title="Fold", seconds=300, moved_to="whole group"),
            SheetPart(title="Mark", seconds=360, needs=(1,), moved_to="table"),
            SheetPart(title="Share", seconds=120, needs=(2,), moved_to="not taught"),
        ),
    )  # fmt: skip


def test_a_split_says_what_reaches_a_child_what_is_too_long_and_what_nobody_gets(
    sheet: SplitSheet,
) -> None:
    made = sheet.outcome()
    assert verdict(sheet, made) == (
        "77 % of the lesson reaches each child with you.",
        "The table is 1:00 too long for one visit.",
        "2 min no child gets: Share.",
        "The table parts cost 18 min at 3 tables; said once to all, 6:00.",
    )
    assert verdict(SplitSheet(), SplitSheet().outcome()) == (
        "Type or paste the lesson's parts, one a line: Mark thirds 10",
    )
    assert part_words(sheet, 1) == "2  Mark\n6 min · needs 1 · by hand"
    assert [column_words(where, sheet, made) for where in ("whole group", "table", "not taught")] == [
        "5 of 10 min", "6 of 5 min", "2 min",
    ]  # fmt: skip
    assert where_words("not taught") == "Not taught"


def test_a_part_without_what_it_needs_and_a_whole_group_that_is_too_long_are_told(sheet: SplitSheet) -> None:
    parts = (
        sheet.parts[0].model_copy(update={"moved_to": "not taught"}),
        sheet.parts[1].model_copy(update={"moved_to": "whole group", "seconds": 700}),
    )
    alone = sheet.model_copy(update={"parts": parts})
    said = verdict(alone, alone.outcome())
    assert "The whole group is 1:40 too long: move a part or take one out." in said
    assert "“Mark” is taught without what it needs." in said
