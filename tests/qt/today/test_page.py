"""Today: choosing, starting, copying, the block's line, and what is kept of the choices."""

import errno
import json
import os

import pytest
from PySide6.QtCore import QPoint, Qt, QTime
from PySide6.QtGui import QDesktopServices, QGuiApplication, QKeySequence
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QLabel

from pacer.paths import template_folder
from pacer.qt.kit.ticker import Ticker
from pacer.run.clock import local_now
from pacer.settings.model import Settings
from pacer.settings.outline_shelf import shelf
from tests.qt.window_factories import click, room_time_ms, settle, timer_of


@pytest.fixture
def own_folder(tmp_path):
    folder = tmp_path / "data" / "outlines"
    folder.mkdir(parents=True)
    return folder


def words(running) -> list[str]:
    """The entries of the list, a text each."""
    return [running.today.list.item(row).text() for row in range(running.today.list.count())]


def test_the_first_day_shows_the_templates_and_start_has_the_keyboard(running):
    assert len(words(running)) == len(list(template_folder().glob("*.toml"))) >= 7
    assert all("template" in text for text in words(running))
    assert running.today.start_button.isEnabled()
    assert running.window.focusWidget() is running.today.start_button


def test_own_outlines_come_first(own_folder, new_program, invented_text):
    (own_folder / "thirds.toml").write_text(invented_text, encoding="utf-8")
    running = new_program()
    assert words(running)[0].startswith("Thirds on a number line\nyours")
    assert running.today.title.text() == "Thirds on a number line"


def test_the_chosen_outline_is_shown_with_its_phases(own_folder, new_program, invented_text):
    (own_folder / "thirds.toml").write_text(invented_text, encoding="utf-8")
    plan = new_program().today.plan
    rows = [[plan.item(row, column).text() for column in range(4)] for row in range(plan.rowCount())]
    assert rows[0] == ["Skip count", "2:00", "1:00", ""]
    assert rows[2] == ["Model", "7:00", "4:00", "Watch the number line"]
    assert len(rows) == 6


def test_a_bad_outline_among_good_ones_shows_its_problems_and_leaves_the_rest_usable(
    own_folder, new_program, invented_text
):
    (own_folder / "a-broken.toml").write_text("format = 1\ntitle = \n", encoding="utf-8")
    (own_folder / "b-binary.toml").write_bytes(bytes(range(256)) * 40)
    (own_folder / "c-folder.toml").mkdir()
    (own_folder / "d-good.toml").write_text(invented_text, encoding="utf-8")
    running = new_program()
    today = running.today
    assert [text.partition("\n")[0] for text in words(running)[:4]] == [
        "a-broken.toml", "b-binary.toml", "c-folder.toml", "Thirds on a number line",
    ]  # fmt: skip
    for name in ("a-broken", "b-binary", "c-folder"):
        running.choose(name)
        assert "has problems" in today.list.currentItem().text()
        assert f"{name}.toml" in today.problems.text()
        assert today.problems.isVisible()
        assert not today.plan.isVisible()
        assert not today.start_button.isEnabled()
        assert not today.ready_button.isEnabled()
    assert "Traceback" not in today.problems.text()
    running.choose("Thirds")
    assert today.start_button.isEnabled()
    assert not today.problems.isVisible()


def test_an_outline_that_is_edited_or_comes_meanwhile_is_seen_on_the_way_back(
    own_folder, new_program, invented_text
):
    running = new_program()
    (own_folder / "thirds.toml").write_text(invented_text, encoding="utf-8")
    QGuiApplication.instance().applicationStateChanged.emit(Qt.ApplicationState.ApplicationActive)
    assert words(running)[0].startswith("Thirds on a number line")
    running.choose("Thirds")
    (own_folder / "thirds.toml").write_text(invented_text + "\n# edited\nwrong = 1\n", encoding="utf-8")
    QGuiApplication.instance().applicationStateChanged.emit(Qt.ApplicationState.ApplicationActive)
    assert running.today.title.text() == "thirds.toml can't be used yet"
    assert not running.today.start_button.isEnabled()


