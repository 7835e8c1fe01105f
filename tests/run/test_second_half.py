"""Where a command leads in the second half: by name to the share, the clean-up, or a group's visit."""

import pytest

from pacer.plan.file.reader import read_text
from pacer.run import events as ev
from pacer.run.clock import ManualClock
from pacer.run.refusal import Refusal
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


def test_a_group_that_is_at_the_table_is_not_jumped_to_again(session: Session) -> None:
    session.do("jump", "group 2")
    again = session.do("jump", "2")
    assert isinstance(again, Refusal)
    assert "at the table already" in str(again)
    assert isinstance(session.do("jump", "group 9"), Refusal)
    assert isinstance(session.events[-1].body, ev.LegBegan)
