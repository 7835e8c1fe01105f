"""What is wrong with a text as TOML is told in plain words, at the line that must be mended."""

import inspect
import re
import tomllib

import pytest

from pacer.plan.file.reader import read_text
from pacer.plan.file.toml_words import toml_words

GOOD = 'format = 1\ntitle = "T"\n[[phase]]\ntitle = "A"\nbudget = "3"\n'
ONE_KEY = 'Write one key a line: title = "Review"'
# Words of the reader itself, which say nothing to who has never heard of TOML.
JARGON = re.compile(
    r"namespace|mutate|statement|overwrite|scalar|token|Unterminated|inline table|hex|\bbare\b", re.I
)


def said(text: str) -> str:
    found = read_text(text, "o.toml")
    assert isinstance(found, list), found
    assert len(found) == 1
    return str(found[0])


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        (GOOD + 'title = "x"\n', 6, "This key was written before. Leave one of the two."),
        (GOOD + "oops\n", 6, f"There is no = after the key. {ONE_KEY}"),
        (GOOD + 'notes = "never closed', 6, 'The text is not closed in its line. Write " at its end.'),
        (GOOD + 'notes = "never closed\nwall = "full"\n', 6, "The text is not closed in its line."),
        (GOOD.replace('"A"', '"A\x07"'), 4, "The text holds a character that can't be seen."),
        (GOOD + "x = 1\ry = 2\n", 6, "Something stands behind the value. One key a line"),
        ("{", 1, "The line is neither a key, a [table] nor a # comment."),
        ("[block]\n" + GOOD.replace("[[phase]]", "[block]"), 4, "This table was begun before."),
        (GOOD + "[[phase]\n", 6, "The heading of a table is not closed. Write [block] or [[phase]]."),
        (GOOD + "floor = 2:30\n", 6, 'A time with a colon stands in quotes. Write "2:30".'),
        (GOOD + "wall = \u201cfull\u201d\n", 6, "The quotes are not straight ones."),
        (GOOD + "floor =\n", 6, "The value can't be read."),
        (GOOD + 'attach = "a\\c.png"\n', 6, "A single \\ stands in the text. Write \\\\ for each \\."),
    ],
)
def test_a_slip_is_told_on_its_line_without_jargon(text: str, line: int, words: str) -> None:
    assert said(text).startswith(f"o.toml:{line}: {words}")
    assert not JARGON.search(said(text))


@pytest.mark.parametrize("quotes", ['"""', "'''"])
@pytest.mark.parametrize("below", ["", "a\nb\n\n", 'a\n[[phase]]\ntitle = "B"\nbudget = "1"\n# end\n'])
def test_three_quotes_that_are_never_closed_are_told_where_they_begin(quotes: str, below: str) -> None:
    assert said(f"{GOOD}notes = {quotes}{below}") == (
        f"o.toml:6: The text that begins here with {quotes} is not closed. Write {quotes} at its end."
    )


def test_three_quotes_that_the_next_ones_close_are_named_where_the_fault_shows() -> None:
    told = said(GOOD + 'notes = """a\nb\n[[phase]]\nnotes = """c\n"""\nbudget = "1"\n')
    assert told.startswith("o.toml:9: ")
    assert "begins in line 6 with three quotes ends here" in told


@pytest.mark.parametrize(
    "text", ["x = [1,\n\n\n", 'burst = [ { length = "1" },\n[[phase]]\ntitle = "B"\n', 'burst = [\n"a"\n']
)
def test_a_list_that_is_never_closed_is_told_where_it_begins(text: str) -> None:
    assert said(GOOD + text) == (
        "o.toml:6: The list that begins here with [ is not closed. Write ] behind its last entry."
    )


def test_a_table_in_braces_that_is_never_closed_is_told_where_it_begins() -> None:
    assert said('format = 1\nblock = { minutes = 60\ntitle = "T"\n').startswith(
        "o.toml:2: What begins here with { is not closed. Write } behind it"
    )


def test_no_sentence_of_the_reader_reaches_anybody() -> None:
    """Every message that this Python's reader can raise, taken from its source."""
    source = inspect.getsource(tomllib._parser)  # type: ignore[attr-defined]
    messages = re.findall(r'suffixed_err\(\s*src,\s*\w+,\s*f?"([^"]+(?:\\"[^"]*)*)"', source)
    assert len(messages) > 15
    for message in messages:
        _line, what, fix = toml_words(tomllib.TOMLDecodeError(f"{message} (at line 1, column 1)"), GOOD)
        assert what, message
        assert fix, message
        assert not JARGON.search(what + fix), message