def test_html_in_a_title_is_shown_as_text(own_folder, new_program):
    text = 'format = 1\ntitle = "<b>Thirds</b> & more"\n[[phase]]\ntitle = "<i>Go</i>"\nbudget = "3"\n'
    (own_folder / "html.toml").write_text(text, encoding="utf-8")
    running = new_program()
    assert running.today.title.text() == "<b>Thirds</b> & more"
    assert running.today.title.textFormat() == Qt.TextFormat.PlainText
    assert running.today.plan.item(0, 0).text() == "<i>Go</i>"


def test_enter_on_an_entry_only_moves_to_start_and_the_next_enter_starts_it(running):
    asked = []
    running.today.start_asked.disconnect()
    running.today.start_asked.connect(asked.append)
    running.today.list.setFocus()
    QTest.keyClick(running.today.list, Qt.Key.Key_Return)
    settle()
    assert asked == []
    assert running.window.focusWidget() is running.today.start_button
    QTest.keyClick(running.window.focusWidget(), Qt.Key.Key_Return)
    assert [outline.title for outline in asked] == [running.today.entry().outline.title]
    click(running.today.start_button)
    assert [outline.title for outline in asked] == [running.today.entry().outline.title] * 2


def test_the_outlines_are_reached_by_the_letter_in_their_heading(running):
    heading = next(
        label for label in running.today.findChildren(QLabel) if label.buddy() is running.today.list
    )
    letter = QKeySequence.mnemonic(heading.text())[0]
    running.window.activateWindow()
    settle()
    assert running.window.focusWidget() is running.today.start_button
    QTest.keyClick(running.window, letter.key(), letter.keyboardModifiers())
    assert running.window.focusWidget() is running.today.list


def test_an_entry_with_problems_starts_nothing(own_folder, new_program):
    (own_folder / "a.toml").write_text("nonsense", encoding="utf-8")
    running = new_program()
    asked = []
    running.today.start_asked.connect(asked.append)
    running.today.ready_asked.connect(asked.append)
    running.today.list.setFocus()
    QTest.keyClick(running.today.list, Qt.Key.Key_Return)
    assert running.window.focusWidget() is running.today.list
    click(running.today.start_button)
    click(running.today.ready_button)
    assert asked == []


def test_get_ready_shows_the_title_and_waits_for_a_key(running):
    click(running.today.ready_button)
    assert running.window.shows_desk
    assert running.program.room.lesson.session.events == ()
    running.tap("Space")
    assert running.program.room.lesson.has_started


def test_a_template_is_copied_into_the_own_folder_and_chosen(running):
    before = running.today.entry()
    click(running.today.copy_button)
    after = running.today.entry()
    assert not after.is_template
    assert after.path.parent == running.where.outlines
    assert after.path.read_bytes() == before.path.read_bytes()
    assert str(after.path) in running.today.notice.text()
    click(running.today.copy_button)
    assert running.today.entry().path.name == after.path.stem + "-copy-2.toml"
    assert len(shelf(running.where.outlines)) == len(list(template_folder().glob("*.toml"))) + 2


def test_a_copy_that_fails_says_so_and_changes_nothing(running):
    running.where.outlines.write_text("a file stands where the folder should be")
    click(running.today.copy_button)
    assert running.today.notice.text().startswith("The outline can't be copied: ")
    assert running.today.entry().is_template
    click(running.today.folder_button)
    assert running.today.notice.text().startswith("Your folder can't be opened: ")


def test_the_own_folder_is_made_and_opened(running, monkeypatch):
    opened = []

    def open_url(url) -> bool:
        opened.append(url.toLocalFile())
        return True

    monkeypatch.setattr(QDesktopServices, "openUrl", open_url)
    click(running.today.folder_button)
    assert running.where.outlines.is_dir()
    assert opened == [running.where.outlines.as_posix()]


