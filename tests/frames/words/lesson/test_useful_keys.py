"""The keys that the Desk lists: those that would be followed now, named as this part of the lesson does."""

from pacer.frames.words.lesson.useful_keys import keys_before_start, useful_keys


def listed(lesson, part="mini", undo_since_ms=None) -> dict[str, str]:
    return dict(useful_keys(lesson.reading, part, undo_since_ms))


def test_a_key_that_would_be_refused_is_not_listed(new_lesson) -> None:
    lesson = new_lesson().wait(5)
    assert "E" not in listed(lesson)
    assert "E" in listed(lesson.do("burst"))
    assert "Down" in listed(lesson)
    assert "Down" not in listed(lesson.wait(200)), "nothing is left to take"


def test_undo_is_listed_for_as_long_as_its_key_works(new_lesson) -> None:
    lesson = new_lesson().wait(5)
    assert "Page Up" not in listed(lesson)
    assert "Page Up" in listed(lesson, undo_since_ms=10_000)
    assert "Page Up" not in listed(lesson, undo_since_ms=10_001)


def test_keys_of_a_row_are_listed_once_and_named_by_the_half(new_lesson) -> None:
    lesson = new_lesson().wait(5)
    assert "1–9" in listed(lesson)
    assert not set("23456789") & set(listed(lesson))
    lesson.do("groups")
    half = listed(lesson, "half")
    assert half["Ctrl+1–9"] == "to that group"
    assert "P" not in half


def test_before_the_start_and_after_the_end_only_what_starts_and_leaves_is_listed(new_lesson) -> None:
    assert dict(keys_before_start()) == {"Space": "start", "Page Down": "start"}
    lesson = new_lesson().wait(5).do("bell-now")
    assert listed(lesson, "over") == {"Enter": "close the lesson"}
