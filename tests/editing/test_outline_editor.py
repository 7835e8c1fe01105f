"""An outline under edit without a window: undo, its file, its journal, and what stands in a save's way."""

import errno
import os
from collections.abc import Callable, Iterator
from datetime import datetime
from pathlib import Path
from queue import Queue
from threading import Event

import pytest

from pacer.editing.host import Host
from pacer.editing.outline_editor import OutlineEditor
from pacer.editing.outline_file import JOURNAL_MS, RETRY_MS, SAVE_MS
from pacer.paths import template_folder
from pacer.plan.draft.with_text import TypedDraft, typed
from pacer.plan.file.reader import read_outline
from pacer.plan.outline import Outline
from pacer.run.clock import ManualClock
from pacer.settings.draft_store import DraftStore

AT_MS = round(datetime(2026, 3, 9, 19, 2).timestamp() * 1000)
THREE = "Warm-up 2\nReview 3\nModeling 7\n"


class HandTimer:
    """A timer that the test lets run out."""

    def __init__(self, then: Callable[[], None]) -> None:
        self.then, self.waits = then, False

    def start(self) -> None:
        self.waits = True

    def stop(self) -> None:
        self.waits = False

    def run_out(self) -> None:
        assert self.waits
        self.waits = False
        self.then()


class Bench:
    """An editor over one folder; the test is its clock, its timers and its main thread."""

    def __init__(self, folder: Path, store: type[DraftStore] = DraftStore) -> None:
        self.folder, self.own = folder, folder / "outlines"
        self.clock = ManualClock(AT_MS)
        self.timers: dict[int, HandTimer] = {}
        self.wanted: Queue[Callable[[], None]] = Queue()
        self.told: list[tuple[str, str]] = []
        self.saved: list[Path] = []
        self.store = store(folder / "data", self.clock, folder / "elsewhere")
        host = Host(self.timer, self.wanted.put, lambda: None, self.tell, self.saved.append)
        self.editor = OutlineEditor(self.store, self.own, self.clock, host)

    def timer(self, ms: int, then: Callable[[], None]) -> HandTimer:
        return self.timers.setdefault(ms, HandTimer(then))

    def tell(self, words: str, which: str) -> None:
        self.told.append((words, which))

    def new(self, text: str = THREE) -> OutlineEditor:
        self.editor.new(typed(TypedDraft(), text))
        return self.editor

    def let_save(self) -> None:
        """The saving thread comes back to the main thread."""
        self.wanted.get(timeout=60)()

    def texts(self) -> dict[str, str]:
        return {path.name: path.read_text(encoding="utf-8") for path in self.own.glob("*.toml")}

    def titles(self) -> list[str]:
        return [phase.title for phase in self.editor.sheet.phases]


@pytest.fixture
def new_bench(tmp_path: Path) -> Iterator[Callable[..., Bench]]:
    made: list[Bench] = []

    def build(store: type[DraftStore] = DraftStore) -> Bench:
        made.append(Bench(tmp_path, store))
        return made[-1]

    yield build
    for bench in made:
        bench.editor.file.shut()


@pytest.fixture
def bench(new_bench) -> Bench:
    return new_bench()


# --- undo


def test_typing_that_goes_on_is_one_step_and_a_field_another(bench: Bench) -> None:
    editor = bench.new()
    for end in ("S", "So", "Song 1"):
        bench.clock.advance(300)
        editor.type(THREE + end)
    editor.set_field(editor.sheet.phases[0].key, "floor", "1")
    assert (bench.titles()[-1], editor.sheet.phases[0].floor) == ("Song", "1")
    editor.undo()
    assert (bench.titles()[-1], editor.sheet.phases[0].floor) == ("Song", "")
    editor.undo()
    assert bench.titles() == ["Warm-up", "Review", "Modeling"]
    editor.redo()
    editor.redo()
    assert (bench.titles()[-1], editor.sheet.phases[0].floor) == ("Song", "1")


def test_a_typed_line_leads_to_its_phase_and_one_behind_the_last_to_none(bench: Bench) -> None:
    editor = bench.new()
    editor.type(THREE)
    keys = [phase.key for phase in editor.sheet.phases]
    assert [editor.key_at(place) for place in (0, 2, 3, None)] == [keys[0], keys[2], None, None]


