"""Look back's views: made when wanted; one thing for tomorrow is kept, and faults are told plainly."""

import sqlite3
from pathlib import Path

import pytest

from pacer.frames.pictures import QUESTIONS
from pacer.log.database import FILE_NAME
from pacer.log.day_records import DayRecords
from pacer.qt.look_back.page import SPANS, VIEWS
from pacer.run.clock import ManualClock
from pacer.run.corrections import DayFlagged, TomorrowNoted
from pacer.run.session import Session
from tests.qt.look_back.test_page import teach
from tests.qt.window_factories import click, room_time_ms, settle


@pytest.fixture
def folder(tmp_path) -> Path:
    return tmp_path / "data"


@pytest.fixture
def taught(folder, new_program, invented):
    """The program with three lessons in its records."""
    with DayRecords.open(folder) as records:
        for day in range(3):
            teach(records, invented, day)
    return new_program()


def look_back(running):
    click(running.window.names["look back"])
    return running.program.pages.look_back


def test_it_opens_with_the_newest_lesson_and_its_sentence(taught):
    page = look_back(taught)
    assert page.view == "lesson"
    assert page.lesson.list.currentIndex().row() == 0
    assert page.lesson.sentence.text().startswith(("Groups started", "The lesson ended"))
    assert page.pictures is None


@pytest.mark.slow
def test_every_picture_can_be_shown_of_three_lessons_and_names_them(taught):
    page = look_back(taught)
    for view in (*QUESTIONS, *SPANS):
        page.choose(view)
        settle()
        shown = page.pictures.picture
        assert shown.isVisible(), view
        assert shown.accessibleName(), view
        assert shown.accessibleDescription(), view


def test_every_view_opens_without_a_single_lesson(running):
    page = look_back(running)
    for view in VIEWS:
        page.choose(view)
        settle()
        assert page.isVisible()
        assert page.view == view


def test_one_thing_for_tomorrow_is_kept_and_stands_over_the_next_outline(taught, folder):
    page = look_back(taught)
    page.lesson.tomorrow_note.setText("  less   review ")
    click(taught.window.names["outline"])
    outline = taught.program.pages.outline
    assert outline.tomorrow_note_line.isVisible()
    assert (
        outline.tomorrow_note_line.text() == "One thing for tomorrow, written after 11 Mar 2026: less review"
    )
    with DayRecords.open(folder) as records:
        said = records.after().all()
    assert [event.body for event in said[3]] == [TomorrowNoted(text="less review")]


def test_a_thing_that_was_taken_away_again_stands_nowhere(taught):
    page = look_back(taught)
    for text in ("less review", ""):
        page.lesson.tomorrow_note.setText(text)
        page.keep()
    click(taught.window.names["outline"])
    assert not taught.program.pages.outline.tomorrow_note_line.isVisible()


def test_typing_the_same_again_writes_nothing(taught, folder):
    page = look_back(taught)
    for _time in range(3):
        page.lesson.tomorrow_note.setText("less review")
        page.keep()
    with DayRecords.open(folder) as records:
        assert len(records.after().of(3)) == 1


def test_each_lesson_has_its_own_thing_and_none_is_lost_on_the_way(taught, folder):
    page = look_back(taught)
    for row, text in ((0, "third"), (2, "first"), (1, "second")):
        page.lesson.list.choose_row(row)
        page.lesson.tomorrow_note.setText(text)
    page.choose("where_time")
    with DayRecords.open(folder) as records:
        things = {run: said[-1].body.text for run, said in records.after().all().items()}
    assert things == {3: "third", 1: "first", 2: "second"}


def test_what_cannot_be_written_is_told_and_stays_in_the_field(taught, folder):
    page = look_back(taught)
    page.lesson.tomorrow_note.setText("less review")
    (folder / FILE_NAME).rename(folder / "elsewhere.sqlite3")
    page.keep()
    assert page.lesson.trouble.isVisible()
    assert "is not kept" in page.lesson.trouble.text()
    assert page.lesson.tomorrow_note.text() == "less review"
    (folder / "elsewhere.sqlite3").rename(folder / FILE_NAME)
    page.keep()
    assert not page.lesson.trouble.isVisible()


def test_a_flagged_day_is_named_and_left_out_until_it_is_ticked(taught):
    page = look_back(taught)
    page.lesson._on_said(DayFlagged(flagged=True))
    assert "not like other days" in page.lesson.about.text()
    page.choose("where_time")
    pictures = page.pictures
    assert pictures.picture.chart.lessons == 2
    pictures.bar.flagged.setChecked(True)
    assert pictures.picture.chart.lessons == 3
    assert "days not like others, too" in pictures.picture.chart.choice


def test_a_damaged_record_is_counted_and_hides_no_picture(folder, new_program, invented):
    with DayRecords.open(folder) as records:
        for day in range(3):
            teach(records, invented, day)
    with sqlite3.connect(folder / FILE_NAME) as connection:
        connection.execute("DELETE FROM event WHERE run_id = 2 AND seq = 1")
    connection.close()
    page = look_back(new_program())
    page.choose("where_time")
    assert page.pictures.notice.text() == "1 day record can't be read and is left out."
    assert page.pictures.picture.chart.lessons == 2


def test_weeks_are_turned_by_buttons_and_keys_and_stop_at_the_ends(folder, new_program, invented):
    with DayRecords.open(folder) as records:
        for day in (0, 1, 7, 21):
            teach(records, invented, day)
    page = look_back(new_program())
    page.choose("week")
    pictures = page.pictures
    seen = [pictures.picture.chart.choice]
    for _press in range(3):
        click(pictures.earlier)
        seen.append(pictures.picture.chart.choice)
    assert len(set(seen)) == 3
    assert seen[2] == seen[3]
    click(pictures.later)
    assert pictures.picture.chart.choice == seen[1]
    page.choose("unit")
    assert not pictures.earlier.isVisible()


