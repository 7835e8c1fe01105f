"""Verbs that write, on a disk without room: an exit code, words, and a whole file or none."""

import os
import resource
import shutil
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path

from tests.conftest import INVENTED
from tests.faults.tally import Row
from tests.faults.victims import VICTIMS
from tests.inputs.record_readers import TABLE

ROOT = Path(__file__).resolve().parents[2]
KEPT = b"kept"  # what lies under the name before


def _commands(folder: Path) -> list[tuple[list[str], Path | None]]:
    outline, data = folder / "a.toml", folder / "data"
    outline.write_text(INVENTED)
    (folder / "past.csv").write_bytes(TABLE[0])
    out = folder / "out"
    return [
        (["card", str(outline), "--pdf", str(out)], out),
        (["picture", str(outline), "--at", "5:00", "--wall", str(out), "--size", "640x360"], out),
        (["report", "--csv", str(out), "--data-dir", str(data)], out),
        (["report", "--pdf", str(out), "--data-dir", str(data)], out),
        (["log", "import", str(folder / "past.csv"), "--data-dir", str(data)], None),
        (["log", "--data-dir", str(data)], None),
    ]  # fmt: skip


def row(folder: Path, sizes: tuple[int, ...]) -> Row:
    """Run each verb with files that may grow to so many bytes, over a file and where there is none."""
    row = Row("verbs on a full disk")
    lessons = next(victim for victim in VICTIMS if victim.name == "repair")
    for size in sizes:
        for over in (False, True):
            shutil.rmtree(folder, ignore_errors=True)
            lessons.prepare(folder / "data")
            for command, out in _commands(folder):
                if out is not None:
                    out.unlink(missing_ok=True)
                    if over:
                        out.write_bytes(KEPT)
                _try(row, command, out, size)
    for command, _out in _commands(folder):
        if command[0] in ("log", "report") and "--pdf" not in command:
            _to_full(row, [word for word in command if word not in ("--csv", str(_out))])
    return row


def _run(
    command: list[str], before: Callable[[], None] | None = None, out: int = subprocess.PIPE
) -> tuple[int, str]:
    done = subprocess.run(
        [sys.executable, "-m", "pacer", *command], stdout=out, stderr=subprocess.PIPE, text=True, timeout=600,
        env=os.environ | {"PYTHONPATH": str(ROOT), "QT_QPA_PLATFORM": "offscreen",
                          "PYTHONDONTWRITEBYTECODE": "1"}, preexec_fn=before,
        stdin=subprocess.DEVNULL, errors="replace",
    )  # fmt: skip
    return done.returncode, (done.stdout or "") + done.stderr


def _try(row: Row, command: list[str], out: Path | None, size: int) -> None:
    began = time.monotonic()
    code, words = _run(command, lambda: resource.setrlimit(resource.RLIMIT_FSIZE, (size, size)))
    row.add("tried")
    row.cost(time.monotonic() - began)
    told = f"{size} bytes at most: pacer {command[0]} {command[-2]}: exit {code} {words.strip()[-120:]!a}"
    if "Traceback" in words:
        row.miss("traceback", told)
    if code not in (0, 1, 2):
        row.miss("wrong exit", told)
    if out is None or not out.exists():
        return
    data = out.read_bytes()
    is_table = data.count(b"\n") > 2 and data.endswith(b"\r\n")
    is_whole = is_table or data.endswith((b"%%EOF\n", b"%%EOF", b"IEND\xaeB`\x82"))
    if code and data != KEPT and not is_whole:
        row.miss("lost", f"{len(data)} bytes of a file are left: {told}")
    if not code and not is_whole:
        row.miss("lost", f"a file that is not whole, and no word: {told}")


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
        row.miss("wrong exit", told)
