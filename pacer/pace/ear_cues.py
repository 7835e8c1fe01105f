"""When the teacher is told in her ear: each time the Desk's stage rises, at that very instant."""

from pacer.earpiece.cues import EarCue
from pacer.pace.reading import Reading
from pacer.pace.stages import LEVELS, Stage

_CUES: dict[Stage, EarCue] = {"closing": "closing", "borrowing": "borrowing", "move_on": "move_on"}
PartKey = tuple[str, int, int]
"""A stay in a phase or a leg: which of the two, its number, and when it began."""


class EarCues:
    """Listens to one lesson. At the board nothing is seen, so Closing is told too, no cue of the Desk.

    What was told is not told again after a pause or an undone press; it is when the stage had fallen in
    between, as after added time. A baseline lesson has no warnings, here either, and the long stretch of talk
    is the Desk's alone: a fifth pattern would be one too many to know.
    """

    def __init__(self) -> None:
        self._levels: dict[PartKey, int] = {}

    def due(self, reading: Reading) -> EarCue | None:
        """What to tell at the instant that was read; to be asked at each of them, in their order."""
        state, stage = reading.state, reading.shown.stage
        part = _part(reading)
        if state.mode == "baseline" or not state.is_running or part is None or stage not in LEVELS:
            return None
        level = LEVELS.index(stage)
        before, self._levels[part] = self._levels.get(part, 0), level
        if level <= before:
            return None
        if stage == "borrowing" and part[0] == "visit":
            return "visit_up"
        return _CUES[stage]


def _part(reading: Reading) -> PartKey | None:
    state = reading.state
    if reading.half is not None:
        leg = reading.half.leg
        return leg.kind, len(state.legs), leg.begin_ms
    return None if state.visit is None else ("phase", state.visit.index, state.visit.begin_ms)
