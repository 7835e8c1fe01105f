"""What years of day records add to a start."""

import pytest

from tests.benchmarks.many_days import TERM, write_many_days
from tests.benchmarks.test_figures import child, report

__all__ = ["child"]  # a fixture


@pytest.mark.parametrize(("terms", "most"), [(1, 1.3), (111, 1.6)], ids=["90 days", "10,000 days"])
def test_a_start_with_many_days_takes_little_more_than_one_with_none(
    child, tmp_path, terms, most, record_property
):
    """The quickest of five starts of each, by turns: what else the machine does only ever adds time."""
    days = write_many_days(tmp_path / "years", terms, worked_out=False)
    assert days == terms * TERM
    took: dict[str, list[float]] = {"none": [], "years": []}
    for turn in range(6):
        for folder, times in took.items():
            found = child("pacer-start", data=folder)
            if turn:  # the first compiles
                times.append(found["first_paint"] - found["begun"])
    none, many = (min(times) for times in took.values())
    report(record_property, "days", days, "start s", many, "with none s", none, "ratio", many / none)
    assert many <= most * none
