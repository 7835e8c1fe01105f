"""What a lesson left for the table and for tomorrow, in words for the next outline."""

from pacer.frames.words.carried import carried_words
from pacer.review.day_book import work_out
from pacer.run.corrections import Correction, WentTo


def test_what_was_not_taught_and_goes_somewhere_is_carried_to_the_next_outline(run) -> None:
    _row, events = run
    said = [Correction(0, 0, WentTo(phase=2, to="table")), Correction(1, 0, WentTo(phase=3, to="tomorrow"))]
    assert carried_words([work_out(1, events, said)]) == (
        "Not taught on 9 Mar 2026, for the table: Model (Thirds on a number line); "
        "for tomorrow: Vocabulary and talk (Thirds on a number line)"
    )
    assert carried_words([work_out(1, events, [])]) == ""
