"""One thing tomorrow stands on Today until it is ticked off; what is left for the table is told, too."""

from pathlib import Path

import pytest

from pacer.log.database import FILE_NAME
from pacer.log.day_records import DayRecords
from pacer.run.corrections import TomorrowNoted, TomorrowNoteDone, WentTo
from tests.qt.look_back.test_page import teach
from tests.qt.window_factories import click, settle

WORDS = "One thing for tomorrow, written after 10 Mar 2026: less review"


@pytest.fixture
def folder(tmp_path) -> Path:
    return tmp_path / "data"


@pytest.fixture
def written(folder, new_program, invented, qtbot):
    """The program after two lessons, with a thing for tomorrow written after the second."""
    with DayRecords.open(folder) as records:
        for day in range(2):
            teach(records, invented, day)
        records.after().say(2, TomorrowNoted(text="less review"), 1_790_000_000_000)
    running = new_program().show()
    qtbot.waitUntil(running.today.tomorrow_note_row.isVisible, timeout=60_000)
    return running


def said(folder: Path) -> list:
    with DayRecords.open(folder) as records:
        return [event.body for event in records.after().of(2)]


def again(running, page: str = "look back"):
    """Away from Today and back."""
    click(running.window.names[page])
    click(running.window.names["today"])
    settle()
    return running.today.tomorrow_note_row


def test_it_stands_on_today_and_is_gone_once_it_is_ticked_off(written, folder):
    row = written.today.tomorrow_note_row
    assert (row.isVisible(), row.words.text(), row.done.isChecked()) == (True, WORDS, False)
    click(row.done)
    assert said(folder)[1:] == [TomorrowNoteDone(done=True)]
    assert row.isVisible()  # so that a slip can be taken back on the spot
    assert row.done.isChecked()
    assert not again(written).isVisible()
    click(written.window.names["outline"])
    assert WORDS not in written.program.pages.outline.tomorrow_note_line.text()


def test_a_tick_that_is_taken_away_leaves_it_standing(written, folder):
    row = written.today.tomorrow_note_row
    click(row.done)
    click(row.done)
    assert said(folder)[1:] == [TomorrowNoteDone(done=True), TomorrowNoteDone(done=False)]
    row = again(written)
    assert (row.isVisible(), row.done.isChecked()) == (True, False)


def test_a_tick_that_cannot_be_written_is_told_and_not_shown(written, folder):
    (folder / FILE_NAME).rename(folder / "elsewhere.sqlite3")
    row = written.today.tomorrow_note_row
    click(row.done)
    assert not row.done.isChecked()
    assert written.today.notice.isVisible()
    assert "moved or deleted" in written.today.notice.text()


def test_without_a_thing_there_is_no_row(running):
    assert not again(running).isVisible()


def test_what_goes_to_the_table_and_to_tomorrow_is_told_where_the_next_outline_is_made(
    written, folder, invented
):
    """Of the last day only. Skip count and review were begun; the bell came within the review."""
    titles = [phase.title for phase in invented.phases]
    with DayRecords.open(folder) as records:
        for index in range(2, len(titles)):
            records.after().say(2, WentTo(phase=index, to="dropped"), 1_790_000_000_001)
        records.after().say(2, WentTo(phase=2, to="table"), 1_790_000_000_002)
        records.after().say(2, WentTo(phase=3, to="tomorrow"), 1_790_000_000_003)
    click(written.window.names["outline"])
    lines = written.program.pages.outline.tomorrow_note_line.text().split("\n")
    name = invented.title
    # Left by no re-cut, they were on no table list of that day, so nothing is open.
    left = f"Left over from {name}, 10 Mar 2026 · table: {titles[2]} · tomorrow: {titles[3]}"
    assert lines == [WORDS, left]
    row = written.today.left_line
    click(written.window.names["today"])
    settle()
    assert (row.isVisible(), row.text()) == (True, left)
