"""A sound server of the tests' own, with outputs that play into nothing but can be listened to."""

import os
import shutil
import subprocess
import tempfile
import time
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

TOOLS = ("pulseaudio", "pactl", "parec")
FAR_END_S = 60  # an event that has not come by then does not come
RECORD_HZ = 48_000
LAST_S = 0.3  # of what is on its way to a recorder when it is told to end
EARBUD, PROJECTOR, SPEAKERS = "earbud", "projector", "speakers"
NAMES = {SPEAKERS: "Speakers", PROJECTOR: "Projector", EARBUD: "Earbud"}


def need_tools() -> None:
    """Skip where PulseAudio is not installed; where Qt is required, so is it."""
    missing = [tool for tool in TOOLS if shutil.which(tool) is None]
    if missing:
        words = f"not installed: {', '.join(missing)} (Debian: pulseaudio pulseaudio-utils)"
        if os.environ.get("PACER_REQUIRE_QT") == "1":
            pytest.fail(words)
        pytest.skip(words)


def until(holds: Callable[[], object], what: str) -> None:
    """Wait for something to hold, for as long as anybody would."""
    end = time.monotonic() + FAR_END_S
    while not holds():
        assert time.monotonic() < end, f"never came: {what}"
        time.sleep(0.005)


def best_match(samples: np.ndarray, wanted: np.ndarray) -> tuple[float, float]:
    """How well a pattern fits where it fits best, 1 for exactly, and how many seconds in that is."""
    heard, wanted = samples.astype(float), wanted.astype(float)
    size = len(heard) + len(wanted)
    fits = np.fft.irfft(np.fft.rfft(heard, size) * np.conj(np.fft.rfft(wanted, size)), size)
    loud = np.concatenate([[0], np.cumsum(heard**2)])
    count = len(heard) - len(wanted) + 1
    if count < 1:
        return 0.0, 0.0
    power = np.sqrt(np.maximum(loud[len(wanted) :] - loud[:count], 1)) * np.linalg.norm(wanted)
    likeness = fits[:count] / power
    at = int(np.argmax(likeness))
    return float(likeness[at]), at / RECORD_HZ


