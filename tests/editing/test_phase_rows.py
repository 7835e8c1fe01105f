"""Rows of phases are added, taken out, doubled and moved, and the right rows are chosen afterwards."""

from dataclasses import replace

import pytest

from pacer.editing.phase_rows import change_rows, drop_rows, moved_out
from pacer.plan.draft.draft import Draft, set_field
from pacer.plan.draft.with_text import TypedDraft, typed


@pytest.fixture
def draft() -> Draft:
    return typed(TypedDraft(), "A 1\nB 2\nC 3\nD 4\n").plain


def titles(draft: Draft) -> str:
    return "".join(phase.title or "-" for phase in draft.phases)


def keys(draft: Draft, letters: str) -> list[str]:
    return [phase.key for phase in draft.phases if phase.title in letters]


@pytest.mark.parametrize(
    ("what", "rows", "after", "chosen"),
    [
        ("up", "C", "ACBD", "C"), ("up", "A", "ABCD", "A"), ("up", "CD", "ACDB", "CD"),
        ("up", "BD", "BDAC", "BD"),
        ("down", "A", "BACD", "A"), ("down", "D", "ABCD", "D"), ("down", "AB", "CABD", "AB"),
        ("remove", "B", "ACD", "C"), ("remove", "D", "ABC", "C"), ("remove", "ABCD", "", ""),
    ],
)  # fmt: skip
def test_rows_are_moved_by_one_or_taken_out(
    draft: Draft, what: str, rows: str, after: str, chosen: str
) -> None:
    change = change_rows(draft, what, keys(draft, rows))
    assert change is not None
    assert (titles(change.draft), list(change.chosen)) == (after, keys(draft, chosen) if chosen else [])


@pytest.mark.parametrize(("rows", "after"), [("B", "AB-CD"), ("", "ABCD-")])
def test_a_new_row_comes_after_those_chosen_and_is_typed_into(draft: Draft, rows: str, after: str) -> None:
    change = change_rows(draft, "new", keys(draft, rows) if rows else [])
    assert change is not None
    (key,) = change.chosen
    assert (titles(change.draft), change.field) == (after, "title")
    assert change.draft.phase(key).title == ""


def test_copies_are_chosen_and_not_what_was_doubled(draft: Draft) -> None:
    change = change_rows(draft, "duplicate", keys(draft, "AC"))
    assert change is not None
    assert titles(change.draft) == "ABCACD"
    assert list(change.chosen) == [phase.key for phase in change.draft.phases[3:5]]


@pytest.mark.parametrize("what", ["up", "down", "remove", "duplicate"])
def test_without_a_chosen_row_nothing_changes(draft: Draft, what: str) -> None:
    assert change_rows(draft, what, []) is None


def test_rows_are_dropped_before_another_or_at_the_end(draft: Draft) -> None:
    assert titles(drop_rows(draft, keys(draft, "D"), keys(draft, "B")[0]).draft) == "ADBC"
    assert titles(drop_rows(draft, keys(draft, "A"), None).draft) == "BCDA"


@pytest.mark.parametrize(
    ("movable", "noted"),
    [("table", "before\nB 2"), ("tomorrow", "before\nTomorrow: B 2"), ("dropped", "before")],
)
def test_a_phase_that_moves_out_is_noted_where_it_goes(draft: Draft, movable: str, noted: str) -> None:
    (key,) = keys(draft, "B")
    draft = set_field(draft, key, "movable", movable)[0]
    after = moved_out(replace(draft, table_list="before"), key)
    assert (titles(after), after.table_list) == ("ACD", noted)
