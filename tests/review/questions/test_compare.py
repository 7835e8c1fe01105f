"""Rehearsed against live and warnings against none: dots, medians and calls against pandas, and by hand."""

import math
import shutil
import sqlite3
from contextlib import closing
from fractions import Fraction
from pathlib import Path

import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import mannwhitneyu

from pacer.frames.pictures.compare import rehearsal_chart, warnings_chart
from pacer.frames.words.choice import date_words
from pacer.frames.words.kinds import kind_words
from pacer.log.database import FILE_NAME
from pacer.log.day_records import DayRecords
from pacer.review.choice import LessonChoice
from pacer.review.day_book import read_days
from pacer.review.days import Day
from pacer.review.questions.compare import rehearsals, warnings
from tests.review import by_hand
from tests.review.by_hand_spans import clock, lateness_by_hand
from tests.review.questions.test_weeks import day, phase

LIVE = LessonChoice()


def mode_of(number: int) -> str:
    """What the invented term's n-th lesson is made into: rounds of ten titles, then silent days."""
    if number // 10 % 2 == 0 and number < 40:
        return "rehearsal"
    return "baseline" if number >= 40 else "live"


@pytest.fixture(scope="module")
def other_folder(term_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The term once more, in which some lessons were rehearsals and some baseline ones."""
    folder = tmp_path_factory.mktemp("modes")
    shutil.copytree(term_folder, folder, dirs_exist_ok=True)
    with closing(sqlite3.connect(folder / FILE_NAME)) as connection, connection:
        runs = connection.execute("SELECT id FROM run ORDER BY started_utc_ms").fetchall()
        for number, (run,) in enumerate(runs):
            mode = mode_of(number)
            connection.execute("UPDATE run SET mode = ? WHERE id = ?", (mode, run))
            connection.execute(
                "UPDATE event SET body = json_set(body, '$.mode', ?) WHERE run_id = ? AND kind = 'started'",
                (mode, run),
            )
        connection.execute("DELETE FROM day_worked_out")
    return folder


@pytest.fixture(scope="module")
def other(other_folder: Path) -> tuple[Day, ...]:
    with DayRecords.open(other_folder) as records:
        return read_days(records).days


def pairs_by_hand(folder: Path) -> pd.DataFrame:
    """A row a phase of a pair: what came before it within its title, where that was a rehearsal."""
    runs = by_hand.runs(folder).sort_values(["date", "run"])
    runs = runs[runs["mode"].isin(["rehearsal", "live"])].copy()
    runs["when"] = pd.to_datetime(runs["date"])
    before = runs.groupby("title")[["run", "mode", "when", "date"]].shift(1).add_suffix("_before")
    runs = runs.join(before)
    near = (runs["when"] - runs["when_before"]).dt.days <= 14
    pairs = runs[(runs["mode"] == "live") & (runs["mode_before"] == "rehearsal") & near]
    phases = by_hand.phases(folder)
    met = phases[phases["mini"] & (phases["ending"] != "skipped")]
    met = met.assign(cut=met["ending"].isin(["bell", "interrupted"]))
    live = pairs[["run", "run_before", "date", "date_before"]].merge(
        met[["run", "phase", "id", "kind", "actual_s", "cut"]], on="run"
    )
    rehearsed = met.loc[~met["cut"], ["run", "id", "actual_s"]]
    both = live.merge(
        rehearsed, left_on=["run_before", "id"], right_on=["run", "id"], suffixes=("", "_rehearsed")
    )
    return both.sort_values(["date", "run", "phase"], ignore_index=True)


def median_ratio(table: pd.DataFrame) -> tuple[float, int]:
    sums = table[~table["cut"]].groupby("run")[["actual_s", "actual_s_rehearsed"]].sum()
    ratios = sums["actual_s"] / sums["actual_s_rehearsed"]
    return float(ratios.median()), len(ratios)


def test_every_dot_ring_and_row_of_the_rehearsals_is_in_the_raw_events(
    other: tuple[Day, ...], other_folder: Path
) -> None:
    table = pairs_by_hand(other_folder)
    picture = rehearsal_chart(other, LIVE)
    assert picture.lessons == table["run"].nunique() >= 15
    wanted = [
        ("ring" if row.cut else "dot", row.actual_s_rehearsed, row.actual_s) for row in table.itertuples()
    ]
    drawn = [(dots.shape, round(60 * x), round(60 * y)) for dots in picture.dots for x, y in dots.points]
    assert sorted(drawn) == sorted(wanted)
    rows = [row for row in picture.table.rows if row[0] != "Median"]
    assert [
        (row[0], row[1], row[4], clock(row[5]), clock(row[6]), row[6].startswith("≥")) for row in rows
    ] == [
        (date_words(row.date_before), date_words(row.date), kind_words(row.kind), row.actual_s_rehearsed,
         row.actual_s, row.cut)
        for row in table.itertuples()
    ]  # fmt: skip
    for row in rows:
        assert float(row[7].removeprefix("≥ ")) == pytest.approx(clock(row[6]) / clock(row[5]), abs=0.005001)


def test_the_ratio_of_all_and_of_each_kind_is_the_median_that_pandas_finds(
    other: tuple[Day, ...], other_folder: Path
) -> None:
    table = pairs_by_hand(other_folder)
    found = rehearsals(other, LIVE)
    every, pairs = median_ratio(table)
    assert (float(found.all_together.median), found.all_together.pairs) == (pytest.approx(every), pairs)
    picture = rehearsal_chart(other, LIVE)
    shown = {row[4]: (row[7], row[2]) for row in picture.table.rows if row[0] == "Median"}
    for kind, own in table.groupby("kind"):
        ratio, count = median_ratio(own)
        said, words = shown.pop(kind_words(str(kind)))
        assert words == ("1 pair" if count == 1 else f"{count} pairs")
        if count >= 3:
            assert float(said) == pytest.approx(ratio, abs=0.005001)
        else:
            assert said == "too few pairs"
    assert set(shown) == {"all together"}
    assert f"took {shown['all together'][0]} times as long" in picture.summary
    assert f"at the median of {pairs} pairs" in picture.summary
    diagonal, slope = picture.lines
    assert [y / x for x, y in (diagonal.points[1], slope.points[1])] == pytest.approx([1, every])


def lesson(run: int, date: str, mode: str = "live", actual: int = 230, **changes: object) -> Day:
    phases = (phase("review", 200, actual), phase("modeling", 400, 380))
    return day(run, date, mode=mode, phases=phases, **changes)


def paired(*days: Day) -> list[tuple[str, str]]:
    return [(pair.rehearsed, pair.live) for pair in rehearsals(days, LIVE).pairs]


def test_a_rehearsal_belongs_to_the_next_lesson_of_its_title_within_two_weeks() -> None:
    first = lesson(1, "2026-03-02", "rehearsal")
    assert paired(first, lesson(2, "2026-03-16")) == [("2026-03-02", "2026-03-16")]
    assert paired(first, lesson(2, "2026-03-17")) == []
    assert paired(first, lesson(2, "2026-03-03", title="Halves"), lesson(3, "2026-03-04")) == [
        ("2026-03-02", "2026-03-04")
    ]
    # The lesson after the next one has no rehearsal any more, and of two rehearsals the last one counts.
    assert len(paired(first, lesson(2, "2026-03-03"), lesson(3, "2026-03-04"))) == 1
    again = lesson(2, "2026-03-03", "rehearsal")
    assert paired(first, again, lesson(3, "2026-03-04")) == [("2026-03-03", "2026-03-04")]
    assert rehearsals([first, again, lesson(3, "2026-03-04")], LIVE).alone == 1
    assert rehearsals([first], LIVE).alone == 1


def test_a_flagged_or_repaired_lesson_is_no_pair_and_hands_its_rehearsal_to_no_other() -> None:
    first, last = lesson(1, "2026-03-02", "rehearsal"), lesson(3, "2026-03-04")
    for mark in ("flagged", "repaired"):
        assert paired(first, lesson(2, "2026-03-03", **{mark: True}), last) == []
        assert paired(first._replace(**{mark: True}), last) == []


def test_what_was_cut_off_with_the_class_is_a_ring_and_in_no_ratio() -> None:
    """By hand: the review 300 of 200 s; the bell came in the modeling."""
    days = []
    for n in range(3):
        bell = (phase("review", 200, 300), phase("modeling", 400, 90, "bell"))
        days += [lesson(2 * n, f"2026-03-{2 + 2 * n:02d}", "rehearsal", actual=200)]
        days += [day(2 * n + 1, f"2026-03-{3 + 2 * n:02d}", phases=bell)]
    picture = rehearsal_chart(days, LIVE)
    assert {dots.shape: dots.points[0] for dots in picture.dots} == {
        "dot": pytest.approx((200 / 60, 5)), "ring": pytest.approx((380 / 60, 1.5)),
    }  # fmt: skip
    assert picture.summary == (
        "With the class a lesson took 1.50 times as long as rehearsed, at the median of 3 pairs: "
        "from 1.50 to 1.50 times."
    )
    assert picture.table.rows[-2:] == (
        ("Median", "", "0 pairs", "", "modeling", "", "", "too few pairs"),
        ("Median", "", "3 pairs", "", "all together", "", "", "1.50"),
    )


def test_before_three_pairs_no_ratio_is_said_or_drawn() -> None:
    days = [lesson(1, "2026-03-02", "rehearsal"), lesson(2, "2026-03-03")]
    days += [
        lesson(3, "2026-03-04", "rehearsal"),
        lesson(4, "2026-03-05"),
        lesson(5, "2026-03-06", "rehearsal"),
    ]
    picture = rehearsal_chart(days, LIVE)
    assert picture.summary == (
        "Not enough lessons yet: 2 of 3 rehearsals that were followed by the same lesson with the class. "
        "1 rehearsal has no such lesson within 14 days."
    )
    assert len(picture.lines) == 1
    assert {row[7] for row in picture.table.rows if row[0] == "Median"} == {"too few pairs"}
    empty = rehearsal_chart([], LIVE)
    assert (empty.is_empty, empty.lessons, empty.table.rows) == (True, 0, ())
    assert empty.summary.startswith("Not enough lessons yet: 0 of 3")
    assert rehearsal_chart(days[:1], LIVE).is_empty


def test_chosen_kinds_narrow_the_rehearsed_phases_and_chosen_titles_the_lessons() -> None:
    days = [lesson(1, "2026-03-02", "rehearsal"), lesson(2, "2026-03-03")]
    picture = rehearsal_chart(days, LessonChoice(kinds=("review",)))
    assert [len(dots.points) for dots in picture.dots] == [1]
    assert rehearsal_chart(days, LessonChoice(titles=("Halves",))).is_empty


def like_by_hand(folder: Path) -> pd.DataFrame:
    """Lessons with warnings and baseline ones that have one of the other kind near, with their lateness."""
    late = lateness_by_hand(folder).groupby("run")["whole"].first().rename("late")
    runs = by_hand.runs(folder).sort_values(["date", "run"]).join(late, on="run")
    runs["when"] = pd.to_datetime(runs["date"])
    sides = [runs[runs["mode"] == mode] for mode in ("live", "baseline")]
    both = sides[0].merge(sides[1], on="subject", suffixes=("", "_silent"))
    both = both[(both["when"] - both["when_silent"]).dt.days.abs() <= 28]
    return runs[runs["run"].isin(both["run"]) | runs["run"].isin(both["run_silent"])]


def test_both_rows_medians_and_the_call_of_the_term_are_what_pandas_and_scipy_find(
    other: tuple[Day, ...], other_folder: Path
) -> None:
    table = like_by_hand(other_folder)
    picture = warnings_chart(other, LIVE)
    found = warnings(other, LIVE)
    sides = [table[table["mode"] == mode] for mode in ("live", "baseline")]
    assert picture.lessons == len(table)
    assert [len(side) for side in sides] == [len(found.warned), len(found.baseline)]
    assert min(len(side) for side in sides) >= 5
    names = ("with warnings", "baseline")
    for row, (side, name, dots, line) in enumerate(
        zip(sides, names, picture.dots, picture.lines[1:], strict=True)
    ):
        assert [x * 60 for x, _y in dots.points] == pytest.approx(list(side["late"]))
        assert all(abs(y - row) < 0.4 for _x, y in dots.points)
        middle = side["late"].median()
        assert [x * 60 for x, _y in line.points] == pytest.approx([middle, middle])
        own = [each for each in picture.table.rows if each[0] == name]
        assert [clock(each[3]) for each in own[:-1]] == list(side["late"])
        assert own[-1][1:3] == ("Median", f"{len(side)} lessons")
        assert clock(own[-1][3]) == math.floor(middle + 0.5)
        assert dict(picture.y.ticks)[row] == f"{name} ({len(side)})"
    # Ties are many: scipy's approximation, not its exact test, holds for them.
    oracle = mannwhitneyu(sides[0]["late"], sides[1]["late"], method="asymptotic").pvalue
    assert float(found.p) == pytest.approx(oracle, abs=0.02)
    (chance,) = [each[3] for each in picture.table.rows if each[0].startswith("Chance")]
    assert float(chance) == pytest.approx(float(found.p), abs=0.00005)
    assert picture.summary.endswith("Can't tell yet: so much can be chance.") is bool(oracle >= 1 / 250)


def series(mode: str, lates: list[int | None], first: int = 1, **changes: object) -> list[Day]:
    run = 100 if mode == "baseline" else 0
    return [
        day(run + n, f"2026-03-{first + n:02d}", late, mode=mode, **changes) for n, late in enumerate(lates)
    ]


def test_a_difference_is_called_from_five_lessons_each_and_below_one_in_250() -> None:
    """By hand: 7 against 5 wholly apart is 2 of 792 ways, 5 against 5 is 2 of 252 and can be chance where it
    is looked at lesson by lesson; 4 are too few lessons."""
    early, late = [30, 40, 50, 60, 70, 80, 90], [200, 210, 220, 230, 240]
    called = warnings_chart(series("live", early) + series("baseline", late, 10), LIVE)
    assert called.summary == (
        "Groups started 1:00 late at the median of 7 lessons with warnings, 3:40 late at that of 5 without. "
        "That is more than the usual ups and downs."
    )
    assert called.table.rows[-1][3] == "0.0025"
    apart = warnings_chart(series("live", early[:5]) + series("baseline", late, 10), LIVE)
    assert apart.summary.endswith("Can't tell yet: so much can be chance.")
    assert apart.table.rows[-1][3] == "0.0079"
    few = warnings_chart(series("live", early[:4]) + series("baseline", late, 10), LIVE)
    assert few.summary.startswith("Not enough lessons yet: 5 of each kind are needed")
    assert "so far 4 with warnings and 5 without" in few.summary
    assert len(few.dots) == 2
    mixed = [30, 200, 50, 220, 70], [40, 210, 60, 230, 240]
    unsure = warnings(series("live", mixed[0]) + series("baseline", mixed[1], 10), LIVE)
    assert (unsure.enough, unsure.is_called) == (True, False)
    assert float(unsure.p) == pytest.approx(mannwhitneyu(*mixed, method="exact").pvalue)


def test_only_like_lessons_at_most_four_weeks_apart_are_compared() -> None:
    silent = day(100, "2026-03-31", 90, mode="baseline")
    near, far = day(1, "2026-03-03", 60), day(2, "2026-03-02", 60)
    found = warnings([far, near, silent], LIVE)
    assert [one.run for one in (*found.warned, *found.baseline)] == [1, 100]
    for other in ({"subject": "reading"}, {"shape": "short"}):
        found = warnings([near._replace(**other), silent], LIVE)
        assert (found.warned, found.baseline, found.unlike) == ((), (), 1)
    found = warnings([near, silent, day(3, "2026-04-01", None)], LIVE)
    assert (len(found.warned), found.never) == (1, 1)
    assert warnings([near._replace(flagged=True), silent], LIVE).warned == ()
    assert warnings([near._replace(mode="rehearsal"), silent], LIVE).warned == ()
    rows = warnings_chart([near, silent, day(3, "2026-04-01", None)], LIVE).table.rows
    assert rows[-1] == ("Lessons in which groups never started, left out", "", "", "1")


def test_without_lessons_both_rows_are_empty_and_the_words_say_where_to_begin() -> None:
    for days in ([], series("live", [60])):
        empty = warnings_chart(days, LIVE)
        assert (empty.is_empty, empty.lessons, empty.keys) == (True, 0, ())
        assert "so far 0 with warnings and 0 without. A baseline is ticked on the Room page." in empty.summary


@given(st.lists(st.integers(-300, 900), max_size=25), st.lists(st.integers(-300, 900), max_size=25))
def test_every_compared_lesson_is_one_dot_and_no_two_are_in_one_place(
    live: list[int], silent: list[int]
) -> None:
    picture = warnings_chart(series("live", list(live)) + series("baseline", list(silent)), LIVE)
    compared = len(live) + len(silent) if live and silent else 0
    places = [(point, row) for row, dots in enumerate(picture.dots) for point in dots.points]
    assert picture.lessons == len(places) == len(set(places)) == compared
    assert all(abs(y - row) <= 0.3 + 1e-9 for (_x, y), row in places)
    assert picture.x.lower <= 0 <= picture.x.upper


@given(st.lists(st.tuples(st.sampled_from(["live", "rehearsal"]), st.integers(0, 9)), max_size=20))
def test_each_rehearsal_is_in_one_pair_or_alone(history: list[tuple[str, int]]) -> None:
    at, days = 0, []
    for run, (mode, later) in enumerate(history):
        at += later
        days.append(
            lesson(run, (pd.Timestamp("2026-03-01") + pd.Timedelta(days=at)).date().isoformat(), mode)
        )
    found = rehearsals(days, LIVE)
    assert len(found.pairs) + found.alone == sum(mode == "rehearsal" for mode, _later in history)
    assert all(pair.ratio() == Fraction(1) for pair in found.pairs)


def test_invented_lessons_are_compared_with_rehearsals_where_they_are_what_is_chosen() -> None:
    days = [lesson(1, "2026-03-02", "rehearsal"), lesson(2, "2026-03-03", "demo")]
    assert rehearsals(days, LIVE).pairs == ()
    assert len(rehearsals(days, LessonChoice(modes=("demo",))).pairs) == 1
    assert len(rehearsals(days, LessonChoice(modes=("demo", "rehearsal", "baseline"))).pairs) == 1
