"""Four short patterns of soft tones for one ear: each is known by its rhythm, and by its pitches too."""

from array import array
from math import cos, pi, sin

from pacer.earpiece.cues import EarCue

Note = tuple[int, int]
"""How long a tone lasts, in milliseconds, and how many semitones it lies above the pitch."""

RATE_HZ = 48_000
PITCH_HZ = 440 * 2 ** (3 / 12)  # C above the A of 440 Hz (ISO 16), in equal temperament
GAP_MS = 80
ATTACK_S, RELEASE_S = 0.02, 0.05  # so long that nothing clicks, so short that a rhythm stays one

# The peak at 100 percent, of full scale: 20 dB below it. A portable player may reach 100 dB(A) with a
# programme of -10 dB (the limit of EN 50332); a sine of this peak lies 13 dB lower, some 87 dB(A), if the
# system's own volume is turned all the way up. That is our own arithmetic, and it lasts a second at most.
PEAK_CAP = 0.1

SECOND_PARTIAL = 0.15  # small speakers are weak at the pitch itself

# Rhythm and direction of pitch both differ, so that one of them is enough where the other is not heard.
PATTERNS: dict[EarCue, tuple[Note, ...]] = {
    "closing": ((120, 0), (120, 4)),  # two short ones, rising
    "borrowing": ((340, 4), (120, -3)),  # a long and a short one, falling
    "move_on": ((120, 2), (120, 2), (380, 2)),  # two short ones and a long one, level
    "visit_up": ((100, 0), (100, 7), (100, 7), (100, 0)),  # four quick ones, up and down again
}


def pattern(cue: EarCue, level: int = 100) -> "array[int]":
    """The samples of a cue, 16 bits, mono at ``RATE_HZ``, at ``level`` percent of the loudest there is.

    They begin and end at 0 and never pass ``PEAK_CAP``. Raises ValueError outside 1 to 100 percent.
    """
    if not 1 <= level <= 100:
        raise ValueError(f"the level is a percentage from 1 to 100, not {level}")
    sound, silence = array("h"), array("h", bytes(2 * (GAP_MS * RATE_HZ // 1000)))
    for length_ms, semitones in PATTERNS[cue]:
        if sound:
            sound += silence
        sound += _note(length_ms, PITCH_HZ * 2 ** (semitones / 12), PEAK_CAP * level / 100 * 32767)
    return sound


def _note(length_ms: int, pitch_hz: float, peak: float) -> "array[int]":
    """One tone of a peak of ``peak`` at most, out of silence and back to it along half a cosine."""
    count = length_ms * RATE_HZ // 1000
    turn, share = 2 * pi * pitch_hz / RATE_HZ, peak / (1 + SECOND_PARTIAL)
    sound = [share * (sin(turn * at) + SECOND_PARTIAL * sin(2 * turn * at)) for at in range(count)]
    for edge_s, places in ((ATTACK_S, range(count)), (RELEASE_S, range(count - 1, -1, -1))):
        edge = round(edge_s * RATE_HZ)
        for step, at in zip(range(edge), places, strict=False):
            sound[at] *= (1 - cos(pi * step / edge)) / 2
    # Cut towards zero: none is louder than asked.
    return array("h", map(int, sound))
