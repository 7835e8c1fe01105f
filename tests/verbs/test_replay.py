"""The replay: the real engine on a manual clock, driven by a script."""

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pacer.__main__ import main
from pacer.commands import COMMANDS
from pacer.plan.file.reader import read_text
from pacer.plan.outline import Outline
from pacer.plan.problems import Problem
from pacer.run.events import Forecasted
from pacer.verbs.replay import Moment, moment_json, new_replay, run_to
from pacer.verbs.script import Script, parse_script

# The invented plan of the pacing rules: 25:00 from 9:00, warm-up and review under one cap of 5:00.
PLAN = """
format = 1
title = "Thirds on a number line"
[block]
minutes = 75
mini_lesson = "25"
""" + "".join(
    f'[[phase]]\nid = "{name}"\ntitle = "{name.title()}"\nkind = "{kind}"\nbudget = "{budget}"\n'
    f'floor = "{floor}"\ncut_tier = {tier}\n'
    for name, kind, budget, floor, tier in (
        ("count", "warm-up", "2", "1", 1),
        ("review", "review", "3", "1:30", 1),
        ("model", "modeling", "7", "4", 2),
        ("words", "vocabulary", "3", "2", 2),
        ("practice", "guided-practice", "8", "6", 3),
        ("back", "look-back", "2", "1", 1),
    )
)


@pytest.fixture
def files(tmp_path):
    """Write an outline and a script; returns their paths as text."""

    def write(script: str, outline: str = PLAN) -> tuple[str, str]:
        (tmp_path / "lesson.toml").write_text(outline, encoding="utf-8")
        (tmp_path / "script.txt").write_text(script, encoding="utf-8")
        return str(tmp_path / "lesson.toml"), str(tmp_path / "script.txt")

    return write


def lines(capsys) -> list[dict]:
    return [json.loads(line) for line in capsys.readouterr().out.splitlines()]


def test_the_move_by_column_of_the_invented_plan(files, capsys):
    """Source: our own arithmetic on the invented plan, reproducible by hand."""
    script = "start 9:00\n0:00 look\n2:00 next\n5:00 next\n12:00 next\n15:00 next\n23:00 next\n"
    assert main(["replay", *files(script), "--json"]) == 0
    found = [(line["desk"]["phase"], line["desk"]["move_by"], line["desk"]["move_by_reason"])
             for line in lines(capsys)[1:-1]]  # fmt: skip
    assert found == [
        ("count", "09:02:30", "fair"),
        ("review", "09:05:00", "cap"),
        ("model", "09:13:45", "fair"),
        ("words", "09:15:45", "fair"),
        ("practice", "09:24:00", "hard"),
        ("back", "09:25:00", "hard"),
    ]


def test_a_late_start_still_ends_at_the_planned_end(files, capsys):
    """Source: our own arithmetic: 6:00 late gives skip count −1:00 … so comfort is 9:07, fair 9:07:30."""
    assert main(["replay", *files("start 9:06 planned 9:00\n0:00 look\n"), "--json"]) == 0
    desk = lines(capsys)[1]["desk"]
    assert (desk["left_s"], desk["move_by"], desk["move_by_reason"]) == (60, "09:07:30", "fair")


def test_every_line_has_the_promised_keys_and_the_record_comes_last(files, capsys):
    assert (
        main(["replay", *files("start 2026-03-09 9:00\n1:00 look\n2:05 next done\n2:10 end\n"), "--json"])
        == 0
    )
    *moments, last = lines(capsys)
    assert [(line["at"], line["event"]) for line in moments] == [
        (0, "start"),
        (60, None),
        (125, "next"),
        (130, "end"),
    ]
    assert set(moments[0]["desk"]) >= {"state", "phase", "left_s", "move_by", "move_by_reason", "next"}
    assert set(moments[0]["wall"]) == {"face", "title", "line", "digits", "squares", "note"}
    assert moments[-1]["desk"]["state"] == "ended"
    assert last["record"]["date"] == "2026-03-09"
    rows = {row["phase"]: (row["planned"], row["actual"], row["ending"]) for row in last["record"]["phases"]}
    assert rows["count"] == (120, 125, "done")
    assert rows["review"] == (180, 5, "unsaid")
    assert rows["back"] == (120, 0, "skipped")


