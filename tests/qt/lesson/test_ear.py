"""A lesson's stages in the teacher's ear: the moments of the Desk, whatever screens show."""

import subprocess
import sys

import pytest

from pacer.earpiece.outputs import Output
from pacer.qt.earpiece.player import GAP_S, EarPlayer
from pacer.qt.earpiece.spoken import Spoken
from pacer.qt.lesson.care import LessonCare
from pacer.qt.lesson.ear import LessonEar
from pacer.settings.model import Settings
from tests.qt.earpiece.fake_outputs import EARBUD, SPEAKERS, FakeOutputs, played_bytes
from tests.qt.lesson.test_care import FakeAwake
from tests.qt.window_factories import settle

GONE = "Earpiece: Earbud is not there. No cue is heard."
FAR = "The earpiece is gone: no cue is heard."
NAMES = {played_bytes(cue, 40): cue for cue in ("closing", "borrowing", "move_on", "visit_up")}


@pytest.fixture
def new_ear(monkeypatch):
    """An ear on a lesson; ``heard`` are the cues on the earbud since then."""
    monkeypatch.setattr(FakeOutputs, "there", (SPEAKERS, EARBUD))
    made = []

    def build(lesson, chosen: Output = EARBUD):
        ear = LessonEar(lesson, Settings(earpiece=chosen, earpiece_level=40), EarPlayer(chosen))
        ear.fake = FakeOutputs.made[-1]
        made.append(ear)
        return ear

    yield build
    for ear in made:
        ear.shut()
        ear.deleteLater()


def heard(fake):
    assert all(output == EARBUD for output, _pcm in fake.played)
    return [NAMES[pcm] for _output, pcm in fake.played]


@pytest.mark.slow
def test_each_stage_is_heard_in_the_second_in_which_the_desk_first_shows_it(stage, new_ear):
    ear = new_ear(stage.lesson)
    for second in range(1, 200):
        stage.wait(1)
        assert heard(ear.fake) == [
            cue for at, cue in ((96, "closing"), (120, "borrowing"), (150, "move_on")) if at <= second
        ]


def test_it_is_heard_where_the_desk_is_covered_and_where_nobody_looks_at_it(stage, new_ear):
    ear = new_ear(stage.lesson)
    stage.lesson.desk_wanted = False
    stage.wait(125)
    assert heard(ear.fake) == ["closing", "borrowing"]


@pytest.mark.slow
def test_a_visit_whose_time_is_up_is_heard_as_such(new_stage, new_ear):
    from pacer.plan.file.reader import read_text
    from tests.pace.block_factories import PLAN

    stage = new_stage(read_text(PLAN, "block.toml")).start()
    ear = new_ear(stage.lesson)
    stage.lesson.press("groups")
    stage.lesson.press("next")
    while not ear.fake.played or heard(ear.fake)[-1] != "visit_up":
        stage.clock.advance(10_000)
        stage.lesson.refresh()
        assert stage.lesson.session.now_ms() < 75 * 60_000
    settle()
    assert heard(ear.fake) == ["closing", "visit_up"]


def test_words_follow_the_tones_where_they_are_wanted_and_rendered(stage, new_ear, monkeypatch):
    monkeypatch.setattr(Spoken, "of", lambda _spoken, text: text.encode())
    ear = new_ear(stage.lesson)
    stage.wait(100)
    (played,) = ear.fake.played
    silence = bytes(2 * round(GAP_S * 48_000))
    assert played == (EARBUD, played_bytes("closing", 40) + silence + b"half a minute")


def test_the_sounds_are_ready_before_the_first_is_wanted(stage, new_ear, monkeypatch):
    ear = new_ear(stage.lesson)
    while ear._unready:
        settle()
    monkeypatch.setattr("pacer.qt.earpiece.player.pattern", None)
    stage.wait(125)
    assert heard(ear.fake) == ["closing", "borrowing"]


