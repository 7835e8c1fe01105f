"""The picture of lost minutes: each bar, cell and word against a table made from the raw events."""

import re
from datetime import date, timedelta
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import given

from pacer.frames.pictures.chart import Chart, ChartBox
from pacer.frames.pictures.lost_minutes import BASE, HIGH, chart
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from tests.review import by_hand
from tests.review.questions.test_lost_minutes import BLOCK, ENDS, NAMES, day_that_ends, lost_by_hand

DEMO = LessonChoice(modes=("demo",))


def seconds(words: str) -> int:
    minutes, rest = words.split(":")
    return 60 * int(minutes) + int(rest)


def drawn(picture: Chart) -> dict[tuple[int, int], dict[str, float]]:
    """What is seen of each cell: by lesson and group, the seconds of each pattern, read off the scale."""
    top = re.fullmatch(r"Group; bars of minutes at the table, from 0 to (\d+)", picture.y.label)
    assert top is not None
    found: dict[tuple[int, int], dict[str, float]] = {}
    for box in picture.boxes:
        at = round((box.x0 + box.x1) / 2)
        group = next(n for n in range(1, 13) if n - 1 + BASE - HIGH - 1e-9 <= box.y1 <= n - 1 + BASE + 1e-9)
        own = found.setdefault((at, group), {})
        scale_s = int(top[1]) * 60
        below = sum(own.values()) / scale_s * HIGH
        assert box.y0 == pytest.approx(group - 1 + BASE - below), "parts stand on zero or on one another"
        own[f"{box.tone} {box.pattern}"] = (box.y0 - box.y1) / HIGH * scale_s
    return found


def test_every_bar_of_the_term_has_the_height_of_its_minutes(
    term: tuple[Day, ...], term_folder: Path
) -> None:
    table = lost_by_hand(term_folder)
    picture = chart(term, DEMO)
    found = drawn(picture)
    order = {run: at for at, run in enumerate(table["run"].drop_duplicates())}
    assert len(found) == len(table)
    for row in table.itertuples():
        bar = found[order[row.run], NAMES.index(row.group) + 1]
        lost = row.planned_s - row.kept_s
        wanted = (
            {"over outline": row.planned_s}
            if row.dropped
            else {
                "quiet filled": min(row.kept_s, row.planned_s),
                "over hatched": max(0, lost),
                "second dotted": max(0, -lost),
            }
        )
        assert bar == pytest.approx({kind: s for kind, s in wanted.items() if s})
    assert picture.lessons == len(order)


def test_the_table_has_every_cell_each_week_and_all(term: tuple[Day, ...], term_folder: Path) -> None:
    table = lost_by_hand(term_folder)
    rows = chart(term, DEMO).table.rows
    cells = [row for row in rows if not row[0].startswith(("Week of", "All"))]
    for column, name in ((4, "planned_s"), (5, "kept_s"), (9, "owed_s")):
        assert [seconds(row[column]) for row in cells] == list(table[name]), name
    lost = table["planned_s"] - table["kept_s"]
    assert [seconds(row[6]) - seconds(row[7]) for row in cells] == list(lost)
    assert [row[3] for row in cells] == list(table["group"])
    legs = by_hand.legs(term_folder)
    timed = table["run"].isin(legs["run"])
    assert [row[10] for row in cells] == ["timed" if one else "worked out" for one in timed]
    assert [int(row[8]) for row in cells] == list(table["dropped"].astype(int))
    weeks = [row for row in rows if row[0].startswith("Week of")]
    monday = pd.to_datetime(table["date"]).dt.to_period("W-SUN").dt.start_time
    group = table["group"].map(NAMES.index)
    weekly = lost.clip(lower=0).groupby([monday, group]).sum()
    assert [seconds(row[6]) for row in weeks] == list(weekly)
    assert [row[0] for row in weeks] == [f"Week of {day.day} {day:%b %Y}" for day, _group in weekly.index]
    every = [row for row in rows if row[0] == "All"]
    assert [seconds(row[6]) for row in every] == list(lost.clip(lower=0).groupby(group).sum())


def test_the_summary_and_the_rows_say_what_pandas_adds_up(term: tuple[Day, ...], term_folder: Path) -> None:
    table = lost_by_hand(term_folder)
    picture = chart(term, DEMO)
    lost = int((table["planned_s"] - table["kept_s"]).clip(lower=0).sum())
    owed = table.groupby("group")["owed_s"].last()
    owed = owed.reindex(NAMES[:3])
    (most,) = owed.index[owed == owed.max()]
    timed = table["run"].isin(by_hand.legs(term_folder)["run"])
    counts = [table.loc[which, "run"].nunique() for which in (timed, ~timed)]
    assert picture.summary == (
        f"In {table['run'].nunique()} lessons the groups lost {lost // 60}:{lost % 60:02} "
        "at the table; "
        f"{table['dropped'].sum()} visits fell away; {most} is owed most, "
        f"{owed.max() // 60}:{owed.max() % 60:02}. "
        f"Visits of {counts[0]} lessons were timed, those of {counts[1]} lesson worked out "
        "from when groups really started."
    )
    assert [words for _at, words in picture.y.ticks] == [
        f"{group}, owed {s // 60}:{s % 60:02}" for group, s in owed.items()
    ]


