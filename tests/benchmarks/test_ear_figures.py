"""How soon the earpiece plays a cue after its stage, in real time, and an earbud pulled out in a cue."""

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
from tests.qt.lesson.ear_factories import PHASE_S, WHOLE_S, LessonAlone, onsets

SOON_S = 0.5  # promised: a cue is heard so soon after its stage
EARLY_S = 0.1  # how far the clock of a recording may be off
GONE = "Earpiece: Earbud is not there. No cue is heard."


@pytest.fixture
def server():
    need_tools()
    made = SoundServer()
    yield made
    made.shut()


def heard_at(recorder, at_s):
    """Which cue a recording holds near a time, its likeness, and how many seconds later it begins."""
    samples, begin_s = recorder.samples(), recorder.began_s
    first = round((at_s - EARLY_S - begin_s) * RECORD_HZ)
    longest = max(len(pattern(cue)) for cue in get_args(EarCue))
    part = samples[max(0, first) : first + longest + round((SOON_S + EARLY_S) * RECORD_HZ)]
    fits = {cue: best_match(part, pattern(cue, 50)) for cue in get_args(EarCue)}
    cue = max(fits, key=lambda name: fits[name][0])
    return cue, fits[cue][0], fits[cue][1] - EARLY_S


def loudest(recorder):
    return int(np.abs(recorder.samples().astype(int)).max())


def test_each_stage_is_heard_in_the_ear_within_half_a_second_and_nowhere_else(server, tmp_path):
    speakers, projector, recorder = listen(server, SPEAKERS, PROJECTOR, EARBUD)
    lesson = LessonAlone(server, tmp_path, WHOLE_S)
    until(lambda: recorder.heard_ms() > 50, "the first cue")
    server.make_default(PROJECTOR)  # makes no difference
    report = lesson.report()
    expected = onsets(report)
    # The second Closing is that of the walk to the groups, which has five seconds.
    cues = ["closing", "borrowing", "move_on", "closing", "closing", "visit_up"]
    assert [cue for _at, cue in expected] == cues
    for at_s, cue in expected:
        found, likeness, late_s = heard_at(recorder, at_s)
        assert (found, likeness > 0.95) == (cue, True), (cue, found, likeness)
        assert -EARLY_S <= late_s <= SOON_S, (cue, late_s)
        print(f"{cue}: likeness {likeness:.3f}, {late_s * 1000:.0f} ms after its stage")
    # And nothing beside them.
    told = sum(np.count_nonzero(pattern(cue, 50)) for _at, cue in expected)
    assert np.count_nonzero(recorder.samples()) <= 1.01 * told
    assert (loudest(speakers), loudest(projector)) == (0, 0)


def test_unplugged_in_the_middle_of_a_cue_it_is_silent_everywhere_until_it_is_back(server, tmp_path):
    speakers, projector, recorder = listen(server, SPEAKERS, PROJECTOR, EARBUD)
    lesson = LessonAlone(server, tmp_path, PHASE_S)
    until(lambda: recorder.heard_ms() > 20, "the middle of Closing")
    server.unplug(EARBUD)
    assert recorder.heard_ms() < len(pattern("closing")) * 1000 / RECORD_HZ
    # Borrowing comes and goes; Move on is heard again.
    end_s = speakers.seconds + 9
    until(lambda: speakers.seconds > end_s, "the time of Borrowing")
    server.plug(EARBUD)
    (recorder,) = listen(server, EARBUD)
    report = lesson.report()
    lines = [line for _at, line in report["told"]]
    assert any(GONE in told for told in lines)
    assert GONE not in lines[-1]
    (at_s, cue) = onsets(report)[2]
    found, likeness, late_s = heard_at(recorder, at_s)
    assert (cue, found, likeness > 0.95) == ("move_on", "move_on", True)
    assert -EARLY_S <= late_s <= SOON_S
    assert (loudest(speakers), loudest(projector)) == (0, 0)
