"""The comparison of two folders of pictures sees what changed, and nothing where nothing did."""

import pytest

pytest.importorskip("PySide6.QtGui", exc_type=ImportError)
from PySide6.QtGui import QColor, QImage

from tests.pictures.compare import compared, main


def draw(folder, name, width=31, height=20, spot=None):
    folder.mkdir(exist_ok=True)
    image = QImage(width, height, QImage.Format.Format_RGB32)
    image.fill(QColor(250, 248, 240))
    if spot is not None:
        image.setPixelColor(30, 19, spot)
    assert image.save(str(folder / name))


@pytest.fixture
def folders(tmp_path):
    for name in ("before", "after"):
        draw(tmp_path / name, "wall.png")
        draw(tmp_path / name, "desk.png")
    return tmp_path / "before", tmp_path / "after"


def said(folders):
    return main([str(folder) for folder in folders])


def test_the_same_pictures_do_not_differ(folders, capsys):
    assert said(folders) == 0
    assert "0 of 2 differ" in capsys.readouterr().out


def test_one_changed_pixel_is_seen_with_how_far_it_is_off(folders, capsys):
    draw(folders[1], "wall.png", spot=QColor(250, 241, 241))
    desk, wall = compared(*folders)
    assert (desk.pixels, desk.largest) == (0, 0)
    assert (wall.size, wall.pixels, wall.largest) == ("31x20", 1, 7)
    assert said(folders) == 1
    assert "1 of 2 differ" in capsys.readouterr().out


@pytest.mark.parametrize("place", [0, 1])
def test_a_picture_that_one_folder_lacks_is_a_difference(folders, place, capsys):
    (folders[place] / "desk.png").unlink()
    assert said(folders) == 1
    assert f"not in {folders[place]}" in capsys.readouterr().out


def test_pictures_of_different_sizes_differ(folders, capsys):
    draw(folders[1], "wall.png", width=20, height=31)
    assert said(folders) == 1
    assert "31x20, then 20x31" in capsys.readouterr().out


def test_a_folder_without_pictures_proves_nothing(folders, tmp_path):
    assert said((folders[0], tmp_path)) == 2


def test_a_file_that_is_no_picture_is_told(folders, capsys):
    (folders[1] / "wall.png").write_text("not a picture")
    assert said(folders) == 2
    assert "is no picture" in capsys.readouterr().err
