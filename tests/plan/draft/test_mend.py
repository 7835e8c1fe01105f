"""A broken outline is told apart from what is none, and set right without dropping a line."""

import pytest

from pacer.plan.draft.draft import Draft
from pacer.plan.draft.mend import damage_of, decoded, mended
from pacer.plan.draft.read_toml import draft_of
from pacer.plan.file.reader import read_text
from pacer.plan.outline import Outline

GOOD = 'format = 1\ntitle = "Thirds"\n[[phase]]\ntitle = "Review"\nbudget = "3"\nclass_line = "Show a half"\n'


@pytest.mark.parametrize(
    ("text", "fault", "line"),
    [
        ("", "nothing", 1),
        (" \n\n", "nothing", 1),
        ("Warm-up 5 min\nModel 7\nPractice 8\n", "list", None),
        ("<html><body>Lunch</body></html>", "foreign", None),
        ("[server]\nport = 80\n", "foreign", None),
        (GOOD.replace('"3"', '"soon"'), "fields", 5),
        (GOOD.replace("[[phase]]", "[[phase]"), "text", 3),
        (GOOD.replace('"Review"', "\u201cReview\u201d"), "text", 4),
    ],
)
def test_what_is_wrong_with_a_file_is_one_of_five_kinds(text, fault, line):
    damage = damage_of(text)
    assert damage.fault == fault
    if fault in ("fields", "text"):
        assert damage.line == line
        assert damage.shown == text.splitlines()[line - 1]


def test_a_sound_outline_is_not_damaged():
    assert damage_of(GOOD) is None


@pytest.mark.parametrize(
    ("old", "new", "righted", "remarks"),
    [
        ('"Review"', "\u201cReview\u201d", 1, 0),
        ('"Review"', "Review", 1, 0),
        ('"Review"', '"Review', 1, 0),
        ('"3"', "3:30", 1, 0),
        ("budget = ", "budget: ", 1, 0),
        ("[[phase]]", "[[phase]", 1, 0),
        ("[[phase]]", "[phase]", 1, 0),
        ("format = 1\n", "", 0, 0),
        ("class_line", "clas_line", 0, 1),
        ('"Show a half"', '"Show \\a half"', 1, 0),
        ("[[phase]]", "just a note\n[[phase]]", 0, 1),
        ('"Thirds"\n', '"Thirds"\n"Thirds again"\n', 0, 1),
    ],
)
def test_a_slip_is_put_right_and_what_no_one_understands_becomes_a_remark(old, new, righted, remarks):
    broken = GOOD.replace(old, new, 1)
    assert not isinstance(read_text(broken, ""), Outline)
    result = mended(broken)
    assert result is not None
    assert (result.righted, result.remarks) == (righted, remarks)
    assert isinstance(read_text(result.text, ""), Outline)
    after = [line.removeprefix("# ") for line in result.text.splitlines()]
    kept = [line for line in broken.splitlines() if line in after]
    assert len(kept) >= len(broken.splitlines()) - righted, "every other line is there as it was"


def test_values_that_will_not_do_are_left_for_their_fields():
    broken = GOOD.replace('"3"', '"soon"').replace('"Review"', "\u201cReview\u201d")
    result = mended(broken)
    assert isinstance(draft_of(result.text), Draft)
    assert 'budget = "soon"' in result.text


@pytest.mark.parametrize("text", ["a\x00b", 'x = """\n' + "[" * 50, "\x01" * 60])
def test_what_can_not_be_set_right_is_left_alone(text):
    assert mended(text) is None or isinstance(draft_of(mended(text).text), Draft)


def test_text_of_another_encoding_is_read():
    assert decoded("Caf\u00e9 \u2013 5".encode("cp1252")) == "Caf\u00e9 \u2013 5"
    assert decoded("Caf\u00e9".encode("utf-16")) == "Caf\u00e9"
    assert decoded(b"\xef\xbb\xbfThirds") == "Thirds"
    assert decoded(bytes(range(256)))
