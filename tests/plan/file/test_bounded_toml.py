"""Texts made to hang the reader: each is told with its line after one pass; ordinary ones are let through."""

import re

import pytest

from pacer.paths import template_folder
from pacer.plan.draft.read_toml import draft_of
from pacer.plan.file.bounded_toml import DEEPEST, LONGEST_WORD, MOST_ESCAPES, look_over, parse_toml
from pacer.plan.file.key_lines import key_lines
from pacer.plan.file.model import MAX_PHASES
from pacer.plan.file.reader import read_text
from pacer.plan.outline import Outline
from tests.work import lines_run

GOOD = 'format = 1\ntitle = "T"\n[[phase]]\ntitle = "A"\nbudget = "3"\n'
DEEP, LONG, MUCH = "nested too deeply", f"more than {LONGEST_WORD} signs", "far more in this file"
ENOUGH = 4_000_000

# One door for all: what the outline's reader refuses, the page that edits it refuses in the same words.
HOSTILE = {
    "dots in braces": ("a = {" + "b." * 100_000 + "c = 1}", DEEP),
    "quoted parts": (r'"\"".' * 40_000 + "c = 1", DEEP),
    "quoted parts in braces": ("a = {" + r'"\"".' * 40_000 + "c = 1}", DEEP),
    "parts with blanks": ("a . " * 50_000 + "b = 1", DEEP),
    "a dotted header": ("[" + "a." * 100_000 + "b]", DEEP),
    "many keys deep down": ("[" + ".".join("a" * 90) + "]\n" + "k = 1\n" * 9_000, DEEP),
    "lists in lists": ("a = " + "[" * 5_000, DEEP),
    "tables in tables": ("a = " + "{a = " * 5_000, DEEP),
    "digits": ("format = " + "9" * 5_000, LONG),
    "digits in base 16": ("format = 1\ntitle = 0x" + "f" * 5_000, LONG),
    "letters": ("k" * 900_000 + " = 1", LONG),
    "numbers": ("a = [" + "1," * 400_000 + "]", MUCH),
    "small tables": ("a = [" + "{a.b = 1}," * 90_000 + "]", MUCH),
    "keys": ("".join(f"k{n} = 1\n" for n in range(60_000)), MUCH),
    "comments": ("# x\n" * 200_000, MUCH),
    "escapes": ('a = "' + r"\n" * (MOST_ESCAPES + 1) + '"', MUCH),
    "open quotes": ('"""\n\\' * 200_000, MUCH),
}


@pytest.mark.slow
@pytest.mark.parametrize("name", HOSTILE)
def test_no_text_hangs_a_reader_and_each_is_told_in_words_with_its_line(name: str) -> None:
    text, words = HOSTILE[name]
    found: list[list] = []
    lines_run(lambda: found.extend([read_text(text, "o.toml"), draft_of(text, "o.toml")]), ENOUGH)
    for problems in found:
        (problem,) = problems
        assert re.fullmatch(r"o\.toml:[12]?\d{0,5}: .+\. .+\.", str(problem))
        # What isn't closed is one long text, which Python's reader refuses at once.
        assert words in problem.what or name == "open quotes"


def test_the_line_of_what_is_too_much_is_told() -> None:
    for text, line in ((GOOD + "x = " + "[" * 40, 6), (GOOD + "\n\nx = 0x" + "f" * 5_000, 8)):
        (problem,) = read_text(text, "o.toml")
        assert problem.line == line


@pytest.mark.slow
@pytest.mark.parametrize(
    "unit", ["k{n} = 1\n", "[t{n}]\n", "[[phase]]\n", "# x\n", "a{n} = [1, {{b = 2}}]\n"]
)
def test_reading_twice_as_much_takes_twice_the_work(unit: str) -> None:
    texts = ["".join(unit.format(n=n) for n in range(count)) for count in (1_000, 2_000)]
    half, whole = (lines_run(lambda text=text: read_text(text, "o.toml"), ENOUGH) for text in texts)
    assert whole < 2.2 * half


@pytest.mark.slow
def test_very_many_problems_are_put_into_words_as_far_as_they_are_told() -> None:
    """Ours: a suggestion for each of 20,000 unknown keys took seconds."""
    texts = [GOOD + "".join(f"slip{n} = 1\n" for n in range(count)) for count in (1_000, 3_000)]
    few, many = (lines_run(lambda text=text: read_text(text, "o.toml"), 10 * ENOUGH) for text in texts)
    assert many < 2 * few


def test_a_header_with_a_page_of_blanks_is_read_as_it_stands() -> None:
    """Ours: an expression tried every blank with every other, and this one took minutes."""
    assert key_lines("[a" + " " * 100_000 + ". b]\nc = 1\n")[("a", "b", "c")] == 2
    assert key_lines("a" + " " * 100_000 + "= 1\n")[("a",)] == 1


def test_the_largest_outline_there_can_be_is_read() -> None:
    phase = (
        '[[phase]]\ntitle = "{n} ' + "t" * 100 + '"\nkind = "review"\nbudget = "3"\nfloor = "1"\ncap = "4"\n'
        'class_line = "' + "c" * 300 + '"\nnotes = """' + 'a\\"b ""\n' * 600 + '"""\n'
        + '[[phase.burst]] # said aloud\nlength = "0:20"\nprompt = "' + "p" * 300 + '"\n' * 1
        + '[[phase.burst]]\nlength = "0:20"\n' * 19
    )  # fmt: skip
    text = 'format = 1\ntitle = "T"\n' + "".join(phase.replace("{n}", str(n)) for n in range(MAX_PHASES))
    assert isinstance(read_text(text, "o.toml"), Outline)


def test_what_stands_in_texts_and_comments_is_never_counted() -> None:
    text = 'a = "' + "[" * 99 + '"\n' + f"b = '{'.' * 99}'\nc = '''{'{' * 99}'''\n# {'a.' * 99}\n"
    text += 'd = """' + "[." * 99 + '\\""" ' + "x" * 999 + '"""""\n' + 'e = "' + "9" * 999 + '"\n'
    assert set(parse_toml(text)) == set("abcde")
    look_over("x = " + "[" * DEEPEST + "]" * DEEPEST)


def test_every_template_is_let_through() -> None:
    for path in template_folder().glob("*.toml"):
        look_over(path.read_text(encoding="utf-8"))
