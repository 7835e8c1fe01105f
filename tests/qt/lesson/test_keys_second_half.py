"""Every key in every leg of the second half does something or says why not; none leaves the teacher alone."""

from typing import get_args

import pytest

from pacer.commands import KEYS, LessonPart, named_keys
from tests.qt.lesson.half_factories import LEG_KINDS, Bare, go_to


@pytest.fixture
def new_bare(qapp, invented):
    """Begins a lesson of the invented plan without windows."""
    made = []

    def begin() -> Bare:
        made.append(Bare(invented))
        return made[-1]

    yield begin
    for bare in made:
        bare.shut()


@pytest.mark.every_case
@pytest.mark.parametrize("key", KEYS, ids=lambda key: key.label)
@pytest.mark.parametrize("kind", LEG_KINDS)
def test_every_key_in_every_leg_writes_down_an_event_or_says_why_not(new_bare, kind, key):
    made = go_to(new_bare(), kind)
    before = len(made.session.events)
    made.clock.advance(1000)
    made.lesson.press_key(key)
    assert (len(made.session.events) > before) is not bool(made.refusals), made.refusals
    assert all(reason.endswith((".", "Home.")) and "{" not in reason for reason in made.refusals)


@pytest.mark.parametrize("kind", LEG_KINDS)
def test_what_the_desk_names_in_this_half_is_not_refused_for_being_of_the_other(new_bare, kind):
    made = go_to(new_bare(), kind)
    for key, _title in named_keys("half"):
        made.clock.advance(1000)
        made.lesson.press_key(key)
        if not made.session.state.is_running:
            made.lesson.press("undo")
    assert [reason for reason in made.refusals if "mini lesson" in reason] == []


@pytest.mark.parametrize("kind", ["move", "share"])
def test_page_up_held_goes_back_to_the_leg_or_the_phase_before(new_stage, invented, kind):
    made = go_to(new_stage(invented).start(), kind)
    before = made.session.state.legs[-2].kind if len(made.session.state.legs) > 1 else None
    made.tap("PageUp", down_ms=700)
    state = made.session.state
    assert (None if state.leg is None else state.leg.kind) == before


def test_a_number_that_no_group_has_does_not_lead_back_into_the_mini_lesson(new_stage, invented):
    made = go_to(new_stage(invented).start(), "visit")
    made.tap("Ctrl+5")
    assert made.session.state.leg.kind == "visit"
    assert made.refusals == ['There is no group and no phase "5".']
    made.tap("Ctrl+3")
    assert made.session.state.leg.group == 2


def test_the_desk_names_in_each_part_only_the_keys_that_are_of_use_there():
    mini, half, over = ([key.label for key, _title in named_keys(part)] for part in get_args(LessonPart))
    assert {"G", "P", "K", "U"} <= set(mini)
    assert {"P", "E", "M", "U", "C", "G"} & set(half) == set()
    assert {"O", "L", "Home", "Ctrl+Down", "Ctrl+Up", "Ctrl+1–9"} <= set(half)
    assert not {"O", "L", "Ctrl+Down"} & set(mini)
    assert over == ["Page Up"]
