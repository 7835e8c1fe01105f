"""The program copies the day records once a day, beside everything else and never in a lesson."""

from pacer.log.day_records import DayRecords
from tests.log.damage_factories import write_records
from tests.qt.window_factories import click, settle


def copied(data) -> list[str]:
    folder = data / "backups"
    return sorted(file.name for file in folder.iterdir()) if folder.exists() else []


def let_copy(program) -> None:
    program.copy_records()
    program.copying.wait()
    settle()


def test_a_days_copy_is_made_once_and_not_in_a_lesson_but_after_it(tmp_path, new_program, invented):
    data = tmp_path / "data"
    write_records(data, invented)
    running = new_program(data)
    click(running.today.start_button)
    let_copy(running.program)
    assert copied(data) == []
    running.wait(3).tap("Home").tap("Return")
    let_copy(running.program)
    assert copied(data) == ["day-records-2026-03-09.sqlite3"]
    made = (data / "backups" / copied(data)[0]).stat().st_mtime_ns
    let_copy(running.program)
    assert (data / "backups" / copied(data)[0]).stat().st_mtime_ns == made


def test_a_copy_that_cannot_be_made_is_told_beside_what_is_told_already(tmp_path, new_program, invented):
    data = tmp_path / "data"
    write_records(data, invented)
    (data / "backups").write_text("a file in the way")
    running = new_program(data)
    running.today.show_notice("Something else.")
    let_copy(running.program)
    lines = running.today.notice.text().splitlines()
    assert lines[0] == "Something else."
    assert "Today's copy of the day records could not be made" in lines[1]
    with DayRecords.read(data) as records:
        assert len(records.runs()) == 2
