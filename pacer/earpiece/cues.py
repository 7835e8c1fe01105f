"""What may be told in one ear: four cues, each with a pattern of tones."""

from typing import Literal

EarCue = Literal["closing", "borrowing", "move_on", "visit_up"]
"""The stages as the Desk shows them; ``visit_up`` is Borrowing in a group's visit: its time is up."""
