"""An invented lesson to strike at, the presses in it, and fingerprints of its events and states."""

from hashlib import sha256

from pacer.plan.outline import Block, Burst, Outline, Phase
from pacer.run.events import Event
from pacer.run.state import LessonState

NINE_UTC_MS = 1_790_000_000_000
PRESSES = (
    "next", "next done", "back", "undo", "undo", "pause", "go-on", "add 1:00", "take 0:30", "jump 2",
    "jump 5", "burst", "eyes-back", "voice", "example", "tally 3", "table-mark", "happened", "hide", "show",
    "wall",
)  # fmt: skip
LESSON_EVENTS = 150


def short_outline() -> Outline:
    """An invented lesson of six phases."""
    phases = tuple(
        Phase(id=f"part-{n}", title=f"Part {n}", kind="other", budget_s=240, floor_s=120, cut_tier=2,
              bursts=(Burst(length_s=30, prompt="Half of 1/2 is ____ ."),) if n == 3 else ())
        for n in range(1, 7)
    )  # fmt: skip
    block = Block(length_s=3600, move_s=120, groups=3, swap_s=60, clean_up_s=60, share_s=300)
    return Outline(
        title="Halves of halves", subject="mathematics", block=block, mini_lesson_s=1440, phases=phases
    )


def event_print(event: Event) -> str:
    """A fingerprint of everything in an event."""
    return sha256(event.model_dump_json().encode()).hexdigest()[:16]


def state_print(state: LessonState) -> str:
    """A fingerprint of everything in a state."""
    return sha256(repr(state).encode()).hexdigest()[:16]
