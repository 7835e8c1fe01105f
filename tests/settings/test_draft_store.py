"""What a teacher types is never lost: by a crash, a full disk, another program, or a folder that vanished."""

import errno
import json
import os
import random
import subprocess
import sys
import threading
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pacer.plan.draft.draft import Draft
from pacer.plan.draft.write_toml import draft_of
from pacer.run.clock import ManualClock
from pacer.settings import whole_file
from pacer.settings.draft_store import NEW, Conflict, DraftStore, Failed, OpenedDraft, Saved
from pacer.settings.recovery import Recovery
from pacer.settings.versions import Versions, bounded, thinned

AN_EVENING_MS = round(datetime(2026, 3, 9, 20, 0, tzinfo=UTC).timestamp() * 1000)
OLD, MINE, THEIRS = 'title = "Old"\n', 'title = "Mine"\n', 'title = "Theirs"\n'


@pytest.fixture
def clock():
    return ManualClock(AN_EVENING_MS)


@pytest.fixture
def data(tmp_path):
    return tmp_path / "data"


@pytest.fixture
def store(tmp_path, data, clock):
    return DraftStore(data, clock, tmp_path / "elsewhere")


@pytest.fixture
def path(tmp_path):
    path = tmp_path / "outlines" / "thirds.toml"
    path.parent.mkdir()
    path.write_text(OLD)
    return path


def opened(store: DraftStore, path: Path) -> OpenedDraft:
    found = store.open(path)
    assert isinstance(found, OpenedDraft), found
    return found


def names(folder: Path) -> list[str]:
    return sorted(file.name for file in folder.iterdir())


@pytest.fixture
def failing(monkeypatch):
    """Make one call fail with an error number for files under a folder, as a full or guarded disk does."""

    def fail(call: str, number: int, under: Path | None) -> None:
        def is_meant(name: object) -> bool:
            return under is None or str(name).startswith(str(under))

        def error() -> OSError:
            return OSError(number, os.strerror(number))

        if call == "open":
            real_open = whole_file.open_new

            def open_new(path):
                if is_meant(path):
                    raise error()
                return real_open(path)

            monkeypatch.setattr(whole_file, "open_new", open_new)
        elif call == "replace":
            real_replace = os.replace

            def replace(source, target):
                if is_meant(target):
                    raise error()
                real_replace(source, target)

            monkeypatch.setattr(os, "replace", replace)
        else:

            def fsync(_number) -> None:
                raise error()

            monkeypatch.setattr(os, "fsync", fsync)

    return fail


def test_what_is_saved_is_in_the_file_and_the_earlier_text_is_kept(store, path):
    text, stamp = opened(store, path)
    assert text == OLD
    saved = store.save(path, MINE, stamp)
    assert isinstance(saved, Saved)
    assert (path.read_text(), saved.notice, names(path.parent)) == (MINE, "", ["thirds.toml"])
    assert opened(store, path).stamp == saved.stamp
    (version,) = store.versions(path)
    assert store.version_text(version) == OpenedDraft(OLD, stamp)
    assert version.at == datetime(2026, 3, 9, 20, 0, tzinfo=UTC)


def test_a_new_file_gets_its_folder(store, tmp_path):
    path = tmp_path / "not" / "yet" / "new.toml"
    assert isinstance(store.save(path, MINE, NEW), Saved)
    assert path.read_text() == MINE
    assert store.versions(path) == []


def test_marks_line_ends_and_foreign_signs_come_back_to_the_byte(store, path):
    data = '\ufefftitle = "Brüche ⅓"\r\n'.encode()
    path.write_bytes(data)
    text, stamp = opened(store, path)
    assert isinstance(store.save(path, text + "#\r\n", stamp), Saved)
    assert path.read_bytes() == data + b"#\r\n"


def test_saving_the_same_text_changes_nothing(store, path):
    before = path.stat().st_mtime_ns
    assert isinstance(store.save(path, OLD, opened(store, path).stamp), Saved)
    assert path.stat().st_mtime_ns == before
    assert store.versions(path) == []


