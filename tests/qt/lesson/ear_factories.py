"""A lesson that nobody sees, in a process of its own and in real time, and the stages that it reached."""

import json
import subprocess
import sys
from pathlib import Path

from tests.earpiece.sound_server import FAR_END_S

CHILD = Path(__file__).with_name("ear_child.py")
# Invented: a phase of 12 s with a cap at 18 s; visits of two minutes, the first cut to half a minute.
PLAN = """
format = 1
title = "Halves on a number line"
[block]
minutes = 10
mini_lesson = 5
move = "0:05"
groups = 3
swap = "0:30"
clean_up = "0:30"
share = 2
[[phase]]
title = "Modeling"
kind = "modeling"
budget = "0:12"
floor = "0:00"
cap = "0:18"
[[phase]]
title = "Practice"
kind = "guided-practice"
budget = "4:48"
floor = "0:00"
"""
PRESSES = [(20, "groups", ""), (21, "next", ""), *((at, "take", "0:30") for at in (22, 23, 24))]
WHOLE_S, PHASE_S = 54, 21  # to the end of the visit's time, and of the first phase


class LessonAlone:
    """The lesson's process; ``report`` is what it says when it ends."""

    def __init__(self, server, folder, seconds) -> None:
        plan = folder / "recorded.toml"
        plan.write_text(PLAN)
        command = [sys.executable, str(CHILD), str(plan), json.dumps(PRESSES), str(seconds)]
        self.process = subprocess.Popen(command, env=server.environment, stdout=subprocess.PIPE, text=True)
        assert self.process.stdout.readline() == "begun\n"

    def report(self):
        out, _error = self.process.communicate(timeout=10 * FAR_END_S)
        assert self.process.returncode == 0
        return json.loads(out)


def onsets(report):
    """When each stage that has a cue was reached, on the system's monotonic clock."""
    found = []
    for at_s, stage, part in report["reached"]:
        if stage in ("closing", "borrowing", "move_on"):
            found.append((at_s, "visit_up" if (stage, part) == ("borrowing", "visit") else stage))
    return found
