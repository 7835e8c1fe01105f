"""The ready list on Today: late, ticked by itself where it can be, and the teacher's own lines."""

import gettext
import json
from dataclasses import dataclass

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from pacer import text
from pacer.frames.ready import RoomFacts
from pacer.plan.day_shapes import STARTING_SHAPES, DayShapes
from pacer.qt.lesson import room_facts
from pacer.qt.screens.present import present_screens
from pacer.qt.today import ready_panel
from pacer.qt.today.ready_mark import ReadyMark, draw_mark, state_words
from pacer.settings.model import Settings
from pacer.settings.screen_choice import remember
from pacer.settings.store import SettingsStore
from tests.qt.window_factories import click, settle, timer_of


@dataclass
class Reading:
    """A battery of our own."""

    percent: float = 50
    secsleft: int = 1800
    power_plugged: bool | None = False


@pytest.fixture
def program_with(tmp_path, new_program, invented_text, monkeypatch):
    """Starts the program with settings, on a laptop without a battery unless told."""
    monkeypatch.setattr(room_facts.room_facts, "__kwdefaults__", {"read": lambda: None})

    def begin(written: str = invented_text, **settings: object):
        data = tmp_path / "data"
        (data / "outlines").mkdir(parents=True, exist_ok=True)
        (data / "outlines" / "thirds.toml").write_text(written, encoding="utf-8")
        (data / "settings.json").write_text(Settings(**settings).model_dump_json(), encoding="utf-8")
        return new_program(data).choose("Thirds")

    return begin


def said(running) -> dict[str, tuple[str, str]]:
    """The list now: each line's state and words by its name."""
    running.today.ready_panel.refresh()
    settle()
    return {item.name: (item.state, item.words) for item in running.today.ready_panel.items}


def kept(running) -> dict:
    return json.loads(running.where.settings_file.read_text(encoding="utf-8"))


def add(running, line: str) -> None:
    running.today.ready_panel.own.setText(line)
    click(running.today.ready_panel.add_button)
    settle()


def test_nothing_is_looked_at_until_the_page_has_been_seen_for_a_while(program_with, monkeypatch):
    monkeypatch.setattr(ready_panel, "LATE_MS", 3_600_000)
    running = program_with()
    panel = running.today.ready_panel
    asked = []

    def look(day: str, problems: tuple[str, ...] | None) -> RoomFacts:
        asked.append(day)
        return RoomFacts(screens=2, wall_known=True, day=day)

    panel.look = look
    assert (asked, panel.items) == ([], ())
    timer_of(panel).timeout.emit()
    assert panel.items
    assert asked == ["Bell at 10:15"]


def test_a_hidden_page_looks_at_nothing(program_with):
    running = program_with()
    click(running.today.ready_button)
    assert not timer_of(running.today.ready_panel).isActive()
    running.today.ready_panel.expect()
    assert not timer_of(running.today.ready_panel).isActive()


def test_the_screens_are_ticked_once_the_teacher_has_answered_which_the_class_sees(program_with):
    assert said(program_with())["Projector"][0] == "look"
    screens = present_screens()
    projector = next(screen for screen in screens if screen.name == "Projector")
    running = program_with(rooms=remember((), screens, projector))
    assert said(running)["Projector"] == ("ready", "The class's screen is known.")


@pytest.mark.parametrize(
    ("reading", "state"),
    [
        (None, "unknown"),
        (Reading(power_plugged=True, secsleft=-2), "ready"),
        (Reading(secsleft=1800), "look"),
        (Reading(secsleft=7200), "ready"),
        (Reading(secsleft=-1), "look"),
    ],
)
def test_the_battery_is_read_from_the_laptop(running, reading, state):
    facts = room_facts.room_facts(
        running.window, (), "", (), records=None, keys_tried=False, read=lambda: reading
    )
    from pacer.frames.ready import ready_list

    items = ready_list(running.today.entry().outline, facts)
    assert next(item.state for item in items if item.name == "Battery") == state


def test_a_day_record_that_cannot_be_written_is_to_be_looked_at(program_with):
    running = program_with()
    assert said(running)["Day record"][0] == "ready"
    running.program.kept.close()
    assert said(running)["Day record"][0] == "look"