def test_a_file_that_another_program_changed_is_left_alone_and_both_are_kept(store, path):
    stamp = opened(store, path).stamp
    path.write_text(THEIRS)
    result = store.save(path, MINE, stamp)
    assert isinstance(result, Conflict)
    assert (path.read_text(), result.theirs, result.path.name) == (THEIRS, path, "thirds-mine.toml")
    assert result.path.read_text() == MINE
    assert "thirds.toml was changed by another program" in result.words
    assert "thirds-mine.toml" in result.words
    again = store.save(path, MINE + "#", stamp)
    assert isinstance(again, Conflict)
    assert (again.path.name, result.path.read_text()) == ("thirds-mine-2.toml", MINE)
    assert isinstance(store.save(result.path, MINE + "##", result.stamp), Saved)
    assert names(path.parent) == ["thirds-mine-2.toml", "thirds-mine.toml", "thirds.toml"]


def test_a_change_in_the_last_moment_is_noticed(store, path, monkeypatch):
    """Another program saves after ours was written and before the name is changed."""
    stamp, real_fsync = opened(store, path).stamp, os.fsync

    def slow_fsync(number: int) -> None:
        real_fsync(number)
        path.write_text(THEIRS)

    monkeypatch.setattr(os, "fsync", slow_fsync)
    result = store.save(path, MINE, stamp)
    assert isinstance(result, Conflict)
    assert (path.read_text(), result.path.read_text()) == (THEIRS, MINE)


def test_the_same_change_by_another_program_is_no_conflict(store, path):
    stamp = opened(store, path).stamp
    path.write_text(MINE)
    assert isinstance(store.save(path, MINE, stamp), Saved)


def test_a_new_outline_never_takes_the_name_of_another(store, path):
    result = store.save(path, MINE, NEW)
    assert isinstance(result, Conflict)
    assert "another outline named thirds.toml already" in result.words
    assert (path.read_text(), result.path.read_text()) == (OLD, MINE)


def test_a_file_that_was_deleted_meanwhile_is_written_again_and_told(store, path):
    stamp = opened(store, path).stamp
    path.unlink()
    saved = store.save(path, MINE, stamp)
    assert isinstance(saved, Saved)
    assert "moved or deleted meanwhile" in saved.notice
    assert path.read_text() == MINE


@pytest.mark.skipif(sys.platform == "win32", reason="links and permissions as on Unix")
def test_a_link_stays_a_link_and_permissions_stay(store, path, tmp_path):
    path.chmod(0o640)
    link = tmp_path / "link.toml"
    link.symlink_to(path)
    assert isinstance(store.save(link, MINE, opened(store, link).stamp), Saved)
    assert link.is_symlink()
    assert path.read_text() == MINE
    assert path.stat().st_mode & 0o777 == 0o640
    assert len(store.versions(path)) == 1


def test_what_is_typed_is_recoverable_until_it_is_saved(tmp_path, data, clock, store, path):
    stamp = opened(store, path).stamp
    assert store.journal(path, "half", stamp) == ""
    clock.advance(50)
    assert store.journal(path, MINE, stamp) == ""
    other = DraftStore(data, clock, tmp_path / "elsewhere")
    (found,) = other.recoverable()
    assert (found.path, found.text, found.stamp, found.utc_ms) == (path, MINE, stamp, AN_EVENING_MS + 50)
    assert isinstance(other.save(found.path, found.text, found.stamp), Saved)
    assert other.recoverable() == []
    assert names(data / "drafts") == []


def test_what_is_typed_while_a_save_runs_stays_recoverable(store, path):
    stamp = opened(store, path).stamp
    store.journal(path, MINE + "more", stamp)
    assert isinstance(store.save(path, MINE, stamp), Saved)
    assert [draft.text for draft in store.recoverable()] == [MINE + "more"]


def test_unsaved_texts_come_newest_first_and_what_is_in_its_file_is_none(store, path, clock, tmp_path):
    for name in ("a.toml", "b.toml"):
        store.journal(tmp_path / name, name, NEW)
        clock.advance(1000)
    store.journal(path, OLD, "x")
    assert [draft.text for draft in store.recoverable()] == ["b.toml", "a.toml"]


