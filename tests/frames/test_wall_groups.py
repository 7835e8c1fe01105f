"""Where each group is while another one is at the table, and what the Wall says of it."""

from collections.abc import Sequence
from dataclasses import fields

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.frames.wall import PictureKey, WallFrame, wall_frame
from pacer.frames.wall_groups import SHAPES, GroupPlace, group_places
from pacer.plan.file.reader import read_text
from pacer.plan.outline import neutral_names
from pacer.run.clock import ManualClock
from pacer.run.refusal import Refusal
from pacer.run.session import MemoryJournal, Session
from pacer.watch import execute, look

# Invented: a block from 9:00 with stations that groups go round.
BLOCK = """
format = 1
title = "Fractions on a number line"
[block]
minutes = 200
mini_lesson = 10
move = 2
groups = {groups}
swap = "1:00"
clean_up = 1
share = 5
visit_floor = 1
share_prompt = "What helped you place 3/4?"
{tables}
[[phase]]
title = "Modeling"
kind = "modeling"
budget = 10
"""
OUR_TABLE = '[[station]]\nname = "Our table"\nteacher = true\n'


def stations(count: int) -> str:
    return OUR_TABLE + "".join(f'[[station]]\nname = "Station {n}"\n' for n in range(1, count + 1))


class Block:
    """A lesson that stands at its move to the first group."""

    def __init__(self, groups: int, tables: str) -> None:
        self.clock = ManualClock(9 * 3_600_000)
        self.session = Session(self.clock, MemoryJournal())
        outline = read_text(BLOCK.format(groups=groups, tables=tables), "plan.toml")
        assert not isinstance(outline, list), outline
        self.session.start(outline, 9 * 3_600_000)
        self.do("groups")

    def do(self, command: str, argument: str = "", wait_s: int = 20) -> "Block":
        self.clock.advance(wait_s * 1000)
        self.session.tick()
        done = execute(self.session, command, argument)
        assert not isinstance(done, Refusal), done
        self.clock.advance(1000)
        return self

    def wait(self, seconds: int) -> "Block":
        self.clock.advance(seconds * 1000)
        self.session.tick()
        return self

    @property
    def shown(self) -> tuple[GroupPlace, ...]:
        return group_places(look(self.session))

    @property
    def frame(self) -> WallFrame:
        return wall_frame(look(self.session))

    @property
    def places(self) -> dict[str, str]:
        return {group.name: group.place for group in self.shown}

    @property
    def leg(self) -> str:
        leg = self.session.state.leg
        assert leg is not None
        return leg.kind

    def visits(self) -> Sequence[dict[str, str]]:
        """Where everybody is in each visit, to the share."""
        seen = []
        while self.leg not in ("share", "clean_up"):
            if self.leg == "visit":
                seen.append(self.places)
            self.do("next")
        return seen


@pytest.mark.parametrize("count", [2, 3, 4, 5, 6])
def test_with_as_many_places_as_groups_the_visits_are_a_latin_square(count: int):
    """Every group is at every place once, and in every visit every place has one group."""
    seen = Block(count, stations(count - 1)).visits()
    places = {"Our table", *(f"Station {n}" for n in range(1, count))}
    assert len(seen) == count
    for visit in seen:
        assert set(visit.values()) == places
    for group in neutral_names()[:count]:
        assert {visit[group] for visit in seen} == places


@given(st.integers(1, 12), st.integers(0, 6))
def test_every_group_is_at_the_table_once_and_the_others_are_spread_evenly(groups: int, tables: int):
    seen = Block(groups, stations(tables)).visits()
    at_table = [[name for name, place in visit.items() if place == "Our table"] for visit in seen]
    assert at_table == [[name] for name in neutral_names()[:groups]]
    for visit in seen:
        assert len(visit) == groups
        others = [place for place in visit.values() if place.startswith("Station")]
        used = [others.count(place) for place in {f"Station {n}" for n in range(1, tables + 1)}]
        assert not used or max(used) - min(used) <= 1
        assert len(others) == (groups - 1 if tables else 0)


def test_before_a_visit_groups_see_where_they_go_to_and_during_it_where_they_are():
    block = Block(3, stations(2))
    assert block.leg == "move"
    assert block.frame.moving
    assert {group.name: group.goes_to for group in block.shown} == block.places
    walked = block.places
    block.do("next")
    assert block.leg == "visit"
    assert block.places == walked
    assert not any(group.goes_to for group in block.shown)