def test_the_groups_of_a_week_or_of_all_chosen_weeks_are_one_press_apart(folder, new_program, invented):
    with DayRecords.open(folder) as records:
        for day in (0, 1, 7, 21):
            teach(records, invented, day)
    page = look_back(new_program())
    page.choose("groups_met")
    pictures = page.pictures
    assert pictures.earlier.isVisible()
    assert "week of" in pictures.picture.count.text()
    click(pictures.together)
    assert not pictures.earlier.isVisible()
    assert "week of" not in pictures.picture.count.text()
    click(pictures.together)
    assert pictures.earlier.isVisible()
    page.choose("week")
    assert not pictures.together.isVisible()


def test_a_lesson_taught_since_is_shown_first(folder, new_program, invented):
    with DayRecords.open(folder) as records:
        for day in (-3, -2, -1):
            teach(records, invented, day)
    taught = new_program()
    page = look_back(taught)
    page.lesson.list.choose_row(2)
    click(taught.window.names["today"])
    look_back(taught)
    assert page.lesson.list.currentIndex().row() == 2
    taught.program.start_now(invented)
    taught.wait(5).tap("N").tap("Home").tap("Return")
    assert page.isVisible()
    assert page.lesson.list.currentIndex().row() == 0


def test_outlines_of_another_subject_are_not_offered(folder, new_program, invented):
    with DayRecords.open(folder) as records:
        teach(records, invented, 0)
        reading = invented.model_copy(update={"title": "Main idea", "subject": "reading"})
        teach(records, reading, 1)
    page = look_back(new_program())
    page.choose("where_time")
    bar = page.pictures.bar

    def offered() -> list[str]:
        box = bar.boxes["titles"]
        return [box.itemText(at) for at in range(box.count())]

    assert offered() == ["all outlines", "Main idea", invented.title]
    subjects = bar.boxes["subjects"]
    subjects.setCurrentIndex(subjects.findText("reading"))
    subjects.activated.emit(subjects.currentIndex())
    assert offered() == ["all outlines", "Main idea"]
    assert page.pictures.picture.chart.lessons == 1
    click(page.pictures.everything)
    assert offered() == ["all outlines", "Main idea", invented.title]
    assert page.pictures.picture.chart.lessons == 2


def test_the_start_is_told_to_the_second_where_it_was_not_on_the_minute(folder, new_program, invented):
    with DayRecords.open(folder) as records:
        clock = ManualClock(room_time_ms("9:01:49"))
        session = Session(clock, records.journal())
        session.start(invented, room_time_ms("9:00"))
        clock.advance(60_000)
        session.do("bell-now")
    page = look_back(new_program())
    assert "planned 9:00, started 9:01:49" in page.lesson.about.text()


def test_a_thing_that_cannot_be_kept_is_told_with_its_words_also_beside_another_lesson(taught, folder):
    page = look_back(taught)
    page.lesson.tomorrow_note.setText("less review")
    (folder / FILE_NAME).rename(folder / "elsewhere.sqlite3")
    page.keep()
    (folder / "elsewhere.sqlite3").rename(folder / FILE_NAME)
    assert "“less review” is not kept" in page.lesson.trouble.text()


def test_while_repairing_the_repair_has_the_room(taught):
    page = look_back(taught)
    click(page.lesson.repair_button)
    assert page.lesson.repair.isVisible()
    assert not page.lesson.tomorrow_note.isVisible()
    assert not page.lesson.sentence.isVisible()
    click(page.lesson.repair_button)
    assert page.lesson.tapes.isVisible()
    assert page.lesson.tomorrow_note.isVisible()


def test_what_is_typed_for_tomorrow_is_kept_when_the_repair_opens_without_leaving_the_field(taught):
    page = look_back(taught)
    page.lesson.tomorrow_note.setText("less review")
    page.lesson.repair_button.click()  # as assistive technology does: the field keeps the keyboard
    page.lesson.repair_button.click()
    assert page.lesson.tomorrow_note.text() == "less review"
    page.reload()
    assert page.lesson.tomorrow_note.text() == "less review"


@pytest.mark.slow
def test_in_a_low_window_a_picture_is_scrolled_to_and_not_pressed_flat(taught):
    page = look_back(taught)
    taught.window.resize(960, 540)
    for view in (*QUESTIONS, *SPANS):
        page.choose(view)
        settle()
        shown = page.pictures.picture
        assert shown.plot.height() >= 120 or not shown.plot.isVisible(), view


def test_deleting_offers_the_day_that_is_chosen_in_the_list(taught):
    page = look_back(taught)
    page.choose("records")
    page.data.list.selectRow(2)
    assert page.data.erase.since.date().toString("yyyy-MM-dd") == "2026-03-09"
    page.data.list.selectRow(0)
    assert page.data.erase.since.date().toString("yyyy-MM-dd") == "2026-03-11"


@pytest.mark.slow
def test_with_lessons_chosen_apart_every_view_fits_a_small_window(taught):
    page = look_back(taught)
    for view in (*QUESTIONS, *SPANS):
        taught.window.resize(960, 540)
        page.choose(view)
        page.pictures.bar.flagged.setChecked(True)
        settle()
        assert page.pictures.everything.isVisible()
        assert taught.window.width() == 960, view
        right = page.pictures.coach.mapTo(page, page.pictures.coach.rect().topRight()).x()
        assert right <= page.width(), view
        for part in (*page.pictures.bar.ticks, page.pictures.everything, page.pictures.coach):
            assert not part.isVisible() or part.width() >= part.sizeHint().width(), (view, part.text())
        page.pictures.bar.flagged.setChecked(False)
