"""The rows of a campaign, slice by slice: what is done is noted, and a run begun again goes on behind it.

``--results DIR`` holds a line of JSON for each slice (``results.jsonl``), and what was missed (``misses``).
"""

import argparse
import json
import os
import signal
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path

from tests.faults import tally
from tests.faults.tally import Row, misses, table


@dataclass(frozen=True)
class Work:
    """A row to be. ``tried`` tries the cases of some numbers; there are ``size``, noted every ``step``.

    A case is the same for the same seed, form and number, whatever ran before. How many there are may be
    known only by trying one: then ``size`` is called late.
    """

    name: str
    tried: Callable[[range], Row]
    size: int | Callable[[], int] = 1
    step: int = 1

    def count(self) -> int:
        """How many cases there are."""
        return self.size if isinstance(self.size, int) else self.size()


@dataclass
class Results:
    """What was done by this run and, in a folder that is kept, by those before it."""

    run: str  # form and seed: those of another are no part of it
    folder: Path | None = None
    slices: list[dict[str, object]] = field(default_factory=list)

    def __post_init__(self) -> None:
        if self.folder is not None and self._file.exists():
            whole, _end, half = self._file.read_text().rpartition("\n")
            lines = [json.loads(line) for line in whole.splitlines()]
            self.slices = [line for line in lines if line["run"] == self.run]
            if half:  # a run that was killed may have left it; nothing else of the file is touched
                os.truncate(self._file, self._file.stat().st_size - len(half.encode()))

    @property
    def _file(self) -> Path:
        assert self.folder is not None
        return self.folder / "results.jsonl"

    def left_of(self, name: str, first: int, stop: int, step: int) -> Iterator[range]:
        """The numbers that no slice of a row holds, in slices."""
        done = {n for line in self.slices if line["kind"] == name for n in range(line["first"], line["stop"])}
        at = first
        while at < stop:
            end = at
            while end < min(at + step, stop) and end not in done:
                end += 1
            if end > at:
                yield range(at, end)
            at = max(end, at + 1)

    def note(self, row: Row, numbers: range, took_s: float) -> None:
        """Keep what came of a slice, on disk where there is a folder; what was left the next run tries."""
        line = vars(row) | {"counts": dict(row.counts), "run": self.run, "took_s": round(took_s, 1)}
        line |= {"first": numbers.start, "stop": numbers.stop}
        self.slices.append(line)
        if self.folder is not None and not row.left:
            with self._file.open("a") as file:
                file.write(json.dumps(line) + "\n")
                file.flush()
                os.fsync(file.fileno())

    def rows(self) -> list[Row]:
        """The slices of each row added up."""
        found: dict[str, Row] = {}
        for line in self.slices:
            row = found.setdefault(line["kind"], Row(line["kind"]))
            row.counts.update(line["counts"])
            row.cost(line["worst_s"], line["worst_mib"])
            row.took_s += line["took_s"]
            row.examples += line["examples"]
            row.note, row.left = line["note"] or row.note, line.get("left") or row.left
        return list(found.values())


def add_options(parser: argparse.ArgumentParser) -> None:
    """What both campaigns may be asked."""
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--rows", nargs="+", default=[""], metavar="NAME",
                        help="the row of this name, or all with this in their names")  # fmt: skip
    parser.add_argument("--list", action="store_true", help="name the rows and end")
    parser.add_argument("--from", dest="first", type=int, default=0, metavar="N", help="begin at this case")
    parser.add_argument("--count", type=int, metavar="N", help="so many cases of each row")
    parser.add_argument(
        "--results", type=Path, metavar="DIR", help="keep what is done here, and go on from it"
    )
    parser.add_argument("--minutes", type=float, metavar="N", help="begin no slice after so long")


def chosen(works: Sequence[Work], wanted: Sequence[str]) -> list[Work]:
    """The rows of these names; a name that no row has stands for all that it is a part of."""
    names = {work.name for work in works}
    return [
        work
        for work in works
        if any(name == work.name or (name not in names and name in work.name) for name in wanted)
    ]


def run(
    works: Sequence[Work],
    options: argparse.Namespace,
    form: str,
    columns: Sequence[str],
    nought: Sequence[str],
) -> int:
    """Run what is asked for and is not done yet; a table of all that is done. Returns the exit code."""
    wanted = chosen(works, options.rows)
    if options.list or not wanted:
        print(*(work.name for work in wanted or works), sep="\n")
        return 0 if options.list else 2
    if options.results is not None:
        options.results.mkdir(parents=True, exist_ok=True)
        tally.keep_misses_in(options.results / "misses")
    results, began = Results(f"{form}, seed {options.seed}", options.results), time.monotonic()
    with _asked_to_end() as asked:
        for work in wanted:
            for numbers in _left(work, results, options):
                if asked or (options.minutes is not None and time.monotonic() - began > 60 * options.minutes):
                    break
                _try(work, numbers, results, f"--{form} --seed {options.seed}")
    names = {work.name for work in wanted}
    rows = [row for row in results.rows() if row.kind in names]
    wrong = misses(rows, nought)
    print(table(rows, columns))
    tried, lost = (sum(row.counts[column] for row in rows) for column in ("tried", "lost"))
    print(
        f"{results.run}: {tried} tried in {sum(row.took_s for row in rows):.0f} s, {lost} lost, {wrong} wrong"
    )
    return 1 if wrong else 128 + asked[0] if asked else 0


@contextmanager
def _asked_to_end() -> Iterator[list[int]]:
    """The signals that asked to end. The slice under way is tried to its end: what it made it takes down, and
    nothing is raised where a signal happens to come, as within a fork, where Python only reports it.
    """
    asked: list[int] = []
    before = signal.signal(signal.SIGTERM, lambda number, _frame: asked.append(number))
    try:
        yield asked
    finally:
        signal.signal(signal.SIGTERM, before)


def _left(work: Work, results: Results, options: argparse.Namespace) -> Iterator[range]:
    """The slices of a row that are asked for and not done."""
    stop = work.count()
    if options.count is not None:
        stop = min(stop, options.first + options.count)
    return results.left_of(work.name, options.first, stop, work.step)


def _try(work: Work, numbers: range, results: Results, again: str) -> None:
    began = time.monotonic()
    tally.run_again = f'{again} --rows "{work.name}" --from {numbers.start} --count {len(numbers)}'
    row = work.tried(numbers)
    took_s = time.monotonic() - began
    assert row.kind == work.name, f"the row {row.kind} is named {work.name}"
    results.note(row, numbers, took_s)
    tried = f"{row.counts['tried']} tried, {numbers.start} to {numbers.stop - 1}"
    print(f"{row.kind}: {tried}, {took_s:.0f} s", file=sys.stderr, flush=True)
