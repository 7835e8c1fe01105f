"""The day shapes as a teacher edits them: fields, the week, days that differ, and a calendar file."""

from collections.abc import Callable, Iterator
from datetime import date

import pytest
from PySide6.QtCore import QCoreApplication, QDate, QEvent
from PySide6.QtWidgets import QDialog, QDialogButtonBox, QPushButton

from pacer.plan.day_shapes import STARTING_SHAPES, DayShapes
from pacer.qt.today.day_shapes_dialog import DayShapesDialog

TODAY = date(2026, 3, 9)  # an invented Monday
SET_UP = DayShapes(
    shapes=STARTING_SHAPES,
    week={2: "Early release", 4: ""},
    days={"2026-03-02": "Assembly", "2026-03-12": "Assembly", "2026-03-20": ""},
)


@pytest.fixture
def new_dialog(dressed) -> Iterator[Callable[[DayShapes], DayShapesDialog]]:
    made: list[DayShapesDialog] = []

    def build(shapes: DayShapes) -> DayShapesDialog:
        made.append(DayShapesDialog(shapes, TODAY))
        return made[-1]

    yield build
    for dialog in made:
        dialog.deleteLater()
    QCoreApplication.sendPostedEvents(None, QEvent.Type.DeferredDelete)


@pytest.fixture
def dialog(new_dialog) -> DayShapesDialog:
    return new_dialog(SET_UP)


def listed(dialog: DayShapesDialog) -> list[str]:
    shown = dialog.exceptions.list
    return [" ".join(shown.item(row).text().split()) for row in range(shown.count())]


def week(dialog: DayShapesDialog) -> list[str]:
    return [combo.currentText() for combo in dialog.week]


def calendar(folder, *entries: tuple[str, str]):
    """An invented calendar file of whole days (RFC 5545)."""
    lines = ["BEGIN:VCALENDAR", "VERSION:2.0", "PRODID:-//invented//EN"]
    for number, (day, summary) in enumerate(entries):
        lines += [
            "BEGIN:VEVENT",
            f"UID:{number}",
            f"DTSTART;VALUE=DATE:{day}",
            f"SUMMARY:{summary}",
            "END:VEVENT",
        ]
    path = folder / "school.ics"
    path.write_bytes("\r\n".join([*lines, "END:VCALENDAR", ""]).encode())
    return path


def read(dialog, qtbot, path) -> None:
    """Read a calendar file, and wait for what it holds."""
    with qtbot.waitSignal(dialog.exceptions.reader.arrived, timeout=60_000):
        dialog.exceptions.read(path)


def removers(dialog) -> dict[str, QPushButton]:
    """The buttons that take a shape out, by what they say."""
    buttons = dialog.table.findChildren(QPushButton)
    return {one.accessibleName(): one for one in buttons if one.accessibleName().startswith("Take out")}


def save(dialog) -> None:
    dialog.findChild(QDialogButtonBox).button(QDialogButtonBox.StandardButton.Save).click()


def test_the_first_time_our_starting_shapes_are_proposed(new_dialog):
    dialog = new_dialog(DayShapes())
    assert [row.title for row in dialog.table.rows] == ["Regular", "Early release", "Assembly"]
    save(dialog)
    assert dialog.result() == QDialog.DialogCode.Accepted
    assert dialog.result_shapes().shapes == STARTING_SHAPES
    assert dialog.result_shapes().on(TODAY) == STARTING_SHAPES[0]


def test_what_was_set_up_is_shown_and_saved_unchanged(dialog):
    assert week(dialog) == ["Regular", "Regular", "Early release", "Regular", "no block"]
    assert listed(dialog) == ["Thu 12 Mar 2026 Assembly", "Fri 20 Mar 2026 no block"]
    saved = dialog.result_shapes()
    assert (saved.shapes, saved.days) == (SET_UP.shapes, SET_UP.days)
    assert [saved.on(date(2026, 3, 9 + n)) for n in range(5)] == [
        SET_UP.on(date(2026, 3, 9 + n)) for n in range(5)
    ]


def test_a_new_name_goes_along_into_the_week_and_the_days(dialog):
    dialog.table.rows[2].name.setText("Big gathering")
    dialog.table.rows[1].name.setText("Short day")
    assert week(dialog)[2] == "Short day"
    assert listed(dialog)[0] == "Thu 12 Mar 2026 Big gathering"
    assert list(removers(dialog))[1:] == ["Take out: Short day", "Take out: Big gathering"]
    saved = dialog.result_shapes()
    assert (saved.week[2], saved.days["2026-03-12"]) == ("Short day", "Big gathering")


