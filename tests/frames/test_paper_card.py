"""The card for the day the laptop dies has the same times as the Desk would have shown."""

from collections.abc import Callable
from datetime import datetime

from pacer.frames.paper_card import paper_card
from pacer.plan.outline import Group, Outline, Station

NINE = datetime(2026, 3, 9, 9, 0)


def test_every_phase_has_its_clock_time_its_move_by_and_its_floor(invented: Outline) -> None:
    """Own worked values of the invented plan: fair times, but the cap of the reviewing and the end of all."""
    card = paper_card(invented, NINE)
    assert [(row.start, row.budget, row.move_by, row.reason, row.floor) for row in card.rows] == [
        ("9:00", "2", "9:02:30", "fair", "1"),
        ("9:02", "3", "9:05", "cap", "1:30"),
        ("9:05", "7", "9:13:45", "fair", "4"),
        ("9:12", "3", "9:15:45", "fair", "2"),
        ("9:15", "8", "9:24", "hard", "6"),
        ("9:23", "2", "9:25", "hard", "1"),
    ]
    assert card.times == "9:00 to 10:15, mini lesson 25"
    assert card.rows[1].gives == "gives first, to the table"


def test_after_the_mini_lesson_it_says_what_groups_get_and_when_the_share_is(invented: Outline) -> None:
    """Own arithmetic: 75 less 25, moves 5, share 5 and clean-up 1 leave three visits of 13:00."""
    card = paper_card(invented, NINE)
    assert [(leg.start, leg.title, leg.length, leg.until) for leg in card.legs] == [
        ("9:25", "Transition", "2:00", "until 9:27"),
        ("9:27", "Circle", "13:00", "swap 9:40"),
        ("9:41:30", "Triangle", "13:00", "swap 9:54:30"),
        ("9:56", "Hexagon", "13:00", "share 10:09"),
        ("10:09", "Share", "5:00", "latest 10:09"),
        ("10:14", "Clean up", "1:00", "until 10:15"),
    ]
    assert card.after == ()


def test_groups_stations_prompt_and_table_list_stand_on_the_card(invented: Outline) -> None:
    outline = invented.model_copy(
        update={
            "groups": (Group(name="Star", place="carpet"),),
            "stations": (Station(name="Our table", words="with me", teacher=True), Station(name="Games")),
            "share_prompt": "One thing I found",
            "table_list": "\n".join(["Review problem 2", "", *["More"] * 12]),
        }
    )
    card = paper_card(outline, NINE)
    assert [(leg.title, leg.place) for leg in card.legs][1:3] == [("Star", "carpet"), ("Circle", "")]
    assert card.after == (
        "Stations: Our table (yours) with me; Games",
        "Share: One thing I found",
        "Table list: Review problem 2; " + "More; " * 11 + "and 1 more",
    )


def test_a_block_without_time_for_groups_still_has_a_card(invented: Outline) -> None:
    block = invented.block.model_copy(update={"length_s": 28 * 60})
    card = paper_card(invented.model_copy(update={"block": block}), NINE)
    assert [leg.length for leg in card.legs if leg.title == "Circle"] == ["0:00"]
    assert card.legs[-1].title == "Clean up"


def test_a_plan_that_does_not_fit_is_cut_on_paper_too(invented: Outline) -> None:
    """Own worked value of a mini lesson 6:00 too long: review gives 1:30, the others as in the lesson."""
    short = invented.model_copy(update={"mini_lesson_s": 19 * 60})
    assert [row.budget for row in paper_card(short, NINE).rows] == ["1", "1:30", "5", "2:30", "8", "1"]


def test_groups_that_are_phases_stand_among_the_rows(new_outline: Callable) -> None:
    outline = new_outline(
        {"budget": "10"}, {"budget": "2", "kind": "move"}, {"budget": "12", "kind": "group"}
    )
    card = paper_card(outline, NINE)
    assert [row.start for row in card.rows] == ["9:00", "9:10", "9:12"]
    assert (card.legs, card.after) == ((), ())
