"""Power loss: a run's writes as strace saw them, replayed up to any moment, with only what had to be on disk.

What was flushed (fsync) is there. Of what was written to a file since, any part may be: none, all, some of
the writes, or the last one cut at a sector. Names (created, renamed, removed) are kept in order, as file
systems with a journal keep them: a flush keeps all before it; of later ones a beginning may be there.
"""

import os
import random
import re
import shutil
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass, field
from pathlib import Path

from tests.faults.children import Child, Tell, Told
from tests.faults.failed_writes import _traced, why_not_traced
from tests.faults.kills import judge
from tests.faults.slices import Work
from tests.faults.tally import Row
from tests.faults.victim import Victim

SECTOR = 512
CALLS = (
    "openat,pwrite64,write,fsync,fdatasync,ftruncate,rename,link,unlink,mkdir,rmdir,sendto,close,lseek,copy_file_range,"
    "fallocate"
)
_LINE = re.compile(r"^(?:\d+ +)?(\w+)\((.*)\) += (-?\d+)(?:<(.*)>)?")
_PATH = re.compile(r'"((?:\\x[0-9a-f]{2})*)"')
_FILE = re.compile(r"^\d+<((?:\\x[0-9a-f]{2})*)>")


@dataclass(frozen=True)
class Step:
    """One change: ``write``, ``cut`` (to a size), ``flush``, ``ack``, ``name`` (``to``: what, or a path).

    ``also`` is a second name of a file, ``to``.
    """

    what: str
    file: str = ""
    at: int = 0
    data: bytes = b""
    to: str = ""


@dataclass
class Disk:
    """What must be on the disk, and what may be. Files are numbered, so that a rename takes them along."""

    names: dict[str, int] = field(default_factory=dict)
    folders: set[str] = field(default_factory=set)
    there: dict[int, bytearray] = field(default_factory=dict)
    loose: dict[int, list[Step]] = field(default_factory=dict)
    loose_names: list[Step] = field(default_factory=list)
    now: dict[str, int] = field(default_factory=dict)


def _bytes(escaped: str) -> bytes:
    return bytes.fromhex(escaped.replace("\\x", ""))


def steps_of(trace: str, folder: Path) -> list[Step]:
    """The changes below a folder, in order, from strace's lines (-y -xx -s …)."""
    steps, places = [], {}
    for line in trace.splitlines():
        match = _LINE.match(line)
        if match is None or match[3].startswith("-"):
            continue
        call, words, result = match[1], match[2], int(match[3])
        if call == "sendto":
            if (data := _PATH.search(words)) and _bytes(data[1]).startswith(b"ack "):
                steps.append(Step("ack", data=_bytes(data[1])))
            continue
        steps += _step(call, words, result, match[4] or "", places)
    root = str(folder)
    return [step for step in steps if step.what == "ack" or step.file.startswith(root)]


def _step(call: str, words: str, result: int, opened: str, places: dict[str, int]) -> Iterator[Step]:
    paths = [_bytes(path).decode("utf-8", "surrogateescape") for path in _PATH.findall(words)]
    open_file = _FILE.match(words)
    file = _bytes(open_file[1]).decode("utf-8", "surrogateescape") if open_file else ""
    handle = words.split("<", 1)[0]
    match call:
        case "openat":
            path = _bytes(opened).decode("utf-8", "surrogateescape") if opened else paths[0]
            places[str(result)] = 0
            if "O_CREAT" in words:
                yield Step("name", path, to="create")
            if "O_TRUNC" in words:
                yield Step("cut", path, 0)
        case "pwrite64":
            yield Step("write", file, int(words.rsplit(", ", 1)[1]), _data(words)[:result])
        case "write":
            at = places.get(handle, 0)
            places[handle] = at + result
            yield Step("write", file, at, _data(words)[:result])
        case "lseek":
            places[handle] = result
        case "ftruncate":
            yield Step("cut", file, int(words.rsplit(", ", 1)[1]))
        case "fsync" | "fdatasync":
            yield Step("flush", file)
        case "mkdir":
            yield Step("name", paths[0], to="mkdir")
        case "unlink" | "rmdir":
            yield Step("name", paths[0], to="remove")
        case "rename":
            yield Step("name", paths[0], to=paths[1])
        case "link":
            yield Step("also", paths[0], to=paths[1])
        case "copy_file_range" | "fallocate":
            raise AssertionError(f"a call that the replay does not know: {call}")


def _data(words: str) -> bytes:
    found = _PATH.search(words)
    return _bytes(found[1]) if found else b""


def begin(folder: Path) -> Disk:
    """A disk with what a folder holds, all of it flushed."""
    disk = Disk()
    for path in sorted(folder.rglob("*")):
        if path.is_dir():
            disk.folders.add(str(path))
        else:
            disk.names[str(path)] = disk.now[str(path)] = len(disk.there)
            disk.there[len(disk.there)] = bytearray(path.read_bytes())
    disk.folders.add(str(folder))
    return disk


