"""The planned days are kept whole, for their owner only, and nothing of a damaged file is lost."""

import errno
import os
from datetime import date
from pathlib import Path
from unittest.mock import Mock

import pytest

from pacer.paths import template_folder
from pacer.plan.dates.planned import DaySlot
from pacer.run.clock import ManualClock
from pacer.settings.planned_days import PlannedDaysStore, name_of, path_of

CLOCK = ManualClock(1_773_046_800_123)  # 9:00 in UTC on 9 March 2026
MON, TUE = date(2026, 3, 9), date(2026, 3, 10)


def kept(path: Path) -> PlannedDaysStore:
    return PlannedDaysStore(path, CLOCK)


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "new" / "planned-days.json"


def test_what_is_planned_is_there_the_next_time(path: Path):
    kept(path).change(lambda days: days.assigned(MON, "a.toml").assigned(MON, "b.toml"))
    again = kept(path)
    assert (again.of(MON), again.of(TUE), again.notice) == (("a.toml", "b.toml"), (), "")
    assert [file.name for file in path.parent.iterdir()] == [path.name], "no half of one is left"


@pytest.mark.skipif(os.name != "posix", reason="rights of files are POSIX")
def test_the_file_is_its_owners_alone(path: Path):
    kept(path).change(lambda days: days.assigned(MON, "a.toml"))
    assert path.stat().st_mode & 0o077 == 0


def test_looking_makes_no_file(path: Path):
    assert kept(path).of(MON) == ()
    assert not path.parent.exists()


def test_who_listens_hears_of_each_change_and_of_no_other(path: Path):
    store, heard = kept(path), []
    store.subscribe(lambda: heard.append(store.of(MON)))
    assert store.change(lambda days: days.assigned(MON, "a.toml"))
    assert not store.change(lambda days: days.taken_away(DaySlot(TUE, 0)))
    assert heard == [("a.toml",)]


def test_a_renamed_outline_stays_planned_and_a_removed_one_comes_back(path: Path):
    store = kept(path)
    store.change(lambda days: days.assigned(MON, "a.toml").assigned(TUE, "b.toml"))
    store.renamed("a.toml", "c.toml")
    assert store.of(MON) == ("c.toml",)
    places = store.removed("c.toml")
    assert (places, store.of(MON)) == ((DaySlot(MON, 0),), ())
    store.put_back("c.toml", places)
    assert kept(path).of(MON) == ("c.toml",)


def test_what_another_window_planned_is_not_written_over(path: Path):
    one, other = kept(path), kept(path)
    one.change(lambda days: days.assigned(MON, "a.toml"))
    other.change(lambda days: days.assigned(TUE, "b.toml"))
    assert (kept(path).of(MON), kept(path).of(TUE)) == (("a.toml",), ("b.toml",))


@pytest.mark.parametrize("content", [b"", b"{", b"\xff\xfe", b"[1]", b'{"days": 3}', b"[" * 5000])
def test_a_damaged_file_is_put_aside_and_told_in_a_sentence(path: Path, content: bytes):
    path.parent.mkdir()
    path.write_bytes(content)
    store = kept(path)
    assert store.of(MON) == ()
    assert "damaged" in store.notice
    assert "Plan them anew on Week." in store.notice
    store.change(lambda days: days.assigned(MON, "a.toml"))
    aside = next(file for file in path.parent.iterdir() if file != path)
    assert aside.read_bytes() == content
    assert str(aside) in store.notice


def test_of_a_file_with_some_bad_dates_the_others_hold(path: Path):
    path.parent.mkdir()
    path.write_text(
        '{"days": {"2026-03-09": ["a.toml"], "soon": ["b.toml"], "2026-03-10": ["../c.toml"]}, '
        '"moves": [{"name": "a.toml", "day": "2026-03-02", "to": "2026-03-09"}, 7]}'
    )
    store = kept(path)
    assert store.of(MON) == ("a.toml",)
    assert store.of(TUE) == ()
    assert len(store.now.moves) == 1
    assert "What can be read of them is shown on Week." in store.notice


def test_a_file_that_is_too_large_is_put_aside_unread(path: Path):
    path.parent.mkdir()
    path.write_bytes(b" " * 1_100_000)
    store = kept(path)
    assert "damaged" in store.notice
    assert not path.exists()


