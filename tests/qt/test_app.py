"""The whole program: cut-off lessons, data folders in any state, faults of our own, and shutting."""

import sqlite3
import sys
import threading
from pathlib import Path

import pytest
from PySide6.QtCore import QLockFile, QTimer, qVersion, qWarning

from pacer.log.copying import back_up
from pacer.log.database import APPLICATION_ID, FILE_NAME
from pacer.log.day_records import DayRecords
from pacer.qt import start
from pacer.qt.app import Program
from pacer.qt.kit.ticker import Ticker
from pacer.qt.lesson import services as lesson_services
from pacer.qt.lesson.awake import Awake
from pacer.qt.lesson.tone_player import TonePlayer
from pacer.qt.screens.questions import OneScreenQuestion
from pacer.review import day_book
from pacer.run.clock import ManualClock
from pacer.run.fold import fold
from pacer.run.room_plan import OneScreen
from pacer.run.session import Session
from pacer.settings.folders import folders
from pacer.settings.model import Settings
from tests.qt.window_factories import click, kinds_of, names_of, room_time_ms, settle, timer_of, wall_words


@pytest.fixture
def data(tmp_path):
    return tmp_path / "data"


@pytest.fixture
def cut_off(data, invented, room_clock):
    """A lesson that began at 9:00, went on to the review at 9:02, was killed at 9:03; it is 9:05:30."""
    with DayRecords.open(data) as records:
        clock = ManualClock(room_time_ms("9:00"))
        journal = records.journal()
        session = Session(clock, journal)
        session.start(invented)
        clock.advance(120_000)
        session.do("next", "done")
        clock.advance(60_000)
        session.do("voice")
        run_id = journal.run_id
    room_clock.advance(330_000)
    return run_id


def events_on_disk(data, run_id):
    with DayRecords.open(data) as records:
        return records.events(run_id)


# A lesson that was cut off.


def test_a_lesson_that_was_cut_off_is_offered_with_its_title_start_and_time_away(cut_off, new_program):
    running = new_program()
    text = running.today.resume_text.text()
    assert running.today.resume_row.isVisible()
    assert text.startswith("“Thirds on a number line” began at ")
    assert "and was cut off 2 min ago. The time since then counts." in text
    assert running.window.focusWidget() is running.today.resume_button


def test_it_goes_on_with_the_time_away_counted(cut_off, data, new_program):
    running = new_program()
    click(running.today.resume_button)
    assert running.window.shows_desk
    lesson = running.program.room.lesson
    assert lesson.session.now_ms() == 330_000
    # The review of three minutes began at 9:02, so it is over by half a minute.
    assert running.program.room.desk.frame.phase_title == "Review"
    assert running.program.room.desk.frame.left_s == -30
    assert running.program.room.wall.full.isVisible()
    assert not running.today.resume_row.isVisible()
    assert running.program.room.desk.frame.notice.startswith("Away for 2:30; it counts.")
    running.tap("N").tap("Home")
    running.program.shut()
    events = events_on_disk(data, cut_off)
    assert [event.seq for event in events] == list(range(len(events)))
    assert fold(events).ended_ms == 332_000


def test_page_up_takes_the_time_away_off_the_phase_clock(cut_off, new_program):
    running = new_program()
    click(running.today.resume_button)
    running.tap("PageUp")
    # One minute of the review was seen before the kill; the press itself came a second after going on.
    assert running.program.room.desk.frame.left_s == 119


def test_or_it_is_closed_at_the_last_thing_that_is_known(cut_off, data, new_program):
    running = new_program()
    click(running.today.close_button)
    assert not running.today.resume_row.isVisible()
    state = fold(running.program.records.events(cut_off))
    assert state.ended_ms == 180_000
    assert state.ending_of(1) == "interrupted"
    running.program.shut()
    assert not new_program().today.resume_row.isVisible()


def test_of_two_lessons_cut_off_the_newer_is_offered_first_and_then_the_other(
    cut_off, data, invented, new_program
):
    with DayRecords.open(data) as records:
        later = Session(ManualClock(room_time_ms("9:04")), records.journal())
        later.start(invented.model_copy(update={"title": "The later one"}))
    running = new_program()
    assert "The later one" in running.today.resume_text.text()
    click(running.today.close_button)
    assert "Thirds on a number line" in running.today.resume_text.text()
    click(running.today.close_button)
    assert not running.today.resume_row.isVisible()


