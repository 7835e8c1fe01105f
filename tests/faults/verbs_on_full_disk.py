"""Verbs that write, on a disk without room: an exit code, words, and a whole file or none."""

import os
import resource
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

from pacer.plan.file.reader import read_bytes
from pacer.plan.outline import Outline
from tests.conftest import INVENTED
from tests.faults.slices import Work
from tests.faults.tally import Row
from tests.faults.victims import VICTIMS
from tests.inputs.record_readers import TABLE

ROOT = Path(__file__).resolve().parents[2]
KEPT = b"kept"  # what lies under the name before
FULL = -1  # standard output is a device that is full
# The processor's time of a verb with its start, and of one that sleeps: a busy machine takes long for all.
CPU_S, ASLEEP_S = 30, 900
PROGRAM = [sys.executable, "-m", "pacer"]


def _commands(folder: Path) -> list[tuple[list[str], Path | None]]:
    outline, data, out = folder / "a.toml", folder / "data", folder / "out"
    return [
        (["card", str(outline), "--pdf", str(out)], out),
        (["picture", str(outline), "--at", "5:00", "--wall", str(out), "--size", "640x360"], out),
        (["report", "--csv", str(out), "--data-dir", str(data)], out),
        (["report", "--pdf", str(out), "--data-dir", str(data)], out),
        (["card", "--squares", "--pdf", str(out)], out),
        (["picture", str(outline), "--at", "5:00", "--desk", str(out), "--size", "640x360"], out),
        (["rotation", str(outline), "--write"], outline),
        (["log", "import", str(folder / "past.csv"), "--data-dir", str(data)], None),
        (["log", "--data-dir", str(data)], None),
    ]  # fmt: skip


def _write_inputs(folder: Path) -> None:
    (folder / "a.toml").write_text(INVENTED)
    (folder / "past.csv").write_bytes(TABLE[0])


def work(folder: Path, sizes: tuple[int, ...]) -> Work:
    """Run each verb with files that may grow to so many bytes, over a file and where there is none."""
    commands = range(len(_commands(folder)))
    cases = [(size, over, number) for size in sizes for over in (False, True) for number in commands]
    cases += [(FULL, False, number) for number in commands]

    def tried(numbers: range) -> Row:
        row = Row("verbs on a full disk")
        for case in numbers:
            size, over, number = cases[case]
            shutil.rmtree(folder, ignore_errors=True)
            next(victim for victim in VICTIMS if victim.name == "repair").prepare(folder / "data")
            command, out = _commands(folder)[number]
            _write_inputs(folder)
            if out == folder / "out" and over:
                out.write_bytes(KEPT)
            if size != FULL:
                _try(row, command, out, size)
            elif command[0] in ("log", "report") and "--pdf" not in command:
                _to_full(row, [word for word in command if word not in ("--csv", str(out))])
        return row

    return Work("verbs on a full disk", tried, len(cases), 6)


def _run(command: list[str], size: int = FULL, out: int = subprocess.PIPE) -> tuple[int | None, str]:
    """The exit code and the words of a verb; None where it does not end."""

    def limit() -> None:
        resource.setrlimit(resource.RLIMIT_CPU, (CPU_S, CPU_S))
        if size != FULL:
            resource.setrlimit(resource.RLIMIT_FSIZE, (size, size))

    try:
        done = subprocess.run(
            [*PROGRAM, *command], stdout=out, stderr=subprocess.PIPE, text=True, timeout=ASLEEP_S,
            env=os.environ | {"PYTHONPATH": str(ROOT), "QT_QPA_PLATFORM": "offscreen",
                              "PYTHONDONTWRITEBYTECODE": "1"}, preexec_fn=limit,
            stdin=subprocess.DEVNULL, errors="replace",
        )  # fmt: skip
    except subprocess.TimeoutExpired:
        return None, f"does not end within {ASLEEP_S} s"
    if done.returncode in (-signal.SIGXCPU, -signal.SIGKILL):
        return None, f"takes over {CPU_S} s of the processor"
    return done.returncode, (done.stdout or "") + done.stderr


def _try(row: Row, command: list[str], out: Path | None, size: int) -> None:
    began = time.monotonic()
    code, words = _run(command, size)
    row.add("tried")
    row.cost(time.monotonic() - began)
    told = f"{size} bytes at most: pacer {command[0]} {command[-2]}: exit {code} {words.strip()[-120:]!a}"
    if "Traceback" in words:
        row.miss("traceback", told)
    if code not in (0, 1, 2):
        row.miss("hang" if code is None else "wrong exit", told)
    if out is None or not out.exists():
        return
    data = out.read_bytes()
    is_whole = _is_whole(data, out)
    if code and data != KEPT and not is_whole:
        row.miss("lost", f"{len(data)} bytes of a file are left: {told}")
    if not code and not is_whole:
        row.miss("lost", f"a file that is not whole, and no word: {told}")


def _is_whole(data: bytes, out: Path) -> bool:
    if out.suffix == ".toml":
        before, now = read_bytes(INVENTED.encode(), ""), read_bytes(data, "")
        return isinstance(now, Outline) and isinstance(before, Outline) and now.phases == before.phases
    is_table = data.count(b"\n") > 2 and data.endswith(b"\r\n")
    return is_table or data.endswith((b"%%EOF\n", b"%%EOF", b"IEND\xaeB`\x82"))


def _to_full(row: Row, command: list[str]) -> None:
    """Standard output is the device that is always full."""
    if not Path("/dev/full").exists():
        return
    with open("/dev/full", "w") as full:  # noqa: PTH123 - a device
        code, words = _run(command, out=full.fileno())
    row.add("tried")
    told = f"pacer {' '.join(command[:1])} >/dev/full: exit {code} {words.strip()[-120:]!a}"
    if "Traceback" in words:
        row.miss("traceback", told)
    if code not in (1, 2):
        row.miss("hang" if code is None else "wrong exit", told)
