"""A word that is not known: which one was meant, and what differs where both look the same."""

import os
from pathlib import Path

import pytest

from pacer.plan.bounded_file import UnreadableFileError
from pacer.plan.file.attachments import attached_file
from pacer.plan.file.reader import read_text
from pacer.plan.problems import did_you_mean, mean_words
from pacer.plan.seen_text import is_seen, skeleton

KNOWN = ["budget", "floor", "shape"]


@pytest.mark.parametrize(
    ("word", "near", "says"),
    [
        ("budgte", "budget", 'Did you mean "budget"?'),
        ("Budget", "budget", 'Did you mean "budget"? Capital letters count.'),
        ("b\u0443dget", "budget", None),
        ("budg\u0435t", "budget", "(U+0435) that looks alike; type it anew."),
        ("bud\u200bget", "budget", "It holds a sign that can't be seen (U+200B); type it anew."),
        ("\u0455h\u0430\u0440\u0435", "shape", "(U+0455) that looks alike; type it anew."),
        ("\uff42udget", "budget", "(U+FF42) that looks alike; type it anew."),
    ],
)
def test_a_near_word_is_named_and_what_differs_where_nothing_shows(
    word: str, near: str, says: str | None
) -> None:
    assert did_you_mean(word, KNOWN) == near
    if says is not None:
        assert mean_words(word, near).endswith(says)
    assert mean_words(word, near).startswith('Did you mean "')


def test_a_key_that_only_looks_right_is_told_what_is_wrong_with_it() -> None:
    found = read_text('format = 1\ntitle = "T"\n[[phase]]\ntitle = "A"\n"budg\u0435t" = "3"\n', "o.toml")
    assert isinstance(found, list)
    said = next(str(problem) for problem in found if problem.line == 5)
    assert "another sign (U+0435) that looks alike" in said


@pytest.mark.skipif(not hasattr(os, "symlink"), reason="no links here")
def test_a_link_to_nothing_is_not_said_to_mean_itself(tmp_path: Path) -> None:
    (tmp_path / "line.png").symlink_to(tmp_path / "gone.png")
    with pytest.raises(UnreadableFileError) as raised:
        attached_file(str(tmp_path), "line.png")
    assert "Did you mean" not in raised.value.fix
    assert raised.value.fix.startswith("It is a link to a file that is gone.")


def test_a_file_name_of_other_signs_is_told_what_differs(tmp_path: Path) -> None:
    (tmp_path / "caf\u00e9.png").write_bytes(b"x")
    with pytest.raises(UnreadableFileError) as raised:
        attached_file(str(tmp_path), "cafe\u0301.png")
    assert raised.value.fix.startswith('Did you mean "caf')
    assert raised.value.fix.endswith("type it anew.")


def test_texts_that_are_drawn_alike_have_one_skeleton() -> None:
    assert skeleton("b\u200budg\u0435t") == skeleton("budget") != skeleton("budgets")
    assert is_seen("\u200b.")
    assert not is_seen("\u200b \u2800")
