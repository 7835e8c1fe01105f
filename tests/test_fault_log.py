"""The log for fault reports: what failed and where, nothing private, bounded, and never in the way."""

import platform
import re
import signal
import stat
import subprocess
import sys
import threading
from collections.abc import Callable
from pathlib import Path

import pytest
from pydantic import BaseModel

from pacer import fault_log
from pacer.fault_log import FILES, MOST_BYTES, MOST_PLACES, FaultLog
from pacer.plan.durations import parse_duration
from pacer.remember import identity_cache

CANARY = "Canary of room 12"


class Words(BaseModel):
    """A value whose refusal quotes what was given."""

    number: int


@pytest.fixture
def folder(tmp_path):
    return tmp_path


def text_of(folder: Path) -> str:
    return (folder / "pacer.log").read_text(encoding="utf-8")


@pytest.fixture
def log(folder):
    log = FaultLog(folder)
    yield log
    log.close()


def running(log: FaultLog, complaints: list[BaseException] | None = None):
    """The program, as far as the log sees it."""
    return log.running({"Qt": "6.10.2"}, [].append if complaints is None else complaints.append)


def raised(fail: Callable[[], object]) -> Exception:
    """What a call raises, as it was raised."""
    try:
        fail()
    except Exception as fault:
        return fault
    raise AssertionError("it did not fail")


def fail_with(fault: Exception) -> Callable[[], object]:
    def fail() -> None:
        raise fault

    return fail


def with_note() -> None:
    fault = KeyError(CANARY)
    fault.add_note(CANARY)
    raise fault


def in_a_chain() -> None:
    try:
        raise ValueError(CANARY)
    except ValueError as error:
        raise LookupError(CANARY) from error


def in_a_file_of_that_name() -> None:
    exec(compile("int('Canary of room 12')", f"/home/{CANARY}/thirds.py", "exec"))


@pytest.mark.parametrize(
    "fail",
    [
        fail_with(RuntimeError(CANARY)),
        fail_with(FileNotFoundError(2, CANARY, f"/home/teacher/{CANARY}.toml")),
        fail_with(UnicodeDecodeError("utf-8", CANARY.encode(), 0, 1, CANARY)),
        fail_with(SyntaxError(CANARY, (CANARY, 1, 1, CANARY))),
        fail_with(ExceptionGroup(CANARY, [ValueError(CANARY)])),
        lambda: Words.model_validate({"number": CANARY}),
        lambda: parse_duration(CANARY),
        with_note,
        in_a_chain,
        in_a_file_of_that_name,
    ],
)
def test_no_fault_brings_what_it_quotes_into_the_log(folder, fail):
    with pytest.raises(Exception), running(FaultLog(folder)):  # noqa: B017, PT011 - whatever it is
        fail()
    text = text_of(folder)
    assert "Canary" not in text
    assert "teacher" not in text
    assert "fault " in text


def test_a_fault_is_told_by_its_kind_and_the_places_in_our_code_innermost_first(folder, log):
    log.fault(raised(lambda: identity_cache(parse_duration)("soon")))
    log.fault(OSError(28, "No space left on device"))
    first, second = text_of(folder).splitlines()
    assert re.search(r"ERROR fault ValueError at pacer\.plan\.durations:\d+ < pacer\.remember:\d+$", first)
    assert second.endswith("fault OSError 28 at no place of ours")


def test_what_led_to_a_fault_is_told_as_well(folder, log):
    log.fault(raised(in_a_chain))
    assert "fault LookupError at no place of ours after ValueError at no place of ours" in text_of(folder)


def test_an_endless_call_of_itself_makes_one_short_line(folder, log):
    def call(first: object) -> object:
        return again(first)

    again = identity_cache(call)
    log.fault(raised(lambda: again(object())))
    (line,) = text_of(folder).splitlines()
    assert line.count("pacer.remember") == MOST_PLACES


def test_start_and_stop_are_told_with_the_versions_of_all_that_takes_part(folder, log):
    with running(log):
        log.screens([(1280, 800, 1.25), (1920, 1080, 1.0)])
    begin, system, screens, end = text_of(folder).splitlines()
    assert re.search(r"INFO start: pacer \d+\.\d+\.\d+, Python 3\.\d+\.\d+, Qt 6\.10\.2$", begin)
    assert system.endswith(f"on {platform.system()} {platform.release()} {platform.machine()}")
    assert screens.endswith("2 screens: 1280 × 800 at 1.25, 1920 × 1080 at 1")
    assert end.endswith("INFO stop")


