"""The words after a cue: few, and all of them known before the lesson."""

from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.earpiece.cues import EarCue
from pacer.frames.words.lesson.ear import all_ear_words, ear_words
from pacer.pace.ear_cues import EarCues
from pacer.plan.file.reader import read_text
from tests.pace.block_factories import PLAN


def said(lesson, seconds):
    """The words of each cue in so many seconds."""
    cues, found = EarCues(), []
    for _second in range(seconds):
        reading = lesson.reading
        cue = cues.due(reading)
        if cue is not None:
            found.append(ear_words(cue, reading))
        lesson.wait(1)
    return found


def test_a_phase_that_runs_over_says_what_is_left_who_pays_and_to_move_on(new_lesson):
    lesson = new_lesson().wait(120)
    payer = lesson.reading.price.payments[0].payer
    pays = f"{lesson.state.plan.phases[payer].title} pays"
    assert said(new_lesson(), 160) == ["half a minute", pays, "move on"]


@pytest.mark.parametrize(
    ("budget", "words"), [("5", "one minute"), ("2", "half a minute"), ("1", "a few seconds")]
)
def test_what_is_left_is_said_in_three_steps(new_lesson, new_outline, budget, words):
    outline = new_outline({"budget": budget}, {"budget": "15"}, mini_lesson="25")
    assert said(new_lesson(outline), 60 * int(budget))[0] == words


def test_the_second_half_says_that_groups_pay_and_that_a_visit_is_over(new_lesson):
    lesson = new_lesson(read_text(PLAN, "block.toml")).do("groups")
    assert "the groups pay" in said(lesson, 200)
    lesson.do("next")
    assert "time is up" in said(lesson, 45 * 60)


def test_a_long_title_is_shortened_by_whole_words(new_lesson, new_outline):
    outline = new_outline(
        {"budget": "2"}, {"budget": "15", "title": "Practice with a partner at the line"}, mini_lesson="17"
    )
    assert "Practice with a pays" in all_ear_words(outline)


def test_each_is_said_once_among_all(invented):
    words = all_ear_words(invented)
    assert len(words) == len(set(words))


@pytest.fixture(scope="module")
def block():
    return read_text(PLAN, "block.toml")


@given(data=st.data())
def test_whatever_is_said_was_known_before(data, invented, block):
    from tests.conftest import Lesson

    outline = data.draw(st.sampled_from([invented, block]))
    lesson = Lesson(outline)
    known = {*all_ear_words(outline), ""}
    for command in data.draw(
        st.lists(st.sampled_from(["next", "groups", "add", "take", "back"]), max_size=6)
    ):
        lesson.wait(data.draw(st.integers(1, 300)))
        lesson.session.do(command, {"add": "1:00", "take": "0:30"}.get(command, ""))
        if lesson.state.is_running:
            reading = lesson.reading
            assert {ear_words(cue, reading) for cue in get_args(EarCue)} <= known


def test_who_pays_is_said_as_the_price_has_it_and_is_ready_before_the_lesson(new_lesson, new_outline):
    outline = new_outline({"budget": "20", "floor": "20"}, mini_lesson="20")
    told = []
    for late_s in (0, 2700, 6000):
        lesson = new_lesson(outline, late_s=late_s).wait(1210)
        told.append((lesson.reading.price.payments[0].payer, ear_words("borrowing", lesson.reading)))
    assert told[0] == ("groups", "the groups pay")
    assert told[-1] == ("over", "past the end")
    assert {words for _payer, words in told} | {"share pays"} <= set(all_ear_words(outline))


def test_in_the_second_half_the_one_who_pays_is_named_too(new_lesson):
    lesson = new_lesson(read_text(PLAN, "block.toml")).do("groups")
    while lesson.reading.half.leg.kind != "share":
        lesson.wait(60).do("next")
    assert lesson.reading.half.price[0].payer == "clean_up"
    assert ear_words("borrowing", lesson.reading) == "clean-up pays"
