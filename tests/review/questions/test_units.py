"""The unit: bars, medians, what was not taught and budgets against pandas on the raw events, and by hand."""

import math
from datetime import date, timedelta
from fractions import Fraction
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.frames.pictures.unit import chart, ratio_words
from pacer.frames.words.choice import date_words
from pacer.frames.words.kinds import cause_words, kind_words
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.units import UnitTook, took, unit_of
from tests.review import by_hand
from tests.review.by_hand_spans import clock, lateness_by_hand, lessons_by_hand
from tests.review.questions.test_weeks import day, phase
from tests.terms import TERM_DAYS

DEMO = LessonChoice(modes=("demo",))
OTHERS = (":start", ":plan", ":pauses", ":moves")
PATTERNS = {
    "start": ("second", "filled"), "over": ("over", "hatched"), "short": ("second", "outline"),
    "rest": ("quiet", "dotted"),
}  # fmt: skip


def means_by_hand(folder: Path) -> pd.DataFrame:
    """Seconds of lateness per lesson: a row a week, a column a cause."""
    table = lateness_by_hand(folder)
    lessons = table.groupby("week")["run"].nunique()
    sums = table.pivot_table(index="week", columns="cause", values="seconds", aggfunc="sum", fill_value=0)
    return sums.div(lessons, axis=0)


def test_each_weeks_bars_and_square_are_the_means_that_pandas_finds(
    term: tuple[Day, ...], term_folder: Path
) -> None:
    means = means_by_hand(term_folder)
    kinds = means.drop(columns=list(OTHERS))
    wanted = pd.DataFrame(
        {
            "start": means[":start"],
            "over": kinds.clip(lower=0).sum(axis=1),
            "short": kinds.clip(upper=0).sum(axis=1),
            "rest": means[[":plan", ":pauses", ":moves"]].sum(axis=1),
        }
    )
    picture = chart(term, DEMO)
    for at, week in enumerate(wanted.index):
        own = [box for box in picture.boxes if round((box.x0 + box.x1) / 2) == at]
        ends = {1: 0.0, -1: 0.0}
        drawn = dict.fromkeys(PATTERNS, 0.0)
        for box in own:
            name = next(name for name, look in PATTERNS.items() if look == (box.tone, box.pattern))
            sign = 1 if box.y1 > 0 else -1
            near, far = (box.y0, box.y1) if sign == 1 else (box.y1, box.y0)
            assert near == pytest.approx(ends[sign]), "parts stand on zero or on one another"
            ends[sign], drawn[name] = far, 60 * (far - near)
        assert drawn == pytest.approx(wanted.loc[week].to_dict())
        assert dict(picture.dots[0].points)[at] * 60 == pytest.approx(means.loc[week].sum())
    assert len(picture.dots[0].points) == len(wanted)
    mean = lateness_by_hand(term_folder).groupby("run")["whole"].first().mean()
    late = math.floor(mean + 0.5)
    told = f"{late // 60}:{late % 60:02d} late on average"
    assert f"In {TERM_DAYS} lessons groups started {told}" in picture.summary


@pytest.mark.slow
def test_the_tables_means_are_pandas_to_the_second_and_add_up_as_shown(
    term: tuple[Day, ...], term_folder: Path
) -> None:
    means, lessons = means_by_hand(term_folder), lessons_by_hand(term_folder)
    rows = chart(term, DEMO).table.rows
    for week, own in lessons.groupby("week"):
        mine = [row for row in rows if row[2] == f"Week of {date_words(str(week))}"]
        late = {row[1]: clock(row[4]) for row in mine if row[0] == "Groups late, mean"}
        whole = late.pop("all together")
        assert sum(late.values()) == whole == math.floor(means.loc[week].sum() + 0.5)
        named = {
            cause_words(cause) or kind_words(cause): seconds
            for cause, seconds in means.loc[week].items()
            if seconds
        }
        # Largest remainders: a shown part is less than a second from its mean.
        assert late == pytest.approx({**dict.fromkeys(late, 0.0), **named}, abs=1)
        table = {row[1]: clock(row[4]) for row in mine if row[0] == "Groups at the table"}
        assert table == {"planned": own["table"].sum(), "kept": own["kept"].sum()}
        began = int(own["late"].notna().sum())
        never = [("Groups never started", "", str(len(own) - began), "")] if began < len(own) else []
        assert [(row[0], row[1], row[3], row[4]) for row in mine if "never" in row[0]] == never
        assert {row[3] for row in mine if row[0] == "Groups late, mean"} == {str(began)}
        assert {row[3] for row in mine if row[0] == "Groups at the table"} == {str(len(own))}


