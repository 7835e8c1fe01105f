"""Outlines as files: renamed with all that is theirs, copied, put away, deleted, and each taken back."""

import errno
import os

import pytest

from pacer.editing.library.shelf import Library
from pacer.plan.file.reader import read_outline
from pacer.run.clock import ManualClock
from pacer.settings.draft_store import DraftStore
from pacer.settings.outline_files import deleted_folder, put_away_folder

TEXT = '# mine\nformat = 1\ntitle = "{title}"\n[[phase]]\ntitle = "Go"\nbudget = "3"\n'
OTHER = TEXT.format(title="New")
PICTURE = 'attach = "{name}"\n'


class Days:
    """Stands in for the days that outlines are planned for."""

    def __init__(self) -> None:
        self.planned = ["thirds.toml"]

    def retitling(self, name: str, title: str, *, is_only: bool) -> None:
        """Planned days go by the file."""

    def renamed(self, old: str, new: str) -> None:
        self.planned = [new if name == old else name for name in self.planned]

    def removed(self, name: str):
        before = list(self.planned)
        self.planned = [each for each in before if each != name]

        def restore(back: str) -> None:
            self.planned = [back if each == name else each for each in before]

        return restore


class Shelf:
    """A teacher's folder, a trash, and the library over both."""

    def __init__(self, folder) -> None:
        self.own = folder / "outlines"
        self.own.mkdir()
        self.trash = folder / "Trash" / "files"
        self.trash.mkdir(parents=True)
        self.has_trash = True
        self.days = Days()
        self.store = DraftStore(folder, ManualClock(1_000_000_000_000), folder / "elsewhere")
        self.library = Library(self.own, self.store, self.to_trash, [self.days])

    def to_trash(self, path):
        if not self.has_trash:
            raise OSError(errno.ENOSYS, "there is no trash")
        place = self.trash / path.name
        path.rename(place)
        return place

    def add(self, name: str = "thirds.toml", title: str = "Thirds", more: str = ""):
        path = self.own / name
        path.write_text(TEXT.format(title=title) + more)
        return path

    @property
    def names(self) -> list[str]:
        return sorted(path.name for path in self.own.iterdir())

    def title(self, name: str) -> str:
        return read_outline(self.own / name).title


@pytest.fixture
def shelf(tmp_path):
    return Shelf(tmp_path)


def test_a_rename_is_of_title_and_file_and_all_that_belongs_to_it_follows(shelf):
    path = shelf.add()
    opened = shelf.store.open(path)
    shelf.store.save(path, opened.text.replace("Go", "Model"), opened.stamp)
    typed = shelf.store.open(path)
    shelf.store.journal(path, typed.text.replace("Model", "Model more"), typed.stamp)

    told = shelf.library.rename(path, "Fourths on a line")

    assert told.path == shelf.own / "fourths-on-a-line.toml"
    assert "Fourths on a line" in told.words
    assert shelf.names == ["fourths-on-a-line.toml"]
    assert shelf.title("fourths-on-a-line.toml") == "Fourths on a line"
    assert told.path.read_text().startswith("# mine\n")
    assert shelf.days.planned == ["fourths-on-a-line.toml"]
    assert len(shelf.store.versions(told.path)) == 2
    assert shelf.store.versions(path) == []
    (unsaved,) = shelf.store.recoverable()
    assert unsaved.path == told.path
    assert "Model more" in unsaved.text
    assert 'title = "Fourths on a line"' in unsaved.text
    assert unsaved.stamp == shelf.store.open(told.path).stamp, "what was typed still fits the file"

    assert shelf.library.undo().path == path
    assert shelf.names == ["thirds.toml"]
    assert shelf.title("thirds.toml") == "Thirds"
    assert shelf.days.planned == ["thirds.toml"]


@pytest.mark.parametrize(
    ("title", "name"),
    [
        ("../../etc/passwd", "etc-passwd.toml"),
        ("a/b\\c: d?*", "a-b-c-d.toml"),
        ("日本", "outline.toml"),
        ("Con", "con-outline.toml"),
        ("x" * 120, "x" * 60 + ".toml"),
        ("THIRDS", "thirds.toml"),
    ],
)
def test_odd_signs_make_a_plain_file_name_and_the_title_keeps_them(shelf, title, name):
    told = shelf.library.rename(shelf.add(), title)
    assert (told.done, told.path) == (True, shelf.own / name)
    assert shelf.title(name) == title


