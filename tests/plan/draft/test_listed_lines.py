"""Groups and stations are edited as lines, and no line changes what another one says."""

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from pacer.plan.draft.draft import Draft, DraftGroup, DraftStation
from pacer.plan.draft.listed_lines import listed_text, says_listed, set_listed
from pacer.plan.draft.write_toml import draft_of, written

CIRCLE = DraftGroup("Circle", "carpet", "circle.png")


def groups(text: str, before: Draft | None = None) -> tuple[DraftGroup, ...]:
    return set_listed(before or Draft(), "named_groups", text)[0].named_groups


def stations(text: str, before: Draft | None = None) -> tuple[DraftStation, ...]:
    return set_listed(before or Draft(), "stations", text)[0].stations


def test_a_line_is_a_name_and_what_is_said_of_it_between_bars() -> None:
    assert groups("Circle | carpet | circle.png\nTriangle\n\n Hexagon ||six.png") == (
        CIRCLE, DraftGroup("Triangle"), DraftGroup("Hexagon", "", "six.png"),
    )  # fmt: skip
    assert stations("Our table | two words | table.png | teacher\nNumber games | with dice") == (
        DraftStation("Our table", "two words", "table.png", "true"),
        DraftStation("Number games", "with dice"),
    )


def test_the_teachers_table_may_be_marked_without_a_picture() -> None:
    assert stations("Our table | two words | teacher") == (
        DraftStation("Our table", "two words", "", "true"),
    )
    assert stations("Our table | two words | teacher |")[0].picture == "teacher"


def test_what_is_said_of_a_station_and_is_no_mark_is_told() -> None:
    draft, words = set_listed(Draft(), "stations", "Our table | two words | table.png | perhaps")
    assert draft.stations[0].teacher == "perhaps"
    assert "perhaps" in words


def test_too_long_a_name_is_kept_and_told() -> None:
    draft, words = set_listed(Draft(), "named_groups", "C" * 200)
    assert draft.named_groups == (DraftGroup("C" * 200),)
    assert "At most 40" in words


def test_more_lines_than_a_lesson_has_groups_are_told() -> None:
    draft, words = set_listed(Draft(), "named_groups", "\n".join(f"Group {n}" for n in range(13)))
    assert len(draft.named_groups) == 13
    assert words == "There are 13 lines here; a lesson has 12 at most. Take some out."
    assert set_listed(Draft(), "stations", "\n".join(f"Books {n}" for n in range(12)))[1] == ""


@pytest.mark.parametrize("name", ["named_groups", "stations"])
def test_however_many_lines_are_pasted_what_is_saved_can_be_opened_again(name: str) -> None:
    draft, words = set_listed(Draft(title="Halves"), name, "Circle | carpet | a.png\n" * 14_000)
    assert words.startswith("There are 14000 lines here")
    assert isinstance(draft_of(written(draft, None)), Draft)


def test_a_comma_in_a_groups_name_is_told_as_the_order_has_it_between_names() -> None:
    assert "name holds a comma." in set_listed(Draft(), "named_groups", "Circle, carpet")[1]
    assert set_listed(Draft(), "stations", "Books, maps")[1] == ""


def test_a_field_of_another_name_has_no_lines() -> None:
    with pytest.raises(KeyError):
        set_listed(Draft(), "phases", "")


def test_a_line_that_is_as_it_was_keeps_what_no_line_can_say() -> None:
    before = Draft(named_groups=(DraftGroup("a | b", " carpet "), DraftGroup("Star")))
    text = listed_text(before, "named_groups")
    assert groups(f"{text} | rug", before) == (DraftGroup("a | b", " carpet "), DraftGroup("Star", "rug"))


TEXT = st.one_of(st.text(max_size=6), st.sampled_from(["", "a | b", "teacher", "|", " a ", "a\nb", "true"]))
GROUPS = st.lists(st.builds(DraftGroup, TEXT, TEXT, TEXT), max_size=4).map(tuple)
MARKS = st.sampled_from(["", "true", "false", "perhaps"])
STATIONS = st.lists(st.builds(DraftStation, TEXT, TEXT, TEXT, MARKS), max_size=4).map(tuple)


@given(GROUPS, STATIONS)
def test_lines_that_nobody_touched_change_nothing(some: tuple, others: tuple) -> None:
    draft = Draft(named_groups=some, stations=others)
    for name in ("named_groups", "stations"):
        assert says_listed(draft, name, listed_text(draft, name))


PLAIN = st.text(st.characters(codec="utf-8", categories=("L", "N")), max_size=6)
TEACHER = st.sampled_from(["", "true"])


@given(
    st.lists(st.builds(DraftStation, PLAIN, PLAIN, st.one_of(PLAIN, st.just("teacher")), TEACHER), max_size=4)
)
def test_lines_say_all_of_stations_that_are_new(wanted: list[DraftStation]) -> None:
    draft = Draft(stations=tuple(wanted))
    assert stations(listed_text(draft, "stations")) == draft.stations


@pytest.mark.parametrize("name", ["named_groups", "stations"])
@given(text=st.text(st.sampled_from("|||  \nab.teacher\t"), max_size=40))
@example(text="|||")
@example(text="Circle | carpet | circle.png |||")
def test_typed_lines_with_bars_too_many_are_written_out_and_read_as_the_same(name: str, text: str) -> None:
    draft, words = set_listed(Draft(), name, text)
    if not words:
        again = set_listed(Draft(), name, listed_text(draft, name))[0]
        assert getattr(again, name) == getattr(draft, name)
