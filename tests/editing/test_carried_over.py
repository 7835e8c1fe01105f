"""What was left over stands before the next lesson and on its table list, until it is done or dropped."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from pacer.editing.carried_over import CarriedOver
from pacer.log.day_records import DayRecords
from pacer.plan.outline import Outline
from pacer.run.corrections import LineWent, WentTo
from tests.review.left_over_factories import NINE_MS, teach, with_list

LATER_MS = 1_790_000_000_000
TABLE = LineWent(about="stuck", of=3, to="table")
TAUGHT = ("next",) * 6  # all of the mini lesson, up to the groups


@pytest.fixture
def records(tmp_path: Path) -> Iterator[DayRecords]:
    with DayRecords.open(tmp_path) as opened:
        yield opened


@pytest.fixture
def carried(records: DayRecords) -> CarriedOver:
    return CarriedOver(lambda: records)


def say(records: DayRecords, run: int, *bodies: object) -> None:
    for body in bodies:
        records.after().say(run, body, LATER_MS)


def lines(outline: Outline) -> list[str]:
    return outline.table_list.splitlines()


def test_what_goes_to_tomorrows_table_is_on_the_list_of_the_lesson_as_it_is_taught(
    records, carried, invented
) -> None:
    run = teach(records, with_list(invented))
    say(records, run, TABLE, WentTo(phase=1, to="table"), LineWent(about="written", of=1, to="dropped"))
    taught = carried.taught(with_list(invented, "Cut strips"))
    assert lines(taught) == ["Cut strips", "Review (9 Mar 2026)", "Problem 3: 1 stuck (9 Mar 2026)"]
    assert taught.phases == invented.phases
    assert carried.words("mathematics") == (
        "Left over from Thirds on a number line, 9 Mar 2026 · table: Review, Problem 3: 1 stuck "
        "· 1 still open, see Look back"
    )


def test_what_is_taken_back_is_not_on_the_list_once_the_records_are_read_again(
    records, carried, invented
) -> None:
    run = teach(records, with_list(invented))
    say(records, run, TABLE)
    assert lines(carried.taught(invented)) == ["Problem 3: 1 stuck (9 Mar 2026)"]
    records.after().take_back(run, 0, LATER_MS)
    carried.forget()
    assert carried.taught(invented) is invented


def test_it_goes_from_list_to_list_until_it_is_ticked_and_has_the_day_of_its_first(
    records, carried, invented
) -> None:
    """On the second day it is a line of that lesson, ticked or asked about there and nowhere else."""
    say(records, teach(records, with_list(invented)), TABLE)
    second = carried.taught(invented)
    run = teach(records, second, 1, presses=(*TAUGHT, "next", "bell-now"))
    carried.forget()
    assert carried.taught(invented) is invented
    assert "1 still open" in carried.words()
    say(records, run, LineWent(about="written", of=0, to="table"))
    carried.forget()
    third = carried.taught(invented)
    assert lines(third) == ["Problem 3: 1 stuck (9 Mar 2026)"]
    teach(records, third, 2, presses=(*TAUGHT, "tick", "next", "bell-now"))
    carried.forget()
    assert carried.taught(invented) is invented
    assert "still open" not in carried.words()


def test_a_second_lesson_of_a_day_takes_over_what_the_first_left_for_the_table(
    records, carried, invented
) -> None:
    say(records, teach(records, with_list(invented)), TABLE, WentTo(phase=4, to="tomorrow"))
    noon_ms = NINE_MS + 3 * 3_600_000
    presses = *TAUGHT, "tick", "bell-now"
    teach(records, carried.taught(invented), presses=presses, nine_ms=noon_ms)
    carried.forget()
    assert carried.taught(invented) is invented
    first, *_others = carried.words().split("\n")
    assert "tomorrow: Practice" in first
    assert "table:" not in carried.words()


def test_a_line_that_the_outline_has_already_is_not_listed_twice(records, carried, invented) -> None:
    outline = with_list(invented)
    say(records, teach(records, outline), LineWent(about="written", of=1, to="table"))
    assert carried.taught(outline) is outline


def test_another_subject_keeps_its_own_and_without_one_they_are_taken_for_the_same(
    records, carried, invented
) -> None:
    say(records, teach(records, with_list(invented)), TABLE)
    reading = invented.model_copy(update={"subject": "Reading"})
    assert carried.taught(reading) is reading
    assert carried.words("reading") == ""
    assert lines(carried.taught(invented.model_copy(update={"subject": ""}))) != []
    assert lines(carried.taught(invented.model_copy(update={"subject": " Mathematics"}))) != []


def test_a_rehearsal_leaves_nothing_and_takes_nothing_over(records, carried, invented) -> None:
    say(records, teach(records, with_list(invented)), TABLE)
    teach(records, carried.taught(invented), 1, mode="rehearsal")
    carried.forget()
    assert lines(carried.taught(invented)) == ["Problem 3: 1 stuck (9 Mar 2026)"]


def test_groups_that_are_typed_as_phases_have_no_list_to_stand_on(records, carried, invented, new_outline):
    say(records, teach(records, with_list(invented)), TABLE)
    typed = new_outline({"budget": "5"}, {"budget": "10", "kind": "group"})
    assert carried.taught(typed) is typed
    assert "table: Problem 3: 1 stuck" in carried.words()


def test_only_the_last_day_is_told(records, carried, invented) -> None:
    say(records, teach(records, with_list(invented)), WentTo(phase=4, to="tomorrow"))
    teach(records, invented, 3, presses=(*TAUGHT, "bell-now"))
    assert carried.words() == ""


def test_records_that_are_missing_or_cannot_be_read_say_nothing(records, carried, invented) -> None:
    teach(records, with_list(invented))
    assert CarriedOver(lambda: None).words() == ""
    assert CarriedOver(lambda: None).taught(invented) is invented
    records.connection.execute("ALTER TABLE after_event RENAME TO gone")
    assert carried.words() == ""
    assert carried.taught(invented) is invented
