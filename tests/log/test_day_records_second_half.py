"""Day records of whole blocks: legs of groups that a plan does not have are damage, and told."""

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from pacer.log.day_records import DamagedRecord, DayRecords
from pacer.plan.outline import Outline
from pacer.run.clock import ManualClock
from pacer.run.session import Session


def a_block(folder: Path, outline: Outline) -> Path:
    """The file of a lesson on its way from one group to the next, another one being out."""
    clock = ManualClock(1_790_000_000_000)
    with DayRecords.open(folder) as records:
        session = Session(clock, records.journal())
        session.start(outline)
        for command, argument in (("groups", ""), ("next", ""), ("missed", "group 3"), ("next", "")):
            clock.advance(2_000)
            session.tick()
            session.do(command, argument)
        assert [event.body.kind for event in session.events] == [
            "started", "leg_began", "leg_began", "group_left_out", "leg_began"
        ]  # fmt: skip
    return folder


def alter(records: DayRecords, seq: int, change: Callable[[Any], None]) -> None:
    """Change the body of an event as a hand in the file would."""
    query = "SELECT body FROM event WHERE seq = ?"
    body = json.loads(records.connection.execute(query, (seq,)).fetchone()[0])
    change(body)
    records.connection.execute("UPDATE event SET body = ? WHERE seq = ?", (json.dumps(body), seq))


ALTERED: tuple[tuple[int, Callable[[Any], None]], ...] = (
    (0, lambda body: body["outline"]["block"].update(groups=13)),
    (0, lambda body: body["outline"]["block"].update(groups=2**62)),
    (0, lambda body: body["outline"]["block"].update(groups=-1)),
    (1, lambda body: body.update(group=3)),
    (2, lambda body: body.update(group=99)),
    (2, lambda body: body.update(group=-1)),
    (2, lambda body: body.update(leg="share")),
    (3, lambda body: body.update(group=3)),
    (4, lambda body: body.update(group=2**62)),
)


@pytest.mark.parametrize(("seq", "change"), ALTERED)
def test_a_group_that_a_plan_does_not_have_is_damage_that_names_its_event_and_is_not_gone_on_with(
    tmp_path, new_outline, seq, change
):
    folder = a_block(tmp_path, new_outline({"budget": "5"}, minutes=60, mini_lesson="5", groups=3))
    with DayRecords.open(folder) as records:
        assert len(records.events(1)) == 5
        alter(records, seq, change)
        with pytest.raises(DamagedRecord, match=f"Event {seq} of day record 1 in"):
            records.events(1)
        assert records.unfinished() == []


def test_a_day_of_fewer_groups_takes_its_count_from_the_events_own_plan(tmp_path, new_outline):
    folder = a_block(tmp_path, new_outline({"budget": "5"}, minutes=60, mini_lesson="5", groups=3))
    with DayRecords.open(folder) as records:
        alter(records, 0, lambda body: body["outline"]["block"].update(groups=2))
        with pytest.raises(DamagedRecord, match="Event 3 of day record 1 in"):
            records.events(1)
