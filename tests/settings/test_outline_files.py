"""Outline files under other names: never over another file, whole or not at all, pictures with them."""

import errno
import os

import pytest

from pacer.settings import outline_files
from pacer.settings.outline_files import (
    FileMove,
    files_of,
    free_path,
    move_all,
    move_new,
    put_away_folder,
    take_back,
    take_out,
)

HEAD = 'format = 1\ntitle = "Thirds"\n'
PHASE = '[[phase]]\ntitle = "P"\nbudget = "3"\nattach = "{name}"\n'


@pytest.fixture
def own(tmp_path):
    folder = tmp_path / "outlines"
    folder.mkdir()
    return folder


def outline(folder, name: str, *pictures: str):
    path = folder / name
    path.write_text(HEAD + "".join(PHASE.format(name=picture) for picture in pictures or ("",)))
    return path


def names_in(folder) -> list[str]:
    return sorted(path.relative_to(folder).as_posix() for path in folder.rglob("*") if path.is_file())


def test_a_file_never_takes_the_place_of_another(own):
    mine, other = own / "a.toml", own / "b.toml"
    mine.write_text("mine")
    other.write_text("other")
    assert not move_new(mine, other)
    assert (mine.read_text(), other.read_text()) == ("mine", "other")


def test_nor_of_one_that_came_between_the_look_and_the_move(own, monkeypatch):
    mine, other = own / "a.toml", own / "b.toml"
    mine.write_text("mine")
    other.write_text("other")
    monkeypatch.setattr(outline_files.os.path, "lexists", lambda _path: False)
    assert not move_new(mine, other)
    assert (mine.read_text(), other.read_text()) == ("mine", "other")


@pytest.mark.parametrize("number", [errno.EPERM, errno.EXDEV])
def test_a_drive_without_hard_links_and_another_disk_move_files_too(own, monkeypatch, number):
    def refuse(*_paths):
        raise OSError(number, os.strerror(number))

    monkeypatch.setattr(outline_files.os, "link", refuse)
    mine = own / "a.toml"
    mine.write_text("mine")
    assert move_new(mine, own / "b.toml")
    assert names_in(own) == ["b.toml"]
    assert (own / "b.toml").read_text() == "mine"


def test_a_link_goes_itself_and_leads_where_it_led(own, tmp_path):
    real = tmp_path / "real.toml"
    real.write_text("x")
    link = own / "link.toml"
    link.symlink_to("../real.toml")
    there = tmp_path / "deep" / "er"
    there.mkdir(parents=True)
    assert move_new(link, there / "link.toml")
    assert (there / "link.toml").is_symlink()
    assert (there / "link.toml").read_text() == "x"
    assert real.exists()
    assert not os.path.lexists(link)


def test_names_that_some_drive_takes_for_one_count_as_taken(own):
    (own / "Thirds.TOML").write_text("x")
    (own / "cafe\u0301.toml").write_text("x")
    assert free_path(own, "thirds").name == "thirds-2.toml"
    assert free_path(own, "caf\u00e9").name == "caf\u00e9-2.toml"
    assert free_path(own, "con").name == "con-outline.toml"
    assert free_path(own, "fourths").name == "fourths.toml"


def test_several_moves_are_all_done_or_none(own):
    (own / "a").write_text("a")
    (own / "b").write_text("b")
    (own / "taken").write_text("other")
    with pytest.raises(FileExistsError, match="taken is there already"):
        move_all([FileMove(own / "a", own / "new" / "a"), FileMove(own / "b", own / "taken")])
    assert names_in(own) == ["a", "b", "taken"]
    assert not (own / "new").exists()


def test_an_outline_takes_what_it_alone_uses_along_and_a_copy_of_what_others_use(own):
    path = outline(own, "thirds.toml", "own.png", "shared.png", "pages/two.pdf", "gone.png")
    outline(own, "other.toml", "shared.png")
    (own / "broken.toml").write_text('format = 1\n[[phase]\nattach = "pages/two.pdf"\n')
    (own / "pages").mkdir()
    for name in ("own.png", "shared.png", "pages/two.pdf"):
        (own / name).write_text(name)
    assert files_of(path) == (["own.png"], ["pages/two.pdf", "shared.png"])

    moves = take_out(path, put_away_folder(own))

    away = put_away_folder(own) / "thirds"
    assert moves[0] == (path, away / "thirds.toml")
    assert names_in(away) == ["own.png", "pages/two.pdf", "shared.png", "thirds.toml"]
    assert names_in(own) == ["broken.toml", "other.toml", "pages/two.pdf", "shared.png"]

    take_back(away / "thirds.toml", own)

    assert names_in(own) == [
        "broken.toml", "other.toml", "own.png", "pages/two.pdf", "shared.png", "thirds.toml"
    ]  # fmt: skip
    assert not away.exists()


def test_another_picture_of_the_same_name_is_never_written_over(own):
    path = outline(own, "thirds.toml", "line.png")
    (own / "line.png").write_text("this one")
    (there,) = (move.target for move in take_out(path, put_away_folder(own))[:1])
    (own / "line.png").write_text("another")
    with pytest.raises(FileExistsError, match=r"another line\.png"):
        take_back(there, own)
    assert (own / "line.png").read_text() == "another"
    assert (there.parent / "line.png").read_text() == "this one"
    assert there.exists()


def test_a_full_disk_leaves_the_outline_and_its_pictures_where_they_are(own, monkeypatch):
    path = outline(own, "thirds.toml", "own.png", "shared.png")
    outline(own, "other.toml", "shared.png")
    for name in ("own.png", "shared.png"):
        (own / name).write_text(name)
    before = names_in(own)

    def full(*_what):
        raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(outline_files, "write_new", full)
    with pytest.raises(OSError, match="No space"):
        take_out(path, put_away_folder(own))
    assert names_in(own) == before
    assert names_in(put_away_folder(own)) == []


def test_two_outlines_of_one_name_lie_apart_when_both_are_put_away(own):
    first = take_out(outline(own, "thirds.toml"), put_away_folder(own))[0].target
    second = take_out(outline(own, "thirds.toml"), put_away_folder(own))[0].target
    assert first.parent != second.parent
    assert take_back(second, own)[0].target == own / "thirds.toml"
    assert take_back(first, own)[0].target == own / "thirds-2.toml"
