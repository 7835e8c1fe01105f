"""The picture of individuals: dots, lines, cells and words against a table made from the raw events."""

from datetime import date, timedelta
from math import floor
from pathlib import Path

import pandas as pd
import pytest

from pacer.frames.pictures.chart import Chart, ChartLine, Dots
from pacer.frames.pictures.improving import chart
from pacer.frames.words.choice import date_words
from pacer.frames.words.kinds import kind_words
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from tests.review.by_hand_kept import late_table, ratio_table, seconds
from tests.review.questions.test_improving import FLOW, KINDS, USUAL, by_pandas, calls_by_pandas, late_days
from tests.review.questions.test_review_kept import DEMO
from tests.review.questions.test_weeks import phase

SHAPES = {"": "dot", "outside": "square", "run": "triangle"}


def levels(picture: Chart, stroke: str, tone: str) -> list[float]:
    """The heights of the level lines of one look."""
    return sorted({line.points[0][1] for line in picture.lines if (line.stroke, line.tone) == (stroke, tone)})


def shown(picture: Chart) -> pd.DataFrame:
    """What is drawn, in order: value and shape."""
    rows = [(x, y, dots.shape) for dots in picture.dots for x, y in dots.points]
    return pd.DataFrame(rows, columns=["at", "value", "shape"]).set_index("at").sort_index()


@pytest.mark.slow
@pytest.mark.parametrize("which", ["term", "roomy"])
def test_dots_and_lines_of_lateness_are_those_of_the_raw_events(request, which: str) -> None:
    folder: Path = request.getfixturevalue(f"{which}_folder")
    late = late_table(folder)["late"].reset_index(drop=True)
    picture = chart(request.getfixturevalue(which), DEMO)
    seen, sums, calls = shown(picture), by_pandas(late / 60, 0.25), calls_by_pandas(late)
    assert list(seen.index) == list(range(len(late)))
    assert list(seen["value"]) == pytest.approx(list(late / 60))
    assert list(seen["shape"]) == [SHAPES[calls.get(at, "")] for at in range(len(late))]
    assert levels(picture, "solid", "quiet") == pytest.approx([sums["middle"]])
    assert levels(picture, "dashed", "quiet") == pytest.approx([sums["lower"], sums["upper"]])
    assert levels(picture, "dotted", "over") == pytest.approx([sums["median"]])
    (joined,) = [line for line in picture.lines if line.tone == "second"]
    assert [y for _x, y in joined.points] == pytest.approx(list(late / 60))
    (span,) = picture.spans
    assert (span.lower, span.upper, span.across) == (-0.5, 11.5, False)
    (median,) = [line for line in picture.lines if line.stroke == "dotted"]
    assert [x for x, _y in median.points] == [len(late) - 12.5, len(late) - 0.5]
    assert picture.lessons == len(late)
    assert picture.y.lower <= 0 <= picture.y.upper
    assert picture.y.lower <= late.min() / 60
    assert picture.y.upper >= max(late.max() / 60, sums["upper"])


@pytest.mark.slow
@pytest.mark.parametrize("which", ["term", "roomy"])
def test_table_and_summary_of_lateness_say_what_pandas_says(request, which: str) -> None:
    table = late_table(request.getfixturevalue(f"{which}_folder")).reset_index(drop=True)
    late, picture = table["late"], chart(request.getfixturevalue(which), DEMO)
    sums, calls = by_pandas(late), calls_by_pandas(late)
    rows = [row for row in picture.table.rows if row[3]]
    assert [row[0] for row in rows] == [date_words(one) for one in table["date"][::-1]]
    assert [row[1] for row in rows] == list(table["title"][::-1])
    assert [seconds(row[2]) for row in rows] == list(late[::-1])
    assert [row[3] for row in rows] == ["later"] * (len(late) - 12) + ["baseline"] * 12
    called = {"outside": "outside the limits", "run": "7 in a row", "": ""}
    assert [row[4] for row in rows] == [called[calls.get(at, "")] for at in range(len(late))[::-1]]
    named = {row[0]: row[2] for row in picture.table.rows if not row[3]}
    for name, value in (
        ("Median of the baseline", "middle"), ("Middle zone from", "low"), ("Middle zone to", "high"),
        ("Mean of the baseline", "center"), ("Mean moving range", "mean_range"), ("Upper limit", "upper"),
        ("Lower limit", "lower"), ("Median of the latest 12", "median"),
    ):  # fmt: skip
        assert seconds(named[name]) == floor(sums[value] + 0.5)
    missing = len(request.getfixturevalue(which)) - len(late)
    assert named.get("Lessons left out", "0") == str(missing)
    assert f"groups started {clock(sums['median'])} late; " in picture.summary
    assert f"that of the first 12 was {clock(sums['middle'])} late ({len(late)} lessons)." in picture.summary
    outside = [at for at, call in calls.items() if call == "outside"]
    is_change = "run" in calls.values()
    told = picture.summary.partition("A change by the rule: " if is_change else "No change: ")[2]
    assert bool(told) == bool(calls)
    assert ("No change beyond the usual ups and downs." in picture.summary) == (not calls)
    assert ("outside the limits" in told) == bool(outside)
    if outside:
        assert f"{len(outside)} lesson" in told
        assert date_words(table["date"][outside[-1]]) in told


