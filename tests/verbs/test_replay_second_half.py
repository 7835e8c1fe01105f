"""The replay of whole blocks: the worked table of the second half, and whatever a script may press there."""

import json

import pytest

from pacer.__main__ import main
from tests.pace.block_factories import PLAN

# Visits are worked out by hand.
ON_TIME = "start 9:00\n25:00 groups\n27:00 next\n"
KEYS = {"group", "number", "of", "left_s", "latest_swap", "share_start", "owed"}


@pytest.fixture
def replayed(tmp_path, capsys):
    """The lines of a script's replay as JSON, the record last; with ``as_json`` off, as text.

    The exit code must be 1 where a step was refused, each of them named with its reason, and 0 elsewhere;
    ``refused`` is how many there must be, any where it is None.
    """

    def run(script: str, plan: str = PLAN, *, as_json: bool = True, refused: int | None = 0):
        (tmp_path / "lesson.toml").write_text(plan, encoding="utf-8")
        (tmp_path / "script.txt").write_text(script, encoding="utf-8")
        flags = ["--json"] if as_json else []
        code = main(["replay", str(tmp_path / "lesson.toml"), str(tmp_path / "script.txt"), *flags])
        out, err = capsys.readouterr()
        told = err.splitlines()
        assert all(", was refused. " in line for line in told), err
        assert refused in (None, len(told)), err
        assert code == (1 if told else 0), out
        if as_json:
            reasons = [line["refused"] for line in map(json.loads, out.splitlines()) if line.get("refused")]
            assert [line.partition(", was refused. ")[2] for line in told] == reasons
        return [json.loads(line) for line in out.splitlines()] if as_json else out

    return run


def last_visit(lines) -> dict:
    return [line["visit"] for line in lines if "visit" in line][-1]


def test_every_moment_of_the_second_half_has_the_promised_keys_and_none_of_the_first_has_them(replayed):
    lines = replayed(ON_TIME + "40:00 next\n41:30 next\n54:30 next\n56:00 next\n69:00 next\n74:00 next\n")
    assert ["visit" in line for line in lines[:-1]] == [False] + [True] * 8
    assert all(line["visit"].keys() >= KEYS for line in lines[1:-1])


def test_on_time_three_visits_of_13_minutes_from_9_27_and_the_share_from_10_09(replayed):
    lines = replayed(ON_TIME)
    assert lines[1]["visit"]["visits"] == [780, 780, 780]
    visit = lines[2]["visit"]
    assert (visit["group"], visit["number"], visit["of"], visit["left_s"]) == ("Circle", 1, 3, 780)
    assert (visit["latest_swap"], visit["share_start"], visit["owed"]) == ("09:40:00", "10:09:00", {})


def test_four_minutes_late_the_visits_are_11_30_and_the_share_keeps_its_time(replayed):
    visit = last_visit(replayed("start 9:00\n29:00 groups\n"))
    assert visit["visits"] == [690, 690, 690]
    assert (visit["latest_share_start"], visit["share_start"]) == ("10:09:00", "10:08:30")


def test_a_first_visit_left_three_minutes_late_is_paid_by_the_two_after_it(replayed):
    visit = last_visit(replayed(ON_TIME + "43:00 next\n44:30 next\n"))
    assert (visit["left_s"], visit["visits"], visit["latest_swap"]) == (690, [690], "09:56:00")
    assert visit["owed"] == {"Circle": 0}


def test_one_more_minute_in_the_first_visit_takes_30_s_from_each_of_two_groups(replayed):
    lines = replayed(ON_TIME + "27:00 add 1:00\n27:10 undo\n")
    assert [line["visit"]["visits"] for line in lines[2:5]] == [[780, 780], [750, 750], [780, 780]]


def test_a_bell_ten_minutes_earlier_in_mid_visit_takes_two_presses(replayed):
    visit = last_visit(replayed(ON_TIME + "35:00 bell-earlier\n35:01 bell-earlier\n"))
    assert (visit["left_s"], visit["visits"], visit["latest_swap"]) == (89, [570, 570], "09:36:30")
    assert visit["share_start"] == "09:58:30"


def test_a_bell_ten_minutes_later_in_mid_visit_gives_each_visit_its_part(replayed):
    """Worked by hand: ten minutes for three visits are 3:20 each, down to a step 16:15."""
    visit = last_visit(replayed(ON_TIME + "35:00 bell-later 10\n"))
    assert (visit["left_s"], visit["visits"], visit["latest_swap"]) == (495, [975, 975], "09:43:15")


def test_under_the_floor_one_group_fewer_is_kept_and_owed_and_the_choice_is_undone(replayed):
    lines = replayed("start 9:00\n45:00 groups\n45:10 keep\n45:20 undo\n")
    visits = [line["visit"] for line in lines[1:4]]
    assert [visit["visits"] for visit in visits] == [[375, 375, 375], [615, 615], [375, 375, 375]]
    assert [visit["owed"] for visit in visits] == [{}, {"Hexagon": 780}, {}]


def test_undo_of_the_way_to_the_groups_restores_the_mini_lessons_clock(replayed):
    left = replayed("start 9:00\n20:00 groups\n20:08 undo\n")[2]
    stayed = replayed("start 9:00\n20:08 look\n")[1]
    assert (left["desk"], left["wall"]) == (stayed["desk"], stayed["wall"])
    assert "visit" not in left


