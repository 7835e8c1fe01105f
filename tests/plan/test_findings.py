"""Plans that no lesson can keep are told apart from those that are only unwise, figure by figure."""

from collections.abc import Callable

import pytest

from pacer.plan.day_shapes import DayShape
from pacer.plan.file.reader import read_text
from pacer.plan.findings import Finding, block_findings, findings, impossible
from pacer.plan.outline import Outline

A = {"title": "A", "budget": "10", "floor": "5"}
PLAN = {"budget": "20", "floor": "10"}

# The block, the phases, the rule that must speak, and where its figure stands.
CAN_NOT_BE = [
    ({"minutes": 40, "mini_lesson": "50"}, [PLAN], "mini_over_block", ("block", "mini_lesson")),
    ({"minutes": 40}, [{"budget": "50"}], "mini_over_block", ("block", "mini_lesson")),
    ({"minutes": 40, "share": "41"}, [A], "part_over_block", ("block", "share")),
    ({"minutes": 40, "move": "41"}, [A], "part_over_block", ("block", "move")),
    ({"minutes": 40, "swap": "41"}, [A], "part_over_block", ("block", "swap")),
    ({"minutes": 40, "clean_up": "41"}, [A], "part_over_block", ("block", "clean_up")),
    ({"minutes": 40, "share": "20", "move": "20", "groups": 1}, [A], "parts_over_block", ("block",)),
    ({"minutes": 40, "swap": "20", "groups": 3}, [A], "parts_over_block", ("block",)),
    ({"minutes": 40, "mini_lesson": "30"}, [PLAN], "over_block", ("block", "mini_lesson")),
    ({"mini_lesson": "9"}, [PLAN], "floors_over_mini", ("block", "mini_lesson")),
    ({"minutes": 10}, [{"budget": "11"}], "budget_over_block", ("phase", 0, "budget")),
    ({"minutes": 10, "mini_lesson": "2"}, [A, {"budget": "11", "kind": "group"}], "budget_over_block",
     ("phase", 1, "budget")),
    ({}, [A | {"cap": "9"}], "cap_under_budget", ("phase", 0, "cap")),
    ({}, [A | {"cap": "4"}], "cap_under_floor", ("phase", 0, "cap")),
    ({}, [A | {"cap": "9", "cap_group": "g"}], "group_cap_under_budget", ("phase", 0, "budget")),
    ({}, [A | {"cap": "4", "cap_group": "g"}], "group_cap_under_floors", ("phase", 0, "cap_group")),
    ({}, [A | {"cap": "10", "cap_group": "g", "floor": "6"}, A | {"cap_group": "g", "floor": "6"}],
     "group_cap_under_floors", ("phase", 0, "cap_group")),
    ({}, [{"kind": "review", "budget": "12"}], "group_cap_under_floors", ("phase", 0, "cap_group")),
    ({"minutes": 60, "mini_lesson": "20"}, [PLAN, *[{"budget": "15", "kind": "group"}] * 3], "over_block",
     ("phase", 1, "budget")),
    ({"minutes": 60, "mini_lesson": "20", "clean_up": "0"}, [PLAN, {"budget": "35", "kind": "group"},
     {"budget": "6", "kind": "share"}], "over_block", ("phase", 1, "budget")),
]  # fmt: skip


def rules(outline: Outline) -> dict[str, Finding]:
    return {one.rule: one for one in findings(outline)}


@pytest.mark.parametrize(("block", "phases", "rule", "place"), CAN_NOT_BE)
def test_a_plan_that_no_lesson_can_keep_is_impossible_and_says_where_and_what_to_do(
    new_outline: Callable, block: dict, phases: list[dict], rule: str, place: tuple
) -> None:
    found = rules(new_outline(*phases, **block))
    assert rule in found, list(found)
    assert found[rule].impossible
    assert found[rule].place == place
    assert found[rule].what.endswith(".")
    assert found[rule].fix


def with_bursts(budget: str, *lengths: str) -> Outline:
    bursts = "".join(f'[[phase.burst]]\nlength = "{length}"\n' for length in lengths)
    text = f'format = 1\ntitle = "T"\n[[phase]]\ntitle = "A"\nbudget = "{budget}"\n{bursts}'
    outline = read_text(text, "o.toml")
    assert isinstance(outline, Outline)
    return outline


def test_a_burst_is_no_longer_than_its_phase_and_all_together_are_not_either() -> None:
    assert rules(with_bursts("1", "0:30", "1:01"))["burst_over_budget"].place == (
        "phase", 0, "burst", 1, "length",
    )  # fmt: skip
    assert rules(with_bursts("1", "0:40", "0:30"))["bursts_over_budget"].impossible
    assert not impossible(with_bursts("1", "0:30", "0:30"))
    assert not impossible(with_bursts("1", "1"))


UNSEEN = "\u200b\u2060\ufeff\u00ad\u3164\u115f\u1160\u2800\uffa0\u180e\u034f\u200d\ufe0f\u00a0\u2003\u3000"


