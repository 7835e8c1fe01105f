"""What a command comes to: the body of an event, or a refusal in plain words."""

from dataclasses import dataclass

from pacer.run import events as ev


@dataclass(frozen=True)
class Refusal:
    """Why a command can't be followed now, to be shown to the teacher."""

    reason: str


Decision = ev.AnyBody | Refusal
