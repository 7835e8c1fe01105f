"""The smallest set of constraints that can't be kept together, by what any one of them would set free."""

from collections.abc import Callable, Sequence

from pacer.plan.week.integer_program import GaveUpError, IntegerProgram
from pacer.plan.week.problem import Family

MOST_TRIES = 400  # counted, not timed; usual weeks need fewer than 40


def smallest_clash(
    asked: Sequence[Family], can_hold: Callable[[Sequence[Family]], bool]
) -> tuple[tuple[Family, ...], bool]:
    """The fewest constraints that clash, and whether they are known to be the fewest.

    Whoever wants to set a clash free must let go at least one of its constraints. Each set that can hold
    therefore names, by what it leaves out, constraints of which every clash has one; the smallest choice
    with one of each is a clash as soon as it can't hold. (The idea is the implicit hitting set: Ignatiev and
    others, "Smallest MUS Extraction with Minimal Hitting Set Dualization", 2015.) Where that takes too many
    tries, what is left when no single constraint can be let go is named.
    """
    tries = 0

    def holds(kept: set[int]) -> bool:
        nonlocal tries
        tries += 1
        return can_hold([asked[at] for at in sorted(kept)])

    everything = set(range(len(asked)))
    if holds(everything):
        raise ValueError("nothing clashes")
    left_out: list[set[int]] = []
    try:
        while tries + len(asked) < MOST_TRIES:
            chosen = _fewest_of_each(len(asked), left_out)
            if not holds(chosen):
                return tuple(asked[at] for at in sorted(chosen)), True
            grown = set(chosen)
            for at in sorted(everything - chosen):
                if holds(grown | {at}):
                    grown.add(at)
            left_out.append(everything - grown)
    except GaveUpError:
        pass
    return tuple(asked[at] for at in sorted(_none_can_go(everything, holds))), False


def _fewest_of_each(count: int, sets: Sequence[set[int]]) -> set[int]:
    """The fewest of some numbers with one of every set among them."""
    program = IntegerProgram()
    for _number in range(count):
        program.number(1)
    for some in sets:
        program.row(dict.fromkeys(some, 1), 1)
    chosen = program.least(dict.fromkeys(range(count), 1))
    return {at for at, is_in in enumerate(chosen or ()) if is_in}


def _none_can_go(everything: set[int], holds: Callable[[set[int]], bool]) -> set[int]:
    """A clash in which each constraint is needed: one after the other is let go where it still clashes."""
    kept = set(everything)
    for at in sorted(everything):
        if not holds(kept - {at}):
            kept.remove(at)
    return kept
