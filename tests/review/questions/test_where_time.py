"""Planned against actual of the mean lesson: against pandas on the raw events, shares that add up to 100."""

from pathlib import Path

import apportionment.methods
import pandas as pd
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from pacer.frames.pictures.where_time import chart
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.where_time import PAUSES, where_time
from tests.review import by_hand
from tests.terms import TERM_DAYS

DEMO = LessonChoice(modes=("demo",))


def seconds(words: str) -> int:
    sign = -1 if words[0] == "−" else 1
    minutes, rest = words.lstrip("−+").split(":")
    return sign * (int(minutes) * 60 + int(rest))


@pytest.fixture(scope="module")
def sums(term_folder: Path) -> pd.DataFrame:
    """Seconds a lesson by kind, from the raw events."""
    mini = by_hand.phases(term_folder).query("mini")
    found = mini.groupby("kind")[["planned_s", "actual_s"]].sum() / TERM_DAYS
    found["lessons"] = mini.groupby("kind")["run"].nunique()
    return found


@pytest.fixture(scope="module")
def paused_s(term_folder: Path) -> float:
    """Seconds a lesson between the first phase and the last that are no phase's time."""
    mini = by_hand.phases(term_folder).query("mini")
    per_run = mini.groupby("run").agg(end_ms=("end_ms", "max"), spent_ms=("spent_ms", "sum"))
    return float(((per_run["end_ms"] - per_run["spent_ms"]) / 1000).round().mean())


def test_the_rows_of_the_term_are_those_of_the_raw_events(term, sums, paused_s):
    found = where_time(DEMO.days(term))
    assert found.by_kind
    assert {row.name for row in found.rows} == {*sums.index, PAUSES}
    for row in found.rows:
        if row.name == PAUSES:
            assert float(row.actual) == pytest.approx(paused_s)
            continue
        expected = sums.loc[row.name]
        assert float(row.planned) == pytest.approx(expected["planned_s"])
        assert float(row.actual) == pytest.approx(expected["actual_s"])
        assert row.lessons == expected["lessons"]


def test_every_number_on_the_picture_is_the_raw_one(term, sums, paused_s):
    picture = chart(term, DEMO)
    names = [text for _at, text in picture.y.ticks]
    kinds = {name.replace(" ", "-"): row for row, name in enumerate(names)}
    assert set(kinds) == {*sums.index, PAUSES}
    for kind, row in kinds.items():
        planned, actual = (0.0, paused_s) if kind == PAUSES else sums.loc[kind, ["planned_s", "actual_s"]]
        boxes = [box for box in picture.boxes if row - 0.5 < box.y0 < row + 0.5]
        outline = max((box.x1 for box in boxes if box.pattern == "outline"), default=0.0)
        solid = max((box.x1 for box in boxes if box.pattern != "outline"), default=0.0)
        assert outline * 60 == pytest.approx(planned, abs=1)
        assert solid * 60 == pytest.approx(actual, abs=1)
        assert all(box.x0 in (0, outline) for box in boxes)
        name, plan, took, over, _share, _lessons = picture.table.rows[row]
        assert name == names[row]
        assert (seconds(plan), seconds(took)) == (round(outline * 60), round(solid * 60))
        assert seconds(over) == seconds(took) - seconds(plan)
    assert picture.x.lower == 0
    whole = picture.table.rows[-1]
    assert seconds(whole[1]) == round(sums["planned_s"].sum())
    assert seconds(whole[2]) == pytest.approx(sums["actual_s"].sum() + paused_s, abs=1)
    assert whole[4] == "100"
    assert f"took {whole[2]} of {whole[1]} planned, on average of {TERM_DAYS} lessons" in picture.summary
    largest = (sums["actual_s"] - sums["planned_s"]).idxmax()
    assert f"went to {largest}:" in picture.summary


def test_the_shares_are_those_of_the_largest_remainder(term, sums, paused_s):
    """Against the library apportionment (Hamilton's method, largest remainder)."""
    found = where_time(DEMO.days(term))
    votes = [int(row.actual * TERM_DAYS * 1000) for row in found.rows]
    assert list(found.percents) == apportionment.methods.compute("hamilton", votes, 100, verbose=False)


@given(st.lists(st.tuples(st.integers(0, 5000), st.integers(0, 5000)), min_size=1, max_size=9))
def test_seconds_and_shares_add_up_exactly(times):
    from fractions import Fraction

    from pacer.review.questions.where_time import MeanRow, WhereTime

    rows = tuple(MeanRow(str(n), Fraction(a, 7), Fraction(b, 7), 7) for n, (a, b) in enumerate(times))
    found = WhereTime(rows, 7, by_kind=False)
    assert abs(sum(found.seconds("planned")) - sum(row.planned for row in found.rows)) <= Fraction(1, 2)
    assert abs(sum(found.seconds("actual")) - found.actual) <= Fraction(1, 2)
    assume(found.actual)
    assert sum(found.percents) == 100


def test_one_lesson_shows_its_own_phases_and_none_says_what_is_missing(term):
    day: Day = term[5]
    one = chart([day], DEMO)
    titles = [phase.title for phase in day.mini]
    assert [text for _at, text in one.y.ticks][: len(titles)] == titles
    assert [row[2] for row in one.table.rows][: len(titles)] == [
        f"{phase.actual_s // 60}:{phase.actual_s % 60:02d}" for phase in day.mini
    ]
    assert "on average" not in one.summary
    nothing = chart([], DEMO)
    assert nothing.is_empty
    assert nothing.summary.startswith("Not enough lessons yet")