def take(disk: Disk, step: Step) -> None:
    """Let one step happen."""
    match step.what:
        case "name":
            if step.to == "create":
                if step.file in disk.now:
                    return
                disk.now[step.file] = len(disk.there)
                disk.there[len(disk.there)] = bytearray()
                step = Step("name", step.file, disk.now[step.file], to="create")
            else:
                _rename(disk.now, step)
            disk.loose_names.append(step)
        case "also":
            disk.now[step.to] = disk.now[step.file]
            disk.loose_names.append(step)
        case "write" | "cut":
            disk.loose.setdefault(disk.now[step.file], []).append(step)
        case "flush":
            number = disk.now.get(step.file)
            if number is not None:
                for loose in disk.loose.pop(number, []):
                    _apply(disk.there[number], loose)
            for name in disk.loose_names:
                _name(disk, name)
            disk.loose_names.clear()


def _rename(names: dict[str, int], step: Step) -> None:
    if step.to == "remove":
        names.pop(step.file, None)
    elif step.to not in ("create", "mkdir"):
        inside = {name: of for name, of in names.items() if name.startswith(step.file + "/")}
        for name, of in inside.items():
            names[step.to + name[len(step.file) :]] = of
            del names[name]
        if step.file in names:
            names[step.to] = names.pop(step.file)


def _name(disk: Disk, step: Step) -> None:
    if step.to == "create":
        disk.names[step.file] = step.at
    elif step.to == "mkdir":
        disk.folders.add(step.file)
    elif step.what == "also":
        if step.file in disk.names:
            disk.names[step.to] = disk.names[step.file]
    else:
        _rename(disk.names, step)
        if step.file in disk.folders:
            disk.folders = {
                step.to + of[len(step.file) :] if of.startswith(step.file) else of for of in disk.folders
            }
            disk.folders.discard("remove")


def _apply(data: bytearray, step: Step) -> None:
    if step.what == "cut":
        del data[step.at :]
        data.extend(bytes(step.at - len(data)))
        return
    data.extend(bytes(max(0, step.at - len(data))))
    data[step.at : step.at + len(step.data)] = step.data


def left(disk: Disk, chance: random.Random, way: str, target: Path, folder: Path) -> None:
    """Write what a loss of power leaves into a folder: ``none`` of what is loose, ``all``, or ``some``."""
    after = Disk(
        dict(disk.names), set(disk.folders), {of: bytearray(data) for of, data in disk.there.items()}
    )
    kept = {"none": 0, "all": len(disk.loose_names), "some": chance.randint(0, len(disk.loose_names))}[way]
    for name in disk.loose_names[:kept]:
        _name(after, name)
    for number, loose in disk.loose.items():
        for step in loose:
            if way == "none" or (way == "some" and chance.random() < 0.5):
                continue
            if way == "some" and step.what == "write" and chance.random() < 0.3:
                cut = chance.randrange(0, len(step.data) + 1, SECTOR)
                step = Step("write", step.file, step.at, step.data[:cut])
            _apply(after.there[number], step)
    for of in sorted(after.folders):
        (target / Path(of).relative_to(folder)).mkdir(parents=True, exist_ok=True)
    for name, number in after.names.items():
        if not name.endswith("-shm"):  # shared memory of those that are gone; it is made anew
            path = target / Path(name).relative_to(folder)
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_bytes(after.there[number])


def work(victim: Victim, folder: Path, seed: int, tries: int) -> Work:
    """Record a run, and lose power at so many moments of it in each of the three ways."""
    name = f"power loss: {victim.name}"
    place = Path(os.path.realpath(folder.parent)) / folder.name

    def tried(numbers: range) -> Row:
        row = Row(name, left=why_not_traced())
        if not row.left:
            _lose_power(row, victim, place, seed, tries, numbers)
        return row

    return Work(name, tried, tries, 30)


def _recorded(victim: Victim, folder: Path, seed: int) -> tuple[Told, list[Step]]:
    """A run in the folder as it was prepared."""

    def live(tell: Tell) -> None:
        victim.live(folder, seed, tell, range(12))

    with tempfile.NamedTemporaryFile("r", prefix="pacer-faults-") as out:
        child = Child(live, waits=True)
        with _traced(child, "-y", "-xx", "-s", "10000000", "-e", f"trace={CALLS}", out=Path(out.name)):
            child.go()
            told = child.hear()
        return told, steps_of(out.read(), folder)


def _lose_power(row: Row, victim: Victim, folder: Path, seed: int, tries: int, numbers: range) -> None:
    shutil.rmtree(folder, ignore_errors=True)
    victim.prepare(folder)
    disk = begin(folder)
    told, steps = _recorded(victim, folder, seed)
    if told.failed or not steps:
        row.miss("traceback", f"the run itself: {told.failed or 'no step seen'}")
        return
    drawn = random.Random(f"{seed}/{victim.name}").sample(range(len(steps) + 1), min(tries, len(steps) + 1))
    moments = set(drawn[numbers.start : numbers.stop])
    acks: list[str] = []
    for number, step in enumerate([*steps, Step("end")]):
        if number in moments:
            for way in ("none", "all", "some"):
                shutil.rmtree(folder, ignore_errors=True)
                folder.mkdir(parents=True)
                left(disk, random.Random(f"{seed}/{victim.name}/{number}/{way}"), way, folder, folder)
                judge(row, victim, folder, Told(), list(acks), f"step {number} of {len(steps)}, {way}")
        if step.what == "ack":
            acks.append(step.data.decode().removeprefix("ack ").rstrip("\n"))
        elif step.what != "end":
            take(disk, step)
    row.counts["acknowledged"] = len(acks)
