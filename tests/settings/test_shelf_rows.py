"""Rows of the list: what they say without the whole outline, and all of it when it is chosen."""

from pathlib import Path

import pytest

from pacer.paths import template_folder
from pacer.plan.file import reader
from pacer.settings import outline_shelf, shelf_rows
from pacer.settings.outline_shelf import heading_of, shelf

OWN = 'format = 1\ntitle = "Thirds"\n[[phase]]\ntitle = "Go"\nbudget = "3"\n'


@pytest.fixture
def own(tmp_path) -> Path:
    folder = tmp_path / "outlines"
    folder.mkdir()
    return folder


def test_every_row_says_and_holds_what_the_whole_shelf_has(own):
    (own / "thirds.toml").write_text(OWN)
    (own / "empty.toml").write_text("")
    rows, entries = shelf_rows.shelf_rows(own), shelf(own)
    assert [row.path for row in rows] == [entry.path for entry in entries]
    assert [row.is_template for row in rows] == [entry.is_template for entry in entries]
    assert [row.heading for row in rows] == [heading_of(entry) for entry in entries]
    assert [row.entry for row in rows] == entries


def test_no_template_is_read_whole_before_it_is_chosen(own, monkeypatch):
    read = []
    outline_shelf._template.cache_clear()
    monkeypatch.setattr(
        outline_shelf, "read_outline", lambda path: read.append(path) or reader.read_outline(path)
    )
    rows = shelf_rows.shelf_rows(own)
    assert read == []
    assert len(rows) == len(list(template_folder().glob("*.toml")))
    assert rows[0].entry.outline is not None
    assert rows[0].entry is rows[0].entry
    assert read == [rows[0].path]


@pytest.mark.parametrize(
    "text",
    [
        OWN,  # neither subject nor block before the first list
        OWN.replace("[[phase]]", 'subject = "mathematics"\n[block]\nminutes = "60"\n[[phase]]'),
        "title = ",
        "",
    ],
    ids=["short", "minutes as text", "broken", "empty"],
)
def test_a_template_whose_head_does_not_say_it_is_read_whole(own, tmp_path, monkeypatch, text):
    folder = tmp_path / "templates"
    folder.mkdir()
    (folder / "one.toml").write_text(text)
    for module in (outline_shelf, shelf_rows):
        monkeypatch.setattr(module, "template_folder", lambda: folder)
    (row,) = shelf_rows.shelf_rows(own)
    (entry,) = shelf(own)
    assert (row.heading, row.entry, row.is_template) == (heading_of(entry), entry, True)