def ratios_by_hand(folder: Path, key: str, *, title: str = "") -> dict[str, list[pd.DataFrame]]:
    """By kind or id, what the first and the last third of the lessons took; only where both have some."""
    runs = by_hand.runs(folder).sort_values(["date", "run"])
    runs = runs[runs["title"] == title] if title else runs
    count = len(runs) // 3
    phases = by_hand.phases(folder)
    met = phases[phases["mini"] & (phases["ending"] != "skipped")]
    met = met.assign(
        ratio=met["actual_s"] / met["planned_s"], cut=met["ending"].isin(["bell", "interrupted"])
    )
    parts = [met[met["run"].isin(part)] for part in (runs["run"][:count], runs["run"][-count:])]
    both = set(parts[0][key]) & set(parts[1][key])
    return {name: [part[part[key] == name] for part in parts] for name in both}


@pytest.mark.parametrize("titled", [False, True])
def test_the_medians_of_the_thirds_are_numpys(term: tuple[Day, ...], term_folder: Path, titled: bool) -> None:
    title = term[0].title if titled else ""
    wanted = ratios_by_hand(term_folder, "id" if titled else "kind", title=title)
    choice = LessonChoice(modes=("demo",), titles=(title,) if titled else ())
    unit = unit_of(term, choice)
    assert unit is not None
    assert {trend.name for trend in unit.trends} == set(wanted)
    shown = [row for row in chart(term, choice).table.rows if row[0] == "Actual of budget, median"]
    for trend in unit.trends:
        for part, one, when in zip(
            wanted[trend.name], (trend.first, trend.last), ("first", "last"), strict=True
        ):
            low = np.median(part["ratio"])
            high = np.median(part["ratio"].where(~part["cut"], math.inf))
            assert float(one.median) == pytest.approx(low)
            assert (one.times, one.cut_off, one.at_least) == (len(part), part["cut"].sum(), high > low)
            which = part["title"].iloc[-1] if titled else kind_words(trend.name)
            (row,) = [row for row in shown if row[1:3] == (which, f"{when} third")]
            assert float(row[4].removeprefix("≥ ")) == pytest.approx(low, abs=0.005001)
            assert row[3].split(" ")[0] == str(len(part))
    assert len(shown) == 2 * len(unit.trends)


def test_what_was_not_taught_is_what_the_raw_events_lack(term: tuple[Day, ...], term_folder: Path) -> None:
    phases = by_hand.phases(term_folder)
    outlines = by_hand.runs(term_folder).set_index("run")["outline"]
    floors = [outlines[row.run]["phases"][row.phase]["floor_s"] for row in phases.itertuples()]
    cut = phases["ending"].isin(["bell", "interrupted"]) & (phases["actual_s"] < floors)
    gone = phases[phases["mini"] & ((phases["ending"] == "skipped") | cut)].copy()
    gone["missing"] = (gone["planned_s"] - gone["actual_s"]).clip(lower=0)
    gone = gone.sort_values(["date", "run", "phase"])
    picture = chart(term, DEMO)
    rows = [row for row in picture.table.rows if row[0] == "Not taught"]
    assert [(row[2], clock(row[4])) for row in rows] == [
        (date_words(row.date), row.missing) for row in gone.itertuples()
    ]
    for row, one in zip(rows, gone.itertuples(), strict=True):
        assert row[1].startswith(f"{outlines[one.run]['title']}: {one.title} (")
    assert f"and {len(gone)} phases were not taught" in picture.summary


def test_chosen_kinds_narrow_the_phases_and_not_the_lateness(term: tuple[Day, ...]) -> None:
    every, some = (unit_of(term, choice) for choice in (DEMO, LessonChoice(("demo",), ("review",))))
    assert every is not None
    assert some is not None
    assert every.weeks == some.weeks
    assert [trend for trend in every.trends if trend.name == "review"] == list(some.trends)
    assert {one.kind for one in some.not_taught} <= {"review"}


@pytest.mark.parametrize(
    ("ratios", "median", "at_least"),
    [
        ([(1, False), (2, False), (3, False)], Fraction(2), False),
        ([(1, False), (2, False), (3, True)], Fraction(2), False),  # the one that was cut off lies above
        ([(1, True), (2, False), (3, False)], Fraction(2), True),  # it might lie above, too
        ([(1, False), (2, True)], Fraction(3, 2), True),
        ([(1, True)], Fraction(1), True),
    ],
)
def test_a_median_with_endings_that_were_cut_off_by_hand(
    ratios: list, median: Fraction, at_least: bool
) -> None:
    found = took([(Fraction(ratio), cut) for ratio, cut in ratios])
    assert (found.median, found.at_least) == (median, at_least)
    assert (found.times, found.cut_off) == (len(ratios), sum(cut for _ratio, cut in ratios))


