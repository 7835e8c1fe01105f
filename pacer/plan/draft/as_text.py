"""A draft as plain text: its phases one a line with class lines and notes, to be pasted anywhere."""

from pacer.plan.draft.draft import Draft
from pacer.plan.draft.with_text import seconds_of
from pacer.plan.kinds import KINDS
from pacer.plan.typed.read_typed import TypedPhase, plain_text


def plain_outline(draft: Draft) -> str:
    """The phases with all that text can say of them; those without a title are left out."""
    return plain_text(
        TypedPhase(
            title=phase.title,
            seconds=seconds_of(phase.budget),
            kind=KINDS[phase.kind].name if phase.kind in KINDS else "other",
            class_line=phase.class_line,
            notes=phase.notes,
        )
        for phase in draft.phases
        if phase.title.strip()
    )
