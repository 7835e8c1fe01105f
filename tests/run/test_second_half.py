"""Where a command leads in the second half: by name to the share, the clean-up, or a group's visit."""

import pytest

from pacer.plan.file.reader import read_text
from pacer.run import events as ev
from pacer.run.clock import ManualClock
from pacer.run.legs import NextLeg
from pacer.run.refusal import Refusal
from pacer.run.second_half import title_of
from pacer.run.session import MemoryJournal, Session
from tests.pace.block_factories import PLAN


@pytest.fixture
def session() -> Session:
    """A lesson of three groups that has begun."""
    outline = read_text(PLAN, "plan.toml")
    assert not isinstance(outline, list), outline
    begun = Session(ManualClock(0), MemoryJournal())
    begun.start(outline, 0)
    return begun


@pytest.mark.parametrize(
    ("name", "leg", "group"),
    [
        ("share", "share", -1),
        ("Share", "share", -1),
        ("clean-up", "clean_up", -1),
        ("move", "move", 0),
        ("transition", "move", 0),
        ("group 2", "visit", 1),
    ],
)
def test_a_leg_is_jumped_to_by_its_name(session: Session, name: str, leg: str, group: int) -> None:
    done = session.do("jump", name)
    assert not isinstance(done, Refusal), done
    assert (session.state.leg.kind, session.state.leg.group) == (leg, group)
    assert session.events[-1].body.how == "jump"


def test_once_the_only_group_is_at_the_table_and_no_share_follows_there_is_no_way_to_go() -> None:
    text = PLAN.replace("groups = 3", "groups = 1").replace("share = 5", "share = 0")
    outline = read_text(text.replace("clean_up = 1", "clean_up = 0"), "plan.toml")
    assert not isinstance(outline, list), outline
    session = Session(ManualClock(0), MemoryJournal())
    session.start(outline, 0)
    session.do("groups")
    session.do("next")
    assert isinstance(session.do("jump", "transition"), Refusal)
    assert isinstance(session.do("next"), Refusal)
    assert session.state.leg.kind == "visit"


@pytest.mark.parametrize("group", ["", "x", "-1", "9", "²"])
def test_no_group_is_left_for_another_day_that_was_not_named_as_one_to_come(session, group: str) -> None:
    session.do("groups")
    assert isinstance(session.do("keep", group), Refusal)
    assert session.state.groups_out == frozenset()
    assert not isinstance(session.do("keep", "2"), Refusal)
    assert session.state.groups_out == {2}


@pytest.mark.parametrize(
    ("command", "length", "seconds"),
    [
        ("bell-later", "10", 600),
        ("bell-earlier", "2:30", -150),
        ("bell-later", "", 300),
        ("bell-earlier", "", -300),
    ],
)
def test_a_bell_is_moved_by_the_length_that_is_given_or_by_five_minutes(
    session: Session, command: str, length: str, seconds: int
) -> None:
    before = session.state.bell_ms
    session.do(command, length)
    assert session.state.bell_ms - before == seconds * 1000


def test_a_group_that_is_out_stays_out_when_the_share_begins(session: Session) -> None:
    session.do("groups")
    session.do("missed", "group 2")
    session.do("jump", "share")
    assert session.state.groups_out == {1}


@pytest.mark.parametrize("length", ["x", "0", "-5", "1000"])
def test_a_bell_is_moved_by_a_length_that_can_be_read_or_not_at_all(session: Session, length: str) -> None:
    before = session.state.bell_ms
    for command in ("bell-later", "bell-earlier"):
        assert isinstance(session.do(command, length), Refusal), command
    assert session.state.bell_ms == before


def test_each_leg_is_called_what_a_teacher_calls_it_and_a_visit_by_its_group(session: Session) -> None:
    legs = [
        NextLeg("move", 0),
        NextLeg("visit", 1),
        NextLeg("swap", 2),
        NextLeg("share"),
        NextLeg("clean_up"),
    ]
    called = [title_of(session.state, leg) for leg in legs]
    assert called == ["Transition", session.state.plan.visitors[1].name, "Swap", "Share", "Clean up"]
    assert title_of(session.state, NextLeg("visit", 7)) == ""


def test_a_group_that_is_at_the_table_is_not_jumped_to_again(session: Session) -> None:
    session.do("jump", "group 2")
    again = session.do("jump", "2")
    assert isinstance(again, Refusal)
    assert "at the table already" in str(again)
    assert isinstance(session.do("jump", "group 9"), Refusal)
    assert isinstance(session.events[-1].body, ev.LegBegan)