@pytest.mark.parametrize(
    ("at", "left", "squares", "digits"),
    [
        ("0:00", 120, [2, 0], "2:00"),
        ("1:30", 30, [0, 2], "0:30"),
        ("1:59", 1, [0, 1], "0:01"),
        ("2:00", 0, [0, 0], "0:00"),
    ],
)
def test_squares_and_digits_come_from_one_count(files, capsys, at, left, squares, digits):
    assert main(["replay", *files(f"start 9:00\n{at} look\n"), "--json"]) == 0
    line = lines(capsys)[1]
    assert (line["desk"]["left_s"], line["wall"]["squares"], line["wall"]["digits"]) == (
        left,
        squares,
        digits,
    )


def test_a_refused_press_says_why_and_changes_nothing(files, capsys):
    outline, script = files("start 9:00\n# a comment\n0:30 go-on\n0:30 jump nowhere\n")
    assert main(["replay", outline, script, "--json"]) == 1
    out, err = capsys.readouterr()
    start, go_on, jump, _record = map(json.loads, out.splitlines())
    assert [line.partition(" was refused. ")[0] for line in err.splitlines()] == [
        f'{script}:3: Step 1, "0:30 go-on",',
        f'{script}:4: Step 2, "0:30 jump nowhere",',
    ]
    assert go_on["refused"] in err
    assert go_on["event"] is None
    assert "not paused" in go_on["refused"]
    assert "nowhere" in jump["refused"]
    assert go_on["desk"]["phase"] == start["desk"]["phase"]


def test_hidden_time_leaves_no_trace_on_the_wall(files, capsys):
    """That it is up is still said in words: hidden time is no time to go on in."""
    script = "start 9:00\n0:10 hide\n1:59 look\n2:00 look\n2:30 look\n"
    assert main(["replay", *files(script), "--json"]) == 0
    walls = [line["wall"] for line in lines(capsys)[1:-1]]
    assert [(wall["face"], wall["digits"], wall["squares"]) for wall in walls] == [("hidden", None, None)] * 4
    assert [wall["note"] for wall in walls] == ["", "", "Finish up", "Finish up"]


def test_the_table_for_people_shows_the_sum_of_all_phases(files, capsys):
    assert main(["replay", *files("start 9:00\n2:10 next\n4:00 end\n")]) == 0
    out = capsys.readouterr().out
    assert "Count" in out
    assert "+0:10" in out
    assert out.splitlines()[-1].startswith("all phases")


@pytest.mark.parametrize(
    ("script", "line", "words"),
    [
        ("", 1, "empty"),
        ("# only a comment\n", 1, "empty"),
        ("0:10 next\n", 1, "start"),
        ("start 25:00\n", 1, "start"),
        ("start 9:00 planned 9:61\n", 1, "start"),
        ("start 2026-02-30 9:00\n", 1, "start"),
        ("start 9:00\nnext\n", 2, "step"),
        ("start 9:00\n1:75 next\n", 2, "step"),
        ("start 9:00\n1:00 nxt\n", 2, 'Did you mean "next"'),
        ("start 9:00\n2:00 next\n1:00 look\n", 3, "earlier"),
        ("start 9:00\n9999:00 look\n", 2, "eight hours"),
        ("start 9:00\n1:00 start\n", 2, "already"),
        ("start 9:00\n1:00 look\n1:30 pause 2:00\n", 3, '"pause" takes nothing after it'),
        ("start 9:00\n\n# later\n1:00 undo everything\n", 4, '"undo" takes nothing after it'),
    ],
)
def test_a_script_with_a_slip_is_refused_with_its_line(files, capsys, script, line, words):
    outline, path = files(script)
    assert main(["replay", outline, path]) == 1
    err = capsys.readouterr().err
    assert err.startswith(f"{path}:{line}: ")
    assert words in err


@pytest.mark.parametrize("content", [b"start 9:00\xff\n", None])
def test_a_script_that_cannot_be_read_is_a_plain_problem(files, tmp_path, capsys, content):
    outline, path = files("start 9:00\n")
    if content is None:
        path = str(tmp_path / "missing.txt")
    else:
        (tmp_path / "script.txt").write_bytes(content)
    assert main(["replay", outline, path]) == 1
    assert capsys.readouterr().err.startswith(path)


def test_problems_of_outline_and_script_are_told_together(files, capsys):
    outline, path = files("start 9:00\n1:00 nxt\n", outline="format = 1\n")
    assert main(["replay", outline, path]) == 1
    err = capsys.readouterr().err
    assert outline in err
    assert path in err


