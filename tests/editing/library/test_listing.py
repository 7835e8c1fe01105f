"""What the library holds: the parts with their rows, and whether they are still as they were read."""

from datetime import date

import pytest

from pacer.editing.library.listing import Listing

TODAY = date(2026, 3, 9)
TEXT = 'format = 1\ntitle = "{}"\n[[phase]]\ntitle = "Go"\nbudget = "3"\n'


@pytest.fixture
def own(tmp_path):
    folder = tmp_path / "outlines"
    folder.mkdir()
    for title in ("Halves", "Thirds"):
        (folder / f"{title.lower()}.toml").write_text(TEXT.format(title))
    return folder


@pytest.fixture
def listing(own):
    made = Listing(own, lambda _path: None, lambda: {"halves": date(2026, 3, 6)})
    made.read()
    return made


def test_each_part_says_how_many_it_holds_and_where_a_file_lies(listing, own):
    counts = listing.counts
    assert (counts["own"], counts["away"]) == (2, 0)
    assert counts["templates"] > 0
    assert listing.place_of(own / "thirds.toml") == "own"
    assert listing.place_of(own / "fifths.toml") is None


def test_a_row_says_when_it_was_taught_and_whether_another_program_changed_it(listing, own):
    (own / "thirds.toml").write_text(TEXT.format("Thirds of a strip"))
    assert listing.is_old
    listing.read()
    assert not listing.is_old
    rows = {row.title: row for row in listing.rows("own", TODAY)}
    assert (rows["Halves"].taught, rows["Halves"].is_changed) == (date(2026, 3, 6), False)
    assert (rows["Thirds of a strip"].taught, rows["Thirds of a strip"].is_changed) == (None, True)