def test_a_cancelled_question_about_screens_keeps_the_offer(cut_off, new_program, monkeypatch):
    running = new_program()
    monkeypatch.setattr("pacer.qt.lesson.placing.present_screens", lambda: [])
    monkeypatch.setattr(OneScreenQuestion, "ask", staticmethod(lambda _parent: OneScreen.CANCEL))
    click(running.today.resume_button)
    assert not running.window.shows_desk
    assert running.today.resume_row.isVisible()


def test_a_lesson_that_ended_is_not_offered(data, invented, new_program):
    with DayRecords.open(data) as records:
        session = Session(ManualClock(room_time_ms("8:00")), records.journal())
        session.start(invented)
        session.do("bell-now")
    assert not new_program().today.resume_row.isVisible()


def test_closing_the_window_in_a_lesson_loses_nothing_and_it_is_offered_again(
    data, new_program, invented, monkeypatch
):
    first = new_program()
    first.program.start_now(invented)
    first.wait(10).tap("V")
    run_id = first.program.records.runs()[0].id
    ticker = timer_of(first.program.room.lesson.findChild(Ticker))
    monkeypatch.setattr("pacer.qt.lesson.room.CLOSE_AGAIN_MS", 0)
    first.window.close()
    settle()
    assert ticker.isActive()
    first.window.close()
    settle()
    assert not ticker.isActive()
    assert not first.program.room.wall.full.isVisible()
    assert first.program.records is None
    kinds = kinds_of(events_on_disk(data, run_id))
    assert kinds == ["started", "voice"]
    assert new_program().today.resume_row.isVisible()


@pytest.mark.parametrize("how", ["close the window", "close the lesson"])
def test_nothing_is_left_unsaved_without_a_word(tmp_path, new_program, invented, how):
    """The first try says what would be lost; the second goes through with it."""
    (tmp_path / "data").write_text("a file stands where the folder should be")
    running = new_program()
    running.program.start_now(invented)
    running.tap("V").tap("Home")
    room, left = running.program.room, []

    def leave() -> None:
        left.append(True)
        if how == "close the window":
            running.window.close()
        else:
            running.tap("Return")

    leave()
    assert running.window.isVisible()
    assert room.lesson is not None
    assert room.desk.loud.startswith("3 presses are not saved: ")
    assert "Once more leaves without saving." in room.desk.loud
    leave()
    gone = not running.window.isVisible() if how == "close the window" else room.lesson is None
    assert gone


# Data folders in any state.


def _newer(data: Path) -> None:
    data.mkdir()
    connection = sqlite3.connect(data / FILE_NAME)
    connection.execute("CREATE TABLE from_the_future (x)")
    connection.execute(f"PRAGMA application_id = {APPLICATION_ID}")
    connection.execute("PRAGMA user_version = 9999")
    connection.commit()
    connection.close()


def _garbage(data: Path) -> None:
    data.mkdir()
    (data / FILE_NAME).write_bytes(b"no database " * 500)


