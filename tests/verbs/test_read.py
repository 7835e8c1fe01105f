"""The verb read: what a text was taken for, for people and for scripts."""

import io
import json
import sys

import pytest

from pacer.__main__ import main

TEXT = "Warm-up 5\n  count by thirds\nModel 7-8 min two strips\nShare\n"


@pytest.fixture
def lesson(tmp_path):
    path = tmp_path / "lesson.txt"
    path.write_text(TEXT, encoding="utf-8")
    return path


def test_read_gives_scripts_phases_and_doubts_with_their_lines(lesson, capsys):
    assert main(["read", str(lesson), "--json"]) == 0
    said = json.loads(capsys.readouterr().out)
    assert said["phases"] == [
        {"title": "Warm-up", "budget_s": 300, "kind": "warm-up", "class_line": "",
         "notes": "count by thirds", "line": 1},
        {"title": "Model", "budget_s": 480, "kind": "modeling", "class_line": "two strips",
         "notes": "", "line": 3},
        {"title": "Share", "budget_s": None, "kind": "share", "class_line": "", "notes": "", "line": 4},
    ]  # fmt: skip
    assert [(doubt["line"], doubt["text"]) for doubt in said["doubts"]] == [
        (3, "Model 7-8 min two strips"),
        (4, "Share"),
    ]
    assert all(doubt["why"] for doubt in said["doubts"])


def test_read_shows_people_a_table_and_says_what_is_doubtful_beside_it(lesson, capsys):
    assert main(["read", str(lesson)]) == 0
    said = capsys.readouterr()
    assert [line.split()[:3] for line in said.out.splitlines()[1:]] == [
        ["1", "5:00", "Warm-up"],
        ["3", "8:00", "Model"],
        ["4", "?", "Share"],
    ]
    assert said.err.startswith("Line 3: Model 7-8 min two strips: A range")


def test_read_takes_standard_input_for_a_minus(monkeypatch, capsys):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO("Répétition 4 min".encode())))
    assert main(["read", "-", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["phases"][0]["title"] == "Répétition"


def test_read_says_that_a_text_holds_no_phases(tmp_path, capsys):
    empty = tmp_path / "empty.txt"
    empty.write_text("\n")
    assert main(["read", str(empty)]) == 0
    assert "No phases" in capsys.readouterr().out


@pytest.mark.parametrize("data", [None, b"Review \xff 3", b"Review\0", b"x" * 5_000_001])
def test_read_refuses_what_is_no_text_in_a_plain_sentence(data, tmp_path, capsys):
    path = tmp_path / "lesson.txt"
    if data is not None:
        path.write_bytes(data)
    assert main(["read", str(path), "--json"]) == 1
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith(f"{path}")
    assert said.err.count("\n") == 1


def test_read_refuses_too_much_of_standard_input(monkeypatch, capsys):
    monkeypatch.setattr(sys, "stdin", io.TextIOWrapper(io.BytesIO(b"x" * 5_000_001)))
    assert main(["read", "-"]) == 1
    assert "larger than 5 MB" in capsys.readouterr().err