def test_undo_takes_back_one_line_of_a_lesson_that_was_typed_at_a_stretch(bench: Bench) -> None:
    editor = bench.new()
    for end in range(1, len("Song 1\nShare 2") + 1):
        bench.clock.advance(100)
        editor.type(THREE + "Song 1\nShare 2"[:end])
    editor.undo()
    assert bench.titles() == ["Warm-up", "Review", "Modeling", "Song"]
    editor.undo()
    assert editor.sheet.text == THREE


def test_the_text_follows_a_field_and_the_outline_follows_its_head(bench: Bench) -> None:
    editor = bench.new()
    editor.set_field(editor.sheet.phases[1].key, "budget", "4")
    editor.set_head("title", "Thirds")
    editor.set_head("minutes", "75")
    assert editor.sheet.text == "Warm-up 2\nReview 4\nModeling 7\n"
    assert (editor.sheet.title, editor.sheet.block.minutes) == ("Thirds", "75")
    assert [step.label for step in editor.history.past] == ["Budget", "Title", "Block"]


def test_groups_and_stations_are_lines_that_undo_takes_back(bench: Bench) -> None:
    editor = bench.new()
    for end in ("Tri", "Triangle"):
        bench.clock.advance(300)
        editor.set_head("named_groups", f"Circle | carpet\n{end}")
    editor.set_head("stations", "Our table | two words | | teacher")
    editor.set_head("order", "Triangle")
    assert editor.sheet.text == THREE
    assert [step.label for step in editor.history.past] == [
        "Groups and their places", "Stations", "First to the table",
    ]  # fmt: skip
    editor.file.flush()
    saved = read_outline(bench.own / "outline.toml")
    assert not isinstance(saved, Outline)  # it has no title yet
    assert 'name = "Triangle"' in bench.texts()["outline.toml"]
    editor.undo()
    editor.undo()
    assert (editor.sheet.stations, len(editor.sheet.named_groups)) == ((), 2)
    editor.undo()
    assert editor.sheet.named_groups == ()
    editor.redo()
    assert [group.name for group in editor.sheet.named_groups] == ["Circle", "Triangle"]


def test_a_field_of_a_phase_that_is_gone_changes_nothing(bench: Bench) -> None:
    editor = bench.new()
    editor.set_field("p99", "budget", "4")
    assert editor.history.past == ()


# --- saving


def test_a_second_after_a_change_it_is_saved_under_its_title_and_says_so(bench: Bench) -> None:
    editor = bench.new()
    editor.set_head("title", "Thirds")
    assert editor.file.state_words() == "Saving…"
    bench.timers[SAVE_MS].run_out()
    bench.let_save()
    assert bench.saved == [bench.own / "thirds.toml"]
    assert isinstance(read_outline(bench.own / "thirds.toml"), Outline)
    assert (editor.file.is_saved, editor.file.state_words()) == (True, "Saved 19:02")


def test_a_new_outline_takes_its_name_along_and_an_opened_one_keeps_it(bench: Bench) -> None:
    editor = bench.new()
    editor.file.flush()
    assert list(bench.texts()) == ["outline.toml"]
    editor.set_head("title", "Thirds")
    editor.file.flush()
    assert list(bench.texts()) == ["thirds.toml"]
    assert editor.open(bench.own / "thirds.toml") == ""
    editor.set_head("title", "Fifths")
    editor.file.flush()
    assert list(bench.texts()) == ["thirds.toml"]


def test_what_is_typed_during_a_save_is_saved_after_it(new_bench) -> None:
    let_go = Event()

    class Slow(DraftStore):
        def save(self, path: Path, text: str, stamp: str) -> object:
            assert let_go.wait(60)
            return super().save(path, text, stamp)

    bench = new_bench(Slow)
    editor = bench.new()
    bench.timers[SAVE_MS].run_out()
    editor.type(THREE + "Song 1\n")
    bench.timers[SAVE_MS].run_out()  # one save at a time: this one waits for the first
    let_go.set()
    bench.let_save()
    assert not editor.file.is_saved
    bench.timers[SAVE_MS].run_out()
    bench.let_save()
    assert editor.file.is_saved
    assert '"Song"' in bench.texts()["outline.toml"]


