"""Mutated files for every reader, verbs over them, and rules of public formats: ``--short`` or ``--long``.

Ends with a table and exit code 1 if anything was not read, or refused in a plain sentence, within its limits.
"""

import argparse
import random
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.faults.tally import Row, misses, table
from tests.inputs.minimise import minimised, shown
from tests.inputs.mutate import mutated
from tests.inputs.reader import Reader
from tests.inputs.watched import Outcome, once, watched

MUST_BE_NOUGHT = ("not plain", "round trip", "traceback", "hang", "memory", "crash", "wrong")
COLUMNS = ("tried", "read", "refused", *MUST_BE_NOUGHT)
LONG, SHORT = 100_000, 2_500
_MOST_SEARCHED = 4  # failures of one kind that are made small


def readers() -> tuple[Reader, ...]:
    """All readers; imported late, so that --help needs none of them."""
    from tests.inputs.foreign_readers import FOREIGN_READERS
    from tests.inputs.plan_readers import PLAN_READERS
    from tests.inputs.record_readers import RECORD_READERS

    return (*PLAN_READERS, *RECORD_READERS, *FOREIGN_READERS)


def case_of(reader: Reader, seed: int, number: int) -> bytes:
    """The same input for the same seed and number, whatever ran before."""
    chance = random.Random(f"{seed}/{reader.name}/{number}")
    return mutated(chance, reader.seeds(), reader.tokens)


def mutate(reader: Reader, seed: int, tries: int) -> Row:
    """Try so many inputs on one reader."""
    row = Row(reader.name)
    reader.seeds()
    seen: set[tuple[str, str]] = set()
    for number, outcome in watched(lambda number: reader.read(case_of(reader, seed, number)), range(tries)):
        count(row, outcome)
        sign = (outcome.what, outcome.why.partition(": ")[0])
        if outcome.what in MUST_BE_NOUGHT and sign not in seen and len(seen) < _MOST_SEARCHED:
            seen.add(sign)
            _tell(row, reader, case_of(reader, seed, number), outcome, number)
    return row


def count(row: Row, outcome: Outcome) -> None:
    """Take one outcome into a row."""
    row.add("tried")
    row.add(outcome.what)
    row.cost(outcome.cpu_s, outcome.mib)


def _tell(row: Row, reader: Reader, data: bytes, outcome: Outcome, number: int) -> None:
    """Make a failing input small and keep it with the row."""
    sign = outcome.why.partition(": ")[0]

    def fails(tried: bytes) -> bool:
        again = once(lambda: reader.read(tried))
        return again.what == outcome.what and again.why.partition(": ")[0] == sign

    small = minimised(data, fails) if fails(data) else data
    row.examples.append(f"{outcome.what}: {outcome.why} (number {number})\n    {shown(small)}")


def rows(options: argparse.Namespace) -> Iterator[Row]:
    """Every row of the table, each as soon as it is there."""
    wanted = [reader for reader in readers() if options.only in reader.name]
    shares = sum(reader.share for reader in readers())
    for reader in wanted:
        yield mutate(reader, options.seed, max(1, options.tries * reader.share // shares))
    for kind, run in others(options.long):
        if options.only in kind and not (options.without_processes and kind in ("attachments", "verbs")):
            yield from run(options.seed)


def others(is_long: bool) -> Sequence[tuple[str, Callable[[int], list[Row]]]]:
    """What is tried beside mutated files: rules of public formats, attachments, verbs as processes."""
    from tests.inputs import attached, calendar_rules, csv_rules, toml_rules, verbs

    times = 20 if is_long else 1

    def of(rules: Callable[[int, int], list[Row]], tries: int) -> Callable[[int], list[Row]]:
        return lambda seed: rules(seed, tries * times)

    return (
        ("TOML", of(toml_rules.rows, 200)),
        ("CSV", of(csv_rules.rows, 200)),
        ("iCalendar", of(calendar_rules.rows, 150)),
        ("attachments", lambda seed: [attached.row(seed, 60 * times)]),
        ("verbs", lambda seed: [verbs.row(seed, 30 * times)]),
    )


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the campaign. Returns 0 where nothing was wrong."""
    parser = argparse.ArgumentParser(description=__doc__)
    length = parser.add_mutually_exclusive_group()
    length.add_argument("--short", action="store_true", help="what CI runs (the usual)")
    length.add_argument("--long", action="store_true", help=f"{LONG} mutated files")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--tries", type=int, help="so many mutated files in all")
    parser.add_argument("--without-processes", action="store_true", help="no verbs, no attachments")
    parser.add_argument("--only", default="", metavar="KIND", help="kinds with this in their names")
    options = parser.parse_args(arguments)
    options.tries = options.tries or (LONG if options.long else SHORT)
    began, done = time.monotonic(), []
    for row in rows(options):
        done.append(row)
        print(f"{row.kind}: {row.counts['tried']} tried", file=sys.stderr, flush=True)
    from tests.inputs.record_readers import clear_up

    clear_up()
    wrong = misses(done, MUST_BE_NOUGHT)
    print(table(done, COLUMNS))
    tried = sum(row.counts["tried"] for row in done)
    print(f"seed {options.seed}: {tried} tried in {time.monotonic() - began:.0f} s, {wrong} wrong")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
