"""Renders words to samples as soft as a pattern, by a voice that writes a file."""

import os
import subprocess
import tempfile
import wave
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from pacer.earpiece.patterns import PEAK_CAP, RATE_HZ
from pacer.earpiece.voice import FILE_IN_ENVIRONMENT, SpeakTo

LONGEST_S = 3.0  # of what is said at once; the rest is faded out
FADE_S = 0.02
LIMIT_S = 20  # for a voice that hangs
QUIET = 0.02  # of the peak; less before and after the words is cut off


def render(voice: SpeakTo, words: str, level: int = 100) -> NDArray[np.int16]:
    """Words as samples, mono at ``RATE_HZ``, no louder than a pattern at that level; empty where it fails."""
    with tempfile.TemporaryDirectory(prefix="pacer-voice-") as folder:
        path = Path(folder) / "words.wav"
        try:
            subprocess.run(
                voice(path), input=words.encode(), env={**os.environ, FILE_IN_ENVIRONMENT: str(path)},
                stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, timeout=LIMIT_S, check=True,
            )  # fmt: skip
            sound, rate_hz = _read(path)
        except (OSError, EOFError, wave.Error, ValueError, subprocess.SubprocessError):
            return np.zeros(0, np.int16)
    return _softened(sound, rate_hz, level)


def _read(path: Path) -> tuple[NDArray[np.float64], int]:
    """The samples of a WAV file of 16 bits, mixed to one channel, and their rate."""
    with wave.open(str(path), "rb") as file:
        if file.getsampwidth() != 2:
            raise ValueError("not of 16 bits")
        raw = np.frombuffer(file.readframes(file.getnframes()), "<i2")
        return raw.reshape(-1, file.getnchannels()).mean(axis=1), file.getframerate()


def _softened(sound: NDArray[np.float64], rate_hz: int, level: int) -> NDArray[np.int16]:
    """The same at our rate, without silence around it, no longer and no louder than is allowed."""
    heard = np.flatnonzero(np.abs(sound) > QUIET * np.abs(sound).max(initial=0))
    if not len(heard):
        return np.zeros(0, np.int16)
    sound = sound[heard[0] : heard[-1] + 1]
    count = min(round(len(sound) * RATE_HZ / rate_hz), round(LONGEST_S * RATE_HZ))
    at = np.arange(count) * rate_hz / RATE_HZ
    sound = np.interp(at, np.arange(len(sound)), sound)
    edge = np.minimum(np.arange(count), np.arange(count)[::-1]) / (FADE_S * RATE_HZ)
    sound *= np.clip(edge, 0, 1)
    peak = np.abs(sound).max(initial=0) or 1.0
    return (sound / peak * PEAK_CAP * level / 100 * 32767).astype(np.int16)
