"""Earlier versions of an outline: all of today, one a day for a month, one a week before that."""

import hashlib
import os
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from pacer.owner_only import make_folder
from pacer.settings.whole_file import write_new

DAILY = timedelta(days=30)
MOST_BYTES = 2_000_000
_FORMAT = "%Y-%m-%dT%H%M%S.%fZ"
_LONGEST_STEM = 60


@dataclass(frozen=True)
class Version:
    """One earlier version: when it was replaced, in UTC, its file, and its size in bytes."""

    at: datetime
    file: Path
    size: int


def thinned(times: Iterable[datetime], now: datetime) -> set[datetime]:
    """Which versions stay: all of the day of ``now``, the last of each day of 30 days, else of each week.

    Days are those of ``now``'s time zone, weeks those of ISO 8601. What lies in the future stays: a clock was
    set.
    """
    today = now.date()
    kept: set[datetime] = set()
    last: dict[object, datetime] = {}
    for time in sorted(times):
        day = time.astimezone(now.tzinfo).date()
        if day >= today:
            kept.add(time)
        elif today - day <= DAILY:
            last[day] = time
        else:
            last[day.isocalendar()[:2]] = time
    return kept | set(last.values())


def bounded(sizes: Mapping[datetime, int], most: int) -> set[datetime]:
    """The versions to keep within ``most`` bytes, by their times; always the newest.

    Those that are closest to the one after them go first: old ones far apart say more than new ones a
    second apart.
    """
    kept = sorted(sizes)
    total = sum(sizes.values())
    while total > most and len(kept) > 1:
        gone = min(range(len(kept) - 1), key=lambda n: (kept[n + 1] - kept[n], kept[n]))
        total -= sizes[kept.pop(gone)]
    return set(kept)


class Versions:
    """A folder with one folder for each outline, and in it a file for each version."""

    def __init__(self, folder: Path, most_bytes: int = MOST_BYTES) -> None:
        self._folder = folder
        self._most_bytes = most_bytes

    def folder_of(self, real: Path) -> Path:
        """Named for people by the file's name, and told apart from its namesakes in other folders."""
        mark = hashlib.sha256(os.fsencode(real)).hexdigest()[:8]
        return self._folder / f"{real.stem[:_LONGEST_STEM]}-{mark}"

    def all(self, real: Path) -> list[Version]:
        """The versions of a file, the newest first."""
        versions = []
        with suppress(OSError):
            for file in self.folder_of(real).glob("*.toml"):
                with suppress(ValueError, OSError):
                    at = datetime.strptime(file.stem, _FORMAT).replace(tzinfo=UTC)
                    versions.append(Version(at, file, file.stat().st_size))
        return sorted(versions, key=lambda version: version.at, reverse=True)

    def keep(self, real: Path, data: bytes, now: datetime) -> bool:
        """Keep a version and thin out the older ones. False where it couldn't be kept."""
        before = self.all(real)
        try:
            if before and before[0].size == len(data) and before[0].file.read_bytes() == data:
                return True
            folder = self.folder_of(real)
            make_folder(folder)
            # The list may be empty because the folder did not answer: what has the name stays in any case.
            while not write_new(file := folder / f"{now.astimezone(UTC).strftime(_FORMAT)}.toml", data):
                now += timedelta(milliseconds=1)
        except OSError:
            return False
        self._thin([*before, Version(now, file, len(data))], now)
        return True

    def copy(self, real: Path, new: Path) -> None:
        """Keep the versions of a file under another name, too. What can't be copied stays where it is."""
        for version in self.all(real):
            with suppress(OSError):
                make_folder(self.folder_of(new))
                write_new(self.folder_of(new) / version.file.name, version.file.read_bytes())

    def drop_copied(self, real: Path, new: Path) -> None:
        """Let go of the versions under the old name, each that is there under the new one."""
        for version in self.all(real):
            with suppress(OSError):
                if (self.folder_of(new) / version.file.name).read_bytes() == version.file.read_bytes():
                    version.file.unlink()
        with suppress(OSError):
            self.folder_of(real).rmdir()

    def _thin(self, versions: list[Version], now: datetime) -> None:
        sizes = {version.at: version.size for version in versions}
        stay = thinned(sizes, now.astimezone())
        stay = bounded({at: sizes[at] for at in stay}, self._most_bytes)
        for version in versions:
            if version.at not in stay and version.at != now:
                with suppress(OSError):
                    version.file.unlink()
