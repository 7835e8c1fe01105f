"""What is wrong with an outline's attachments, told from outside, and where the problem stands."""

import os
from pathlib import Path

import pytest

from pacer.plan.bounded_file import UnreadableFileError
from pacer.plan.file.attachments import ENDINGS, MOST_BYTES, attached_file, attachment_problems, inside_words
from pacer.plan.file.reader import read_outline
from pacer.plan.outline import Outline


def outline_with(folder: Path, *attached: str, head: str = "") -> Path:
    """An invented outline with a phase for each attachment; the attach key is the phase's fourth line."""
    path = folder / "thirds.toml"
    rows = [*head.splitlines(), "format = 1", 'title = "Thirds"']
    for name in attached:
        rows += ["[[phase]]", 'title = "Part"', 'budget = "3"', f"attach = '{name}'"]
    path.write_text("\n".join(rows) + "\n", encoding="utf-8")
    return path


def problems_of(path: Path, look_into=None):
    outline = read_outline(path)
    assert isinstance(outline, Outline), outline
    return attachment_problems(path, outline, look_into)


def said(folder: Path, attach: str) -> tuple[str, str]:
    """What is wrong with one attachment, and what to do; fails where nothing is."""
    with pytest.raises(UnreadableFileError) as found:
        attached_file(str(folder), attach)
    return found.value.what, found.value.fix


@pytest.mark.parametrize("ending", [*ENDINGS, ".PNG", ".Pdf"])
def test_an_ordinary_file_of_a_known_kind_beside_the_outline_or_below_is_fine(ending, tmp_path):
    (tmp_path / "week 1").mkdir()
    for name in (f"line{ending}", f"week 1/½ line{ending}"):
        (tmp_path / name).write_bytes(b"x")
        assert attached_file(str(tmp_path), name) == tmp_path / name
    assert problems_of(outline_with(tmp_path, f"line{ending}", f"week 1/½ line{ending}")) == []


def test_each_problem_names_the_line_of_its_attach_key_and_the_file_as_it_is_written(tmp_path):
    (tmp_path / "fine.png").write_bytes(b"x")
    path = outline_with(tmp_path, "fine.png", "gone.png", "", "clip.svg", head="# invented\n")
    assert [(problem.file, problem.line) for problem in problems_of(path)] == [
        (str(path), 11),
        (str(path), 19),
    ]
    assert str(problems_of(path)[0]) == (
        f'{path}:11: attach = "gone.png": There is no such file. '
        "It is looked for from the outline's folder on."
    )


def test_lines_are_right_with_a_byte_order_mark_and_the_line_ends_of_windows(tmp_path):
    path = outline_with(tmp_path, "a.png", "b.png")
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes().replace(b"\n", b"\r\n"))
    assert [problem.line for problem in problems_of(path)] == [6, 10]


def test_an_outline_without_attachments_has_no_problems_and_nothing_is_looked_into(tmp_path):
    def fail(path, page):
        raise AssertionError("looked into a file")

    assert problems_of(outline_with(tmp_path, "", ""), fail) == []


@pytest.mark.parametrize(
    "attach",
    [
        "/etc/line.png",
        "C:/line.png",
        "c:line.png",
        "../line.png",
        "week/../../line.png",
        "week/../line.png",
        "..",
    ],
)
def test_a_name_that_leads_out_of_the_folder_is_refused_whether_or_not_a_file_is_there(attach, tmp_path):
    (tmp_path / "line.png").write_bytes(b"x")
    (tmp_path / "week").mkdir()
    assert said(tmp_path / "week", attach)[0] == "This leads out of the outline's folder."


def test_a_backslash_is_refused_as_it_works_on_some_computers_only(tmp_path):
    assert said(tmp_path, "week\\line.png") == (
        "A \\ works on some computers only.",
        "Write / between folders.",
    )


def test_a_link_that_stays_inside_is_fine_and_one_that_leads_out_is_not(tmp_path):
    inside = tmp_path / "inside"
    inside.mkdir()
    (tmp_path / "out.png").write_bytes(b"x")
    (inside / "line.png").write_bytes(b"x")
    try:
        (inside / "stays.png").symlink_to(inside / "line.png")
    except OSError:
        pytest.skip("no links can be made here")
    (inside / "leads.png").symlink_to(tmp_path / "out.png")
    (inside / "folder").symlink_to(tmp_path, target_is_directory=True)
    (inside / "loop.png").symlink_to(inside / "loop.png")
    (tmp_path / "linked").symlink_to(inside, target_is_directory=True)
    assert attached_file(str(inside), "stays.png")
    assert attached_file(str(tmp_path / "linked"), "line.png")
    assert said(inside, "leads.png")[0] == "A link leads out of the outline's folder."
    assert said(inside, "folder/out.png")[0] == "A link leads out of the outline's folder."
    assert said(inside, "loop.png")[0].startswith("The file can't be read: ")