def test_the_result_of_a_save_that_was_waited_for_comes_once(bench: Bench) -> None:
    editor = bench.new()
    editor.file.save()
    editor.file.flush()
    bench.let_save()
    assert bench.saved == [bench.own / "outline.toml"]


def test_an_empty_outline_is_never_saved(bench: Bench) -> None:
    bench.new("")
    bench.editor.file.flush()
    assert (bench.texts(), bench.editor.file.state_words()) == ({}, "")


def test_looking_at_a_file_changes_nothing_and_a_change_leaves_the_rest_as_it_stands(bench: Bench) -> None:
    source = (template_folder() / "number-line-75.toml").read_text(encoding="utf-8")
    bench.own.mkdir()
    path = bench.own / "mine.toml"
    path.write_text(source, encoding="utf-8")
    editor = bench.editor
    assert editor.open(path) == ""
    editor.file.flush()
    assert path.read_text(encoding="utf-8") == source
    editor.set_field(editor.sheet.phases[2].key, "budget", "6")
    editor.file.flush()
    said = path.read_text(encoding="utf-8").split("\n")
    changed = [(a, b) for a, b in zip(source.split("\n"), said, strict=True) if a != b]
    assert changed == [('budget = "7"', 'budget = "6"')]


def test_looking_at_a_template_copies_nothing_and_a_change_does_and_says_so(bench: Bench) -> None:
    source = template_folder() / "number-line-75.toml"
    before = source.read_bytes()
    editor = bench.editor
    assert editor.open(source) == ""
    assert "Template" in editor.file.state_words()
    editor.file.save()
    editor.file.journal()
    editor.file.flush()
    assert bench.texts() == {}
    assert bench.store.recoverable() == []
    editor.set_field(editor.sheet.phases[0].key, "budget", "4")
    editor.file.flush()
    ((name, text),) = bench.texts().items()
    assert name == "fractions-on-a-number-line.toml"
    assert text.startswith("# An invented example")
    words, which = bench.told[-1]
    assert which == "copied"
    assert "template stays as it is" in words
    assert name in words
    assert source.read_bytes() == before
    editor.set_field(editor.sheet.phases[0].key, "budget", "5")
    editor.file.flush()
    assert list(bench.texts()) == [name]
    assert bench.told[-1] == ("", "")


def test_a_file_that_is_no_outline_is_told_and_what_was_open_stays(bench: Bench) -> None:
    bench.new()
    bad = bench.folder / "bad.toml"
    bad.write_text("format = \n", encoding="utf-8")
    assert "bad.toml can't be edited here." in bench.editor.open(bad)
    assert "bad.toml can't be edited here." in bench.editor.copy(bad)
    assert bench.titles() == ["Warm-up", "Review", "Modeling"]


def test_a_file_that_another_program_changed_is_left_and_ours_goes_on_beside_it(bench: Bench) -> None:
    editor = bench.new()
    editor.file.flush()
    theirs = bench.own / "outline.toml"
    theirs.write_text(theirs.read_text(encoding="utf-8").replace("Warm-up", "Song"), encoding="utf-8")
    editor.set_field(editor.sheet.phases[0].key, "budget", "4")
    editor.file.flush()
    assert bench.told[-1][1] == "conflict"
    assert (editor.file.theirs, editor.file.path) == (theirs, bench.own / "outline-mine.toml")
    assert '"Song"' in bench.texts()["outline.toml"]
    assert 'budget = "4"' in bench.texts()["outline-mine.toml"]
    editor.set_head("title", "Thirds")
    editor.file.flush()
    assert sorted(bench.texts()) == ["outline-mine.toml", "outline.toml"], "she was told that name"


class FullDisk(DraftStore):
    """A store on a disk that takes nothing until there is room again."""

    full = True

    def save(self, path: Path, text: str, stamp: str) -> object:
        if self.full:
            return self._failed(path, text, stamp, OSError(errno.ENOSPC, os.strerror(errno.ENOSPC)))
        return super().save(path, text, stamp)


