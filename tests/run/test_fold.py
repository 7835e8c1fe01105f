"""Every event that a day record may hold leaves its trace in the state of the lesson."""

from collections.abc import Callable
from typing import get_args

import pytest

from pacer.run import events as ev
from pacer.run.events import AnyBody, Body, Event
from pacer.run.fold import step
from pacer.run.state import LessonState
from pacer.run.timeline import Span

KINDS: tuple[type[Body], ...] = get_args(get_args(AnyBody)[0])
# Undone is taken care of before events are folded one by one.
FOLDED = [kind for kind in KINDS if kind is not ev.Undone]
SAMPLES = {
    "planned_utc_ms": 900_000, "to": 1, "ending": "done", "seconds": 60, "index": 0, "low": 0.2, "high": 0.4,
    "end_ms": 80_000, "lessons": 8, "length_s": 30, "number": 3, "face": "strip", "fill": "problem",
    "page": 2, "edge": "top", "screens": ("one",), "late_ms": 600, "hidden": True, "offset_s": 4,
    "gap_ms": 4_000, "cue": "talk", "leg": "swap", "group": 1,
}  # fmt: skip


def sample(kind: type[Body], outline) -> Body:
    """An event's body with whatever it must have."""
    held = SAMPLES | {"outline": outline.model_copy(update={"table_list": "One\nTwo\nThree\nFour"})}
    return kind(**{name: held[name] for name, field in kind.model_fields.items() if field.is_required()})


def after(state: LessonState, body: Body, number: int) -> LessonState:
    at = number * 1_000
    return step(state, Event(seq=number, t_ms=at, mono_ms=at, utc_ms=at, body=body))


@pytest.mark.parametrize("kind", FOLDED, ids=lambda kind: kind.__name__)
def test_an_event_leaves_its_trace(invented, kind) -> None:
    state = LessonState()
    for number, body in enumerate((ev.Started, ev.BurstStarted, ev.EyesBack, ev.Blanked)):
        state = after(state, sample(body, invented), number)
    assert after(state, sample(kind, invented), 9) != state


@pytest.mark.parametrize("ending", ["bell-now", "end", "groups"])
def test_a_partner_talk_is_over_with_what_it_was_part_of(new_lesson: Callable, ending: str) -> None:
    lesson = new_lesson().wait(10).do("burst", "1:00").wait(20).do(ending).wait(30)
    assert lesson.state.talk is None
    assert lesson.state.talks[-1].span == Span(10_000, 30_000)