def test_a_key_tried_on_the_room_page_ticks_the_clicker(program_with):
    from PySide6.QtCore import Qt
    from PySide6.QtTest import QTest

    running = program_with()
    assert said(running)["Clicker"][0] == "unknown"
    running.program.pages.show_room()
    QTest.keyClick(running.program.pages.room.keys.pad, Qt.Key.Key_PageDown)
    running.window.show_today()
    assert said(running)["Clicker"][0] == "ready"


def test_the_days_shape_is_said_and_left_to_the_teacher(program_with):
    running = program_with(day_shapes=DayShapes(shapes=STARTING_SHAPES))
    assert said(running)["Day and bell"] == ("unknown", "Regular, 75 min, ends 10:15")


def test_a_broken_attachment_is_named_once_and_counted_in_the_list(program_with, invented_text, qtbot):
    running = program_with(invented_text.replace("[[phase]]", '[[phase]]\nattach = "gone.pdf"', 1))
    # On a busy machine the answer may be there already.
    assert said(running)["Attached files"][0] in ("unknown", "look")
    qtbot.waitUntil(running.today.ready_lines.isVisible, timeout=60_000)
    assert said(running)["Attached files"] == ("look", "1 is not ready: see the plan.")
    assert running.today.ready_lines.text().count("gone.pdf") == 1


def test_every_mark_has_a_shape_and_a_word_of_its_own(program_with):
    from PySide6.QtCore import QRectF
    from PySide6.QtGui import QImage, QPainter

    assert len({state_words("ready"), state_words("look"), state_words("unknown")}) == 3
    drawn = []
    for state in ("ready", "look", "unknown"):
        image = QImage(40, 40, QImage.Format.Format_Grayscale8)
        image.fill(255)
        with QPainter(image) as painter:
            draw_mark(painter, QRectF(2, 2, 36, 36), state)
        # Outlines alone, without any colour: what is darker than the paper.
        drawn.append(
            frozenset((x, y) for x in range(40) for y in range(40) if image.pixelColor(x, y).value() < 200)
        )
    assert min(len(one ^ other) for one in drawn for other in drawn if one is not other) > 100
    running = program_with()
    states = [item.state for item in running.today.ready_panel.items] or list(said(running).values())
    marks = running.today.ready_panel.findChildren(ReadyMark)
    assert len(marks) == len(states) > 4


def test_the_summary_counts_what_is_to_be_looked_at(program_with):
    running = program_with()
    look = sum(state == "look" for state, _words in said(running).values())
    assert running.today.ready_panel.summary.text() == f"{look} to look at"
    assert look == 1 + (said(running)["Problems and pictures"][0] == "look")


# The teacher's own lines.


def test_a_line_of_her_own_is_added_kept_and_taken_out(program_with, tmp_path, new_program):
    running = program_with()
    said(running)
    add(running, "  Cut the  strips ")
    assert kept(running)["reminders"] == ["Cut the strips"]
    assert [box.text() for box in running.today.ready_panel.boxes] == ["Cut the strips"]
    add(running, "Cut the strips")
    add(running, "   ")
    assert len(running.today.ready_panel.boxes) == 1
    running.program.shut()
    again = new_program(tmp_path / "data")
    again.today.ready_panel.refresh()
    assert [box.text() for box in again.today.ready_panel.boxes] == ["Cut the strips"]
    again.today.ready_panel.removers[0].click()
    settle()
    assert (kept(again)["reminders"], again.today.ready_panel.boxes) == ([], [])


def test_a_tick_holds_for_today_also_after_a_new_start_and_is_forgotten_tomorrow(
    program_with, tmp_path, new_program, room_clock
):
    running = program_with(reminders=("Strips", "Marker"))
    said(running)
    running.today.ready_panel.boxes[1].click()
    settle()
    assert [box.isChecked() for box in running.today.ready_panel.boxes] == [False, True]
    running.program.shut()
    again = new_program(tmp_path / "data")
    again.today.ready_panel.refresh()
    assert [box.isChecked() for box in again.today.ready_panel.boxes] == [False, True]
    room_clock.advance(24 * 3600 * 1000)
    again.today.refresh_block()
    again.today.ready_panel.refresh()
    assert [box.isChecked() for box in again.today.ready_panel.boxes] == [False, False]


