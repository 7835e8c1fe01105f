"""A span of dates on the classroom's calendar, for what is exported or deleted."""

from dataclasses import dataclass
from datetime import date

FIRST, LAST = "0001-01-01", "9999-12-31"

# The date on which a lesson began on the classroom's clock, computed by SQLite from a row of ``run``.
LOCAL_DATE = "date(started_utc_ms / 1000 + utc_offset_s, 'unixepoch')"


@dataclass(frozen=True)
class DateSpan:
    """From one ISO date to another, both included."""

    since: str = FIRST
    until: str = LAST

    def __contains__(self, day: object) -> bool:
        return isinstance(day, str) and self.since <= day <= self.until


def school_year(day: date) -> DateSpan:
    """The school year that a day lies in: 1 August to 31 July (common practice, no source)."""
    begins = day.year if day.month >= 8 else day.year - 1
    return DateSpan(f"{begins:04d}-08-01", f"{begins + 1:04d}-07-31")
