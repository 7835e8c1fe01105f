"""Child processes of the real-screen tests: captured output, and never left running."""

import os
import shutil
import signal
import subprocess
import tempfile
import time
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from pathlib import Path
from typing import TypeVar

Found = TypeVar("Found")
PATIENCE_S = 180.0  # every wait is for an event; it ends only where the machine is not just busy but stuck


def wait_until(look: Callable[[], Found], what: str, timeout_s: float = PATIENCE_S) -> Found:
    """Call `look` until it returns something true, and return that; AssertionError after `timeout_s`."""
    end = time.monotonic() + timeout_s
    while True:
        found = look()
        if found:
            return found
        if time.monotonic() >= end:
            raise AssertionError(f"waited {timeout_s:g} s in vain for {what}; last seen: {found!r}")
        time.sleep(0.05)


def dies_with_us(argv: Sequence[str], by: str = "KILL") -> list[str]:
    """Return `argv` so that the process gets signal `by` when the test run is killed and cannot clean up."""
    setpriv = shutil.which("setpriv")
    return [setpriv, "--pdeathsig", by, *argv] if setpriv else list(argv)


def end_group(process: subprocess.Popen[bytes], grace_s: float = 2.0) -> None:
    """End a process and its whole group, which it leads: asked first, killed after `grace_s` seconds."""
    if process.poll() is None:
        with suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGTERM)
        with suppress(subprocess.TimeoutExpired):
            process.wait(grace_s)
    # Also when the leader has ended: what it started may still be running in its group.
    with suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)
    process.wait(PATIENCE_S)


class Child:
    """One running program; its output goes to files, so that a full pipe cannot block it."""

    def __init__(self, argv: Sequence[str | Path], env: Mapping[str, str], cwd: Path | None = None) -> None:
        """Start `argv` in a process group of its own; FileNotFoundError when there is no such program."""
        self.argv = [str(part) for part in argv]
        if not shutil.which(self.argv[0]):
            raise FileNotFoundError(f"there is no program {self.argv[0]}")
        self._kept: dict[Path, str] | None = None
        self._folder = tempfile.TemporaryDirectory(prefix="pacer-child-")
        self._out = Path(self._folder.name, "out")
        self._err = Path(self._folder.name, "err")
        try:
            with self._out.open("wb") as out, self._err.open("wb") as err:
                self.process = subprocess.Popen(
                    dies_with_us(self.argv),
                    stdin=subprocess.DEVNULL,
                    stdout=out,
                    stderr=err,
                    env=dict(env),
                    cwd=cwd,
                    start_new_session=True,
                )
        except OSError:
            self._folder.cleanup()
            raise

    @property
    def pid(self) -> int:
        """The process number of the program itself."""
        return self.process.pid

    @property
    def running(self) -> bool:
        """Whether the program is still there."""
        return self.process.poll() is None

    def out(self) -> str:
        """Everything written to standard output until now."""
        return self._text(self._out)

    def err(self) -> str:
        """Everything written to standard error until now."""
        return self._text(self._err)

    def _text(self, path: Path) -> str:
        return path.read_text(errors="replace") if self._kept is None else self._kept[path]

    def wait(self, timeout_s: float = PATIENCE_S) -> int:
        """Wait for the program to end by itself, return its exit code; AssertionError after `timeout_s`."""
        try:
            return self.process.wait(timeout_s)
        except subprocess.TimeoutExpired:
            raise AssertionError(f"still running after {timeout_s:g} s: {self.report()}") from None

    def wait_for_output(self, text: str, timeout_s: float = PATIENCE_S) -> str:
        """Wait until standard output holds `text` and return all of it; AssertionError when it does not."""
        end = time.monotonic() + timeout_s
        while True:
            # Asked before reading, so that the last words of a program that has just ended are not missed.
            running = self.running
            if text in self.out():
                return self.out()
            if not running or time.monotonic() >= end:
                raise AssertionError(f"{text!r} did not come within {timeout_s:g} s: {self.report()}")
            time.sleep(0.05)

    def kill(self) -> None:
        """Kill the whole group at once, as a crash or a power cut would."""
        with suppress(ProcessLookupError):
            os.killpg(self.pid, signal.SIGKILL)
        self.process.wait(PATIENCE_S)

    def close(self) -> None:
        """Make sure that nothing of it runs any more and remove its files; its output can still be read."""
        if self._kept is not None:
            return
        end_group(self.process)
        self._kept = {path: self._text(path) for path in (self._out, self._err)}
        self._folder.cleanup()

    def report(self) -> str:
        """The command, its exit code and its output, for a failing test."""
        code = self.process.poll()
        state = "still running" if code is None else f"exit code {code}"
        return f"{' '.join(self.argv)[:300]} ({state})\n--- out\n{self.out()}\n--- err\n{self.err()}"
