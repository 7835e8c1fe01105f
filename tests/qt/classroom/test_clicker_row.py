"""The clicker's blank button does what was chosen on Room, in a lesson and in the words about keys."""

import pytest

from pacer.qt.classroom.clicker_row import ClickerRow
from pacer.qt.classroom.keys_panel import KeysPanel
from pacer.qt.classroom.page import RoomPage
from pacer.settings.model import Settings
from tests.qt.window_factories import Keyboard, NotedSettings, settle


@pytest.fixture
def settings(tmp_path):
    return NotedSettings(tmp_path / "settings.json", Settings())


@pytest.fixture
def row(dressed, settings):
    made = ClickerRow(settings)
    yield made
    made.deleteLater()
    settle()


def test_at_first_it_hides_the_time_and_a_choice_is_kept(row, settings):
    assert row.hides.isChecked()
    row.blanks.setChecked(True)
    row.hides.setChecked(True)
    assert settings.changes == [{"clicker_blanks": True}, {"clicker_blanks": False}]


def test_a_settings_file_from_before_is_read_as_hiding_the_time():
    assert not Settings.model_validate({"talk_limit_s": 300}).clicker_blanks


@pytest.mark.parametrize("name", ["B", "Period"])
def test_chosen_so_it_blanks_and_pauses_and_the_next_press_brings_the_wall_back(new_stage, invented, name):
    made = new_stage(invented, settings=Settings(clicker_blanks=True)).start()
    made.tap(name)
    assert made.last.kind == "blanked"
    assert made.session.state.is_paused
    assert made.desk.answered == "Wall blank"
    made.tap(name)
    assert made.last.kind == "unblanked"
    made.tap("H")
    assert made.last.kind == "time_hidden", "H is always the time"


@pytest.mark.parametrize("name", ["B", "Period"])
def test_else_it_hides_and_shows_the_time(stage, name):
    stage.tap(name)
    assert stage.session.state.hidden
    stage.tap(name)
    assert not stage.session.state.hidden
    assert not stage.session.state.is_blank


@pytest.mark.parametrize(("blanks", "does"), [(False, "hide, show time"), (True, "blank the Wall, pause")])
def test_the_keys_on_the_desk_and_the_panel_on_room_say_what_it_does(new_stage, invented, blanks, does):
    made = new_stage(invented, settings=Settings(clicker_blanks=blanks)).start()
    made.tap("F1")
    assert dict(made.desk.sheet.keys)["B"] == does
    panel = KeysPanel(lambda: blanks)
    keyboard = Keyboard(panel.pad, panel.pad.reader)
    keyboard.tap("Period")
    told = "Blank the Wall and pause" if blanks else "Hide, show time"
    assert next(words.text() for _name, words in panel.rows) == told
    panel.deleteLater()
    settle()


def test_the_choice_stands_on_room_above_the_field_for_keys(dressed, tmp_path):
    page = RoomPage(NotedSettings(tmp_path / "settings.json", Settings(clicker_blanks=True)))
    page.resize(960, 540)
    page.show()
    settle()
    assert page.clicker.blanks.isChecked()
    above = page.clicker.mapTo(page, page.clicker.rect().bottomLeft()).y()
    assert above <= page.keys.mapTo(page, page.keys.rect().topLeft()).y()
    page.close()
    page.deleteLater()
    settle()