def test_unsaved_text_that_is_not_wanted_becomes_an_earlier_version(store, path):
    store.journal(path, MINE, "x")
    assert store.forget(path) == ""
    assert store.recoverable() == []
    (version,) = store.versions(path)
    assert version.file.read_text() == MINE
    assert store.forget(path) == ""


def test_a_damaged_recovery_file_hides_no_other_and_is_left_where_it_is(store, data, path):
    store.journal(path, MINE, "x")
    damaged = [b"", b"{", b"[]", b'{"path": 1}', b"\xff", b'{"path":"p","text":1,"stamp":"","utc_ms":1}']
    damaged.append(
        b'{"path":"\\ud80a.t","text":"","stamp":"","utc_ms":1}'
    )  # half a character: no file has it
    for n, content in enumerate(damaged):
        (data / "drafts" / f"bad{n}.json").write_bytes(content)
    assert [draft.text for draft in store.recoverable()] == [MINE]
    assert len(names(data / "drafts")) == 1 + len(damaged)


def test_half_a_character_is_no_reason_to_lose_the_rest(store, path):
    stamp = opened(store, path).stamp
    assert store.journal(path, "a\ud83db", stamp) == ""
    assert store.recoverable()[0].text == "a\ud83db"
    assert isinstance(store.save(path, "a\ud83db", stamp), Saved)
    assert path.read_text() == "a?b"


@pytest.mark.parametrize("call", ["open", "replace"])
@pytest.mark.parametrize(
    ("number", "said", "next_step"),
    [
        (errno.ENOSPC, "the disk is full", "Make room"),
        (errno.EACCES, "you may not write there", "another folder"),
        (errno.EROFS, "the disk is read-only", "another folder"),
        (errno.EIO, "does not answer properly", "Check the drive"),
        (errno.ETIMEDOUT, "does not answer", "Check the network"),
        (errno.ENOENT, "its folder is gone", "Plug the drive in again"),
        (errno.EBUSY, "busy", "another folder"),
    ],
)
def test_a_save_that_fails_says_what_where_and_what_next_and_loses_nothing(
    store, path, failing, call, number, said, next_step
):
    stamp = opened(store, path).stamp
    failing(call, number, path.parent)
    result = store.save(path, MINE, stamp)
    assert isinstance(result, Failed)
    assert str(path) in result.words
    assert said in result.words
    assert next_step in result.words
    assert result.kept is not None
    assert str(result.kept) in result.words
    assert (path.read_text(), names(path.parent)) == (OLD, ["thirds.toml"])
    assert [draft.text for draft in store.recoverable()] == [MINE]


def test_when_the_disk_of_the_program_is_full_too_typing_is_kept_elsewhere(
    store, path, data, failing, tmp_path
):
    stamp = opened(store, path).stamp
    failing("open", errno.ENOSPC, data)
    notice = store.journal(path, MINE, stamp)
    assert "the disk is full" in notice
    assert str(tmp_path / "elsewhere") in notice
    assert [draft.text for draft in store.recoverable()] == [MINE]
    saved = store.save(path, MINE, stamp)
    assert isinstance(saved, Saved)
    assert "earlier version couldn't be kept" in saved.notice
    assert store.recoverable() == []


def test_when_nothing_can_be_written_anywhere_the_teacher_is_told_to_keep_the_window(store, path, failing):
    stamp = opened(store, path).stamp
    failing("fsync", errno.ENOSPC, None)
    assert "Save soon" in store.journal(path, MINE, stamp)
    result = store.save(path, MINE, stamp)
    assert isinstance(result, Failed)
    assert result.kept is None
    assert "only in this window" in result.words
    assert path.read_text() == OLD


