"""What the Desk answers to each press: few words, with the count that it makes."""

from typing import get_args

import pytest

from pacer.frames.words.lesson.presses import answer_words
from pacer.run.events import AnyBody, Event, Undone
from pacer.run.refusal import Refusal


def answers(lesson, presses: str) -> list[str]:
    """The answers to presses of a lesson, each ``command`` or ``command:argument``."""
    said = []
    for press in presses.split():
        command, _colon, argument = press.partition(":")
        before = lesson.session.state
        done = lesson.session.do(command, argument)
        assert not isinstance(done, Refusal), press
        body = done.event.body
        undone = lesson.session.events[body.target] if isinstance(body, Undone) else None
        said.append(answer_words(before, lesson.session.state, done.event, undone))
    return said


@pytest.mark.parametrize(
    ("presses", "said"),
    [
        ("tally:2 tally:3 tally:2", ["Stuck on 2: 1", "Stuck on 3: 1", "Stuck on 2: 2"]),
        ("table-mark table-mark undo", ["Table mark 1", "Table mark 2", "Undone: Table mark 2"]),
        ("add:1:00 take:0:30 undo", ["+1:00", "−0:30", "Undone: −0:30"]),
        ("next next:done next:moved-on back", ["Next", "Next, done", "Next, moved on", "Back"]),
        ("pause go-on undo", ["Paused", "Going on", "Undone: Going on"]),
        ("burst:0:30 eyes-back settled", ["Partners 0:30", "Eyes back", "All eyes back"]),
        ("hide show wall:strip strip:top blank blank", [
            "Time hidden", "Time shown", "Wall strip", "Strip above", "Wall blank", "Wall back"]),
        ("voice example happened keep uncut", [
            "Child’s voice 1", "Example 1", "Something happened", "Kept", "Written times again"]),
        ("groups bell-later:5:00 missed next end", [
            "Groups", "Bell at 10:20", "No visit today", "Next", "Ended"]),
    ],
)  # fmt: skip
def test_each_press_has_an_answer_of_its_own(new_lesson, presses: str, said: list[str]) -> None:
    assert answers(new_lesson().wait(1), presses) == said


def test_every_press_that_can_be_taken_back_has_words_to_name_it(new_lesson) -> None:
    lesson = new_lesson().wait(1)
    state = lesson.session.state
    for kind in get_args(get_args(AnyBody)[0]):
        if kind.undoable and kind.__name__ not in ("Moved", "LegBegan", "Gap"):
            event = Event(seq=1, t_ms=0, mono_ms=0, utc_ms=0, body=kind.model_construct(
                face="full", fill="countdown", edge="top", number=1, seconds=60, length_s=30, hidden=True,
                page=2))  # fmt: skip
            assert answer_words(state, state, event, None) not in ("", "Done"), kind
