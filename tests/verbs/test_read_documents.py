"""The verb read takes documents, too, and says which part of one it read."""

import json
import os
import sys
import threading
from pathlib import Path

import pytest

from pacer.__main__ import main
from tests.inputs.attached import _pdf
from tests.plan.taken.file_factories import docx, old_office, paragraph, word_table
from tests.verbs.verb_factories import needs_qt


def read(path, capsys):
    assert main(["read", str(path), "--json"]) == 0
    said = capsys.readouterr()
    return [(phase["title"], phase["budget_s"]) for phase in json.loads(said.out)["phases"]], said.err


def test_a_documents_list_and_table_are_read_as_typed_lines_are(tmp_path, capsys):
    table = word_table([["Phase", "Minutes"], ["Model", "7"], ["Share", "3"]])
    (tmp_path / "a.docx").write_bytes(docx(paragraph("Warm-up 5 min", number=1) + table))
    assert read(tmp_path / "a.docx", capsys)[0] == [("Warm-up", 300), ("Model", 420), ("Share", 180)]


def test_of_several_days_the_first_is_read_and_the_others_are_named(tmp_path, capsys):
    page = "BEGIN:VCALENDAR\n"
    for day in ("01", "02"):
        page += (
            f"BEGIN:VEVENT\nDTSTART:202612{day}T090000\nDTEND:202612{day}T091000\nSUMMARY:Model\nEND:VEVENT\n"
        )
    (tmp_path / "a.ics").write_text(page + "END:VCALENDAR\n")
    phases, said = read(tmp_path / "a.ics", capsys)
    assert phases == [("Model", 600)]
    assert said.startswith("Read: 2026-12-01. Not read: 2026-12-02.")


@pytest.mark.parametrize(
    ("name", "data"),
    [
        ("a.docx", old_office("EncryptedPackage")),
        ("a.docx", b"PK"),
        ("a.png", b"\x89PNG\r\n\x1a\n"),
        ("a.csv", b""),
    ],
    ids=["locked", "broken", "picture", "empty"],
)
def test_what_can_t_be_read_is_told_in_one_plain_sentence(name, data, tmp_path, capsys):
    (tmp_path / name).write_bytes(data)
    assert main(["read", str(tmp_path / name), "--json"]) == 1
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith(str(tmp_path / name))
    assert said.err.count("\n") == 1


@needs_qt
def test_a_pdfs_text_is_read_and_one_of_pictures_says_so(tmp_path, capsys):
    text = b"BT /F1 12 Tf 20 60 Td (Warm-up 5 min) Tj 0 -20 Td (Model 7 min) Tj ET"
    whole = _pdf(text).replace(
        b"/Contents 4 0 R",
        b"/Resources<</Font<</F1<</Type/Font/Subtype/Type1/BaseFont/Helvetica>>>>>>/Contents 4 0 R",
    )
    (tmp_path / "a.pdf").write_bytes(whole)
    assert read(tmp_path / "a.pdf", capsys)[0] == [("Warm-up", 300), ("Model", 420)]
    (tmp_path / "b.pdf").write_bytes(_pdf(b"0 0 50 50 re f"))
    assert main(["read", str(tmp_path / "b.pdf")]) == 1
    assert "pictures of text" in capsys.readouterr().err


@pytest.mark.skipif(not Path("/dev/fd").is_dir(), reason="the shell hands over pipes under these names")
def test_a_document_comes_through_a_pipe(capsys):
    out, into = os.pipe()
    writer = threading.Thread(target=os.write, args=(into, docx(paragraph("Warm-up 5 min"))))
    writer.start()
    writer.join()
    os.close(into)
    try:
        assert read(f"/dev/fd/{out}", capsys)[0] == [("Warm-up", 300)]
    finally:
        os.close(out)


def test_without_any_input_it_says_so(monkeypatch, capsys):
    monkeypatch.setattr(sys, "stdin", None)
    assert main(["read", "-"]) == 1
    assert capsys.readouterr().err == "-: There is no input. Hand a text over, or name a file.\n"
