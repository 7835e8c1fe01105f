"""What the past says of a budget, in few words; nothing below five lessons."""

from dataclasses import dataclass

from pacer.frames.words.wording import lessons_words
from pacer.pace.forecasts.past import PastEnding
from pacer.plan.durations import brief_duration
from pacer.review.learning.budgets import Proposal, WholePlan
from pacer.text import _

Dot = tuple[float, bool]  # seconds, and whether the work was done; an open dot means "at least so long"


@dataclass(frozen=True)
class PastFrame:
    """The past of one phase. ``cells`` say the same, the longest first; ``budget_s`` is what is written."""

    cells: tuple[str, ...]
    sentence: str
    use_s: int
    budget_s: int
    dots: tuple[Dot, ...]


def past_frame(proposal: Proposal, endings: tuple[PastEnding, ...]) -> PastFrame | None:
    """The past of a phase; None where it is too short to say anything."""
    if proposal.proposed_s is None:
        return None
    budget = brief_duration(proposal.proposed_s)
    about = (_("at least {n}") if proposal.at_least else _("about {n}")).format(n=budget)
    many = lessons_words(proposal.lessons)
    cut = _("{lessons}, {n} cut off", lessons=many, n=proposal.cut_off) if proposal.cut_off else many
    return PastFrame(
        cells=(f"{about} ({cut})", f"{about} ({many})", about),
        sentence=_sentence(proposal, budget, cut),
        use_s=proposal.proposed_s,
        budget_s=proposal.written_s,
        dots=tuple((ending.actual_s, ending.is_complete("takes")) for ending in endings),
    )


def _sentence(proposal: Proposal, budget: str, cut: str) -> str:
    words = _("{n} is enough on about 7 of 10 days.")
    if proposal.at_least:
        words = _("At least {n} for 7 of 10 days.")
    parts = [words.format(n=budget)]
    if proposal.given_s is not None:
        parts.append(_("You gave {n}.", n=brief_duration(_to_half_minutes(proposal.given_s))))
    parts.append(_("{lessons}, from its kind.", lessons=cut) if proposal.by_kind else f"{cut}.")
    if proposal.proposed_s != proposal.written_s:
        parts.append(_("Ctrl+U writes {n}.", n=budget))
    return " ".join(parts)


def _to_half_minutes(seconds: int) -> int:
    """What lessons are remembered by is no finer than that."""
    return 30 * max(1, round(seconds / 30))


def whole_words(plan: WholePlan) -> str:
    """What the past says of all budgets together; empty where it says nothing.

    The level is that of equal parts of the mini lesson and of each phase by itself: where 8 of 10 is said,
    all phases of a day keep their parts on 3 or 4 of 10, and the budgets as they are written on 1 or fewer;
    all together end in time on 8 or 9 (`tests/review/learning/test_budgets_level.py`).
    """
    if all(proposal.proposed_s is None for proposal in plan.proposals):
        return ""
    if not plan.fits:
        needs = brief_duration(60 * -(-plan.needs_s // 60))
        words = (
            _("By past lessons this needs at least {n} min: choose what moves.") if plan.at_least else None
        )
        return (words or _("By past lessons this needs {n} min: choose what moves.")).format(n=needs)
    if plan.level is None:
        return ""
    days = _level_words(plan.level)
    if plan.level_at_most:
        return _("Shared out evenly, each phase has enough on {days}, perhaps fewer.", days=days)
    return _("Shared out evenly, each phase has enough on {days}.", days=days)


def _level_words(level: float) -> str:
    """On how many of ten days each phase has enough: never all or none of them, which nobody knows."""
    tenths = round(level * 10)
    if tenths == 0:
        return _("fewer than 1 of 10 days")
    return _("more than 9 of 10 days") if tenths == 10 else _("about {n} of 10 days", n=tenths)
