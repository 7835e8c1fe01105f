"""The outlook of a plan that is being typed says the same as the plan's own reckoning, and costs it once."""

import random

import pytest

from pacer.pace.forecasts.past import PastEnding
from pacer.plan.file.reader import read_text
from pacer.plan.outline import Outline
from pacer.review.learning.budgets import SortedPast, plan_of
from pacer.review.learning.plan_outlook import PlanOutlook

KINDS = ("warm-up", "review", "modeling", "guided-practice")


def outline(budgets: tuple[int, ...], mini_s: int) -> Outline:
    phases = "".join(
        f'[[phase]]\nid = "p{n}"\ntitle = "Part {n}"\nkind = "{KINDS[n % 4]}"\nbudget = "{seconds} s"\n'
        for n, seconds in enumerate(budgets)
    )
    made = read_text(f'format = 1\ntitle = "T"\n[block]\nmini_lesson = "{mini_s} s"\n{phases}', "t.toml")
    assert isinstance(made, Outline)
    return made


def taught(chance: random.Random, budgets: tuple[int, ...], lessons: int) -> list[PastEnding]:
    return [
        PastEnding(
            run, f"day {run}", f"p{n}", KINDS[n % 4], seconds,
            max(1, round(seconds * chance.uniform(0.6, 1.6))),
            "interrupted" if chance.random() < 0.2 else "done",
        )
        for run in range(lessons)
        for n, seconds in enumerate(budgets)
    ]  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(40))
def test_it_says_the_same_as_the_plan_in_tenths_of_days(seed: int) -> None:
    """Against ``plan_of``, whose level is exact: the same tenth, but where it lies on the border itself."""
    chance = random.Random(seed)
    budgets = tuple(chance.randrange(60, 600, 15) for _n in range(chance.randint(1, 6)))
    past = SortedPast(taught(chance, budgets, chance.choice([3, 6, 15])))
    plan = outline(budgets, round(sum(budgets) * chance.uniform(0.7, 1.5)))
    exact, ours = plan_of(past, plan), PlanOutlook(past).plan_of(plan)
    assert (ours.proposals, ours.needs_s, ours.unknown, ours.at_least, ours.fits) == (
        exact.proposals, exact.needs_s, exact.unknown, exact.at_least, exact.fits,
    )  # fmt: skip
    if exact.level is None:
        assert ours.level in (None, 0)
    else:
        assert ours.level is not None
        assert abs(ours.level - exact.level) <= 0.05 + 1e-6


def test_what_was_asked_before_costs_nothing_again(monkeypatch: pytest.MonkeyPatch) -> None:
    from pacer.pace.forecasts.survival import Curve

    chance = random.Random(1)
    budgets = (120, 180, 420)
    outlook = PlanOutlook(SortedPast(taught(chance, budgets, 10)))
    first = outlook.plan_of(outline(budgets, 800))
    monkeypatch.setattr(Curve, "quantile", lambda *_args: pytest.fail("reckoned again"))
    assert outlook.plan_of(outline(budgets, 800)) == first
