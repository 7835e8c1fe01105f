"""Qt's own outputs, as Windows and macOS have them: one very device, and an end when it goes."""

import json
import subprocess
import sys

import numpy as np
import pytest

from pacer.earpiece.outputs import Output
from pacer.earpiece.patterns import RATE_HZ
from tests.earpiece.samples import pattern
from tests.earpiece.sound_server import NAMES, SoundServer, best_match, listen, need_tools

pytest.importorskip("PySide6.QtMultimedia")
from PySide6.QtCore import QByteArray, QObject, Signal
from PySide6.QtMultimedia import QtAudio

from pacer.qt.earpiece import qt_outputs
from pacer.qt.earpiece.qt_outputs import QtOutputs

EAR = Output("usb-1", "Earbud")
PCM = np.arange(1, 50, dtype="<i2").tobytes()


class FakeDevice:
    def __init__(self, id_, name, channels=(1, 2)):
        self._id, self._name, self.channels = id_, name, channels

    def id(self):
        return QByteArray(self._id.encode())

    def description(self):
        return self._name

    def isFormatSupported(self, wanted):  # noqa: N802
        return wanted.channelCount() in self.channels


class FakeDevices(QObject):
    audioOutputsChanged = Signal()  # noqa: N815

    def __init__(self, _parent=None):
        super().__init__()
        self.there = [FakeDevice("card-0", "Speakers"), FakeDevice("usb-1", "Earbud")]

    def audioOutputs(self):  # noqa: N802
        return self.there

    def now(self, *there):
        self.there = list(there)
        self.audioOutputsChanged.emit()


class FakeSink(QObject):
    stateChanged = Signal(object)  # noqa: N815
    made: "list[FakeSink]" = []  # noqa: RUF012 - emptied before each test

    def __init__(self, device, form, _parent):
        super().__init__()
        self.device, self.form = device, form
        self.resets = 0
        self.made.append(self)

    def setBufferSize(self, size):  # noqa: N802
        self.buffer_ms = size * 1000 / RATE_HZ / 2 / self.form.channelCount()

    def start(self, source):
        self.bytes = source.readAll().data()

    def turn(self, state):
        self.now = state
        self.stateChanged.emit(state)

    def state(self):
        return self.now

    def error(self):
        return QtAudio.Error.NoError

    def reset(self):
        self.resets += 1


@pytest.fixture
def opened(qapp, monkeypatch):
    FakeSink.made.clear()
    monkeypatch.setattr(qt_outputs, "QMediaDevices", FakeDevices)
    monkeypatch.setattr(qt_outputs, "QAudioSink", FakeSink)
    monkeypatch.setattr(qt_outputs, "QBuffer", lambda _sink: qt_outputs_buffer())
    made = QtOutputs()
    yield made
    made.close()
    made.deleteLater()


def qt_outputs_buffer():
    from PySide6.QtCore import QBuffer

    return QBuffer()


def test_they_are_told_by_id_and_name(opened):
    assert opened.present == (Output("card-0", "Speakers"), EAR)


def test_a_sound_plays_on_that_very_device_with_little_on_the_way(opened):
    assert opened.play(EAR, PCM, RATE_HZ)
    (sink,) = FakeSink.made
    assert sink.device.description() == "Earbud"
    assert (sink.bytes, sink.form.channelCount(), sink.form.sampleRate()) == (PCM, 1, RATE_HZ)
    assert sink.buffer_ms <= 100


def test_a_device_that_takes_two_channels_alone_gets_the_same_in_both(opened):
    opened._devices.there = [FakeDevice("usb-1", "Earbud", channels=(2,))]
    assert opened.play(EAR, PCM, RATE_HZ)
    both = np.frombuffer(FakeSink.made[-1].bytes, "<i2").reshape(-1, 2)
    assert both[:, 0].tobytes() == both[:, 1].tobytes() == PCM


@pytest.mark.parametrize(
    "there",
    [
        (),
        (FakeDevice("card-0", "Speakers"),),
        (FakeDevice("usb-1", "Speakers"),),
        (FakeDevice("usb-1", "Earbud", channels=()),),
    ],
)
def test_where_it_is_not_there_or_takes_no_such_sound_nothing_plays(opened, there):
    opened._devices.there = list(there)
    assert not opened.play(EAR, PCM, RATE_HZ)
    assert FakeSink.made == []