def test_the_same_screens_are_told_once(folder, log):
    for sizes in ([(800, 600, 1.0)], [(800, 600, 1.0)], [], [(800, 600, 1.0)]):
        log.screens(sizes)
    assert [line.split(" INFO ")[1] for line in text_of(folder).splitlines()] == [
        "1 screens: 800 × 600 at 1",
        "0 screens: ",
        "1 screens: 800 × 600 at 1",
    ]


@pytest.mark.parametrize(
    ("said", "kept"),
    [
        ("QObject::startTimer: Timers cannot be started from another thread", "QObject::startTimer"),
        (f"QFile::~QFile() of {CANARY}", "QFile::~QFile"),
        (f"{CANARY} QObject::startTimer", ""),
        (f"Quiet::{CANARY}", ""),
        ("", ""),
    ],
)
def test_of_what_qt_says_only_the_function_it_begins_with_is_kept(folder, log, said, kept):
    log.qt_said("QtWarningMsg", "qt.core", said)
    assert text_of(folder).rstrip("\n").endswith(f"WARNING Qt QtWarningMsg [qt.core] {kept}")


def test_a_fault_that_comes_again_and_again_is_told_ever_more_rarely(folder, log):
    for _time in range(250):
        log.fault(RuntimeError())
    log.fault(LookupError())
    told = [line.split(" ERROR ")[1] for line in text_of(folder).splitlines()]
    usual = "fault RuntimeError at no place of ours"
    assert told[:3] == [usual, f"10 times by now: {usual}", f"100 times by now: {usual}"]
    assert told[3:] == ["fault LookupError at no place of ours"]


def test_an_uncaught_fault_is_told_before_the_teacher_hears_of_it_and_a_key_to_stop_is_none(folder):
    told: list[tuple[type, int]] = []

    def complain(fault: BaseException) -> None:
        told.append((type(fault), text_of(folder).count("fault ")))

    with FaultLog(folder).running({}, complain):
        sys.excepthook(RuntimeError, RuntimeError(CANARY), None)
        sys.excepthook(KeyboardInterrupt, KeyboardInterrupt(), None)
    assert told == [(RuntimeError, 1), (KeyboardInterrupt, 1)]


def test_a_fault_of_another_thread_is_told_and_goes_where_it_went_before(folder, monkeypatch):
    before: list[object] = []
    monkeypatch.setattr(threading, "excepthook", before.append)
    complaints: list[BaseException] = []
    with running(FaultLog(folder), complaints):
        thread = threading.Thread(target=fail_with(RuntimeError(CANARY)), name=CANARY)
        thread.start()
        thread.join()
    assert "fault RuntimeError" in text_of(folder)
    assert "Canary" not in text_of(folder)
    assert (len(before), complaints) == (1, [])


