"""The picture of reviewing: bars, cap, cells and words against a table made from the raw events."""

from datetime import date, timedelta
from pathlib import Path

import pandas as pd
import pytest

from pacer.frames.pictures.chart import Chart, ChartBox
from pacer.frames.pictures.review_kept import chart
from pacer.frames.words.choice import date_words
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from tests.review.by_hand_kept import kept_table, seconds
from tests.review.questions.test_review_kept import DEMO
from tests.review.questions.test_weeks import day, phase

PARTS = {("main", "filled"): "warm_up", ("second", "dotted"): "review", ("over", "hatched"): "over"}


@pytest.fixture(params=["term", pytest.param("roomy", marks=pytest.mark.slow)])
def whole_term(request: pytest.FixtureRequest) -> tuple[Chart, pd.DataFrame]:
    folder: Path = request.getfixturevalue(f"{request.param}_folder")
    return chart(request.getfixturevalue(request.param), DEMO), kept_table(folder)


def drawn(picture: Chart, at: int) -> dict[str, tuple[float, float]]:
    """The parts of a lesson's bar, from and to in minutes."""
    own = [box for box in picture.boxes if round((box.x0 + box.x1) / 2) == at]
    return {PARTS[box.tone, box.pattern]: (box.y0, box.y1) for box in own}


def cap_at(picture: Chart, x: float) -> float:
    """The cap's line in minutes at a place: the last step before it."""
    (line,) = picture.lines
    assert line.steps
    return [y for begin, y in line.points if begin <= x][-1]


def test_every_bar_stands_on_zero_and_what_is_over_stands_on_the_cap(whole_term: tuple) -> None:
    picture, table = whole_term
    for at, row in enumerate(table.itertuples()):
        cap = row.cap / 60
        low, high = min(row.warm_up / 60, cap), min(row.whole / 60, cap)
        wanted = {"warm_up": (0, low), "review": (low, high), "over": (cap, row.whole / 60)}
        wanted = {name: span for name, span in wanted.items() if span[1] > span[0]}
        found = drawn(picture, at)
        assert set(found) == set(wanted)
        for name, span in wanted.items():
            assert found[name] == pytest.approx(span), name
        assert cap_at(picture, at) == pytest.approx(cap)
    assert picture.lessons == len(table)
    assert picture.y.lower == 0
    assert picture.y.upper >= table[["whole", "cap"]].to_numpy().max() / 60


def test_the_table_and_the_summary_say_what_pandas_says(whole_term: tuple) -> None:
    picture, table = whole_term
    rows = picture.table.rows
    newest_first = table[::-1]
    assert [row[0] for row in rows[:-1]] == [date_words(one) for one in newest_first["date"]]
    assert [row[1] for row in rows[:-1]] == list(newest_first["title"])
    for column, name in enumerate(("warm_up", "review", "whole", "cap", "over"), start=2):
        assert [seconds(row[column]) for row in rows[:-1]] == list(newest_first[name]), name
    over = table.loc[table["over"] > 0, "over"]
    median = int(over.median() + 0.5)
    assert seconds(rows[-1][6]) == median
    assert picture.summary == (
        f"Reviewing stayed within its cap in {(table['over'] == 0).sum()} of {len(table)} lessons. "
        f"In the {len(over)} that went over it was {median // 60}:{median % 60:02d} more at the median."
    )
    assert all(len(row) == len(picture.table.headings) for row in rows)


def test_every_pattern_has_its_key(whole_term: tuple) -> None:
    picture, table = whole_term
    looks = {(key.mark.tone, key.mark.pattern) for key in picture.keys if isinstance(key.mark, ChartBox)}
    assert looks == {(box.tone, box.pattern) for box in picture.boxes} == set(PARTS)
    assert picture.keys[-1].text == ("cap, 5:00" if table["cap"].nunique() == 1 else "cap")


def test_few_lessons_are_told_without_a_median() -> None:
    """Worked by hand: 2:00 and 4:10 are 1:10 over 5:00."""
    phases = (phase("warm-up", 120, 120), phase("review", 180, 250))
    one = day(1, "2026-03-09", phases=phases, review_s=370, review_cap_s=300)
    picture = chart([one], LessonChoice())
    assert picture.summary == (
        "Reviewing stayed within its cap in 0 of 1 lesson. Not enough lessons yet for what is usual: 1 of 5."
    )
    assert picture.table.rows == (("9 Mar 2026", "Thirds", "2:00", "4:10", "6:10", "5:00", "1:10"),)
    never = chart([one._replace(run=n, review_s=300) for n in range(5)], LessonChoice())
    assert never.summary == "Reviewing stayed within its cap in 5 of 5 lessons."
    once = chart([one._replace(run=n, review_s=300 + 70 * (n == 3)) for n in range(5)], LessonChoice())
    assert once.summary.endswith("In the 1 that went over it was 1:10 more.")


def test_without_lessons_it_says_what_is_missing(term: tuple[Day, ...]) -> None:
    for picture in (chart([], LessonChoice()), chart(term, LessonChoice())):
        assert picture.is_empty
        assert picture.summary == "Not enough lessons yet: one lesson with a warm-up or a review is needed."
        assert not picture.table.rows


def test_flagged_days_are_out_and_repaired_ones_in(term: tuple[Day, ...]) -> None:
    days = [term[0]._replace(flagged=True), term[1]._replace(repaired=True), *term[2:8]]
    assert chart(days, DEMO).lessons == 7


def test_nine_hundred_lessons_have_few_dates(term: tuple[Day, ...]) -> None:
    days = [
        term[n % len(term)]._replace(
            run=n, date=(date(2023, 9, 4) + timedelta(7 * (n // 5) + n % 5)).isoformat()
        )
        for n in range(900)
    ]
    picture = chart(days, DEMO)
    assert picture.lessons == 900
    assert len(picture.x.ticks) <= 60
