"""The day's shape on Today: by the calendar or for today only, the offered re-cut, and what Start uses."""

import json
from datetime import date

import pytest

from pacer.plan.day_shapes import STARTING_SHAPES, DayShapes, Doubt
from pacer.qt.screens.watch import ScreenWatch
from pacer.qt.today.day_shapes_dialog import DayShapesDialog
from pacer.settings.model import Settings
from pacer.settings.store import SettingsStore
from tests.qt.window_factories import change_screens, click, room_time_ms, settle

# The invented day is Monday, 9 March 2026; the invented outline has a block of 75 minutes from 9:00.
REGULAR = DayShapes(shapes=STARTING_SHAPES)
EARLY = DayShapes(shapes=STARTING_SHAPES, week={0: "Early release"})


@pytest.fixture
def program_of(tmp_path, new_program, invented_text):
    """Starts the program with day shapes and the invented outline."""

    def begin(shapes: DayShapes, text: str = invented_text, **more: object):
        data = tmp_path / "data"
        (data / "outlines").mkdir(parents=True, exist_ok=True)
        (data / "outlines" / "thirds.toml").write_text(text, encoding="utf-8")
        settings = Settings(day_shapes=shapes, **more)
        (data / "settings.json").write_text(settings.model_dump_json(), encoding="utf-8")
        return new_program(data).choose("Thirds")

    return begin


def kept(running) -> dict:
    return json.loads(running.where.settings_file.read_text(encoding="utf-8"))


def choose_shape(running, name: str) -> None:
    which = running.today.day_row.which
    index = which.findText(name)
    which.setCurrentIndex(index)
    which.activated.emit(index)
    settle()


def started(running):
    click(running.today.start_button)
    return running.program.room.lesson.session.state


def test_without_shapes_nothing_of_the_day_is_shown_and_the_outline_runs_as_written(program_of, invented):
    running = program_of(DayShapes())
    assert not running.today.day_row.isVisible()
    assert running.today.lesson.block_row.line.text() == "Bell at 10:15"
    assert running.today.start_time.isEnabled()
    assert started(running).plan.block == invented.block


def test_the_calendar_says_which_day_it_is_in_large_words(program_of):
    row = program_of(EARLY).today.day_row
    assert row.line.isVisible()
    assert row.line.text() == "Early release, 48 min, ends 9:48"
    assert row.line.font().pixelSize() >= 20
    assert row.which.currentText() == "Early release"


def test_a_shorter_day_offers_the_re_cut_and_start_uses_it(program_of):
    running = program_of(EARLY)
    row = running.today.day_row
    # Our own arithmetic: 48 min less 3 share, 2 move, 1:30 swap and 1 clean-up are 40:30, a third is 13:30.
    assert row.recut_box.text().replace("&", "") == "Shorten to 13:30"
    assert row.recut_box.isChecked()
    assert row.offer.text().startswith("The mini lesson has 13:30 today, not ")
    plan = started(running).plan
    assert (plan.block.length_s, plan.mini_lesson_s) == (48 * 60, 13 * 60 + 30)


def test_the_offer_can_be_left_and_the_block_is_still_the_days(program_of, invented):
    running = program_of(EARLY)
    running.today.day_row.recut_box.setChecked(False)
    running.today.refresh_block()
    assert not running.today.day_row.recut_box.isChecked()
    plan = started(running).plan
    assert (plan.block.length_s, plan.mini_lesson_s) == (48 * 60, invented.mini_lesson_s)


def test_a_day_as_long_as_the_outlines_block_offers_nothing(program_of, invented):
    running = program_of(REGULAR)
    assert not running.today.day_row.recut_box.isVisible()
    assert not running.today.day_row.recut
    assert started(running).plan.mini_lesson_s == invented.mini_lesson_s


def test_a_block_under_an_hour_is_noted_and_never_refused(program_of):
    running = program_of(EARLY)
    assert running.today.day_row.short.isVisible()
    assert running.today.start_button.isEnabled()
    choose_shape(running, "Regular")
    assert not running.today.day_row.short.isVisible()


def test_planned_time_comes_from_the_shapes_start(program_of, room_clock):
    running = program_of(DayShapes(shapes=STARTING_SHAPES, week={0: "Assembly"}))
    assert running.today.start_time.text() == "9:30"
    assert not running.today.start_time.isEnabled()
    room_clock.advance(room_time_ms("9:34") - room_clock.now().utc_ms)
    assert started(running).planned_utc_ms == room_time_ms("9:30")


def test_another_shape_is_chosen_for_today_only(program_of, room_clock):
    running = program_of(EARLY)
    choose_shape(running, "Regular")
    assert running.today.day_row.line.text() == "Regular, 75 min, ends 10:15"
    assert kept(running)["day_choice"] == ["2026-03-09", "Regular"]
    room_clock.advance(7 * 24 * 3600 * 1000)
    running.today.refresh_block()
    assert running.today.day_row.line.text().startswith("Early release, ")


