"""The week: its lessons, bars, words and table against pandas on the raw events, and small cases by hand."""

import math
from fractions import Fraction
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.frames.pictures.chart import Chart
from pacer.frames.pictures.shared import late_words
from pacer.frames.pictures.week import chart, talk_words
from pacer.review.choice import LessonChoice
from pacer.review.days import Day, DayPhase, DayTalk
from pacer.review.questions.weeks import week_of, weeks
from tests.review.by_hand_spans import clock, lessons_by_hand, week_start

DEMO = LessonChoice(modes=("demo",))
KINDS = {
    ("main", "filled"): "mini", ("over", "hatched"): "over", ("second", "filled"): "late",
    ("second", "outline"): "late", ("quiet", "hatched"): "lost", ("second", "dotted"): "review",
}  # fmt: skip


def bars(picture: Chart) -> dict[int, list[tuple[str, float, float]]]:
    """By row, each bar as (kind, from, to) in seconds."""
    found: dict[int, list[tuple[str, float, float]]] = {}
    for box in picture.boxes:
        row = round((box.y0 + box.y1) / 2)
        found.setdefault(row, []).append((KINDS[box.tone, box.pattern], box.x0 * 60, box.x1 * 60))
    return found


@pytest.mark.slow
def test_the_weeks_are_those_in_which_a_lesson_was(term: tuple[Day, ...], term_folder: Path) -> None:
    assert weeks(term) == sorted(set(lessons_by_hand(term_folder)["week"]))
    assert weeks([]) == []
    weekend = [term[0]._replace(date="2026-03-07"), term[0]._replace(date="2026-03-08")]
    assert weeks(weekend) == []
    assert weeks([*weekend, term[0]._replace(date="2026-03-09")]) == ["2026-03-09"]


@pytest.mark.slow
def test_every_bar_and_figure_of_every_week_is_what_pandas_finds(
    term: tuple[Day, ...], term_folder: Path
) -> None:
    table = lessons_by_hand(term_folder)
    for monday, own in table.groupby("week"):
        picture = chart(term, DEMO, str(monday))
        assert picture.lessons == len(own) == len(picture.table.rows)
        drawn = bars(picture)
        rows_of = {round(at): words for at, words in picture.y.ticks}
        taught = [at for at, words in rows_of.items() if "no lesson" not in words]
        assert sorted(drawn) == taught
        for at, lesson, row in zip(taught, own.itertuples(), picture.table.rows, strict=True):
            cap = 300  # the starting cap; no invented outline has its own
            wanted = [
                ("mini", 0, min(lesson.actual, lesson.planned)),
                ("over", lesson.planned, lesson.actual),
                ("late", min(0, lesson.late), max(0, lesson.late)),
                ("lost", 0, lesson.lost),
                ("review", 0, min(lesson.review, cap)),
                ("over", cap, lesson.review),
            ]
            # Where groups never started nothing is drawn of their start.
            wanted = [bar for bar in wanted if bar[2] > bar[1] and not math.isnan(bar[2])]
            assert [bar[0] for bar in drawn[at]] == [bar[0] for bar in wanted]
            for seen, bar in zip(drawn[at], wanted, strict=True):
                assert seen[1:] == pytest.approx(bar[1:])
            assert clock(row[5]) == lesson.late if row[5] else math.isnan(lesson.late)
            assert [clock(row[column]) for column in (2, 3, 4, 6, 9, 10, 11)] == [
                lesson.planned, lesson.actual, max(0, lesson.actual - lesson.planned),
                lesson.lost, lesson.review, cap, max(0, lesson.review - cap),
            ]  # fmt: skip
            assert (row[1], row[3].startswith("≥")) == (lesson.title, lesson.cut)
            assert float(row[7]) == pytest.approx(lesson.low, abs=0.5)
            assert float(row[8]) == pytest.approx(lesson.high, abs=0.5)
            assert f"{row[7]} %" in rows_of[at] or f"{row[7]} % to" in rows_of[at].replace(
                f" to {row[8]}", "% to"
            )
        began = own["late"].dropna()
        late, lost = Fraction(int(began.sum()), len(began)), int(own["lost"].sum())
        assert f" {late_words(late)} " in picture.summary
        assert f"lost {lost // 60}:{lost % 60:02d} at the table" in picture.summary


def test_the_ends_of_a_mini_lesson_that_was_cut_off_are_open_and_no_others(
    term: tuple[Day, ...], term_folder: Path
) -> None:
    cut = lessons_by_hand(term_folder)
    open_ends = {
        monday: sum(box.open_end for box in chart(term, DEMO, monday).boxes) for monday in weeks(term)
    }
    assert open_ends == cut.groupby("week")["cut"].sum().to_dict()
    assert sum(open_ends.values()) == 1, "the term has one bell in a mini lesson"


def test_the_latest_week_is_shown_unless_another_is_asked_for(term: tuple[Day, ...]) -> None:
    last = week_start(term[-1].date)
    assert chart(term, DEMO) == chart(term, DEMO, last)
    middle_of_it = week_of(term, DEMO, term[40].date)
    assert middle_of_it is not None
    assert middle_of_it.monday == week_start(term[40].date)


def phase(kind: str, planned: int, actual: int, ending: str = "done") -> DayPhase:
    return DayPhase(
        kind, kind, kind, planned, 0, actual, 0, actual, 0, ending, None, True, False, "", ""
    )  # fmt: skip


