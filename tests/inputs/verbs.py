"""Verbs as processes over damaged files and odd arguments: exit codes, plain words, a clean terminal."""

import json
import os
import random
import re
import resource
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from pathlib import Path

from tests.faults.slices import Work
from tests.faults.tally import Row
from tests.inputs import attached, foreign_readers, plan_readers, record_readers
from tests.inputs.documents import documents
from tests.inputs.mutate import mutated
from tests.inputs.reader import Reader

KIND = "verbs as processes"
# Of a process with its start, and Qt in it where it draws; the clock tells only of one that sleeps.
CPU_S, MOST_MIB, ASLEEP_S = 2.0, 400, 900
ROOT = Path(__file__).resolve().parents[2]
# What a terminal would take for a command; a file's name, a title or an argument may hold any of them.
_CONTROL = re.compile(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
_NAMES = (
    "a.toml",
    "b c.toml",
    "é.toml",
    "x\x1b[31mred.toml",
    "new\nline.toml",
    "-n.toml",
    "\u202egnp.toml",
    b"\xff.toml",
)
_ODD = (
    "",
    "-1",
    "0",
    "9" * 5000,
    "\x1b[2J",
    "a\nb",
    "1:99",
    "2026-02-30",
    "0001-01-01",
    "\udcff",
    "0x0",
    "99999x99999",
    "/",
)


# One for each ending that the verb read takes.
_DOCUMENTS = dict(
    zip(
        ("a.docx", "a.odt", "a.ods", "a.xlsx", "a.rtf", "a.html", "a.ics", "a.csv", "b.txt"),
        documents(),
        strict=True,
    )
)


def _readers() -> dict[str, Reader]:
    every = (
        *plan_readers.PLAN_READERS,
        *record_readers.RECORD_READERS,
        *foreign_readers.FOREIGN_READERS,
    )
    return {reader.name: reader for reader in every}


class Trials:
    """Draws one command line after the other, and the files that it names."""

    def __init__(self, seed: int, folder: Path) -> None:
        self.seed, self.folder, self.readers = seed, folder, _readers()
        self.names = self.readers

    def file(self, chance: random.Random, kind: str, suffix: str) -> str:
        """A file of a kind, changed or not, under a name that may be odd."""
        reader, name = self.readers[kind], chance.choice(_NAMES)
        data = chance.choice(reader.seeds())
        if chance.random() < 0.8:
            data = mutated(chance, reader.seeds(), reader.tokens)
        path = self.folder / os.fsdecode(name).replace(".toml", suffix)
        path.write_bytes(data)
        return str(path)

    def _case(self, chance: random.Random, kind: str) -> bytes:
        reader = self.readers[kind]
        return mutated(chance, reader.seeds(), reader.tokens)

    def _document(self, chance: random.Random, name: str) -> bytes:
        """What its ending says, changed or not; now and then something else."""
        if name.endswith(".pdf"):
            return mutated(chance, attached.seeds()[".pdf"], (b"/Count 99999", b"9 0 R"))
        if name not in _DOCUMENTS or chance.random() < 0.1:
            return self._case(chance, "typed lines")
        seed = _DOCUMENTS[name]
        return seed if chance.random() < 0.2 else mutated(chance, (seed,), self.readers["document"].tokens)

    def _rotation(self, chance: random.Random, outline: str, odd: str) -> list[str]:
        other = self.file(chance, "outline", " 2.toml")
        days = chance.choice(([], [outline], [outline, other], [outline, other, "--write"]))
        asked = [
            ["--groups", "4"],
            ["--stations", "Mine,Books"],
            ["--meet", "2,Star=3"],
            ["--owed", "Star=5"],
        ]
        asked += [
            [name, odd] for name in ("--groups", "--stations", "--meet", "--owed", "--visits", "--days")
        ]
        options = chance.sample(asked, chance.randint(0, 3))
        return ["rotation", *days, *(word for option in options for word in option)]

    def arguments(self, number: int) -> list[str]:
        """The command line of a number."""
        chance = random.Random(f"{self.seed}/verbs/{number}")
        outline, data = self.file(chance, "outline", ".toml"), str(self.folder / "data")
        odd = chance.choice(_ODD)
        match number % 13:
            case 0 | 1:
                words = ["check", outline, *([odd] if chance.random() < 0.3 else [])]
            case 2 | 3:
                words = ["replay", outline, self.file(chance, "replay script", ".txt")]
                words += chance.choice(([], ["--json"], ["--history", odd]))
            case 4:
                words = ["log", "import", self.file(chance, "table to import", ".csv"), "--data-dir", data]
            case 5:
                (self.folder / "data").mkdir(exist_ok=True)
                words = [
                    "log",
                    *chance.choice(([], ["1"], [odd], ["--json"])),
                    "--data-dir",
                    chance.choice((data, odd)),
                ]
            case 6:
                asked = chance.choice((["budgets", outline], ["backtest"], ["budgets", "--json"]))
                words = [*asked, "--data-dir", data]
            case 7:
                words = [
                    "report",
                    *chance.choice(([], ["--json"], ["--from", odd], ["--to", odd], ["--csv", odd])),
                ]
                words += ["--data-dir", data]
            case 8:
                at = chance.choice(("0:00", "5:00", "999:59", odd))
                words = ["picture", outline, "--at", at, "--wall", str(self.folder / "w.png"), "--size",
                         chance.choice(("640x360", "1x1", odd))]  # fmt: skip
            case 9:
                words = self._rotation(chance, outline, odd)
            case 10:
                named = (*_DOCUMENTS, "a.txt", "a.md", "a.pdf")
                path = self.folder / chance.choice(named)
                path.write_bytes(self._document(chance, path.name))
                words = ["read", str(path), *chance.choice(([], ["--json"]))]
            case 11:
                folder = self.folder / "data" / "backups"
                folder.mkdir(parents=True)
                copy = folder / "day-records-2026-03-09.sqlite3"
                copy.write_bytes(self._case(chance, "day records, any bytes"))
                words = ["restore", *chance.choice(([], ["--list"], ["2026-03-09"], [odd]))]
                words += ["--data-dir", data]
            case _:
                words = [
                    "card",
                    outline,
                    "--pdf",
                    str(self.folder / "card.pdf"),
                    "--start",
                    chance.choice(("9:00", odd)),
                ]
        return [word.replace("\0", "?") for word in words]


def work(seed: int, tries: int) -> Work:
    """Run so many command lines."""

    def tried(numbers: range) -> Row:
        row, folder = Row(KIND), Path(tempfile.mkdtemp(prefix="pacer-inputs-"))
        try:
            trials = Trials(seed, folder)
            for number in numbers:
                shutil.rmtree(folder)
                folder.mkdir()
                _try(row, trials.arguments(number), folder)
        finally:
            shutil.rmtree(folder, ignore_errors=True)
        return row

    return Work(KIND, tried, tries, 30)


def _try(row: Row, arguments: Sequence[str], folder: Path) -> None:
    row.add("tried")
    surroundings = os.environ | {
        "PYTHONPATH": str(ROOT), "QT_QPA_PLATFORM": "offscreen", "HOME": str(folder), "PYTHONUTF8": "1",
        "XDG_DATA_HOME": str(folder / "home"), "XDG_CONFIG_HOME": str(folder / "home"),
    }  # fmt: skip
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    command = [sys.executable, "-m", "pacer", *map(os.fsencode, arguments)]
    told = f"pacer {' '.join(map(_short, arguments))}"
    began = time.monotonic()
    try:
        done = subprocess.run(
            command,
            capture_output=True,
            timeout=ASLEEP_S,
            cwd=folder,
            env=surroundings,
            stdin=subprocess.DEVNULL,
        )
    except subprocess.TimeoutExpired:
        row.miss("hang", told)
        row.cost(time.monotonic() - began)
        return
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    spent_s = after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime
    row.cost(spent_s, after.ru_maxrss / 1024)
    out, errors = done.stdout.decode("utf-8", "replace"), done.stderr.decode("utf-8", "replace")
    row.add({0: "read", 1: "refused", 2: "refused"}.get(done.returncode, "other"))
    if done.returncode not in (0, 1, 2):
        row.miss("wrong", f"exit {done.returncode}: {told}: {_last(errors)}")
    if "Traceback" in out + errors:
        row.miss("traceback", f"{told}: {_last(errors)}")
    elif match := _CONTROL.search(out + errors):
        at = max(0, match.start() - 40)
        row.miss("not plain", f"{match[0]!a} on the terminal: {told}: {(out + errors)[at : at + 80]!a}")
    elif done.returncode and not (out + errors).strip():
        row.miss("not plain", f"exit {done.returncode} without a word: {told}")
    if done.returncode == 0 and "--json" in arguments:
        try:
            [json.loads(line) for line in out.splitlines()]
        except ValueError:
            row.miss("wrong", f"a line is no JSON: {told}")
    if spent_s > CPU_S:
        row.miss("hang", f"{spent_s:.1f} s: {told}")


def _short(argument: str) -> str:
    return ascii(argument if len(argument) < 50 else f"{argument[:20]}…{argument[-20:]}")


def _last(errors: str) -> str:
    return ascii(errors.strip().rpartition("\n")[2][:200])
