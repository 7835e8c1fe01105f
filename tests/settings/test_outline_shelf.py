"""The shelf: the teacher's outlines before the templates, the bad beside the good, and copies."""

import pytest

from pacer.paths import template_folder
from pacer.plan.file.reader import read_outline
from pacer.plan.kinds import KindChange, use_kinds
from pacer.settings.outline_shelf import copy_to_own, shelf
from pacer.settings.outline_shelf import templates as read_templates

SMALL = 'format = 1\ntitle = "{title}"\n[[phase]]\ntitle = "Go"\nbudget = "3"\n'


@pytest.fixture
def own(tmp_path):
    folder = tmp_path / "outlines"
    folder.mkdir()
    return folder


def templates() -> list[str]:
    return sorted(path.name for path in template_folder().glob("*.toml"))


def test_the_teachers_outlines_come_first_each_by_file_name(own):
    for name in ("b.toml", "a.toml"):
        (own / name).write_text(SMALL.format(title=name))
    found = shelf(own)
    assert [entry.path.name for entry in found] == ["a.toml", "b.toml", *templates()]
    assert [entry.is_template for entry in found] == [False, False, *[True] * len(templates())]
    assert all(entry.outline is not None for entry in found)


def test_a_missing_folder_leaves_the_templates(tmp_path):
    assert [entry.path.name for entry in shelf(tmp_path / "none")] == templates()


def test_a_file_in_the_folders_place_leaves_the_templates(tmp_path):
    (tmp_path / "outlines").write_text("x")
    assert [entry.path.name for entry in shelf(tmp_path / "outlines")] == templates()


def test_bad_files_stand_beside_the_good_with_their_problems(own):
    (own / "a-empty.toml").write_bytes(b"")
    (own / "b-binary.toml").write_bytes(bytes(range(256)))
    (own / "c-folder.toml").mkdir()
    (own / "d-dangling.toml").symlink_to(own / "nowhere")
    (own / "e-bom.toml").write_bytes(b"\xef\xbb\xbf" + SMALL.format(title="BOM").encode())
    (own / "f-windows.toml").write_bytes(SMALL.format(title="CRLF").replace("\n", "\r\n").encode())
    (own / "notes.txt").write_text("not an outline")
    found = [entry for entry in shelf(own) if not entry.is_template]
    assert [entry.outline is not None for entry in found] == [False, False, False, False, True, True]
    for entry in found[:4]:
        assert entry.problems
        assert entry.path.name in str(entry.problems[0])


def test_a_copy_is_the_same_to_the_byte_and_makes_the_folder(tmp_path):
    source = template_folder() / templates()[0]
    target = copy_to_own(source, tmp_path / "new" / "outlines")
    assert target == tmp_path / "new" / "outlines" / source.name
    assert target.read_bytes() == source.read_bytes()


def test_copies_never_overwrite_and_of_a_copy_the_name_does_not_grow(own):
    source = template_folder() / templates()[0]
    stem = source.stem
    first = copy_to_own(source, own)
    second = copy_to_own(first, own)
    third = copy_to_own(second, own)
    assert [path.name for path in (first, second, third)] == [
        f"{stem}.toml", f"{stem}-copy-2.toml", f"{stem}-copy-3.toml",
    ]  # fmt: skip
    assert read_outline(third) == read_outline(source)


def test_a_file_that_cannot_be_read_or_a_folder_that_cannot_be_made_raises_and_leaves_nothing(tmp_path, own):
    with pytest.raises(OSError, match="No such file"):
        copy_to_own(tmp_path / "gone.toml", own)
    assert list(own.iterdir()) == []
    (tmp_path / "file").write_text("x")
    with pytest.raises(OSError, match=r"exists|Not a directory"):
        copy_to_own(template_folder() / templates()[0], tmp_path / "file")


def test_a_copied_outline_takes_its_pictures_along_and_never_over_another_file(tmp_path):
    there, own = tmp_path / "there", tmp_path / "own"
    (there / "pages").mkdir(parents=True)
    (there / "line.png").write_bytes(b"invented picture")
    (there / "pages" / "thirds.pdf").write_bytes(b"invented pages")
    (tmp_path / "outside.png").write_bytes(b"not beside the outline")
    rows = ("line.png", "pages/thirds.pdf", "gone.png", "../outside.png")
    phases = "".join(f'[[phase]]\ntitle = "P"\nbudget = "3"\nattach = "{name}"\n' for name in rows)
    (there / "thirds.toml").write_text('format = 1\ntitle = "T"\n' + phases)
    own.mkdir()
    (own / "line.png").write_bytes(b"another lesson's")

    assert copy_to_own(there / "thirds.toml", own).name == "thirds.toml"

    found = sorted(str(path.relative_to(own)) for path in own.rglob("*") if path.is_file())
    assert found == ["line.png", "pages/thirds.pdf", "thirds.toml"]
    assert (own / "line.png").read_bytes() == b"another lesson's"
    assert (own / "pages" / "thirds.pdf").read_bytes() == b"invented pages"


def test_templates_have_the_teachers_own_kinds_from_the_moment_on_that_she_changes_them():
    before = read_templates()
    assert read_templates()[0] is before[0], "what stays the same is read once"
    try:
        use_kinds({"modeling": KindChange(floor_percent=100, cut_tier=9)}, 60)
        now = read_templates()
        assert [entry.outline for entry in now] == [read_outline(entry.path) for entry in now]
        assert now != before
    finally:
        use_kinds({})
    assert read_templates() == before