def test_a_start_past_the_bell_and_a_bell_before_the_start_give_sound_frames(files, capsys):
    script = "start 11:00 planned 9:00\n0:39 look\n0:40 look\n0:45 bell-now\n"
    assert main(["replay", *files(script), "--json"]) == 0
    start, before, due, bell, record = lines(capsys)
    # However late, count keeps its floor of a minute, less the lead of 20 s.
    assert [line["desk"]["state"] for line in (start, before, due)] == ["closing", "closing", "move_on"]
    assert bell["desk"]["state"] == "ended"
    assert record["record"]["phases"][0]["ending"] == "bell"


@pytest.mark.slow
def test_without_a_script_the_lesson_goes_to_plan():
    outline = read_text(PLAN, "plan")
    assert isinstance(outline, Outline)
    assert run_to(outline, None, 750).session.state.phase.id == "words"
    at_table = [(27 * 60, 0), (40 * 60 - 1, 0), (41 * 60 + 30, 1), (56 * 60, 2), (69 * 60 - 1, 2)]
    for second, group in at_table:
        leg = run_to(outline, None, second).session.state.leg
        assert (leg.kind, leg.group) == ("visit", group), second
    assert run_to(outline, None, 70 * 60).session.state.leg.kind == "share"
    over = run_to(outline, None, 75 * 60).session.state
    assert (over.is_running, over.bell_offset_s, over.ended_ms) == (False, 0, 75 * 60_000)


def test_a_script_of_a_thousand_steps_is_read_and_one_more_is_a_problem_on_its_line():
    text = "start 9:00\n" + "0:01 voice\n" * 1_000
    script = parse_script(text, "s.txt")
    assert isinstance(script, Script)
    assert len(script.steps) == 1_000
    assert parse_script(text + "0:01 voice\n", "s.txt") == [
        Problem("s.txt", 1_002, "The script has more than 1000 steps.", "Leave some out.")
    ]


ARGUMENTS = ("done", "moved-on", "1:00", "review", "3", "strip", "99 h", "nonsense", "0")
presses = st.sampled_from(
    [(name, "") for name in [*sorted(COMMANDS.keys() - {"start"}), "look"]]
    + [(name, word) for name in sorted(COMMANDS) for word in ARGUMENTS if COMMANDS[name].argument]
)


@pytest.mark.parametrize("name", sorted(COMMANDS.keys() - {"start"}))
def test_a_script_takes_an_argument_after_exactly_the_commands_that_have_one(name):
    script = parse_script(f"start 9:00\n0:10 look\n1:00 {name} 1:00 # a note\n", "s.txt")
    if COMMANDS[name].argument:
        assert isinstance(script, Script)
        assert (script.steps[1].command, script.steps[1].argument) == (name, "1:00")
    else:
        assert script == [
            Problem("s.txt", 3, f'"{name}" takes nothing after it.', "Take the rest of the line out.")
        ]


@given(st.lists(st.tuples(st.integers(0, 90), presses), max_size=25), st.integers(-20, 90))
def test_any_script_replays_to_sound_frames(steps, late_min):
    outline = read_text(PLAN, "plan")
    at, written = 0, [f"start {9 + (late_min + 60) // 60 - 1}:{late_min % 60:02d} planned 9:00"]
    for wait, (command, argument) in steps:
        at += wait
        written.append(f"{at // 60}:{at % 60:02d} {command} {argument}")
    script = parse_script("\n".join(written), "script")
    assert isinstance(script, Script)
    *moments, record = new_replay(outline, script).moments(script)
    for moment in moments:
        assert isinstance(moment, Moment)
        assert moment.wall.digits is None or not moment.wall.digits.startswith("-")
        assert moment.desk.stage in ("steady", "closing", "borrowing", "move_on", "paused", "ended")
    assert 0 <= record.actual <= at


@given(st.text(max_size=300))
def test_reading_any_script_gives_a_script_or_problems(text):
    result = parse_script(text, "script")
    assert isinstance(result, Script) or all(isinstance(problem, Problem) for problem in result)


def desks(files, capsys, script: str, outline: str = PLAN) -> list[dict]:
    """What the Desk says at the start and at each step of a script."""
    assert main(["replay", *files(script, outline), "--json"]) == 0
    return [line["desk"] for line in lines(capsys)[:-1]]


def paid(*payments: tuple[str, int]) -> list[dict]:
    return [{"phase": phase, "seconds": seconds} for phase, seconds in payments]


def test_a_file_that_is_no_script_is_told_a_hundred_times_and_no_more():
    found = parse_script("start 9:00\n" + "not a step\n" * 100_000, "a.txt")
    assert len(found) == 101
    assert str(found[-1]) == "a.txt:101: What follows was not read. Mend these first."