def day(run: int, date: str, late: int | None = 0, **changes: object) -> Day:
    """An invented lesson: 10:00 planned, 13:00 for groups, three of them, in a block of 75 minutes."""
    made = Day(
        run, date, "Thirds", "mathematics", "live", "", 32_400, 0, (4500, 120, 3, 90, 60, 300), 1500,
        None if late is None else 1500 + late, late, (),
        (phase("review", 200, 230), phase("modeling", 400, 380)),
        DayTalk(240_000, 60_000, 600_000, 0, 0, 0, 0), (), 230, 300, (), 0, 610, True, False, False, "",
    )  # fmt: skip
    return made._replace(groups=("Circle", "Triangle", "Hexagon"))._replace(**changes)


def test_a_week_by_hand() -> None:
    """Four minutes late take 1:20 from each of three groups; early by 0:30 loses nothing."""
    days = [
        day(1, "2026-03-09", 240, thing="fewer problems"),
        day(2, "2026-03-11", -30),
        day(3, "2026-03-13", None, thing="wait longer"),
    ]
    picture = chart(days, LessonChoice())
    assert picture.summary == (
        "Week of 9 Mar 2026, 3 lessons: groups started 1:45 late on average where they did (2 of 3) "
        "and lost 4:00 at the table. For the next lesson: wait longer"
    )
    assert [words for _at, words in picture.y.ticks] == [
        "Mon 9 Mar: 40 % to 50 %", "Tue 10 Mar: no lesson", "Wed 11 Mar: 40 % to 50 %",
        "Thu 12 Mar: no lesson", "Fri 13 Mar: 40 % to 50 %",
    ]  # fmt: skip
    figures = ("Thirds", "10:00", "10:10", "0:10")
    rest = ("40", "50", "3:50", "5:00", "0:00")
    assert picture.table.rows == (
        ("9 Mar 2026", *figures, "+4:00", "4:00", *rest, "fewer problems", "11 Mar 2026"),
        ("11 Mar 2026", *figures, "−0:30", "0:00", *rest, "", ""),
        ("13 Mar 2026", *figures, "", "", *rest, "wait longer", "not yet"),
    )
    assert picture.x.lower == -1
    early = next(box for box in picture.boxes if box.x0 < 0)
    assert (early.x0, early.x1, early.pattern) == (-0.5, 0, "outline")


def test_two_lessons_of_a_day_have_a_row_each_and_a_weekend_none() -> None:
    days = [day(1, "2026-03-09"), day(2, "2026-03-09"), day(3, "2026-03-14")]
    picture = chart(days, LessonChoice())
    assert picture.lessons == 2
    assert [words[:3] for _at, words in picture.y.ticks] == ["Mon", "Mon", "Tue", "Wed", "Thu", "Fri"]


def test_what_a_group_is_owed_from_last_week_decides_who_goes_first_but_no_sum_of_this_one() -> None:
    """From 9:41 on there is time for two of three groups; 780 + 45 + 45 s are lost each day."""
    days = [day(n, f"2026-03-{date:02d}", 960) for n, date in enumerate((6, 9), start=1)]
    week = week_of(days, LessonChoice())
    assert week is not None
    assert [one.lost_s for one in week.lessons] == [870]


def test_without_lessons_it_says_what_is_missing() -> None:
    for picture in (chart([], LessonChoice()), chart([day(1, "2026-03-08")], LessonChoice())):
        assert picture.is_empty
        assert picture.summary == "Not enough lessons yet: one lesson on a Monday to Friday is needed."
    other = chart([day(1, "2026-03-09")], LessonChoice(), "2026-03-16")
    assert (other.is_empty, other.lessons, other.summary) == (
        True, 0, "No lesson was chosen in the week of 16 Mar 2026.",
    )  # fmt: skip


def test_flagged_lessons_and_those_of_other_modes_are_not_in_it() -> None:
    days = [day(1, "2026-03-09"), day(2, "2026-03-10", flagged=True), day(3, "2026-03-11", mode="rehearsal")]
    assert chart(days, LessonChoice()).lessons == 1
    assert chart(days, LessonChoice(flagged=True)).lessons == 2
    assert chart(days, LessonChoice(kinds=("modeling",))).table == chart(days, LessonChoice()).table


@given(st.lists(st.tuples(st.integers(0, 400), st.integers(-600, 2000) | st.none()), max_size=30))
def test_each_chosen_lesson_of_a_school_day_is_in_exactly_one_week(history: list) -> None:
    from datetime import date, timedelta

    first = date(2025, 9, 1)
    days = sorted(
        (
            day(run, (first + timedelta(days=n)).isoformat(), late)
            for run, (n, late) in enumerate(history)
        ),
        key=lambda one: (one.date, one.run),
    )  # fmt: skip
    found = [week_of(days, LessonChoice(), monday) for monday in weeks(days)]
    runs = [one.run for week in found for one in week.lessons]
    assert runs == [one.run for one in days if date.fromisoformat(one.date).isoweekday() <= 5]
    assert all(week.lessons for week in found)
    for week in found:
        picture = chart(days, LessonChoice(), week.monday)
        total = sum(clock(row[6]) for row in picture.table.rows if row[6])
        assert total == week.lost_s
        assert all(talk_words(one) == "40 % to 50 %" for one in week.lessons)
