"""Pictures painted to files, the demo without a screen, and what is said where Qt cannot run."""

import contextlib
import ctypes
import itertools
import os
import struct
import subprocess
import sys
import zlib
from pathlib import Path

import pytest

from pacer.__main__ import main
from pacer.frames.desk import DeskFrame
from pacer.frames.record import record
from pacer.frames.wall import WallFrame
from pacer.log.day_records import DayRecords
from pacer.paths import template_folder
from pacer.run.clock import SystemClock
from pacer.run.fold import fold
from pacer.verbs import display, headless_demo
from pacer.verbs.arguments import build_parser
from pacer.verbs.display import has_display, qt_complaint
from pacer.verbs.headless_demo import DEMO_PRESSES
from pacer.verbs.picture import picture_verb
from pacer.verbs.tables import record_lines
from tests.verbs.verb_factories import OUTLINE, PAINTED, Saved, needs_qt


@pytest.fixture(autouse=True)
def _qt_could_run(monkeypatch):
    """Without Qt's libraries nothing would be painted; here the painter is our own."""
    monkeypatch.setattr("pacer.verbs.picture.qt_complaint", lambda **_options: "")


def picture(save: Saved, *arguments: object) -> int:
    options = build_parser().parse_args(["picture", str(OUTLINE), *(str(argument) for argument in arguments)])
    return picture_verb(options, save)


# The verb picture, with a painter that only remembers.


def test_both_frames_of_the_moment_go_to_the_painter_with_the_size(tmp_path, capsys):
    save, wall, desk = Saved(), tmp_path / "w.png", tmp_path / "d.png"
    assert picture(save, "--at", "0:30", "--wall", wall, "--desk", desk, "--size", "1366x768") == 0
    ((wall_frame, *size, _outline), (desk_frame, *same_size, _outline)) = save.calls
    assert isinstance(wall_frame, WallFrame)
    assert isinstance(desk_frame, DeskFrame)
    assert size == same_size == [1366, 768]
    assert wall.read_bytes() == desk.read_bytes() == PAINTED
    assert capsys.readouterr().out.splitlines() == [str(wall), str(desk)]


def test_the_usual_size_is_full_hd_and_one_picture_is_enough(tmp_path):
    save = Saved()
    assert picture(save, "--at", "1:00", "--wall", tmp_path / "w.png") == 0
    ((frame, *size, _outline),) = save.calls
    assert isinstance(frame, WallFrame)
    assert size == [1920, 1080]


def test_a_script_of_presses_leads_to_another_moment(tmp_path):
    script = tmp_path / "script.txt"
    script.write_text("start 9:00\n0:10 next done\n")
    planned, pressed = Saved(), Saved()
    picture(planned, "--at", "0:30", "--wall", tmp_path / "w.png")
    picture(pressed, "--at", "0:30", "--wall", tmp_path / "v.png", "--script", script)
    assert planned.calls[0][0].next_title == pressed.calls[0][0].title


@pytest.mark.parametrize(
    "size", ["", "1920", "1920x", "x1080", "0x0", "63x768", "768x63", "8193x100", "-100x100", "1920X1080",
             "99999999x1", "1920x1080x2", "12.5x100"],
)  # fmt: skip
def test_a_size_that_is_none_is_refused_by_name(size, capsys):
    save = Saved()
    assert picture(save, "--at", "1:00", "--wall", "w.png", f"--size={size}") == 1
    assert capsys.readouterr().err == f"--size {size} won't do; write for example 1920x1080.\n"
    assert save.calls == []


@pytest.mark.parametrize("size", ["64x64", "8192x64"])
def test_the_smallest_and_the_widest_size_are_taken(size, tmp_path):
    assert picture(Saved(), "--at", "1:00", "--wall", tmp_path / "w.png", "--size", size) == 0