def test_as_the_outline_says_can_be_chosen_on_a_day_with_a_shape(program_of, invented):
    running = program_of(EARLY)
    choose_shape(running, "the outline's own block")
    assert running.today.lesson.block_row.line.text() == "Bell at 10:15"
    assert running.today.start_time.isEnabled()
    assert started(running).plan.block == invented.block


def test_on_a_day_without_the_block_today_is_the_next_with_one_and_can_be_taught_all_the_same(program_of):
    running = program_of(DayShapes(shapes=STARTING_SHAPES, days={"2026-03-09": "", "2026-03-10": ""}))
    line = running.today.day_row.line.text()
    assert line == "Next school day: Wednesday 11 March · Regular, 75 min, ends 10:15"
    assert running.today.start_button.isEnabled()


def test_in_a_year_without_the_block_today_says_so_and_can_be_taught_all_the_same(program_of):
    running = program_of(DayShapes(shapes=STARTING_SHAPES, week=dict.fromkeys(range(7), "")))
    assert running.today.day_row.line.text() == "No block today"
    assert running.today.day_row.which.currentText() == "the outline's own block"
    assert running.today.start_button.isEnabled()


def test_a_time_outside_the_shapes_block_is_said(program_of, room_clock):
    running = program_of(EARLY)
    assert not running.today.lesson.block_row.line.isVisible()
    room_clock.advance(room_time_ms("8:15") - room_clock.now().utc_ms)
    running.today.refresh_block()
    line = running.today.lesson.block_row.line
    assert line.text() == "Bell at 9:48. It is 8:15 now, so a start counts from the press."
    assert line.isVisible()


def test_from_the_last_bell_on_today_is_the_next_school_day_and_says_so(program_of, room_clock):
    shapes = DayShapes(shapes=STARTING_SHAPES, week={0: "Early release", 1: "Assembly"})
    running = program_of(shapes)
    room_clock.advance(room_time_ms("9:47") - room_clock.now().utc_ms)
    running.today.refresh_block()
    assert running.today.day_row.line.text() == "Early release, 48 min, ends 9:48"
    room_clock.advance(60_000)
    running.today.refresh_block()
    row = running.today.day_row
    assert row.line.text() == "Tomorrow, Tuesday 10 March · Assembly, 60 min, ends 10:30"
    assert row.line.font().pixelSize() >= 20
    assert row.offer.text().startswith("The mini lesson has 16:20 that day, not 25:00.")
    assert running.today.lesson.block_row.line.text().startswith("Bell at 10:30. It is 9:48 now")
    assert started(running).late_ms == 0, "a lesson begun now counts from the press"


def test_card_ready_list_and_ticks_belong_to_the_date_that_is_shown(program_of, room_clock, monkeypatch):
    from pacer.qt.paper import print_card

    cards = []
    monkeypatch.setattr(print_card, "print_card", lambda _parent, card: cards.append(card) or "")
    running = program_of(
        DayShapes(shapes=STARTING_SHAPES, week={1: "Early release"}), reminders=("Cut strips",)
    )
    room_clock.advance(room_time_ms("20:30") - room_clock.now().utc_ms)
    running.today.refresh_block()
    click(running.today.card_button)
    (card,) = cards
    assert (card.day, card.shape) == ("Tuesday 10 March 2026", "Early release")
    assert card.times == "9:00 to 9:48, mini lesson 13:30"
    panel = running.today.ready_panel
    panel.refresh()
    assert panel.items[0].words.startswith("Tomorrow, Tuesday 10 March · Early release, 48 min, ends 9:48")
    panel.boxes[0].click()
    assert kept(running)["reminders_done"] == ["2026-03-10", ["Cut strips"]]
    settle()


def test_a_shape_chosen_in_the_evening_is_tomorrows(program_of, room_clock):
    running = program_of(REGULAR)
    room_clock.advance(room_time_ms("20:30") - room_clock.now().utc_ms)
    running.today.refresh_block()
    choose_shape(running, "Early release")
    assert (
        running.today.day_row.line.text() == "Tomorrow, Tuesday 10 March · Early release, 48 min, ends 9:48"
    )
    assert kept(running)["day_choice"] == ["2026-03-10", "Early release"]


def test_counting_from_the_press_says_no_bell_that_would_not_be_kept(program_of):
    row = program_of(EARLY, start_when_pressed=True).today.day_row
    assert row.line.text() == "Early release, 48 min from the start to the bell"


