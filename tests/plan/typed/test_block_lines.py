"""Lines about groups and share are no phases, are told where they might have been, and never guessed."""

import pytest

from pacer.plan.typed.read_typed import read_typed

ABOVE = "Warm-up 2\nReview 3\n"


def last(line: str):
    return read_typed(ABOVE + line).lines[-1]


@pytest.mark.parametrize("line", ["Groups 3 x 12", "groups: 3 × 12 min", "Visits 3x12:30", "Groups 3 * 12."])
def test_a_number_of_groups_times_minutes_is_the_number_of_groups(line: str) -> None:
    read = last(line)
    assert (read.what, read.block) == ("block", (("groups", "3"),))
    assert read.why == "Read as the number of groups; a visit gets what the block leaves."


def test_names_after_groups_are_their_names_with_their_places() -> None:
    read = last("Groups: Circle (carpet), Triangle, Hexagon")
    assert read.block == (("named_groups", "Circle | carpet\nTriangle\nHexagon"),)
    assert read.why == "Read as the names of the groups."


def test_stations_order_and_prompt_have_lines_of_their_own() -> None:
    text = (
        "Stations: Our table (with me; teacher), Games (dice), Books\nFirst to the table: Star, Circle\n"
        "Share prompt: I found ____ , and why"
    )
    assert read_typed(ABOVE + text).block == {
        "stations": "Our table | with me | | teacher\nGames | dice\nBooks",
        "order": "Star, Circle",
        "share_prompt": "I found ____ , and why",
    }


@pytest.mark.parametrize(
    "line",
    ["Groups: discuss, write", "Groups: work on pages 3, 4", "Groups", "Groups 12", "Groups: Circle",
     "Circle, Triangle, Hexagon", "Groups: Read the text. Then, Write", "  Groups: Circle, Star",
     "- Groups: Circle, Star", "Groups: Circle, , Star", "Groups: " + "A" * 6000 + ")"],
)  # fmt: skip
def test_what_may_be_anything_else_is_read_as_before(line: str) -> None:
    assert last(line).what != "block"


def test_a_share_and_a_move_are_the_blocks_only_beside_the_number_of_groups() -> None:
    read = read_typed(ABOVE + "Move 2\nGroups 3 x 12\nShare 5")
    assert [phase.title for phase in read.phases] == ["Warm-up", "Review"]
    assert read.block == {"move": "2", "groups": "3", "share": "5"}
    alone = read_typed(ABOVE + "Move 2\nGroup 1 12\nShare 5")
    assert [phase.title for phase in alone.phases] == ["Warm-up", "Review", "Move", "Group 1", "Share"]
    assert alone.block == {}
    noted = read_typed(ABOVE + "Groups 3 x 12\nShare 5\n    two voices")
    assert [phase.title for phase in noted.phases] == ["Warm-up", "Review", "Share"]