@pytest.mark.parametrize("attach", ["line.svg", "line.heic", "line", "line.png.exe", ".png"])
def test_a_kind_that_cannot_be_shown_is_refused_by_its_ending(attach, tmp_path):
    (tmp_path / attach).write_bytes(b"x")
    assert said(tmp_path, attach) == (
        "Files that end like this can't be shown.",
        "Save it as PNG, JPG or PDF.",
    )


def test_a_missing_file_with_a_name_near_it_asks_for_that_one(tmp_path):
    (tmp_path / "number-line.png").write_bytes(b"x")
    (tmp_path / "number-lime.txt").write_bytes(b"x")
    assert said(tmp_path, "numberline.png")[1] == 'Did you mean "number-line.png"?'
    assert said(tmp_path, "none/numberline.png")[1] == "It is looked for from the outline's folder on."


def test_a_folder_an_empty_file_and_a_huge_one_are_refused(tmp_path):
    (tmp_path / "folder.png").mkdir()
    (tmp_path / "empty.png").touch()
    for name, size in (("most.pdf", MOST_BYTES), ("huge.pdf", MOST_BYTES + 1)):
        with (tmp_path / name).open("wb") as file:
            file.truncate(size)
    assert said(tmp_path, "folder.png")[0] == "This is a folder."
    assert said(tmp_path, "empty.png")[0] == "The file is empty."
    assert said(tmp_path, "huge.pdf")[0] == "The file is larger than 50 MB."
    assert attached_file(str(tmp_path), "most.pdf")


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_a_pipe_is_refused_without_being_opened(tmp_path):
    os.mkfifo(tmp_path / "pipe.png")
    assert said(tmp_path, "pipe.png")[0] == "This is not an ordinary file."


@pytest.mark.parametrize("attach", ["x" * 296 + ".png", "x/" * 140 + "x.png", "a\0b.png", "\udcff.png"])
def test_no_name_whatever_it_holds_raises_anything_else(attach, tmp_path):
    assert all(said(tmp_path, attach))


def test_what_is_found_inside_a_file_is_told_once_a_file_and_page_and_at_every_line(tmp_path):
    (tmp_path / "line.png").write_bytes(b"x")
    seen = []

    def look_into(path, page):
        seen.append((path, page))
        return inside_words("broken-picture")

    found = problems_of(outline_with(tmp_path, "line.png", "line.png", "gone.png"), look_into)
    assert [problem.line for problem in found] == [6, 10, 14]
    assert [problem.what for problem in found[:2]] == [
        'attach = "line.png": The picture is broken or cut short.'
    ] * 2
    assert seen == [(tmp_path / "line.png", 1)]


def test_a_file_is_looked_into_only_once_nothing_is_wrong_from_outside(tmp_path):
    def fail(path, page):
        raise AssertionError(f"looked into {path}")

    (tmp_path / "line.svg").write_bytes(b"x")
    assert len(problems_of(outline_with(tmp_path, "../line.png", "gone.png", "line.svg"), fail)) == 3


@pytest.mark.parametrize(
    "code", ["not-a-picture", "not-a-pdf", "broken-picture", "broken-pdf", "locked-pdf", "slow", "too-much",
             "unreadable", "too-many-pixels", "too-many-pages", "no-such-page"],
)  # fmt: skip
def test_every_fault_has_words_of_its_own_and_a_next_step(code):
    what, fix = inside_words(code, 400)
    assert what.endswith(".")
    assert fix.endswith(".")
    assert (what == "The picture is broken or cut short.") == (code == "broken-picture")


def test_numbers_stand_in_the_words():
    assert (
        inside_words("too-many-pixels", 64_000_001)[0] == "The picture has 65 million pixels, more than 30."
    )
    assert inside_words("no-such-page", 1)[0] == "The PDF has 1 page, so there is none of that number."


@pytest.mark.parametrize("attach", ["line.pdf/", "line.pdf/.", "line.png//"])
def test_a_name_that_does_not_end_like_a_file_is_refused(attach, tmp_path):
    """It would be opened all the same, but taken for a picture without pages in the lesson."""
    (tmp_path / "line.pdf").write_bytes(b"x")
    (tmp_path / "line.png").write_bytes(b"x")
    with pytest.raises(UnreadableFileError) as refused:
        attached_file(str(tmp_path), attach)
    assert refused.value.what == "Files that end like this can't be shown."