def test_ratios_are_shown_to_a_hundredth_and_a_lower_bound_says_so() -> None:
    assert ratio_words(UnitTook(3, 0, Fraction(1345, 1000), at_least=False)) == "1.35"
    assert ratio_words(UnitTook(3, 1, Fraction(1), at_least=True)) == "≥ 1.00"
    assert ratio_words(UnitTook(0, 0, None, at_least=False)) == ""


def test_budgets_at_the_start_and_at_the_end_are_shown_where_they_differ() -> None:
    """By hand: the review was written 3:20, then 4:00 twice; modeling never changed."""
    longer = (phase("review", 240, 230), phase("modeling", 400, 380))
    days = [
        day(1, "2026-03-09"), day(2, "2026-03-10", phases=longer), day(3, "2026-03-11", title="Halves"),
        day(4, "2026-03-12", phases=longer),
    ]  # fmt: skip
    rows = [row for row in chart(days, LessonChoice()).table.rows if row[0] == "Budget changed"]
    assert rows == [
        ("Budget changed", "Thirds: review", "9 Mar 2026 to 12 Mar 2026", "3", "3:20 to 4:00"),
    ]


def test_a_unit_of_three_lessons_by_hand() -> None:
    """Two started 4:00 and 1:00 late, the third never: the bell rang in its modeling."""
    bell = phase("modeling", 400, 100, "bell")._replace(floor_s=240)
    left = phase("look-back", 60, 0, "skipped")._replace(begin_s=None, left=True, fate="tomorrow")
    days = [
        day(
            1,
            "2026-03-09",
            240,
            causes=((":start", 200), ("review", 30), ("modeling", -20), (":moves", 30)),
        ),
        day(2, "2026-03-10", 60, causes=((":start", 60),)),
        day(3, "2026-03-11", None, phases=(phase("review", 200, 230), bell, left)),
    ]
    picture = chart(days, LessonChoice())
    assert picture.summary == (
        "In 3 lessons groups started 2:30 late on average, and 2 phases were not taught. "
        "Not enough lessons yet to compare its start with its end: 3 of 15."
    )
    week = "Week of 9 Mar 2026"
    assert picture.table.rows == (
        ("Groups late, mean", "all together", week, "2", "+2:30"),
        ("Groups late, mean", "late start", week, "2", "+2:10"),
        ("Groups late, mean", "review", week, "2", "+0:15"),
        ("Groups late, mean", "modeling", week, "2", "−0:10"),
        ("Groups late, mean", "transition", week, "2", "+0:15"),
        ("Groups never started", "", week, "1", ""),
        ("Groups at the table", "planned", week, "3", "78:00"),
        ("Groups at the table", "kept", week, "3", "73:00"),
        ("Actual of budget, median", "review", "first third", "1", "1.15"),
        ("Actual of budget, median", "review", "last third", "1", "1.15"),
        ("Actual of budget, median", "modeling", "first third", "1", "0.95"),
        ("Actual of budget, median", "modeling", "last third", "1 (1 cut off)", "≥ 0.25"),
        ("Not taught", "Thirds: modeling (cut off before its floor; goes to: not written down)",
         "11 Mar 2026", "1", "5:00"),
        ("Not taught", "Thirds: look-back (left by a re-cut; goes to: tomorrow)", "11 Mar 2026", "1", "1:00"),
    )  # fmt: skip
    assert picture.lessons == 3


@pytest.mark.parametrize(("actual", "taught"), [(239, False), (240, True)])
def test_a_phase_that_was_cut_off_counts_as_taught_from_its_floor_on(actual: int, taught: bool) -> None:
    cut = phase("modeling", 400, actual, "interrupted")._replace(floor_s=240)
    unit = unit_of([day(1, "2026-03-09", phases=(cut,))], LessonChoice())
    assert unit is not None
    assert [(one.why, one.missing_s) for one in unit.not_taught] == ([] if taught else [("cut off", 161)])


def test_nothing_is_said_of_a_change_before_fifteen_lessons() -> None:
    ratios = [200] * 5 + [260] * 5 + [300] * 5
    days = [
        day(n, f"2026-03-{n + 1:02d}", phases=(phase("review", 200, actual),))
        for n, actual in enumerate(ratios)
    ]
    assert "15" in chart(days[:14], LessonChoice()).summary
    assert chart(days, LessonChoice()).summary.endswith(
        "Between its first and last third review differed most: 1.00 and 1.50 times its budget at the median "
        "(5 lessons in each). So much can be chance."
    )


