"""What groups, stations, visits and the share say against each other is told, with what to do."""

from pathlib import Path

import pytest

from pacer.plan.file.reader import read_text
from pacer.plan.finding import Finding
from pacer.plan.findings import findings
from pacer.plan.outline import Outline

HEAD = 'format = 1\ntitle = "Thirds"\n'
PHASE = '[[phase]]\ntitle = "Model"\nbudget = 25\n'
THREE = "".join(f'[[group]]\nname = "{name}"\n' for name in ("Circle", "Star", "Hexagon"))


def outline(block: str = "", tables: str = "", phases: str = PHASE) -> Outline:
    read = read_text(f"{HEAD}[block]\n{block}\n{tables}{phases}", "o.toml")
    assert isinstance(read, Outline), read
    return read


def rules(of: Outline) -> dict[str, Finding]:
    return {one.rule: one for one in findings(of)}


@pytest.mark.parametrize(
    ("block", "tables", "rule", "place", "words"),
    [
        (
            'order = ["Cirkle"]', THREE, "order_of_nobody", ("block", "order"),
            'order names "Cirkle", and no group is called so. Did you mean "Circle"?',
        ),
        (
            'order = ["Otters"]', "", "order_of_nobody", ("block", "order"),
            'order names "Otters", and no group is called so. Write the name as in [[group]].',
        ),
        (
            'order = ["Star", "Circle", "star"]', THREE, "order_twice", ("block", "order"),
            'order names "star" twice, and a group has one visit a day. Name each group once.',
        ),
        (
            "", THREE + '[[group]]\nname = "star"\n', "groups_of_one_name", ("group", 3, "name"),
            'Two groups are called "star". Give each a name of its own.',
        ),
        (
            "", '[[station]]\nname = "Mine"\nteacher = true\n[[station]]\nname = "Ours"\nteacher = true\n',
            "two_own_tables", ("station", 1, "teacher"),
            '"Mine" and "Ours" are both marked as your table. Mark one of them.',
        ),
        (
            'share = "5"\nshare_floor = "6"', "", "share_floor_over_share", ("block", "share_floor"),
            "The share keeps 6:00, and it is only 5:00 long. Make what it keeps shorter or the share longer.",
        ),
    ],
)  # fmt: skip
def test_what_can_not_be_kept_says_where_it_stands_and_what_to_do(
    block: str, tables: str, rule: str, place: tuple, words: str
) -> None:
    found = rules(outline(block, tables))[rule]
    assert (found.impossible, found.place, found.words) == (True, place, words)


def test_more_groups_named_than_come_is_told() -> None:
    found = rules(outline("groups = 2", THREE))["more_named"]
    assert not found.impossible
    assert found.what == "3 groups are named, and the block has groups = 2: Hexagon won't come."


def test_two_stations_of_one_name_are_told_and_run_all_the_same() -> None:
    tables = '[[station]]\nname = "Books"\n[[station]]\nname = "books"\n'
    found = rules(outline(tables=tables))["stations_of_one_name"]
    assert (found.impossible, found.place) == (False, ("station", 1, "name"))
    assert found.words == 'Two stations are called "books": on the Wall nobody can tell them apart.'


def test_groups_typed_as_phases_are_told_what_they_could_be() -> None:
    typed = PHASE + "".join(f'[[phase]]\ntitle = "Group {n}"\nkind = "group"\nbudget = 12\n' for n in (1, 2))
    found = rules(outline(phases=typed))["groups_as_phases"]
    assert (found.impossible, found.place) == (False, ("phase", 1, "kind"))
    assert found.what == ("Groups typed as phases are run as phases; [block] groups = 2 runs them as visits.")
    assert "groups_as_phases" not in rules(outline())


def test_a_share_alone_as_a_phase_is_told_to_keep_the_visits_away() -> None:
    typed = PHASE + '[[phase]]\ntitle = "Share"\nkind = "share"\nbudget = 5\n'
    found = rules(outline(phases=typed))["half_as_phases"]
    assert found.words == (
        '"Share" is written as a phase, so no visits are run after it. '
        "The transition and the share have times of their own: [block] move and share."
    )
    assert "half_as_phases" not in rules(outline("groups = 0", phases=typed))


def test_visits_under_their_least_say_how_many_groups_fit() -> None:
    """Own arithmetic: 60 less 35, share 5, clean-up 1, move 2, swaps 3 leave 14:00; for one group 17:00.

    Visits are said as they are timed, down to 15 s.
    """
    found = rules(outline('minutes = 60\nmini_lesson = "35"'))["visits_under_floor"]
    assert not found.impossible
    assert found.what == "A visit is 4:30 long, under the least of 8:00. 1 group fits, with 17:00."
    four = rules(outline('minutes = 75\nmini_lesson = "25"\ngroups = 5'))["visits_under_floor"]
    assert four.what == "A visit is 7:00 long, under the least of 8:00. 4 groups fit, with 9:15 each."
    none = rules(outline('minutes = 45\nmini_lesson = "32"'))["no_visits"]
    assert none.what.endswith("Not even one group would have the least visit of 8:00.")
    assert "visits_under_floor" not in rules(outline('minutes = 60\nmini_lesson = "35"\nvisit_floor = "4"'))


def test_a_plan_of_112_minutes_in_75_is_told_by_how_much() -> None:
    typed = PHASE + "".join(
        f'[[phase]]\ntitle = "{kind}"\nkind = "{kind}"\nbudget = {budget}\n'
        for kind, budget in (("move", 2), ("group", 26), ("group", 26), ("group", 26), ("share", 6))
    )
    assert rules(outline(phases=typed))["over_block"].what == (
        "move and what stands below it are 37:00 too long for the block (75:00)."
    )
    found = rules(outline('mini_lesson = "70"'))["over_block"]
    assert found.what == (
        "The mini lesson (70:00) with share, transitions and clean-up is 6:00 too long for the block (75:00)."
    )


def test_what_is_sound_says_nothing() -> None:
    stations = '[[station]]\nname = "Ours"\nteacher = true\n'
    named = THREE.replace("Hexagon", "Square")
    told = rules(outline('order = ["square", "Circle"]\nshare_floor = "5"\ngroups = 3', named + stations))
    assert set(told) <= {"groups_pay", "unusual_mini"}
    assert "order_of_nobody" not in rules(outline('groups = 2\norder = ["Hexagon"]'))


def test_a_picture_of_a_group_or_a_station_is_looked_for(tmp_path: Path) -> None:
    from pacer.plan.file.attachments import attachment_problems
    from pacer.plan.file.reader import read_outline

    path = tmp_path / "o.toml"
    path.write_text(
        HEAD + '[[group]]\nname = "Circle"\npicture = "gone.png"\n'
        '[[station]]\nname = "Ours"\npicture = "here.png"\n' + PHASE
    )
    (tmp_path / "here.png").write_bytes(b"x")
    read = read_outline(path)
    assert isinstance(read, Outline)
    assert [str(problem) for problem in attachment_problems(path, read)] == [
        f'{path}:5: picture = "gone.png": There is no such file. '
        "It is looked for from the outline's folder on."
    ]


def test_stations_of_which_none_is_the_teachers_are_told_and_run_all_the_same() -> None:
    found = rules(outline("", '[[station]]\nname = "Games"\n'))["no_own_table"]
    assert (found.place, found.impossible) == (("station", 0, "name"), False)
    assert "teacher = true" in f"{found.what} {found.fix}"
    assert "no_own_table" not in rules(outline("", '[[station]]\nname = "Mine"\nteacher = true\n'))
    assert "no_own_table" not in rules(outline())
