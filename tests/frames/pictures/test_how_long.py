"""The picture of how long a phase takes: its curve, marks, table and words against lifelines."""

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from lifelines import KaplanMeierFitter

from pacer.frames.pictures.chart import Chart, ChartLine, Dots
from pacer.frames.pictures.how_long import chart
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from tests.review.by_hand import phases
from tests.review.questions.test_how_long import PRACTICE, endings_by_hand, practice_days  # noqa: F401

DEMO = LessonChoice(modes=("demo",))
KINDS = ("warm-up", "review", "modeling", "vocabulary", "partner-talk", "guided-practice", "look-back")
# One of them in the usual run; the day book of a term behind each takes seconds.
ONE_AND_SLOW = (KINDS[0], *(pytest.param(kind, marks=pytest.mark.slow) for kind in KINDS[1:]))


def m_ss(seconds: float) -> str:
    return f"{int(seconds) // 60}:{int(seconds) % 60:02}"


def seconds(words: str) -> float:
    minutes, rest = words.split(":")
    return 60 * int(minutes) + float(rest)


def curve_of(picture: Chart) -> ChartLine:
    (curve,) = [line for line in picture.lines if line.steps]
    return curve


def dots_of(picture: Chart, shape: str) -> list[tuple[float, float]]:
    return [point for dots in picture.dots if dots.shape == shape for point in dots.points]


@pytest.mark.slow
@pytest.mark.parametrize("kind", ONE_AND_SLOW)
def test_curve_rings_budget_and_square_of_the_term_are_lifelines(
    term: tuple[Day, ...], term_folder: Path, kind: str
) -> None:
    table = endings_by_hand(term_folder, kind)
    picture = chart(term, DEMO, kind)
    rounded = table["scaled_s"].round(6)
    fitter = KaplanMeierFitter().fit(rounded, table["complete"])
    points = np.array(curve_of(picture).points)
    assert tuple(points[0]) == (0, 10)
    assert sorted(set(rounded)) == pytest.approx(points[1:, 0] * 60, abs=1e-5)
    np.testing.assert_allclose(points[1:, 1], 10 * fitter.predict(np.round(points[1:, 0] * 60, 6)), atol=1e-9)
    rings = np.array(sorted(dots_of(picture, "ring"))).reshape(-1, 2)
    assert sorted(rounded[~table["complete"]]) == pytest.approx(rings[:, 0] * 60, abs=1e-5)
    np.testing.assert_allclose(rings[:, 1], 10 * fitter.predict(np.round(rings[:, 0] * 60, 6)), atol=1e-9)
    budget_s = table["planned_s"].iloc[-1]
    (written,) = [line for line in picture.lines if line.stroke == "dashed"]
    assert written.points == ((budget_s / 60, 0), (budget_s / 60, 10))
    below = fitter.survival_function_["KM_estimate"]
    below = below[below <= 0.3 + 1e-12]
    squares = dots_of(picture, "square")
    assert len(squares) == (not below.empty)
    if not below.empty:
        assert squares[0] == pytest.approx((below.index[0] / 60, 3), abs=1e-6)
    assert picture.lessons == table["run"].nunique()
    assert (picture.x.lower, picture.y.lower, picture.y.upper) == (0, 0, 10)
    assert picture.x.upper * 60 >= max(rounded.max(), budget_s)


@pytest.mark.slow
@pytest.mark.parametrize("kind", ONE_AND_SLOW)
def test_the_table_and_the_summary_say_the_same(term: tuple[Day, ...], term_folder: Path, kind: str) -> None:
    table = endings_by_hand(term_folder, kind)
    picture = chart(term, DEMO, kind)
    rows = [row for row in picture.table.rows if row[0] != "7 of 10 lessons"]
    wanted = zip(table["planned_s"], table["actual_s"], table["complete"], strict=True)
    shown = [(seconds(row[2]), seconds(row[3]), row[5] == "this long") for row in rows]
    assert sorted(shown) == sorted(wanted)
    assert [seconds(row[6]) for row in rows] == pytest.approx(sorted(table["scaled_s"]), abs=0.05001)
    fitter = KaplanMeierFitter().fit(table["scaled_s"].round(6), table["complete"])
    left = 10 * fitter.predict(np.sort(table["scaled_s"].round(6))).to_numpy()
    np.testing.assert_allclose([float(row[7]) for row in rows], left, atol=0.00501)
    over = int((table["actual_s"] > table["planned_s"]).sum())
    unknown = int(((table["actual_s"] <= table["planned_s"]) & ~table["complete"]).sum())
    count = f"in {'at least ' if unknown else ''}{over} of {table['run'].nunique()} lessons;"
    if unknown and not over:
        count = (
            f"was never seen to take longer than its budget in {len(table)} lessons ({unknown} unfinished);"
        )
    assert count in picture.summary
    reached = fitter.survival_function_["KM_estimate"]
    below = reached[reached <= 0.3 + 1e-12]
    if below.empty:
        longest = np.ceil(table["scaled_s"].max() - 1e-6)
        assert picture.summary.endswith(f"7 of 10 days need at least {m_ss(longest)}, more is not known.")
    else:
        enough = np.ceil(below.index[0] - 1e-5)
        assert f"{m_ss(enough)} is enough on about 7 of 10 days." in picture.summary
        (point,) = [
            key.text for key in picture.keys if isinstance(key.mark, Dots) and key.mark.shape == "square"
        ]
        assert point == f"7 of 10 are over by {m_ss(enough)}"