def test_a_device_that_goes_ends_its_sound_at_once_and_is_told(opened):
    told = []
    opened.changed.connect(lambda: told.append(opened.present))
    opened.play(EAR, PCM, RATE_HZ)
    opened._devices.now(FakeDevice("card-0", "Speakers"))
    assert FakeSink.made[-1].resets == 1
    assert told == [(Output("card-0", "Speakers"),)]


def test_another_device_that_goes_ends_nothing(opened):
    opened.play(EAR, PCM, RATE_HZ)
    opened._devices.now(FakeDevice("usb-1", "Earbud"))
    assert FakeSink.made[-1].resets == 0


@pytest.mark.parametrize("state", [QtAudio.State.IdleState, QtAudio.State.StoppedState])
def test_a_sound_that_was_heard_leaves_nothing_open(opened, state):
    opened.play(EAR, PCM, RATE_HZ)
    FakeSink.made[-1].turn(QtAudio.State.ActiveState)
    assert FakeSink.made[-1].resets == 0
    FakeSink.made[-1].turn(state)
    assert FakeSink.made[-1].resets == 1


def test_a_new_sound_takes_the_place_of_one_that_plays(opened):
    opened.play(EAR, PCM, RATE_HZ)
    opened.play(EAR, PCM, RATE_HZ)
    assert [sink.resets for sink in FakeSink.made] == [1, 0]


REAL = """
import json, sys
from PySide6.QtCore import QCoreApplication, QTimer
application = QCoreApplication([])
from pacer.earpiece.outputs import Output
from pacer.earpiece.patterns import RATE_HZ
from tests.earpiece.samples import pattern
from pacer.qt.earpiece.qt_outputs import QtOutputs
opened = QtOutputs()
present = [list(output) for output in opened.present]
played = opened.play(Output("earbud", "Earbud"), pattern("borrowing").tobytes(), RATE_HZ)
waits = QTimer()
waits.timeout.connect(lambda: opened._sink is None and application.quit())
waits.start(20)
QTimer.singleShot(60_000, lambda: application.exit(3))
code = application.exec()
opened.close()
print(json.dumps({"present": present, "played": played}))
sys.exit(code)
"""


def pieces(samples: np.ndarray) -> list[np.ndarray]:
    """What is heard between silences of five milliseconds and more, each a hundredth of a second at least."""
    loud = np.flatnonzero(samples)
    ends = np.flatnonzero(np.diff(loud) > RATE_HZ // 200)
    begins, ends = [*loud[:1], *loud[ends + 1]], [*loud[ends], *loud[-1:]]
    found = [samples[begin : end + 1] for begin, end in zip(begins, ends, strict=True)]
    return [piece for piece in found if len(piece) >= RATE_HZ // 100]


@pytest.mark.slow
def test_with_real_sound_a_cue_is_heard_on_the_chosen_output_alone():
    """On this server Qt's streams may be moved, so it is not used with it; all else is as elsewhere."""
    need_tools()
    server = SoundServer()
    try:
        speakers, projector, earbud = listen(server, *NAMES)
        done = subprocess.run(
            [sys.executable, "-c", REAL], env=server.environment, capture_output=True, text=True, timeout=600
        )
        assert done.returncode == 0, done.stderr
        told = json.loads(done.stdout)
        assert {tuple(output) for output in told["present"]} == set(NAMES.items())
        assert told["played"]
        # Qt hands over some hundredths of a second at a time: where the machine stands still there is silence
        # between them, and the rest may be missing. What is heard is of the cue, and no more than it.
        cue, heard = pattern("borrowing"), pieces(earbud.samples())
        assert 0 < sum(map(len, heard)) <= 1.05 * len(cue)
        assert all(best_match(cue, piece)[0] > 0.8 for piece in heard)  # other cues: below 0.1
        assert (np.count_nonzero(speakers.samples()), np.count_nonzero(projector.samples())) == (0, 0)
    finally:
        server.shut()
