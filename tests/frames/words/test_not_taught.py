"""What was left over, as questions with their answers."""

import pytest

from pacer.frames.words.not_taught import answer_to, left_rows, left_words
from pacer.review.left_over import left_over
from pacer.run.corrections import Correction, LineWent, WentTo, effective
from pacer.run.table_list import LineKey
from tests.review.left_over_factories import ended, with_list


def rows(session, *said: object):
    after = effective([Correction(number, 0, body) for number, body in enumerate(said)])
    return left_rows(left_over(session.state, session.state, after))


def test_each_row_has_its_words_and_the_answers_that_make_sense(invented) -> None:
    """Only what stood on the list can have been done there; only a phase goes to tomorrow's whole group."""
    listed, line = ("table", "tomorrow", "dropped", "done"), ("table", "dropped", "done")
    assert [(row.words, row.answers) for row in rows(ended(with_list(invented)))] == [
        ("Review left the lesson, 3:00", listed),
        ("Finish page 12", line),
        ("Skip count: 1 mark", line),
        ("Problem 3: 1 stuck", line),
        ("Practice was not reached, 8:00", ("table", "tomorrow", "dropped")),
        ("Look back was not reached, 2:00", ("table", "tomorrow", "dropped")),
    ]


def test_a_row_tells_who_answered_it(invented) -> None:
    """Review was passed over, so the outline's word counts; Practice and Look back have none."""
    session = ended(invented, ("jump model", "groups", "bell-now"))
    found = {row.title: (row.went, row.is_said, row.by_outline) for row in rows(session)}
    assert (found["Review"], found["Practice"]) == (("table", False, True), ("", False, False))
    found = {row.title: (row.went, row.is_said) for row in rows(session, WentTo(phase=1, to="dropped"))}
    assert found["Review"] == ("dropped", True)


def test_an_answer_is_written_as_what_the_row_is_about() -> None:
    assert answer_to(LineKey("moved", 4), "done") == WentTo(phase=4, to="done")
    assert answer_to(LineKey("marked", -1), "") == LineWent(about="marked", of=-1, to="")


@pytest.mark.parametrize(
    ("went", "words"),
    [("table", "table tomorrow"), ("tomorrow", "tomorrow"), ("dropped", "dropped"), ("done", "was done")],
)
def test_every_answer_has_words(went: str, words: str) -> None:
    assert left_words(went) == words