def test_four_minutes_late_are_shown_above_each_bar(term: tuple[Day, ...]) -> None:
    """A worked value of our own: 1:20 from each of three groups, 4:00 together."""
    picture = chart([day_that_ends(term[0], 29 * 60)], DEMO)
    assert [words.text for words in picture.words] == ["−1:20"] * 3
    assert picture.summary.startswith(
        "In 1 lesson the groups lost 4:00 at the table; each group is owed 1:20. "
    )
    assert "child" not in picture.summary, "minutes of a group at the table, never child-minutes"


def test_a_day_in_time_has_lost_nothing(term: tuple[Day, ...]) -> None:
    picture = chart([day_that_ends(term[0], 25 * 60)], DEMO)
    assert picture.summary.startswith("In 1 lesson the groups lost no time at the table.")
    assert {f"{box.tone} {box.pattern}" for box in picture.boxes} == {"quiet filled"}


def test_lessons_without_groups_are_told(term: tuple[Day, ...]) -> None:
    alone = day_that_ends(term[0], 29 * 60, (*BLOCK[:2], 0, *BLOCK[3:]))
    never = day_that_ends(term[0], None)
    picture = chart([alone, never, day_that_ends(term[0], 29 * 60)], DEMO)
    assert picture.lessons == 1
    assert picture.summary.endswith(
        "not from timed visits; left out: 1 lesson without groups, 1 that never left the mini lesson."
    )
    empty = chart([alone], DEMO)
    assert empty.is_empty
    assert empty.summary.startswith("Not enough lessons yet")
    assert empty.summary.endswith("Left out: 1 lesson without groups.")
    assert not empty.table.rows
    assert chart([], DEMO).is_empty


def test_every_pattern_has_its_key_and_many_lessons_few_dates(term: tuple[Day, ...]) -> None:
    early = day_that_ends(term[0], 22 * 60, date=term[-1].date)
    picture = chart([*term, early], DEMO)
    assert {(box.tone, box.pattern) for box in picture.boxes} == {
        (key.mark.tone, key.mark.pattern) for key in picture.keys if isinstance(key.mark, ChartBox)
    }
    assert len({(box.tone, box.pattern) for box in picture.boxes}) == 4
    many = [
        term[n % len(term)]._replace(
            run=n, date=(date(2023, 9, 4) + timedelta(7 * (n // 5) + n % 5)).isoformat()
        )
        for n in range(900)
    ]
    assert len(chart(many, DEMO).x.ticks) <= 60
    assert not chart(many, DEMO).words


def test_twenty_lessons_have_the_first_date_of_each_week(term: tuple[Day, ...]) -> None:
    ticks = chart(term[:20], DEMO).x.ticks
    weeks = pd.Series([date.fromisoformat(day.date).isocalendar()[1] for day in term[:20]])
    firsts = weeks.drop_duplicates().index
    assert [int(at) for at, _words in ticks] == list(firsts)
    days = [date.fromisoformat(term[at].date) for at in firsts]
    assert [words for _at, words in ticks] == [f"{day.day} {day:%b}" for day in days]


@given(ENDS)
def test_on_random_histories_bars_and_table_add_up(term: tuple[Day, ...], history: list) -> None:
    days = []
    for number, (block, mini_s, end_s) in enumerate(history):
        when = (date(2026, 3, 2) + timedelta(days=3 * number)).isoformat()
        days.append(day_that_ends(term[0], end_s, block, run=number, date=when, mini_lesson_s=mini_s))
    picture = chart(days, DEMO)
    rows = picture.table.rows
    cells = [row for row in rows if not row[0].startswith(("Week of", "All"))]
    every = [row for row in rows if row[0] == "All"]
    weeks = [row for row in rows if row[0].startswith("Week of")]
    for column in (4, 5, 6, 7):
        whole = sum(seconds(row[column]) for row in cells)
        assert whole == sum(seconds(row[column]) for row in every)
        assert whole == sum(seconds(row[column]) for row in weeks)
    shown = [
        s
        for bar in drawn(picture).values()
        for kind, s in bar.items()
        if kind in ("over hatched", "over outline")
    ]
    assert sum(shown) == pytest.approx(sum(seconds(row[6]) for row in cells), abs=1e-6)
