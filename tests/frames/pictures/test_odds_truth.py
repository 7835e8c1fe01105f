"""The picture of the odds: dots, lines, cells and words against pandas and scipy on the raw events."""

from pathlib import Path

import pandas as pd
import pytest

from pacer.frames.pictures.chart import Chart, ChartLine, Dots
from pacer.frames.pictures.odds_truth import chart
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from tests.review.by_hand_kept import forecast_table
from tests.review.questions.test_odds_truth import by_lessons, in_tenths, told
from tests.review.questions.test_review_kept import DEMO


@pytest.fixture(params=["term", pytest.param("roomy", marks=pytest.mark.slow)])
def whole_term(request: pytest.FixtureRequest) -> tuple[Chart, pd.DataFrame]:
    folder: Path = request.getfixturevalue(f"{request.param}_folder")
    return chart(request.getfixturevalue(request.param), DEMO), forecast_table(folder)


def upright(picture: Chart) -> list[ChartLine]:
    return [line for line in picture.lines if (line.stroke, line.tone) == ("solid", "second")]


def test_dots_intervals_and_counts_are_those_of_the_raw_events(whole_term: tuple) -> None:
    picture, table = whole_term
    grouped = in_tenths(table).groupby("tenth")
    said, came = 10 * grouped["middle"].mean(), 10 * grouped["came"].mean()
    (dots,) = picture.dots
    assert [x for x, _y in dots.points] == pytest.approx(list(said))
    assert [y for _x, y in dots.points] == pytest.approx(list(came))
    assert [int(words.text) for words in picture.words] == list(grouped.size())
    for line, own, x in zip(upright(picture), (own for _tenth, own in grouped), said, strict=True):
        low, high = by_lessons(own)
        assert [at for at, _y in line.points] == pytest.approx([x, x])
        assert [y for _x, y in line.points] == pytest.approx([10 * low, 10 * high], abs=1e-9)
    diagonal = next(line for line in picture.lines if line.stroke == "dashed")
    assert diagonal.points == ((0, 0), (10, 10))
    assert picture.lessons == in_tenths(table)["run"].nunique()
    assert (picture.x.lower, picture.x.upper) == (picture.y.lower, picture.y.upper)
    assert picture.x.ticks == picture.y.ticks == tuple((float(n), str(n)) for n in range(11))


def test_the_table_has_counts_shares_intervals_and_brier_scores(whole_term: tuple) -> None:
    picture, table = whole_term
    known = in_tenths(table)
    never = table["came"].isna().sum()
    *rows, whole, unknown = [*picture.table.rows, *([] if never else [None])]
    groups = [(f"{tenth} to {tenth + 1}", own) for tenth, own in known.groupby("tenth")]
    for row, (name, own) in zip([*rows, whole], [*groups, ("all", known)], strict=True):
        assert row[:3] == (name, str(len(own)), str(own["run"].nunique()))
        means = 10 * own[["middle", "low", "high"]].mean()
        assert [float(cell) for cell in row[3:6]] == pytest.approx(list(means), abs=0.00501)
        assert row[6] == str(own["came"].sum())
        shares = [10 * own["came"].mean(), *(10 * end for end in by_lessons(own))]
        assert [float(cell) for cell in row[7:10]] == pytest.approx(shares, abs=0.00501)
        assert float(row[10]) == pytest.approx(own["square"].mean(), abs=0.000501)
    assert unknown is None if not never else unknown[:2] == ("not known", str(never))
    assert all(len(row) == len(picture.table.headings) for row in picture.table.rows)


def test_the_summary_says_what_was_said_and_what_came(whole_term: tuple) -> None:
    picture, table = whole_term
    known = in_tenths(table)
    fits = 0
    for _tenth, own in known.groupby("tenth"):
        low, high = by_lessons(own)
        fits += low <= own["middle"].mean() <= high
    count, came = len(known), known["came"].sum()
    lessons, unknown = known["run"].nunique(), table["came"].isna().sum()
    more = f" ({unknown} more can't be checked: the mini lesson was cut short)" if unknown else ""
    low, high = by_lessons(known, 0.98)
    mean = known["middle"].mean()
    lean = "too hopeful." if mean > high else "too gloomy."
    if low <= mean <= high:
        lean = f"about right, as far as {lessons} lessons can tell."
    assert picture.summary == (
        f"The odds were {lean} "
        f"The odds said {10 * known['middle'].mean():.1f} of 10 on average and {10 * came / count:.1f} of 10 "
        f"came true: {came} of {count} forecasts in {lessons} lessons{more}. "
        f"What came true fits what was said in {fits} of "
        f"{known['tenth'].nunique()} tenths of the odds."
    )


def test_a_wide_range_is_drawn_level_through_its_dot_and_keyed() -> None:
    """By hand: twenty forecasts of 0.2 to 0.6, five of them true: a dot at 4 and 2.5 of 10, from 2 to 6."""
    days = [told(run, (0.2, 0.6, run < 5)) for run in range(20)]
    picture = chart(days, LessonChoice())
    (level,) = [line for line in picture.lines if line.stroke == "dotted"]
    assert level.points == (pytest.approx((2, 2.5)), pytest.approx((6, 2.5)))
    assert picture.dots[0].points == (pytest.approx((4, 2.5)),)
    assert "the odds were a range" in [key.text for key in picture.keys]
    narrow = chart([told(run, (0.4, 0.44, True)) for run in range(20)], LessonChoice())
    assert not [line for line in narrow.lines if line.stroke == "dotted"]


def test_every_mark_has_its_key(whole_term: tuple) -> None:
    picture, _table = whole_term
    lines = {(key.mark.stroke, key.mark.tone) for key in picture.keys if isinstance(key.mark, ChartLine)}
    assert lines == {(line.stroke, line.tone) for line in picture.lines}
    assert [key.mark.shape for key in picture.keys if isinstance(key.mark, Dots)] == ["dot"]


@pytest.mark.parametrize("count", [1, 19])
def test_below_twenty_forecasts_nothing_is_claimed(count: int) -> None:
    picture = chart([told(run, (0.5, 0.5, True), (0.5, 0.5, None)) for run in range(count)], LessonChoice())
    assert picture.summary == (
        f"Not enough forecasts yet: {count} of 20 whose end is known. "
        f"{count} more can't be checked: the mini lesson was cut short."
    )
    assert not picture.is_empty, "what there is is drawn"


def test_at_twenty_something_is_said() -> None:
    assert chart([told(run, (0.5, 0.5, True)) for run in range(20)], LessonChoice()).summary == (
        "The odds were too gloomy. The odds said 5.0 of 10 on average and 10.0 of 10 came true: "
        "20 of 20 forecasts in 20 lessons. "
        "What came true fits what was said in 0 of 1 tenth of the odds."
    )


def test_without_forecasts_it_says_what_is_missing(term: tuple[Day, ...]) -> None:
    for picture in (chart([], LessonChoice()), chart(term[:1], DEMO), chart(term, LessonChoice())):
        assert picture.is_empty
        assert picture.lessons == 0
        assert picture.summary == (
            "Not enough forecasts yet: 0 of 20 whose end is known. "
            "The odds are silent until six lessons are known."
        )
        assert not picture.table.rows
