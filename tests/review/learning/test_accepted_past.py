"""After a budget was accepted: the same lessons don't propose still more; new ones are looked at alone."""

from dataclasses import replace

from hypothesis import assume, given
from hypothesis import strategies as st

from pacer.log.accepted import Accepted
from pacer.pace.forecasts.past import PastEnding
from pacer.plan.outline import Phase
from pacer.review.learning.accepted_past import AcceptedPast, standing
from pacer.review.learning.budgets import SortedPast


def review(budget_s: int, phase: str = "review") -> Phase:
    return Phase(id=phase, title="Review", kind="review", budget_s=budget_s, floor_s=60, cut_tier=1)


def lessons(seconds, planned_s: float = 180, first: int = 0) -> list[PastEnding]:
    return [
        PastEnding(run, f"2026-03-{run % 28 + 1:02d}", "review", "review", planned_s, each, "done")
        for run, each in enumerate(seconds, start=first)
    ]


def accept(number: int, old_s: int, new_s: int, target: str = "thirds.toml", phase: str = "review"):
    return Accepted(number, number, target, "" if target == "kinds" else phase, "review", old_s, new_s, 8, 0)


def proposed(past: SortedPast, phase: Phase) -> int | None:
    return past.proposal(phase)[0].proposed_s


TOOK = [200, 210, 220, 230, 240, 250, 260, 270]


@given(st.lists(st.integers(150, 500), min_size=5, max_size=15))
def test_what_was_accepted_stays_what_is_proposed_until_there_are_new_lessons(seconds) -> None:
    endings = lessons(seconds)
    first = proposed(SortedPast(endings), review(180))
    assert first is not None
    assume(first != 180)  # nothing was accepted then: the lessons had this budget all along
    now = AcceptedPast(endings, [accept(1, 180, first)]).proposal(review(first))[0]
    assert (now.proposed_s, now.written_s, now.lessons) == (first, first, 8)


def test_without_the_acceptance_the_same_lessons_scaled_to_the_longer_budget_would_propose_more() -> None:
    """What is guarded against: 1.24 of 3:00 again and again, by hand 3:45, 4:45, 6:00 in steps of 15 s."""
    endings = lessons([1.24 * 180] * 15)
    plain = SortedPast(endings)
    assert [proposed(plain, review(budget)) for budget in (180, 225, 285)] == [225, 285, 360]
    assert proposed(AcceptedPast(endings, [accept(1, 180, 225)]), review(225)) == 225


def test_four_new_lessons_change_nothing_and_five_are_looked_at_alone() -> None:
    first = proposed(SortedPast(lessons(TOOK)), review(180))
    new = [300, 310, 320, 330, 340]
    four = AcceptedPast([*lessons(TOOK), *lessons(new[:4], first, 8)], [accept(1, 180, first)])
    five = AcceptedPast([*lessons(TOOK), *lessons(new, first, 8)], [accept(1, 180, first)])
    alone = SortedPast(lessons(new, first))
    assert proposed(four, review(first)) == first
    assert proposed(five, review(first)) == proposed(alone, review(first)) != first
    assert five.proposal(review(first))[0].lessons == 5


def test_the_curve_until_then_is_that_of_the_lessons_before() -> None:
    first = proposed(SortedPast(lessons(TOOK)), review(180))
    _made, before = SortedPast(lessons(TOOK)).proposal(review(180))
    four = AcceptedPast([*lessons(TOOK), *lessons([900] * 4, first, 8)], [accept(1, 180, first)])
    _made, curve = four.proposal(review(first))
    assert curve.quantile(0.7) == before.quantile(0.7)


def test_given_back_it_is_as_if_it_had_never_been_accepted() -> None:
    first = proposed(SortedPast(lessons(TOOK)), review(180))
    ones = [accept(1, 180, first), accept(2, first, 180)]
    assert standing(ones) == []
    assert (
        AcceptedPast(lessons(TOOK), ones).proposal(review(180))[0]
        == (SortedPast(lessons(TOOK)).proposal(review(180))[0])
    )


def test_another_budget_typed_since_and_other_phases_are_as_they_always_were() -> None:
    past, plain = AcceptedPast(lessons(TOOK), [accept(1, 180, 255)]), SortedPast(lessons(TOOK))
    for phase in (review(300), review(180), review(255, "another-review")):
        assert past.proposal(phase)[0] == plain.proposal(phase)[0]


def test_a_second_acceptance_stands_on_the_lessons_that_had_the_first() -> None:
    """The first budget had five lessons of its own, from which the second was proposed."""
    own = lessons([300, 310, 320, 330, 340], 240, 8)
    second = proposed(AcceptedPast([*lessons(TOOK), *own], [accept(1, 180, 240)]), review(240))
    both = AcceptedPast([*lessons(TOOK), *own], [accept(1, 180, 240), accept(2, 240, second)])
    made, curve = both.proposal(review(second))
    assert made.proposed_s == second
    _made, alone = SortedPast(own).proposal(review(240))
    assert curve.quantile(0.5) == alone.quantile(0.5)


def test_an_answer_for_a_phase_of_one_kind_is_not_given_for_the_same_phase_of_another_kind() -> None:
    """Of six lessons half had the accepted budget, so those before it are too few and the kind speaks."""
    others = [
        replace(past, phase=f"part {past.run}", kind="modeling") for past in lessons([60, 65, 70, 75, 80])
    ]
    endings = [*others, *lessons(TOOK[:3], 180, 10), *lessons(TOOK[3:6], 240, 13)]
    phase, accepted = review(240), [accept(1, 180, 240)]
    modeled = phase.model_copy(update={"kind": "modeling"})
    past = AcceptedPast(endings, accepted)
    past.proposal(phase)
    asked_alone = AcceptedPast(endings, accepted).proposal(modeled)[0]
    assert (asked_alone.by_kind, asked_alone.endings) == (True, 5)  # the five of its own kind
    assert past.proposal(modeled)[0] == asked_alone


def test_the_table_of_kinds_keeps_what_was_accepted_into_it_and_phases_do_not_know_of_it() -> None:
    kind = review(180, phase="")
    first = proposed(SortedPast(lessons(TOOK)), kind)
    past = AcceptedPast(lessons(TOOK), [accept(1, 180, first, target="kinds")])
    assert proposed(past, review(first, phase="")) == first
    assert proposed(past, review(first)) == proposed(SortedPast(lessons(TOOK)), review(first))
