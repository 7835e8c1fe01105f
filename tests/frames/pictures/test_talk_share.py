"""The picture of teacher talk: each mark, cell and word against a count of seconds from the raw events."""

import re
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from pacer.frames.pictures.chart import Chart, ChartBox
from pacer.frames.pictures.talk_share import MOST_RIBBONS, chart
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from tests.review.by_hand_talk import talk_table
from tests.review.questions.test_talk_share import unmarked_days, unmarked_folder, worked_day  # noqa: F401

DEMO = LessonChoice(modes=("demo",))


def seconds(words: str) -> int:
    minutes, rest = words.split(":")
    return 60 * int(minutes) + int(rest)


def percents(shares: pd.Series) -> list[int]:
    """The nearest whole percent, a half rounded up."""
    return [int(np.floor(100 * share + 0.5)) for share in shares]


@pytest.fixture(params=["term", pytest.param("unmarked", marks=pytest.mark.slow)])
def whole_term(request: pytest.FixtureRequest) -> Iterator[tuple[Chart, pd.DataFrame]]:
    """The picture of all days of a term, and its table made from the raw events, the oldest first."""
    which = request.param
    folder: Path = request.getfixturevalue("term_folder" if which == "term" else "unmarked_folder")
    days = request.getfixturevalue("term" if which == "term" else "unmarked_days")
    table = talk_table(folder)
    table["low"] = table["teacher"] / table["total"]
    table["high"] = (table["teacher"] + table["unmarked"]) / table["total"]
    return chart(days, DEMO), table


def of(boxes: tuple[ChartBox, ...], pattern: str) -> dict[float, ChartBox]:
    return {(box.x0 + box.x1) / 2: box for box in boxes if box.pattern == pattern}


@pytest.mark.slow
def test_of_many_lessons_each_bar_is_the_share_and_what_may_be_more(whole_term: tuple) -> None:
    picture, table = whole_term
    sure, maybe = of(picture.boxes, "filled"), of(picture.boxes, "hatched")
    for at, row in enumerate(table.itertuples()):
        assert (sure[at].y0, sure[at].y1) == (0, pytest.approx(100 * row.low))
        if row.unmarked:
            assert (maybe[at].y0, maybe[at].y1) == pytest.approx((100 * row.low, 100 * row.high))
    assert len(maybe) == (table["unmarked"] > 0).sum()
    levels = sorted({y for line in picture.lines for _x, y in line.points})
    assert levels == pytest.approx(sorted({100 * table["low"].median(), 100 * table["high"].median()}))
    (triangle,) = picture.dots
    assert triangle.points[0][0] == table["longest"].idxmax()
    assert (picture.y.lower, picture.y.upper) == (0, 100)
    assert picture.lessons == len(table)


def test_the_table_holds_what_was_counted(whole_term: tuple) -> None:
    picture, table = whole_term
    rows = picture.table.rows
    newest_first = table[::-1]
    wanted = ("teacher", "unmarked", "total", "longest", "longest_from", "wide", "wide_from")
    for name, column in zip(wanted, (2, 3, 4, 7, 8, 9, 10), strict=True):
        assert [seconds(row[column]) for row in rows[:-1]] == list(newest_first[name]), name
    assert [int(row[5]) for row in rows[:-1]] == percents(newest_first["low"])
    assert [int(row[6]) for row in rows[:-1]] == percents(newest_first["high"])
    medians = pd.Series([table["low"].median(), table["high"].median()])
    assert [int(rows[-1][5]), int(rows[-1][6])] == percents(medians)
    assert all(len(row) == len(picture.table.headings) for row in rows)


def test_the_summary_says_the_median_range_and_the_longest_stretch(whole_term: tuple) -> None:
    picture, table = whole_term
    low, high = percents(pd.Series([table["low"].median(), table["high"].median()]))
    share = f"{low} %" if low == high else f"{low} % to {high} %"
    longest = table.loc[table["longest"].idxmax()]
    assert picture.summary.startswith(
        f"Your talk was {share} of the mini lesson at the median of {len(table)} lessons. "
    )
    said = [seconds(time) for time in re.findall(r"\d+:\d\d", picture.summary)]
    wanted = [longest["longest"], longest["longest_from"]]
    wanted += [longest["wide"], longest["wide_from"]] if longest["wide"] > longest["longest"] else []
    assert said == wanted


