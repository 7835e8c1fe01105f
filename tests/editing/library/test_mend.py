"""Broken outlines: told in plain words, mended so that nothing is lost, and unmended."""

import pytest

from pacer.editing.library.shelf import Library
from pacer.frames.words.broken import words_about
from pacer.plan.file.reader import read_outline
from pacer.run.clock import ManualClock
from pacer.settings.draft_store import DraftStore

GOOD = 'format = 1\ntitle = "Thirds"\n[[phase]]\ntitle = "Go"\nbudget = "3"\n'
CURLY = GOOD.replace('"Go"', "\u201cGo\u201d")


@pytest.fixture
def library(tmp_path):
    own = tmp_path / "outlines"
    own.mkdir()
    store = DraftStore(tmp_path, ManualClock(1_000_000_000_000), tmp_path / "elsewhere")
    return Library(own, store, lambda _path: None)


@pytest.mark.parametrize(
    ("data", "said"),
    [
        (b"", "nothing in"),
        (b"Warm-up 2\nReview 3\nModel 7\n", "plain list of lines"),
        (b"[server]\nport = 80\n", "is not an outline"),
        (bytes(range(256)), "is not an outline"),
        (CURLY.encode(), "Line 4 says: title ="),
        (GOOD.replace('"3"', '"soon"').encode(), "its Budget can't be used"),
        (GOOD.replace("budget", "budgt").encode(), "Line 5 says: budgt"),
        (GOOD.replace('budget = "3"\n', "").encode(), "has no budget."),
        (b"\xff\xfe" + GOOD.encode("utf-16-le"), "can't read"),
        (GOOD.replace("Go", "Caf\u00e9").encode("cp1252"), "can't read"),
    ],
)
def test_what_is_wrong_is_said_without_a_word_of_the_files_language(library, data, said):
    path = library.own / "old.toml"
    path.write_bytes(data)
    words = library.broken(path).words
    assert said in words
    assert "old.toml" in words
    assert words == words_about(path)
    for strange in ("TOML", "table", "key", "[[", "UTF", "format ="):
        assert strange not in words.replace("Line 5 says: budgt", "")


def test_a_file_that_can_not_be_read_at_all_says_so(library):
    for make in ("mkdir", "touch"):
        path = library.own / f"{make}.toml"
        getattr(path, make)()
    path.unlink()
    path.symlink_to(library.own / "nowhere")
    for name in ("mkdir.toml", "touch.toml"):
        found = library.broken(library.own / name)
        assert (found.damage, found.has_text, found.mend_words) == (None, False, "")
        assert f"{name} can't be opened" in found.words


def test_a_sound_outline_is_not_broken(library):
    path = library.own / "thirds.toml"
    path.write_text(GOOD)
    assert library.broken(path) is None
    assert words_about(path) == ""


@pytest.mark.parametrize(
    "data",
    [
        CURLY.encode(),
        GOOD.replace("budget", "budget ").encode("utf-16"),
        GOOD.replace("Go", "\u00e9").encode("cp1252"),
    ],
)
def test_mending_can_be_undone_to_the_byte_and_keeps_what_it_said_before(library, data):
    path = library.own / "thirds.toml"
    path.write_bytes(data)
    assert library.broken(path).mend_words
    assert library.mend(path).done
    assert read_outline(path).title == "Thirds"
    assert [version.file.read_bytes() for version in library.store.versions(path)] == [data]
    assert library.undo().done
    assert path.read_bytes() == data


def test_what_another_program_wrote_since_is_not_undone_over(library):
    path = library.own / "thirds.toml"
    path.write_text(CURLY)
    library.mend(path)
    path.write_text("another program's")
    told = library.undo()
    assert not told.done
    assert "changed since" in told.words
    assert path.read_text() == "another program's"


def test_the_last_good_version_is_offered_and_comes_back(library):
    path = library.own / "thirds.toml"
    path.write_text(GOOD)
    opened = library.store.open(path)
    library.store.save(path, "[broken", opened.stamp)
    found = library.broken(path)
    assert library.bring_version(path, found.version).done
    assert path.read_text() == GOOD
    assert library.undo().done
    assert path.read_text() == "[broken"


def test_values_are_corrected_in_outline_and_not_guessed(library):
    path = library.own / "thirds.toml"
    path.write_text(GOOD.replace('"3"', '"soon"'))
    found = library.broken(path)
    assert found.opens
    assert found.mend_words == ""


def test_what_no_one_can_mend_is_left_and_its_text_is_offered(library):
    path = library.own / "thirds.toml"
    path.write_text('title = """' + "[[" * 60_000)
    found = library.broken(path)
    assert (found.mend_words, found.has_text) == ("", True)
    told = library.mend(path)
    assert not told.done
    assert "open its text" in told.words


def test_a_full_disk_leaves_the_broken_file_as_it_is(library, monkeypatch):
    path = library.own / "thirds.toml"
    path.write_text(CURLY)

    def full(*_what, **_more):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("pacer.settings.draft_store.write_whole", full)
    told = library.mend(path)
    assert not told.done
    assert "the disk is full" in told.words
    assert path.read_text() == CURLY
