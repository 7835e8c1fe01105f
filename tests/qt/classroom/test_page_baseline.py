"""Baseline lessons: ticked on the Room page, then a Desk that shows time only."""

import json

import pytest

from pacer.review.learning.past_endings import history
from pacer.settings.model import Settings
from tests.qt.classroom.test_page import page_of
from tests.qt.kit.test_widgets import clipped
from tests.qt.window_factories import click, kinds_of, settle


@pytest.fixture
def program_of(tmp_path, new_program, invented_text):
    """Starts the program with the invented outline and settings."""

    def begin(**settings: object):
        data = tmp_path / "data"
        (data / "outlines").mkdir(parents=True, exist_ok=True)
        (data / "outlines" / "thirds.toml").write_text(invented_text, encoding="utf-8")
        (data / "settings.json").write_text(Settings(**settings).model_dump_json(), encoding="utf-8")
        return new_program(data).choose("Thirds")

    return begin


def kept(running) -> Settings:
    return Settings.model_validate(json.loads(running.where.settings_file.read_text(encoding="utf-8")))


def mode_of(running) -> str:
    return running.program.room.lesson.session.state.mode


@pytest.mark.parametrize(("before", "mode"), [(False, "baseline"), (True, "live")])
def test_a_lesson_is_a_baseline_once_the_box_is_ticked_and_live_once_it_is_not(program_of, before, mode):
    running = program_of(baseline=before)
    click(running.window.names["room"])
    box = page_of(running).baseline.box
    assert box.isChecked() is before
    box.click()
    settle()
    assert kept(running).baseline is not before
    running.window.show_today()
    settle()
    click(running.today.start_button)
    assert mode_of(running) == mode


def test_lessons_are_live_as_long_as_nobody_ticked_it(program_of):
    running = program_of()
    click(running.today.start_button)
    assert mode_of(running) == "live"


def test_the_box_says_in_a_sentence_what_it_does(program_of):
    running = program_of(baseline=True)
    click(running.window.names["room"])
    box = page_of(running).baseline.box
    assert box.isChecked()
    words = "In a baseline the Desk shows time only and gives no warnings, to compare with."
    assert box.accessibleDescription() == words


def test_what_today_keeps_does_not_untick_it(program_of):
    running = program_of()
    click(running.window.names["room"])
    page_of(running).baseline.box.click()
    running.window.show_today()
    settle()
    running.today.choices.no_fades.click()
    assert (kept(running).baseline, kept(running).reduced_motion) == (True, True)


def test_a_rehearsal_stays_one_while_the_box_is_ticked(program_of):
    running = program_of(baseline=True)
    click(running.today.rehearse_button)
    assert mode_of(running) == "rehearsal"


def test_a_baseline_that_runs_over_gets_no_cue_and_shows_no_warning_and_all_is_logged(program_of):
    running = program_of(baseline=True)
    click(running.today.start_button)
    said: list[str] = []
    running.program.room.lesson.cued.connect(said.append)
    running.wait(200)
    frame = running.program.room.desk.frame
    assert (frame.word, frame.level, frame.number, frame.headline, frame.under, frame.outlook) == (
        "STEADY", 0, "+1:20", "", "", "",
    )  # fmt: skip
    assert frame.near[0] == "Baseline: no warnings"
    assert said == []
    assert clipped() == []
    running.program.room.lesson.press("next", "done")
    running.program.room.lesson.press("end", "done")
    events = running.program.records.events(running.program.records.runs()[0].id)
    assert kinds_of(events) == ["started", "moved", "ended"]
    assert list(history(running.program.records).endings) == []
    assert [past.actual_s for past in history(running.program.records, ("baseline",)).endings][:1] == [200]


@pytest.mark.slow
def test_a_baseline_that_was_cut_off_goes_on_as_one_even_if_the_box_is_no_longer_ticked(
    program_of, new_program, tmp_path
):
    first = program_of(baseline=True)
    click(first.today.start_button)
    first.program.shut()
    (tmp_path / "data" / "settings.json").write_text(Settings().model_dump_json(), encoding="utf-8")
    second = new_program(tmp_path / "data")
    click(second.today.resume_button)
    assert mode_of(second) == "baseline"
    second.wait(200)
    assert second.program.room.desk.frame.word == "STEADY"
    assert second.program.room.lesson.session.state.cues == ()
