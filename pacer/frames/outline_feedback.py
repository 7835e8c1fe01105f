"""What the Outline page shows beside what is written: the fit of the plan, and what the past says of it."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from pacer.frames.words.fit import FitFrame, fit_frame
from pacer.frames.words.past import PastFrame, past_frame, whole_words
from pacer.plan.draft.check import Look
from pacer.plan.fit import fit_of
from pacer.review.learning.budgets import like_of
from pacer.review.learning.plan_outlook import PlanOutlook
from pacer.text import ngettext


@dataclass(frozen=True)
class Sight:
    """The fit, the past of each phase by its key, and the past's word on all together.

    ``must_move`` is whether the usual times together are more than the mini lesson holds.
    """

    fit: FitFrame | None
    past: Mapping[str, PastFrame]
    whole: str
    must_move: bool


def sight_of(look: Look, past: PlanOutlook | None) -> Sight:
    """What to show beside an outline; of phases that are not whole yet, the fit knows nothing and says so."""
    outline = look.outline
    if outline is None:
        return Sight(None, {}, "", False)
    fit = fit_frame(outline, fit_of(outline))
    if look.left_out:
        many = len(look.left_out)
        words = ngettext(
            "Without {n} unfinished phase: {verdict}", "Without {n} unfinished phases: {verdict}", many
        )
        fit = replace(fit, verdict=words.format(n=many, verdict=fit.verdict))
    if past is None:
        return Sight(fit, {}, "", False)
    plan = past.plan_of(outline)
    frames, like = {}, like_of(outline)
    for key, phase in look.phases.items():
        frame = past_frame(past.past.proposal(phase, like)[0], past.past.endings_for(phase, like))
        if frame is not None:
            frames[key] = frame
    whole = whole_words(plan)
    return Sight(fit, frames, whole, bool(whole) and not plan.fits)