@pytest.mark.parametrize("wanted", [False, True])
def test_words_are_rendered_before_the_lesson_only_where_they_are_wanted(stage, monkeypatch, wanted):
    asked = []
    monkeypatch.setattr(Spoken, "__init__", lambda _self, texts, *_rest: asked.extend(texts))
    monkeypatch.setattr(Spoken, "shut", lambda _self: None)
    settings = Settings(earpiece=EARBUD, earpiece_words=wanted)
    ear = LessonEar(stage.lesson, settings, EarPlayer(EARBUD))
    assert ("move on" in asked, "Practice pays" in asked) == (wanted, wanted)
    ear.shut()
    ear.deleteLater()


def test_an_ear_that_is_shut_hears_nothing_more(stage, new_ear):
    ear = new_ear(stage.lesson)
    ear.shut()
    stage.wait(125)
    assert ear.fake.played == []
    assert ear.fake.is_closed


def test_an_output_that_is_gone_is_passed_over_and_used_again_when_it_is_back(stage, new_ear):
    ear = new_ear(stage.lesson)
    ear.fake.now(SPEAKERS)
    stage.wait(100)
    ear.fake.now(SPEAKERS, EARBUD)
    stage.wait(30)
    assert heard(ear.fake) == ["borrowing"]


@pytest.fixture
def cared(stage, monkeypatch):
    """A lesson looked after, with an earpiece chosen, and what its Desk is told."""
    monkeypatch.setattr(FakeOutputs, "there", (SPEAKERS, EARBUD))
    care = LessonCare(FakeAwake(), lambda: "")
    care.told = []
    stage.lesson.tell_of_room = care.told.append
    yield care
    care.detach()


def test_the_desk_says_so_while_the_earpiece_is_gone_and_no_longer(stage, cared):
    cared.attach(stage.lesson, Settings(earpiece=EARBUD))
    settle()
    assert cared.told[-1] == ()
    FakeOutputs.made[-1].now(SPEAKERS)
    settle()
    assert cared.told[-1] == (GONE,)
    FakeOutputs.made[-1].now(SPEAKERS, EARBUD)
    settle()
    assert cared.told[-1] == ()


def test_it_is_said_in_large_too_where_nothing_else_asks_for_attention(stage, cared):
    cared.attach(stage.lesson, Settings(earpiece=EARBUD))
    FakeOutputs.made[-1].now(SPEAKERS)
    settle()
    assert stage.desk.frame.notice == FAR
    stage.lesson.press("blank")
    settle()
    assert stage.desk.frame.notice.startswith("The Wall is blank")
    stage.lesson.press("blank")
    settle()
    assert stage.desk.frame.notice == FAR
    FakeOutputs.made[-1].now(SPEAKERS, EARBUD)
    settle()
    assert stage.desk.frame.notice == ""


def test_a_lesson_that_is_over_misses_no_earpiece(stage, cared):
    cared.attach(stage.lesson, Settings(earpiece=EARBUD))
    FakeOutputs.made[-1].now(SPEAKERS)
    stage.lesson.press("end")
    settle()
    assert FAR not in stage.desk.frame.notice


def test_a_lesson_that_is_left_leaves_the_outputs(stage, cared):
    cared.attach(stage.lesson, Settings(earpiece=EARBUD))
    cared.detach()
    assert FakeOutputs.made[-1].is_closed
    stage.wait(125)
    assert FakeOutputs.made[-1].played == []


def test_without_a_choice_no_output_is_asked_for(stage, cared):
    cared.attach(stage.lesson, Settings())
    stage.wait(125)
    assert FakeOutputs.made == []


@pytest.mark.slow
def test_where_no_earpiece_is_chosen_a_lesson_loads_nothing_of_it():
    program = """
import sys
import pacer.qt.lesson.care, pacer.qt.lesson.services, pacer.qt.lesson.room, pacer.qt.desk.window
late = ["pacer.qt.earpiece", "pacer.earpiece.pulse", "pacer.earpiece.patterns"]
late += ["PySide6.QtMultimedia", "numpy"]
print([name for name in late if name in sys.modules])
"""
    done = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
