"""The picture of what usually runs over: marks, cells and words against a table made from the raw events."""

from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from test_over_usually import DEMO, LENGTHS, median_by_hand, ratios_by_hand, review, reviewed  # noqa: F401

from pacer.frames.chart import Chart
from pacer.frames.pictures.over_usually import chart
from pacer.review.choice import Choice
from pacer.review.days import Day


def marks(picture: Chart, row: int) -> list[tuple[float, float, str]]:
    """What is drawn in a row from its top down: (y, x, shape)."""
    found = [(y, x, dots.shape) for dots in picture.dots for x, y in dots.points]
    return sorted(each for each in found if row - 0.5 < each[0] < row + 0.5)


def medians(picture: Chart) -> dict[int, tuple[float, str]]:
    """The short bars: their ratio and stroke by row."""
    short = [line for line in picture.lines if line.stroke != "dashed"]
    return {round((one.points[0][1] + one.points[1][1]) / 2): (one.points[0][0], one.stroke) for one in short}


def kinds_in_rows(picture: Chart) -> list[str]:
    return [words.partition(",")[0].replace(" ", "-") for _at, words in picture.y.ticks]


def test_each_row_of_the_term_has_the_dots_the_median_and_the_count_of_the_raw_events(
    term: tuple[Day, ...], term_folder: Path
) -> None:
    table = ratios_by_hand(term_folder)
    picture = chart(term, DEMO)
    rows = kinds_in_rows(picture)
    assert sorted(rows) == sorted(table["kind"].unique())
    for at, kind in enumerate(rows):
        own = table[table["kind"] == kind]
        seen = marks(picture, at)
        assert [x for _y, x, _shape in seen] == pytest.approx(list(own["ratio"])), "from the first down"
        assert [shape == "ring" for _y, _x, shape in seen] == list(own["cut_off"])
        ratio, at_least = median_by_hand(own)
        assert medians(picture)[at] == (
            pytest.approx(ratio, abs=1e-8),
            "dotted" if at_least else "solid",
        )
        over = (own["actual_s"] > own["planned_s"]).sum()
        unknown = ((own["actual_s"] <= own["planned_s"]) & own["cut_off"]).sum()
        least = "at least " if unknown else ""
        assert picture.y.ticks[at][1].endswith(f", over in {least}{over} of {len(own)}")
    assert picture.lessons == table["run"].nunique()
    assert sum(len(dots.points) for dots in picture.dots) == len(table)
    (plan,) = [line for line in picture.lines if line.stroke == "dashed"]
    assert {x for x, _y in plan.points} == {1}
    assert picture.x.lower == 0
    assert picture.x.upper >= max(2, table["ratio"].max())


def test_the_table_has_every_ending_and_each_median(term: tuple[Day, ...], term_folder: Path) -> None:
    table = ratios_by_hand(term_folder)
    picture = chart(term, DEMO)
    rows = [row for row in picture.table.rows if row[1] != "median of all"]
    order = [words.partition(",")[0] for _at, words in picture.y.ticks]
    table["kind"] = table["kind"].map(lambda kind: kind if kind in order else kind.replace("-", " "))
    wanted = table.sort_values("kind", key=lambda kinds: kinds.map(order.index), kind="stable")
    assert [row[0] for row in rows] == list(wanted["kind"])
    days = pd.to_datetime(wanted["date"])
    assert [row[1] for row in rows] == [f"{day.day} {day:%b} {day.year}" for day in days]
    for column, name in ((3, "planned_s"), (4, "actual_s")):
        assert [row[column] for row in rows] == [f"{s // 60}:{s % 60:02}" for s in wanted[name]]
    shown = [float(row[6].removeprefix("≥ ")) for row in rows]
    assert shown == pytest.approx(list(wanted["ratio"]), abs=0.00501)
    assert [row[6].startswith("≥ ") for row in rows] == list(wanted["cut_off"])
    sums = [row for row in picture.table.rows if row[1] == "median of all"]
    assert [row[0] for row in sums] == order
    for row in sums:
        own = table[table["kind"] == row[0]]
        ratio, at_least = median_by_hand(own)
        assert row[6].startswith("≥ ") == at_least
        assert float(row[6].removeprefix("≥ ")) == pytest.approx(ratio, abs=0.00501)
        cells = [each for each in rows if each[0] == row[0]]
        assert row[7:] == tuple(str(sum(int(each[column]) for each in cells)) for column in (7, 8, 9))


def test_the_summary_names_what_runs_over_most_often(term: tuple[Day, ...], term_folder: Path) -> None:
    table = ratios_by_hand(term_folder)
    over = table["actual_s"] > table["planned_s"]
    kind = over.groupby(table["kind"]).mean().idxmax()
    own = table[table["kind"] == kind]
    assert not own["cut_off"].any()
    assert chart(term, DEMO).summary == (
        f"{kind.capitalize()} runs over most often: in {over[own.index].sum()} of {len(own)} lessons. "
        f"At the median it took {median_by_hand(own)[0]:.2f} times its budget."
    )