def test_what_cannot_be_written_is_told_holds_and_is_written_with_the_next_change(tmp_path: Path):
    folder = tmp_path / "data"
    folder.write_text("in the way")
    store = kept(folder / "planned-days.json")
    store.change(lambda days: days.assigned(MON, "a.toml"))
    assert "can't be kept in" in store.trouble
    assert store.of(MON) == ("a.toml",)
    folder.unlink()
    store.change(lambda days: days.assigned(TUE, "b.toml"))
    assert store.trouble == ""
    again = kept(folder / "planned-days.json")
    assert (again.of(MON), again.of(TUE)) == (("a.toml",), ("b.toml",))


def test_a_file_that_goes_while_the_program_runs_takes_nothing_with_it(path: Path):
    store = kept(path)
    store.change(lambda days: days.assigned(MON, "a.toml"))
    path.unlink()
    store.change(lambda days: days.assigned(TUE, "b.toml"))
    assert kept(path).of(MON) == ("a.toml",)


def test_a_key_of_a_newer_pacer_is_kept(path: Path):
    path.parent.mkdir()
    path.write_text('{"days": {}, "colour": "ink"}')
    kept(path).change(lambda days: days.assigned(MON, "a.toml"))
    assert '"colour": "ink"' in path.read_text().replace('":"', '": "')


def test_templates_and_own_outlines_of_one_name_are_two(tmp_path: Path):
    own, template = tmp_path / "x.toml", template_folder() / "x.toml"
    assert name_of(own) != name_of(template)
    assert [path_of(name_of(path), tmp_path) for path in (own, template)] == [own, template]


@pytest.mark.parametrize(
    "name", ["a\xa0b.toml", "\U0001f469\u200d\U0001f3eb.toml", "\u05d0\u200e.toml", "e\u0301.toml"]
)
def test_an_outline_with_odd_signs_in_its_name_is_planned(path: Path, name: str):
    kept(path).change(lambda days: days.assigned(MON, name))
    again = kept(path)
    assert (again.of(MON), again.notice) == ((name,), "")


@pytest.mark.parametrize("name", ["a\\b.toml", "a\nb.toml", "\udcff.toml", "a" * 256, "../a.toml"])
def test_a_name_that_cannot_be_read_again_is_never_written_and_spoils_nothing(path: Path, name: str):
    store = kept(path)
    store.change(lambda days: days.assigned(MON, "a.toml"))
    store.change(lambda days: days.assigned(TUE, name))
    store.change(lambda days: days.renamed("a.toml", name) if name == "../a.toml" else days)
    assert store.trouble == ""
    again = kept(path)
    assert (again.of(TUE), again.notice) == ((), "")


def test_years_of_long_names_can_be_read_again_and_the_earliest_go(path: Path):
    day_s = [date.fromordinal(MON.toordinal() + n) for n in range(1000)]
    names = tuple("a long name " * 20 + f"{n}.toml" for n in range(8))
    days = {day.isoformat(): names for day in day_s}
    kept(path).change(lambda now: now.model_copy(update={"days": days}))
    again = kept(path)
    assert again.notice == ""
    assert again.of(day_s[-1]) == names
    assert again.of(day_s[0]) == ()


@pytest.mark.parametrize("content", [b"", b"\xff\xfe", b"[1]", b"[" * 5000, b" " * 1_100_000])
def test_what_was_planned_holds_where_the_file_is_spoilt_while_the_program_runs(path: Path, content: bytes):
    store = kept(path)
    store.change(lambda days: days.assigned(MON, "a.toml"))
    path.write_bytes(content)
    store.change(lambda days: days.assigned(TUE, "b.toml"))
    assert "What can be read of them is shown on Week." in store.notice
    again = kept(path)
    assert (again.of(MON), again.of(TUE)) == (("a.toml",), ("b.toml",))


def test_a_key_of_a_move_by_a_newer_pacer_is_kept(path: Path):
    path.parent.mkdir()
    path.write_text('{"moves": [{"name": "a.toml", "day": "2026-03-09", "to": "", "why": "snow"}]}')
    kept(path).change(lambda days: days.assigned(MON, "a.toml"))
    assert "snow" in path.read_text()


def at_the_last_moment(monkeypatch, act, times: int = 1) -> None:
    """Let another Pacer act just before a file gets its name, after all that is read for it was read."""
    from pacer.settings import planned_days, whole_file

    left = [times]

    def write(path: Path, data: bytes, may=None) -> bool:
        def late() -> bool:
            if left[0]:
                left[0] -= 1
                monkeypatch.setattr(planned_days, "write_whole", whole_file.write_whole)
                act()
                monkeypatch.setattr(planned_days, "write_whole", write)
            return may is None or may()

        return whole_file.write_whole(path, data, late)

    monkeypatch.setattr(planned_days, "write_whole", write)


