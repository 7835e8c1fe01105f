"""A file is attached by its name beside the outline; one from elsewhere is copied, and never over another."""

import os
from pathlib import Path

import pytest

from pacer.editing.attach_file import NotCopiedError, copy_beside, name_beside
from pacer.plan.file.attachments import MOST_BYTES


@pytest.fixture
def outlines(tmp_path: Path) -> Path:
    (tmp_path / "outlines" / "pictures").mkdir(parents=True)
    return tmp_path / "outlines"


@pytest.fixture
def picture(tmp_path: Path) -> Path:
    """One that lies in another folder."""
    path = tmp_path / "strip.png"
    path.write_bytes(b"picture")
    return path


def test_a_file_beside_the_outline_goes_by_its_way_from_there(outlines: Path, picture: Path) -> None:
    assert name_beside(outlines / "pictures" / "line.png", outlines) == "pictures/line.png"
    assert name_beside(picture, outlines) == ""


@pytest.mark.skipif(not hasattr(os, "symlink"), reason="there are no links here")
def test_a_link_beside_the_outline_to_a_file_elsewhere_lies_elsewhere(outlines: Path, picture: Path) -> None:
    (outlines / "link.png").symlink_to(picture)
    assert name_beside(outlines / "link.png", outlines) == ""


def test_a_copy_takes_a_free_name_also_in_a_new_folder(tmp_path: Path, picture: Path) -> None:
    folder = tmp_path / "new" / "outlines"
    assert [copy_beside(picture, folder) for _time in range(3)] == ["strip.png", "strip-2.png", "strip-3.png"]
    assert (folder / "strip-3.png").read_bytes() == b"picture"


def test_a_file_too_large_to_be_shown_is_not_copied(outlines: Path, picture: Path) -> None:
    os.truncate(picture, MOST_BYTES + 1)
    with pytest.raises(NotCopiedError, match=r"strip\.png is larger than \d+ MB: save a smaller copy first"):
        copy_beside(picture, outlines)
    assert not (outlines / "strip.png").exists()


def test_why_a_file_cannot_be_copied_is_told(outlines: Path, picture: Path) -> None:
    picture.unlink()
    with pytest.raises(NotCopiedError, match=r"strip\.png can't be copied: .+\. .+"):
        copy_beside(picture, outlines)
