"""Lessons in each leg of the second half, with their windows or without."""

from typing import get_args

from pacer.qt.lesson.lesson import Lesson
from pacer.run.clock import ManualClock
from pacer.run.legs import LegKind
from pacer.run.session import MemoryJournal, Session
from pacer.settings.model import Settings
from tests.qt.window_factories import room_time_ms

MOST_PRESSES = 20

LEG_KINDS: tuple[LegKind, ...] = get_args(LegKind)


class Bare:
    """A running lesson without windows: what it refused, and its clock."""

    def __init__(self, outline, **options: object) -> None:
        self.clock = ManualClock(room_time_ms("9:00"))
        self.session = Session(self.clock, MemoryJournal())
        self.lesson = Lesson(self.session, outline, self.clock, Settings(), **options)
        self.refusals: list[str] = []
        self.lesson.refused.connect(self.refusals.append)
        self.lesson.start()

    def shut(self) -> None:
        """Stop its timers."""
        self.lesson.close()
        self.lesson.deleteLater()


def go_to(stage, kind: LegKind, *, visit: int = 1):
    """Press on from the mini lesson to the first leg of a kind, or to a later visit."""
    assert kind in LEG_KINDS
    stage.lesson.press("groups")
    for _press in range(MOST_PRESSES):
        leg = stage.session.state.leg
        seen = sum(other.kind == "visit" for other in stage.session.state.legs)
        if leg.kind == kind and (kind != "visit" or seen == visit):
            return stage
        stage.clock.advance(10_000)
        stage.lesson.press("next")
    raise AssertionError(f"no {kind} was reached")
