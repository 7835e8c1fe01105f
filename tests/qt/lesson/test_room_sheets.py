"""What the Desk shows on demand: the keys that do something now, and all of the notes."""

import pytest

from pacer.qt.desk.sheet import lay_sheet
from tests.qt.window_factories import change_screens, settle

UP, UNDO = ("Up", "+1:00"), ("Page Up", "undo; hold: back")


def keys(stage) -> dict[str, str]:
    return {} if stage.desk.sheet is None else dict(stage.desk.sheet.keys)


def test_the_keys_are_shown_by_f1_and_taken_away_by_it_or_by_any_other_press(stage):
    assert stage.desk.sheet is None
    events = len(stage.session.events)
    stage.tap("F1")
    assert UP in stage.desk.sheet.keys
    assert len(stage.session.events) == events, "a look changes nothing"
    stage.wait(3)
    assert stage.desk.sheet is not None, "time takes nothing away"
    stage.tap("F1")
    assert stage.desk.sheet is None
    stage.tap("F1").tap("V")
    assert stage.desk.sheet is None
    assert stage.last.kind == "voice"


def test_only_keys_that_do_something_now_are_listed(stage):
    stage.tap("F1")
    assert not {"Page Up", "E"} & set(keys(stage)), "nothing was pressed, nobody talks"
    stage.tap("P").tap("F1")
    assert {"Page Up", "E"} <= set(keys(stage))
    stage.wait(12).tap("F1").tap("F1")
    assert "Page Up" not in keys(stage), "it means the last ten seconds"
    stage.tap("Home").tap("F1")
    assert set(keys(stage)) == {"Page Up", "Enter"}


def test_before_the_start_the_keys_that_start_are_listed(new_stage, invented):
    made = new_stage(invented)
    made.enter()
    made.tap("F1")
    assert set(keys(made)) == {"Space", "Page Down"}


def test_a_lesson_s_keys_fit_the_sheet_in_every_window(stage):
    stage.tap("P").tap("F1")
    sheet = stage.desk.sheet
    assert len(sheet.keys) > 15
    for width, height in ((1366, 768), (960, 540), (683, 384), (1024, 768)):
        size = stage.desk.size()
        size.setWidth(width)
        size.setHeight(height)
        rect, lines = lay_sheet(sheet, size)
        assert all(rect.contains(box) for box, _setting in lines)
        assert not [setting.lines for _box, setting in lines if setting.elided]
        boxes = [box for box, _setting in lines]
        crossed = [1 for n, one in enumerate(boxes) for two in boxes[n + 1 :] if one.intersects(two)]
        assert not crossed


def test_the_notes_are_shown_by_f2_and_nothing_is_shown_where_there_are_none(stage):
    stage.tap("F2")
    assert stage.desk.sheet is None
    assert stage.desk.answered == "There are no notes here."
    while not stage.desk.frame.notes:
        stage.tap("N")
    stage.tap("F2")
    assert stage.desk.sheet.notes == stage.desk.frame.notes
    stage.tap("F1")
    assert stage.desk.sheet.keys
    stage.tap("F2").tap("F2")
    assert stage.desk.sheet is None


def test_a_key_that_is_held_down_shows_the_keys_once(stage):
    stage.tap("F1", down_ms=2000)
    stage.keyboard.repeat("F1", times=5)
    assert stage.desk.sheet is not None


@pytest.mark.parametrize("name", ["F1", "F2"])
def test_behind_the_curtain_no_sheet_is_made(stage, name):
    change_screens()
    settle()
    assert not stage.window.shows_desk
    stage.tap(name)
    assert stage.desk.sheet is None