def test_on_a_full_disk_it_says_so_and_tries_again_until_there_is_room(new_bench) -> None:
    bench = new_bench(FullDisk)
    editor = bench.new()
    bench.timers[SAVE_MS].run_out()
    bench.let_save()
    words, which = bench.told[-1]
    assert ("the disk is full" in words, which, editor.file.state_words()) == (True, "failed", "Not saved")
    bench.store.full = False
    bench.timers[RETRY_MS].run_out()
    bench.let_save()
    assert (editor.file.is_saved, bench.told[-1]) == (True, ("", ""))
    assert "Modeling" in bench.texts()["outline.toml"]


def test_an_outline_left_while_it_could_not_be_saved_waits_to_be_taken_in(new_bench) -> None:
    bench = new_bench(FullDisk)
    bench.new()
    bench.new("")
    (found,) = bench.editor.file.pending.values()
    bench.store.full = False
    assert bench.editor.recover(found) == ""
    assert bench.titles() == ["Warm-up", "Review", "Modeling"]
    bench.editor.file.flush()
    assert "Modeling" in bench.texts()["outline.toml"]


def test_after_the_end_nothing_is_saved_any_more(bench: Bench) -> None:
    editor = bench.new()
    editor.file.shut()
    assert "Modeling" in bench.texts()["outline.toml"]
    editor.type(THREE + "Song 1\n")
    bench.timers[SAVE_MS].run_out()
    assert bench.wanted.empty()


# --- what was typed and not saved


def test_a_quarter_of_a_second_after_the_first_change_it_is_in_the_recovery_file(bench: Bench) -> None:
    editor = bench.new()
    bench.timers[JOURNAL_MS].run_out()
    editor.type(THREE + "Song 1\n")
    journal = bench.timers[JOURNAL_MS]
    journal.start = lambda: pytest.fail("a change put off what waits already")  # type: ignore[method-assign]
    editor.type(THREE + "Song 12\n")
    journal.run_out()
    (found,) = bench.store.recoverable()
    assert 'budget = "12"' in found.text
    editor.file.flush()
    assert bench.store.recoverable() == []


def test_unsaved_typing_is_taken_in_as_a_step_over_what_was_saved(bench: Bench, new_bench) -> None:
    bench.new().file.flush()
    bench.editor.type(THREE.replace("3", "5"))
    bench.editor.file.journal()
    later = new_bench()
    later.editor.file.find_unsaved()
    (found,) = later.editor.file.pending.values()
    assert later.editor.recover(found) == ""
    assert later.editor.sheet.text == THREE.replace("3", "5")
    later.editor.undo()
    assert later.editor.sheet.text == THREE


def test_unsaved_typing_over_a_file_that_changed_since_overwrites_neither(bench: Bench, new_bench) -> None:
    bench.new().file.flush()
    bench.editor.type(THREE.replace("3", "5"))
    bench.editor.file.journal()
    path = bench.own / "outline.toml"
    path.write_text(path.read_text(encoding="utf-8").replace("Warm-up", "Song"), encoding="utf-8")
    later = new_bench()
    later.editor.file.find_unsaved()
    (found,) = later.editor.file.pending.values()
    assert later.editor.recover(found) == ""
    later.editor.file.flush()
    assert '"Song"' in later.texts()["outline.toml"]
    assert 'budget = "5"' in later.texts()["outline-mine.toml"]


def test_typing_over_unsaved_typing_makes_an_earlier_version_of_it(bench: Bench, new_bench) -> None:
    bench.new().file.flush()
    path = bench.own / "outline.toml"
    bench.editor.type(THREE.replace("3", "5"))
    bench.editor.file.journal()
    later = new_bench()
    later.editor.file.find_unsaved()
    assert later.editor.open(path) == ""
    later.editor.type(THREE.replace("2", "4"))
    later.editor.file.flush()
    kept = [later.store.version_text(version).text for version in later.store.versions(path)]
    assert any('budget = "5"' in text for text in kept)
    assert later.editor.file.pending == {}


def test_an_earlier_version_is_brought_back_as_a_step(bench: Bench) -> None:
    editor = bench.new()
    editor.file.flush()
    bench.clock.advance(60_000)
    editor.type("Warm-up 2\n")
    editor.file.flush()
    assert editor.file.path is not None
    (version,) = bench.store.versions(editor.file.path)
    assert editor.bring_back(version) == ""
    assert bench.titles() == ["Warm-up", "Review", "Modeling"]
    editor.undo()
    assert bench.titles() == ["Warm-up"]
