"""A lesson in a process of its own, in real time and without any window, as with the laptop's screen black.

Arguments: a file with an outline, JSON of the presses (seconds from the start, command, argument) and of
how long it lasts. Prints a line of JSON: when each stage was reached, in seconds of the monotonic clock,
and what the Desk's near page was told of the room.
"""

import json
import sys
import time
from pathlib import Path

from PySide6.QtCore import QCoreApplication, QTimer

from pacer.earpiece.outputs import Output
from pacer.plan.file.reader import read_text
from pacer.qt.lesson.care import LessonCare
from pacer.qt.lesson.lesson import Lesson
from pacer.run.clock import SystemClock
from pacer.run.session import MemoryJournal, Session
from pacer.settings.model import Settings


class Watched:
    """Notes of each new stage when it was reached: what the pace says, not when it was noticed."""

    def __init__(self, lesson: Lesson) -> None:
        self.lesson = lesson
        self.began_s = 0.0
        self.reached: list[tuple[float, str, str]] = []
        self._last: object = None
        lesson.looked.connect(self.on_looked)

    def on_looked(self, reading) -> None:
        shown = reading.shown
        part = "phase" if reading.half is None else reading.half.leg.kind
        if (part, shown) != self._last:
            self._last = part, shown
            self.reached.append((self.began_s + shown.since_ms / 1000, shown.stage, part))


def main() -> None:
    """Run the lesson to its end."""
    outline_file, presses, seconds = sys.argv[1], json.loads(sys.argv[2]), float(sys.argv[3])
    application = QCoreApplication([])
    outline = read_text(Path(outline_file).read_text(), "recorded.toml")
    clock = SystemClock()
    lesson = Lesson(Session(clock, MemoryJournal()), outline, clock, Settings())
    lesson.desk_wanted = False
    told: list[tuple[float, list[str]]] = []
    tell = lesson.tell_of_room

    def noted(lines: tuple[str, ...]) -> None:
        told.append((time.monotonic(), list(lines)))
        tell(lines)

    lesson.tell_of_room = noted
    care = LessonCare(battery=lambda: "")
    care.attach(lesson, Settings(earpiece=Output("earbud", "Earbud")))
    watched = Watched(lesson)
    lesson.open()
    for _turn in range(100):  # the outputs are told before the lesson begins
        application.processEvents()
        time.sleep(0.005)
    watched.began_s = time.monotonic()
    lesson.start()
    for at_s, command, argument in presses:
        QTimer.singleShot(round(at_s * 1000), lambda what=(command, argument): lesson.press(*what))
    print("begun", flush=True)
    QTimer.singleShot(round(seconds * 1000), application.quit)
    application.exec()
    care.detach()
    lesson.close()
    print(json.dumps({"reached": watched.reached, "told": told}), flush=True)


main()
