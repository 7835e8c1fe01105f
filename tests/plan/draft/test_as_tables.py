"""A draft read as its file would be: the outline it means, or every problem at its phase and field."""

from pacer.plan.draft.as_tables import places_of, to_outline
from pacer.plan.draft.draft import insert, set_block, set_field
from pacer.plan.outline import Outline
from tests.plan.draft.draft_factories import three


def test_pasted_phases_read_as_the_outline_they_mean():
    outline = to_outline(three())
    assert isinstance(outline, Outline), outline
    assert [(phase.title, phase.budget_s, phase.kind) for phase in outline.phases] == [
        ("Skip count", 120, "warm-up"),
        ("Model", 420, "modeling"),
        ("Talk", 90, "other"),
    ]
    assert outline.phases[1].class_line == "Watch"


def test_a_budget_that_was_not_typed_yet_stays_empty_and_reading_says_which_phase():
    draft, key = insert(three(), 1, "Review")
    problems = to_outline(draft)
    assert isinstance(problems, list)
    assert [str(problem.what) for problem in problems] == ["Phase 2 has no budget."]
    assert places_of(draft, problems) == [(key, None)]


def test_a_problem_is_placed_at_its_phase_and_field():
    draft = three()
    for key, name, text in (("p1", "floor", "9"), ("p2", "kind", "modelling"), ("p3", "budget", "soon")):
        draft, _words = set_field(draft, key, name, text)
    draft, _words = set_block(draft, "groups", "many")
    draft, _words = set_field(draft, "p3", "bursts", "0:30 | Say it\n9 h | Long")
    problems = to_outline(draft)
    assert isinstance(problems, list)
    assert sorted(places_of(draft, problems), key=str) == sorted(
        [("p2", "kind"), ("p3", "budget"), ("p3", "bursts"), (None, "groups")], key=str
    )
    for key, name, text in (("p2", "kind", "modeling"), ("p3", "budget", "2"), ("p3", "bursts", "")):
        draft, _words = set_field(draft, key, name, text)
    draft, _words = set_block(draft, "groups", "3")
    problems = to_outline(draft)
    assert isinstance(problems, list)
    assert places_of(draft, problems) == [("p1", "floor")]
    assert 'The floor of "Skip count" is longer than its budget.' in str(problems[0])