@pytest.mark.slow
def test_the_log_stays_within_its_bounds_however_much_is_told(folder, log):
    most = MOST_BYTES * FILES
    for number in range(most // 40):
        log.screens([(number, 600, 1.0)])
    files = sorted(folder.iterdir())
    assert [file.name for file in files] == ["pacer.log", "pacer.log.1", "pacer.log.2"]
    assert most * 0.6 < sum(file.stat().st_size for file in files) <= most
    assert f"{most // 40 - 1} × 600" in text_of(folder).splitlines()[-1]


def test_a_line_that_no_file_takes_stops_nothing(folder, log, capsys):
    log.screens([(1, 600, 1.0)])
    log.qt_said("warning", "half a character: \udce9", "QPainter::begin: none")
    assert not log.is_open
    log.screens([(2, 600, 1.0)])
    assert log.is_open
    assert "2 × 600" in text_of(folder)
    assert capsys.readouterr().err == ""


@pytest.mark.parametrize("way", ["it can't be renamed", "its folder is gone"])
def test_a_full_log_that_cannot_make_room_stops_nothing_and_goes_on_where_it_can(
    folder, log, monkeypatch, capsys, way
):
    monkeypatch.setattr("pacer.fault_log.MOST_BYTES", 1)
    log.screens([(1, 600, 1.0)])
    elsewhere = folder.with_name("elsewhere")
    with monkeypatch.context() as broken:
        if way == "its folder is gone":
            folder.rename(elsewhere)
        else:
            refused = fail_with(PermissionError(13, "no"))
            broken.setattr("os.replace", lambda _newer, _older: refused())
        log.screens([(2, 600, 1.0)])
    assert not log.is_open
    if elsewhere.exists():
        elsewhere.rename(folder)
    log.screens([(3, 600, 1.0)])
    assert log.is_open
    assert [file.name for file in sorted(folder.iterdir())] == ["pacer.log", "pacer.log.1"]
    assert "3 × 600" in (folder / "pacer.log").read_text()
    assert capsys.readouterr().err == ""


@pytest.mark.slow
@pytest.mark.skipif(sys.platform == "win32", reason="permissions as on Unix")
def test_nobody_but_the_owner_may_read_the_log_whatever_may_be_read_elsewhere(folder):
    (folder / "pacer.log").touch()
    (folder / "pacer.log").chmod(0o644)
    log = FaultLog(folder)
    for number in range(MOST_BYTES // 20):
        log.screens([(number, 600, 1.0)])
    log.close()
    modes = {file.name: stat.S_IMODE(file.stat().st_mode) for file in folder.iterdir()}
    assert modes == dict.fromkeys(("pacer.log", "pacer.log.1", "pacer.log.2"), 0o600)


@pytest.mark.parametrize("way", ["no folder", "a folder in its place"])
def test_a_log_that_cannot_be_opened_stops_nothing_and_says_so(folder, way):
    where = folder / "not there" if way == "no folder" else folder
    if way == "a folder in its place":
        (folder / "pacer.log").mkdir()
    log = FaultLog(where)
    ran: list[bool] = []
    with running(log):
        log.fault(RuntimeError())
        log.screens([(800, 600, 1.0)])
        ran.append(True)
    assert (ran, log.is_open) == ([True], False)


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no disk that is always full")
def test_a_disk_that_gets_full_stops_nothing_and_prints_nothing(log, capsys):
    complaints: list[BaseException] = []
    with running(log, complaints):
        assert log.is_open
        log._file.setStream(open("/dev/full", "w")).close()  # noqa: PTH123, SIM115
        sys.excepthook(RuntimeError, RuntimeError(CANARY), None)
        assert not log.is_open
    assert len(complaints) == 1
    assert capsys.readouterr().err == ""


RUN = """
import faulthandler, sys
from pathlib import Path
from pacer.fault_log import FaultLog
from pacer.remember import identity_cache

with FaultLog(Path(sys.argv[1])).running({}, print):
    if sys.argv[2:]:
        identity_cache(lambda _first: faulthandler._sigsegv())("x")
"""


def a_run(tmp_path: Path, *how: str) -> tuple[int, Path]:
    """A process that keeps the log, and crashes while it does if told so: its exit code, the log's folder."""
    folder, script = tmp_path / "data", tmp_path / f"{CANARY}.py"
    folder.mkdir()
    script.write_text(RUN)
    return subprocess.run([sys.executable, script, folder, *how], capture_output=True).returncode, folder


@pytest.mark.skipif(sys.platform == "win32", reason="a signal as on Unix")
def test_a_crash_of_the_interpreter_is_told_at_the_next_start_without_any_folder(tmp_path):
    code, folder = a_run(tmp_path, "crash")
    assert code == -signal.SIGSEGV
    assert stat.S_IMODE((folder / "pacer-crash.txt").stat().st_mode) == 0o600
    for _start in range(2):
        with running(FaultLog(folder)):
            pass
    (line,) = [line for line in text_of(folder).splitlines() if "crashed" in line]
    assert re.search(r"crashed: Fatal Python error: Segmentation fault at pacer\.remember:\d+$", line)
    assert "Canary" not in text_of(folder)
    assert [file.name for file in folder.iterdir()] == ["pacer.log"]


@pytest.mark.parametrize("line", ["9" * 5000, "9" * 30, "12"])
def test_a_crash_report_that_was_damaged_keeps_no_start_from_going_on(tmp_path, line):
    report = tmp_path / "pacer-crash.txt"
    report.write_text(f'Fatal Python error: Aborted\n  File "{fault_log.__file__}", line {line} in last\n')
    with running(FaultLog(tmp_path)):
        pass
    assert "crashed: Fatal Python error: Aborted" in text_of(tmp_path)
    assert not report.exists()


def test_a_run_that_ends_well_leaves_nothing_but_the_log(tmp_path):
    code, folder = a_run(tmp_path)
    assert (code, [file.name for file in folder.iterdir()]) == (0, ["pacer.log"])