def test_the_worked_practice_is_told_in_one_sentence(practice_days: Callable) -> None:
    """A worked curve of our own: a third is still going at ten minutes, none after twelve; 8:00 written."""
    picture = chart(practice_days([(minutes * 60, done) for minutes, done in PRACTICE]), LessonChoice())
    assert picture.summary == (
        "Guided practice took longer than its 8:00 in 5 of 8 lessons; on about 7 of 10 days 12:00 is enough."
    )
    assert curve_of(picture).points == pytest.approx(
        np.array([(0, 10), (7, 8.75), (8, 6.25), (9, 5), (10, 10 / 3), (12, 0)])
    )
    assert dots_of(picture, "ring") == pytest.approx(np.array([(9, 5), (10, 10 / 3)]))
    assert picture.choice == "8 lessons · live · guided practice"
    assert picture.x.label == "Guided practice: time it takes (m:ss)"


def test_below_five_lessons_the_curve_is_drawn_and_nothing_claimed(practice_days: Callable) -> None:
    ends = [(300, True), (420, False), (600, True), (700, True)]
    for count in range(1, 5):
        picture = chart(practice_days(ends[:count]), LessonChoice())
        assert picture.summary == (
            "Not enough lessons yet to say how long it takes (guided practice): "
            f"{count} so far, 5 are needed."
        )
        assert len(curve_of(picture).points) == count + 1
        assert len(dots_of(picture, "dot")) + len(dots_of(picture, "ring")) == count
        assert not dots_of(picture, "square")
        assert not picture.words
        assert len(picture.table.rows) == count


def test_without_lessons_the_picture_says_what_makes_it_appear(term: tuple[Day, ...]) -> None:
    for picture in (chart([], DEMO), chart(term, LessonChoice()), chart(term, DEMO, "nothing like it")):
        assert picture.is_empty
        assert picture.lessons == 0
        assert picture.summary.startswith("Not enough lessons yet: there is none with such a phase.")


def test_a_phase_of_one_title_goes_by_its_own_name(term: tuple[Day, ...], term_folder: Path) -> None:
    table = phases(term_folder)
    title = next(day.title for day in term if any(phase.id == "quick-write" for phase in day.mini))
    runs = {day.run for day in term if day.title == title}
    own = table[table["run"].isin(runs) & (table["id"] == "quick-write") & (table["ending"] != "skipped")]
    picture = chart(term, LessonChoice(modes=("demo",), titles=(title,)), "quick-write")
    assert picture.lessons == len(own) == len(runs)
    assert picture.x.label == f"{own['title'].iloc[-1]}: time it takes (m:ss)"
    assert picture.choice == f"{len(runs)} lessons · invented · “{title}”"


def test_ticks_are_few_and_round_however_long_a_phase_lasts(practice_days: Callable) -> None:
    for longest in (20, 100, 700, 3000, 14_000):
        picture = chart(practice_days([(longest, True)], planned_s=20), LessonChoice())
        places = [at * 60 for at, _words in picture.x.ticks]
        assert 2 <= len(places) <= 13
        assert [m_ss(round(at)) for at in places] == [words for _at, words in picture.x.ticks]
        assert np.allclose(np.diff(places), places[1] - places[0])


def test_every_shape_and_stroke_has_its_key(term: tuple[Day, ...]) -> None:
    for days in (term[:3], term[:10], term):
        picture = chart(days, DEMO, "modeling")
        shapes = {dots.shape for dots in picture.dots}
        assert shapes == {key.mark.shape for key in picture.keys if isinstance(key.mark, Dots)}
        strokes = {line.stroke for line in picture.lines if line.stroke != "dotted"}
        assert strokes == {key.mark.stroke for key in picture.keys if isinstance(key.mark, ChartLine)}