# The block on the clock. The outline chosen below has a block of 75 minutes.


@pytest.fixture
def here(own_folder, new_program, invented_text):
    (own_folder / "thirds.toml").write_text(invented_text, encoding="utf-8")
    return new_program()


@pytest.mark.parametrize(
    ("now", "line"),
    [
        ("8:29", "Bell at 10:15. It is 8:29 now, so a start counts from the press."),
        ("8:30", "Bell at 10:15"),
        ("9:00", "Bell at 10:15"),
        ("10:14", "Bell at 10:15"),
        ("10:15", "Bell at 10:15. It is 10:15 now, so a start counts from the press."),
    ],
)
def test_the_line_says_when_the_bell_rings_and_whether_now_belongs_to_the_block(here, room_clock, now, line):
    room_clock.advance(room_time_ms(now) - room_clock.now().utc_ms)
    here.today.refresh_block()
    assert here.today.lesson.block_row.line.text() == line


def test_the_line_is_kept_true_minute_by_minute_while_the_page_is_seen(here, room_clock):
    today = here.today
    assert timer_of(today.findChild(Ticker)).isActive()
    assert 0 < timer_of(today.findChild(Ticker)).interval() <= 60_000
    room_clock.advance(room_time_ms("10:15") - room_clock.now().utc_ms)
    timer_of(today.findChild(Ticker)).timeout.emit()
    assert "It is 10:15 now" in today.lesson.block_row.line.text()
    click(today.ready_button)
    assert not timer_of(today.findChild(Ticker)).isActive()


def test_another_start_moves_the_bell_and_is_kept(here):
    today = here.today
    today.start_time.setTime(QTime(9, 40))
    assert today.lesson.block_row.line.text().startswith("Bell at 10:55")
    assert json.loads(here.where.settings_file.read_text())["block_start"] == "9:40"


def test_counting_from_the_press_needs_no_start_time(here):
    today = here.today
    today.when_pressed.setChecked(True)
    assert today.lesson.block_row.line.text() == "75 min from the start to the bell"
    assert not today.start_time.isEnabled()
    today.when_pressed.setChecked(False)
    assert today.start_time.isEnabled()


@pytest.mark.parametrize(("now", "planned"), [("8:45", "9:00"), ("9:06", "9:00"), ("7:00", "7:00")])
def test_a_lesson_in_its_block_counts_against_the_planned_start_and_any_other_from_the_press(
    here, room_clock, now, planned
):
    room_clock.advance(room_time_ms(now) - room_clock.now().utc_ms)
    click(here.today.start_button)
    state = here.program.room.lesson.session.state
    assert state.planned_utc_ms == room_time_ms(planned)
    assert state.started_utc_ms == room_time_ms(now)


def test_when_counting_from_the_press_a_late_start_is_none(here):
    here.clock.advance(6 * 60_000)
    here.today.when_pressed.setChecked(True)
    click(here.today.start_button)
    assert here.program.room.lesson.session.state.late_ms == 0


# What is kept.


def test_choices_are_kept_for_the_next_start(new_program):
    first = new_program()
    third = first.today.list.item(3)
    first.today.list.setCurrentItem(third)
    first.today.start_time.setTime(QTime(13, 5))
    first.today.when_pressed.setChecked(True)
    chosen = first.today.chosen_path()
    first.program.shut()
    second = new_program()
    assert second.today.chosen_path() == chosen
    assert second.today.start_time.time() == QTime(13, 5)
    assert second.today.when_pressed.isChecked()
    assert not second.today.start_time.isEnabled()
    assert second.program.settings.now.start_when_pressed


def test_what_the_wall_shows_and_when_talk_is_cued_can_be_chosen_and_reaches_the_lesson(running, invented):
    running.today.choices.digits.setChecked(False)
    running.today.choices.talk_limit.setValue(3)
    kept = json.loads(running.where.settings_file.read_text())
    assert (kept["wall_digits"], kept["wall_squares"], kept["talk_limit_s"]) == (False, True, 180)
    running.program.start_now(invented)
    frame = running.program.room.wall.full.frame
    assert (frame.digits, frame.full) == (None, 2)


