"""What came of a campaign: a row for each kind of case, what must be nought told as it is seen, a table."""

import re
import sys
import tempfile
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from pathlib import Path

MOST_EXAMPLES = 3  # of a slice
run_again = ""  # how to try once more what runs now
_folder = Path(tempfile.gettempdir()) / "pacer-misses"


def keep_misses_in(folder: Path) -> None:
    """Where inputs that were missed are kept from now on."""
    global _folder
    _folder = folder


@dataclass
class Row:
    """What came of one kind of fault or file. ``worst_s`` and ``worst_mib`` are of one try.

    ``left`` says why cases of it were not tried here: they are not done.
    """

    kind: str
    counts: Counter[str] = field(default_factory=Counter)
    worst_s: float = 0.0
    worst_mib: float = 0.0
    examples: list[str] = field(default_factory=list)
    note: str = ""
    left: str = ""
    took_s: float = 0.0

    def add(self, column: str, number: int = 1) -> None:
        """So many more of a column."""
        self.counts[column] += number

    def miss(self, column: str, example: str, data: bytes | None = None) -> None:
        """One more of a column that must stay empty, and what it was: told at once, its input kept in a file.

        The first few of a slice are in the table.
        """
        self.counts[column] += 1
        self.tell(column, example, data)

    def tell(self, column: str, example: str, data: bytes | None = None) -> None:
        """Tell one that is counted; what is found smaller later may be told once more."""
        told = f"{column}: {example}"
        if data is not None:
            told += f"\n    kept in {_kept(self.kind, data)}"
        print(f"MISS {self.kind}: {told}\n    again: {run_again}", file=sys.stderr, flush=True)
        if len(self.examples) < MOST_EXAMPLES:
            self.examples.append(told)

    def cost(self, seconds: float = 0.0, mib: float = 0.0) -> None:
        """What one try took."""
        self.worst_s, self.worst_mib = max(self.worst_s, seconds), max(self.worst_mib, mib)


def _kept(kind: str, data: bytes) -> Path:
    _folder.mkdir(parents=True, exist_ok=True)
    name = re.sub(r"\W+", "-", kind).strip("-")
    number = sum(1 for _file in _folder.glob(f"{name}.*"))
    path = _folder / f"{name}.{number}"
    path.write_bytes(data)
    return path


def misses(rows: Sequence[Row], must_be_nought: Sequence[str]) -> int:
    """How much is in the columns that must be empty."""
    return sum(row.counts[column] for row in rows for column in must_be_nought)


def table(rows: Sequence[Row], columns: Sequence[str]) -> str:
    """The rows under a heading, then the notes and the first examples of what must not be."""
    heads = ("kind", *columns, "worst s", "MiB", "took s")
    cells = [heads]
    for row in rows:
        mib = f"{row.worst_mib:.0f}" if row.worst_mib else ""
        numbers = (str(row.counts[column] or "·") for column in columns)
        cells.append((row.kind, *numbers, f"{row.worst_s:.2f}", mib, f"{row.took_s:.0f}"))
    widths = [max(len(line[at]) for line in cells) for at in range(len(heads))]
    lines = [
        "  ".join(
            cell.ljust(width) if at == 0 else cell.rjust(width)
            for at, (cell, width) in enumerate(zip(line, widths, strict=True))
        ).rstrip()
        for line in cells
    ]
    lines += [f"{row.kind}: {row.note}" for row in rows if row.note]
    lines += [f"{row.kind}: not tried: {row.left}" for row in rows if row.left]
    lines += [f"{row.kind}: {example}" for row in rows for example in row.examples]
    return "\n".join(lines)
