"""Forks a child that works and tells its parent line by line; it may be killed, or traced, at any moment.

It tells through a socket, so that what it tells is no ``write`` that a fault could be put into.
"""

import os
import resource
import select
import signal
import socket
import sys
import time
import traceback
from collections.abc import Callable, Iterator
from contextlib import suppress
from dataclasses import dataclass, field

import psutil

MOST_S = 60.0  # of the processor, or asleep: a child that neither tells anything nor ends
Tell = Callable[[str], None]


@dataclass
class Told:
    """All that a child told until it ended, in order: (word, rest). ``took_s``: from its first word on."""

    lines: list[tuple[str, str]] = field(default_factory=list)
    failed: str = ""
    is_hung: bool = False
    took_s: float = 0.0
    mib: float = 0.0

    def of(self, word: str) -> list[str]:
        """What was told under a word."""
        return [rest for first, rest in self.lines if first == word]


class Patience:
    """Tells a process that hangs from one that a busy machine keeps waiting."""

    def __init__(self, pid: int) -> None:
        self._process = psutil.Process(pid)
        self._before_s = self._heard_s = 0.0

    def heard(self) -> None:
        """It told something."""
        self._heard_s = self._spent_s()

    def is_over(self) -> bool:
        """Asked after a silence: whether it slept all through it, or worked too long since it was heard."""
        before_s, self._before_s = self._before_s, self._spent_s()
        sleeps = self._process.status() == psutil.STATUS_SLEEPING
        return (sleeps and self._before_s == before_s) or self._before_s - self._heard_s > MOST_S

    def _spent_s(self) -> float:
        with suppress(psutil.NoSuchProcess):
            times = self._process.cpu_times()
            return times.user + times.system
        return 0.0


class Child:
    """A forked child. ``go`` lets it begin where it was asked to wait."""

    def __init__(self, work: Callable[[Tell], None], waits: bool = False) -> None:
        ours, its = socket.socketpair()
        self.pid = os.fork()
        if self.pid == 0:
            ours.close()
            _work(its, work, waits)
        its.close()
        self._socket = ours

    def go(self) -> None:
        """Let a child that waits begin, or go on."""
        self._socket.send(b".")

    def kill(self) -> None:
        """End it, whatever it is in."""
        with suppress(ProcessLookupError):
            os.kill(self.pid, signal.SIGKILL)

    def lines(self) -> Iterator[str]:
        """Each line as it is told, until the child is gone; an empty one where it hangs."""
        kept, patience = b"", Patience(self.pid)
        while True:
            if not select.select([self._socket], [], [], MOST_S)[0]:
                if patience.is_over():
                    yield ""
                    return
                continue
            patience.heard()
            with suppress(ConnectionResetError):
                if chunk := self._socket.recv(65536):
                    *whole, kept = (kept + chunk).split(b"\n")
                    yield from (line.decode() for line in whole)
                    continue
            return

    def end(self, told: Told) -> Told:
        """Wait for its end."""
        self._socket.close()
        _pid, status, usage = os.wait4(self.pid, 0)
        told.mib = usage.ru_maxrss / 1024
        if os.WIFSIGNALED(status) and os.WTERMSIG(status) != signal.SIGKILL:
            told.failed = told.failed or f"ended by signal {os.WTERMSIG(status)}"
        return told

    def hear(self, at: Callable[[str, str], None] = lambda _word, _rest: None) -> Told:
        """All it tells until its end; ``at`` is called with each."""
        told, began = Told(), 0.0
        for line in self.lines():
            if not line:
                told.is_hung = True
                self.kill()
                break
            word, _, rest = line.partition(" ")
            began = began or time.monotonic()
            if word == "failed":
                told.failed = rest
            else:
                told.lines.append((word, rest))
            at(word, rest)
        told.took_s = time.monotonic() - began if began else 0.0
        return self.end(told)


def _work(its: socket.socket, work: Callable[[Tell], None], waits: bool) -> None:
    def tell(words: str) -> None:
        its.sendall(f"{words}\n".encode())

    code = 1
    try:
        signal.signal(signal.SIGTERM, signal.SIG_DFL)  # what the campaign does at its end is not a child's
        # Where a file may not grow Python 3.11 keeps what it compiled cut off, and no later import reads it.
        sys.dont_write_bytecode = True
        resource.setrlimit(resource.RLIMIT_CORE, (0, 0))
        if waits:
            its.recv(1)
        work(tell)
        code = 0
    except BaseException as error:
        frames = [frame for frame in traceback.extract_tb(error.__traceback__) if "pacer/" in frame.filename]
        place = (
            f"{frames[-1].filename.rpartition('pacer/')[2]}:{frames[-1].lineno}" if frames else "the tests"
        )
        with suppress(OSError):
            tell(f"failed {type(error).__name__} at {place}: {str(error)[:120]!a}")
    finally:
        os._exit(code)