def test_a_missed_visit_gives_the_others_a_quarter_more_and_then_the_share(replayed):
    visit = last_visit(replayed(ON_TIME + "28:00 missed group 3\n"))
    assert (visit["latest_swap"], visit["visits"], visit["of"]) == ("09:43:15", [975], 2)
    assert (visit["share_start"], visit["owed"]) == ("10:01:00", {"Hexagon": 780})


def test_an_extra_visit_follows_where_much_was_freed(replayed):
    """Two of three are out from the start: the one at the table has a quarter more, then comes once more."""
    script = "start 9:00\n25:00 groups\n26:00 missed group 2\n26:05 missed group 3\n27:00 next\n43:15 next\n"
    visit = last_visit(replayed(script + "44:00 back\n"))
    assert (visit["group"], visit["leg"], visit["visits"]) == ("Circle", "visit", [])


def test_a_group_pulled_out_in_mid_visit_is_owed_what_it_did_not_have(replayed):
    visit = last_visit(replayed(ON_TIME + "31:00 missed\n"))
    assert (visit["group"], visit["number"], visit["of"]) == ("Triangle", 1, 2)
    assert visit["owed"] == {"Circle": 540}


def test_where_the_class_went_to_the_share_early_every_group_it_passed_over_is_owed(replayed):
    visit = last_visit(replayed(ON_TIME + "40:00 jump share\n"))
    assert (visit["leg"], visit["group"]) == ("share", None)
    assert visit["owed"] == {"Circle": 0, "Triangle": 780, "Hexagon": 780}


def test_in_words_each_leg_says_its_time_left_until_when_and_from_when_the_share(replayed):
    out = replayed(ON_TIME + "40:00 next\n41:30 next\n54:30 next\n56:00 next\n69:00 next\n", as_json=False)
    lines = out.splitlines()
    assert "()" not in out
    assert "Circle, visit 1 of 3 13:00" in lines[2]
    assert "latest swap 09:40:00, share 10:09:00" in lines[2]
    assert "until 09:41:30, share 10:09:00" in lines[3]
    assert "share from 10:09:00" in lines[6]
    assert "until 10:14:00" in lines[7]


def plan_of(**changes: object) -> str:
    plan = PLAN
    for key, value in changes.items():
        old = next(line for line in PLAN.splitlines() if line.startswith(f"{key} "))
        plan = plan.replace(old, f"{key} = {value}")
    return plan


WHOLE = (
    ON_TIME + "28:00 add\n29:00 missed\n30:00 keep\n31:00 bell-earlier\n40:00 next\n42:00 next\n50:00 next\n"
)
WHOLE += "55:00 next\n56:00 next\n60:00 next\n61:00 jump group 2\n62:00 back\n65:00 jump share\n80:00 look\n"
REFUSED = ["30:00 keep", "56:00 next", "60:00 next"]  # of the plan with nothing changed


@pytest.mark.slow
@pytest.mark.parametrize(
    "changes",
    [
        *({"groups": count} for count in (0, 1, 2, 12)),
        *({key: 0} for key in ("move", "swap", "share", "clean_up")),
        {"move": 0, "swap": 0, "share": 0, "clean_up": 0},
        {"minutes": 30},
        {"minutes": 30, "groups": 12},
        {"minutes": 5, "mini_lesson": 5},
    ],
    ids=str,
)
def test_a_block_that_has_no_room_or_leaves_something_out_runs_to_its_end(replayed, changes):
    for line in replayed(WHOLE, plan_of(**changes), refused=None)[:-1]:
        if "visit" in line:
            assert all(length >= 0 for length in line["visit"]["visits"])
            assert all(seconds >= 0 for seconds in line["visit"]["owed"].values())


@pytest.mark.parametrize("count", [13, 40, -1])
def test_more_groups_than_there_are_shapes_are_refused_in_plain_words(tmp_path, capsys, count):
    (tmp_path / "lesson.toml").write_text(plan_of(groups=count), encoding="utf-8")
    assert main(["check", str(tmp_path / "lesson.toml")]) == 1
    said = "".join(capsys.readouterr())
    assert "lesson.toml:8" in said
    assert "12" in said or count < 0
    assert "Traceback" not in said


@pytest.mark.slow
@pytest.mark.parametrize("name", ["n" * 200, "שלום", "مجموعة النجوم", "‮abc", "a b c"])
def test_a_name_of_any_script_or_length_runs_or_is_refused_with_its_line(tmp_path, capsys, name):
    plan = PLAN + "".join(f'[[group]]\nname = "{title}"\n' for title in (name, "Triangle", "Star"))
    (tmp_path / "lesson.toml").write_text(plan, encoding="utf-8")
    (tmp_path / "script.txt").write_text(WHOLE, encoding="utf-8")
    code = main(["replay", str(tmp_path / "lesson.toml"), str(tmp_path / "script.txt"), "--json"])
    said = capsys.readouterr()
    if said.out:
        assert json.loads(said.out.splitlines()[2])["visit"]["group"]
        # Nothing but what can't be pressed there is refused.
        assert code == 1
        assert [line.split('"')[1] for line in said.err.splitlines()] == REFUSED
    else:
        assert code != 0
        assert "lesson.toml:17" in said.out + said.err


@pytest.mark.slow
def test_a_bell_in_the_past_is_refused_and_a_start_after_the_bell_still_runs(replayed):
    lines = replayed(ON_TIME + "70:00 bell-earlier\n", refused=1)
    assert "bell" in lines[-2]["refused"]
    lines = replayed("start 11:00 planned 9:00\n0:10 groups\n0:20 next\n1:00 next\n")
    assert lines[2]["visit"]["visits"] == [0, 0]
