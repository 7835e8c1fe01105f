"""The picture of what was not taught: bars, times, cells and words against a table from the raw events."""

from pathlib import Path

import pandas as pd
import pytest

from pacer.frames.pictures.chart import Chart, ChartBox
from pacer.frames.pictures.not_taught import chart
from pacer.frames.words.choice import date_words
from pacer.frames.words.kinds import kind_words
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from tests.review.by_hand_kept import missing_table, seconds
from tests.review.questions.test_review_kept import DEMO
from tests.review.questions.test_weeks import day, phase

LOOKS = {
    ("main", "filled"): "table", ("second", "dotted"): "tomorrow", ("quiet", "hatched"): "dropped",
    ("quiet", "outline"): "not written down",
}  # fmt: skip
WHY = {"left": "left by a re-cut", "skipped": "skipped", "cut off": "cut off before its floor"}


@pytest.fixture(params=["term", "rich"])
def whole_term(request: pytest.FixtureRequest) -> tuple[Chart, pd.DataFrame]:
    folder: Path = request.getfixturevalue(f"{request.param}_folder")
    table = missing_table(folder)
    table["went"] = table["went"].replace("", "not written down")
    table["gone"] = table["why"] != ""
    return chart(request.getfixturevalue(request.param), DEMO), table


def test_each_bar_is_made_of_where_it_went_and_has_its_time_behind_it(whole_term: tuple) -> None:
    picture, table = whole_term
    times = {round(words.y): (words.x, seconds(words.text.strip())) for words in picture.words}
    for at, words in picture.y.ticks:
        kind, counts = words.split(": ")
        own = table[table["kind"].map(kind_words) == kind]
        gone = own[own["gone"]]
        assert counts == f"{len(gone)} of {len(own)}"
        boxes = [box for box in picture.boxes if round((box.y0 + box.y1) / 2) == at]
        begin = 0.0
        for box in boxes:
            assert box.x0 == begin
            assert box.x1 - box.x0 == (gone["went"] == LOOKS[box.tone, box.pattern]).sum()
            begin = box.x1
        assert begin == len(gone)
        assert times.get(round(at)) == ((len(gone), gone["missing"].sum()) if len(gone) else None)
    assert len(picture.y.ticks) == table["kind"].nunique()
    assert picture.lessons == table["run"].nunique()
    assert picture.x.lower == 0
    assert picture.x.upper > table[table["gone"]].groupby("kind").size().max()


def test_the_table_has_the_sums_and_all_that_was_not_taught_the_newest_first(whole_term: tuple) -> None:
    picture, table = whole_term
    sums = [row for row in picture.table.rows if row[0] == "all"]
    listed = [row for row in picture.table.rows if row[0] != "all"]
    assert sum(int(row[5]) for row in sums) == len(table), "taught and not taught are all that was planned"
    for row in sums:
        own = table[table["kind"].map(kind_words) == row[2]]
        if row[3] == "taught":
            assert (int(row[5]), row[6]) == ((~own["gone"]).sum(), "")
        else:
            part = own[own["gone"] & (own["went"] == row[4])]
            assert (int(row[5]), seconds(row[6])) == (len(part), part["missing"].sum())
    gone = table[table["gone"]]
    wanted = [
        (date_words(one.date), one.lesson, one.title, WHY[one.why], one.went, "1", one.missing)
        for one in gone.itertuples()
    ]
    assert sorted((*row[:6], seconds(row[6])) for row in listed) == sorted(wanted)
    dates = [pd.Timestamp(row[0]) for row in listed]
    assert dates == sorted(dates, reverse=True)


def test_the_summary_says_the_whole_the_places_and_what_it_was_most_often(whole_term: tuple) -> None:
    picture, table = whole_term
    gone = table[table["gone"]]
    missing = gone["missing"].sum()
    assert picture.summary.startswith(
        f"{len(gone)} of {len(table)} planned phases in {table['run'].nunique()} lessons were not taught, "
        f"{missing // 60}:{missing % 60:02d} of planned time; where it went: "
    )
    places = picture.summary.partition("where it went: ")[2].partition(".")[0].split(", ")
    counts = gone["went"].value_counts()
    assert dict(place.rsplit(" ", 1) for place in places) == counts.astype(str).to_dict()
    most = gone["kind"].value_counts()
    named, count = picture.summary.partition("Most often it was ")[2].removesuffix(" times.").split(": ")
    assert named in [kind_words(kind) for kind in most[most == most.max()].index]
    assert count == f"{most.max()} of {(table['kind'].map(kind_words) == named).sum()}"


def test_every_pattern_has_its_key(whole_term: tuple) -> None:
    picture, table = whole_term
    keyed = {
        (key.mark.tone, key.mark.pattern): key.text for key in picture.keys if isinstance(key.mark, ChartBox)
    }
    assert set(keyed) == {(box.tone, box.pattern) for box in picture.boxes}
    assert keyed == {look: text for look, text in LOOKS.items() if look in keyed}
    assert set(keyed.values()) == set(table.loc[table["gone"], "went"])


def test_a_single_lesson_by_hand() -> None:
    """2:00 of review went to the table; modeling got 0:50 of 4:00, under its floor of 2:00."""
    phases = (
        phase("warm-up", 60, 70),
        phase("review", 120, 0, "skipped")._replace(begin_s=None, left=True, fate="table"),
        phase("modeling", 240, 50, "bell")._replace(floor_s=120),
    )
    picture = chart([day(1, "2026-03-09", phases=phases)], LessonChoice())
    assert picture.summary == (
        "2 of 3 planned phases in 1 lesson were not taught, 5:10 of planned time; where it went: table 1, "
        "not written down 1. Not enough lessons yet for what is usual: 1 of 5."
    )
    assert picture.table.rows == (
        ("all", "", "warm-up", "taught", "", "1", ""),
        ("all", "", "review", "taught", "", "0", ""),
        ("all", "", "review", "not taught", "table", "1", "2:00"),
        ("all", "", "modeling", "taught", "", "0", ""),
        ("all", "", "modeling", "not taught", "not written down", "1", "3:10"),
        ("9 Mar 2026", "Thirds", "modeling", "cut off before its floor", "not written down", "1", "3:10"),
        ("9 Mar 2026", "Thirds", "review", "left by a re-cut", "table", "1", "2:00"),
    )


def test_without_anything_missing_or_without_lessons_it_says_so(term: tuple[Day, ...]) -> None:
    taught = chart([day(1, "2026-03-09")], LessonChoice())
    assert taught.is_empty
    assert taught.summary == "All was taught: 2 planned phases in 1 lesson."
    for picture in (chart([], LessonChoice()), chart(term, LessonChoice())):
        assert picture.is_empty
        assert picture.lessons == 0
        assert picture.summary == (
            "Not enough lessons yet: one lesson with a phase of the chosen kinds is needed."
        )
        assert not picture.table.rows


def test_ticks_are_whole_and_few(term: tuple[Day, ...]) -> None:
    picture = chart([term[n % len(term)]._replace(run=n) for n in range(900)], DEMO)
    assert len(picture.x.ticks) <= 11
    assert all(at == int(words) for at, words in picture.x.ticks)
