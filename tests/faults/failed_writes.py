"""Each write fails once, or from then on: full, I/O error, read-only, cut short, folder gone.

``strace`` puts the errors into a child's calls to the system (Debian: strace); a limit on a file's size cuts
writes short; a small file system in memory is full in earnest (root only); a folder is moved away.
"""

import contextlib
import random
import re
import resource
import shutil
import subprocess
import tempfile
from collections.abc import Callable, Iterable, Iterator
from functools import cache
from pathlib import Path

from tests.faults.children import Child, Tell, Told
from tests.faults.kills import judge
from tests.faults.tally import Row
from tests.faults.victim import Victim

CALLS = (
    "pwrite64", "write", "fsync", "fdatasync", "ftruncate", "openat", "rename", "unlink", "mkdir", "rmdir",
    "chmod",
    "fchmod", "fallocate", "fchown", "link", "copy_file_range", "sendfile",
)  # fmt: skip
ERRORS = ("ENOSPC", "EIO", "EROFS", "EACCES")
ROUNDS = 4
_CALL = re.compile(r"^(?:\[pid +\d+\] |\d+ +)?(\w+)\(", re.MULTILINE)


def _live(victim: Victim, folder: Path) -> Callable[[Tell], None]:
    return lambda tell: victim.live(folder, 1, tell, range(ROUNDS))


@contextlib.contextmanager
def _traced(child: Child, *options: str, out: Path) -> Iterator[None]:
    """A child under strace, which has taken hold of it before the child begins."""
    calls = ",".join(f"?{call}" for call in CALLS)
    command = ["strace", "-f", "-p", str(child.pid), "-o", str(out), "-e", f"trace={calls}", *options]
    tracer = subprocess.Popen(command, stderr=subprocess.PIPE, text=True)
    try:
        assert tracer.stderr is not None
        for line in tracer.stderr:
            if "attached" in line:
                break
        yield
    finally:
        tracer.wait()
        tracer.stderr.close()


@cache
def why_not_traced() -> str:
    """Empty where strace can take hold of a process here."""
    if shutil.which("strace") is None:
        return "not tried: strace is not installed"
    child = Child(lambda tell: tell("ack 1"), waits=True)
    tracer = subprocess.Popen(
        ["strace", "-p", str(child.pid), "-e", "trace=none"], stderr=subprocess.PIPE, text=True
    )
    assert tracer.stderr is not None
    first = tracer.stderr.readline()
    child.go()
    child.hear()
    tracer.communicate()
    return "" if "attached" in first else f"not tried: {first.strip()}"


def _under(victim: Victim, folder: Path, *options: str) -> tuple[Told, str]:
    """What a victim told under strace, and the calls it made."""
    with tempfile.NamedTemporaryFile("r", prefix="pacer-faults-") as out:
        child = Child(_live(victim, folder), waits=True)
        with _traced(child, *options, out=Path(out.name)):
            child.go()
            told = child.hear()
        return told, out.read()


def injected(victim: Victim, folder: Path, seed: int, tries: int | None) -> Row:
    """Every call of every kind fails once, and once from then on; or so many of them, drawn by chance."""
    row = Row(f"each write fails: {victim.name}")
    if why_not_traced():
        row.note = why_not_traced()
        return row
    _fresh(victim, folder)
    _live(victim, folder)(
        lambda _words: None
    )  # what is imported late is there, so only files of Pacer's are met
    _fresh(victim, folder)
    _told, trace = _under(victim, folder)
    made = _CALL.findall(trace)
    cases = [
        (call, number, error, onward)
        for call in sorted(set(made))
        for number in range(1, made.count(call) + 1)
        for error in ERRORS
        for onward in ("", "+")
    ]
    for case in cases if tries is None else random.Random(seed).sample(cases, min(tries, len(cases))):
        call, number, error, onward = case
        _fresh(victim, folder)
        told, _trace = _under(victim, folder, "-e", f"inject={call}:error={error}:when={number}{onward}")
        judge(row, victim, folder, told, told.of("ack"), f"{call} {number}{onward} {error}")
    return row


def _fresh(victim: Victim, folder: Path) -> None:
    shutil.rmtree(folder, ignore_errors=True)
    victim.prepare(folder)


def cut_short(victim: Victim, folder: Path, seed: int, tries: int) -> Row:
    """No file may grow past a size: the write that would is cut short there, and the next one refused."""
    row, chance = Row(f"cut short: {victim.name}"), random.Random(seed)
    for _try in range(tries):
        most = chance.choice(
            (chance.randrange(1, 3000), chance.randrange(1, 200_000), 4096 * chance.randrange(1, 40))
        )
        _fresh(victim, folder)

        def live(tell: Tell, most: int = most) -> None:
            resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
            _live(victim, folder)(tell)

        told = Child(live).hear()
        judge(row, victim, folder, told, told.of("ack"), f"files of {most} bytes at most")
    return row


def full_disk(victim: Victim, folder: Path, seed: int, tries: int) -> Row:
    """A file system of one megabyte in memory with so many bytes left; then it has room again."""
    row, chance = Row(f"full disk: {victim.name}"), random.Random(seed)
    folder.mkdir(parents=True, exist_ok=True)
    mounted = subprocess.run(
        ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(folder)], capture_output=True, text=True
    )
    if mounted.returncode:
        row.note = "not tried: only root may mount a small file system"
        return row
    try:
        for _try in range(tries):
            for path in folder.iterdir():
                shutil.rmtree(path) if path.is_dir() else path.unlink()
            inside, filler = folder / "pacer", folder / "filler"
            victim.prepare(inside)
            left = 4096 * chance.randrange(60)
            with filler.open("wb", buffering=0) as file, contextlib.suppress(OSError):
                while file.write(b"x" * 4096):
                    pass
            with filler.open("r+b") as file:
                file.truncate(max(0, filler.stat().st_size - left))
            told = Child(_live(victim, inside)).hear()
            filler.unlink()
            judge(row, victim, inside, told, told.of("ack"), f"{left} bytes left")
    finally:
        subprocess.run(["umount", str(folder)], check=False)
    return row


def vanished(victim: Victim, folder: Path, _seed: int, _tries: int) -> Row:
    """The folder is moved away before each round in turn, and put back once all is over."""
    row, away = Row(f"vanished folder: {victim.name}"), folder.with_name(f"{folder.name}-away")
    for moment in range(ROUNDS + 1):
        _fresh(victim, folder)
        shutil.rmtree(away, ignore_errors=True)

        def rounds(moment: int = moment) -> Iterable[int]:
            for number in range(ROUNDS):
                if number == moment:
                    folder.rename(away)
                yield number

        def live(tell: Tell, rounds: Callable[[], Iterable[int]] = rounds) -> None:
            victim.live(folder, 1, tell, rounds())

        told = Child(live).hear()
        if away.exists():
            # What came to be in its place meanwhile counts, too: nothing acknowledged may be in neither.
            shutil.copytree(folder, away, dirs_exist_ok=True) if folder.exists() else None
            shutil.rmtree(folder, ignore_errors=True)
            away.rename(folder)
        judge(row, victim, folder, told, told.of("ack"), f"before round {moment}")
    return row
