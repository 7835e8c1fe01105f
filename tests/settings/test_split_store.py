"""The split sheet is kept whole or not at all."""

from pathlib import Path

import pytest

from pacer.run.clock import ManualClock
from pacer.settings.split_store import KeptSplit, SplitError, load_split, save_split

CLOCK = ManualClock(1_773_046_800_123)  # 9:00 in UTC on 9 March 2026
SHEET = KeptSplit(
    text="Fold a strip 5\nName the parts 8 [everyone]", whole_group_s=1200, table_s=600, tables=4
)


def test_a_sheet_comes_back_as_it_was_kept(tmp_path: Path) -> None:
    path = tmp_path / "new" / "split.json"
    save_split(path, SHEET)
    assert load_split(path, CLOCK) == SHEET
    assert [file.name for file in path.parent.iterdir()] == ["split.json"], "no half of one is left"


@pytest.mark.parametrize("content", [b"", b"{", b'{"tables": 99}', b"\xff", b'{"text": 3}'])
def test_one_that_cannot_be_read_is_an_empty_one(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "split.json"
    assert load_split(path, CLOCK) == KeptSplit()
    path.write_bytes(content)
    assert load_split(path, CLOCK) == KeptSplit()


def test_one_that_cannot_be_written_says_why_and_what_to_do(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("in the way")
    with pytest.raises(SplitError, match=r"can't be kept in .*Make room, or copy its text elsewhere\."):
        save_split(tmp_path / "file" / "split.json", SHEET)


def test_a_text_that_could_not_be_read_again_is_told_and_the_sheet_before_stays(tmp_path: Path) -> None:
    path = tmp_path / "split.json"
    save_split(path, KeptSplit(text="Fold 5"))
    with pytest.raises(SplitError, match="its text is too long"):
        save_split(path, KeptSplit(text="é" * 120_000))
    assert load_split(path, CLOCK).text == "Fold 5"


def test_half_a_character_is_no_reason_to_lose_the_rest(tmp_path: Path) -> None:
    path = tmp_path / "split.json"
    save_split(path, KeptSplit.model_construct(text="Fold \ud83d 5"))
    assert load_split(path, CLOCK).text == "Fold ? 5"


def test_a_damaged_sheet_is_put_aside_and_not_written_over(tmp_path: Path) -> None:
    path = tmp_path / "split.json"
    path.write_bytes(b"{ half of a sheet")
    load_split(path, CLOCK)
    save_split(path, SHEET)
    assert load_split(path, CLOCK) == SHEET
    path.write_bytes(b"{ another half")  # in the same instant
    load_split(path, CLOCK)
    name = "split-unreadable-20260309T090000123000"
    assert (tmp_path / f"{name}.json").read_bytes() == b"{ half of a sheet"
    assert (tmp_path / f"{name}-2.json").read_bytes() == b"{ another half"
