"""What the Outline page shows beside what is written: the fit of the plan, and what the past says of it."""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from pacer.frames.words.fit import FitFrame, fit_frame
from pacer.frames.words.outline import phase_words
from pacer.frames.words.past import PastFrame, past_frame, whole_words
from pacer.plan.draft.check import DraftCheck
from pacer.plan.draft.draft import DraftPhase
from pacer.plan.fit import fit_of
from pacer.review.learning.budgets import like_of
from pacer.review.learning.plan_outlook import PlanOutlook
from pacer.text import _, ngettext


@dataclass(frozen=True)
class OutlineFeedback:
    """The fit, the past of each phase by its key, and the past's word on all together.

    ``must_move`` is whether the usual times together are more than the mini lesson holds.
    """

    fit: FitFrame | None = None
    past: Mapping[str, PastFrame] = field(default_factory=dict)
    whole: str = ""
    must_move: bool = False

    def row_words(self, phase: DraftPhase, problems: Mapping[str, str]) -> str:
        """What is wrong with a phase, field by field; else what the past says of it."""
        frame = self.past.get(phase.key)
        if frame is not None and not problems:
            return _("{title}: {past}", title=phase.title, past=frame.sentence)
        return "  ".join(f"{phase_words(name)}: {why}" for name, why in problems.items())


def feedback_on(look: DraftCheck, past: PlanOutlook | None) -> OutlineFeedback:
    """What to show beside an outline; of phases that are not whole yet, the fit knows nothing and says so."""
    outline = look.outline
    if outline is None:
        return OutlineFeedback()
    fit = fit_frame(outline, fit_of(outline))
    if look.left_out:
        many = len(look.left_out)
        words = ngettext(
            "Without {n} unfinished phase: {verdict}", "Without {n} unfinished phases: {verdict}", many
        )
        fit = replace(fit, verdict=words.format(n=many, verdict=fit.verdict))
    if past is None:
        return OutlineFeedback(fit)
    plan = past.plan_of(outline)
    frames, like = {}, like_of(outline)
    for key, phase in look.phases.items():
        frame = past_frame(past.past.proposal(phase, like)[0], past.past.endings_for(phase, like))
        if frame is not None:
            frames[key] = frame
    whole = whole_words(plan)
    return OutlineFeedback(fit, frames, whole, bool(whole) and not plan.fits)