def clock(value: float) -> str:
    whole = floor(value + 0.5)
    return f"{whole // 60}:{whole % 60:02d}"


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_a_chosen_kind_is_drawn_as_a_share_of_its_budget(term, term_folder, kind: str) -> None:
    ratio = ratio_table(term_folder, kind)["ratio"].reset_index(drop=True)
    for picture in (chart(term, DEMO, kind), chart(term, LessonChoice(modes=("demo",), kinds=(kind,)))):
        seen, sums = shown(picture), by_pandas(ratio, 0.05)
        assert list(seen["value"]) == pytest.approx(list(ratio), abs=1e-9)
        assert levels(picture, "solid", "quiet") == pytest.approx([sums["middle"]], abs=1e-8)
        limits = [limit for limit in (sums["lower"], sums["upper"]) if limit >= 0]
        assert levels(picture, "dashed", "quiet") == pytest.approx(limits, abs=1e-8)
        assert levels(picture, "dotted", "over") == pytest.approx([sums["median"]], abs=1e-8)
        cells = [float(row[2]) for row in picture.table.rows if row[3]]
        assert cells == pytest.approx(list(ratio[::-1]), abs=0.00501)
        assert picture.y.lower == 0
        hundredths = floor(round(100 * sums["median"], 6) + 0.5)  # 1.425 in floats lies a little below
        assert f"it took {hundredths / 100:.2f} times its budget" in picture.summary
        assert picture.choice == f"{len(ratio)} lessons · invented · {kind_words(kind)}"


def test_the_handbooks_example_on_the_picture() -> None:
    """NIST/SEMATECH e-Handbook 6.3.2.2, in tenths as seconds: limits 558.041 and 458.159; median by hand."""
    picture = chart(late_days(FLOW), LessonChoice())
    assert [60 * y for y in levels(picture, "solid", "quiet")] == pytest.approx([512.5])
    assert [60 * y for y in levels(picture, "dashed", "quiet")] == pytest.approx([458.159, 558.041], abs=0.01)
    assert set(shown(picture)["shape"]) == {"dot"}


@pytest.mark.parametrize(
    ("later", "words"),
    [
        ([100], "No change beyond the usual ups and downs."),
        ([83] * 6, "No change beyond the usual ups and downs."),
        (
            [83] * 7,
            "A change by the rule: "
            "7 lessons in a row clearly below the middle from 14 Mar 2026 to 20 Mar 2026.",
        ),
        ([154], "No change: 1 lesson outside the limits (+2:34 on 14 Mar 2026)."),
        (
            [154, *[117] * 8],
            "A change by the rule: "
            "9 lessons in a row clearly above the middle from 14 Mar 2026 to 22 Mar 2026; "
            "1 lesson outside the limits (+2:34 on 14 Mar 2026).",
        ),
    ],
)
def test_a_change_is_told_by_its_rule_and_nothing_else_is_one(later: list[int], words: str) -> None:
    picture = chart(late_days(USUAL + later), LessonChoice())
    assert picture.summary.endswith(f"({12 + len(later)} lessons). {words}")
    assert "that of the first 12 was 1:40 late" in picture.summary


