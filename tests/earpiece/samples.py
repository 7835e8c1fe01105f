"""The patterns as arrays of numpy."""

import numpy as np

from pacer.earpiece import patterns
from pacer.earpiece.cues import EarCue


def pattern(cue: EarCue, level: int = 100) -> np.ndarray:
    """The samples of a cue."""
    return np.frombuffer(patterns.pattern(cue, level), np.int16)
