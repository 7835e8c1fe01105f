"""The one sound: a soft tone, worked out from sines, for the children when a phase's time is up."""

import io
import wave

import numpy as np
from numpy.typing import NDArray

RATE_HZ = 48_000
LENGTH_S = 1.6
PITCH_HZ = 440 * 2 ** (3 / 12)  # C above the A of 440 Hz (ISO 16), in equal temperament
ATTACK_S = 0.06
FADE_OUT_S = 0.25

# Of each partial: its multiple of the pitch, its share, and in how many seconds it falls to 1/e.
# The quiet ones die first, as in a bar of wood that is struck softly.
PARTIALS = ((1, 1.0, 0.50), (2, 0.16, 0.30), (3, 0.05, 0.18))

# With it the full tone has an integrated loudness of -23 LUFS (EBU R 128, measured as ITU-R BS.1770-4 says);
# tests/test_tone.py measures it anew.
FULL_GAIN = 0.285


def tone(level: int = 100) -> NDArray[np.float64]:
    """The samples from -1 to 1, mono, at ``level`` percent of the full tone's amplitude.

    A level only makes it quieter: 100 is the loudest there is. Raises ValueError outside 1 to 100.
    """
    if not 1 <= level <= 100:
        raise ValueError(f"the level is a percentage from 1 to 100, not {level}")
    seconds = np.arange(round(LENGTH_S * RATE_HZ)) / RATE_HZ
    sound = np.zeros_like(seconds)
    for multiple, share, fall_s in PARTIALS:
        sound += share * np.exp(-seconds / fall_s) * np.sin(2 * np.pi * multiple * PITCH_HZ * seconds)
    return FULL_GAIN * level / 100 * _envelope(seconds) * sound


def tone_wav(level: int = 100) -> bytes:
    """The tone as a WAV file of 16 bits. Each sample is cut towards zero: none is louder than asked."""
    samples = (tone(level) * 32767).astype("<i2")
    file = io.BytesIO()
    with wave.open(file, "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(RATE_HZ)
        out.writeframes(samples.tobytes())
    return file.getvalue()


def _envelope(seconds: NDArray[np.float64]) -> NDArray[np.float64]:
    """Rises from silence and falls back to it along half a cosine, so that nothing clicks."""
    rise = np.clip(seconds / ATTACK_S, 0, 1)
    fall = np.clip((LENGTH_S - 1 / RATE_HZ - seconds) / FADE_OUT_S, 0, 1)
    shaped: NDArray[np.float64] = (1 - np.cos(np.pi * rise)) / 2 * (1 - np.cos(np.pi * fall)) / 2
    return shaped