def test_recovery_goes_back_to_its_own_folder_when_that_works_again(tmp_path, path):
    (tmp_path / "blocked").write_text("a file where the folder should be")
    recovery = Recovery(tmp_path / "blocked", tmp_path / "elsewhere")
    assert "instead" in recovery.keep(path, "one", NEW, 1).notice
    (tmp_path / "blocked").unlink()
    assert recovery.keep(path, "two", NEW, 2).notice == ""
    assert names(tmp_path / "elsewhere") == []
    assert [draft.text for draft in recovery.all()] == ["two"]


def test_a_folder_that_vanished_is_told_and_not_made_again(store, path):
    stamp = opened(store, path).stamp
    path.unlink()
    path.parent.rmdir()
    result = store.save(path, MINE, stamp)
    assert isinstance(result, Failed)
    assert "its folder is gone" in result.words
    assert not path.parent.exists()
    assert [draft.text for draft in store.recoverable()] == [MINE]


def test_a_file_marked_as_read_only_is_left_alone(store, path):
    stamp = opened(store, path).stamp
    path.chmod(0o444)
    result = store.save(path, MINE, stamp)
    assert isinstance(result, Failed)
    assert "marked as read-only" in result.words
    assert path.read_text() == OLD


@pytest.mark.parametrize("name", ["x" * 300 + ".toml", "nul\0.toml"])
def test_a_name_that_cannot_be_is_told_and_the_text_is_kept(store, path, name):
    result = store.save(path.with_name(name), MINE, NEW)
    assert isinstance(result, Failed)
    assert "null" in result.words or "the name is too long" in result.words
    assert result.kept is not None
    assert MINE.strip() in result.kept.read_text().replace('\\"', '"')


def test_an_outline_too_large_to_be_read_again_is_not_saved(store, path):
    result = store.save(path, "#" * 1_000_001, opened(store, path).stamp)
    assert isinstance(result, Failed)
    assert "larger than 1 MB" in result.words
    assert path.read_text() == OLD


def test_a_slow_drive_is_told_and_typing_goes_on_meanwhile(store, path, clock, monkeypatch):
    stamp, real_replace, typed = opened(store, path).stamp, os.replace, []

    def slow(source, target) -> None:
        if Path(target) == path:
            clock.advance(4000)
            typed.append(store.journal(path, MINE + "more", stamp))
        real_replace(source, target)

    monkeypatch.setattr(os, "replace", slow)
    saved = []
    thread = threading.Thread(target=lambda: saved.append(store.save(path, MINE, stamp)))
    thread.start()
    thread.join()
    assert typed == [""]
    assert isinstance(saved[0], Saved)
    assert "took 4 s" in saved[0].notice
    assert [draft.text for draft in store.recoverable()] == [MINE + "more"]


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda path: path.write_bytes(b'title = "ok"\nx = "\xff"\n'), "line 2 is not UTF-8"),
        (lambda path: path.unlink(), "no such file"),
        (lambda path: (path.unlink(), path.mkdir()), "a folder"),
        (lambda path: path.write_bytes(b"#" * 1_000_001), "larger than 1 MB"),
    ],
)
def test_what_cannot_be_opened_is_told_with_its_name(store, path, make, said):
    make(path)
    result = store.open(path)
    assert isinstance(result, Failed)
    assert said in result.words
    assert str(path) in result.words


def test_what_killed_saves_left_is_swept_away_after_an_hour(store, path, clock):
    left = path.with_name(".pacer-0123abcd.partial")
    left.write_text("half")
    os.utime(left, (AN_EVENING_MS / 1000, AN_EVENING_MS / 1000))
    opened(store, path)
    assert left.exists()
    clock.advance(3_600_001)
    opened(store, path)
    assert not left.exists()


NOW = datetime(2026, 3, 11, 7, 30, tzinfo=timezone(timedelta(hours=-5)))