def _truncated(data: Path) -> None:
    DayRecords.open(data).close()
    whole = (data / FILE_NAME).read_bytes()
    (data / FILE_NAME).write_bytes(whole[: len(whole) // 2])


def _unmakeable(data: Path) -> None:
    data.write_text("a file stands where the folder should be")


def _garbage_settings(data: Path) -> None:
    data.mkdir()
    (data / "settings.json").write_bytes(b"\x00{not json")


@pytest.mark.slow
@pytest.mark.parametrize(
    ("spoil", "said", "recorded"),
    [
        (_newer, "were written by a newer Pacer. Nothing was changed", False),
        (_garbage, "could not be read. They are kept as", True),
        (_truncated, "could not be read. They are kept as", True),
        (_unmakeable, "can't be made", False),
        (_garbage_settings, "The settings were damaged; they are kept in", True),
    ],
)
def test_a_bad_data_folder_is_told_and_today_works(data, new_program, spoil, said, recorded):
    spoil(data)
    before = data.read_bytes() if data.is_file() else {path.read_bytes() for path in data.iterdir()}
    running = new_program()
    assert running.today.notice.isVisible()
    assert said in running.today.notice.text()
    assert ("not recorded" in running.today.notice.text()) is not recorded
    assert "Traceback" not in running.today.notice.text()
    click(running.today.start_button)
    assert running.window.shows_desk
    running.wait(3).tap("N").tap("Home")
    session = running.program.room.lesson.session
    assert session.state.ended_ms is not None
    assert (session.unsaved == 0) is recorded
    assert ("Not saved yet: " in running.program.room.desk.loud) is not recorded
    assert (running.program.records is not None) is recorded
    if recorded:
        assert len(running.program.records.runs()) == 1
    # Nothing was lost: what lay there still does, under whatever name.
    after = data.read_bytes() if data.is_file() else {path.read_bytes() for path in data.iterdir()}
    assert before == after if isinstance(before, bytes) else before <= after


def test_a_missing_data_folder_is_made_without_a_word(tmp_path, new_program):
    running = new_program(tmp_path / "not" / "yet" / "there")
    assert running.where.data.is_dir()
    assert not running.today.notice.isVisible()


def test_records_that_can_only_be_read_are_told_and_a_lesson_runs(data, new_program, monkeypatch):
    """As in a folder that may not be written: the records are open, for reading."""
    DayRecords.open(data).close()
    opened = DayRecords.open

    def for_reading(folder):
        records = opened(folder)
        records.can_write, records.notice = False, "Nothing can be written here."
        return records

    monkeypatch.setattr(DayRecords, "open", for_reading)
    running = new_program()
    assert running.today.notice.text() == "Nothing can be written here."
    click(running.today.start_button)
    running.wait(2)
    assert running.program.room.desk.loud.startswith("Not saved yet: Nothing can be written here.")
    assert running.program.room.wall.full.frame.digits is not None


def test_opening_takes_a_lesson_of_30_days_in_the_trash_out_of_the_copies_and_names_one_it_could_not_clean(
    data, new_program, invented
):
    with DayRecords.open(data) as records:
        for days in (41, 1):
            session = Session(ManualClock(room_time_ms("9:00") - days * 86_400_000), records.journal())
            session.start(invented)
            session.do("end")
        records.trash().put([1], room_time_ms("9:00") - 40 * 86_400_000)
        back_up(records.connection, records.path, 3)
    (copy,) = (data / "backups").iterdir()
    damaged = copy.with_name(f"{copy.stem}-old{copy.suffix}")
    damaged.write_bytes(b"no records" * 200)
    running = new_program()
    assert [run.id for run in running.program.records.runs()] == [2]
    assert str(damaged) in running.today.notice.text()
    other = sqlite3.connect(copy)
    assert other.execute("SELECT id FROM run").fetchall() == [(2,)]
    assert {run for (run,) in other.execute("SELECT run_id FROM event")} == {2}
    other.close()


def test_a_lesson_is_written_press_by_press(data, new_program, invented):
    running = new_program()
    running.program.start_now(invented)
    for name in ("V", "N", "Up"):
        running.tap(name)
        run_id = running.program.records.runs()[0].id
        with DayRecords.open(data) as other:  # as the next start would find it after a kill now
            assert other.events(run_id) == list(running.program.room.lesson.session.events)


def test_the_past_is_read_once_for_who_goes_first_on_today_and_at_the_start(
    new_program, invented, monkeypatch, qtbot
):
    read: list[object] = []
    plain = day_book.read_days
    monkeypatch.setattr(day_book, "read_days", lambda records: read.append(records) or plain(records))
    running = new_program()
    running.program.today.show_before_lesson(running.program.first_group.words, lambda _subject: "")
    assert running.program.first_group.words(invented) == ""
    running.window.pages.currentChanged.emit(0)  # as coming back to Today does
    running.program.first_group.words(invented)
    assert running.program.get_ready(invented) is not None
    running.program.records.make_room()  # as the program does by itself after a while
    running.program.first_group.words(invented)
    assert len(read) == 1
    running.tap("Space")
    running.program.first_group.words(invented)
    assert len(read) == 2, "a record has changed"


def test_the_demo_says_that_all_is_invented_and_marks_its_lessons(dressed, room_clock, tmp_path, invented):
    from tests.qt.window_factories import take_apart

    program = Program(folders(tmp_path), demo=True)
    assert "invented" in program.window.windowTitle()
    program.start_now(invented)
    assert program.records.runs()[0].mode == "demo"
    program.shut()
    take_apart(program.window, program._room, program)


# Faults of our own.


class AtOnce:
    """Stands in for the application: its event loop does one thing and ends."""

    def __init__(self, act) -> None:
        self.act = act

    def exec(self) -> int:
        settle()
        self.act()
        settle()
        return 7


@pytest.fixture
def run_once(dressed, room_clock, data, monkeypatch):
    """Runs the program in one turn of its event loop; the program is handed to the test's function."""
    from tests.qt.window_factories import take_apart

    monkeypatch.setattr(sys, "excepthook", sys.excepthook)  # put back afterwards
    made = []

    class Watched(Program):
        def __init__(self, *arguments, **options) -> None:
            super().__init__(*arguments, **options)
            made.append(self)

    monkeypatch.setattr(start, "Program", Watched)

    def run(act, demo: bool = False) -> int:
        return start._run(AtOnce(lambda: act(made[-1])), folders(data), demo=demo)

    yield run
    for program in made:
        take_apart(program.window, program._room, program)


def logged(data: Path, word: str) -> list[str]:
    """The lines of the log that hold a word."""
    return [line for line in (data / "pacer.log").read_text(encoding="utf-8").splitlines() if word in line]


def test_a_fault_in_a_slot_is_written_down_told_privately_and_the_lesson_goes_on(run_once, data, invented):
    frames = []

    def act(program) -> None:
        program.start_now(invented)
        lesson = program.room.lesson
        lesson.wall_changed.connect(lambda frame: frames.append(frame))

        def fail() -> None:
            raise RuntimeError("an invented fault")

        QTimer.singleShot(0, program, fail)
        settle()
        assert program.today.notice.text().startswith("Something went wrong inside Pacer. It goes on;")
        assert program.room.desk.answered.startswith("Something went wrong inside Pacer.")
        assert str(data / "pacer.log") in program.room.desk.answered
        program._clock.advance(2000)
        lesson.refresh()
        assert program.room.wall.full.frame.digits == "1:58"
        said = names_of(program.room.wall.full) + names_of(program.room.wall.strip)
        assert "wrong" not in said + wall_words(*frames)

    assert run_once(act) == 7
    (line,) = logged(data, "fault")
    assert line.endswith("fault RuntimeError at no place of ours")


def test_a_fault_while_painting_is_written_down_as_well(run_once, data, invented, monkeypatch):
    def act(program) -> None:
        program.start_now(invented)
        settle()

        def fail(*_what: object, **_options: object) -> None:
            raise RuntimeError("an invented fault of the painter")

        with monkeypatch.context() as broken:
            broken.setattr("pacer.qt.wall.window.paint_wall", fail)
            program.room.wall.full.update()
            settle()
        assert program.room.desk.answered.startswith("Something went wrong inside Pacer.")
        program.room.wall.full.repaint()  # the painter was put away properly

    run_once(act)
    assert any("fault RuntimeError at pacer.qt.wall.window:" in line for line in logged(data, "fault"))


def test_without_a_log_the_program_starts_and_a_fault_goes_to_the_terminal(run_once, data, capsys):
    (data / "pacer.log").mkdir(parents=True)

    def act(program) -> None:
        sys.excepthook(RuntimeError, RuntimeError("an invented fault"), None)
        assert program.today.notice.text().startswith("Something went wrong inside Pacer.")

    run_once(act)
    assert "an invented fault" in capsys.readouterr().err


@pytest.mark.no_qt_log
def test_the_log_tells_versions_screens_and_faults_and_nothing_of_the_lesson(
    run_once, data, invented, capsys
):
    """Titles, notes and paths are private wherever they stand: in outlines, in faults, in what Qt says."""
    first, *rest = invented.phases
    phases = (first.model_copy(update={"title": "Canary of a phase", "notes": "Canary of a note"}), *rest)
    outline = invented.model_copy(update={"title": "Canary", "phases": phases, "folder": str(data)})

    def act(program) -> None:
        program.start_now(outline)
        qWarning("QFile::open: Canary.toml is not there")
        qWarning("Canary of a warning")
        fault = FileNotFoundError(2, "Canary", str(data / "Canary.toml"))
        sys.excepthook(FileNotFoundError, fault, None)

    run_once(act)
    assert "Canary of a warning" in capsys.readouterr().err
    text = (data / "pacer.log").read_text(encoding="utf-8")
    assert "canary" not in text.lower()
    assert str(data.parent) not in text
    (begin,) = logged(data, "start: pacer ")
    assert f"Qt {qVersion()}" in begin
    assert logged(data, "2 screens: ")
    assert logged(data, "Qt QtWarningMsg [default] QFile::open")
    assert logged(data, "fault FileNotFoundError 2 at ")
    assert logged(data, "INFO stop")


def test_what_was_caught_before_the_program_ran_is_caught_as_before_when_it_has_ended(run_once):
    before = sys.excepthook, threading.excepthook, sys.unraisablehook
    seen = []
    run_once(lambda _program: seen.append(sys.excepthook))
    assert (sys.excepthook, threading.excepthook, sys.unraisablehook) == before
    assert seen != [before[0]]


def test_a_program_that_cannot_be_made_leaves_why_in_the_log(run_once, data, monkeypatch):
    def fail(*_arguments: object, **_options: object) -> None:
        raise RuntimeError("Canary")

    monkeypatch.setattr(start, "Program", fail)
    assert run_once(lambda _program: None) == 2
    (line,) = logged(data, "fault ")
    assert "fault RuntimeError at pacer.qt.start:" in line
    assert "Canary" not in line


def test_a_second_program_in_the_same_data_folder_says_so_and_ends(run_once, data, capsys):
    data.mkdir()
    first = QLockFile(str(data / "pacer.lock"))
    assert first.tryLock(0)

    def never(_program) -> None:
        raise AssertionError("it must not come this far")

    assert run_once(never) == 2
    said = capsys.readouterr().err
    assert said.startswith(f"Pacer is open already with {data}. ")
    assert len(said.splitlines()) == 1
    first.unlock()


def test_a_data_folder_that_cannot_be_locked_is_no_reason_not_to_open(run_once, data):
    data.write_text("a file stands where the folder should be")
    assert run_once(lambda program: click(program.today.start_button)) == 7


@pytest.mark.slow
def test_the_demo_opens_with_some_thirty_invented_records_ready_to_start(run_once):
    def act(program) -> None:
        assert 25 <= len(program.records.runs()) <= 40
        assert {run.mode for run in program.records.runs()} == {"demo"}
        assert not program.today.resume_row.isVisible()
        program.room.screens.watch.settle_now()
        program.room.screens.lift()
        click(program.today.start_button)
        assert program.window.shows_desk
        program.pages.show_look_back()
        assert program.pages.look_back.lesson.list.model().rowCount() > 25

    assert run_once(act, demo=True) == 7


def test_however_it_ends_no_window_is_left_that_would_be_taken_down_piece_by_piece(running, invented):
    """The interpreter's end hides what still shows part by part, when others that those ask have gone."""
    running.program.start_now(invented)
    room = running.program.room
    assert room.desk.isVisible()
    running.program.shut()
    assert not any(window.isVisible() for window in (running.window, room.wall.full, room.desk))


def test_the_room_is_made_before_start_is_pressed(running):
    """Only so is a first press followed at once; the warm-up shows nothing."""
    running.program._warm_up()
    settle()
    assert running.program._room is not None
    assert not running.program.room.wall.full.isVisible()
    assert not running.window.shows_desk
    assert running.today.isVisible()


def test_a_start_that_is_quicker_than_the_warm_up_keeps_its_wall(running, invented):
    running.program.start_now(invented)
    running.program._warm_up()
    assert running.program.room.wall.full.isVisible()


@pytest.mark.slow
@pytest.mark.parametrize("tone", [True, False])
def test_a_lesson_sounds_its_tone_where_the_teacher_turned_it_on_and_nowhere_else(
    tone, data, new_program, invented, real_care, monkeypatch
):
    heard: list[tuple[str, int]] = []
    monkeypatch.setattr(lesson_services, "CARE_AFTER_MS", 0)
    monkeypatch.setattr(Awake, "hold", lambda _self: None)
    for what in ("prepare", "play"):
        monkeypatch.setattr(TonePlayer, what, lambda _self, level, what=what: heard.append((what, level)))
    data.mkdir()
    (data / "settings.json").write_text(Settings(tone=tone, tone_level=30).model_dump_json())
    running = new_program(data)
    running.program.start_now(invented)
    settle()
    running.wait(130)
    assert heard == ([("prepare", 30), ("play", 30)] if tone else [])
