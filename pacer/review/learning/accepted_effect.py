"""What an accepted budget changed: how often the phase kept its budget before and since, and by how much."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime

from pacer.log.accepted import KIND_TABLE, Accepted
from pacer.pace.forecasts.past import PastEnding, mini_lesson, usable
from pacer.pace.forecasts.survival import fit
from pacer.review.learning.budgets import LEAST_LESSONS


@dataclass(frozen=True)
class Side:
    """The lessons before or since; each ending is held against the budget that its own lesson had.

    Of ``endings`` in ``lessons``, ``kept`` were done within their budget, ``over`` went past it, and
    ``unknown`` were cut off before it was used up. ``ratio`` is the median of actual over budget where a cut
    off ending counts as at least so long; it may be only a lower bound (``at_least``). None without endings.
    """

    lessons: int
    endings: int
    kept: int
    over: int
    unknown: int
    ratio: float | None
    at_least: bool

    @property
    def is_enough(self) -> bool:
        """Whether there are lessons enough to say anything."""
        return self.lessons >= LEAST_LESSONS


@dataclass(frozen=True)
class Effect:
    """The lessons before an acceptance and since; ``with_it`` endings since had the accepted budget.

    A record of both sides, told with their lessons, and no verdict. Of a teacher who changed nothing but the
    budget, for the one that was proposed, a phase that kept its budget 3 times in 10 keeps it 7 times in 10;
    the median since lies within a tenth of what is usual in 54 of 100 cases after five lessons, in 84 after
    twenty (`tests/review/learning/test_accepted_effect_known.py`).
    """

    before: Side
    since: Side
    with_it: int

    @property
    def is_known(self) -> bool:
        """Whether both sides have lessons enough; otherwise nothing is said."""
        return self.before.is_enough and self.since.is_enough


def effects(
    endings: Sequence[PastEnding], accepted: Sequence[Accepted], began_utc_ms: Mapping[int, int]
) -> dict[int, Effect]:
    """The effect of each acceptance by its number.

    Where budgets were accepted several times in one place, the lessons before one begin with the acceptance
    before and those since end with the next, so that no lesson speaks for two budgets. ``began_utc_ms`` says
    when each lesson began; an imported one has only its date, and lies after an acceptance from the next on.
    """
    usable_endings = usable(mini_lesson(endings))
    by_phase: dict[str, list[PastEnding]] = {}
    by_kind: dict[str, list[PastEnding]] = {}
    for past in usable_endings:
        by_phase.setdefault(past.phase, []).append(past)
        by_kind.setdefault(past.kind, []).append(past)
    places: dict[tuple[str, str], list[Accepted]] = {}
    for acceptance in accepted:
        places.setdefault(acceptance.place, []).append(acceptance)
    by_id: dict[int, Effect] = {}
    for (target, name), there in places.items():
        own = (by_kind if target == KIND_TABLE else by_phase).get(name, [])
        parts = _parts(own, there, began_utc_ms)
        for number, acceptance in enumerate(there):
            # A budget that was given back before any lesson had it parts nothing.
            before = next((part for part in reversed(parts[: number + 1]) if part), [])
            since = parts[number + 1]
            with_it = sum(past.planned_s == acceptance.new_s for past in since)
            by_id[acceptance.id] = Effect(_side(before), _side(since), with_it)
    return by_id


def _parts(
    own: Sequence[PastEnding], accepted: Sequence[Accepted], began_utc_ms: Mapping[int, int]
) -> list[list[PastEnding]]:
    """The endings cut at each acceptance: one part more than there are acceptances."""
    parts: list[list[PastEnding]] = [[] for _ in range(len(accepted) + 1)]
    for past in own:
        parts[sum(_is_since(past, acceptance, began_utc_ms) for acceptance in accepted)].append(past)
    return parts


def _is_since(past: PastEnding, acceptance: Accepted, began_utc_ms: Mapping[int, int]) -> bool:
    began = began_utc_ms.get(past.run)
    if began is not None:
        return began > acceptance.utc_ms
    return past.date > datetime.fromtimestamp(acceptance.utc_ms / 1000, UTC).date().isoformat()


def _side(endings: Sequence[PastEnding]) -> Side:
    over = sum(past.actual_s > past.planned_s for past in endings)
    kept = sum(past.is_complete("takes") and past.actual_s <= past.planned_s for past in endings)
    ratio, at_least = None, False
    if endings:
        ratios = [past.actual_s / past.planned_s for past in endings]
        middle = fit(ratios, [past.is_complete("takes") for past in endings]).quantile(0.5)
        ratio, at_least = middle.seconds, middle.at_least
    return Side(
        lessons=len({past.run for past in endings}),
        endings=len(endings),
        kept=kept,
        over=over,
        unknown=len(endings) - kept - over,
        ratio=ratio,
        at_least=at_least,
    )