def test_versions_are_thinned_by_day_and_by_week():
    """Worked by hand: Wednesday 11 March 2026; the 30th day before it is Monday 9 February."""
    local = NOW.tzinfo

    def at(month: int, day: int, hour: int) -> datetime:
        return datetime(2026, month, day, hour, tzinfo=local)

    stay = [
        at(3, 11, 0), at(3, 11, 1), at(3, 11, 7),  # all of today
        at(3, 10, 23), at(2, 9, 23),  # the last of a day
        at(2, 8, 9),  # Sunday: the last of its week
        at(1, 28, 9),  # Wednesday, nothing later in that week
    ]  # fmt: skip
    go = [at(3, 10, 8), at(2, 9, 8), at(2, 8, 8), at(2, 2, 20), at(1, 27, 9)]
    assert thinned([*go, *stay], NOW) == set(stay)
    assert thinned([time.astimezone(UTC) for time in [*go, *stay]], NOW) == set(stay)


MOMENTS = st.datetimes(datetime(2025, 1, 1), datetime(2026, 3, 12), timezones=st.just(UTC))


@given(st.sets(MOMENTS, min_size=1, max_size=40))
def test_thinning_keeps_the_newest_and_thinning_again_changes_nothing(times):
    stay = thinned(times, NOW)
    assert max(times) in stay
    assert stay <= times
    assert thinned(stay, NOW) == stay


@given(st.dictionaries(MOMENTS, st.integers(1, 100), min_size=1, max_size=30), st.integers(0, 1000))
def test_versions_fit_their_bytes_and_the_newest_always_stays(sizes, most):
    stay = bounded(sizes, most)
    assert max(sizes) in stay
    assert sum(sizes[at] for at in stay) <= most or len(stay) == 1
    if sum(sizes.values()) <= most:
        assert stay == set(sizes)


def test_when_room_is_short_versions_a_moment_apart_go_before_old_ones():
    days = [datetime(2026, 3, day, tzinfo=UTC) for day in range(1, 5)]
    moments = [datetime(2026, 3, 4, 12, 0, second, tzinfo=UTC) for second in range(4)]
    assert bounded(dict.fromkeys([*days, *moments], 10), 50) == {*days, moments[-1]}


def test_saving_all_evening_keeps_a_bounded_history(data, path, clock):
    versions = Versions(data / "history", most_bytes=1000)
    for n in range(60):
        clock.advance(1000)
        now = datetime.fromtimestamp(clock.now().utc_ms / 1000, UTC)
        assert versions.keep(path, b"%099d\n" % n, now)
    kept = versions.all(path)
    assert sum(version.size for version in kept) <= 1000
    assert kept[0].file.read_bytes() == b"%099d\n" % 59
    assert len(kept) == 10


def test_a_version_is_never_written_over_even_where_the_folder_can_not_be_listed(data, path, monkeypatch):
    versions, now = Versions(data / "history"), datetime(2026, 3, 9, tzinfo=UTC)
    assert versions.keep(path, b"first", now)
    with monkeypatch.context() as patch:
        patch.setattr(Versions, "all", lambda *_given: [])  # as it is for a moment without an answer
        assert versions.keep(path, b"second", now)
    assert [version.file.read_bytes() for version in versions.all(path)] == [b"second", b"first"]


def test_two_versions_in_the_same_instant_are_both_kept_and_an_equal_one_only_once(data, path):
    versions, now = Versions(data / "history"), datetime(2026, 3, 9, tzinfo=UTC)
    for content in (b"a", b"b", b"b"):
        assert versions.keep(path, content, now)
    assert [version.file.read_bytes() for version in versions.all(path)] == [b"b", b"a"]


def test_namesakes_in_two_folders_have_histories_of_their_own(store, path, tmp_path):
    other = tmp_path / path.name
    other.write_text(THEIRS)
    for file in (path, other):
        assert isinstance(store.save(file, MINE, opened(store, file).stamp), Saved)
    assert [version.file.read_text() for version in store.versions(other)] == [THEIRS]
    assert [version.file.read_text() for version in store.versions(path)] == [OLD]


