"""Invented drafts."""

from dataclasses import replace

from pacer.plan.draft.draft import Draft, DraftPhase, set_head


def three() -> Draft:
    """An invented outline of three phases."""
    draft, _words = set_head(Draft(), "title", "Thirds on a number line")
    phases = (
        DraftPhase("p1", "Skip count", kind="warm-up", budget="2"),
        DraftPhase("p2", "Model", kind="modeling", budget="7", class_line="Watch"),
        DraftPhase("p3", "Talk", budget="1:30"),
    )
    return replace(draft, phases=phases, keys_given=3)