def test_in_the_last_minute_each_group_sees_where_it_goes_next_and_goes_there():
    block = Block(3, stations(2)).do("next")
    half = look(block.session).half
    assert half is not None
    block.wait(half.left_ms // 1000 - 61)
    assert not any(group.goes_to for group in block.shown)
    block.wait(2)
    then = {group.name: group.goes_to for group in block.shown}
    assert then == {"Circle": "Station 2", "Triangle": "Our table", "Hexagon": "Station 1"}
    block.wait(300)
    assert {group.name: group.goes_to for group in block.shown} == then
    block.do("next")
    assert block.leg == "swap"
    assert block.places == then
    assert block.do("next").places == then


def test_after_the_last_visit_nobody_is_sent_to_another_place_but_the_share_is_announced():
    block = Block(1, stations(2)).do("next").wait(7200)
    assert [group.goes_to for group in block.shown] == [""]
    assert block.frame.next_title == "Share"
    frame = block.do("next").frame
    assert (frame.title, frame.prompt, frame.groups) == ("Share", "What helped you place 3/4?", ())


def test_a_group_that_drops_out_moves_no_other_one_and_is_shown_like_all():
    """Nobody sees from the Wall which group has no visit, or why."""
    block = Block(4, stations(3)).do("next")
    before = block.shown
    assert block.do("missed", "Hexagon").shown == before
    block.do("next").do("next")
    assert block.places == {"Circle": "Station 3", "Triangle": "Our table", "Hexagon": "Station 1",
                            "Star": "Station 2"}  # fmt: skip
    block.do("next").do("next")
    # The star comes to the table in the hexagon's place, and the hexagon has the star's.
    assert block.places == {"Circle": "Station 2", "Triangle": "Station 3", "Hexagon": "Station 1",
                            "Star": "Our table"}  # fmt: skip


def test_where_the_group_at_the_table_is_called_away_only_the_next_one_changes_places_with_it():
    block = Block(3, stations(2)).do("next").do("missed")
    assert block.places == {"Circle": "Station 1", "Triangle": "Our table", "Hexagon": "Station 2"}


def test_who_goes_back_finds_everybody_where_they_were():
    block = Block(3, stations(2)).do("next")
    first = block.places
    block.do("next").do("next")
    second = block.places
    block.do("jump", "Circle")
    assert block.places == first
    assert block.do("jump", "Triangle").places == second


@given(
    st.integers(1, 6),
    st.lists(st.sampled_from(["next", "missed", "undo", "jump 1", "jump 2", "back"]), max_size=9),
)
def test_whatever_is_pressed_one_group_is_at_the_table_and_each_stands_at_one_place(
    groups: int, presses: list
):
    block = Block(groups, stations(max(1, groups - 1)))
    for press in presses:
        block.clock.advance(20_000)
        block.session.tick()
        execute(block.session, *press.split())
        if block.session.state.leg is None or block.session.state.ended_ms is not None:
            return
        shown = block.shown
        if block.leg in ("share", "clean_up"):
            assert shown == ()
            continue
        assert [group.name for group in shown] == list(neutral_names()[:groups])
        assert [group.place for group in shown].count("Our table") == 1
        assert len({group.place for group in shown}) == groups


def test_without_stations_groups_are_at_their_own_places():
    groups = '[[group]]\nname = "Lanterns"\nplace = "Window table"\n[[group]]\nname = "Star"\n'
    block = Block(3, groups).do("next").do("next").do("next")
    assert block.shown == (
        GroupPlace("Lanterns", "triangle", "Window table"),
        GroupPlace("Star", "star", "Our table"),
        GroupPlace("Circle", "circle", "Own work"),
    )


def test_two_words_stand_for_a_station_where_it_has_them():
    tables = (
        OUR_TABLE.replace("true", 'true\nwords = "With me"')
        + '[[station]]\nname = "Number line cards"\nwords = "Card sort"\n'
    )
    assert Block(2, tables).do("next").places == {"Circle": "With me", "Triangle": "Card sort"}


PICTURED = (
    OUR_TABLE.replace("true", 'true\npicture = "table.png"')
    + '[[station]]\nname = "Card sort"\n[[station]]\nname = "Games"\npicture = "dice.png"\n'
    + '[[group]]\nname = "Otters"\npicture = "otters.png"\n[[group]]\nname = "Herons"\n'
)


def test_a_group_and_the_place_that_is_said_bring_their_pictures_by_number():
    """With the place of now in a visit, with the next one in its last minute, never with a file's name."""
    block = Block(3, PICTURED).do("next")
    pictures = {group.name: group.picture for group in block.shown}
    assert pictures == {"Otters": PictureKey(0, 1, "group"), "Herons": None, "Circle": None}
    table, games = PictureKey(0, 1, "station"), PictureKey(2, 1, "station")
    numbers = {"Our table": table, "Card sort": None, "Games": games}
    assert [group.place_picture for group in block.shown] == [numbers[group.place] for group in block.shown]
    while not block.shown[0].goes_to:
        block.wait(30)
    assert [group.place_picture for group in block.shown] == [numbers[group.goes_to] for group in block.shown]
    block.do("next")
    assert block.leg == "swap"
    assert [group.place_picture for group in block.shown] == [numbers[group.goes_to] for group in block.shown]
    assert ".png" not in repr(block.frame)


def test_a_group_that_is_named_but_does_not_come_lends_no_picture():
    """Pictures go by the outline's list, names by those who come."""
    groups = "".join(
        f'[[group]]\nname = "{name}"\npicture = "{name}.png"\n' for name in ("Otters", "Herons", "Foxes")
    )
    block = Block(2, 'order = ["Foxes"]\n' + groups)
    assert [(group.name, group.picture) for group in block.shown] == [
        ("Otters", PictureKey(0, 1, "group")), ("Foxes", PictureKey(2, 1, "group")),
    ]  # fmt: skip


def test_the_move_has_words_and_a_picture_of_its_own_and_no_other_leg_has():
    block = Block(2, 'move_words = "Folder, pencil"\nmove_picture = "folder.png"\n')
    assert (block.frame.title, block.frame.picture) == ("Folder, pencil", PictureKey(0, 1, "move"))
    assert block.frame.fill == "countdown"
    for leg in ("visit", "swap", "visit", "share", "clean_up"):
        block.do("next")
        assert (block.leg, block.frame.picture) == (leg, None)
        assert block.frame.title != "Folder, pencil"


def test_without_them_the_move_is_called_small_groups():
    frame = Block(2, "").frame
    assert (frame.title, frame.picture) == ("Small groups", None)


@pytest.mark.parametrize(
    ("name", "picture", "said"),
    [("Circle", "", True), ("circle", "", True), ("Otters", "", False), ("Circle", "sun.png", False)],
)
def test_a_sign_says_a_name_only_where_it_is_that_sign(name: str, picture: str, said: bool):
    block = Block(1, f'[[group]]\nname = "{name}"\npicture = "{picture}"\n')
    assert block.shown[0].is_said_by_sign is said


def test_signs_of_neutral_groups_differ_and_none_is_a_square():
    signs = [group.shape for group in Block(12, OUR_TABLE).shown]
    assert signs == list(SHAPES)
    assert not any("square" in sign or "rect" in sign for sign in signs)


def test_a_place_on_the_wall_has_a_name_a_sign_and_where_to_and_nothing_else():
    """A new field is a decision about privacy: no level, no child, nothing owed or late."""
    assert GroupPlace._fields == ("name", "shape", "place", "goes_to", "picture", "place_picture")
    assert {"groups", "moving", "prompt"} <= {field.name for field in fields(WallFrame)}


def test_where_time_is_hidden_groups_stay():
    block = Block(3, stations(2)).do("next")
    shown = block.shown
    frame = block.do("hide", wait_s=0).frame
    assert (frame.face, frame.digits, frame.whole, frame.groups) == ("hidden", None, 0, shown)


def test_when_the_last_group_is_called_away_nobody_is_told_to_go_anywhere():
    """The Desk then says that nobody is at the table; on the Wall all groups stay where they are."""
    block = Block(2, stations(1)).do("next").do("next")
    assert (block.leg, block.frame.title, block.frame.moving) == ("swap", "Swap places", True)
    places = block.places
    block.do("missed")
    assert block.leg == "swap"
    frame = block.frame
    assert (frame.title, frame.moving, frame.next_title) == ("Small groups", False, "Share")
    assert {group.goes_to for group in frame.groups} == {""}
    assert set(block.places.values()) == set(places.values())
