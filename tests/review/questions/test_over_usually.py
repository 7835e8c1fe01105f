"""Actual over budget by phase: dots, rings, counts and medians against the raw events and lifelines."""

from pathlib import Path

import pandas as pd
import pytest
from lifelines import KaplanMeierFitter

from pacer.frames.pictures.chart import Chart
from pacer.frames.pictures.over_usually import chart
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.over_usually import over_usually
from tests.review.by_hand import phases

DEMO = LessonChoice(modes=("demo",))
KINDS = ("warm-up", "review", "modeling", "vocabulary", "partner-talk", "guided-practice", "look-back")


def endings_by_hand(folder: Path, kind: str) -> pd.DataFrame:
    """Endings of a kind in order of time, from the raw events; all but cut-off ones are complete."""
    table = phases(folder).query("mini and kind == @kind and ending != 'skipped' and actual_s > 0").copy()
    table["complete"] = ~table["ending"].isin(["bell", "interrupted"])
    return table.sort_values(["date", "run"])


def median_by_hand(ratios, complete) -> tuple[float, bool]:
    """The shortest ratio at which half or fewer go on, by lifelines; else the longest is a lower bound."""
    curve = KaplanMeierFitter().fit(ratios, complete).survival_function_["KM_estimate"]
    below = curve[curve <= 0.5 + 1e-12]
    return (float(ratios.max()), True) if below.empty else (float(below.index[0]), False)


@pytest.mark.parametrize("kind", KINDS)
def test_the_rows_of_the_term_are_those_of_the_raw_events(term, term_folder: Path, kind):
    table = endings_by_hand(term_folder, kind)
    ratios = table["actual_s"] / table["planned_s"]
    row = next(row for row in over_usually(term, DEMO) if row.name == kind)
    assert [float(one.ratio) for one in row.ratios] == pytest.approx(list(ratios))
    assert [one.complete for one in row.ratios] == list(table["complete"])
    assert row.over == (ratios > 1).sum()
    assert row.unknown == (~table["complete"] & (ratios <= 1)).sum()
    found, at_least = median_by_hand(ratios, table["complete"])
    assert row.median == (pytest.approx(found), at_least)


def test_every_number_on_the_picture_is_the_raw_one(term, term_folder):
    picture = chart(term, DEMO)
    placed: dict[int, list[tuple[float, bool]]] = {}
    for dots in picture.dots:
        for x, y in dots.points:
            placed.setdefault(round(y), []).append((x, dots.shape == "dot"))
    lines = {round(sum(y for _x, y in line.points) / 2): line.points[0][0] for line in picture.lines[1:]}
    for at, (kind, name) in enumerate(zip(KINDS, (text for _at, text in picture.y.ticks), strict=True)):
        table = endings_by_hand(term_folder, kind)
        ratios = table["actual_s"] / table["planned_s"]
        expected = sorted(zip(ratios, table["complete"], strict=True))
        assert [x for x, _done in sorted(placed[at])] == pytest.approx([x for x, _done in expected])
        assert sorted(done for _x, done in placed[at]) == sorted(table["complete"])
        over = (ratios > 1).sum()
        assert name.endswith(f": {over} of {len(table)}")
        median, at_least = median_by_hand(ratios, table["complete"])
        assert lines[at] == pytest.approx(median)
        shown = ("≥ " if at_least else "") + f"{median:.2f}"
        unknown = (~table["complete"] & (ratios <= 1)).sum()
        usual = f"usual of {table['run'].nunique()} lessons"
        assert picture.table.rows[at][1:] == (usual, shown, str(over), str(unknown))
        named = name.split(":")[0]
        each = [row for row in picture.table.rows[7:] if row[0] == named]
        assert [float(row[2].removeprefix("≥ ")) for row in each] == pytest.approx(list(ratios), abs=0.0051)
        assert [row[2].startswith("≥") for row in each] == list(~table["complete"])
        assert sum(row[3] != "" for row in each) == over
    assert picture.lines[0].points == ((1, -0.5), (1, 6.5))
    assert picture.x.lower == 0
    assert picture.x.upper >= max(x for row in placed.values() for x, _done in row)


def test_the_summary_names_the_phase_that_ran_over_in_the_largest_share(term, term_folder):
    shares = {}
    for kind in KINDS:
        table = endings_by_hand(term_folder, kind)
        shares[kind] = ((table["actual_s"] > table["planned_s"]).sum(), len(table))
    most = max(shares, key=lambda kind: shares[kind][0] / shares[kind][1])
    n, of = shares[most]
    words = chart(term, DEMO).summary
    assert words.startswith(f"{most.capitalize()} ran over its budget most often: in {n} of {of} lessons")


def test_one_outline_has_a_row_for_each_of_its_phases(term, term_folder):
    title = term[0].title
    picture = chart(term, LessonChoice(modes=("demo",), titles=(title,)))
    raw = phases(term_folder).query("mini and title != ''")
    ids = [row.name for row in over_usually(term, LessonChoice(modes=("demo",), titles=(title,)))]
    assert ids == [phase.id for phase in term[0].mini if phase.id in set(raw["id"])]
    assert picture.y.ticks[0][1].startswith(term[0].mini[0].title)


def test_repaired_days_teach_nothing_and_chosen_kinds_are_alone(term):
    mended = [day._replace(repaired=True) for day in term]
    assert chart(mended, DEMO).is_empty
    only = LessonChoice(modes=("demo",), kinds=("review",))
    assert [row.name for row in over_usually(term, only)] == ["review"]


def test_few_lessons_make_no_claim_and_none_says_what_is_missing(term):
    nothing: Chart = chart([], DEMO)
    assert nothing.is_empty
    assert nothing.summary.startswith("Not enough lessons yet")
    one = chart(term[:1], DEMO)
    assert not one.is_empty
    assert one.summary == "Not enough lessons yet to say what is usual: a phase needs 5 lessons."
    assert len(one.lines) == 1


def test_what_was_cut_off_within_its_budget_is_counted_apart(term):
    """Worked by hand: of five lessons three took longer, one was finished in time, one was cut off."""

    def day(run: int, actual_s: int, ending: str) -> Day:
        phase = term[0].mini[0]._replace(planned_s=100, actual_s=actual_s, ending=ending, stage=None)
        return term[0]._replace(run=run, phases=(phase,))

    days = [
        day(1, 150, "done"), day(2, 120, "moved on"), day(3, 80, "bell"), day(4, 90, "done"),
        day(5, 101, "done"),
    ]  # fmt: skip
    (row,) = over_usually(days, DEMO)
    assert (row.over, row.unknown, row.lessons) == (3, 1, 5)
    # At risk 5: 80 cut off; 4: 90 ends (3/4); 3: 101 ends (1/2).
    assert row.median == (pytest.approx(1.01), False)
    assert chart(days, DEMO).summary.endswith("1 more was cut off before its budget was used.")
