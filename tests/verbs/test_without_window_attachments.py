"""``pacer check`` opens what is attached to an outline and says what is wrong with it, with file and line."""

import struct
import subprocess
import sys
import zlib
from contextlib import nullcontext

import pytest

from pacer.__main__ import main
from pacer.verbs.without_window import check


def png(width: int, height: int, *, cut: bool = False) -> bytes:
    """A grey picture of these sides."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    rows = zlib.compress(bytes((width + 1) * height)) if width < 1000 else b""
    head = struct.pack(">IIBBBBB", width, height, 8, 0, 0, 0, 0)
    data = b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", rows) + chunk(b"IEND", b"")
    return data[:-25] if cut else data


@pytest.fixture
def outline(tmp_path):
    """An invented outline beside a whole, a cut and a hostile picture, and a text that calls itself one."""
    (tmp_path / "line.png").write_bytes(png(30, 20))
    (tmp_path / "cut.png").write_bytes(png(300, 200, cut=True))
    (tmp_path / "bomb.png").write_bytes(png(60_000, 60_000))
    (tmp_path / "text.pdf").write_text("half of a third")

    def write(*names: str):
        rows = ["format = 1", 'title = "Thirds"']
        for name in names:
            rows += ["[[phase]]", 'title = "Part"', 'budget = "3"', f'attach = "{name}"']
        path = tmp_path / "thirds.toml"
        path.write_text("\n".join(rows) + "\n")
        return path

    return write


def _qt_reads_files() -> bool:
    run = [sys.executable, "-c", "import PySide6.QtGui, PySide6.QtPdf"]
    return subprocess.run(run, capture_output=True, check=False).returncode == 0


needs_qt = pytest.mark.skipif(not _qt_reads_files(), reason="Qt can't be loaded here")


@needs_qt
def test_check_opens_what_is_attached_and_says_file_line_fault_and_fix(outline, capsys):
    path = outline("line.png", "cut.png", "bomb.png", "text.pdf", "gone.png")
    assert main(["check", str(path)]) == 1
    out, err = capsys.readouterr()
    assert [line for line in out.splitlines() if ": Note: " not in line] == [
        f'{path}:10: attach = "cut.png": The picture is broken or cut short. Save it again.',
        f'{path}:14: attach = "bomb.png": The picture has 3600 million pixels, more than 30. '
        "Save a smaller copy: 4000 pixels wide is plenty.",
        f'{path}:18: attach = "text.pdf": There is no PDF in the file. Save it again as PDF.',
        f'{path}:22: attach = "gone.png": There is no such file. '
        "It is looked for from the outline's folder on.",
    ]
    assert err == ""


@needs_qt
def test_an_outline_whose_attachments_are_whole_is_fine(outline, capsys):
    path = outline("line.png")
    assert main(["check", str(path)]) == 0
    out, err = capsys.readouterr()
    assert out.splitlines()[0] == f"{path}: fine (1 phase, 3 min)"
    assert all(": Note: " in line for line in out.splitlines()[1:])
    assert err == ""


@pytest.mark.slow
@needs_qt
def test_check_itself_never_loads_qt(outline):
    """Whoever has many outlines to check does not wait for it, and no attachment can stop the check."""
    run = (
        "import sys; from pacer.__main__ import main; code = main(sys.argv[1:]); "
        "print(code, [name for name in sys.modules if name.startswith('PySide6')])"
    )
    arguments = [sys.executable, "-c", run, "check", outline("cut.png")]
    done = subprocess.run(arguments, capture_output=True, text=True, check=False)
    assert done.stdout.splitlines()[-1] == "1 []"


def test_without_attachments_no_reader_is_started(outline, monkeypatch, capsys):
    from pacer.qt.attachments import process as attachment_process

    def fail(*_arguments):
        raise AssertionError("a process was started")

    monkeypatch.setattr(attachment_process, "AttachmentProcess", fail)
    path = outline("")
    assert main(["check", str(path)]) == 0
    assert "fine" in capsys.readouterr().out


def test_where_qt_is_missing_names_and_places_are_still_checked_and_the_rest_is_said_to_be_open(
    outline, monkeypatch, capsys
):
    from pacer.qt.attachments import process as attachment_process

    monkeypatch.setattr(attachment_process, "_RUN", "raise ImportError")
    path = outline("line.png", "cut.png", "../line.png")
    assert main(["check", str(path)]) == 1
    out, err = capsys.readouterr()
    assert out.splitlines()[0] == (
        f'{path}:14: attach = "../line.png": This leads out of the outline\'s folder. '
        "Put the file beside the outline and write its name only."
    )
    assert err.startswith("No attached file was opened: Qt can't be used here.\n")


def test_check_without_anything_to_look_with_checks_from_outside(outline, capsys):
    assert check([outline("cut.png")]) == 0
    assert check([outline("gone.png"), outline("gone.png")]) == 1
    assert capsys.readouterr().out.count("There is no such file.") == 2


def test_a_bad_outline_and_a_bad_attachment_in_two_files_are_both_told(outline, tmp_path, capsys):
    bad = tmp_path / "bad.toml"
    bad.write_text("format = 2\n")
    assert check([bad, outline("gone.png")], lambda: nullcontext(None)) == 1
    out = capsys.readouterr().out
    assert f"{bad}:1: " in out
    assert "thirds.toml:6: " in out