@pytest.mark.parametrize("at", ["", "soon", "-1:00", "1:99", "12:30:00:00", "999999:00", "nan", "1e9"])
def test_a_moment_that_is_none_is_refused_by_name(at, capsys):
    save = Saved()
    assert picture(save, f"--at={at}", "--wall", "w.png") == 1
    assert capsys.readouterr().err == f"--at {at} won't do; write minutes and seconds, 12:30.\n"
    assert save.calls == []


def test_without_a_place_to_paint_it_asks_for_one(capsys):
    assert picture(Saved(), "--at", "1:00") == 1
    assert "--wall W.png, --desk D.png or both" in capsys.readouterr().err


def test_a_bad_outline_or_script_is_a_problem_with_file_and_line(tmp_path, capsys):
    bad, script = tmp_path / "bad.toml", tmp_path / "script.txt"
    bad.write_text("format = 1\n")
    script.write_text("start 9:00\nnonsense\n")
    save = Saved()
    options = ["--at", "1:00", "--wall", "w.png", "--script", str(script)]
    assert picture_verb(build_parser().parse_args(["picture", str(bad), *options]), save) == 1
    assert picture_verb(build_parser().parse_args(["picture", str(OUTLINE), *options]), save) == 1
    said = capsys.readouterr().err
    assert str(bad) in said
    assert f"{script}:2:" in said
    assert save.calls == []


def test_a_picture_that_cannot_be_written_is_told_with_the_next_step(tmp_path, capsys):
    wall, desk = tmp_path / "w.png", tmp_path / "gone" / "d.png"
    assert picture(Saved(), "--at", "1:00", "--wall", wall, "--desk", desk) == 1
    told = capsys.readouterr()
    assert told.out == f"{wall}\n", "what was written before is told"
    assert told.err.startswith(f"{desk} can't be written: its folder is gone. ")


@pytest.mark.parametrize("target", [["--wall", "o.toml"], ["--wall", "same.png", "--desk", "same.png"]])
def test_a_picture_never_overwrites_its_outline_or_the_other_picture(tmp_path, monkeypatch, capsys, target):
    monkeypatch.chdir(tmp_path)
    (tmp_path / "o.toml").write_bytes((template_folder() / "number-line-75.toml").read_bytes())
    before = (tmp_path / "o.toml").read_bytes()
    assert main(["picture", "o.toml", "--at", "1:00", *target]) == 1
    assert "overwrite" in capsys.readouterr().err
    assert (tmp_path / "o.toml").read_bytes() == before


def test_where_qt_cannot_paint_the_packages_are_named(monkeypatch, capsys):
    monkeypatch.setattr("pacer.verbs.picture.qt_complaint", lambda **_options: "Qt needs more")
    save = Saved()
    assert picture(save, "--at", "1:00", "--wall", "w.png") == 2
    assert capsys.readouterr().err == "Qt needs more\n"
    assert save.calls == []


def test_a_late_moment_of_a_lesson_is_a_moment_too(tmp_path):
    """The bell has rung by then."""
    save = Saved()
    assert picture(save, "--at", "480:00", "--desk", tmp_path / "d.png") == 0
    assert save.calls[0][0].stage in ("ended", "move_on", "borrowing")


# The same with the real painter, as a program of its own.


def run_pacer(*arguments: object, **environment: str) -> subprocess.CompletedProcess[str]:
    without_screen = {
        key: value
        for key, value in os.environ.items()
        if key not in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM")
    }
    return subprocess.run(
        [sys.executable, "-m", "pacer", *(str(argument) for argument in arguments)],
        env=without_screen | environment, capture_output=True, text=True, timeout=6000, check=False,
    )  # fmt: skip


def png(path: Path) -> tuple[tuple[int, int], bytes]:
    """Width and height of a PNG, and its filtered rows."""
    data = path.read_bytes()
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    size, rows, at = (0, 0), b"", 8
    while at < len(data):
        length, kind = int.from_bytes(data[at : at + 4]), data[at + 4 : at + 8]
        body = data[at + 8 : at + 8 + length]
        if kind == b"IHDR":
            size = (int.from_bytes(body[:4]), int.from_bytes(body[4:8]))
        elif kind == b"IDAT":
            rows += body
        at += length + 12
    return size, zlib.decompress(rows)


