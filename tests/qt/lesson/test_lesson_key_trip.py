"""The trip of a key press to the Wall: which modules it passes, and how often it goes from one to another."""

import sys
from itertools import groupby
from types import FrameType

from PySide6.QtCore import QEvent

from tests.qt.window_factories import settle

# What a press to the Wall has no business with: the private side, and what only it needs.
PRIVATE = (
    "pacer.forecaster", "pacer.frames.desk", "pacer.frames.desk_near", "pacer.frames.outlook",
    "pacer.pace.cues", "pacer.pace.leave", "pacer.pace.move_by", "pacer.pace.price", "pacer.pace.stages",
    "pacer.pace.talk",
    "pacer.qt.desk.window",
)  # fmt: skip
MOVES = 120  # it was 112 when this was written, from one module of the program to another and back
ROOMS = ["qt", "run", "watch", "pace", "frames"]


class Trip:
    """The modules of the program that run, in order, until a call of ``end``: keep it while pressing."""

    def __init__(self, end: object) -> None:
        self.modules: list[str] = []
        self._inside: list[str] = []
        self._end = end.__code__
        self._arrived = False

    def __enter__(self) -> "Trip":
        sys.setprofile(self._note)
        return self

    def __exit__(self, *_fault: object) -> None:
        sys.setprofile(None)
        self.modules = [module for module, _visit in groupby(self.modules)]

    def _note(self, frame: FrameType, event: str, _argument: object) -> None:
        module = str(frame.f_globals.get("__name__"))
        if self._arrived or not module.startswith("pacer."):
            return
        if event == "call":
            self._inside.append(module)
            self.modules.append(module)
            self._arrived = frame.f_code is self._end
        elif event == "return" and self._inside:
            self._inside.pop()
            self.modules += self._inside[-1:]


def test_a_press_goes_to_the_wall_without_a_detour(new_stage, invented) -> None:
    stage = new_stage(invented, foresee=lambda *_when: None).start()
    stage.clock.advance(1000)
    stage.keyboard.at_ms += 1000
    stage.window.held_keys.forget()  # nothing has been held since the lesson came
    with Trip(type(stage.wall).show_frame) as trip:
        stage.keyboard.send(QEvent.Type.KeyPress, "PageDown")
    assert trip.modules[-1] == "pacer.qt.wall.window"
    assert not set(PRIVATE) & set(trip.modules)
    rooms = dict.fromkeys(module.split(".")[1] for module in trip.modules)
    assert [room for room in rooms if room in ROOMS] == ROOMS
    assert len(trip.modules) - 1 <= MOVES
    stage.keyboard.send(QEvent.Type.KeyRelease, "PageDown")
    settle()
    assert stage.wall.full.frame.title == "Review"
