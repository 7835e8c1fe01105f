"""The outputs of a real sound server, kept up to date while the program's events go round."""

import sys

import numpy as np
import pytest
from PySide6.QtTest import QTest

from pacer.earpiece.outputs import Output
from pacer.earpiece.patterns import RATE_HZ
from pacer.qt.earpiece import outputs
from pacer.qt.earpiece.outputs import PulseOutputs, open_outputs
from tests.earpiece.samples import pattern
from tests.earpiece.sound_server import (
    EARBUD,
    NAMES,
    SPEAKERS,
    SoundServer,
    best_match,
    listen,
    need_tools,
    until,
)

EAR = Output(EARBUD, NAMES[EARBUD])


@pytest.fixture
def server():
    need_tools()
    made = SoundServer()
    yield made
    made.shut()


@pytest.fixture
def opened(qapp, server, monkeypatch):
    """Outputs of the server, which have been told."""
    for name, value in server.environment.items():
        monkeypatch.setenv(name, value)
    monkeypatch.setattr(outputs, "AGAIN_MS", 300)
    made = PulseOutputs()
    soon(lambda: made.present, "the outputs")
    yield made
    made.close()
    made.deleteLater()


def soon(holds, what):
    """Let the program's events go round until something holds."""

    def turned():
        QTest.qWait(5)
        return holds()

    until(turned, what)


def test_they_come_by_themselves(opened):
    assert EAR in opened.present


def test_an_output_that_goes_and_comes_back_is_told_each_time(opened, server):
    told = []
    opened.changed.connect(lambda: told.append(EAR in opened.present))
    server.unplug(EARBUD)
    soon(lambda: told == [False], "the output going")
    server.plug(EARBUD)
    soon(lambda: told == [False, True], "the output coming back")


def test_a_sound_is_played_to_its_end_and_then_the_server_is_left_in_peace(opened, server):
    other, recorder = listen(server, SPEAKERS, EARBUD)
    assert opened.play(EAR, pattern("closing").tobytes(), RATE_HZ)
    assert opened._timer.interval() == outputs.BUSY_MS
    soon(lambda: opened._timer.interval() == outputs.NOTICE_MS, "the end of the sound")
    assert best_match(recorder.samples(), pattern("closing"))[0] > 0.99
    assert np.count_nonzero(other.samples()) == 0


def test_an_output_that_has_just_gone_is_not_played_on(opened, server):
    server.unplug(EARBUD)
    opened.play(EAR, pattern("closing").tobytes(), RATE_HZ)
    soon(lambda: EAR not in opened.present, "the output going")
    assert server.streams() == []
    assert not opened.play(EAR, pattern("closing").tobytes(), RATE_HZ)


def test_a_server_that_ends_and_comes_back_is_found_again(opened, server):
    server.end()
    soon(lambda: opened.present == (), "the end of the server")
    assert not opened.play(EAR, pattern("closing").tobytes(), RATE_HZ)
    server.begin()
    soon(lambda: opened.present and EAR in opened.present, "the new server")
    assert opened.play(EAR, pattern("closing").tobytes(), RATE_HZ)


def test_a_stop_ends_the_stream(opened, server):
    opened.play(EAR, np.tile(pattern("move_on"), 4).tobytes(), RATE_HZ)
    soon(server.streams, "the stream")
    opened.stop()
    soon(lambda: not server.streams(), "the end of the stream")


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="the server is Linux's")
def test_on_linux_the_server_s_own_library_is_used_and_no_sound_of_qt(opened):
    made = open_outputs()
    assert type(made) is PulseOutputs
    made.close()
    made.deleteLater()