@pytest.mark.parametrize("title", ["", "   ", "y" * 121, "a\x00b", "\u200b", "\u2060\u00ad \u3164"])
def test_a_title_that_will_not_do_changes_nothing_and_says_why(shelf, title):
    path = shelf.add()
    before = path.read_bytes()
    told = shelf.library.rename(path, title)
    assert not told.done
    assert told.words
    assert path.read_bytes() == before
    assert shelf.library.undo_words == ""


def test_a_name_that_is_taken_in_letters_of_another_size_gets_a_number(shelf):
    shelf.add("Halves.toml", "Halves")
    told = shelf.library.rename(shelf.add(), "Halves")
    assert told.path.name == "halves-2.toml"
    assert shelf.title("Halves.toml") == "Halves"


def test_a_folder_that_can_not_be_written_leaves_all_as_it_was(shelf, monkeypatch):
    path = shelf.add()
    before = path.read_bytes()

    def refuse(*_what, **_more):
        raise PermissionError(errno.EACCES, os.strerror(errno.EACCES))

    monkeypatch.setattr("pacer.settings.draft_store.write_whole", refuse)
    monkeypatch.setattr("pacer.settings.outline_files.move_new", refuse)
    monkeypatch.setattr("pacer.editing.library.names.write_new", refuse)
    shelf.has_trash = False
    library = shelf.library
    for told in (
        library.rename(path, "Fourths"), library.duplicate(path), library.put_away(path),
        library.delete(path), library.set_head(path, "unit", "Fractions"),
    ):  # fmt: skip
        assert not told.done
        assert "may not write" in told.words
    assert shelf.names == ["thirds.toml"]
    assert path.read_bytes() == before
    assert shelf.days.planned == ["thirds.toml"]


def test_where_only_the_file_can_not_be_renamed_the_title_is_and_that_is_said(shelf, monkeypatch):
    path = shelf.add()

    def refuse(*_what):
        raise OSError(errno.EIO, os.strerror(errno.EIO))

    monkeypatch.setattr("pacer.editing.library.names.move_all", refuse)
    told = shelf.library.rename(path, "Fourths")
    assert (told.done, told.path) == (True, path)
    assert "keeps its name, thirds.toml" in told.words
    assert shelf.title("thirds.toml") == "Fourths"
    assert shelf.days.planned == ["thirds.toml"]


def test_a_file_that_vanished_meanwhile_is_said_to_be_gone(shelf):
    path = shelf.add()
    path.unlink()
    library = shelf.library
    acts = library.duplicate, library.put_away, library.delete, library.bring_back
    for told in (library.rename(path, "X"), *(act(path) for act in acts)):
        assert not told.done
        assert "thirds.toml" in told.words
    assert shelf.names == []


def test_subject_and_unit_are_written_into_the_file_and_taken_back(shelf):
    path = shelf.add()
    assert shelf.library.set_head(path, "subject", " Mathematics ").done
    assert shelf.library.set_head(path, "unit", "Fractions").done
    outline = read_outline(path)
    assert (outline.subject, outline.unit) == ("Mathematics", "Fractions")
    shelf.library.undo()
    shelf.library.undo()
    assert path.read_text() == TEXT.format(title="Thirds")


def test_a_copy_has_a_title_of_its_own_and_is_taken_back_only_while_unchanged(shelf):
    path = shelf.add()
    first, second = shelf.library.duplicate(path), shelf.library.duplicate(path)
    assert (first.path.name, second.path.name) == ("thirds-copy.toml", "thirds-copy-2.toml")
    assert shelf.title(second.path.name) == "Thirds (copy 2)"
    assert shelf.library.undo().done
    first.path.write_text(TEXT.format(title="Worked on"))
    told = shelf.library.undo()
    assert not told.done
    assert "was changed since" in told.words
    assert shelf.names == ["thirds-copy.toml", "thirds.toml"]


def test_a_broken_file_is_duplicated_to_the_byte_and_renamed_by_its_file(shelf):
    path = shelf.own / "odd.toml"
    path.write_bytes(b"\xff\xfe not an outline")
    assert shelf.library.duplicate(path).path.read_bytes() == path.read_bytes()
    told = shelf.library.rename(path, "Old list")
    assert told.path == shelf.own / "old-list.toml"
    assert told.path.read_bytes() == b"\xff\xfe not an outline"


def test_put_away_and_back_with_its_picture_its_versions_and_its_days(shelf):
    path = shelf.add(more=PICTURE.format(name="line.png"))
    (shelf.own / "line.png").write_text("picture")
    opened = shelf.store.open(path)
    shelf.store.save(path, opened.text + "# more\n", opened.stamp)

    away = shelf.library.put_away(path).path

    assert away == put_away_folder(shelf.own) / "thirds" / "thirds.toml"
    assert shelf.names == []
    assert shelf.days.planned == []
    assert len(shelf.store.versions(away)) == 1

    assert shelf.library.undo().path == path
    assert shelf.names == ["line.png", "thirds.toml"]
    assert shelf.days.planned == ["thirds.toml"]
    assert len(shelf.store.versions(path)) == 1


