"""The table of phase kinds, and a teacher who changes it."""

from collections.abc import Iterator
from fractions import Fraction

import pytest
from pydantic import ValidationError

from pacer.plan.file.reader import read_text
from pacer.plan.findings import findings
from pacer.plan.kinds import (
    KINDS,
    REVIEWING,
    REVIEWING_CAP_S,
    KindChange,
    changed,
    kind_of,
    reviewing_cap_s,
    use_kinds,
)
from pacer.plan.outline import Outline

PLAN = 'format = 1\ntitle = "T"\n[[phase]]\ntitle = "Review"\nkind = "review"\nbudget = "4"\n'


@pytest.fixture(autouse=True)
def _starting_values() -> Iterator[None]:
    yield
    use_kinds({})


def read(text: str) -> Outline:
    outline = read_text(text, "t.toml")
    assert isinstance(outline, Outline)
    return outline


def test_a_changed_kind_gives_its_new_defaults_to_outlines_read_afterwards() -> None:
    before = read(PLAN).phases[0]
    use_kinds({"review": KindChange(floor_percent=75, cut_tier=2, talk="quiet")})
    after = read(PLAN).phases[0]
    assert (before.floor_s, before.cut_tier, before.talk) == (120, 1, "class")
    assert (after.floor_s, after.cut_tier, after.talk) == (180, 2, "quiet")
    assert after.cap_group == before.cap_group
    use_kinds({})
    assert read(PLAN).phases[0] == before


def test_what_the_outline_says_wins_over_the_kind() -> None:
    use_kinds({"review": KindChange(floor_percent=75, cut_tier=2)})
    phase = read(PLAN + 'floor = "1"\ncut_tier = 3\n').phases[0]
    assert (phase.floor_s, phase.cut_tier) == (60, 3)


def test_a_changed_kind_is_the_teachers_own_figure_and_no_common_practice() -> None:
    review = KINDS["review"]
    assert changed(review, None) == changed(review, KindChange()) == review
    made = changed(review, KindChange(budget_s=240, floor_percent=50))
    assert (made.budget_s, made.floor, made.standing) == (240, Fraction(1, 2), "ours")


def test_every_kind_says_where_its_figures_come_from_and_has_a_floor_within_its_budget() -> None:
    assert {kind.standing for kind in KINDS.values()} == {"common practice", "ours"}
    assert all(0 < kind.floor <= 1 and kind.budget_s > 0 for kind in KINDS.values())


def test_a_kind_nobody_knows_is_other() -> None:
    assert kind_of("recess").name == "other"


@pytest.mark.parametrize(
    "wrong", [{"floor_percent": 101}, {"cut_tier": 0}, {"budget_s": 5}, {"talk": "loud"}]
)
def test_a_change_that_makes_no_sense_is_refused(wrong: dict) -> None:
    with pytest.raises(ValidationError):
        KindChange.model_validate(wrong)


def test_the_cap_of_a_kind_holds_where_the_outline_writes_none_and_never_under_a_budget() -> None:
    use_kinds({"review": KindChange(cap_s=270)})
    assert read(PLAN).phases[0].cap_s == 270
    assert read(PLAN.replace('"4"', '"6"')).phases[0].cap_s == 360, "what was written always opens"
    assert read(PLAN + 'cap = "5"\n').phases[0].cap_s == 300
    grouped = read(PLAN + 'cap_group = "mine"\ncap = "4"\n')
    assert (grouped.phases[0].cap_s, grouped.caps_s) == (None, {"mine": 240})
    assert not [one for one in findings(read(PLAN.replace('"4"', '"6"'))) if one.impossible]


def test_the_cap_on_all_reviewing_is_the_teachers() -> None:
    assert read(PLAN).caps_s == {REVIEWING: REVIEWING_CAP_S} == {REVIEWING: 300}
    use_kinds({}, 200)
    assert (read(PLAN).caps_s, reviewing_cap_s()) == ({REVIEWING: 200}, 200)
    told = [one for one in findings(read(PLAN)) if "cap" in one.rule]
    assert [(one.rule, one.impossible) for one in told] == [("group_cap_under_budgets", False)]
    use_kinds({})
    assert reviewing_cap_s() == 300
