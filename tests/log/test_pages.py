"""Rows out of single pages: every row that SQLite has, and no end of work for a file made to cost some."""

import sqlite3
from pathlib import Path

import pytest

from pacer.log.pages import FilePages
from tests.work import lines_run


def stored(path: Path) -> list[tuple]:
    """All rows found, each page read as it says to be."""
    with FilePages(path) as pages:
        return [row.values for ways in pages.pages() for row in ways[0]]


@pytest.mark.parametrize("size", [512, 1024, 4096, 65_536])
def test_every_row_is_found_at_any_page_size_long_ones_too(tmp_path, size):
    path = tmp_path / "any.sqlite3"
    made = sqlite3.connect(path)
    made.execute(f"PRAGMA page_size = {size}")
    made.execute("CREATE TABLE together (a INTEGER, b TEXT, PRIMARY KEY (a)) WITHOUT ROWID")
    made.execute("CREATE TABLE apart (a, b)")
    values = [0, 1, -1, 127, -128, 2**15, -(2**23), 2**31, 2**47, -(2**63), 2**63 - 1]
    long = [(value, f"½ {'x' * (37 * place**3)}") for place, value in enumerate(values)]
    other = [(1.5, None), (b"\x00\xff", ""), (7, "t" * 100_000)]
    made.executemany("INSERT INTO together VALUES (?, ?)", long)
    made.executemany("INSERT INTO apart VALUES (?, ?)", other)
    made.commit()
    made.close()
    found = stored(path)
    for row in (*long, *other):
        assert found.count(row) == 1


def test_pages_that_hold_only_what_was_deleted_are_left_out(tmp_path):
    path = tmp_path / "any.sqlite3"
    made = sqlite3.connect(path)
    made.execute("PRAGMA secure_delete = OFF")
    made.execute("CREATE TABLE apart (a, b)")
    made.executemany("INSERT INTO apart VALUES (?, ?)", [(n, "secret " * 60) for n in range(200)])
    made.commit()
    made.execute("DELETE FROM apart WHERE a >= 3")
    made.commit()
    made.close()
    assert b"secret" in path.read_bytes()[4096 * 6 :]
    assert [row[0] for row in stored(path) if row[1:2] == ("secret " * 60,)] == [0, 1, 2]


@pytest.mark.slow
def test_a_long_row_that_is_named_a_thousand_times_costs_no_more_than_the_file_is_long(tmp_path):
    path = tmp_path / "any.sqlite3"
    made = sqlite3.connect(path)
    made.execute("CREATE TABLE apart (a)")
    made.execute("INSERT INTO apart VALUES (?)", ("x" * 3_000_000,))
    made.commit()
    made.close()
    content = bytearray(path.read_bytes())
    leaf = next(at for at in range(4096, len(content), 4096) if content[at] == 0x0D)
    pointer = content[leaf + 8 : leaf + 10]
    content[leaf + 3 : leaf + 5] = (1000).to_bytes(2, "big")
    content[leaf + 8 : leaf + 2008] = pointer * 1000
    path.write_bytes(content)
    assert 1 <= sum(len(row[0]) > 1000 for row in stored(path) if isinstance(row[0], str)) < 20


def read_full_of(path, filler) -> None:
    """Read the ways of one large page that says it is full of cells."""
    path.write_bytes((b"\x0d\0\0\xff\xff\0\0\0" + filler * 65_536)[:65_536])
    with FilePages(path, 65_536) as pages:
        for ways in pages.pages():
            for way in ways:
                list(way)


@pytest.mark.parametrize(
    "filler",
    [b"\x28\x30", b"\x81\x01\x82\x02\x83\x03\x84", b"\x09\x05" + b"\x01" * 30, bytes(range(1, 251))],
)
def test_pages_full_of_cells_that_are_none_cost_a_few_steps_a_byte(tmp_path, filler):
    lines_run(lambda: read_full_of(tmp_path / "any.sqlite3", filler), 15 * 65_536)


@pytest.mark.parametrize("filler", [b"{0}", b"\x40\x40"])
def test_pages_that_name_the_same_few_cells_over_and_over_cost_nothing_for_each_time(tmp_path, filler):
    """Found by the campaign: 260 KB of the same few signs took two seconds."""
    lines_run(lambda: read_full_of(tmp_path / "any.sqlite3", filler), 5000)


@pytest.mark.parametrize("content", [b"", b"x", b"\0" * 5000, b"\xff" * 9999, bytes(range(256)) * 64])
def test_what_is_no_database_has_no_rows_and_no_error(tmp_path, content):
    path = tmp_path / "any"
    path.write_bytes(content)
    assert len(stored(path)) < 50
