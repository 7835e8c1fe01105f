"""The sheet of the page Split is kept, and another window's is never written over."""

import errno

import pytest

from pacer.qt.kit.style import wear
from pacer.qt.split.keeper import SplitKeeper
from pacer.run.clock import ManualClock
from pacer.settings import whole_file
from pacer.settings.split_store import KeptSplit, load_split, save_split
from tests.qt.window_factories import take_apart

CLOCK = ManualClock(1_773_046_800_123)


def test_a_sheet_that_another_window_wrote_meanwhile_is_put_beside_and_that_is_said(tmp_path, dressed):
    path = tmp_path / "split.json"
    save_split(path, KeptSplit(text="Fold a strip 5"))
    keeper = SplitKeeper(path, CLOCK)
    wear(keeper.page)
    save_split(path, KeptSplit(text="Theirs 5"))
    keeper.page.show_text("Mine 5", 1500, 780, 3, ())
    keeper.keep()
    (aside,) = tmp_path.glob("split-other-*.json")
    assert load_split(aside, CLOCK).text == "Theirs 5"
    assert load_split(path, CLOCK).text == "Mine 5"
    assert aside.name in keeper.page.notice.text()
    keeper.keep()
    assert len(list(tmp_path.iterdir())) == 2, "what was written here is no other window's"
    take_apart(keeper.page, None, keeper)


def test_a_sheet_that_another_window_writes_right_after_this_one_is_put_beside_too(
    tmp_path, dressed, monkeypatch
):
    path = tmp_path / "split.json"
    keeper = SplitKeeper(path, CLOCK)
    wear(keeper.page)

    def keep(_folder):
        monkeypatch.undo()
        save_split(path, KeptSplit(text="Theirs 5"))

    monkeypatch.setattr(whole_file, "keep_names", keep)  # comes between the new name and the look at it
    keeper.page.show_text("Mine 5", 1500, 780, 3, ())
    keeper.keep()
    keeper.keep()
    (aside,) = tmp_path.glob("split-other-*.json")
    assert load_split(aside, CLOCK).text == "Theirs 5"
    assert load_split(path, CLOCK).text == "Mine 5"
    take_apart(keeper.page, None, keeper)


def test_a_sheet_that_another_window_writes_at_the_last_moment_is_put_beside_too(
    tmp_path, dressed, monkeypatch
):
    path = tmp_path / "split.json"
    save_split(path, KeptSplit(text="Fold a strip 5"))
    keeper = SplitKeeper(path, CLOCK)
    wear(keeper.page)
    synced = whole_file.os.fsync

    def sync(file):
        monkeypatch.undo()
        save_split(path, KeptSplit(text="Theirs 5"))
        synced(file)

    monkeypatch.setattr(whole_file.os, "fsync", sync)  # comes between the look and the new name
    keeper.page.show_text("Mine 5", 1500, 780, 3, ())
    keeper.keep()
    (aside,) = tmp_path.glob("split-other-*.json")
    assert load_split(aside, CLOCK).text == "Theirs 5"
    assert load_split(path, CLOCK).text == "Mine 5"
    take_apart(keeper.page, None, keeper)


def test_two_windows_used_in_turns_go_on_with_each_others_sheet_and_pile_up_no_files(tmp_path, dressed):
    path = tmp_path / "split.json"
    keepers = [SplitKeeper(path, CLOCK) for _window in range(2)]
    for keeper in keepers:
        wear(keeper.page)
    for turn in range(4):
        page = keepers[turn % 2].page
        page.show()
        page.text.appendPlainText(f"Part {turn} 5")
        keepers[turn % 2].keep()
        page.hide()
    assert [file.name for file in tmp_path.iterdir()] == ["split.json"]
    assert load_split(path, CLOCK).text.split("\n")[-4:] == [f"Part {turn} 5" for turn in range(4)]
    for keeper in keepers:
        take_apart(keeper.page, None, keeper)


def test_what_could_not_be_kept_is_never_replaced_by_another_window_s_and_is_tried_again_at_the_end(
    tmp_path, dressed, monkeypatch
):
    path = tmp_path / "split.json"
    save_split(path, KeptSplit(text="Fold a strip 5"))
    keeper = SplitKeeper(path, CLOCK)
    wear(keeper.page)
    keeper.page.show()
    keeper.page.text.appendPlainText("Typed 5")
    with monkeypatch.context() as full:
        full.setattr(whole_file.os, "fsync", no_room)
        keeper.keep()
    assert keeper.page.notice.text()
    keeper.page.hide()
    save_split(path, KeptSplit(text="Theirs 5"))
    keeper.page.show()
    assert keeper.page.text.toPlainText() == "Fold a strip 5\nTyped 5"
    keeper.shut()
    assert load_split(path, CLOCK).text == "Fold a strip 5\nTyped 5"
    (aside,) = tmp_path.glob("split-other-*.json")
    assert load_split(aside, CLOCK).text == "Theirs 5"
    take_apart(keeper.page, None, keeper)


@pytest.mark.parametrize("data", [b"", b'{"text": "Fold', b"{}"])
def test_a_file_that_was_damaged_or_emptied_meanwhile_takes_nothing_off_the_page(tmp_path, dressed, data):
    path = tmp_path / "split.json"
    save_split(path, KeptSplit(text="Fold a strip 5"))
    keeper = SplitKeeper(path, CLOCK)
    wear(keeper.page)
    path.write_bytes(data)
    keeper.page.show()
    assert keeper.page.text.toPlainText() == "Fold a strip 5"
    keeper.page.text.appendPlainText("Typed 5")
    keeper.shut()
    assert load_split(path, CLOCK).text == "Fold a strip 5\nTyped 5"
    take_apart(keeper.page, None, keeper)


def no_room(_file) -> None:
    raise OSError(errno.ENOSPC, "No space left on device")
