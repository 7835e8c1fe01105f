"""Runs cases in child processes, each held to a second of the processor's time and a bound of memory.

What the processor spent is counted, not what the clock showed, so a busy machine makes nothing hang. Each
step of the program that a case asks for has its second; the campaign's own checks have more, uncounted.
"""

import json
import os
import resource
import select
import signal
import time
import traceback
from collections.abc import Callable, Iterator
from dataclasses import asdict, dataclass

from tests.faults.children import Patience

CPU_S = 1.0
MOST_MIB = 300
CHECKS_S = 20.0  # of what the campaign itself asks of what was read
ASLEEP_S = 600  # one that spends no time at all and does not end either
_LIFE = 2000  # cases of one process: what a library keeps does not add up over the whole campaign
_MORE_BYTES = 1 << 30  # a case that wants more fails there and then, before the machine does


class NotPlainError(AssertionError):
    """Something was refused, but not in a plain sentence."""


class RoundTripError(AssertionError):
    """What was read, written and read again is another thing."""


@dataclass(frozen=True)
class Outcome:
    """What came of a case: read, refused, or a column that must be empty; where, and what it took."""

    what: str
    why: str = ""
    cpu_s: float = 0.0
    mib: float = 0.0


@dataclass
class _Step:
    """The step that runs: when it began, and what the costliest before it took."""

    is_watched: bool = False
    is_own: bool = False
    began: float = 0.0
    worst_s: float = 0.0


_step = _Step()


def next_step() -> None:
    """What follows is another step of the program's, with a second of its own."""
    _begin(CPU_S, is_own=False)


def checks() -> None:
    """What follows is the campaign's own checking."""
    _begin(CHECKS_S, is_own=True)


def _begin(most_s: float, *, is_own: bool) -> None:
    _end()
    if _step.is_watched:
        signal.setitimer(signal.ITIMER_PROF, most_s)
    _step.began, _step.is_own = time.process_time(), is_own


def _end() -> None:
    if not _step.is_own:
        _step.worst_s = max(_step.worst_s, time.process_time() - _step.began)


def outcome_of(work: Callable[[], str]) -> Outcome:
    """Run one case here. ``work`` returns "read" or "refused"."""
    _step.worst_s, _step.is_own, _step.began = 0.0, False, time.process_time()
    try:
        what, why = work(), ""
    except NotPlainError as error:
        what, why = "not plain", str(error)
    except RoundTripError as error:
        what, why = "round trip", str(error)
    except MemoryError:
        what, why = "memory", "more than a gigabyte"
    except BaseException as error:
        what, why = "traceback", _where(error)
    _end()
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    if peak > MOST_MIB and what in ("read", "refused"):
        what, why = "memory", f"{peak:.0f} MiB"
    return Outcome(what, why, _step.worst_s, peak)


def _where(error: BaseException) -> str:
    """The kind of an exception and the last place of the program that it came through."""
    frames = [frame for frame in traceback.extract_tb(error.__traceback__) if "pacer" in frame.filename]
    last = frames[-1] if frames else None
    place = "" if last is None else f" at {last.filename.rpartition('pacer/')[2]}:{last.lineno}"
    return f"{type(error).__name__}{place}: {str(error)[:80]!a}"


def watched(work: Callable[[int], str], numbers: range) -> Iterator[tuple[int, Outcome]]:
    """The outcome of each case, in order. One that ends its process or hangs costs only itself."""
    at = numbers.start
    while at < numbers.stop:
        for outcome in _in_a_child(work, range(at, min(at + _LIFE, numbers.stop))):
            yield at, outcome
            at += 1


def once(work: Callable[[], str]) -> Outcome:
    """The outcome of a single case, in a child process of its own."""
    return next(iter(_in_a_child(lambda _number: work(), range(1))))


def _in_a_child(work: Callable[[int], str], numbers: range) -> Iterator[Outcome]:
    reading, writing = os.pipe()
    child = os.fork()
    if child == 0:
        os.close(reading)
        _serve(work, numbers, writing)
    os.close(writing)
    told, is_asleep, is_large, patience = 0, False, False, Patience(child)
    with os.fdopen(reading, "rb", buffering=0) as pipe:
        kept = b""
        while not is_large:
            if not select.select([pipe], [], [], ASLEEP_S)[0]:
                if patience.is_over():
                    is_asleep = True
                    break
                continue
            patience.heard()
            chunk = pipe.read(65536)
            if not chunk:
                break
            *lines, kept = (kept + chunk).split(b"\n")
            for line in lines:
                outcome = Outcome(**json.loads(line))
                told += 1
                yield outcome
                is_large = is_large or outcome.mib > MOST_MIB
    os.kill(child, signal.SIGKILL)
    _pid, status, usage = os.wait4(child, 0)
    if told == len(numbers) or is_large:
        return
    number = os.WTERMSIG(status) if os.WIFSIGNALED(status) else 0
    mib = usage.ru_maxrss / 1024
    if is_asleep or number == signal.SIGPROF:
        yield Outcome("hang", f"over {ASLEEP_S if is_asleep else CPU_S:g} s", CPU_S, mib)
    else:
        yield Outcome("crash", f"signal {number}" if number else f"exit {os.WEXITSTATUS(status)}", 0.0, mib)


def _serve(work: Callable[[int], str], numbers: range, writing: int) -> None:
    """In the child: a line for each case; the kernel ends it where one takes too long."""
    try:
        signal.signal(signal.SIGPROF, signal.SIG_DFL)
        _step.is_watched = True
        resource.setrlimit(resource.RLIMIT_DATA, (_MORE_BYTES, _MORE_BYTES))
        for number in numbers:
            signal.setitimer(signal.ITIMER_PROF, CPU_S)
            outcome = outcome_of(lambda number=number: work(number))
            signal.setitimer(signal.ITIMER_PROF, 0)
            os.write(writing, json.dumps(asdict(outcome)).encode() + b"\n")
            if outcome.mib > MOST_MIB:
                break  # its peak would be taken for the next one's
    finally:
        os._exit(0)
