"""Mutated files for every reader, verbs over them, and rules of public formats: ``--short`` or ``--long``.

Ends with a table and exit code 1 if anything was not read, or refused in a plain sentence, within its limits.
A row can be run alone (``--rows``), in part (``--from``, ``--count``), and gone on with (``--results DIR``).
"""

import argparse
import random
import sys
from collections.abc import Iterator, Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.faults.slices import Work, add_options, run
from tests.faults.tally import Row
from tests.inputs.minimise import minimised, shown
from tests.inputs.mutate import mutated
from tests.inputs.reader import Reader
from tests.inputs.watched import Outcome, once, watched

MUST_BE_NOUGHT = ("not plain", "round trip", "traceback", "hang", "memory", "crash", "wrong")
COLUMNS = ("tried", "read", "refused", *MUST_BE_NOUGHT)
LONG, SHORT = 100_000, 2_500
STEP = 500  # cases between two notes of what was done
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


def work(reader: Reader, seed: int, tries: int) -> Work:
    """So many inputs on one reader."""
    seen: set[tuple[str, str]] = set()

    def tried(numbers: range) -> Row:
        row = Row(reader.name)
        reader.seeds()
        cases = watched(lambda number: reader.read(case_of(reader, seed, number)), numbers)
        for number, outcome in cases:
            count(row, outcome)
            if outcome.what in MUST_BE_NOUGHT:
                row.tell(outcome.what, f"{outcome.why} (number {number})")
                sign = (outcome.what, outcome.why.partition(": ")[0])
                if sign not in seen and len(seen) < _MOST_SEARCHED:
                    seen.add(sign)
                    _tell_small(row, reader, case_of(reader, seed, number), outcome, number)
        return row

    return Work(reader.name, tried, tries, STEP)


def count(row: Row, outcome: Outcome) -> None:
    """Take one outcome into a row."""
    row.add("tried")
    row.add(outcome.what)
    row.cost(outcome.cpu_s, outcome.mib)


def _tell_small(row: Row, reader: Reader, data: bytes, outcome: Outcome, number: int) -> None:
    """Make a failing input small, tell it, and keep it."""
    sign = outcome.why.partition(": ")[0]

    def fails(tried: bytes) -> bool:
        again = once(lambda: reader.read(tried))
        return again.what == outcome.what and again.why.partition(": ")[0] == sign

    small = minimised(data, fails) if fails(data) else data
    row.tell(outcome.what, f"the same, small (number {number})\n    {shown(small)}", small)


def works(seed: int, tries: int, is_long: bool, processes: bool) -> Iterator[Work]:
    """Every row there is: mutated files, rules of public formats, attachments, verbs as processes."""
    from tests.inputs import attached, calendar_rules, csv_rules, toml_rules, verbs

    shares = sum(reader.share for reader in readers())
    for reader in readers():
        yield work(reader, seed, max(1, tries * reader.share // shares))
    times = 20 if is_long else 1
    for rules, number in ((toml_rules, 200), (csv_rules, 200), (calendar_rules, 150)):
        yield from rules.works(seed, number * times)
    if processes:
        yield attached.work(seed, 60 * times)
        yield verbs.work(seed, 30 * times)


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the campaign. Returns 0 where nothing was wrong."""
    parser = argparse.ArgumentParser(description=__doc__)
    length = parser.add_mutually_exclusive_group()
    length.add_argument("--short", action="store_true", help="what CI runs (the usual)")
    length.add_argument("--long", action="store_true", help=f"{LONG} mutated files")
    add_options(parser)
    parser.add_argument("--tries", type=int, help="so many mutated files in all")
    parser.add_argument("--without-processes", action="store_true", help="no verbs, no attachments")
    options = parser.parse_args(arguments)
    tries, form = options.tries or (LONG if options.long else SHORT), "long" if options.long else "short"
    every = list(works(options.seed, tries, options.long, not options.without_processes))
    try:
        return run(every, options, form, COLUMNS, MUST_BE_NOUGHT)
    finally:
        from tests.inputs.record_readers import clear_up

        clear_up()


if __name__ == "__main__":
    sys.exit(main())
