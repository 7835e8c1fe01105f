"""A whole block as an outline's text, three groups, a swap between two, a share; and a lesson by it."""

from pacer.plan.file.reader import read_text
from pacer.run.clock import ManualClock
from pacer.run.refusal import Refusal
from pacer.run.session import MemoryJournal, Session
from pacer.watch import execute, look

# Invented: a 75-minute block from 9:00, mini lesson to 9:25, three groups.
PLAN = """
format = 1
title = "Fractions on a number line"
[block]
minutes = 75
mini_lesson = 25
move = 2
groups = 3
swap = "1:30"
clean_up = 1
share = 5
[[phase]]
title = "Modeling"
kind = "modeling"
budget = 25
"""

NINE = 9 * 3600


class Lesson:
    """A lesson that begins at 9:00, driven by times of day."""

    def __init__(self, plan: str = PLAN) -> None:
        self.clock = ManualClock(NINE * 1000)
        self.session = Session(self.clock, MemoryJournal())
        outline = read_text(plan, "plan.toml")
        assert not isinstance(outline, list), outline
        self.session.start(outline, NINE * 1000)

    def at(self, time: str, command: str = "", argument: str = ""):
        """Let time pass second by second to a time of day and follow a command; what is read then."""
        hours, minutes, seconds = (int(part) for part in time.split(":"))
        target = ((hours * 60 + minutes) * 60 + seconds - NINE) * 1000
        while self.session.now_ms() < target:
            self.clock.advance(min(1000, target - self.session.now_ms()))
            self.session.tick()
        if command:
            done = execute(self.session, command, argument)
            assert not isinstance(done, Refusal), done
        return look(self.session).half

    @staticmethod
    def clock_of(t_ms: int) -> str:
        """A lesson time as a time of day."""
        s = t_ms // 1000 + NINE
        return f"{s // 3600}:{s // 60 % 60:02}:{s % 60:02}"
