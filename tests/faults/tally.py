"""The table of figures that a campaign ends with: a row for each kind, and what must be nought."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field

MOST_EXAMPLES = 3


@dataclass
class Row:
    """What came of one kind of fault or file. ``worst_s`` and ``worst_mib`` are of one try."""

    kind: str
    counts: Counter[str] = field(default_factory=Counter)
    worst_s: float = 0.0
    worst_mib: float = 0.0
    examples: list[str] = field(default_factory=list)
    note: str = ""

    def add(self, column: str, number: int = 1) -> None:
        """So many more of a column."""
        self.counts[column] += number

    def miss(self, column: str, example: str) -> None:
        """One more of a column that must stay empty, and what it was; the first few are told."""
        self.counts[column] += 1
        if len(self.examples) < MOST_EXAMPLES:
            self.examples.append(f"{column}: {example}")

    def cost(self, seconds: float = 0.0, mib: float = 0.0) -> None:
        """What one try took."""
        self.worst_s, self.worst_mib = max(self.worst_s, seconds), max(self.worst_mib, mib)


def misses(rows: Sequence[Row], must_be_nought: Sequence[str]) -> int:
    """How much is in the columns that must be empty."""
    return sum(row.counts[column] for row in rows for column in must_be_nought)


def table(rows: Sequence[Row], columns: Sequence[str]) -> str:
    """The rows under a heading, then the notes and the first examples of what must not be."""
    heads = ("kind", *columns, "worst s", "MiB")
    cells = [heads]
    for row in rows:
        mib = f"{row.worst_mib:.0f}" if row.worst_mib else ""
        numbers = (str(row.counts[column] or "·") for column in columns)
        cells.append((row.kind, *numbers, f"{row.worst_s:.2f}", mib))
    widths = [max(len(line[at]) for line in cells) for at in range(len(heads))]
    lines = [
        "  ".join(
            cell.ljust(width) if at == 0 else cell.rjust(width)
            for at, (cell, width) in enumerate(zip(line, widths, strict=True))
        ).rstrip()
        for line in cells
    ]
    lines += [f"{row.kind}: {row.note}" for row in rows if row.note]
    lines += [f"{row.kind}: {example}" for row in rows for example in row.examples]
    return "\n".join(lines)
