"""Faults of machine, disk and time strike at everything that keeps something: ``--short`` or ``--long``.

Ends with a table, and exit code 1 if anything acknowledged was lost or a fault was met without words.
"""

import argparse
import sys
import tempfile
import time
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.faults.tally import Row, misses, table

MUST_BE_NOUGHT = ("lost", "refused to open", "traceback", "not plain", "wrong", "wrong exit", "hang")
COLUMNS = ("tried", "acknowledged", *MUST_BE_NOUGHT)
# Kills at chance moments, shared out among what writes: the most where there is most to lose.
LONG_KILLS = {
    "lesson": 400, "typing": 200, "repair": 100, "export": 80, "migration": 100, "backup": 80, "settings": 40,
    "planned days": 40, "week": 80, "library": 100, "mending": 80, "taken": 80, "daily copy": 60,
    "restore": 80, "deletion": 60,
}  # fmt: skip


def kinds(
    is_long: bool, is_shortest: bool, seed: int, folder: Path
) -> Iterator[tuple[str, Callable[[], Sequence[Row]]]]:
    """Every kind of fault, with what tries it."""
    from tests.faults import clocks, failed_writes, flipped, kills, power_loss, sharing, verbs_on_full_disk
    from tests.faults.victims import VICTIMS

    few = 48 if is_long else 2 if is_shortest else 5
    for victim in VICTIMS:
        place = folder / victim.name
        count = LONG_KILLS[victim.name] if is_long else 2 if is_shortest else 5
        yield "kill", lambda v=victim, p=place, n=count: [kills.row(v, p / "killed", n, seed)]
        every = None if is_long else 8
        yield (
            "each write fails",
            lambda v=victim, p=place, n=every: [failed_writes.injected(v, p / "injected", seed, n)],
        )
        for strike in (failed_writes.cut_short, failed_writes.full_disk, failed_writes.vanished):
            yield (
                strike.__name__.replace("_", " "),
                lambda v=victim, p=place, s=strike: [s(v, p / s.__name__, seed, few)],
            )
        moments = 120 if is_long else 1 if is_shortest else 5
        yield (
            "power loss",
            lambda v=victim, p=place, n=moments: [power_loss.row(v, p / "power" / "lost", seed, n)],
        )
    yield "two copies", lambda: sharing.rows(folder / "sharing", seed)
    storm = (60, 10_000, 180) if is_long else (1, 100, 10) if is_shortest else (4, 1000, 30)
    yield "clock", lambda: clocks.rows(seed, *storm)
    yield "flipped byte", lambda: [flipped.row(seed, None if is_long else 10 if is_shortest else 200)]
    sizes = (0, 1, 511, 4096, 20_000, 60_000) if is_long else (1000,)
    yield "verbs on a full disk", lambda: [verbs_on_full_disk.row(folder / "verbs", sizes)]
    yield (
        "screens storm",
        lambda: [Row("screens storm", note="see PACER_SCREENS_TIMES=10 pytest tests/real_screens")],
    )


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the campaign. Returns 0 where nothing was wrong."""
    parser = argparse.ArgumentParser(description=__doc__)
    length = parser.add_mutually_exclusive_group()
    length.add_argument("--short", action="store_true", help="what CI runs (the usual)")
    length.add_argument("--shortest", action="store_true", help="what the usual tests run")
    length.add_argument("--long", action="store_true", help="1,000 kills, every write, every byte")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument(
        "--only", nargs="+", default=[""], metavar="KIND", help="kinds with this in their names"
    )
    options = parser.parse_args(arguments)
    began, done = time.monotonic(), []
    with tempfile.TemporaryDirectory(prefix="pacer-faults-") as folder:
        for kind, run in kinds(options.long, options.shortest, options.seed, Path(folder)):
            if any(wanted in kind for wanted in options.only):
                for row in run():
                    done.append(row)
                    print(f"{row.kind}: {row.counts['tried']} tried", file=sys.stderr, flush=True)
    wrong = misses(done, MUST_BE_NOUGHT)
    print(table(done, COLUMNS))
    tried = sum(row.counts["tried"] for row in done)
    acknowledged, lost = (sum(row.counts[column] for row in done) for column in ("acknowledged", "lost"))
    took = time.monotonic() - began
    print(f"seed {options.seed}: {tried} tried in {took:.0f} s, {acknowledged} acknowledged, {lost} lost")
    print(f"{wrong} wrong")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