@pytest.mark.parametrize("char", UNSEEN, ids=[f"U+{ord(char):04X}" for char in UNSEEN])
def test_a_title_that_can_not_be_seen_is_told_for_the_lesson_and_for_a_phase(char: str) -> None:
    for place, head, title in ((("title",), f"x{char}", "A"), (("phase", 0, "title"), "T", f"x{char}")):
        outline = read_text(f'format = 1\ntitle = "{head}"\n[[phase]]\ntitle = "{title}"\nbudget = 3\n', "o")
        assert isinstance(outline, Outline)
        assert "unseen_title" not in rules(outline), "a letter beside it can be seen"
        unseen = {"title": outline.title.strip("x") or char}
        if place != ("title",):
            unseen = {"phases": (outline.phases[0].model_copy(update={"title": char}),)}
        found = rules(outline.model_copy(update=unseen))["unseen_title"]
        assert (found.impossible, found.place) == (True, place)


@pytest.mark.parametrize(
    ("block", "phases", "rule"),
    [
        ({"mini_lesson": "15"}, [PLAN], "budgets_over_mini"),
        ({"minutes": 31, "mini_lesson": "20"}, [PLAN], "no_visits"),
        ({"minutes": 33, "mini_lesson": "20"}, [PLAN], "no_visits"),
        ({"groups": 1}, [PLAN, *[{"budget": "5", "kind": "group"}] * 2], "more_visits"),
        ({"groups": 0}, [PLAN, {"budget": "5", "kind": "group"}], "more_visits"),
        ({}, [A | {"cap": "15", "cap_group": "g"}, A | {"cap_group": "g"}], "group_cap_under_budgets"),
        ({}, [{"kind": "review", "budget": "7", "floor": "2"}], "group_cap_under_budgets"),
        ({}, [A | {"page": 2}], "page_of_nothing"),
        ({}, [A | {"page": 2, "attach": "line.png"}], "page_of_nothing"),
        ({"minutes": 45}, [A], "short_block"),
        ({}, [A], "unusual_mini"),
        ({}, [{"budget": "25"}], "groups_pay"),
        ({}, [{"budget": "8", "kind": "modeling", "examples": 4}], "many_examples"),
        ({}, [{"budget": "8", "kind": "modeling"}], "long_talk"),
        ({}, [PLAN, {"kind": "move", "budget": "1"}, {"kind": "review", "budget": "1"}], "taught_behind"),
    ],
)
def test_what_is_only_unwise_is_told_and_is_no_fault(
    new_outline: Callable, block: dict, phases: list[dict], rule: str
) -> None:
    outline = new_outline(*phases, **block)
    assert rule in rules(outline)
    assert not impossible(outline)


@pytest.mark.parametrize(
    ("block", "phases"),
    [
        ({"minutes": 31, "mini_lesson": "20", "groups": 0}, [PLAN]),
        ({"minutes": 31, "mini_lesson": "20"}, [PLAN]),
        ({"mini_lesson": "10"}, [PLAN]),
        ({}, [A | {"cap": "10"}]),
        ({}, [A | {"cap": "200 s", "budget": "200 s", "floor": "200 s"}]),
        ({}, [A | {"cap": "20", "cap_group": "g"}, A | {"cap_group": "g"}]),
        ({}, [A | {"cap": "120"}]),
        ({"minutes": 20, "share": "20", "groups": 0, "clean_up": 0}, [{"budget": "20", "kind": "share"}]),
        ({"minutes": 60, "mini_lesson": "20", "clean_up": 1}, [PLAN, {"budget": "39", "kind": "group"},
                                                              {"budget": "1 s", "kind": "share"}][:2]),
    ],
)  # fmt: skip
def test_figures_that_are_equal_or_never_meet_are_possible(
    new_outline: Callable, block: dict, phases: list[dict]
) -> None:
    if len(phases) == 2 and phases[1].get("kind") == "group":
        block = block | {"share": 0}
    assert [one.rule for one in impossible(new_outline(*phases, **block))] == []


def test_impossible_things_come_before_unwise_ones(new_outline: Callable) -> None:
    found = findings(new_outline(A | {"cap": "4"}, minutes=40, mini_lesson="50"))
    assert [one.impossible for one in found] == sorted((one.impossible for one in found), reverse=True)
    assert len({one.impossible for one in found}) == 2


def test_a_day_shape_is_held_to_the_same_rules() -> None:
    shape = DayShape(name="Short", start="9:00", length_s=600, share_s=300, move_s=300, groups=3)
    assert [one.rule for one in block_findings(shape.block)] == ["parts_over_block"]
    assert block_findings(DayShape(name="Regular", start="9:00", length_s=4500).block) == ()


def test_the_cap_on_reviewing_is_told_without_its_name_in_the_file(new_outline: Callable) -> None:
    (found,) = impossible(new_outline({"kind": "review", "budget": "12"}))
    assert found.what == "The floors of warm-up and review come to 6:00, over their cap (5:00)."
