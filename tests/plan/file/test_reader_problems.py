"""Outline files that are wrong: every problem says which file, which line, what, and what to do next."""

import os
from itertools import count
from pathlib import Path

import pytest

from pacer.plan.file.reader import read_bytes, read_outline, read_text
from pacer.plan.outline import Outline
from pacer.plan.problems import Problem, did_you_mean

GOOD = 'format = 1\ntitle = "T"\n[[phase]]\ntitle = "A"\nbudget = "3"\n'


def problems(content: str | bytes) -> list[str]:
    found = read_text(content, "o.toml") if isinstance(content, str) else read_bytes(content, "o.toml")
    assert isinstance(found, list), found
    return [str(problem) for problem in found]


DURATION_FIX = 'Write minutes "3", "2:30", "90 s" or "PT2M30S".'


@pytest.mark.parametrize(
    ("content", "line", "what", "fix"),
    [
        (
            GOOD.replace("format = 1", "format = 2"),
            1,
            "format = 2 is not known to this version.",
            "Write: format = 1",
        ),
        (
            GOOD.replace("format = 1", "format = true"),
            1,
            "format = true is not known to this version.",
            "Write: format = 1",
        ),
        (GOOD.replace("format = 1\n", ""), 1, "The first line is missing.", "Write: format = 1"),
        (GOOD.replace('title = "T"\n', ""), 1, "The outline has no title.", 'Add a line: title = "…"'),
        (GOOD.replace('"T"', '""'), 2, "title is empty.", "Write something."),
        (GOOD.replace('"T"', '"\u200b\u2060"'), 2, "title is empty.", "Write something."),
        (GOOD.replace('"T"', '"\u3164\u2800"'), 2, "title is empty.", "Write something."),
        (GOOD.replace('"A"', '"   "'), 4, "title is empty.", "Write something."),
        (GOOD.replace('"A"', f'"{"a" * 121}"'), 4, "title is too long.", "At most 120 characters."),
        (GOOD.replace('"T"', "3"), 2, "title must be text.", 'Put it in "quotes".'),
        (GOOD.replace('"3"', '"soon"'), 5, 'budget = "soon" is not a duration.', DURATION_FIX),
        (GOOD.replace('"3"', "[1]"), 5, "budget = … is not a duration.", DURATION_FIX),
        (GOOD.replace('"3"', "2026-03-09"), 5, "budget = 2026-03-09 is not a duration.", DURATION_FIX),
        (GOOD.replace('"3"', "0"), 5, "budget is too short.", "It is at least 0:01."),
        (GOOD.replace('"3"', '"-3"'), 5, 'budget = "-3" is not a duration.', DURATION_FIX),
        (GOOD.replace('"3"', '"10 h"'), 5, "budget is too long.", "It is at most 180:00."),
        (
            GOOD + 'floor = "4"\n',
            6,
            'The floor of "A" is longer than its budget.',
            "Make the floor shorter or the budget longer.",
        ),
        (
            GOOD + 'cap_group = "mine"\n',
            6,
            'No phase of the cap group "mine" says what the cap is.',
            'Add cap = "5" to one of its phases.',
        ),
        (
            GOOD + 'id = "a b"\n',
            6,
            'id = "a b" has a space or a sign in it.',
            "Use letters, digits and hyphens.",
        ),
        (GOOD + "cut_tier = 0\n", 6, "cut_tier = 0 won't do.", "Write a whole number, 1 or more."),
        (GOOD + "examples = 21\n", 6, "examples = 21 won't do.", "Write a whole number, 20 or less."),
        (GOOD + "examples = 1.5\n", 6, "examples = 1.5 won't do.", "Write a whole number without quotes."),
        (GOOD + 'examples = "2"\n', 6, 'examples = "2" won\'t do.', "Write a whole number without quotes."),
        (
            GOOD + 'kind = "modelling"\n',
            6,
            'kind = "modelling" is not one of the choices.',
            'Did you mean "modeling"?',
        ),
        (
            GOOD + 'movable = "tabel"\n',
            6,
            'movable = "tabel" is not one of the choices.',
            'Did you mean "table"?',
        ),
        (
            GOOD + 'wall = "hidden"\n',
            6,
            'wall = "hidden" is not one of the choices.',
            "Choose from: full, strip, off.",
        ),
        (
            GOOD + "talk = 3\n",
            6,
            "talk = 3 is not one of the choices.",
            "Choose from: teacher, class, partners, quiet, unmarked.",
        ),
        (GOOD + "budgte = 3\n", 6, 'There is no key "budgte" here.', 'Did you mean "budget"?'),
        (GOOD + "qqqqq = 3\n", 6, 'There is no key "qqqqq" here.', "Take it out, or check its spelling."),
        (
            GOOD + '[[phase.burst]]\nlenght = "1"\n',
            7,
            'There is no key "lenght" here.',
            'Did you mean "length"?',
        ),
        (
            '[block]\nminuts = "60"\n' + GOOD.replace("format", "[x]\nformat"),
            2,
            'There is no key "minuts" here.',
            'Did you mean "minutes"?',
        ),
        (GOOD + "[[phases]]\n", 6, 'There is no key "phases" here.', 'Did you mean "phase"?'),
        (
            GOOD + "\n[bogus.inner]\n",
            7,
            'There is no key "bogus" here.',
            "Take it out, or check its spelling.",
        ),
        (GOOD + "\na.b.c = 1\n", 7, 'There is no key "a" here.', "Take it out, or check its spelling."),
        (GOOD + '[[phase]]\ntitle = "B"\n', 6, "Phase 2 has no budget.", 'Add a line: budget = "…"'),
        (
            'format = 1\ntitle = "T"\nphase = []\n',
            3,
            "There is no phase.",
            "Add a [[phase]] with a title and a budget.",
        ),
        ('format = 1\ntitle = "T"\n', 1, "There is no phase.", "Add a [[phase]] with a title and a budget."),
        (
            'format = 1\ntitle = "T"\nphase = 3\n',
            3,
            "phase is not written as a table.",
            "Start it with [[phase]].",
        ),
        (
            'format = 1\ntitle = "T"\nphase = [1]\n',
            3,
            "phase is not written as a table.",
            "Start it with [[phase]].",
        ),
        ("block = 3\n" + GOOD, 1, "block is not written as a table.", "Start it with [block]."),
        ("group = 3\n" + GOOD, 1, "group is not written as a table.", "Start it with [[group]]."),
        ('station = ["A"]\n' + GOOD, 1, "station is not written as a table.", "Start it with [[station]]."),
        (
            GOOD + '[[group]]\nname = "Circle, carpet"\n',
            7,
            "name holds a comma.",
            "A comma stands between two names: write this one without, or each in quotes of its own.",
        ),
        (
            GOOD + '[block]\norder = ["Circle, Star"]\n',
            7,
            "order holds a comma.",
            "A comma stands between two names: write this one without, or each in quotes of its own.",
        ),
        (GOOD + "burst = 3\n", 6, "burst is not written as a table.", "Start it with [[phase.burst]]."),
        ('block = { minutes = "2" }\n' + GOOD, 1, "minutes is too short.", "It is at least 5:00."),
        (
            GOOD + '[[phase]]\ntitle = "B"\nbudget = "1"\n' * 200,
            3,
            "There are too many [[phase]] tables.",
            "At most 60.",
        ),
        (
            GOOD + '[[phase.burst]]\nlength = "1"\n' * 21,
            6,
            "There are too many [[burst]] tables.",
            "At most 20.",
        ),
        (
            GOOD.replace('"A"', '"A\\u0007"'),
            4,
            "title holds a character that can't be seen (U+0007).",
            "Delete it.",
        ),
        (
            GOOD.replace('"A"', '"A\\u0000"'),
            4,
            "title holds a character that can't be seen (U+0000).",
            "Delete it.",
        ),
        (
            GOOD.replace('"A"', '"A\\u0085"'),
            4,
            "title holds a character that can't be seen (U+0085).",
            "Delete it.",
        ),
        (
            GOOD.replace('"A"', '"A\\nB"'),
            4,
            "title holds a character that can't be seen (U+000A).",
            "Delete it.",
        ),
        (GOOD + '[[group]]\nplace = "rug"\n', 6, "Group 1 has no name.", 'Add a line: name = "…"'),
        (GOOD + '[[station]]\nwords = "x"\n', 6, "Station 1 has no name.", 'Add a line: name = "…"'),
        (
            GOOD + '[[group]]\nname = "Star"\nplaec = "rug"\n',
            8,
            'There is no key "plaec" here.',
            'Did you mean "place"?',
        ),
        (
            GOOD + '[[station]]\nname = "Star"\nteacher = "me"\n',
            8,
            'teacher = "me" is not true or false.',
            "Only your own table is marked: teacher = true.",
        ),
        (
            GOOD + '[block]\norder = "Star"\n',
            7,
            "order is not a list of names.",
            'Write: order = ["Circle", "Triangle"]',
        ),
        (
            GOOD + "[block]\norder = [" + '"a",' * 13 + "]\n",
            7,
            "order names too many.",
            "At most 12.",
        ),
    ],
    ids=count(1),
)
def test_each_mistake_is_named_with_its_line_and_what_to_do(
    content: str, line: int, what: str, fix: str
) -> None:
    assert f"o.toml:{line}: {what} {fix}" in problems(content)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "o.toml:1: The file is empty."),
        (b" \r\n\n", "o.toml:1: The file is empty."),
        (b"\xef\xbb\xbf", "o.toml:1: The file is empty."),
        (GOOD.encode().replace(b'"A"', b'"caf\xe9"'), "o.toml:4: The text is not UTF-8."),
        (GOOD.encode("utf-16"), "o.toml:1: The text is written as UTF-16. Save it as UTF-8"),
        (GOOD.encode("utf-16-be"), "o.toml:1: The text is written as UTF-16. Save it as UTF-8"),
        (GOOD.encode("utf-32"), "o.toml:1: The text is written as UTF-32. Save it as UTF-8"),
        (GOOD.encode().replace(b'"A"', b'"A\0"'), "o.toml:4: This is not a text file."),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "o.toml:3: This is not a text file."),
        (b"\x7fELF\x02\x01\x01", "o.toml:1: The line is neither a key"),
        (b"#" * 1_000_001, "o.toml: The file is larger than 1 MB."),
    ],
    ids=[
        "empty",
        "blank",
        "BOM alone",
        "Latin-1",
        "UTF-16",
        "UTF-16 without a mark",
        "UTF-32",
        "NUL",
        "picture",
        "program",
        "1 MB",
    ],
)
def test_bytes_that_are_no_text_are_refused_in_one_sentence(data: bytes, said: str) -> None:
    found = problems(data)
    assert len(found) == 1
    assert found[0].startswith(said)


