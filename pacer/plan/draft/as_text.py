"""A draft as plain text: its phases one a line with class lines and notes, to be pasted anywhere."""

from pacer.plan.draft.draft import Draft
from pacer.plan.draft.with_text import typed_phase
from pacer.plan.typed.read_typed import plain_text


def plain_outline(draft: Draft) -> str:
    """The phases with all that text can say of them; those without a title are left out."""
    return plain_text(typed_phase(phase) for phase in draft.phases if phase.title.strip())
