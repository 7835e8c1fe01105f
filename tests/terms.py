"""An invented term of 48 days, written once through the real engine: nobody taught these lessons."""

import shutil
import time
from collections.abc import Callable, Iterator
from contextlib import suppress
from pathlib import Path

import pytest

from pacer.log.day_records import DayRecords
from pacer.review.day_book import read_days
from pacer.review.days import Day
from pacer.verbs.headless_demo import load_demo_outlines
from pacer.verbs.invented_days import write_invented_days

TERM_ENDS_UTC_MS = 1_781_000_000_000  # an invented day in June 2026
TERM_DAYS = 48
LONGEST_MAKING_S = 300  # then whoever began with it is taken to have died


def made_once(factory: pytest.TempPathFactory, name: str, write: Callable[[Path], object]) -> Path:
    """A folder of this worker's own with what the first worker of a run has written."""
    own = factory.getbasetemp()
    # Each worker of one run has its folder beside those of the others.
    made = (own.parent if own.name.startswith("popen-") else own) / f"{name}-made"
    if not made.exists() and not _is_made_by_another(made):
        making = factory.mktemp(f"{name}-making")
        write(making)
        with suppress(OSError):  # another worker was quicker, and has written the same
            making.rename(made)
    return Path(shutil.copytree(made, factory.mktemp(name), dirs_exist_ok=True))


def _is_made_by_another(made: Path) -> bool:
    """Whether another worker had begun to write it, and now has; the first who asks is told no."""
    try:
        made.with_name(f"{made.name}-begun").mkdir()
    except FileExistsError:
        give_up = time.monotonic() + LONGEST_MAKING_S
        while not made.exists() and time.monotonic() < give_up:
            time.sleep(0.05)
        return made.exists()
    return False


@pytest.fixture(scope="session")
def term_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder with the term; the same lessons every time. Not to be written to."""

    def write(folder: Path) -> None:
        with DayRecords.open(folder) as records:
            outlines, until_ms = load_demo_outlines(), TERM_ENDS_UTC_MS
            write_invented_days(records, outlines, TERM_DAYS, until_utc_ms=until_ms, foreseen=True)

    return made_once(tmp_path_factory, "term", write)


@pytest.fixture(scope="session")
def term(term_folder: Path) -> tuple[Day, ...]:
    """The days of the term, the oldest first; their mode is ``demo``."""
    with DayRecords.open(term_folder) as records:
        return read_days(records).days


@pytest.fixture(scope="session")
def roomy_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Another term, of longer mini lessons: some groups start in time."""
    from tests.review.by_hand_kept import write_roomy_term  # needs pandas: late

    return made_once(tmp_path_factory, "roomy", write_roomy_term)


@pytest.fixture(scope="session")
def roomy(roomy_folder: Path) -> tuple[Day, ...]:
    """Its days."""
    with DayRecords.open(roomy_folder) as opened:
        return read_days(opened).days


@pytest.fixture(scope="session")
def rich_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Lessons of which much is not taught."""
    from tests.review.by_hand_kept import write_rich_term  # needs pandas: late

    return made_once(tmp_path_factory, "rich", write_rich_term)


@pytest.fixture(scope="session")
def rich(rich_folder: Path) -> tuple[Day, ...]:
    """Their days."""
    with DayRecords.open(rich_folder) as opened:
        return read_days(opened).days


@pytest.fixture
def records(tmp_path: Path) -> Iterator[DayRecords]:
    """Empty day records."""
    with DayRecords.open(tmp_path) as opened:
        yield opened