def test_one_outline_shows_its_own_phases_by_their_titles(term: tuple[Day, ...]) -> None:
    picture = chart(term, Choice(modes=("demo",), titles=("Fractions on a number line",)))
    titles = [phase.title for day in term if day.title == "Fractions on a number line" for phase in day.mini]
    assert [words.partition(",")[0] for _at, words in picture.y.ticks] == list(dict.fromkeys(titles))
    assert picture.lessons == 9


def test_the_worked_row_is_told_in_words(reviewed: Callable) -> None:  # noqa: F811
    """By hand: 0.7 cut off, then the curve falls to 4/5 at 0.9, 3/5 at 1.1 and 2/5, below half, at 1.2."""
    ran = [(150, "done"), (120, "moved on"), (200, "unsaid"), (110, "done"), (90, "done"), (70, "bell")]
    picture = chart(reviewed(*(review(seconds, ending) for seconds, ending in ran)), Choice())
    assert [words for _at, words in picture.y.ticks] == ["Review, over in at least 4 of 6"]
    assert picture.summary == (
        "Review runs over most often: in at least 4 of 6 lessons. "
        "At the median it took 1.20 times its budget."
    )
    assert medians(picture) == {0: (pytest.approx(1.2), "solid")}
    assert [words for _at, words in picture.x.ticks] == ["0", "half, 0.5", "as planned, 1", "1.5", "twice, 2"]
    assert {key.text for key in picture.keys} == {
        "a lesson; moved on counts as it is",
        "cut off by the bell or an interruption: at least so long",
        "as planned",
        "median: half of the lessons stayed within it",
    }


def test_far_beyond_the_axis_a_triangle_stands_at_its_end_and_the_table_knows(
    reviewed: Callable,  # noqa: F811
) -> None:
    picture = chart(reviewed(review(150), review(3000)), Choice())
    assert picture.x.upper == 4
    assert [(x, shape) for _y, x, shape in marks(picture, 0)] == [(1.5, "dot"), (4, "triangle")]
    assert [row[6] for row in picture.table.rows[1:]] == ["1.50", "30.00"]
    assert any("4 times the budget: see the table" in key.text for key in picture.keys)


def test_too_few_lessons_are_drawn_and_nothing_is_claimed(reviewed: Callable) -> None:  # noqa: F811
    nothing = chart([], Choice())
    assert nothing.is_empty
    assert not nothing.table.rows
    assert nothing.summary.startswith("Not enough lessons yet")
    for count in range(1, 5):
        picture = chart(reviewed(*[review(150)] * count), Choice())
        assert len(marks(picture, 0)) == picture.lessons == count
        assert picture.summary.startswith("Not enough lessons yet to say what usually runs over: 5 with")
        assert f"{count} {'is' if count == 1 else 'are'} the most so far." in picture.summary
    within = chart(reviewed(*[review(100)] * 6), Choice())
    assert within.summary == "No phase with 5 lessons or more ever ran over its budget (6 in all)."


def test_nine_hundred_days_keep_few_ticks_and_every_dot(term: tuple[Day, ...]) -> None:
    many = [
        term[n % 90]._replace(run=n, date=(date(2023, 9, 4) + timedelta(7 * (n // 5) + n % 5)).isoformat())
        for n in range(900)
    ]
    picture = chart(many, DEMO)
    once = chart(term, DEMO)
    assert sum(len(dots.points) for dots in picture.dots) == 10 * sum(len(dots.points) for dots in once.dots)
    assert medians(picture) == medians(once), "ten times the same lessons have the same medians"
    assert len(picture.x.ticks) + len(picture.y.ticks) <= 60


@given(st.lists(st.lists(LENGTHS, min_size=1, max_size=6), min_size=1, max_size=4))
def test_on_random_histories_every_ending_is_one_mark_within_its_row(
    reviewed: Callable,  # noqa: F811
    history: list[list[tuple[int, str, int]]],
) -> None:
    days = [
        day
        for number, ran in enumerate(history)
        for day in reviewed(*(review(*one, kind=f"k{number}") for one in ran), title=f"T{number}")
    ]
    picture = chart([day._replace(run=n) for n, day in enumerate(days)], Choice())
    by_id = len(history) == 1
    assert len(picture.y.ticks) == len(history)
    rows = {words.partition(",")[0]: at for at, (_y, words) in enumerate(picture.y.ticks)}
    for number, ran in enumerate(history):
        at = rows["Review" if by_id else f"k{number}"]
        seen = marks(picture, at)
        wanted = [min(seconds / budget, picture.x.upper) for seconds, _ending, budget in ran]
        assert [x for _y, x, _shape in seen] == pytest.approx(wanted)
        over = sum(seconds > budget for seconds, _ending, budget in ran)
        assert f" {over} of {len(ran)}" in picture.y.ticks[at][1]