def test_staying_in_review_has_the_worked_prices_and_cuts(files, capsys):
    """Source: our own arithmetic on the invented plan, reproducible by hand."""
    script = "start 9:00\n2:00 next\n5:00 look\n6:00 look\n7:00 look\n10:00 look\n12:00 look\n13:00 look\n"
    *_before, at_905, at_906, at_907, at_910, at_912, at_913 = desks(files, capsys, script)
    assert {desk["phase"] for desk in (at_905, at_913)} == {"review"}
    assert (at_905["price"], at_905["recut"]) == (paid(("back", 60)), [])
    assert (at_906["price"], at_906["recut"]) == (paid(("model", 45), ("words", 15)), paid(("back", -60)))
    assert at_907["recut"] == paid(("model", -45), ("words", -15), ("back", -60))
    assert at_910["price"] == paid(("practice", 60))
    assert at_910["recut"] == paid(("model", -180), ("words", -60), ("back", -60))
    assert (at_912["price"], at_912["short_s"]) == (paid(("groups", 60)), 0)
    all_give = paid(("model", -180), ("words", -60), ("practice", -120), ("back", -60))
    assert at_912["recut"] == at_913["recut"] == all_give
    assert (at_913["price"], at_913["short_s"], at_913["leaving"]) == (paid(("groups", 60)), 60, [])


def test_starting_six_minutes_late_has_the_worked_cut(files, capsys):
    """Source: our own arithmetic on the invented plan."""
    desk = desks(files, capsys, "start 9:06 planned 9:00\n")[0]
    assert desk["recut"] == paid(
        ("count", -60), ("review", -90), ("model", -120), ("words", -30), ("back", -60)
    )
    assert (desk["short_s"], desk["leaving"]) == (0, [])


def test_the_groups_keep_what_the_mini_lesson_leaves_them(files, capsys):
    """Source: our own arithmetic: 3 × 13:00 as planned; later phases have 8:30 to give, then groups pay."""
    found = [desk["groups"] for desk in desks(files, capsys, "start 9:00\n10:30 look\n11:30 look\n")]
    assert found == [{"count": 3, "visit_s": seconds} for seconds in (780, 780, 760)]
    assert (
        desks(files, capsys, "start 9:00\n", PLAN.replace("minutes = 75", "minutes = 75\ngroups = 0"))[0][
            "groups"
        ]
        is None
    )


# Phases of the worked lesson on talk, with the seconds that each one takes in it.
TALK = (("class", 120), ("unmarked", 180), ("teacher", 210), ("partners", 20), ("teacher", 190),
        ("teacher", 60), ("partners", 45), ("teacher", 75), ("quiet", 480), ("teacher", 120))  # fmt: skip
TALK_PLAN = 'format = 1\ntitle = "Talk"\n[block]\nminutes = 75\n' + "".join(
    f'[[phase]]\ntitle = "P{number}"\nbudget = "{seconds} s"\ntalk = "{mode}"\n'
    for number, (mode, seconds) in enumerate(TALK)
)


def test_the_worked_lesson_is_forty_four_to_fifty_six_percent_talk(files, capsys):
    """Source: our own arithmetic: 10:55 of 25:00, 3:00 unmarked; 4:10 from 8:50, or 6:30 from 2:00."""
    at, script = 0, "start 9:00\n"
    for _mode, seconds in TALK[:-1]:
        at += seconds
        script += f"{at // 60}:{at % 60:02d} next\n"
    start, *_between, end = desks(files, capsys, script + "25:00 look\n", TALK_PLAN)
    assert start["talk"] == {"low": 0, "high": 0, "longest_s": 0, "longest_if_unmarked_s": 0}
    assert end["talk"] == {"low": 44, "high": 56, "longest_s": 250, "longest_if_unmarked_s": 390}


def test_a_phase_that_must_leave_is_listed_and_gone_once_the_cut_is_kept(files, capsys):
    """Source: our own arithmetic: ten minutes late, the floors need 15:30 of 15:00 and review has 1:30."""
    plan = PLAN.replace('id = "review"', 'id = "review"\nmovable = "table"')
    script = "start 9:10 planned 9:00\n0:05 keep\n0:10 uncut\n0:15 keep\n1:00 next\n"
    asked, kept, undone, again, moved = desks(files, capsys, script, plan)
    assert asked["leaving"] == undone["leaving"] == [{"phase": "review", "to": "table"}]
    assert (asked["next"], kept["next"], undone["next"]) == ("review", "model", "review")
    assert (kept["leaving"], again["leaving"], moved["phase"]) == ([], [], "model")
    assert kept["recut"] == paid(
        ("count", -60), ("model", -180), ("words", -60), ("practice", -60), ("back", -60)
    )
    named = "start 9:00\n0:05 keep review\n0:10 keep model\n"
    assert main(["replay", *files(named, plan), "--json"]) == 1
    _start, review, model, _record = lines(capsys)
    assert (review["event"], review["desk"]["next"]) == ("keep", "model")
    assert model["refused"] == 'The plan does not let "model" leave.'


