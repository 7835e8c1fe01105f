"""An invented term of 90 days, written once through the real engine: nobody taught these lessons."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from pacer.log.day_records import DayRecords
from pacer.review.day_book import read_days
from pacer.review.days import Day
from pacer.verbs.headless_demo import load_demo_outlines
from pacer.verbs.invented_days import write_invented_days

TERM_ENDS_UTC_MS = 1_781_000_000_000  # an invented day in June 2026
TERM_DAYS = 90


@pytest.fixture(scope="session")
def term_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A data folder with the term; the same lessons every time. Not to be written to."""
    folder = tmp_path_factory.mktemp("term")
    with DayRecords.open(folder) as records:
        write_invented_days(
            records, load_demo_outlines(), TERM_DAYS, until_utc_ms=TERM_ENDS_UTC_MS, foreseen=True
        )
    return folder


@pytest.fixture(scope="session")
def term(term_folder: Path) -> tuple[Day, ...]:
    """The days of the term, the oldest first; their mode is ``demo``."""
    with DayRecords.open(term_folder) as records:
        return read_days(records).days


@pytest.fixture(scope="session")
def roomy_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Another term, of longer mini lessons: some groups start in time."""
    from tests.review.by_hand_kept import write_roomy_term  # needs pandas: late

    return write_roomy_term(tmp_path_factory.mktemp("roomy"))


@pytest.fixture(scope="session")
def roomy(roomy_folder: Path) -> tuple[Day, ...]:
    """Its days."""
    with DayRecords.open(roomy_folder) as opened:
        return read_days(opened).days


@pytest.fixture(scope="session")
def rich_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Lessons of which much is not taught."""
    from tests.review.by_hand_kept import write_rich_term  # needs pandas: late

    return write_rich_term(tmp_path_factory.mktemp("rich"))


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