def test_brought_back_can_be_put_away_again(shelf):
    away = shelf.library.put_away(shelf.add()).path
    assert shelf.library.bring_back(away).path == shelf.own / "thirds.toml"
    assert shelf.library.undo().path == away
    assert shelf.names == []


def test_deleted_goes_to_the_trash_with_what_is_its_own_and_comes_back_whole(shelf):
    path = shelf.add(more=PICTURE.format(name="line.png"))
    (shelf.own / "line.png").write_text("picture")
    before = path.read_bytes()
    opened = shelf.store.open(path)
    shelf.store.journal(path, opened.text + "# typed\n", opened.stamp)

    told = shelf.library.delete(path)

    assert "in the trash" in told.words
    assert "1 picture" in told.words
    assert shelf.names == []
    assert shelf.days.planned == []
    assert shelf.store.recoverable() == []
    assert shelf.store.versions(path) == [], "deleted is deleted: no text stays behind"

    assert shelf.library.undo().done
    assert path.read_bytes() == before
    assert (shelf.own / "line.png").read_text() == "picture"
    assert shelf.days.planned == ["thirds.toml"]
    (typed,) = shelf.store.versions(path)
    assert "# typed" in shelf.store.version_text(typed).text


def test_what_comes_back_never_takes_the_place_of_what_is_there_now(shelf):
    shelf.library.delete(shelf.add())
    shelf.add(title="Another")
    told = shelf.library.undo()
    assert not told.done
    assert "another thirds.toml" in told.words
    assert shelf.title("thirds.toml") == "Another"
    assert shelf.library.undo_words, "it can be undone once the other is out of the way"


def test_an_emptied_trash_is_said(shelf):
    shelf.library.delete(shelf.add())
    (shelf.trash / "thirds.toml").unlink()
    assert "not in the trash any more" in shelf.library.undo().words


def test_without_a_trash_it_lies_in_a_folder_of_pacers_and_that_is_said(shelf):
    shelf.has_trash = False
    told = shelf.library.delete(shelf.add())
    kept = deleted_folder(shelf.own) / "thirds" / "thirds.toml"
    assert kept.exists()
    assert str(kept.parent) in told.words
    assert shelf.names == []
    assert shelf.library.undo().path == shelf.own / "thirds.toml"


def test_a_link_is_deleted_and_not_what_it_leads_to(shelf, tmp_path):
    real = tmp_path / "elsewhere.toml"
    real.write_text(TEXT.format(title="Elsewhere"))
    link = shelf.own / "link.toml"
    link.symlink_to(real)
    assert shelf.library.delete(link).done
    assert real.exists()
    assert shelf.library.undo().done
    assert link.is_symlink()
    away = shelf.library.put_away(link).path
    assert away.is_symlink()
    assert read_outline(away).title == "Elsewhere"


def test_with_nothing_to_take_back_that_is_said(shelf):
    assert not shelf.library.undo().done


def test_what_comes_back_under_another_name_is_planned_under_that_name(shelf):
    """Its old name is another outline's by now, which was planned for no day."""
    shelf.library.put_away(shelf.add())
    shelf.add(title="Another one")
    told = shelf.library.undo()
    assert told.path == shelf.own / "thirds-2.toml"
    assert shelf.days.planned == ["thirds-2.toml"]


def test_a_rename_whose_old_name_is_taken_by_now_changes_nothing_when_it_is_undone(shelf):
    path = shelf.library.rename(shelf.add(), "Fourths").path
    shelf.add(title="Another one")
    before = path.read_text()
    told = shelf.library.undo()
    assert not told.done
    assert "There is another thirds.toml now" in told.words
    assert path.read_text() == before


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes with names are POSIX")
def test_a_pipe_is_no_outline_and_hangs_nothing(shelf):
    os.mkfifo(shelf.own / "pipe.toml")
    told = shelf.library.take_template(shelf.own / "pipe.toml")
    assert not told.done
    assert "This is not an ordinary file" in told.words


def test_an_undo_that_can_not_succeed_any_more_says_why_and_steps_aside(shelf):
    path = shelf.library.rename(shelf.add(), "Fourths").path
    copy = shelf.library.duplicate(path).path
    shelf.library.delete(copy)
    (shelf.trash / copy.name).unlink()
    told = shelf.library.undo()
    assert not told.done
    assert "not in the trash any more" in told.words
    assert "before" in told.words, "it says what the next undo takes back"
    shelf.library.undo()  # the copy itself is gone as well
    assert shelf.library.undo().path == shelf.own / "thirds.toml"
    assert shelf.library.undo_words == ""