def test_a_missing_file_a_folder_and_a_huge_file_are_each_one_plain_problem(tmp_path: Path) -> None:
    huge = tmp_path / "huge.toml"
    with huge.open("wb") as file:
        file.truncate(50_000_000)
    for path, said in (
        (tmp_path / "none.toml", "There is no such file. Check the name and the folder."),
        (tmp_path, "This is a folder. Name a file inside it."),
        (huge, "The file is larger than 1 MB. Name a smaller one."),
    ):
        found = read_outline(path)
        assert isinstance(found, list)
        assert [str(problem) for problem in found] == [f"{path}: {said}"]


@pytest.mark.parametrize(
    "name", ["a\0b.toml", "x" * 5000, "file.toml/under"], ids=["NUL", "long", "under a file"]
)
def test_a_name_the_system_will_not_take_is_a_problem_too(tmp_path: Path, name: str) -> None:
    (tmp_path / "file.toml").write_text(GOOD)
    found = read_outline(tmp_path / name)
    assert isinstance(found, list)
    assert len(found) == 1
    assert found[0].what.startswith(("The file can't be read", "There is no such file"))


def test_an_endless_file_is_not_read_to_its_end() -> None:
    endless = Path("/dev/zero")
    if not endless.exists():
        pytest.skip("this system has no endless file")
    found = read_outline(endless)
    assert isinstance(found, list)
    assert found[0].what == "This is not an ordinary file."


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="this system has no named pipes")
def test_a_pipe_that_nobody_writes_to_is_refused_and_not_waited_for(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.toml"
    os.mkfifo(pipe)
    found = read_outline(pipe)
    assert isinstance(found, list)
    assert [str(problem) for problem in found] == [f"{pipe}: This is not an ordinary file. Name a text file."]


def test_all_problems_are_told_at_once_in_the_order_of_the_lines() -> None:
    content = GOOD.replace('"T"', "3") + 'floor = "x"\nkind = "revue"\n[[phase]]\nbudget = 0\n'
    found = read_text(content, "o.toml")
    assert isinstance(found, list)
    assert [problem.line for problem in found] == [2, 6, 7, 8, 9]


def test_of_very_many_problems_the_first_hundred_are_told() -> None:
    found = read_text(GOOD + "".join(f"slip{n} = 1\n" for n in range(300)), "o.toml")
    assert isinstance(found, list)
    assert [problem.line for problem in found] == list(range(6, 106))


def test_the_second_use_of_an_id_is_the_problem() -> None:
    content = GOOD + 'id = "a"\n' + '[[phase]]\ntitle = "B"\nbudget = "1"\nid = "a"\n' * 2
    assert problems(content) == [
        'o.toml:10: The id "a" is used twice. Give each phase an id of its own.',
        'o.toml:14: The id "a" is used twice. Give each phase an id of its own.',
    ]


@pytest.mark.parametrize(
    "before",
    [
        'notes = """\n[[phase]]\nfloor = "9"\n"""\n',
        "notes = '''\n[[phase]]\nfloor = \"9\"\n'''\n",
        'notes = """one line"""\n',
        'notes = """\\\n  [[phase]]\n  a quote \\""" inside\n"""\n',
        'notes = """two quotes at the end\n"""""\n',
        'class_line = "a" # a comment with """ and \'\'\'\n',
        "class_line = \"'''\"\n",
        'class_line = \'"""\'\n',
        'class_line = "a # b = [ {"\n',
        '# [[phase]]\n# floor = "9"\n',
        "burst = [\n  { length = '1' },\n  { length = '2' }\n]\n",
        "burst = [\n] # [[phase]]\n\n",
    ],
)
def test_what_stands_in_strings_comments_and_brackets_never_shifts_a_line_number(before: str) -> None:
    line = 5 + before.count("\n") + 1
    assert problems(GOOD + before + "zzzzz = 1\n") == [
        f'o.toml:{line}: There is no key "zzzzz" here. Take it out, or check its spelling.'
    ]


def test_a_value_inside_brackets_is_reported_where_it_stands() -> None:
    found = problems(GOOD + "burst = [\n  { length = 'x' },\n]\n")
    assert found == [f'o.toml:7: length = "x" is not a duration. {DURATION_FIX}']


@pytest.mark.parametrize(
    "content",
    [
        "x = " + "[" * 5000 + "]" * 5000,
        "x = " + "{a=" * 5000 + "1" + "}" * 5000,
        "a." * 200_000 + "b = 1",
        "[" + "a." * 200_000 + "b]",
        "x = " + "9" * 5000,
        "'''" * 300_000,
        "k" * 900_000,
    ],
    ids=["arrays", "inline tables", "a dotted key", "a dotted header", "digits", "quotes", "letters"],
)
def test_nesting_and_lines_without_end_are_refused_quickly_and_briefly(content: str) -> None:
    for said in problems(content):
        assert len(said) < 300


def test_a_problem_never_repeats_a_long_value_or_an_unprintable_one() -> None:
    said = problems(GOOD + f'floor = "{"x" * 90_000}"\nwall = "\\u001b[31m\\u202e"\n')
    assert all(len(line) < 200 for line in said)
    assert all(char.isprintable() for line in said for char in line)


@pytest.mark.parametrize("code", [*range(0x202A, 0x202F), *range(0x2066, 0x206A)])
@pytest.mark.parametrize("key", ["title", "class_line", "second_line", "notes"])
def test_signs_that_turn_the_direction_of_text_are_refused_in_every_text(key: str, code: int) -> None:
    row = {"title": '"A"', "budget": "3"} | {key: f'"A{chr(code)}B"'}
    text = 'format = 1\ntitle = "T"\n[[phase]]\n' + "".join(f"{name} = {of}\n" for name, of in row.items())
    line = 4 + list(row).index(key)
    assert problems(text) == [
        f"o.toml:{line}: {key} holds a character that can't be seen (U+{code:04X}). Delete it."
    ]


@pytest.mark.parametrize("code", [0x200E, 0x200F, 0x202F, 0x206A])
def test_the_signs_beside_them_and_plain_direction_marks_are_kept(code: int) -> None:
    outline = read_text(GOOD.replace('"A"', f'"A{chr(code)}B"'), "o.toml")
    assert isinstance(outline, Outline)
    assert outline.phases[0].title == f"A{chr(code)}B"


def test_a_problem_without_a_line_or_a_fix_is_still_a_sentence() -> None:
    assert str(Problem("f", None, "No.", "")) == "f: No."
    assert str(Problem("f", 3, "No.", "Do.")) == "f:3: No. Do."


def test_a_far_fetched_word_suggests_nothing() -> None:
    assert did_you_mean("Reveiw", ["review", "model"]) == "review"
    assert did_you_mean("zebra", ["review", "model"]) is None


def test_the_good_file_of_these_tests_is_good() -> None:
    assert isinstance(read_text(GOOD, "o.toml"), Outline)