@pytest.mark.parametrize("written", ["9:05", "09:05", "0:00", "23:59"])
def test_every_way_to_write_a_time_in_the_settings_is_shown_as_it_is_meant(tmp_path, new_program, written):
    (tmp_path / "data").mkdir()
    (tmp_path / "data" / "settings.json").write_text(Settings(block_start=written).model_dump_json())
    shown = new_program().today.start_time.time()
    hour, minute = (int(part) for part in written.split(":"))
    assert (shown.hour(), shown.minute()) == (hour, minute)


def test_a_chosen_outline_that_has_gone_leaves_the_first_one_chosen_and_is_not_forgotten(
    tmp_path, new_program
):
    (tmp_path / "data").mkdir()
    gone = Settings(last_outline=str(tmp_path / "gone.toml"))
    (tmp_path / "data" / "settings.json").write_text(gone.model_dump_json())
    running = new_program()
    assert running.today.list.currentRow() == 0
    running.today.choices.digits.click()
    running.today.reload()
    assert running.today.list.currentRow() == 0
    kept = json.loads(running.where.settings_file.read_text())
    assert (kept["last_outline"], kept["wall_digits"]) == (gone.last_outline, False)


@pytest.fixture
def full_disk(monkeypatch):
    """No settings can be written from now on."""

    def full(*_asked: object) -> bool:
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr("pacer.settings.store.write_whole", full)


def test_settings_that_cannot_be_kept_are_told_and_today_goes_on(running, full_disk):
    running.today.when_pressed.setChecked(True)
    assert running.today.notice.text().startswith("The settings can't be saved in ")
    assert running.today.notice.isVisible()
    assert running.program.settings.now.start_when_pressed
    click(running.today.start_button)
    assert running.program.room.lesson.has_started


def test_a_notice_that_is_taken_away_leaves_no_empty_box(running):
    running.today.show_notice("Something to read")
    settle()
    assert running.today.notice.isVisible()
    running.today.show_notice("")
    assert not running.today.notice.isVisible()


def test_choosing_another_outline_takes_the_notice_away_and_reading_the_folders_again_does_not(running):
    running.today.show_notice("Something to read")
    running.today.reload()
    running.today.list.setCurrentRow(running.today.list.currentRow())
    assert running.today.notice.text() == "Something to read"
    assert running.today.notice.isVisible()
    running.today.list.setCurrentRow(running.today.list.currentRow() + 1)
    assert running.today.notice.text() == ""
    assert not running.today.notice.isVisible()


def test_a_choice_that_cannot_be_kept_is_told_though_choosing_clears_the_notice(running, full_disk):
    running.today.show_notice("Something to read")
    running.today.list.setCurrentRow(2)
    assert running.today.notice.text().startswith("The settings can't be saved in ")
    assert running.today.notice.isVisible()


def test_room_time_is_the_time_that_the_page_sees(room_clock):
    """The tests' own clock: what the tests above rest on."""
    now = local_now(room_clock)
    assert (now.hour, now.minute, now.tzinfo) == (9, 0, None)


def test_without_any_outline_it_says_what_will_stand_here_and_one_press_writes_one(new_program, monkeypatch):
    monkeypatch.setattr("pacer.qt.today.shelf.shelf_rows", lambda _folder: [])
    running = new_program()
    today = running.today
    assert today.empty.isVisible()
    assert today.empty.button.hasFocus() or today.focusProxy() is today.empty.button
    assert not today.start_button.isVisible()
    click(today.empty.button)
    assert running.program.pages.outline.isVisible()


def test_all_of_the_lesson_stands_on_one_left_edge(running):
    today = running.today
    running.window.show()
    settle()
    edges = {
        widget.mapTo(running.window, QPoint(0, 0)).x()
        for widget in (today.title, today.plan, today.start_button)
    }
    assert len(edges) == 1