def test_the_undo_of_a_copy_that_was_worked_on_steps_aside_and_the_copy_stays(shelf):
    copy = shelf.library.duplicate(shelf.add()).path
    copy.write_text(TEXT.format(title="Worked on"))
    assert "was changed since" in shelf.library.undo().words
    assert shelf.library.undo_words == ""
    assert copy.exists()


def test_the_undo_of_an_outline_that_was_moved_by_hand_steps_aside(shelf):
    path = shelf.library.set_head(shelf.add(), "unit", "Number lines").path
    shelf.library.rename(path, "Fourths").path.rename(shelf.own.parent / "elsewhere.toml")
    assert "moved or deleted meanwhile" in shelf.library.undo().words
    assert "moved or deleted meanwhile" in shelf.library.undo().words
    assert shelf.library.undo_words == ""


def test_an_undo_waits_for_a_drive_that_is_away(shelf):
    path = shelf.library.rename(shelf.add(), "Fourths").path
    shelf.own.rename(shelf.own.with_name("unplugged"))
    assert not shelf.library.undo().done
    shelf.own.with_name("unplugged").rename(shelf.own)
    assert shelf.library.undo().path == shelf.own / "thirds.toml"
    assert not path.exists()


def test_an_undo_of_a_deletion_waits_for_room_on_the_disk(shelf, monkeypatch):
    path = shelf.add()
    shelf.library.delete(path)

    def full(_moves):
        raise OSError(errno.ENOSPC, "No space left on device")

    with monkeypatch.context() as patch:
        patch.setattr("pacer.editing.library.away.move_all", full)
        told = shelf.library.undo()
    assert (told.done, told.is_over) == (False, False)
    assert "the disk is full" in told.words
    assert "thirds.toml can't be brought back" in told.words
    assert shelf.library.undo().path == path


@pytest.mark.parametrize(
    ("act", "names"),
    [
        (lambda library, path: library.rename(path, "Fourths"), ["fourths.toml"]),
        (lambda library, path: library.duplicate(path), ["thirds-copy.toml", "thirds.toml"]),
        (lambda library, path: library.put_away(path), []),
        (lambda library, path: library.delete(path), []),
        (lambda library, path: library.write_text(path, OTHER, path.read_bytes()), ["thirds.toml"]),
        (lambda library, path: library.set_head(path, "unit", "Lines"), ["thirds.toml"]),
        (lambda library, path: library.bring_back(library.put_away(path).path), ["thirds.toml"]),
    ],
)  # fmt: skip
def test_what_was_taken_back_can_be_done_again_and_taken_back_again(shelf, act, names):
    path = shelf.add()
    act(shelf.library, path)
    done = {name: (shelf.own / name).read_bytes() for name in shelf.names}
    for _again in range(2):
        words = shelf.library.undo_words
        assert shelf.library.undo().done
        assert shelf.library.redo_words == words
        told = shelf.library.redo()
        assert told.done, told.words
        assert shelf.names == names
        assert {name: (shelf.own / name).read_bytes() for name in shelf.names} == done
        assert shelf.library.redo_words == ""


def test_several_are_done_again_in_the_order_in_which_they_were_done(shelf):
    path = shelf.library.rename(shelf.add(), "Fourths").path
    shelf.library.set_head(path, "unit", "Lines")
    shelf.library.delete(path)
    for _step in range(3):
        assert shelf.library.undo().done
    assert [shelf.library.redo().done for _step in range(3)] == [True] * 3
    assert shelf.names == []
    assert not shelf.library.redo().done


def test_something_new_ends_what_could_be_done_again(shelf):
    path = shelf.add()
    shelf.library.rename(path, "Fourths")
    shelf.library.undo()
    shelf.library.set_head(path, "unit", "Lines")
    assert shelf.library.redo_words == ""
    assert "nothing to do again" in shelf.library.redo().words


def test_a_rename_says_beforehand_whether_another_outline_bears_the_title(shelf):
    asked = []
    shelf.days.retitling = lambda name, title, is_only: asked.append((name, title, is_only))
    path = shelf.library.rename(shelf.add(), "Fourths").path
    shelf.add("twin.toml", "Fourths")
    shelf.library.rename(path, "Fifths")
    assert asked == [("thirds.toml", "Thirds", True), ("fourths.toml", "Fourths", False)]
