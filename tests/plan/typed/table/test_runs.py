"""Typed and pasted tables: rows become phases, and what a cell does not say plainly is asked about."""

import pytest

from pacer.plan.typed.read_typed import read_typed


def test_a_row_of_very_many_cells_is_no_row() -> None:
    """Ours: some rows of thousands of cells were gone through cell by cell for each column."""
    assert read_typed("a\t" * 2_900 + "\n" + "b\t5\n" * 3).phases


@pytest.mark.parametrize("cell", ["about 3", "approx. 3", "ca. 3 min", "for 3", "3ish", "up to 3"])
def test_a_rough_time_in_the_column_of_minutes_is_taken_and_doubted(cell):
    typed = read_typed(f"Phase\tMinutes\tWhat they do\nWarm-up\t5\tCount\nReview\t{cell}\tTwo problems\n")
    assert [phase.seconds for phase in typed.phases] == [300, 180]
    assert [line.number for line in typed.to_look_at] == [3]


@pytest.mark.parametrize("cell", ["Room 4", "5 + 2", "2 each", "about"])
def test_what_is_no_single_time_in_the_column_of_minutes_is_asked_about(cell):
    typed = read_typed(f"Phase\tMinutes\tWhat they do\nWarm-up\t5\tCount\nReview\t{cell}\tTwo problems\n")
    assert typed.phases[1].seconds is None
    assert 3 in [line.number for line in typed.to_look_at]


TWO_TITLES = "Phase\tActivity\tMinutes\n{0}\tFold a strip\t5\n{1}\tCut and compare\t12\nClose\tShare\t5"


def test_a_table_with_a_column_of_phases_and_one_of_activities_has_no_doubts() -> None:
    typed = read_typed(TWO_TITLES.format("Launch", "Explore"))
    assert [phase.title for phase in typed.phases] == ["Launch", "Explore", "Close"]
    assert typed.phases[0].notes == "Activity: Fold a strip"
    assert typed.to_look_at == ()


def test_where_a_phase_stands_on_several_rows_the_activity_tells_them_apart_and_is_doubted() -> None:
    typed = read_typed(TWO_TITLES.format("Launch", "Launch"))
    assert len(typed.to_look_at) == 3