class SoundServer:
    """PulseAudio with three outputs: loudspeakers, which are the default, a projector and an earbud."""

    def __init__(self) -> None:
        # Not pytest's folder: the path of a socket may be no longer than some hundred signs.
        self.folder = Path(tempfile.mkdtemp(prefix="ear-"))
        for name in ("run", "config", "state", "home"):
            (self.folder / name).mkdir(mode=0o700)
        self.listening: list[subprocess.Popen[bytes]] = []
        self.address = f"unix:{self.folder / 'socket'}"
        self.environment = {
            **os.environ,
            "HOME": str(self.folder / "home"),
            "XDG_RUNTIME_DIR": str(self.folder / "run"),
            "XDG_CONFIG_HOME": str(self.folder / "config"),
            "PULSE_RUNTIME_PATH": str(self.folder / "run"),
            "PULSE_STATE_PATH": str(self.folder / "state"),
            "PULSE_SERVER": self.address,
        }
        self._log = (self.folder / "log").open("wb")
        self.begin()

    def begin(self) -> None:
        """Start the server."""
        sinks = [self._sink(name) for name in NAMES]
        loads = [part for module in (self._socket(), *sinks) for part in ("-L", module)]
        options = ["-n", "--daemonize=no", "--use-pid-file=no", "--exit-idle-time=-1", "--log-target=stderr"]
        # A server on this address must not be asked to start itself.
        own = {key: value for key, value in self.environment.items() if key != "PULSE_SERVER"}
        self._server = subprocess.Popen(
            ["pulseaudio", *options, *loads], env=own, stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL, stderr=self._log,
        )  # fmt: skip
        until(lambda: len(self.sinks()) == len(NAMES), "the outputs of the sound server")

    def _socket(self) -> str:
        return f"module-native-protocol-unix auth-anonymous=1 socket={self.folder / 'socket'}"

    @staticmethod
    def _sink(name: str) -> str:
        # Of the recorder's own rate: nothing is worked out anew between a sound and its recording.
        described = f"sink_properties=device.description={NAMES[name]}"
        return f"module-null-sink sink_name={name} rate={RECORD_HZ} {described}"

    def ask(self, *words: str) -> str:
        """What pactl answers; empty where it fails."""
        done = subprocess.run(["pactl", *words], env=self.environment, capture_output=True, text=True)
        return done.stdout if done.returncode == 0 else ""

    def sinks(self) -> list[str]:
        """The names of the outputs there now."""
        return [line.split("\t")[1] for line in self.ask("list", "short", "sinks").splitlines()]

    def default(self) -> str:
        """The name of the default output."""
        return self.ask("get-default-sink").strip()

    def streams(self) -> list[str]:
        """A line of each stream that plays."""
        return self.ask("list", "short", "sink-inputs").splitlines()

    def unplug(self, name: str) -> None:
        """Take an output away, as a cable does."""
        lines = self.ask("list", "short", "modules").splitlines()
        number = next(line.split("\t")[0] for line in lines if f"sink_name={name} " in f"{line} ")
        self.ask("unload-module", number)
        assert name not in self.sinks()

    def plug(self, name: str) -> None:
        """Bring it back."""
        self.ask("load-module", *self._sink(name).split())
        assert name in self.sinks()

    def make_default(self, name: str) -> None:
        """Choose another default output."""
        self.ask("set-default-sink", name)
        assert self.default() == name

    def end(self) -> None:
        """End the server."""
        self._server.terminate()
        self._server.wait(FAR_END_S)

    def shut(self) -> None:
        """End the server, what still listens to it, and take its folder away."""
        self.end()
        for process in self.listening:
            process.terminate()
            process.wait(FAR_END_S)
        self._log.close()
        shutil.rmtree(self.folder)


class Recorder:
    """Listens to what an output plays, until ``samples`` are asked for; made by ``listen``.

    ``began_s`` is then when the first sample was heard, on the monotonic clock, to some hundredths.
    """

    def __init__(self, server: SoundServer, name: str) -> None:
        self.file = server.folder / f"{name}-{time.monotonic_ns()}.raw"
        command = ["parec", f"--device={name}.monitor", "--raw", "--format=s16le", f"--rate={RECORD_HZ}",
                   "--channels=1", "--latency-msec=20"]  # fmt: skip
        self._asked_s = time.monotonic()
        with self.file.open("wb") as out:
            self._process = subprocess.Popen(command, env=server.environment, stdout=out)
        self.began_s = 0.0
        server.listening.append(self._process)

    @property
    def seconds(self) -> float:
        """How much was recorded so far."""
        return self.file.stat().st_size / 2 / RECORD_HZ

    def heard_ms(self) -> float:
        """How much of what was recorded so far is sound."""
        so_far = np.fromfile(self.file, "<i2", self.file.stat().st_size // 2)
        return np.count_nonzero(so_far) * 1000 / RECORD_HZ

    def samples(self) -> np.ndarray:
        """All that was heard, from -32768 to 32767; ends the recording."""
        if self._process.poll() is None:
            # Counted from its end: the first of a recording comes in larger parts.
            self.began_s = time.monotonic() - self.seconds
            # All until now, though on a busy machine the recorder may be seconds behind.
            end_s = time.monotonic() - self._asked_s + LAST_S
            until(lambda: self.seconds > end_s or self._process.poll() is not None, "the last of a recording")
            self._process.terminate()
            self._process.wait(FAR_END_S)
        return np.fromfile(self.file, "<i2")


def listen(server: SoundServer, *names: str) -> list[Recorder]:
    """Recorders of outputs, all of which have begun to record."""
    recorders = [Recorder(server, name) for name in names]
    until(lambda: all(recorder.seconds for recorder in recorders), "the first of a recording")
    return recorders