def grey_png(width: int, height: int) -> bytes:
    """A picture of one grey."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    rows = zlib.compress((b"\0" + b"\x70" * width) * height)
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")


@pytest.mark.slow
@needs_qt
def test_the_pictures_have_their_size_and_something_on_them_without_any_screen(tmp_path):
    wall, desk = tmp_path / "w.png", tmp_path / "d.png"
    done = run_pacer("picture", OUTLINE, "--at", "12:30", "--wall", wall, "--desk", desk, "--size", "800x450")
    assert (done.returncode, done.stderr) == (0, "")
    (wall_size, wall_rows), (desk_size, desk_rows) = png(wall), png(desk)
    assert wall_size == desk_size == (800, 450)
    # A plain area is filtered to almost only zeros; letters and squares leave many different bytes.
    assert min(len(set(wall_rows)), len(set(desk_rows))) > 100
    assert wall_rows != desk_rows


@pytest.mark.slow
@needs_qt
def test_a_folder_that_is_not_there_is_a_plain_line_and_exit_code_1(tmp_path):
    done = run_pacer(
        "picture", OUTLINE, "--at", "1:00", "--wall", tmp_path / "none" / "w.png", "--size", "64x64"
    )
    assert done.returncode == 1
    assert "can't be written: its folder is gone." in done.stderr
    assert "Traceback" not in done.stderr
    assert len(done.stderr.splitlines()) == 1


@pytest.mark.slow
@needs_qt
def test_an_attached_picture_is_in_the_picture_as_it_would_be_in_the_room(tmp_path):
    attached = tmp_path / "line.png"
    attached.write_bytes(grey_png(30, 20))
    plan = tmp_path / "plan.toml"
    plan.write_text(
        'format = 1\ntitle = "Thirds"\n[[phase]]\ntitle = "Look"\nbudget = "3"\nattach = "line.png"\n'
    )
    shown, bare = tmp_path / "shown.png", tmp_path / "bare.png"
    done = run_pacer("picture", plan, "--at", "1:00", "--wall", shown, "--size", "800x450")
    assert (done.returncode, done.stderr) == (0, "")
    attached.write_bytes(b"torn")
    done = run_pacer("picture", plan, "--at", "1:00", "--wall", bare, "--size", "800x450")
    assert done.returncode == 0
    assert png(shown)[1] != png(bare)[1]


# The demo without a screen.


@pytest.fixture
def kept_demo(tmp_path, monkeypatch):
    """Keeps the demo's throw-away folder, so that its record can be read back by the test as well."""
    (tmp_path / "data").mkdir()
    (tmp_path / "pictures").mkdir()

    @contextlib.contextmanager
    def keep(**_options):
        yield str(tmp_path / "data")

    monkeypatch.setattr(headless_demo.tempfile, "TemporaryDirectory", keep)
    monkeypatch.setattr(headless_demo.tempfile, "mkdtemp", lambda **_options: str(tmp_path / "pictures"))
    monkeypatch.setattr(headless_demo, "qt_complaint", lambda **_options: "")
    return tmp_path / "data"


@pytest.mark.slow
def test_the_demo_prints_planned_over_actual_as_it_stands_in_the_day_record(kept_demo, capsys):
    save = Saved()
    assert headless_demo.headless_demo(save, SystemClock()) == 0
    out = capsys.readouterr().out
    with DayRecords.open(kept_demo) as records:
        runs = records.runs()
        events = records.events(runs[0].id)
    found = record(fold(events), events[-1].t_ms)
    printed = out[out.index(found.title) :].rstrip("\n").splitlines()
    assert printed == record_lines(found)
    assert f"Day record {runs[0].id} of {len(runs)}, read back from disk:" in out
    assert "All of it is invented." in out
    assert runs[0].mode == "demo"


