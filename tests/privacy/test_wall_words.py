"""Every command of a lesson, with words of their own in private fields: the Wall has the class's alone."""

import itertools
from dataclasses import astuple

import pytest

from pacer.commands import COMMANDS, KEYS
from pacer.frames.desk import desk_frame
from pacer.frames.wall import WallLook, ready_frame, wall_frame
from pacer.plan.file.reader import read_text
from pacer.plan.outline import Outline
from pacer.run.clock import ManualClock
from pacer.run.events import ScreensChanged
from pacer.run.refusal import Refusal
from pacer.run.session import MemoryJournal, Session
from pacer.watch import keep_up, look
from tests.privacy.canaries import PHASES, found_in, is_for_the_class, outline_text

# All that keys ask for, and what only a script or a hand can ask for besides.
PRESSES = [*dict.fromkeys(pair for key in KEYS for pair in key.tries)]
MORE = [("back", ""), ("wall", "full"), ("wall", "strip"), ("wall", "off"), ("fill", "countdown"),
        ("fill", "problem"), ("fill", "picture"), ("burst", "0:45"),
        ("keep", "canary-id-6"), ("jump", "canary-id-5")]  # fmt: skip
IN_SECOND_HALF = {"bell-earlier", "bell-later", "missed", "tick"}
LAST = {"end", "bell-now", "groups"}


@pytest.fixture(scope="module")
def outline() -> Outline:
    read = read_text(outline_text("canary-file.png"), "canary-folder/canary-path.toml")
    assert isinstance(read, Outline), read
    return read


def running_of(session: Session) -> int | None:
    state = session.state
    return None if state.index is None or state.ended_ms is not None else state.index + 1


def look_at(session: Session) -> str:
    """The words of the Wall now; the check itself stands here."""
    frame = wall_frame(look(session), WallLook())
    words = " ".join(map(str, astuple(frame)))
    running = running_of(session)
    if session.state.plan.mini_count and running is None and session.state.ended_ms is not None:
        assert found_in(words) <= {("lesson", 0)}, words
    else:
        assert is_for_the_class(words, running), (running, words)
    return words


@pytest.mark.slow
def test_no_command_in_any_phase_brings_a_private_word_to_the_wall(outline):
    assert {command for command, _argument in PRESSES + MORE} | LAST >= set(COMMANDS) - {"start"}
    seen, refused, done = set(), 0, set()
    for phase, last in itertools.product(range(PHASES), sorted(LAST)):
        clock = ManualClock(1_773_046_800_000)
        session = Session(clock, MemoryJournal())
        session.start(outline)
        seen |= found_in(look_at(session))
        for _step in range(phase):
            session.do("next", "moved-on")
            clock.advance(4000)
        session.note(ScreensChanged(screens=("canary-screen-1", "canary-screen-2"), wall="canary-screen-2"))
        look_at(session)
        for command in ("burst", "eyes-back", "settled"):
            done |= {command} if not isinstance(session.do(command), Refusal) else set()
            seen |= found_in(look_at(session))
        for command, argument in [press for press in PRESSES + MORE if press[0] not in LAST] + [(last, "")]:
            for ahead_ms in (0, 1000, 200_000):
                clock.advance(ahead_ms)
                keep_up(session)
                look_at(session)
            answer = session.do(command, argument)
            refused += isinstance(answer, Refusal)
            done |= {command} if not isinstance(answer, Refusal) else set()
            seen |= found_in(look_at(session))
    assert {kind for kind, _number in seen} == {"title", "line", "second", "problem", "prompt"}
    # Whoever presses so often is asked nothing that "here" could answer.
    elsewhere = {"start", "page-on", "page-back", "here", *IN_SECOND_HALF}
    assert set(COMMANDS) - elsewhere <= done, "each was done somewhere"


SECOND_HALF = """
format = 1
title = "Thirds"
subject = "canary-subject"
unit = "canary-unit"
table_list = "canary-list"
[block]
minutes = 75
mini_lesson = 25
groups = 3
share = 5
share_prompt = "What helped you?"
[[group]]
name = "Lanterns"
place = "Window"
picture = "canary-picture.png"
[[station]]
name = "canary-station"
words = "Card sort"
picture = "canary-picture.png"
[[phase]]
title = "Model"
kind = "modeling"
budget = 25
notes = "canary-notes"
problem = "1/3 = ?"
"""


@pytest.mark.parametrize("legs", range(6))
def test_no_command_of_the_second_half_brings_a_private_word_to_the_wall(legs: int):
    """Files, the table list, who was out: the class sees names, signs and places, and all groups."""
    outline = read_text(SECOND_HALF, "canary-path.toml")
    assert isinstance(outline, Outline), outline
    done = set()
    for command, argument in [*PRESSES, ("missed", "Triangle"), ("missed", "2"), ("keep", "")]:
        clock = ManualClock(1_773_046_800_000)
        session = Session(clock, MemoryJournal())
        session.start(outline)
        session.do("groups")
        for _leg in range(legs):
            session.do("next")
        if not isinstance(session.do(command, argument), Refusal):
            done.add(command)
        for ahead_ms in (0, 60_000, 600_000):
            clock.advance(ahead_ms)
            keep_up(session)
            frame = wall_frame(look(session), WallLook())
            assert "canary" not in str(astuple(frame)), (command, frame)
            if frame.groups:
                assert [group.name for group in frame.groups] == ["Lanterns", "Circle", "Triangle"]
                assert all(group.place for group in frame.groups)
    assert {"bell-earlier", "bell-later", "tick"} <= done
    assert "missed" in done or legs == 5


def test_the_same_look_at_the_desk_finds_the_private_words(outline):
    """So the test above would see them, if the Wall had them."""
    session = Session(ManualClock(1_773_046_800_000), MemoryJournal())
    session.start(outline)
    words = " ".join(map(str, astuple(desk_frame(look(session)))))
    assert ("notes", 1) in found_in(words) or ("title", 3) in found_in(words)
    assert not is_for_the_class(words, 1)


def test_before_the_start_it_shows_the_title_and_the_first_lines(outline):
    words = " ".join(map(str, astuple(ready_frame(outline))))
    assert found_in(words) == {("lesson", 0), ("line", 1), ("second", 1)}
