"""Each verb with each kind of file that is no good: what, where, what next, the exit code, no traceback."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from pacer.__main__ import main
from tests.verbs.verb_factories import OUTLINE

TEXT = OUTLINE.read_text("utf-8")
SCRIPT = "start 9:00\n2:00 next done\n"
# A verb with a file in the place of its question mark.
READS = {
    "check": ["check", "?"],
    "replay, the outline": ["replay", "?", "{script}"],
    "replay, the script": ["replay", "{outline}", "?"],
    "log import": ["log", "import", "?", "--data-dir", "{data}"],
    "budgets": ["budgets", "?", "--data-dir", "{data}"],
    "card": ["card", "?", "--pdf", "{new}.pdf"],
    "picture, the outline": ["picture", "?", "--at", "1:00", "--wall", "{new}.png"],
    "picture, the script": ["picture", "{outline}", "--script", "?", "--at", "1:00", "--wall", "{new}.png"],
}
# What the file is, and what is said of it, behind its path.
FILES: dict[str, tuple[bytes | None, str]] = {
    "missing": (None, ": There is no such file. "),
    "folder": (None, ": This is a folder. "),
    "empty": (b"", ":1: The "),
    "binary": (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR" * 9, ":3: This is not a text file. "),
    "UTF-16": (
        OUTLINE.read_text("utf-8").encode("utf-16"),
        ":1: The text is written as UTF-16. Save it as UTF-8",
    ),
    "UTF-16 without a mark": (
        OUTLINE.read_text("utf-8").encode("utf-16-be"),
        ":1: The text is written as UTF-16. ",
    ),
    "Latin-1": ("one\ncafé\n".encode("latin-1"), ":2: The text is not UTF-8. "),
    "huge": (b"x" * 10_000_001, ": The file is larger than "),
    "another text": (b"Dear diary,\n", ":1: "),
}


def filled(arguments: list[str], file: Path, folder: Path) -> list[str]:
    places = {"outline": OUTLINE, "script": folder / "script", "data": folder / "data", "new": folder / "new"}
    return [str(file) if part == "?" else part.format(**places) for part in arguments]


@pytest.mark.parametrize("kind", FILES)
@pytest.mark.parametrize("verb", READS)
def test_a_file_that_is_no_good_is_told_with_its_path_its_line_and_what_next(
    verb: str, kind: str, tmp_path: Path, capsys
) -> None:
    (tmp_path / "script").write_text(SCRIPT)
    content, said = FILES[kind]
    file = tmp_path / "file.toml"
    if kind == "folder":
        file.mkdir()
    elif content is not None:
        file.write_bytes(content)
    assert main(filled(READS[verb], file, tmp_path)) == 1
    out, err = capsys.readouterr()
    first = (out if verb == "check" else err).splitlines()[0]
    assert first.startswith(f"{file}{said}")
    assert first.count(". ") >= 1, "what to do next stands behind what it is"
    assert "Traceback" not in out + err
    made = sorted(path.name for path in tmp_path.iterdir())
    assert made == sorted({"script", *([] if kind == "missing" else ["file.toml"])}), "nothing was made"


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() == 0, reason="root may read every file")
@pytest.mark.parametrize("verb", READS)
def test_a_file_that_may_not_be_read_is_told_with_the_reason(verb: str, tmp_path: Path, capsys) -> None:
    (tmp_path / "script").write_text(SCRIPT)
    file = tmp_path / "file.toml"
    file.write_bytes(OUTLINE.read_bytes())
    file.chmod(0)
    assert main(filled(READS[verb], file, tmp_path)) == 1
    said = "".join(capsys.readouterr())
    assert f"{file}: The file can't be read: " in said


@pytest.mark.parametrize("verb", [["log"], ["log", "1"], ["report"], ["backtest"], ["budgets"]])
def test_a_file_in_the_place_of_a_data_folder_is_a_slip_and_not_an_empty_folder(
    verb: list[str], tmp_path: Path, capsys
) -> None:
    file = tmp_path / "file"
    file.write_text("x")
    with pytest.raises(SystemExit) as ended:
        main([*verb, "--data-dir", str(file)])
    assert ended.value.code == 2
    assert f"{file} is a file; name a folder" in capsys.readouterr().err


@pytest.mark.parametrize("verb", [["log"], ["report"], ["backtest"], ["budgets"]])
def test_a_data_folder_that_is_not_there_is_said_not_to_be_there(
    verb: list[str], tmp_path: Path, capsys
) -> None:
    where = tmp_path / "none"
    assert main([*verb, "--data-dir", str(where)]) == 0
    said = "".join(capsys.readouterr())
    assert f"There are no day records yet in {where}: there is no such folder." in said
    assert not where.exists()


@pytest.mark.parametrize(
    "arguments",
    [
        ["fly"],
        ["log", "--jsno"],
        ["card", "--paper", "A9"],
        ["replay"],
        ["picture", str(OUTLINE)],
        ["report", "--to"],
    ],
)
def test_an_unknown_verb_or_value_of_an_option_is_told_with_how_it_goes(arguments: list[str], capsys) -> None:
    with pytest.raises(SystemExit) as ended:
        main(arguments)
    assert ended.value.code == 2
    assert capsys.readouterr().err.startswith("usage: pacer")


def piped(arguments: list[str], stdout: int | None) -> subprocess.CompletedProcess[str]:
    command = [sys.executable, "-m", "pacer", *arguments]
    return subprocess.run(command, stdout=stdout, stderr=subprocess.PIPE, text=True, check=False)


needs_full = pytest.mark.skipif(not Path("/dev/full").exists(), reason="this system has no full device")
SAYS = [["--help"], ["schema"], ["check", str(OUTLINE)], ["replay", str(OUTLINE), "{script}", "--json"]]


@pytest.mark.slow
@needs_full
@pytest.mark.parametrize("arguments", SAYS, ids=lambda arguments: arguments[0])
def test_a_full_disk_behind_the_output_is_called_full(arguments: list[str], tmp_path: Path) -> None:
    (tmp_path / "script").write_text(SCRIPT)
    with Path("/dev/full").open("wb") as full:
        done = piped(filled(arguments, OUTLINE, tmp_path), full.fileno())
    assert done.returncode == 2
    assert done.stderr == (
        "The output could not be written (the disk is full). Make room on it, then try again.\n"
    )


@pytest.mark.slow
@pytest.mark.skipif(os.name != "posix", reason="pipes of POSIX")
@pytest.mark.parametrize("arguments", SAYS, ids=lambda arguments: arguments[0])
def test_a_reader_that_went_away_is_no_fault(arguments: list[str], tmp_path: Path) -> None:
    (tmp_path / "script").write_text(SCRIPT)
    reading, writing = os.pipe()
    os.close(reading)
    done = piped(filled(arguments, OUTLINE, tmp_path), writing)
    os.close(writing)
    assert (done.returncode, done.stderr) == (0, "")


@pytest.mark.slow
@needs_full
def test_complaints_that_can_not_be_written_leave_the_exit_code(tmp_path: Path) -> None:
    with Path("/dev/full").open("wb") as full:
        command = [sys.executable, "-m", "pacer", "replay", str(tmp_path / "none"), str(tmp_path / "none")]
        assert subprocess.run(command, stderr=full, check=False).returncode == 1
