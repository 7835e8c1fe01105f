"""The past of accepted budgets: what was taken doesn't grow once more out of the same lessons.

Elsewhere a duration under another budget is scaled to today's, for a longer budget usually means more work.
An accepted budget means no more work: lessons before it, scaled, would propose still more at once.
"""

from collections.abc import Sequence
from dataclasses import replace

from pacer.log.accepted import KIND_TABLE, Accepted
from pacer.pace.forecasts.past import Like, PastEnding, mini_lesson, usable
from pacer.pace.forecasts.survival import Curve
from pacer.plan.outline import Phase
from pacer.review.learning.budgets import ANY, LEAST_LESSONS, BudgetKey, Proposal, SortedPast

_Place = tuple[bool, str]  # whether it is a kind of the table, and the kind or the phase's id


class AcceptedPast(SortedPast):
    """A sorted history that knows what was accepted.

    Where a written budget is one that was accepted for this phase, only lessons that had it are looked at.
    Until there are five, the proposal stays what was accepted, with the lessons behind it then.
    """

    def __init__(self, endings: Sequence[PastEnding], accepted: Sequence[Accepted]) -> None:
        super().__init__(endings)
        self._sound = usable(mini_lesson(endings))
        self._stacks = [(place_of(stack[-1]), stack) for stack in standing(accepted)]
        self._answers: dict[tuple[BudgetKey, str, str, int], tuple[Proposal, Curve | None]] = {}

    def proposal(self, phase: Phase, like: Like = ANY) -> tuple[Proposal, Curve | None]:
        """What the past says of a phase and its budget, and the curve of the time it takes, if any."""
        place = _place_of_phase(phase)
        stack = self._stack(place, phase.budget_s)
        if not stack:
            return super().proposal(phase, like)
        key = self._key(phase, like), phase.id, phase.kind, phase.budget_s
        if key not in self._answers:
            self._answers[key] = self._after(place, phase, like, stack)
        proposal, curve = self._answers[key]
        return replace(proposal, title=phase.title), curve

    def _stack(self, place: _Place, budget_s: int) -> tuple[Accepted, ...]:
        standing_here = (stack for at, stack in self._stacks if at == place and stack[-1].new_s == budget_s)
        return next(standing_here, ())

    def _after(
        self, place: _Place, phase: Phase, like: Like, stack: tuple[Accepted, ...]
    ) -> tuple[Proposal, Curve | None]:
        """Proposal and curve where the last of ``stack`` is what is written."""
        last = stack[-1] if stack else None
        if last is None or last.new_s != phase.budget_s:
            return super().proposal(phase, like)
        own = [past for past in self._sound if _is_of(past, place) and past.planned_s == phase.budget_s]
        if len({past.run for past in own}) >= LEAST_LESSONS:
            return SortedPast(own).proposal(phase, like)
        earlier = phase.model_copy(update={"budget_s": last.old_s})
        proposal, curve = self._before(place, earlier, like, last, stack[:-1])
        kept = replace(
            proposal,
            written_s=phase.budget_s,
            proposed_s=last.new_s,
            lessons=last.lessons,
            cut_off=last.cut_off,
        )
        return kept, curve

    def _before(
        self, place: _Place, earlier: Phase, like: Like, last: Accepted, stack: tuple[Accepted, ...]
    ) -> tuple[Proposal, Curve | None]:
        """The same as it was when ``last`` was accepted: without the few lessons that had its budget."""
        if stack and stack[-1].new_s == earlier.budget_s:
            return self._after(place, earlier, like, stack)
        rest = [
            past
            for past in self._sound
            if (past.phase == earlier.id or past.kind == earlier.kind)
            and not (_is_of(past, place) and past.planned_s == last.new_s)
        ]
        return SortedPast(rest).proposal(earlier, like)


def standing(accepted: Sequence[Accepted]) -> list[tuple[Accepted, ...]]:
    """For each place what was accepted there and not given back, the oldest first; none is empty."""
    stacks: dict[tuple[str, str], list[Accepted]] = {}
    for acceptance in accepted:
        stack = stacks.setdefault(acceptance.place, [])
        if stack and (acceptance.old_s, acceptance.new_s) == (stack[-1].new_s, stack[-1].old_s):
            stack.pop()
        else:
            stack.append(acceptance)
    return [tuple(stack) for stack in stacks.values() if stack]


def place_of(acceptance: Accepted) -> _Place:
    """Which phases an acceptance speaks for: those of an id, whatever their outline, or of a kind."""
    return (True, acceptance.kind) if acceptance.target == KIND_TABLE else (False, acceptance.phase)


def _place_of_phase(phase: Phase) -> _Place:
    return (False, phase.id) if phase.id else (True, phase.kind)


def _is_of(past: PastEnding, place: _Place) -> bool:
    by_kind, name = place
    return (past.kind if by_kind else past.phase) == name