@pytest.mark.parametrize(
    ("field", "typed", "words"),
    [
        ("start", "25:00", "Regular: write when it starts as a clock time, such as 9:00."),
        ("start", "nine", "Regular: write when it starts as a clock time, such as 9:00."),
        ("length", "4", "Regular, Minutes: write minutes from 5 to 480, such as 5 or 1:30."),
        ("share", "five", "Regular, Share: write minutes from 0 to 60, such as 5 or 1:30."),
        ("length", "8", "Regular: share, transition and clean-up leave nothing of the block."),
        (
            "swap",
            "40",
            "Regular: Share, transitions and clean-up take 88:00 together, longer than the block (75:00). "
            "Make them shorter or the block longer.",
        ),
        ("name", "\u200b\u3164", "A shape needs a name."),
        ("name", "  ", "A shape needs a name."),
        ("name", "assembly", "Two shapes are called Assembly. Give one of them another name."),
    ],
)
def test_a_wrong_field_says_why_and_nothing_typed_is_lost(dialog, field, typed, words):
    box = getattr(dialog.table.rows[0], field)
    box.setText(typed)
    dialog.table.rows[1].swap.setText("2:15")
    save(dialog)
    assert dialog.result() != QDialog.DialogCode.Accepted
    assert dialog.problem.text() == words
    assert not dialog.problem.isHidden()
    assert (box.text(), dialog.table.rows[1].swap.text()) == (typed, "2:15")


def test_fields_become_a_shape(dialog):
    row = dialog.table.rows[0]
    for box, text in ((row.start, "09.20"), (row.length, "1:05:00"), (row.share, "0"), (row.swap, "90 s")):
        box.setText(text)
    row.groups.setValue(4)
    save(dialog)
    shape = dialog.result_shapes().shapes[0]
    assert (shape.start, shape.length_s, shape.share_s, shape.swap_s, shape.groups) == (
        "9:20",
        3900,
        0,
        90,
        4,
    )


def test_a_shape_is_added_like_the_first_and_can_be_taken_out(dialog):
    dialog.table.add_button.click()
    assert dialog.table.rows[3].title == "Shape 4"
    assert dialog.week[0].findText("Shape 4") == 3
    dialog.table.rows[3].name.setText("Field day")
    dialog.week[0].setCurrentIndex(3)
    assert dialog.result_shapes().week[0] == "Field day"
    removers(dialog)["Take out: Field day"].click()
    assert (len(dialog.table.rows), week(dialog)[0]) == (3, "Regular")


def test_taking_a_shape_out_takes_its_days_along_and_says_so(dialog):
    removers(dialog)["Take out: Assembly"].click()
    assert listed(dialog) == ["Fri 20 Mar 2026 no block"]
    assert dialog.problem.text() == "1 day went with it."


def test_without_any_shape_the_outline_decides_again(dialog):
    for remover in removers(dialog).values():
        remover.click()
    save(dialog)
    assert dialog.result_shapes() == DayShapes()


def test_the_week_is_changed_by_its_lists(dialog):
    dialog.week[0].setCurrentIndex(2)
    dialog.week[2].setCurrentIndex(3)
    saved = dialog.result_shapes()
    assert (saved.on(date(2026, 3, 9)).name, saved.on(date(2026, 3, 11))) == ("Assembly", None)


def test_a_day_that_differs_is_added_replaced_and_taken_out(dialog):
    days = dialog.exceptions
    days.date.setDate(QDate(2026, 3, 10))
    days.which.setCurrentIndex(1)
    days.add_button.click()
    assert listed(dialog)[0] == "Tue 10 Mar 2026 Early release"
    assert days.date.date() == QDate(2026, 3, 11)
    days.date.setDate(QDate(2026, 3, 10))
    days.which.setCurrentIndex(3)
    days.add_button.click()
    assert listed(dialog)[0] == "Tue 10 Mar 2026 no block"
    assert dialog.result_shapes().on(date(2026, 3, 10)) is None
    days.remove_button.click()
    assert len(listed(dialog)) == 2
    assert "2026-03-10" not in dialog.result_shapes().days


def test_a_calendar_file_is_shown_first_and_taken_in_by_one_press(dialog, qtbot, tmp_path):
    path = calendar(
        tmp_path, ("20260310", "EARLY RELEASE for staff"), ("20260311", "Picture day"),
        ("20260313", "Spring assembly"), ("20260401", "Early release"), ("20250101", "Early release"),
    )  # fmt: skip
    days = dialog.exceptions
    read(dialog, qtbot, path)
    assert days.result.text() == "Assembly 1, Early release 2.\n1 entry names no shape: Picture day"
    assert days.take_button.text().replace("&", "") == "Take these 3 days in"
    assert len(listed(dialog)) == 2
    days.take_button.click()
    assert dialog.result_shapes().days["2026-04-01"] == "Early release"
    assert len(listed(dialog)) == 5
    assert days.result.text() == "3 days taken in."
    assert days.take_button.isHidden()


def test_a_name_changed_between_reading_and_taking_is_left_out_and_said(dialog, qtbot, tmp_path):
    read(dialog, qtbot, calendar(tmp_path, ("20260310", "Early release"), ("20260313", "Assembly")))
    dialog.table.rows[1].name.setText("Short day")
    dialog.exceptions.take_button.click()
    assert dialog.exceptions.result.text() == (
        "1 day taken in. 1 name a shape that was changed; read the file again."
    )
    assert "2026-03-10" not in dialog.result_shapes().days


