"""An outline on the shelf in words."""

from dataclasses import replace
from datetime import datetime
from pathlib import Path

from pacer.frames.words.shelf import about_words, block_words, entry_words, phase_counts
from pacer.plan.day import BlockToday
from pacer.settings.outline_shelf import ShelfEntry


def test_an_outline_on_the_shelf_says_whose_it_is_and_that_it_has_problems(invented) -> None:
    own = ShelfEntry(Path("thirds.toml"), False, invented)
    assert entry_words(own) == "Thirds on a number line\nyours · mathematics · 75\N{NO-BREAK SPACE}min"
    assert entry_words(replace(own, outline=None, is_template=True)) == "thirds.toml\ntemplate · has problems"
    assert about_words(invented) == "mathematics · mini lesson 25:00 · 6 phases, 25:00 planned · block 75 min"


def test_the_bell_is_told_and_a_start_outside_the_block_counts_from_the_press(invented) -> None:
    now, bell = datetime(2026, 3, 9, 9, 5), datetime(2026, 3, 9, 10, 15)
    block = BlockToday(start=datetime(2026, 3, 9, 9), bell=bell, now_belongs=True)
    assert block_words(block, invented, now) == "Bell at 10:15"
    assert block_words(replace(block, now_belongs=False), invented, now) == (
        "Bell at 10:15. It is 9:05 now, so a start counts from the press."
    )
    assert block_words(None, invented, now) == "75 min from the start to the bell"


def test_a_transition_counts_after_the_mini_lesson_and_never_among_its_phases():
    lesson = [("review", 180), ("modeling", 1500), ("move", 120)]
    assert phase_counts(lesson) == ("2 phases", "28 min", "1 after the mini lesson", "2 min")
    assert phase_counts(lesson[:2]) == ("2 phases", "28 min")
    assert phase_counts(lesson[2:]) == ("1 after the mini lesson", "2 min")
    assert phase_counts(()) == ("0 phases", "0 min")