@pytest.mark.slow
def test_its_times_are_those_of_the_presses(kept_demo, capsys):
    """Worked from the list of presses: each phase lasts from one press that moves on to the next."""
    headless_demo.headless_demo(Saved(), SystemClock())
    with DayRecords.open(kept_demo) as records:
        events = records.events(records.runs()[0].id)
    to_groups = next(second for second, command, _argument in DEMO_PRESSES if command == "groups")
    moves = [0, *(second for second, command, _ in DEMO_PRESSES if command == "next" and second < to_groups)]
    moves.append(to_groups)
    lengths = [end - begin for begin, end in itertools.pairwise(moves)]
    found = record(fold(events), events[-1].t_ms)
    assert [row.actual for row in found.phases if row.visits] == lengths
    assert found.actual == moves[-1]
    assert found.ended


@pytest.mark.slow
def test_its_second_half_is_a_whole_one_with_visits_a_missed_group_the_share_and_the_bell(kept_demo, capsys):
    headless_demo.headless_demo(Saved(), SystemClock())
    with DayRecords.open(kept_demo) as records:
        state = fold(records.events(records.runs()[0].id))
    assert [leg.kind for leg in state.legs] == [
        "move", "visit", "swap", "visit", "visit", "visit", "share", "clean_up"
    ]  # fmt: skip
    assert len(state.groups_out) == 1
    assert state.bell_offset_s is not None


@pytest.mark.slow
def test_it_paints_both_windows_in_each_half_and_says_where(kept_demo, tmp_path, capsys):
    save = Saved()
    headless_demo.headless_demo(save, SystemClock())
    (first_wall, *size), (first_desk, *_same), (second_wall, *_same), (second_desk, *_same) = save.calls
    assert first_wall.title == first_desk.phase_title
    assert (second_wall.groups != (), second_desk.visit["leg"]) == (True, "visit")
    assert size == [1920, 1080]
    out = capsys.readouterr().out
    names = ["desk-visit.png", "desk.png", "wall-visit.png", "wall.png"]
    assert [path.name for path in sorted((tmp_path / "pictures").iterdir())] == names
    assert all(str(tmp_path / "pictures" / name) in out for name in names)


@pytest.mark.slow
def test_where_qt_cannot_paint_the_demo_does_everything_else(kept_demo, monkeypatch, capsys):
    monkeypatch.setattr(headless_demo, "qt_complaint", lambda **_options: "Qt needs more of this system.")
    save = Saved()
    assert headless_demo.headless_demo(save, SystemClock()) == 0
    out = capsys.readouterr().out
    assert "No pictures: Qt needs more of this system." in out
    assert "planned  actual" in out
    assert save.calls == []


@pytest.mark.slow
@needs_qt
def test_pacer_demo_without_a_screen_does_the_main_job_in_one_command():
    done = run_pacer("--demo")
    assert (done.returncode, done.stderr) == (0, "")
    paths = [Path(line.split(" in ")[1]) for line in done.stdout.splitlines() if " is painted in " in line]
    names = ["wall.png", "desk.png", "wall-visit.png", "desk-visit.png"]
    assert [path.name for path in paths] == names
    assert [png(path)[0] for path in paths] == [(1920, 1080)] * 4
    assert "planned  actual" in done.stdout
    for path in paths:
        path.unlink()
    paths[0].parent.rmdir()


# Whether a window can be shown.


class X11:
    """Stands in for the X library; ``answers``: whether a server is there."""

    def __init__(self, answers: bool) -> None:
        self.closed: list[object] = []

        def open_display(_name: object) -> int | None:
            return 4711 if answers else None

        self.XOpenDisplay = open_display
        self.XCloseDisplay = self.closed.append


def loader(*missing: str, x_answers: bool = True):
    """Loads every library but those whose names hold one of the parts."""

    def load(library: str) -> object:
        if any(part in library for part in missing):
            raise OSError(f"{library}: cannot open shared object file")
        return X11(x_answers)

    return load


