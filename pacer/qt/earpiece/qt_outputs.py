"""The audio outputs as Qt knows them, for Windows and macOS, where a stream stays on its device.

Imported only when the earpiece is wanted there: Qt's sound is slow to load.
"""

from PySide6.QtCore import QBuffer, QByteArray, QIODevice, QLoggingCategory, QObject, Signal
from PySide6.QtMultimedia import QAudioDevice, QAudioFormat, QAudioSink, QMediaDevices, QtAudio

from pacer.earpiece.outputs import Output

BUFFER_MS = 60


class QtOutputs(QObject):
    """Like ``pacer.qt.earpiece.outputs.Outputs``."""

    changed = Signal()

    def __init__(self, parent: QObject | None = None) -> None:
        super().__init__(parent)
        # The teacher is told in a line of the window; Qt's own words about sound are no use to her.
        QLoggingCategory.setFilterRules("qt.multimedia.*=false")
        self._devices = QMediaDevices(self)
        self._devices.audioOutputsChanged.connect(self._on_changed)
        self._sink: QAudioSink | None = None
        self._plays: Output | None = None

    @property
    def present(self) -> tuple[Output, ...] | None:
        return tuple(_output(device) for device in self._devices.audioOutputs())

    def play(self, output: Output, pcm: bytes, rate_hz: int) -> bool:
        self.stop()
        device = next((one for one in self._devices.audioOutputs() if _output(one) == output), None)
        channels = None if device is None else _channels(device, rate_hz)
        if device is None or channels is None:
            return False
        frames = pcm if channels == 1 else b"".join(pcm[at : at + 2] * 2 for at in range(0, len(pcm), 2))
        self._sink = QAudioSink(device, _format(rate_hz, channels), self)
        self._sink.setBufferSize(BUFFER_MS * rate_hz * 2 * channels // 1000)
        self._sink.stateChanged.connect(self._on_state)
        source = QBuffer(self._sink)
        source.setData(QByteArray(frames))
        source.open(QIODevice.OpenModeFlag.ReadOnly)
        self._plays = output
        self._sink.start(source)
        return self._sink is not None and self._sink.error() == QtAudio.Error.NoError

    def stop(self) -> None:
        sink, self._sink, self._plays = self._sink, None, None
        if sink is not None:
            sink.stateChanged.disconnect(self._on_state)
            sink.reset()  # unlike stop, it plays no rest
            sink.deleteLater()

    def close(self) -> None:
        self.stop()
        self._devices.audioOutputsChanged.disconnect(self._on_changed)

    def _on_state(self) -> None:
        # Without an argument: the binding can't hand over the state in the type that the signal names.
        if self._sink is not None and self._sink.state().name in ("IdleState", "StoppedState"):
            self.stop()

    def _on_changed(self) -> None:
        if self._plays is not None and self._plays not in (self.present or ()):
            self.stop()
        self.changed.emit()


def _output(device: QAudioDevice) -> Output:
    return Output(bytes(device.id().data()).decode("utf-8", "replace"), device.description())


def _format(rate_hz: int, channels: int) -> QAudioFormat:
    made = QAudioFormat()
    made.setSampleRate(rate_hz)
    made.setChannelCount(channels)
    made.setSampleFormat(QAudioFormat.SampleFormat.Int16)
    return made


def _channels(device: QAudioDevice, rate_hz: int) -> int | None:
    """One where the device takes it, or two; None where it takes neither at this rate."""
    return next((count for count in (1, 2) if device.isFormatSupported(_format(rate_hz, count))), None)
