"""What lessons left over is read once, and again after a record has changed."""

from pacer.editing.dates.taught import Taught
from pacer.editing.dates.unit_left import UnitLeft
from pacer.log.day_records import DayRecords
from pacer.run.corrections import LineWent
from tests.review.left_over_factories import teach, with_list


def test_what_is_said_after_school_is_seen_and_a_lesson_that_left_nothing_has_no_words(tmp_path, invented):
    with DayRecords.open(tmp_path) as records:
        left, taught = UnitLeft(lambda: records), Taught(lambda: records)
        run = teach(records, with_list(invented))
        assert not any("Problem 3" in line for line in left.of(taught.lessons())[run] if "dropped" in line)
        records.after().say(run, LineWent(about="stuck", of=3, to="dropped"), 1_773_090_000_000)
        assert "dropped: Problem 3: 1 stuck" in left.of(taught.lessons())[run]


def test_a_record_that_can_not_be_read_hides_no_other(tmp_path, invented):
    with DayRecords.open(tmp_path) as records:
        left, taught = UnitLeft(lambda: records), Taught(lambda: records)
        damaged, sound = teach(records, with_list(invented)), teach(records, with_list(invented), 1)
        records.connection.execute("UPDATE event SET body = '{' WHERE run_id = ? AND seq = 1", (damaged,))
        found = left.of(taught.lessons())
        assert found[damaged] == ()
        assert found[sound]


def test_without_day_records_nothing_was_left():
    assert UnitLeft(lambda: None).of(()) == {}