@pytest.fixture
def linux(monkeypatch):
    """Linux with all of Qt's libraries, an X server behind any DISPLAY, and no variable set."""
    monkeypatch.setattr(display.sys, "platform", "linux")
    monkeypatch.setattr(ctypes, "CDLL", loader())
    for name in ("DISPLAY", "WAYLAND_DISPLAY", "QT_QPA_PLATFORM", "XDG_RUNTIME_DIR"):
        monkeypatch.delenv(name, raising=False)
    return monkeypatch


@pytest.mark.parametrize(
    ("environment", "shows"),
    [
        ({}, False),
        ({"DISPLAY": ":0"}, True),
        ({"DISPLAY": ""}, False),
        ({"DISPLAY": ":0", "QT_QPA_PLATFORM": "offscreen"}, False),
        ({"DISPLAY": ":0", "QT_QPA_PLATFORM": "offscreen:configfile=screens.json"}, False),
        ({"DISPLAY": ":0", "QT_QPA_PLATFORM": "minimal"}, False),
        ({"DISPLAY": ":0", "QT_QPA_PLATFORM": "xcb"}, True),
    ],
)
def test_on_linux_a_screen_server_makes_the_difference(linux, environment, shows):
    for name, value in environment.items():
        linux.setenv(name, value)
    assert has_display() is shows


def test_a_wayland_name_counts_only_with_its_socket(linux, tmp_path):
    linux.setenv("WAYLAND_DISPLAY", "wayland-0")
    linux.setenv("XDG_RUNTIME_DIR", str(tmp_path))
    assert not has_display()
    (tmp_path / "wayland-0").touch()
    assert has_display()


def test_a_display_that_nobody_serves_is_none(linux):
    """Qt would abort the program there."""
    linux.setenv("DISPLAY", ":4711")
    linux.setattr(ctypes, "CDLL", loader(x_answers=False))
    assert not has_display()


def test_without_the_x_library_the_missing_packages_are_told_rather_than_no_screen(linux):
    linux.setenv("DISPLAY", ":0")
    linux.setattr(ctypes, "CDLL", loader("X11.so"))
    assert has_display()


@pytest.mark.parametrize("system", ["win32", "darwin"])
def test_elsewhere_there_is_always_a_screen_and_no_package_to_name(linux, system):
    linux.setattr(display.sys, "platform", system)
    linux.setattr(ctypes, "CDLL", loader("lib"))
    assert has_display()
    assert qt_complaint() == ""


def test_with_all_libraries_there_is_nothing_to_complain_about(linux):
    linux.setenv("DISPLAY", ":0")
    assert qt_complaint() == ""


def test_missing_libraries_are_named_by_their_packages_in_one_line(linux):
    linux.setattr(ctypes, "CDLL", loader("EGL", "xcb-cursor", "xcb-icccm"))
    linux.setenv("DISPLAY", ":0")
    assert qt_complaint() == (
        "Qt needs more of this system. On Debian or Ubuntu: "
        "sudo apt-get install libegl1 libxcb-cursor0 libxcb-icccm4"
    )


@pytest.mark.parametrize(("display_name", "only_paint"), [("", False), (":0", True)])
def test_the_x_libraries_are_asked_for_only_where_windows_are_shown_on_x(linux, display_name, only_paint):
    linux.setattr(ctypes, "CDLL", loader("xcb", "EGL"))
    linux.setenv("DISPLAY", display_name)
    assert qt_complaint(painting_only=only_paint).endswith("apt-get install libegl1")


def test_without_a_screen_pacer_says_what_it_can_do_instead(linux, capsys):
    assert main([]) == 2
    assert capsys.readouterr().err == "There is no screen here. Try: pacer --demo\n"


def test_with_a_screen_but_without_its_libraries_pacer_names_them_instead_of_aborting(linux, capsys):
    linux.setenv("DISPLAY", ":0")
    linux.setattr(ctypes, "CDLL", loader("xcb-cursor"))
    assert main([]) == 2
    said = capsys.readouterr().err
    assert said.endswith("sudo apt-get install libxcb-cursor0\n")
    assert len(said.splitlines()) == 1