OUTLOOK_KEYS = {"price", "recut", "leaving", "short_s", "groups", "odds", "talk"}


def test_the_outlook_has_its_keys_on_every_line_and_is_empty_once_the_lesson_is_over(files, capsys):
    found = desks(files, capsys, "start 9:00\n1:00 look\n2:05 pause\n2:10 end\n")
    assert all(set(desk) >= OUTLOOK_KEYS for desk in found)
    assert all(
        set(desk["talk"]) == {"low", "high", "longest_s", "longest_if_unmarked_s"} for desk in found[:3]
    )
    assert all(desk["odds"] is None for desk in found), "no lesson is known yet"
    assert {key: found[-1][key] for key in OUTLOOK_KEYS} == {
        "price": [], "recut": [], "leaving": [], "short_s": 0, "groups": None, "odds": None, "talk": None,
    }  # fmt: skip


@pytest.mark.parametrize(("low", "high", "told"), [(0.46, 0.54, 5), (0.66, 1.0, [7, 10]), (0.0, 0.0, 0)])
def test_the_odds_are_tens_or_a_range_of_tens_as_the_past_said_at_the_border(low, high, told):
    outline = read_text(PLAN, "plan")
    script = parse_script("start 9:00\n2:00 next\n2:30 look\n", "script")
    assert isinstance(outline, Outline)
    assert isinstance(script, Script)
    ids = [phase.id for phase in outline.phases]

    def foresee(state, _now_ms):
        return Forecasted(index=state.index, low=low, high=high, end_ms=0, lessons=7 + state.index)

    *moments, _record = new_replay(outline, script, foresee).moments(script)
    found = [moment_json(moment, ids)["desk"]["odds"] for moment in moments]
    assert found == [{"tens": told, "of": 10, "lessons": lessons} for lessons in (7, 8, 8)]


still_running = presses.filter(lambda press: press[0] not in ("end", "bell-now", "groups"))


@pytest.mark.slow
@settings(max_examples=25)
@given(
    st.lists(st.tuples(st.integers(0, 40), still_running), max_size=10),
    st.integers(-5, 30),
    st.sampled_from([0, 1, 3, 7]),
)
def test_at_every_second_of_any_script_prices_add_up_to_a_minute(steps, late_min, groups):
    outline = read_text(PLAN.replace("minutes = 75", f"minutes = 75\ngroups = {groups}"), "plan")
    assert isinstance(outline, Outline)
    ids = [phase.id for phase in outline.phases]
    at, written = 0, [f"start {9 + (late_min + 60) // 60 - 1}:{late_min % 60:02d} planned 9:00"]
    for wait, (command, argument) in steps:
        written += [f"{second // 60}:{second % 60:02d} look" for second in range(at + 1, at + wait + 1)]
        at += wait
        written.append(f"{at // 60}:{at % 60:02d} {command} {argument}")
    script = parse_script("\n".join(written), "script")
    assert isinstance(script, Script)
    *moments, _record = new_replay(outline, script).moments(script)
    assert len(moments) == len(written)
    for moment in moments:
        desk = moment_json(moment, ids)["desk"]
        if desk["state"] == "ended":
            assert desk["price"] == []
            continue
        assert sum(payment["seconds"] for payment in desk["price"]) == 60
        payers = (*ids, "spare", "groups", "share", "over")
        assert all(payment["phase"] in payers for payment in desk["price"])
        assert all(change["seconds"] < 0 for change in desk["recut"])
        assert desk["short_s"] >= 0
        assert (desk["groups"] is None) == (groups == 0)
        assert 0 <= desk["talk"]["low"] <= desk["talk"]["high"] <= 100


@pytest.mark.parametrize("sign", ["\x85", "\x1e", "\u2028", "\f"])
def test_a_line_of_a_script_has_the_number_that_an_editor_gives_it(sign):
    """Python breaks lines at these signs, editors don't."""
    (problem,) = parse_script(f"start 9:00\n# late{sign}today\r\n0:10 look\r0:20 wave\n", "s.txt")
    assert (problem.line, "wave" in problem.what) == (4, True)
