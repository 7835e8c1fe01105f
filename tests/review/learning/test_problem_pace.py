"""How long a review problem takes: learned from lessons that were run, against sums by hand."""

from collections.abc import Callable

import numpy as np
import pytest

from pacer.plan.outline import Outline
from pacer.review.days import Day, day_from_text, day_to_text
from pacer.review.learning.problem_pace import problem_pace
from pacer.review.work_out import day_of
from pacer.run.clock import ManualClock
from pacer.run.corrections import Corrections
from pacer.run.session import MemoryJournal, Session


@pytest.fixture
def outline(new_outline: Callable) -> Outline:
    return new_outline(
        {"budget": "2", "kind": "warm-up"},
        {"budget": "4", "kind": "review", "examples": 3},
        {"budget": "7", "kind": "modeling"},
    )


def taught(outline: Outline, review_s: int, *, tally: int = 0, ending: str = "done") -> Day:
    """A lesson whose review took so long; a number was tallied in it."""
    clock = ManualClock(1_780_000_000_000)
    session = Session(clock, MemoryJournal())
    session.start(outline)
    for seconds, command, argument in (
        (100, "next", "done"), (review_s, "tally" if tally else "here", str(tally) if tally else ""),
        (0, "bell-now" if ending == "bell" else "next", "" if ending == "bell" else ending),
        (60, "end", ""),
    ):  # fmt: skip
        for _second in range(seconds):
            clock.advance(1000)
            session.tick()
        session.do(command, argument)
    return day_of(1, session.state, Corrections(), {})


def test_problems_that_were_planned_count_where_the_work_was_done(outline: Outline) -> None:
    day = taught(outline, 240)
    assert (day.problems, day.problems_s) == (3, 240)
    assert day_from_text(day_to_text(day)) == day


def test_the_highest_tallied_counts_where_it_was_left_early_or_went_further(
    outline: Outline,
) -> None:
    assert taught(outline, 150, tally=2, ending="moved-on").problems == 2
    assert taught(outline, 150, tally=5).problems == 5


@pytest.mark.parametrize("ending", ["unsaid", "bell"])
def test_a_review_that_nobody_said_was_over_tells_no_pace(outline: Outline, ending: str) -> None:
    assert taught(outline, 150, tally=2, ending=ending).problems == 0


def test_nobody_knows_the_pace_of_a_review_without_figures(new_outline: Callable) -> None:
    assert taught(new_outline({"budget": "2"}, {"budget": "4", "kind": "review"}), 150).problems == 0


def test_the_pace_is_the_median_of_the_newest_lessons_and_silent_below_three(outline: Outline) -> None:
    """By hand: 240, 300 and 180 s for three problems each are 80, 100 and 60 s."""
    days = [taught(outline, seconds) for seconds in (240, 300, 180)]
    assert problem_pace(days[:2]) is None
    assert problem_pace(days) == (80, 3)
    flagged = days[0]._replace(flagged=True)
    assert problem_pace([flagged, *days[1:]]) is None
    assert problem_pace([day._replace(mode="rehearsal") for day in days]) is None
    assert problem_pace([*days, *days * 9]).lessons == 20  # type: ignore[union-attr]


def days_of(chance: np.random.Generator, count: int) -> tuple[np.ndarray, np.ndarray]:
    """Problems and their seconds on so many days that differ by a quarter, as problems of a day do by a
    fifth; about 75 s each."""
    problems = chance.integers(2, 6, count)
    each_s = np.exp(0.2 * chance.normal(size=(count, 5)))
    of_day = np.where(np.arange(5) < problems[:, None], each_s, 0).sum(axis=1)
    return problems, np.rint(75 * np.exp(0.25 * chance.normal(size=count)) * of_day)


@pytest.mark.slow
@pytest.mark.parametrize(("lessons", "share"), [(3, 0.77), (5, 0.87), (8, 0.94), (20, 0.99)])
def test_what_is_said_lies_within_a_quarter_of_what_is_usual(
    outline: Outline, lessons: int, share: float
) -> None:
    """As often too long as too short, a second that is just right counting for both. The usual is the middle
    of 100,000 days; a share of 1,500 terms is known to .04 (three standard errors)."""
    problems, seconds = days_of(np.random.default_rng(30), 100_000)
    usual_s = float(np.median(seconds / problems))
    one, chance = taught(outline, 240), np.random.default_rng([31, lessons])
    said = []
    for _term in range(1500):
        numbers = zip(*(of_days.tolist() for of_days in days_of(chance, lessons)), strict=True)
        pace = problem_pace([one._replace(problems=n, problems_s=round(had_s)) for n, had_s in numbers])
        assert pace is not None
        said.append(pace.seconds)
    near = float(np.mean(np.abs(np.log(np.array(said) / usual_s)) < np.log(1.25)))
    too_long = float(np.mean(np.sign(np.array(said) - round(usual_s)) / 2 + 0.5))
    print(f"{lessons} lessons: within a quarter {near:.3f}, too long {too_long:.3f}, usual {usual_s:.1f} s")
    assert near == pytest.approx(share, abs=0.04)
    assert too_long == pytest.approx(0.5, abs=0.04)
