"""An outline while it is written: what is whole counts already, and each fault stands at its field."""

from pacer.plan.draft.check import look_at
from pacer.plan.draft.draft import Draft, insert, set_block, set_field, set_head
from pacer.plan.draft.listed_lines import set_listed
from pacer.plan.draft.with_text import plain_outline
from pacer.plan.typed.read_typed import read_typed


def two() -> Draft:
    """An invented outline of two phases."""
    draft, _words = set_head(Draft(), "title", "Thirds on a number line")
    rows = {
        "Skip count": {"kind": "warm-up", "budget": "2"},
        "Model": {"kind": "modeling", "budget": "7", "class_line": "Watch"},
    }
    for title, fields in rows.items():
        draft, key = insert(draft, len(draft.phases), title)
        for name, value in fields.items():
            draft, _shown = set_field(draft, key, name, value)
    return draft


def test_a_whole_outline_gives_each_phase_by_its_key_and_no_problem():
    draft = two()
    found = look_at(draft)
    assert found.outline is not None
    assert [found.phases[phase.key].title for phase in draft.phases] == ["Skip count", "Model"]
    assert (found.left_out, dict(found.problems)) == ((), {})


def test_a_phase_that_lacks_something_is_left_out_and_says_what_it_needs():
    draft, key = insert(two(), 1, "Review")
    found = look_at(draft)
    assert [phase.title for phase in found.outline.phases] == ["Skip count", "Model"]
    assert found.left_out == (key,)
    assert found.of(key) == {"budget": "Write how many minutes it gets."}


def test_without_a_title_the_phases_count_already():
    draft, _words = set_head(two(), "title", "")
    found = look_at(draft)
    assert dict(found.problems) == {(None, "title"): "Give the lesson a title."}
    assert len(found.outline.phases) == 2


def test_an_outline_without_a_whole_phase_is_none():
    draft, key = insert(Draft(), 0, "")
    found = look_at(draft)
    assert (found.outline, dict(found.phases), found.left_out) == (None, {}, (key,))
    assert found.of(key) == {"title": "Give the phase a title."}
    assert found.problems[None, "title"] == "Give the lesson a title."


def test_as_plain_text_the_phases_are_read_back_and_one_without_a_title_is_left_out():
    draft, _words = set_field(two(), two().phases[0].key, "notes", "count aloud")
    draft, _key = insert(draft, 1, "")
    read = read_typed(plain_outline(draft))
    assert [(p.title, p.seconds, p.kind, p.class_line, p.notes) for p in read.phases] == [
        ("Skip count", 120, "warm-up", "", "count aloud"),
        ("Model", 420, "modeling", "Watch", ""),
    ]


def test_a_group_that_will_not_do_is_told_at_the_groups_and_the_rest_counts():
    draft, _words = set_listed(two(), "named_groups", "Circle\n| carpet")
    draft, _words = set_listed(draft, "stations", "Our table | two words | | perhaps")
    draft, _words = set_block(draft, "visit_floor", "soon")
    found = look_at(draft)
    assert dict(found.problems) == {
        (None, "named_groups"): 'Group 2 has no name. Add a line: name = "…"',
        (None, "stations"): '"perhaps" is not true or false. Only your own table is marked: teacher = true.',
        (None, "visit_floor"): '"soon" is not a duration. Write minutes "3", "2:30", "90 s" or "PT2M30S".',
    }
    assert len(found.outline.phases) == 2


def test_groups_that_are_whole_are_in_the_outline():
    draft, _words = set_listed(two(), "named_groups", "Circle | carpet\nTriangle")
    draft, _words = set_block(draft, "order", "Triangle, Circle")
    found = look_at(draft)
    assert [group.name for group in found.outline.visitors] == ["Circle", "Triangle"]
    assert found.outline.visit_order == (1, 0)