@pytest.mark.parametrize(
    ("later", "answer"),
    [
        ([100] * 3, "Not so far."),
        ([154], "Not so far: only single lessons stand out."),
        ([40] * 12, "It seems so: lately groups start about 1:00 earlier than in the first 12 lessons."),
        (
            [120] * 7 + [100] * 2,
            "It seems not: lately groups start about 0:20 later than in the first 12 lessons.",
        ),
        (
            [40] * 12 + [100] * 12,
            "Not any more: there was a change, but the latest lessons don't keep it.",
        ),
    ],
)
def test_the_answer_comes_first(later: list[int], answer: str) -> None:
    """By hand: the first twelve have the median 1:40."""
    assert chart(late_days(USUAL + later), LessonChoice()).summary.startswith(f"{answer} At the median")


def test_lessons_in_which_groups_never_started_are_told() -> None:
    days = late_days([*USUAL, 100])
    never = days[-1]._replace(run=99, group_late_s=None)
    assert chart([*days, never], LessonChoice()).summary.endswith(
        "1 lesson in which groups never started is left out."
    )


def test_lessons_that_never_vary_call_no_change_for_a_trifle() -> None:
    """A choice of ours: nearer than 15 s to the centre nothing is outside."""
    assert chart(late_days([100] * 12 + [115]), LessonChoice()).summary.startswith("Not so far.")
    assert chart(late_days([100] * 12 + [116]), LessonChoice()).summary.startswith("Not so far: only")


@pytest.mark.parametrize("count", [1, 4, 5, 12])
def test_until_a_lesson_follows_the_baseline_nothing_is_claimed(count: int) -> None:
    picture = chart(late_days([100, 900, 0] * 4)[:count], LessonChoice())
    assert picture.summary == (
        f"Not enough lessons yet: {count} of 13. "
        "The first 12 are the baseline that later ones are held against."
    )
    assert len(levels(picture, "dashed", "quiet")) == (2 if count >= 5 else 0)
    assert [dots.shape for dots in picture.dots] == ["dot"]
    assert picture.spans[0].upper == count - 0.5


@pytest.mark.slow
def test_every_shape_and_stroke_has_its_key(roomy: tuple[Day, ...], term: tuple[Day, ...]) -> None:
    all_shapes = chart(late_days([*USUAL, 154, *[117] * 8]), LessonChoice())
    for picture in (
        chart(roomy, DEMO),
        chart(term, DEMO, "review"),
        chart(late_days([5] * 5), LessonChoice()),
        all_shapes,
    ):
        dots = {key.mark.shape for key in picture.keys if isinstance(key.mark, Dots)}
        assert dots == {one.shape for one in picture.dots}
        lines = {(key.mark.stroke, key.mark.tone) for key in picture.keys if isinstance(key.mark, ChartLine)}
        joined = ("solid", "second")  # joins the dots and says nothing of its own
        assert lines == {(one.stroke, one.tone) for one in picture.lines} - {joined}
        assert f"the first {min(12, picture.lessons)} lessons" in " ".join(key.text for key in picture.keys)
    assert {one.shape for one in all_shapes.dots} == {"dot", "square", "triangle"}


def test_a_limit_below_nothing_is_not_drawn_but_told() -> None:
    """By hand: shares of 0.2 and 1.8 by turns have mean 1 and range 1.6, so limits 5.26 and -3.26."""
    days = [
        one._replace(phases=(phase("review", 100, 20 + 160 * (n % 2)),))
        for n, one in enumerate(late_days([0] * 14))
    ]
    picture = chart(days, LessonChoice(), "review")
    assert levels(picture, "dashed", "quiet") == pytest.approx([5.256])
    assert ("Lower limit", "", "−3.26", "", "") in picture.table.rows
    assert picture.y.lower == 0


def test_without_lessons_it_says_what_is_missing(term: tuple[Day, ...]) -> None:
    picture = chart(term, LessonChoice())
    assert picture.is_empty
    assert picture.summary == "Not enough lessons yet: one lesson in which groups started is needed."
    assert not picture.table.rows
    assert chart([], LessonChoice(), "review").summary == (
        "Not enough lessons yet: one lesson with review that was not cut off is needed."
    )


def test_nine_hundred_lessons_have_few_dates(term: tuple[Day, ...]) -> None:
    days = [
        term[n % len(term)]._replace(
            run=n, date=(date(2023, 9, 4) + timedelta(7 * (n // 5) + n % 5)).isoformat()
        )
        for n in range(900)
    ]
    assert len(chart(days, DEMO).x.ticks) <= 60
