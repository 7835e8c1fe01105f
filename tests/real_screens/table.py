"""The long form's table: what witnesses saw in each scenario, words that were read, lessons on disk."""

import re
import shutil
import subprocess
import tempfile
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from functools import cached_property
from pathlib import Path
from statistics import median

import pytest

from pacer.log.database import LogError
from pacer.log.day_records import DayRecords
from pacer.run.fold import fold
from tests.real_screens.pacer_on_screens import CANARIES, PacerOnScreens
from tests.real_screens.witness import Testimony

HEAD = (
    "scenario", "runs", "photographs", "private", "left over", "canaries", "to cover, ms", "Wall back, ms",
    "lesson intact",
)  # fmt: skip
FOOT = """\
private: photographs of the projector with private pixels; left over: those between a change of screens and
the first clean one after it, which the display server shows. canaries: private words that tesseract reads on
the projector. to cover: from the command that changes screens to the first clean photograph; Wall back: to
the first with the Wall, after a crash from the kill on. Times are median and most, the photographs' distance
included."""


def text_on(picture: Path) -> str:
    """What tesseract (Debian: tesseract-ocr) reads on a picture: small letters, and a space for all else."""
    command = ["tesseract", str(picture), "-", "--psm", "11"]
    done = subprocess.run(command, capture_output=True, text=True, check=True, timeout=300)
    return re.sub(r"[^a-z]+", " ", done.stdout.lower())


def words_on(picture: Path) -> set[str]:
    """The canaries that are read on a picture."""
    letters = text_on(picture)
    return {word for word in CANARIES if word in letters}


def is_intact(data: Path) -> bool | None:
    """Whether every lesson on disk can be read and followed; None where there is none."""
    try:
        with DayRecords.open(data) as records:
            runs = records.runs()
            for run in runs:
                fold(records.events(run.id))
    except (LogError, LookupError):
        return False
    return bool(runs) or None


@dataclass
class Row:
    """One scenario, all its runs together."""

    name: str
    passed: list[bool] = field(default_factory=list)
    intact: list[bool] = field(default_factory=list)
    seen: list[Testimony] = field(default_factory=list)

    @property
    def private(self) -> list[Path]:
        """The private photographs."""
        return [path for seen in self.seen for path in seen.private]

    @cached_property
    def canaries(self) -> list[tuple[str, Path]]:
        """Each word that was read on the projector, and where."""
        if not shutil.which("tesseract"):
            return []
        pictures = [path for seen in self.seen for path in (*seen.pictures, *seen.private[:3])]
        with ThreadPoolExecutor(2) as pool:
            found = zip(pictures, pool.map(words_on, pictures), strict=True)
            return [(word, path) for path, words in found for word in sorted(words)]

    @property
    def is_good(self) -> bool:
        """Whether nothing private was seen or read, and all went as it should."""
        faults = any(seen.faults for seen in self.seen)
        return all(self.passed) and all(self.intact) and not (self.private or self.canaries or faults)

    def cells(self) -> tuple[str, ...]:
        """The row's texts, in the order of the head."""
        changes = [change for seen in self.seen for change in seen.changes]
        passed = "" if all(self.passed) else f" ({self.passed.count(False)} failed)"
        intact = f"{self.intact.count(True)} of {len(self.intact)}" if self.intact else "–"
        return (
            self.name,
            f"{len(self.passed)}{passed}",
            f"{sum(seen.photographs for seen in self.seen)}",
            f"{len(self.private)}",
            f"{sum(seen.left_over for seen in self.seen)}",
            f"{len(self.canaries)}" if shutil.which("tesseract") else "not read",
            _times([change.covered_ms for change in changes if change.covered_ms]),
            _times([change.wall_ms for change in changes if change.wall_ms is not None]),
            intact,
        )


def _times(ms: list[float]) -> str:
    return f"{median(ms):.0f} / {max(ms):.0f}" if ms else "–"


class Table:
    """All rows, in the order in which scenarios came."""

    def __init__(self) -> None:
        """Nothing was seen yet. Pictures stay, in a folder of their own, to be looked at."""
        self._rows: dict[str, Row] = {}
        self.folder = Path(tempfile.mkdtemp(prefix="pacer-what-the-class-saw-"))

    def new_folder(self) -> Path:
        """A folder for the pictures of one run."""
        folder = self.folder / f"{len(list(self.folder.iterdir())):03}"
        folder.mkdir()
        return folder

    def _row(self, item: pytest.Item) -> Row:
        name = item.get_closest_marker("scenario").args[0]
        return self._rows.setdefault(name, Row(name))

    def went(self, item: pytest.Item, *, passed: bool) -> None:
        """How a test went."""
        if item.get_closest_marker("scenario"):
            self._row(item).passed.append(passed)

    def add(self, item: pytest.Item, seen: Testimony, pacer: PacerOnScreens | None) -> None:
        """What was seen in a test; the lessons it left on disk are read."""
        row = self._row(item)
        row.seen.append(seen)
        intact = is_intact(pacer.data) if pacer is not None else None
        if intact is not None:
            row.intact.append(intact)

    def is_good(self) -> bool:
        """Whether no row tells of a fault, and there is one."""
        return bool(self._rows) and all(row.is_good for row in self._rows.values())

    def text(self) -> str:
        """The table, with what it means and where a fault can be looked at."""
        rows = [HEAD, *(row.cells() for row in self._rows.values())]
        widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
        lines = [
            "  ".join(cell.ljust(width) if not at else cell.rjust(width)
                      for at, (cell, width) in enumerate(zip(row, widths, strict=True)))
            for row in rows
        ]  # fmt: skip
        lines += ["", FOOT]
        for row in self._rows.values():
            lines += [f"private, {row.name}: {path}" for path in row.private[:3]]
            lines += [f"read, {row.name}: {word} on {path}" for word, path in row.canaries[:3]]
            lines += [f"{row.name}: {fault}" for seen in row.seen for fault in seen.faults]
        verdict = "good: nothing private was seen" if self.is_good() else "NOT GOOD"
        return "\n".join([*lines, f"photographs: {self.folder}", verdict])