def test_what_another_pacer_plans_while_this_one_writes_is_not_lost(path: Path, monkeypatch):
    one, other = kept(path), kept(path)
    days = iter((TUE, date(2026, 3, 11)))

    def plan() -> None:
        day = next(days)
        other.change(lambda planned: planned.assigned(day, "b.toml"))

    at_the_last_moment(monkeypatch, plan, 2)
    one.change(lambda days: days.assigned(MON, "a.toml"))
    assert kept(path).now.days == one.now.days
    assert sorted(one.now.days) == ["2026-03-09", "2026-03-10", "2026-03-11"]
    assert one.trouble == ""


def test_where_another_pacer_never_stops_writing_the_change_holds_and_is_told(path: Path, monkeypatch):
    one, other, count = kept(path), kept(path), iter(range(1000))
    monkeypatch.setattr("pacer.owner_only.time.sleep", lambda _s: None)  # the other waits in vain

    def plan() -> None:
        other.was_taught([next(count)], "b.toml")

    at_the_last_moment(monkeypatch, plan, 1000)
    one.change(lambda days: days.assigned(MON, "a.toml"))
    assert one.of(MON) == ("a.toml",)
    assert "another Pacer" in one.trouble
    monkeypatch.undo()
    one.change(lambda days: days.assigned(TUE, "a.toml"))
    assert sorted(kept(path).now.days) == ["2026-03-09", "2026-03-10"]
    assert kept(path).now.taught


def test_what_could_not_be_written_joins_what_another_pacer_planned_meanwhile(path: Path, monkeypatch):
    one, other = kept(path), kept(path)
    one.change(lambda days: days.assigned(MON, "a.toml"))

    def full(_path: Path, _data: bytes, _may=None) -> bool:
        raise OSError(28, "full")

    from pacer.settings import planned_days

    with monkeypatch.context() as patch:
        patch.setattr(planned_days, "write_whole", full)
        one.change(lambda days: days.assigned(TUE, "a.toml"))
        assert one.trouble
    other.change(lambda days: days.assigned(MON, "b.toml"))
    one.change(lambda days: days.assigned(date(2026, 3, 11), "c.toml"))
    assert kept(path).now.days == {
        "2026-03-09": ("a.toml", "b.toml"),
        "2026-03-10": ("a.toml",),
        "2026-03-11": ("c.toml",),
    }


def test_what_another_pacer_plans_right_after_this_one_wrote_is_not_lost(path: Path, monkeypatch):
    from pacer.settings import whole_file

    one, other = kept(path), kept(path)

    def keep(folder: Path) -> None:
        monkeypatch.undo()
        other.change(lambda days: days.assigned(TUE, "b.toml"))

    monkeypatch.setattr(whole_file, "keep_names", keep)  # comes between the new name and the look at it
    one.change(lambda days: days.assigned(MON, "a.toml"))
    one.change(lambda days: days.assigned(MON, "c.toml"))
    assert (kept(path).of(MON), kept(path).of(TUE)) == (("a.toml", "c.toml"), ("b.toml",))


def test_what_another_pacer_plans_while_this_one_reads_is_read_the_next_time(path: Path, monkeypatch):
    from pacer.settings import planned_days

    one, other = kept(path), kept(path)
    other.change(lambda days: days.assigned(MON, "a.toml"))
    read = planned_days.read_bounded

    def slowly(file: Path, most: int) -> bytes:
        data = read(file, most)
        monkeypatch.undo()
        other.change(lambda days: days.assigned(TUE, "b.toml"))
        return data

    monkeypatch.setattr(planned_days, "read_bounded", slowly)
    one.refresh()
    one.change(lambda days: days.assigned(MON, "c.toml"))
    assert (kept(path).of(MON), kept(path).of(TUE)) == (("a.toml", "c.toml"), ("b.toml",))


def test_a_file_that_the_system_does_not_open_for_a_moment_is_not_taken_for_damaged(path: Path, monkeypatch):
    """Ours: where nothing could be opened after a write, what was written was put aside as damaged."""
    store = kept(path)
    with monkeypatch.context() as patch:
        patch.setattr(Path, "open", Mock(side_effect=OSError(errno.EIO, "out")))
        store.change(lambda days: days.assigned(MON, "a.toml"))
        store.refresh()
    assert [file.name for file in path.parent.iterdir() if "unreadable" in file.name] == []
    store.change(lambda days: days.assigned(TUE, "b.toml"))
    assert [kept(path).of(day) for day in (MON, TUE)] == [("a.toml",), ("b.toml",)]