def test_a_calendar_without_any_of_the_names_offers_nothing(dialog, qtbot, tmp_path):
    read(dialog, qtbot, calendar(tmp_path, ("20260310", "Book fair")))
    assert dialog.exceptions.result.text().startswith("No entry names one of your shapes.")
    assert dialog.exceptions.take_button.isHidden()
    read(dialog, qtbot, calendar(tmp_path))
    assert dialog.exceptions.result.text() == "school.ics holds no day in the next 400 days."


@pytest.mark.parametrize("content", [b"half of a third", b"", bytes(range(256))])
def test_a_file_that_is_no_calendar_says_so_in_plain_words(dialog, qtbot, tmp_path, content):
    path = tmp_path / "school.ics"
    path.write_bytes(content)
    read(dialog, qtbot, path)
    assert dialog.problem.text().startswith("school.ics: This is not an iCalendar file.")
    read(dialog, qtbot, tmp_path / "gone.ics")
    assert dialog.problem.text().startswith("gone.ics: ")
    assert dialog.exceptions.take_button.isHidden()


def test_a_wrong_field_is_told_before_a_calendar_is_read(dialog, tmp_path):
    dialog.table.rows[0].start.setText("nine")
    dialog.exceptions.read(calendar(tmp_path, ("20260310", "Assembly")))
    assert dialog.problem.text().startswith("Regular: write when it starts")
    assert dialog.exceptions.take_button.isHidden()


def test_it_fits_a_small_laptop_and_every_field_has_a_name(dialog):
    from PySide6.QtWidgets import QAbstractButton, QComboBox, QLineEdit

    assert dialog.minimumSizeHint().height() <= 700
    assert dialog.minimumSizeHint().width() <= 1300
    dialog.resize(940, 500)
    dialog.show()
    for pressed in removers(dialog).values():
        right = pressed.mapTo(dialog.table, pressed.rect().topRight()).x()
        assert right < dialog.table.width(), "cut off at its right"
    fields = [box for row in dialog.table.rows for box in row.widgets]
    fields += [*dialog.week, dialog.exceptions.list, dialog.exceptions.date, dialog.exceptions.which]
    assert all(isinstance(box, QComboBox | QLineEdit) or box.accessibleName() for box in fields)
    assert all(box.accessibleName() for box in fields)
    assert all(pressed.text() for pressed in dialog.exceptions.findChildren(QAbstractButton)
               if pressed is not dialog.exceptions.take_button)  # fmt: skip


def unread_calendar(folder):
    """An early release that repeats by a calendar not known here, and a fair whose day is no date."""
    path = calendar(
        folder, ("20260310", "Assembly"), ("20260311", "Early release"), ("in spring", "Book fair")
    )
    rule = b"DTSTART;VALUE=DATE:20260311\r\nRRULE:RSCALE=HEBREW;FREQ=WEEKLY;UNTIL=20260324"
    path.write_bytes(path.read_bytes().replace(b"DTSTART;VALUE=DATE:20260311", rule))
    return path


def test_what_could_not_be_read_is_named_and_kept_for_its_days(dialog, qtbot, tmp_path):
    read(dialog, qtbot, unread_calendar(tmp_path))
    said = dialog.exceptions.result.text().split("\n")
    assert said[0] == "Assembly 1, Early release 1."
    assert said[1].startswith("Not read, line 12: Early release (")
    assert said[1].endswith(
        "). It repeats by a calendar that is not known here. Only its first day is taken."
    )
    assert said[2].startswith("Not read, line 17: Book fair (")
    dialog.exceptions.take_button.click()
    shapes = dialog.result_shapes()
    assert shapes.doubts_on(date(2026, 3, 18)) == ("Early release",)
    assert shapes.doubts_on(date(2026, 3, 11)) == ()  # it was read, and is a day of its own
    assert shapes.doubts_on(date(2026, 3, 26)) == ()
    assert any("Early release? Could not be read" in line for line in listed(dialog))


def test_a_day_in_doubt_is_taken_out_like_any_other(dialog, qtbot, tmp_path):
    read(dialog, qtbot, unread_calendar(tmp_path))
    dialog.exceptions.take_button.click()
    dialog.exceptions.list.setCurrentRow(dialog.exceptions.list.count() - 1)
    dialog.exceptions.remove_button.click()
    assert dialog.result_shapes().doubts == ()


def test_a_calendar_is_read_beside_the_window_and_once(dialog, qtbot, tmp_path, monkeypatch):
    from threading import current_thread, main_thread

    from pacer.plan import calendar_file

    threads, read_calendar = [], calendar_file.read_calendar

    def noted(*asked):
        threads.append(current_thread())
        return read_calendar(*asked)

    monkeypatch.setattr(calendar_file, "read_calendar", noted)
    path = calendar(tmp_path, ("20260310", "Assembly"))
    for _again in range(2):
        read(dialog, qtbot, path)
        assert dialog.exceptions.result.text() == "Assembly 1."
    assert len(threads) == 1
    assert threads[0] is not main_thread()