def test_the_shapes_that_the_dialog_saves_are_kept_and_shown_at_once(program_of, monkeypatch):
    running = program_of(DayShapes())
    monkeypatch.setattr(DayShapesDialog, "ask", staticmethod(lambda *_asked: EARLY))
    click(running.today.shelf.shapes_button)
    assert running.today.day_row.line.text() == "Early release, 48 min, ends 9:48"
    assert Settings.model_validate(kept(running)).day_shapes == EARLY


def test_a_cancelled_dialog_changes_nothing(program_of, monkeypatch):
    running = program_of(EARLY)
    monkeypatch.setattr(DayShapesDialog, "ask", staticmethod(lambda *_asked: None))
    click(running.today.shelf.shapes_button)
    assert running.program.settings.now.day_shapes == EARLY


# The rehearsal.


def test_a_rehearsal_runs_on_the_desk_alone_and_its_record_is_marked(program_of, numbers_asked):
    running = program_of(EARLY)
    click(running.today.rehearse_button)
    room = running.program.room
    state = room.lesson.session.state
    assert (state.mode, state.late_ms, state.plan.block.length_s) == ("rehearsal", 0, 48 * 60)
    assert running.window.shows_desk
    assert (room.wall.screen, room.wall.full.isVisible(), room.wall.strip.isVisible()) == (None, False, False)
    assert numbers_asked == []
    running.tap("PageDown").tap("S").wait(3)
    assert room.lesson.session.state.index == 1
    assert not room.wall.full.isVisible()
    assert not room.wall.strip.isVisible()
    running.program.room.lesson.press("end", "done")
    running.tap("Return")
    settle()
    page = running.program.pages.look_back.lesson
    assert page.list.model().index(0).data().endswith("· rehearsal")
    assert page.tapes.isVisible()


def test_a_rehearsal_tells_nothing_to_what_live_lessons_are_measured_by(program_of):
    running = program_of(REGULAR)
    click(running.today.rehearse_button)
    running.tap("PageDown")
    running.program.room.lesson.press("end", "done")
    running.tap("Return")
    from pacer.review.learning.past_endings import history

    assert list(history(running.program.records).endings) == []
    assert list(history(running.program.records, ("rehearsal",)).endings) != []


def test_where_the_class_looks_a_rehearsal_asks_first_and_no_means_nothing_is_shown(program_of, monkeypatch):
    from pacer.qt.screens.present import present_screens
    from pacer.qt.screens.questions import RehearsalQuestion
    from pacer.settings.screen_choice import remember

    screens = present_screens()
    laptop = next(screen for screen in screens if screen.name == "Laptop")
    running = program_of(DayShapes(), rooms=remember((), screens, laptop))  # the window is on the class's
    asked: list[object] = []

    def no(parent: object) -> bool:
        asked.append(parent)
        return False

    monkeypatch.setattr(RehearsalQuestion, "ask", staticmethod(no))
    click(running.today.rehearse_button)
    assert (len(asked), running.program.room.lesson, running.window.shows_desk) == (1, None, False)
    monkeypatch.setattr(RehearsalQuestion, "ask", staticmethod(lambda _parent: True))
    click(running.today.rehearse_button)
    assert running.window.shows_desk
    assert running.program.room.wall.screen is None


def test_a_screen_that_comes_or_goes_covers_a_rehearsal_and_never_brings_a_wall(program_of):
    running = program_of(DayShapes())
    click(running.today.rehearse_button)
    room = running.program.room
    change_screens()
    settle()
    assert not running.window.shows_desk
    assert room.wall.screen is None
    room.keys.confirmed.emit()
    settle()
    assert running.window.shows_desk
    assert not room.wall.full.isVisible()
    room.findChild(ScreenWatch).settle_now()


def test_a_live_lesson_after_a_rehearsal_has_its_wall_again(program_of):
    running = program_of(DayShapes())
    click(running.today.rehearse_button)
    running.program.room.lesson.press("end", "done")
    running.tap("Return")
    running.window.show_today()
    settle()
    click(running.today.start_button)
    assert running.program.room.lesson.session.state.mode == "live"
    assert running.program.room.wall.screen.name == "Projector"


def test_a_rehearsal_that_was_cut_off_goes_on_without_a_wall(program_of, tmp_path, new_program):
    first = program_of(DayShapes())
    click(first.today.rehearse_button)
    first.program.shut()
    second = new_program(tmp_path / "data")
    click(second.today.resume_button)
    assert second.program.room.lesson.session.state.mode == "rehearsal"
    assert second.program.room.wall.screen is None


# The card.


def test_the_card_is_written_in_the_days_shape_and_its_place_is_told(program_of, tmp_path, monkeypatch):
    from PySide6.QtWidgets import QFileDialog

    from pacer.qt.paper import pages as paper

    cards = []
    real = paper.card_pdf

    def noting(card, path, size):
        cards.append(card)
        return real(card, path, size)

    monkeypatch.setattr(paper, "card_pdf", noting)
    target = tmp_path / "card"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", staticmethod(lambda *_asked: (str(target), "")))
    running = program_of(EARLY)
    click(running.today.save_button)
    written = tmp_path / "card.pdf"
    assert written.read_bytes().startswith(b"%PDF")
    assert running.today.notice.text() == f"The card is in {written}. Print it from there."
    assert cards[0].times == "9:00 to 9:48, mini lesson 13:30"


