"""The verb rotation: the week as a table and as JSON, into the outlines, and what it refuses."""

import json

import pytest

from pacer.__main__ import main
from pacer.paths import template_folder
from pacer.plan.file.reader import read_outline
from pacer.plan.week.integer_program import GaveUpError
from tests.verbs.verb_factories import OUTLINE

PLAIN = 'format = 1\ntitle = "Fractions"\n[[phase]]\ntitle = "Warm-up"\nbudget = "4"\n'


def test_a_week_is_a_table_with_owed_minutes_first(capsys):
    asked = ["--groups", "4", "--visits", "2", "--meet", "2", "--owed", "Star=13:00,Hexagon=2"]
    assert main(["rotation", *asked]) == 0
    head, first, second, *rest = capsys.readouterr().out.splitlines()
    assert head.split("  ")[0] == "Day"
    assert first.split()[:3] == ["Monday", "1", "Star"]
    assert second.split()[:3] == ["Monday", "2", "Hexagon"]
    assert len(rest) == 8


def test_json_is_one_day_a_line(capsys):
    assert main(["rotation", "--groups", "Moon,Drop", "--stations", "Mine,Books,Game", "--visits", "2,1",
                 "--days", "2", "--json"]) == 0  # fmt: skip
    days = [json.loads(line) for line in capsys.readouterr().out.splitlines()]
    assert [day["day"] for day in days] == [1, 2]
    assert set(days[0]["order"]) == {"Moon", "Drop"}
    assert [len(day["visits"]) for day in days] == [2, 1]
    assert days[0]["visits"][0][days[0]["order"][0]] == "Mine"


def test_where_there_is_no_such_week_it_says_what_clashes(capsys):
    asked = ["rotation", "--groups", "4", "--visits", "2", "--meet", "2,Star=5"]
    assert main(asked) == 1
    told = capsys.readouterr().out.splitlines()
    assert told[1:] == [
        "- The teacher's table holds one group at a time (10 visits in the week).",
        "- Circle, Triangle, Hexagon: 2 times with the teacher.",
        "- Star: 5 times with the teacher.",
    ]
    assert main([*asked, "--json"]) == 1
    told = json.loads(capsys.readouterr().out)
    assert len(told["clash"]) == 3
    assert told["smallest"]


@pytest.fixture
def two_days(tmp_path):
    paths = [tmp_path / name for name in ("monday.toml", "tuesday.toml")]
    for path in paths:
        path.write_text(PLAIN, encoding="utf-8")
    return paths


def test_the_order_of_each_day_is_put_into_its_outline(two_days, capsys):
    assert main(["rotation", *map(str, two_days), "--owed", "Hexagon=5:00", "--write"]) == 0
    assert "Monday: Hexagon, " in capsys.readouterr().out
    orders = [read_outline(path).visit_order for path in two_days]
    assert orders[0][0] == 2
    assert orders[1][-1] == 2


def test_without_write_no_outline_is_touched(two_days):
    assert main(["rotation", *map(str, two_days)]) == 0
    assert two_days[0].read_text(encoding="utf-8") == PLAIN


def test_what_the_wall_will_not_show_is_told(two_days, capsys):
    assert main(["rotation", *map(str, two_days), "--stations", "4", "--write"]) == 0
    assert "only here" in capsys.readouterr().out


def test_an_outline_that_can_not_take_the_order_leaves_all_as_they_are(two_days, capsys):
    assert main(["rotation", *map(str, two_days), "--groups", "5", "--visits", "2", "--write"]) == 1
    assert "No outline was changed" in capsys.readouterr().err
    assert two_days[0].read_text(encoding="utf-8") == PLAIN


@pytest.mark.parametrize(
    ("asked", "words"),
    [
        ([], "Say who comes"),
        (["--groups", "0"], "--groups goes from 1 to 12"),
        (["--groups", "9" * 5000], "--groups goes from 1 to 12"),
        (["--groups", "A,,B"], "empty name"),
        (["--groups", "A,a"], "Two groups are called A"),
        (["--groups", "3", "--stations", "13"], "--stations goes from 1 to 12"),
        (["--groups", "3", "--days", "0"], "1 to 5 days"),
        (["--groups", "3", "--days", "999999999"], "1 to 5 days"),
        (["--groups", "3", "--days", "-1"], "1 to 5 days"),
        (["--groups", "3", "--visits", "2,2"], "--visits has 2 numbers for 5 days"),
        (["--groups", "3", "--visits", "two"], '--visits: "two" is no number'),
        (["--groups", "3", "--visits", "0"], "at least one visit"),
        (["--groups", "3", "--meet", "Circel=2"], 'Did you mean "Circle"?'),
        (["--groups", "3", "--meet", "Circle=x"], '"x" is no number'),
        (["--groups", "3", "--owed", "Circle=x"], '"x" is no time'),
        (["--groups", "3", "--write"], "--write needs an outline for each day"),
        ([str(OUTLINE), str(OUTLINE)], "named twice"),
        ([str(OUTLINE), "--days", "2"], "an outline for each of the 2 days"),
        ([str(path) for path in sorted(template_folder().glob("*.toml"))], "1 to 5 days"),
        (["nowhere.toml"], "nowhere.toml"),
    ],
)
def test_what_is_no_week_is_refused_in_words(asked, words, capsys):
    assert main(["rotation", *asked]) == 1
    told = capsys.readouterr()
    assert words in told.err
    assert told.out == ""


def test_a_search_that_is_too_long_is_told(monkeypatch, capsys):
    def gives_up(_problem):
        raise GaveUpError

    monkeypatch.setattr("pacer.verbs.rotation.rotation", gives_up)
    assert main(["rotation", "--groups", "3"]) == 1
    assert "No week was found" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("A" * 41, "--groups: name is too long. At most 40 characters."),
        ("A\nB", "--groups: name holds a character that can't be seen (U+000A). Delete it."),
        ("\u202eA", "--groups: name holds a character that can't be seen (U+202E). Delete it."),
    ],
)
def test_typed_names_are_those_that_an_outline_takes(capsys, name, words):
    assert main(["rotation", "--groups", f"Star,{name}"]) == 1
    assert words in capsys.readouterr().err


@pytest.mark.parametrize(
    ("tables", "line", "words"),
    [
        ('[[group]]\nname = "Star"\n[[group]]\nname = "star"\n', 9, 'Two groups are called "star".'),
        (
            '[[station]]\nname = "A"\nteacher = true\n[[station]]\nname = "B"\nteacher = true\n', 11,
            '"A" and "B" are both marked as your table.',
        ),
    ],
)  # fmt: skip
def test_an_outline_whose_groups_or_stations_contradict_each_other_is_named_with_its_line(
    tmp_path, capsys, tables, line, words
):
    path = tmp_path / "monday.toml"
    path.write_text(PLAIN + tables, encoding="utf-8")
    assert main(["rotation", str(path)]) == 1
    told = capsys.readouterr()
    assert told.out == ""
    assert f"monday.toml:{line}: {words}" in told.err
