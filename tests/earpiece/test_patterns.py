"""The patterns for the ear: short, soft, capped, and told apart by rhythm alone and by pitch alone."""

from itertools import combinations, pairwise
from typing import get_args

import numpy as np
import pytest

from pacer.earpiece.cues import EarCue
from pacer.earpiece.patterns import ATTACK_S, PATTERNS, PEAK_CAP, RATE_HZ
from pacer.tone import FULL_GAIN
from tests.earpiece.samples import pattern

CUES = get_args(EarCue)
FULL_SCALE = 32767


def heard_notes(samples):
    """What an ear can tell, from the samples alone: of each tone its length in ms and its pitch in Hz."""
    width = RATE_HZ // 200  # 5 ms
    loud = np.array([np.abs(samples[at : at + width]).max() for at in range(0, len(samples), width)])
    on = np.concatenate([[False], loud > loud.max() / 10, [False]])
    edges = np.flatnonzero(np.diff(on.astype(int)))
    notes = []
    for begin, end in zip(edges[::2], edges[1::2], strict=True):
        part = samples[begin * width : end * width].astype(float)
        spectrum = np.abs(np.fft.rfft(part * np.hanning(len(part)), n=RATE_HZ))
        notes.append(((end - begin) * 5, int(np.argmax(spectrum))))
    return notes


def rhythm(cue):
    """Its tones as short or long ones."""
    return tuple("long" if length_ms > 200 else "short" for length_ms, _hertz in heard_notes(pattern(cue)))


def direction(cue):
    """Which way its pitch goes from tone to tone: -1, 0 or 1; a semitone is 6 percent."""
    pitches = [hertz for _length, hertz in heard_notes(pattern(cue))]
    steps = (later / earlier for earlier, later in pairwise(pitches))
    return tuple(0 if 0.97 < step < 1.03 else (1 if step > 1 else -1) for step in steps)


def test_there_is_a_pattern_for_each_cue_and_no_other():
    assert set(PATTERNS) == set(CUES)


@pytest.mark.parametrize("cue", CUES)
def test_a_pattern_is_over_within_a_second(cue):
    assert 0.2 < len(pattern(cue)) / RATE_HZ <= 1


@pytest.mark.parametrize("cue", CUES)
def test_the_tones_heard_are_those_written_down(cue):
    heard = heard_notes(pattern(cue))
    assert len(heard) == len(PATTERNS[cue])
    for (length_ms, _pitch), (written_ms, _semitones) in zip(heard, PATTERNS[cue], strict=True):
        assert written_ms * 0.6 < length_ms <= written_ms + 5


@pytest.mark.parametrize(("one", "other"), [*combinations(CUES, 2)])
def test_any_two_differ_in_rhythm_and_in_the_way_their_pitch_goes(one, other):
    assert rhythm(one) != rhythm(other)
    assert direction(one) != direction(other)


@pytest.mark.parametrize("cue", CUES)
@pytest.mark.parametrize("level", [1, 50, 100])
def test_no_sample_is_louder_than_the_cap_allows_at_a_level(cue, level):
    peak = np.abs(pattern(cue, level).astype(int)).max()
    assert peak <= PEAK_CAP * level / 100 * FULL_SCALE
    assert peak > 0.7 * PEAK_CAP * level / 100 * FULL_SCALE - 1


def test_the_cap_is_twenty_decibels_below_full_scale_and_far_below_the_tone_for_the_room():
    assert 20 * np.log10(PEAK_CAP) == pytest.approx(-20)
    assert PEAK_CAP < FULL_GAIN / 2


@pytest.mark.parametrize("cue", CUES)
def test_it_begins_and_ends_in_silence_and_never_clicks(cue):
    samples = pattern(cue).astype(float)
    assert (samples[0], samples[-1]) == (0, 0)
    # The steepest step of the highest tone itself, with its second partial; a click would be steeper.
    highest_hz = max(hertz for _length, hertz in heard_notes(samples))
    assert np.abs(np.diff(samples)).max() < 1.3 * 2 * np.pi * highest_hz / RATE_HZ * PEAK_CAP * FULL_SCALE
    first_ms = samples[: RATE_HZ // 1000]
    assert np.abs(first_ms).max() < 0.02 * np.abs(samples).max()
    assert ATTACK_S >= 0.02


@pytest.mark.parametrize("cue", CUES)
def test_it_has_no_constant_part_that_would_push_a_membrane(cue):
    samples = pattern(cue).astype(float)
    assert abs(samples.mean()) < 0.001 * np.abs(samples).max()


@pytest.mark.parametrize("level", [0, 101, -1])
def test_a_level_outside_one_to_a_hundred_is_refused(level):
    with pytest.raises(ValueError, match="from 1 to 100"):
        pattern("closing", level)
