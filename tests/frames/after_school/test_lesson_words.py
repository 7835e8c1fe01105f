"""A lesson in the list of Look back: its two lines, when it was, and whether it counts."""

from pacer.frames.after_school.lesson_words import about_words as lesson_about
from pacer.frames.after_school.lesson_words import lesson_sentence, run_words, tomorrow_note_words
from pacer.frames.record import record
from pacer.run.corrections import Correction, DayFlagged, StartMoved, effective
from pacer.run.fold import fold
from pacer.run.repair import repaired


def test_a_lesson_is_two_lines_with_its_day_and_its_mode(run) -> None:
    row, events = run
    assert run_words(row) == "Thirds on a number line\n9 Mar 2026  9:00 · rehearsal"
    assert lesson_sentence(events, []) == "The lesson ended before groups started."
    assert lesson_sentence(events[:2], []) == ""
    assert tomorrow_note_words(row, "less review") == (
        "One thing for tomorrow, written after 9 Mar 2026: less review"
    )
    assert tomorrow_note_words(None, "less review") == tomorrow_note_words(row, "") == ""


def test_a_lesson_tells_when_it_was_and_whether_it_was_mended_or_counts(run) -> None:
    _row, events = run
    state = fold(events)
    found = record(state, state.ended_ms)
    words = lesson_about(found, state, effective([]), "")
    assert words == "9 Mar 2026 · planned 9:00, started 9:00 · 4:10 of 25:00 planned"
    bodies = StartMoved(early_ms=60_000), DayFlagged(flagged=True)
    said = effective([Correction(number, 0, body) for number, body in enumerate(bodies)])
    assert lesson_about(found, repaired(state, said), said, "1 voice").splitlines()[1:] == [
        "1 voice",
        "repaired: the times shown were mended · not like other days: nothing is learned from it",
    ]
