"""The one door to the terminal: no text of others can steer it, and JSON stays JSON."""

import ast
import io
import json
import sys
from pathlib import Path

import pytest

import pacer
from pacer.__main__ import main
from pacer.verbs.console import complain, say, say_json, shown
from tests.verbs.verb_factories import OUTLINE

STEERING = [
    *range(0x20), *range(0x7F, 0xA0), 0x61C, 0x200E, 0x200F, 0x2028, 0x2029, *range(0x202A, 0x202F),
    *range(0x2066, 0x206A), 0xD800, 0xDCFF, 0xFFF9, 0xE0001, 0xE0041,
]  # fmt: skip
HOSTILE = "a\x1b]0;stolen\x07\x9b31m\u202e\r\nb\x7f"


def is_calm(text: str) -> bool:
    return not any(ord(char) in STEERING for char in text.replace("\n", ""))


def test_every_sign_that_steers_a_terminal_is_written_out_and_all_others_stay() -> None:
    assert all(shown(f"a{chr(code)}b").isprintable() for code in STEERING)
    assert shown("a\x1b[31m\u202e\n\t\x9b") == "a\\x1b[31m\\u202e\\n\\t\\x9b"
    for plain in ("Thirds · 2:30 – ½", "क्षेत्र", "👩\u200d🏫", "عربي", "e\u0301", "\\x1b"):
        assert shown(plain) == plain


def test_a_line_stays_one_line_on_either_stream(capsys) -> None:
    say("one", HOSTILE)
    complain(HOSTILE)
    out, err = capsys.readouterr()
    assert (len(out.splitlines()), len(err.splitlines())) == (2, 1)
    assert is_calm(out)
    assert is_calm(err)


@pytest.mark.parametrize("encoding", ["utf-8", "ascii", "latin-1"])
def test_json_escapes_what_would_steer_and_reads_back_the_same(encoding: str, monkeypatch) -> None:
    raw = io.BytesIO()
    monkeypatch.setattr(sys, "stdout", io.TextIOWrapper(raw, encoding=encoding, errors="backslashreplace"))
    value = {"title": " ".join(map(chr, STEERING)) + "é½👩"}
    say_json(value)
    sys.stdout.flush()
    line = raw.getvalue().decode(encoding)
    assert is_calm(line)
    assert json.loads(line) == value


def test_where_nothing_can_be_said_a_verb_goes_on(monkeypatch) -> None:
    class Full(io.StringIO):
        def write(self, _text: str) -> int:
            raise OSError(28, "No space left on device")

    for stream in (Full(), None):
        monkeypatch.setattr(sys, "stderr", stream)
        complain("lost")


def test_file_names_and_arguments_are_written_out(tmp_path: Path, capsys) -> None:
    file = tmp_path / HOSTILE.replace("/", "")
    assert main(["check", str(file)]) == 1
    file.write_bytes(OUTLINE.read_bytes())
    assert main(["check", str(file)]) == 0
    assert main(["replay", str(file), str(tmp_path / "\x1b[2Jscript")]) == 1
    for wrong in (
        ["log", HOSTILE, "--data-dir", str(tmp_path)],
        ["report", "--from", HOSTILE],
        ["card", str(file), "--start", HOSTILE, "--pdf", "x"],
        ["picture", str(file), "--at", HOSTILE],
        ["picture", str(file), "--at", "1", "--size", HOSTILE],
    ):
        assert main(wrong) == 1
    for usage in (
        ["check"],
        [HOSTILE],
        ["check", str(file), HOSTILE, f"--{HOSTILE}"],
        ["card", "--paper", HOSTILE],
    ):
        with pytest.raises(SystemExit):
            main([*usage, "--nothing"])
    out, err = capsys.readouterr()
    assert "\\x1b" in out
    assert "\\x1b" in err
    assert is_calm(out + err)


@pytest.mark.slow
def test_nothing_else_in_the_program_prints() -> None:
    root = Path(pacer.__file__).parent
    prints = [
        f"{path.relative_to(root)}:{node.lineno}"
        for path in root.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "print"
    ]
    assert {place.partition(":")[0] for place in prints} == {"verbs/console.py"}