def test_a_tick_is_taken_back_and_the_keyboard_stays_on_its_line(program_with):
    running = program_with(reminders=("Strips", "Marker"))
    said(running)
    running.window.activateWindow()
    running.today.ready_panel.boxes[0].setFocus()
    running.today.ready_panel.boxes[0].click()
    settle()
    assert running.today.ready_panel.boxes[0].hasFocus()
    running.today.ready_panel.boxes[0].click()
    settle()
    assert kept(running)["reminders_done"] == ["2026-03-09", []]


def test_an_outline_with_problems_has_no_list(program_with):
    running = program_with()
    said(running)
    (running.where.outlines / "a.toml").write_text("nonsense", encoding="utf-8")
    running.today.reload()
    running.choose("a.toml")
    assert running.today.ready_panel.items == ()
    assert not running.today.rehearse_button.isEnabled()
    assert not running.today.card_button.isEnabled()


def test_in_the_smallest_window_one_key_brings_the_ready_list_in_place_of_the_outlines(running):
    today = running.today
    running.window.showNormal()
    running.window.resize(900, 560)
    settle()
    assert (today.shelf.isVisible(), today.ready_side.isVisible()) == (True, False)
    today.ready_panel.refresh()
    assert today.aside_button.text() == f"&What is ready? {today.ready_panel.summary.text()}"
    today.aside_button.setFocus()
    QTest.keyClick(today.aside_button, Qt.Key.Key_Space)
    settle()
    assert (today.shelf.isVisible(), today.ready_side.isVisible()) == (False, True)
    assert today.rehearse_button.isVisible()
    assert running.window.width() == 900
    QTest.keyClick(today.aside_button, Qt.Key.Key_Space)
    settle()
    assert (today.shelf.isVisible(), today.ready_side.isVisible()) == (True, False)


def test_in_a_wide_window_all_three_stand_side_by_side(running):
    running.window.showNormal()
    running.window.resize(1366, 768)
    settle()
    assert running.today.shelf.isVisible()
    assert running.today.ready_panel.width() >= 280
    assert not running.today.aside_button.isVisible()


def test_longer_words_and_long_reminders_are_not_clipped_on_a_small_laptop(program_with):
    from tests.qt.kit.test_widgets import Stretched, clipped

    text.use_catalogue(Stretched())
    try:
        running = program_with(
            reminders=(
                "Cut the strips and put them on all of the six tables",
                "Unterrichtsvorbereitungsmaterialien",
            ),
            day_shapes=DayShapes(shapes=STARTING_SHAPES, week={0: "Early release"}),
        )
        assert all("éñ" in name for name in list(said(running))[:6])
        assert running.today.day_row.recut_box.isVisible()
        assert clipped() == []
        assert running.window.minimumSizeHint().width() <= 1366
        assert running.window.minimumSizeHint().height() <= 768
    finally:
        text.use_catalogue(gettext.NullTranslations())


LONG = " ".join(["Look at the number line and tell your partner which is nearer to one half."] * 3)


def test_what_the_back_row_cant_read_is_named_until_the_picture_is_larger(program_with, invented_text, qtbot):
    written = invented_text.replace('class_line = "Watch the number line"', f'class_line = "{LONG}"')
    assert written != invented_text
    running = program_with(written)
    panel = running.today.ready_panel
    qtbot.waitUntil(lambda: bool(panel.small_words.found), timeout=60_000)
    state, words = said(running)["Back row"]
    assert state == "look"
    assert words == (
        "Too small on the Wall for the back row: the line for the class of “Model”. "
        "Make it shorter: page Outline."
    )
    running.program.settings.change(picture_height_mm=6000)
    with qtbot.waitSignal(panel.small_words.told, timeout=60_000):
        panel.small_words.look_at(running.today.entry().outline)
    assert "Back row" not in said(running)


def test_a_line_of_another_window_stays_beside_one_that_is_added_here(program_with):
    running = program_with(reminders=("Strips",))
    SettingsStore(running.where.settings_file).change(reminders=("Strips", "Marker"))
    panel = running.today.ready_panel
    panel.own.setText("Scissors")
    panel.own.returnPressed.emit()
    settle()
    assert kept(running)["reminders"] == ["Strips", "Marker", "Scissors"]
