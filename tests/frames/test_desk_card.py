"""The Desk card: the Desk in one word, one number and one time, for three metres."""

from collections.abc import Callable
from dataclasses import replace

import pytest

from pacer.frames.desk import DeskFrame, desk_frame, ready_desk
from pacer.frames.desk_card import CardFrame, card_frame, reading_words
from pacer.pace.reading import Reading
from pacer.run.clock import ManualClock
from pacer.run.session import MemoryJournal, Session
from tests.frames.test_desk_groups import Lesson as GroupsLesson


def test_the_card_of_a_running_phase_is_the_desk_s_state_number_and_move_by(new_lesson: Callable) -> None:
    desk = desk_frame(new_lesson().wait(12).reading)
    made = card_frame(desk)
    assert (made.stage, made.word, made.level, made.number) == ("steady", "STEADY", 0, "1:48")
    assert made.until == "move by 9:02"
    assert made.spoken == "STEADY. Skip count. move by 9:02"


@pytest.mark.parametrize("wait", [0, 100, 121, 150, 190])
def test_in_every_state_the_card_says_what_the_desk_says(new_lesson: Callable, wait: float) -> None:
    desk = desk_frame(new_lesson().wait(wait).reading)
    made = card_frame(desk)
    assert (made.stage, made.word, made.level, made.number) == (
        desk.stage, desk.word, desk.level, desk.number,
    )  # fmt: skip
    assert desk.headline.startswith(made.until)
    assert made.until


def test_what_is_read_aloud_stays_the_same_from_second_to_second(new_lesson: Callable) -> None:
    lesson = new_lesson()
    said = [card_frame(desk_frame(lesson.wait(1).reading)).spoken for _second in range(160)]
    assert list(dict.fromkeys(said)) == [
        *(f"{word}. Skip count. move by 9:02" for word in ("STEADY", "CLOSING", "BORROWING")),
        "MOVE ON. Skip count. move on now",
    ]


def test_past_a_cap_the_card_says_to_move_on_and_leaves_figures_to_the_desk() -> None:
    desk = DeskFrame("move_on", "MOVE ON", 3, headline="Review is past its 5:00 cap", move_by_reason="cap")
    assert card_frame(desk).until == "move on now"


@pytest.mark.parametrize(
    ("headline", "until"),
    [
        ("move by 9:14, in 4 min", "move by 9:14"),
        ("move on now, past the 5:00 cap", "move on now"),
        ("go on, or move on", "go on, or move on"),
        ("swap now", "swap now"),
        ("", ""),
    ],
)
def test_figures_behind_what_to_do_stay_on_the_desk(headline: str, until: str) -> None:
    assert card_frame(DeskFrame("steady", "STEADY", 0, headline=headline)).until == until


def test_before_the_start_and_after_the_end_the_card_says_what_there_is_to_do(invented) -> None:
    ready = card_frame(ready_desk(invented, "8:58"))
    assert (ready.word, ready.number, ready.until) == ("READY", "25:00", "Press Space to start")
    over = DeskFrame("ended", "ENDED", 0, number="9:27", headline="Groups can start")
    assert card_frame(over) == CardFrame("ended", "ENDED", 0, "9:27", "Groups can start",
                                         "ENDED. Groups can start")  # fmt: skip


def test_in_a_baseline_lesson_the_card_shows_time_alone(invented) -> None:
    clock = ManualClock(0)
    session = Session(clock, MemoryJournal())
    session.start(invented, 0, 0, "baseline")
    clock.advance(200_000)
    session.tick()
    made = card_frame(desk_frame(Reading(session.state, session.now_ms())))
    assert (made.word, made.level, made.number, made.until) == ("STEADY", 0, "+1:20", "")


def test_in_the_second_half_the_card_says_when_the_groups_swap_and_what_follows() -> None:
    day, said = GroupsLesson(), []
    day.at("9:25", "groups")
    for time, *presses in (("9:26",), ("9:27", "next"), ("9:38", "next"), ("9:39",), ("10:14", "bell-now")):
        made = card_frame(day.at(time, *presses).desk)
        assert (made.word, made.number) == (day.desk.word, day.desk.number)
        said.append(made.until)
    assert said[0].startswith("begin by 9:2")
    assert said[1].startswith("swap by 9:")
    assert said[3].startswith(("begin by 9:", "swap by 9:"))
    assert said[-1].startswith("Bell")


def test_nothing_else_of_the_desk_reaches_the_card() -> None:
    desk = DeskFrame("steady", "STEADY", 0, number="3:48", headline="move by 9:14, in 4 min")
    more = replace(
        desk, notes="Pelican", near=("Examples: 1 of 2",), under="1 more min", notice="Away", cues=4
    )
    assert card_frame(more) == card_frame(desk)


def test_from_how_far_a_card_is_read_is_said_in_metres_and_never_too_far() -> None:
    """17.5 mm are 20 minutes of arc at 3 m, 14 mm are 16 (own table of sizes)."""
    assert reading_words(17.6, 14.1) == "Its time can be read from 3.0 m, all of its words from 3.0 m."
    assert reading_words(17.4, 13.9) == "Its time can be read from 2.9 m, all of its words from 2.9 m."