@pytest.mark.parametrize(("lessons", "words"), [(20, " So much can be chance."), (21, "")])
def test_thirds_wholly_apart_are_more_than_chance_from_twenty_one_lessons_on(
    lessons: int, words: str
) -> None:
    """By hand: 7 against 7 is 2 of 3432 ways, 6 against 6 is 2 of 924."""
    days = [
        day(n, f"2026-03-{n + 1:02d}", phases=(phase("review", 200, 200 if n < 10 else 300),))
        for n in range(lessons)
    ]
    third = lessons // 3
    assert chart(days, LessonChoice()).summary.endswith(f"median ({third} lessons in each).{words}")


def test_of_a_phase_that_was_seldom_reached_no_change_is_told() -> None:
    """Two look-backs in a third swing by chance, however far they are apart."""
    days = []
    for n in range(30):
        phases = [phase("review", 200, 200 if n < 15 else 220)]
        if n in (0, 1, 28, 29):
            phases.append(phase("look-back", 100, 40 if n < 15 else 90))
        days.append(day(n, f"2026-03-{n + 1:02d}", phases=tuple(phases)))
    assert chart(days, LessonChoice()).summary.endswith(
        "review differed most: 1.00 and 1.10 times its budget at the median (10 lessons in each)."
    )


def test_a_phase_of_one_outline_is_called_by_its_title_and_not_by_its_id() -> None:
    """An id may be the name of another kind; the teacher knows her title."""
    named = [
        phase("review", 200, 200 if n < 10 else 300)._replace(title="Yesterday's exit cards", kind="modeling")
        for n in range(15)
    ]
    days = [day(n, f"2026-03-{n + 1:02d}", phases=(one,)) for n, one in enumerate(named)]
    picture = chart(days, LessonChoice(titles=(days[0].title,)))
    assert "third Yesterday's exit cards differed most: 1.00 and 1.50 times" in picture.summary
    figures = [row for row in picture.table.rows if row[0] == "Actual of budget, median"]
    assert [row[1] for row in figures] == ["Yesterday's exit cards"] * 2


def test_without_lessons_it_says_what_is_missing_and_one_is_drawn(term: tuple[Day, ...]) -> None:
    empty = chart([], LessonChoice())
    assert (empty.is_empty, empty.lessons, empty.table.rows) == (True, 0, ())
    assert empty.summary.startswith("Not enough lessons yet")
    one = chart(term[:1], DEMO)
    assert (one.lessons, len(one.dots[0].points)) == (1, 1)
    never = chart([day(1, "2026-03-09", None)], LessonChoice())
    assert never.summary.startswith("In 1 lesson groups never started, and 0 phases were not taught.")


CAUSES = st.dictionaries(
    st.sampled_from([":start", "review", "modeling", ":pauses", ":moves", ":plan"]), st.integers(-900, 900)
)


@given(st.lists(st.tuples(st.integers(0, 60), CAUSES | st.none()), min_size=1, max_size=20))
def test_on_random_histories_the_parts_add_up_exactly_and_as_shown(history: list) -> None:
    days = []
    for run, (n, causes) in enumerate(sorted(history, key=lambda one: one[0])):
        when = (date(2025, 9, 1) + timedelta(days=n)).isoformat()
        late = None if causes is None else sum(causes.values())
        days.append(day(run, when, late, causes=tuple((causes or {}).items())))
    unit = unit_of(days, LessonChoice())
    assert unit is not None
    assert sum(week.lessons for week in unit.weeks) == unit.lessons == len(days)
    for week in unit.weeks:
        assert sum(seconds for _cause, seconds in week.parts) == sum(week.lates)
        if week.lates:
            assert sum(mean for _cause, mean in week.mean_parts_s) == week.mean_late_s
    picture = chart(days, LessonChoice())
    whole: dict[str, int] = {}
    for row in picture.table.rows:
        if row[0] == "Groups late, mean":
            sign = 1 if row[1] == "all together" else -1
            whole[row[2]] = whole.get(row[2], 0) + sign * clock(row[4])
    assert set(whole.values()) <= {0}
    drawn: dict[int, float] = {}
    for box in picture.boxes:
        at = round((box.x0 + box.x1) / 2)
        drawn[at] = drawn.get(at, 0) + (box.y1 - box.y0) * (1 if box.y1 > 0 else -1)
    for dots in picture.dots:
        for x, y in dots.points:
            assert drawn.get(round(x), 0) == pytest.approx(y, abs=1e-9)
