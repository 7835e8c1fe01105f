"""A lesson that nobody sees, recorded: the ear hears each of its stages, whenever that is, and nobody else.

How soon that is, is measured on a quiet machine: tests/benchmarks/test_ear_figures.py.
"""

from collections.abc import Iterator
from typing import get_args

import numpy as np
import pytest

from pacer.earpiece.cues import EarCue
from tests.earpiece.samples import pattern
from tests.earpiece.sound_server import (
    EARBUD,
    PROJECTOR,
    RECORD_HZ,
    SPEAKERS,
    SoundServer,
    best_match,
    listen,
    need_tools,
    until,
)
from tests.qt.lesson.ear_factories import WHOLE_S, LessonAlone, onsets

APART_S = 0.25  # longer than any silence within a cue


@pytest.fixture
def server() -> Iterator[SoundServer]:
    need_tools()
    made = SoundServer()
    yield made
    made.shut()


def sounds(samples: np.ndarray) -> list[np.ndarray]:
    """The sounds of a recording, each from its first sample that is not silent to its last."""
    loud = np.flatnonzero(samples)
    if not len(loud):
        return []
    ends = np.flatnonzero(np.diff(loud) > APART_S * RECORD_HZ)
    begins = [loud[0], *loud[ends + 1]]
    return [samples[begin : end + 1] for begin, end in zip(begins, [*loud[ends], loud[-1]], strict=True)]


def heard_as(sound: np.ndarray) -> tuple[str, bool]:
    """The cue that a sound is like, and whether it is that cue."""
    rest = np.zeros(max(len(pattern(cue)) for cue in get_args(EarCue)), sound.dtype)
    fits = {
        cue: best_match(np.concatenate([rest, sound, rest]), pattern(cue, 50))[0] for cue in get_args(EarCue)
    }
    cue = max(fits, key=lambda name: fits[name])
    return cue, fits[cue] > 0.95


@pytest.mark.slow
def test_each_stage_is_heard_in_the_ear_in_its_order_and_nowhere_else(server, tmp_path):
    speakers, projector, recorder = listen(server, SPEAKERS, PROJECTOR, EARBUD)
    lesson = LessonAlone(server, tmp_path, WHOLE_S)
    until(lambda: recorder.heard_ms() > 50, "the first cue")
    server.make_default(PROJECTOR)  # makes no difference
    expected = [cue for _at, cue in onsets(lesson.report())]
    heard = [heard_as(sound) for sound in sounds(recorder.samples())]
    assert expected
    assert heard == [(cue, True) for cue in expected]
    assert [np.count_nonzero(other.samples()) for other in (speakers, projector)] == [0, 0]
