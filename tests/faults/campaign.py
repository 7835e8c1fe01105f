"""Faults of machine, disk and time strike at everything that keeps something: ``--short`` or ``--long``.

Ends with a table, and exit code 1 if anything acknowledged was lost or a fault was met without words. A row
can be run alone (``--rows``), in part (``--from``, ``--count``), and be gone on with (``--results DIR``).
"""

import argparse
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.faults.slices import Work, add_options, run

MUST_BE_NOUGHT = ("lost", "refused to open", "traceback", "not plain", "wrong", "wrong exit", "hang")
COLUMNS = ("tried", "acknowledged", *MUST_BE_NOUGHT)
# Kills at chance moments, shared out among what writes: the most where there is most to lose.
LONG_KILLS = {
    "lesson": 400, "typing": 200, "repair": 100, "export": 80, "migration": 100, "backup": 80, "settings": 40,
    "planned days": 40, "week": 80, "library": 100, "mending": 80, "taken": 80, "daily copy": 60,
    "restore": 80, "deletion": 60,
}  # fmt: skip


def works(form: str, seed: int, folder: Path) -> Iterator[Work]:
    """Every row there is, in a form: ``long``, ``short`` or ``shortest``."""
    from tests.faults import clocks, flipped, sharing, verbs_on_full_disk
    from tests.faults.victims import VICTIMS

    def of(long: int, short: int, shortest: int) -> int:
        return {"long": long, "short": short, "shortest": shortest}[form]

    for victim in VICTIMS:
        yield from _strikes(victim, folder / victim.name, seed, of)
    yield from sharing.works(folder / "sharing", seed, of(20, 1, 1))
    yield from clocks.works(seed, of(60, 4, 1), of(10_000, 1000, 100), of(180, 30, 10))
    yield flipped.work(seed, of(0, 200, 10) or None)
    yield verbs_on_full_disk.work(
        folder / "verbs", (0, 1, 511, 4096, 20_000, 60_000) if form == "long" else (1000,)
    )


def _strikes(victim, folder: Path, seed: int, of: Callable[[int, int, int], int]) -> Iterator[Work]:
    """All that strikes at one writer."""
    from tests.faults import failed_writes, kills, power_loss

    yield kills.work(victim, folder / "killed", seed, of(LONG_KILLS[victim.name], 5, 2))
    yield failed_writes.injected(victim, folder / "injected", seed, of(0, 8, 8) or None)
    for strike in (failed_writes.cut_short, failed_writes.full_disk, failed_writes.vanished):
        yield strike(victim, folder / strike.__name__, seed, of(48, 5, 2))
    yield power_loss.work(victim, folder / "power" / "lost", seed, of(120, 5, 1))


def main(arguments: Sequence[str] | None = None) -> int:
    """Run the campaign. Returns 0 where nothing was wrong."""
    parser = argparse.ArgumentParser(description=__doc__)
    length = parser.add_mutually_exclusive_group()
    length.add_argument("--short", dest="form", action="store_const", const="short", help="the usual")
    length.add_argument(
        "--shortest", dest="form", action="store_const", const="shortest", help="what tests run"
    )
    length.add_argument("--long", dest="form", action="store_const", const="long",
                        help="1,000 kills, every write, every byte")  # fmt: skip
    add_options(parser)
    options = parser.parse_args(arguments)
    form = options.form or "short"
    with tempfile.TemporaryDirectory(prefix="pacer-faults-") as folder:
        every = list(works(form, options.seed, Path(folder)))
        return run(every, options, form, COLUMNS, MUST_BE_NOUGHT)


if __name__ == "__main__":
    sys.exit(main())
