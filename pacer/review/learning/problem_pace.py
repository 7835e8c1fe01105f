"""How long one review problem takes in this class: from review phases and what was tallied in them."""

from collections.abc import Collection, Iterable
from statistics import median

from pacer.plan.rules import ProblemPace
from pacer.review.choice import LIVE, LessonChoice
from pacer.review.days import Day
from pacer.run.events import Mode

LEAST_LESSONS, MOST_LESSONS = 3, 20  # choices of ours: fewer say nothing, and older ones are another class


def problem_pace(days: Iterable[Day], modes: Collection[Mode] = LIVE) -> ProblemPace | None:
    """The median of the seconds a problem over the newest lessons; None below three lessons.

    ``days`` stand in order of time. Counted are lessons of ``modes`` that are neither flagged nor repaired,
    in which a review was ended by the teacher and a number of problems is known: the highest that was
    tallied, or as many as were planned where the work was done.

    It is said as "about": where days differ by a quarter it lies within a quarter of what is usual in 77 of
    100 cases of three lessons (87 of five, 94 of eight, 99 of twenty), as often above it as below
    (`tests/review/learning/test_problem_pace.py`).
    """
    learned = LessonChoice(modes=tuple(modes)).learning(days)
    paces = [day.problems_s / day.problems for day in learned if day.problems > 0 and day.problems_s > 0]
    newest = paces[-MOST_LESSONS:]
    if len(newest) < LEAST_LESSONS:
        return None
    return ProblemPace(max(1, round(median(newest))), len(newest))
