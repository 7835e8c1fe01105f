"""What was not taught: why and where it went, against the raw events, and adding up on any history."""

from collections import Counter
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.plan.kinds import KINDS
from pacer.review.choice import LessonChoice
from pacer.review.days import Day
from pacer.review.questions.not_taught import WENT, not_taught, why_not
from pacer.review.questions.units import unit_of
from tests.review.by_hand_kept import missing_table
from tests.review.questions.test_review_kept import DEMO
from tests.review.questions.test_weeks import day, phase


@pytest.mark.parametrize("which", ["term", "rich"])
def test_each_phase_that_was_not_taught_is_one_of_the_raw_events(request, which: str) -> None:
    table = missing_table(request.getfixturevalue(f"{which}_folder"))
    found = not_taught(request.getfixturevalue(which), DEMO)
    gone = table[table["why"] != ""]
    wanted = Counter(zip(gone["run"], gone["title"], gone["why"], gone["went"], gone["missing"], strict=True))
    assert Counter((m.run, m.phase, m.why, m.went, m.missing_s) for m in found.missing) == wanted
    assert [row.name for row in found.rows] == [kind for kind in KINDS if (table["kind"] == kind).any()]
    for row in found.rows:
        own = table[table["kind"] == row.name]
        assert (row.planned, row.taught) == (len(own), (own["why"] == "").sum())
        assert row.missing_s == own.loc[own["why"] != "", "missing"].sum()
        for went in WENT:
            assert len(row.of(went)) == ((own["why"] != "") & (own["went"] == went)).sum()
    assert found.planned == len(table)
    assert found.lessons == table["run"].nunique()
    if which == "rich":
        assert set(gone["why"]) == {"left", "skipped", "cut off"}
        assert set(gone["went"]) == set(WENT)


def test_the_unit_counts_the_same_phases(rich: tuple[Day, ...]) -> None:
    unit = unit_of(rich, DEMO)
    assert unit is not None
    missing = not_taught(rich, DEMO).missing
    found = Counter((m.date, m.lesson, m.phase, m.why, m.went, m.missing_s) for m in missing)
    assert found == Counter((n.date, n.lesson, n.phase, n.why, n.went, n.missing_s) for n in unit.not_taught)


def test_one_outline_has_its_own_phases_and_chosen_kinds_narrow_them(rich, rich_folder: Path) -> None:
    table = missing_table(rich_folder)
    title = table["lesson"].mode()[0]
    own = table[table["lesson"] == title]
    found = not_taught(rich, LessonChoice(modes=("demo",), titles=(title,)))
    assert [(row.name, row.title) for row in found.rows] == list(
        own[["id", "title"]].drop_duplicates().itertuples(index=False, name=None)
    )
    assert [len(row.missing) for row in found.rows] == [
        ((own["id"] == row.name) & (own["why"] != "")).sum() for row in found.rows
    ]
    (row,) = not_taught(rich, LessonChoice(modes=("demo",), kinds=("modeling",))).rows
    assert row.planned == (table["kind"] == "modeling").sum()


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"ending": "done"}, None),
        ({"ending": "moved on", "actual_s": 1}, None),
        ({"ending": "bell", "actual_s": 60}, None),
        ({"ending": "bell", "actual_s": 59}, "cut off"),
        ({"ending": "interrupted", "actual_s": 0}, "cut off"),
        ({"ending": "skipped", "begin_s": None}, "skipped"),
        ({"ending": "skipped", "begin_s": None, "left": True}, "left"),
        ({"ending": "skipped", "begin_s": 5}, "skipped"),
        ({"ending": "done", "left": True}, None),
    ],
)
def test_a_phase_is_taught_unless_it_left_or_was_skipped_or_cut_off_before_its_floor(changes, why) -> None:
    assert why_not(phase("review", 120, 100)._replace(floor_s=60, **changes)) == why


def whole_day(*endings, begun=3):
    """An invented lesson with groups and share as phases; so many of its four phases were begun."""
    kinds = ("review", "move", "group", "share")
    made = [phase(kind, 300, 300, ending) for kind, ending in zip(kinds, endings, strict=True)]
    return day(1, "2026-03-09")._replace(
        phases=tuple(
            one._replace(id=one.kind, mini=at == 0, begin_s=at * 300 if at < begun else None)
            for at, one in enumerate(made)
        )
    )


def test_a_share_that_the_bell_left_no_time_for_was_not_taught():
    found = not_taught([whole_day("done", "done", "bell", "skipped")], LessonChoice())
    assert [(row.name, row.planned) for row in found.rows] == [("review", 1), ("group", 1), ("share", 1)]
    assert [(one.phase, one.why) for one in found.missing] == [("share", "skipped")]


def test_a_share_passed_over_was_not_taught_and_kinds_narrow_it():
    passed = whole_day("done", "done", "skipped", "done", begun=4)
    assert [one.phase for one in not_taught([passed], LessonChoice()).missing] == ["group"]
    assert not_taught([passed], LessonChoice(kinds=("review",))).missing == ()


def test_of_a_lesson_ended_by_hand_at_the_groups_nobody_knows_the_rest():
    ended = whole_day("done", "moved on", "skipped", "skipped", begun=2)
    assert not_taught([ended], LessonChoice()).planned == 1


def any_phase(kind, planned, floor, actual, ending, fate, left, reached):
    return phase(kind, planned, actual, ending)._replace(
        floor_s=floor, fate=fate, left=left, begin_s=0 if reached else None
    )


phases = st.builds(
    any_phase,
    st.sampled_from(["review", "modeling", "look-back"]), st.integers(1, 900), st.integers(0, 900),
    st.integers(0, 2000), st.sampled_from(["done", "moved on", "unsaid", "bell", "interrupted", "skipped"]),
    st.sampled_from(WENT), st.booleans(), st.booleans(),
)  # fmt: skip


@given(st.lists(st.lists(phases, max_size=5), max_size=12), st.booleans())
def test_taught_and_not_taught_add_up_to_what_was_planned_on_any_history(lessons, one_title) -> None:
    days = [
        day(n, "2026-03-09", title="Thirds" if one_title else f"Thirds {n}")._replace(
            phases=tuple(one._replace(id=str(at)) for at, one in enumerate(own))
        )
        for n, own in enumerate(lessons)
    ]
    found = not_taught(days, LessonChoice())
    assert found.planned == sum(map(len, lessons))
    assert sum(row.taught for row in found.rows) + len(found.missing) == found.planned
    for row in found.rows:
        assert sum(len(row.of(went)) for went in WENT) == len(row.missing) == row.planned - row.taught
    assert sum(row.missing_s for row in found.rows) == sum(one.missing_s for one in found.missing)
    assert all(one.missing_s >= 0 for one in found.missing)
    assert found.lessons == sum(bool(own) for own in lessons)
