"""What is learned of each phase: which lessons count, how much, and what lateness and days do to it."""

import math
from dataclasses import replace

import numpy as np
import pytest

from pacer.pace.forecasts.day_factor import Observations
from pacer.pace.forecasts.forecast import forecast
from pacer.pace.forecasts.learned import Planned, learn, shares_behind
from pacer.pace.forecasts.memory import common_level, memory
from pacer.pace.forecasts.past import PastEnding
from pacer.pace.forecasts.survival import Prior, fit

MODEL, PRACTICE = Planned("model", "modeling", 420), Planned("practice", "guided-practice", 480)
PLAN = [MODEL, PRACTICE]


def term(lessons: int, seed: int = 1) -> list[PastEnding]:
    """Invented lessons of a hurrying teacher, begun up to ten minutes late; durations rise over the term."""
    chance, found = np.random.default_rng(seed), []
    for run in range(lessons):
        late_s, day = float(chance.uniform(0, 600)), chance.normal(0.01 * run, 0.2)
        behind_s, rest_s = late_s, 900.0
        for planned in PLAN:
            natural = math.exp(day + chance.normal(0, 0.15))
            took_s = planned.budget_s * max(0.1, natural - 0.7 * min(1.0, max(0.0, behind_s / rest_s)))
            how = str(chance.choice(["done", "moved on", "bell"], p=[0.6, 0.25, 0.15]))
            one = PastEnding(
                run, "", planned.phase, planned.kind, planned.budget_s, took_s, how, late_s=late_s
            )
            found.append(one)
            behind_s, rest_s = behind_s + took_s - planned.budget_s, rest_s - planned.budget_s
    return found


@pytest.mark.parametrize("lessons", [9, 40])
def test_a_phase_is_learned_lesson_by_lesson_in_units_of_its_budget(lessons: int) -> None:
    """Each ratio without its hurry and day; from 10 lessons on as they are by now; by hand."""
    endings = term(lessons)
    known = learn(endings, PLAN)
    shared, observed, ended = (
        known.random_effects,
        seen(endings),
        np.array([e.ending != "bell" for e in endings]),
    )
    now, _error, expected = common_level(observed, ended, lessons, 2)
    beside = replace(
        observed, ratio=observed.ratio / np.exp(expected), behind=observed.behind / np.exp(expected)
    )
    weights = memory(beside, ended, shared, lessons, 2)
    for number, model in enumerate(known.phases):  # kinds have the columns before those of phases
        natural = [
            (beside.ratio[at] + shared.speed_up * beside.behind[at]) / math.exp(shared.days[run])
            for run, at in enumerate(range(number, 2 * lessons, 2))
        ]
        tame = shared.natural[number::2] - shared.days
        logs, whole = np.log(natural), ended[number::2]
        level = shift = 0.0
        if lessons >= 10:
            level = np.average(logs[whole], weights=weights[whole])
            shift = level - logs[whole].mean()
        spread = shared.own[2 + number] if lessons >= 10 else 0.25
        prior = Prior(3, math.exp(level * lessons / (lessons + 3) + now), spread)
        curve = fit(np.array(natural) * math.exp(shift + now), whole, prior)
        assert model is not None
        assert model.lessons == lessons
        assert model.center == pytest.approx(np.average([*tame, 0], weights=[*weights, 3]) + now)
        times = np.linspace(0.3, 3, 20)
        assert model.curve.at(times) == pytest.approx(curve.at(times), abs=1e-9)


def seen(endings: list[PastEnding]) -> Observations:
    """The same endings as arrays, their lateness worked out one by one."""
    behind = []
    for first, second in zip(endings[::2], endings[1::2], strict=True):
        behind += [
            first.late_s / 900,
            min(1, max(0, (first.late_s + first.actual_s - 420) / second.planned_s)),
        ]
    return Observations(
        np.repeat(np.arange(len(endings) // 2), 2),
        np.tile([0, 1], len(endings) // 2),
        np.array([one.actual_s / one.planned_s for one in endings]),
        np.array([one.ending != "done" for one in endings]),
        np.array(behind),
    )


def test_lateness_is_a_share_of_what_the_plan_still_needs_within_nothing_and_all() -> None:
    """By hand, 420 + 480 s: 90 s late is a tenth; then 60 s more are 150 of 480, early none, an hour all."""

    def lesson(late_s: float, took_s: float) -> list[PastEnding]:
        return [
            PastEnding(1, "", "model", "modeling", 420, took_s, "done", late_s=late_s),
            PastEnding(1, "", "practice", "guided-practice", 480, 480, "done", late_s=late_s),
        ]

    assert shares_behind(lesson(90, 480)) == [pytest.approx(0.1), pytest.approx(150 / 480)]
    assert shares_behind(lesson(-90, 420)) == [0, 0]
    assert shares_behind(lesson(3600, 420)) == [1, 1]
    assert shares_behind(lesson(90, 480), later_s=900) == [pytest.approx(0.05), pytest.approx(150 / 1380)]
    assert shares_behind([]) == []
    assert shares_behind([replace(one, planned_s=0.0) for one in lesson(90, 480)]) == [0, 0]


def test_a_late_phase_of_today_counts_as_one_that_took_as_much_longer_as_lateness_hurries() -> None:
    learned = learn(term(40), PLAN)
    hurry = learned.random_effects.speed_up
    assert hurry > 0.1
    today = PastEnding(99, "", "model", "modeling", 420, 400, "done")
    behind = 240 / (420 + 480)
    late = forecast(learned, 1, 0, 480, [replace(today, late_s=240)])
    longer = forecast(learned, 1, 0, 480, [replace(today, actual_s=400 + 420 * hurry * behind)])
    on_time = forecast(learned, 1, 0, 480, [today])
    assert late is not None
    assert longer is not None
    assert on_time is not None
    assert late.median_s == pytest.approx(longer.median_s)
    assert late.median_s > on_time.median_s + 1


@pytest.mark.parametrize(
    "of_no_use", [{"ending": "skipped"}, {"actual_s": 90_000.0}, {"phase": "song"}, {"planned_s": 0.0}]
)
def test_what_was_skipped_unknown_or_can_not_be_believed_says_nothing_of_today(of_no_use: dict) -> None:
    learned = learn(term(40), PLAN)
    today = replace(PastEnding(99, "", "model", "modeling", 420, 800, "done"), **of_no_use)
    assert forecast(learned, 1, 0, 480, [today]) == forecast(learned, 1, 0, 480)


def test_a_phase_that_runs_long_makes_the_ones_behind_it_look_longer() -> None:
    learned = learn(term(40), PLAN)
    late = forecast(learned, 0, 700, 900)  # with time enough, so that nobody hurries
    assert late is not None
    alone = forecast(learned, 1, 0, 480)
    assert alone is not None
    assert late.median_s > alone.median_s + 20


def test_a_phase_with_a_past_of_its_own_is_not_judged_by_its_kind() -> None:
    """Another phase of the same kind took twice its budget; six lessons are a past of one's own, five not."""
    other = [
        replace(one, phase="other model", actual_s=840.0, run=one.run + 100)
        for one in term(12)
        if one.phase == "model"
    ]
    for count, own in ((6, True), (5, False)):
        history = [replace(one, actual_s=one.planned_s, ending="done") for one in term(count)]
        (model,) = learn([*history, *other], [MODEL]).phases
        assert model is not None
        assert bool(model.curve.at(1.5) < 0.3) is own