def test_of_a_few_lessons_each_piece_is_in_its_row_the_newest_at_the_top(
    unmarked_days: tuple[Day, ...],
    unmarked_folder: Path,
) -> None:
    picture = chart(unmarked_days[-MOST_RIBBONS:], DEMO)
    table = talk_table(unmarked_folder)[-MOST_RIBBONS:][::-1]
    looks = {
        ("main", "filled"): "teacher", ("second", "filled"): "class", ("second", "dotted"): "partners",
        ("quiet", "outline"): "quiet", ("quiet", "hatched"): "unmarked",
    }  # fmt: skip
    drawn = [((box.y0 + box.y1) / 2, box.x0 * 60, box.x1 * 60, looks[box.tone, box.pattern])
             for box in picture.boxes]  # fmt: skip
    wanted = [(row, *piece) for row, pieces in enumerate(table["pieces"]) for piece in pieces]
    assert [each[3] for each in drawn] == [each[3] for each in wanted]
    np.testing.assert_allclose([each[:3] for each in drawn], [each[:3] for each in wanted], atol=1e-9)
    marks = [(line.points[0][0] * 60, (line.points[1][0] - line.points[0][0]) * 60) for line in picture.lines]
    talked = table[table["longest"] > 0]
    np.testing.assert_allclose(marks, talked[["longest_from", "longest"]].to_numpy(), atol=1e-9)
    assert picture.y.upside_down
    assert {words for _at, words in picture.y.ticks} == {
        f"{row[0]}: {row[5]} %" if row[5] == row[6] else f"{row[0]}: {row[5]} % to {row[6]} %"
        for row in picture.table.rows[:-1]
    }


def test_every_pattern_has_its_key(term: tuple[Day, ...], unmarked_days: tuple[Day, ...]) -> None:
    for days in (term[:1], term[:20], term, unmarked_days[:5], unmarked_days):
        picture = chart(days, DEMO)
        keyed = [key.mark for key in picture.keys]
        assert {(box.tone, box.pattern) for box in picture.boxes} == {
            (mark.tone, mark.pattern) for mark in keyed if isinstance(mark, ChartBox)
        }
        assert len({key.text for key in picture.keys}) == len(picture.keys)


def test_no_two_modes_differ_in_colour_alone(unmarked_days: tuple[Day, ...]) -> None:
    """Plain fills are told apart by lightness, dark and middling; no other pattern comes twice."""
    picture = chart(unmarked_days[:20], DEMO)
    looks = {(key.mark.tone, key.mark.pattern) for key in picture.keys if isinstance(key.mark, ChartBox)}
    patterned = [pattern for _tone, pattern in looks if pattern != "filled"]
    assert len(patterned) == len(set(patterned)) >= 2
    assert {tone for tone, pattern in looks if pattern == "filled"} == {"main", "second"}


def test_one_worked_lesson_is_told_as_a_range_with_both_stretches(worked_day: Day) -> None:
    """Worked values of our own: 44 % to 56 %, 4:10 from 8:50, 6:30 from 2:00 if unmarked was talk."""
    picture = chart([worked_day], LessonChoice())
    assert picture.summary == (
        "Your talk was 44 % to 56 % of the mini lesson on 9 Mar 2026; not enough lessons yet for a median: "
        "1 of 5. The longest stretch without a break was 4:10, from 8:50 into it "
        "(if unmarked time was talk: 6:30 from 2:00)."
    )
    assert picture.table.rows[0][2:11] == (
        "10:55", "3:00", "25:00", "44", "56", "4:10", "8:50", "6:30", "2:00",
    )  # fmt: skip
    assert picture.choice == "1 lesson · live"


def test_without_lessons_the_picture_says_what_is_missing(term: tuple[Day, ...]) -> None:
    for picture in (chart([], LessonChoice()), chart(term, LessonChoice())):
        assert picture.is_empty
        assert picture.lessons == 0
        assert picture.summary == "Not enough lessons yet: one lesson with a mini lesson is needed."
        assert not picture.table.rows


def test_a_lesson_in_which_nothing_was_marked_as_talk_is_told_as_such(worked_day: Day) -> None:
    """By hand: 3:00 of 25:00 unmarked are 0 % to 12 %."""
    talk = worked_day.talk._replace(teacher_ms=0, longest_ms=0, longest_from_ms=0)
    picture = chart([worked_day._replace(talk=talk)], LessonChoice())
    assert picture.summary.startswith("Your talk was 0 % to 12 % of the mini lesson on 9 Mar 2026")
    assert picture.summary.endswith(" No time was marked as teacher talk.")
    assert not picture.lines
    assert picture.table.rows[0][7:11] == ("", "", "6:30", "2:00")


def test_chosen_kinds_leave_the_picture_of_whole_mini_lessons_as_it_is(term: tuple[Day, ...]) -> None:
    assert chart(term, LessonChoice(modes=("demo",), kinds=("review",))) == chart(term, DEMO)


def test_nine_hundred_lessons_have_few_dates(term: tuple[Day, ...]) -> None:
    days = [
        term[n % len(term)]._replace(
            run=n, date=(date(2023, 9, 4) + timedelta(7 * (n // 5) + n % 5)).isoformat()
        )
        for n in range(900)
    ]
    picture = chart(days, DEMO)
    assert 12 <= len(picture.x.ticks) <= 60
    assert picture.x.ticks[0] == (0.0, "Sep 2023")
    assert [words for _at, words in picture.x.ticks][3:5] == ["Dec", "Jan 2024"]
    for at, words in picture.x.ticks:
        assert date.fromisoformat(days[int(at)].date).strftime("%b") == words[:3]
