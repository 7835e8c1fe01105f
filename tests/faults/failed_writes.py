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
from tests.faults.slices import Work
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
        return "strace is not installed"
    child = Child(lambda tell: tell("ack 1"), waits=True)
    tracer = subprocess.Popen(
        ["strace", "-p", str(child.pid), "-e", "trace=none"], stderr=subprocess.PIPE, text=True
    )
    assert tracer.stderr is not None
    first = tracer.stderr.readline()
    child.go()
    child.hear()
    tracer.communicate()
    return "" if "attached" in first else first.strip() or "strace says nothing"


def _under(victim: Victim, folder: Path, *options: str) -> tuple[Told, str]:
    """What a victim told under strace, and the calls it made."""
    with tempfile.NamedTemporaryFile("r", prefix="pacer-faults-") as out:
        child = Child(_live(victim, folder), waits=True)
        with _traced(child, *options, out=Path(out.name)):
            child.go()
            told = child.hear()
        return told, out.read()


def injected(victim: Victim, folder: Path, seed: int, tries: int | None) -> Work:
    """Every call of every kind fails once, and once from then on; or so many of them, drawn by chance."""
    name = f"each write fails: {victim.name}"

    @cache
    def cases() -> list[tuple[str, int, str, str]]:
        """In an order of chance, that hardly changes where a call more is made: a part is a sample."""
        _fresh(victim, folder)
        # What is imported late is there, so only files of Pacer's are met.
        _live(victim, folder)(lambda _words: None)
        _fresh(victim, folder)
        _told, trace = _under(victim, folder)
        made = _CALL.findall(trace)
        every = [
            (call, number, error, onward)
            for call in sorted(set(made))
            for number in range(1, made.count(call) + 1)
            for error in ERRORS
            for onward in ("", "+")
        ]
        return sorted(every, key=lambda case: random.Random(f"{seed}/{case}").random())[:tries]

    def tried(numbers: range) -> Row:
        row = Row(name, left=why_not_traced())
        for number in () if row.left else numbers:
            call, time, error, onward = cases()[number]
            _fresh(victim, folder)
            told, _trace = _under(victim, folder, "-e", f"inject={call}:error={error}:when={time}{onward}")
            judge(row, victim, folder, told, told.of("ack"), f"{call} {time}{onward} {error}")
        return row

    return Work(name, tried, lambda: 1 if why_not_traced() else len(cases()), 50)


def _fresh(victim: Victim, folder: Path) -> None:
    shutil.rmtree(folder, ignore_errors=True)
    victim.prepare(folder)


def cut_short(victim: Victim, folder: Path, seed: int, tries: int) -> Work:
    """No file may grow past a size: the write that would is cut short there, and the next one refused."""
    name = f"cut short: {victim.name}"

    def tried(numbers: range) -> Row:
        row = Row(name)
        for number in numbers:
            chance = random.Random(f"{seed}/{number}")
            most = chance.choice(
                (chance.randrange(1, 3000), chance.randrange(1, 200_000), 4096 * chance.randrange(1, 40))
            )
            _fresh(victim, folder)

            def live(tell: Tell, most: int = most) -> None:
                resource.setrlimit(resource.RLIMIT_FSIZE, (most, most))
                _live(victim, folder)(tell)

            told = Child(live).hear()
            judge(
                row, victim, folder, told, told.of("ack"), f"number {number}, files of {most} bytes at most"
            )
        return row

    return Work(name, tried, tries, 12)


def full_disk(victim: Victim, folder: Path, seed: int, tries: int) -> Work:
    """A file system of one megabyte in memory with so many bytes left; then it has room again."""
    name = f"full disk: {victim.name}"

    def tried(numbers: range) -> Row:
        row = Row(name)
        folder.mkdir(parents=True, exist_ok=True)
        try:
            made = subprocess.run(
                ["mount", "-t", "tmpfs", "-o", "size=1m", "tmpfs", str(folder)], capture_output=True
            )
            if made.returncode:
                row.left = "only root may mount a small file system"
                return row
            for number in numbers:
                left = 4096 * random.Random(f"{seed}/{number}").randrange(60)
                told = _on_full_disk(victim, folder, left)
                judge(
                    row, victim, folder / "pacer", told, told.of("ack"), f"number {number}, {left} bytes left"
                )
        finally:
            # Lazily, as a child may be in it; where none was made that fails, and does no harm.
            subprocess.run(["umount", "--lazy", str(folder)], capture_output=True, check=False)
        return row

    return Work(name, tried, tries, 12)


def _on_full_disk(victim: Victim, folder: Path, left: int) -> Told:
    """What a victim told in a file system that has so many bytes left."""
    for path in folder.iterdir():
        shutil.rmtree(path) if path.is_dir() else path.unlink()
    inside, filler = folder / "pacer", folder / "filler"
    victim.prepare(inside)
    with filler.open("wb", buffering=0) as file, contextlib.suppress(OSError):
        while file.write(b"x" * 4096):
            pass
    with filler.open("r+b") as file:
        file.truncate(max(0, filler.stat().st_size - left))
    told = Child(_live(victim, inside)).hear()
    filler.unlink()
    return told


def vanished(victim: Victim, folder: Path, _seed: int, _tries: int) -> Work:
    """The folder is moved away before each round in turn, and put back once all is over."""
    name, away = f"vanished folder: {victim.name}", folder.with_name(f"{folder.name}-away")

    def tried(numbers: range) -> Row:
        row = Row(name)
        for moment in numbers:
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

    return Work(name, tried, ROUNDS + 1, ROUNDS + 1)
