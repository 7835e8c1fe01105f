from datetime import UTC

import pytest

from pacer.plan.taken.plain_files import text_of_calendar
from pacer.plan.taken.read_file import text_in
from pacer.plan.taken.taken import NotTakenError
from tests.plan.taken.file_factories import calendar

SECONDLY = "DTSTART:20261130T090000\r\nDTEND:20261130T090001\r\nRRULE:FREQ=SECONDLY\r\nSUMMARY:Tick"


def test_a_table_of_values_is_rows_with_tabs_whatever_stands_between_them():
    wanted = 'Phase\tMin\nModel, twice "now"\t7'
    for sign in ",;\t|":
        data = f'Phase{sign}Min\r\n"Model, twice ""now"""{sign}7\r\n{sign}\r\n'.encode()
        assert text_in(data, "plan.csv").text == wanted


def test_text_is_read_by_its_mark_and_old_western_text_is_told():
    assert text_in("Wärme 5".encode("utf-16"), "a.txt").text == "Wärme 5"
    assert text_in("\ufeffWarm-up 5\r\n\r\n\r\n\r\nShare 3".encode(), "a.md").text == "Warm-up 5\n\nShare 3"
    old = text_in("Wärme 5".encode("cp1252"), "a.txt")
    assert (old.text, len(old.left_aside)) == ("Wärme 5", 1)


def test_each_day_of_a_calendar_is_a_part_with_times_and_titles():
    data = calendar(
        "DTSTART:20261201T091000\r\nDTEND:20261201T092000\r\nSUMMARY:Model",
        "DTSTART:20261201T090000\r\nDTEND:20261201T091000\r\nSUMMARY:Warm-up",
        "DTSTART;VALUE=DATE:20261202\r\nSUMMARY:Early release",
    )
    taken = text_of_calendar(data, UTC)
    assert [(part.name, part.text) for part in taken.parts] == [
        ("2026-12-01", "09:00-09:10 Warm-up\n09:10-09:20 Model"), ("2026-12-02", "Early release"),
    ]  # fmt: skip


def test_a_calendar_that_repeats_every_second_keeps_its_other_events_and_names_the_one_left_out():
    once = "DTSTART:20261130T100000\r\nDTEND:20261130T101000\r\nSUMMARY:Share"
    taken = text_of_calendar(calendar(SECONDLY, once), UTC)
    assert "10:00-10:10 Share" in taken.text
    assert any("Tick" in words for words in taken.left_aside)


@pytest.mark.parametrize(
    ("data", "name", "says"),
    [
        (b"a" * 50_000_000, "a.txt", "50 MB of text"),
        (b"Warm-up 5\n" * 2_100, "a.txt", "more than 2000"),
        (b"Warm-up,5\n" * 100_000, "a.csv", "more than 2000"),
        (b"a," * 45_000, "a.csv", "more than 40000 cells"),
        (bytes(range(256)), "a.txt", "no file that a lesson can be read from"),
        (b" \n\t\n", "a.txt", "no text in it"),
        (b"\x89PNG\r\n\x1a\n", "a.png", "written in a picture is not read"),
        (b"BEGIN:VCALENDAR\nEND:VCALENDAR\n", "a.ics", "names no day"),
        (b"%PDF-1.4", "a.txt", "no file|PDF|lines|text"),
    ],
    ids=["large", "lines", "rows", "cells", "bytes", "blank", "picture", "days", "pdf"],
)
def test_what_is_no_lesson_is_refused_in_a_plain_sentence(data, name, says):
    if name == "a.txt" and data.startswith(b"%PDF"):
        assert text_in(data, name).text == "%PDF-1.4"
        return
    with pytest.raises(NotTakenError, match=says):
        text_in(data, name)