TYPIST = """
import sys, time
from pathlib import Path
from pacer.plan.draft.draft import Draft, insert, set_field
from pacer.plan.draft.write_toml import draft_of, written
from pacer.run.clock import SystemClock
from pacer.settings import whole_file
from pacer.settings.draft_store import DraftStore, Saved
folder, path = Path(sys.argv[1]), Path(sys.argv[2])
store = DraftStore(folder, SystemClock(), folder / "elsewhere")
text, stamp = store.open(path)
first = draft = draft_of(text)
letters = len(draft.phases[0].title)
while True:
    letters += 1
    print(letters, flush=True)
    draft, _words = set_field(draft, "p1", "title", "x" * letters)
    now = written(draft, text, first)
    assert store.journal(path, now, stamp) == ""
    if letters % 7 == 0:
        saved = store.save(path, now, stamp)
        assert isinstance(saved, Saved), saved
        stamp = saved.stamp
"""


@pytest.mark.slow
def test_a_program_killed_while_typing_loses_at_most_the_letter_under_way(tmp_path, data, path, clock):
    """Each life goes on where the last was killed; the file is whole and the recovery file is used."""
    chance = random.Random(11)
    path.write_text('# by hand\nformat = 1\ntitle = "T"\n\n[[phase]]\ntitle = ""\nbudget = "3"\n')
    from_recovery = 0
    for _life in range(4):
        with subprocess.Popen(
            [sys.executable, "-c", TYPIST, str(data), str(path)], stdout=subprocess.PIPE, text=True
        ) as typist:
            assert typist.stdout is not None
            said = [typist.stdout.readline() for _letter in range(chance.randrange(2, 30))]
            typist.kill()
            said += typist.stdout.read().splitlines()
        typed = int(said[-1])
        store = DraftStore(data, clock, data / "elsewhere")
        on_disk = draft_of(path.read_text())
        assert isinstance(on_disk, Draft), on_disk
        text = path.read_text()
        for found in store.recoverable():
            text, from_recovery = found.text, from_recovery + 1
        draft = draft_of(text)
        assert isinstance(draft, Draft), draft
        assert text.startswith("# by hand\n")
        assert typed - 1 <= len(draft.phases[0].title) <= typed
        assert isinstance(store.save(path, text, opened(store, path).stamp), Saved)
        assert store.recoverable() == []
    assert from_recovery > 0


@pytest.mark.parametrize("taken", ["folder", "link", "pipe"])
def test_a_name_beside_that_is_taken_by_no_ordinary_file_is_passed_over(store, path, taken):
    path.write_text(OLD)
    stamp = store.open(path).stamp
    path.write_text(THEIRS)
    mine = path.with_name(f"{path.stem}-mine.toml")
    if taken == "folder":
        mine.mkdir()
    elif taken == "link":
        mine.symlink_to("nowhere")
    else:
        os.mkfifo(mine)
    result = store.save(path, MINE, stamp)
    assert isinstance(result, Conflict), result
    assert result.path.name == f"{path.stem}-mine-2.toml"
    assert (result.path.read_text(), path.read_text()) == (MINE, THEIRS)


@pytest.mark.parametrize("utc_ms", [10**30, -1, True, 1e30, None])
def test_unsaved_text_from_a_time_that_cannot_be_is_a_damaged_file(store, data, path, utc_ms):
    """Its time is shown where it is offered."""
    store.journal(path, "typed", "stamp")
    (file,) = (data / "drafts").iterdir()
    file.write_text(json.dumps(json.loads(file.read_text()) | {"utc_ms": utc_ms}))
    assert store.recoverable() == []
    assert file.exists()


@pytest.mark.parametrize("path", ["/tmp/half\\ud83d.toml", "/tmp/null\\u0000.toml"])
def test_a_recovery_file_for_a_name_that_no_file_can_have_is_left_where_it_is(store, data, path):
    """Ours: half a character in the name ended the start with an error."""
    folder = data / "drafts"
    folder.mkdir(parents=True, exist_ok=True)
    (folder / "odd.json").write_text(f'{{"path": "{path}", "text": "x", "stamp": "", "utc_ms": 1}}')
    (folder / "long.json").write_text(
        '{"path": "/a", "text": "x", "stamp": "", "utc_ms": ' + "9" * 5_000 + "}"
    )
    assert store.recoverable() == []
    assert store.forget(Path("/tmp/half.toml")) == ""
    assert len(list(folder.glob("*.json"))) == 2