def test_a_card_that_cannot_be_written_says_why_and_a_cancelled_one_nothing(
    program_of, tmp_path, monkeypatch
):
    from PySide6.QtWidgets import QFileDialog

    running = program_of(DayShapes())
    gone = tmp_path / "no such folder" / "card.pdf"
    monkeypatch.setattr(QFileDialog, "getSaveFileName", staticmethod(lambda *_asked: (str(gone), "")))
    click(running.today.save_button)
    assert running.today.notice.text().startswith(f"{gone} can't be written: ")
    running.today.show_notice("")
    monkeypatch.setattr(QFileDialog, "getSaveFileName", staticmethod(lambda *_asked: ("", "")))
    click(running.today.save_button)
    assert running.today.notice.text() == ""


def test_no_two_letters_of_today_are_the_same(program_of):
    from PySide6.QtGui import QKeySequence
    from PySide6.QtWidgets import QAbstractButton, QLabel

    today = program_of(EARLY).today
    texts = [widget.text() for kind in (QAbstractButton, QLabel) for widget in today.findChildren(kind)
             if kind is QAbstractButton or widget.buddy() is not None]  # fmt: skip
    letters = [key.toString() for text in texts if not (key := QKeySequence.mnemonic(text)).isEmpty()]
    assert len(letters) == len(set(letters)) > 10


def test_a_rehearsal_moved_to_the_classs_screen_is_covered_and_uncovered_on_the_own_one(program_of):
    from pacer.qt.screens.present import present_screens
    from pacer.settings.screen_choice import remember
    from tests.qt.window_factories import screen_named

    screens = present_screens()
    projector = next(screen for screen in screens if screen.name == "Projector")
    running = program_of(DayShapes(), rooms=remember((), screens, projector))
    click(running.today.rehearse_button)
    assert running.window.shows_desk
    running.window.showNormal()
    running.window.setGeometry(screen_named("Projector").rect.adjusted(100, 100, -300, -200))
    settle()
    assert not running.window.shows_desk
    running.window.setGeometry(screen_named("Laptop").rect.adjusted(100, 50, -100, -50))
    settle()
    assert not running.window.shows_desk
    running.program.room.keys.confirmed.emit()
    settle()
    assert running.window.shows_desk
    assert running.program.room.wall.screen is None


@pytest.mark.parametrize("shapes", [DayShapes(), REGULAR], ids=["the outline's block", "the day's"])
def test_a_plan_too_long_for_its_block_is_told_on_today_and_starts_all_the_same(
    program_of, invented_text, shapes
):
    invented_text = invented_text.replace('mini_lesson = "25"', 'mini_lesson = "80"')
    assert '"80"' in invented_text
    running = program_of(shapes, text=invented_text)
    warning = running.today.day_row.warning
    assert warning.isVisible()
    assert warning.text().startswith("The mini lesson (80:00) is longer than the block (75:00).")
    assert started(running).is_running


def test_a_plan_that_can_be_kept_has_no_warning(program_of):
    assert not program_of(REGULAR).today.day_row.warning.isVisible()


def test_what_a_calendar_left_open_is_said_on_its_days_until_she_says_which_day_it_is(program_of):
    doubt = {"name": "Early release", "first": date(2026, 3, 9), "last": date(2026, 3, 9)}
    running = program_of(REGULAR.model_copy(update={"doubts": (Doubt(**doubt),)}))
    row = running.today.day_row
    assert row.doubt.isVisible()
    assert row.doubt.text() == (
        "The calendar may say Early release today, which could not be read. Look it up."
    )
    choose_shape(running, "Early release")
    assert not row.doubt.isVisible()


def test_a_day_that_another_window_took_off_stays_off_whatever_is_chosen_here(program_of, monkeypatch):
    running = program_of(REGULAR)
    off = REGULAR.model_copy(update={"days": {"2026-03-11": ""}})
    SettingsStore(running.where.settings_file).change(day_shapes=off)
    choose_shape(running, "Early release")
    assert kept(running)["day_shapes"]["days"] == {"2026-03-11": ""}
    more = REGULAR.model_copy(update={"days": {"2026-03-12": ""}})
    SettingsStore(running.where.settings_file).change(day_shapes=more)
    asked = []
    monkeypatch.setattr(DayShapesDialog, "ask", lambda shapes, *_more: asked.append(shapes))
    click(running.today.shelf.shapes_button)
    assert [shapes.days for shapes in asked] == [{"2026-03-12": ""}]
