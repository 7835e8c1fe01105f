"""The settings in force and their file: kept whole, changed one by one, and a damaged one is put aside."""

import errno
import json
import os
from pathlib import Path
from tempfile import TemporaryDirectory
from unittest.mock import Mock

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import ValidationError

from pacer.settings import store as store_module
from pacer.settings import whole_file
from pacer.settings.model import Settings
from pacer.settings.store import SettingsError, SettingsStore, load_settings, save_settings


@pytest.fixture
def path(tmp_path):
    return tmp_path / "settings.json"


def test_without_a_file_the_usual_settings_hold_and_nothing_is_said(path):
    assert load_settings(path) == (Settings(), "")
    assert not path.exists()


def test_what_is_saved_is_read_back(path):
    wanted = Settings(
        block_start="13:05", start_when_pressed=True, last_outline="Brüche.toml", talk_limit_s=240
    )
    save_settings(path, wanted)
    assert load_settings(path) == (wanted, "")


def test_the_folder_is_made_and_no_half_written_file_is_left(tmp_path):
    path = tmp_path / "not" / "yet" / "settings.json"
    save_settings(path, Settings())
    save_settings(path, Settings(block_start="8:00"))
    assert [file.name for file in path.parent.iterdir()] == ["settings.json"]


def test_the_file_can_be_read_and_edited_by_hand(path):
    save_settings(path, Settings())
    text = path.read_text(encoding="utf-8")
    assert json.loads(text)["block_start"] == "9:00"
    assert len(text.splitlines()) > 5


def test_a_key_of_a_newer_program_is_kept(path):
    path.write_text('{"block_start": "10:00", "from_the_future": [1, 2]}')
    settings, notice = load_settings(path)
    assert (settings.block_start, notice) == ("10:00", "")
    save_settings(path, settings.model_copy(update={"wall_digits": False}))
    assert json.loads(path.read_text())["from_the_future"] == [1, 2]


@pytest.mark.parametrize(
    "damage",
    [
        b"",
        b"{",
        b"[]",
        b"null",
        b'{"block_start": "25:00"}',
        b'{"block_start": "9:00\\n"}',
        b'{"block_start": 9}',
        b'{"talk_limit_s": 0}',
        b'{"talk_limit_s": 1e99}',
        b'{"wall_digits": "perhaps"}',
        b"\x00" * 64,
        b"[" * 100_000,
    ],
)
def test_a_damaged_file_is_kept_aside_and_the_usual_settings_hold(path, damage):
    path.write_bytes(damage)
    settings, notice = load_settings(path)
    assert settings == Settings()
    assert notice.startswith("The settings were damaged; they are kept in ")
    (aside,) = path.parent.iterdir()
    assert aside.name.startswith("settings-unreadable-")
    assert aside.name in notice
    assert aside.read_bytes() == damage
    assert load_settings(path) == (Settings(), "")


def test_two_damaged_files_are_both_kept(path):
    for damage in ("{one", "{two"):
        path.write_text(damage)
        load_settings(path)
    assert sorted(file.read_text() for file in path.parent.iterdir()) == ["{one", "{two"]


def test_a_damaged_file_that_cannot_be_moved_is_named_where_it_is(path, monkeypatch):
    path.write_text("{")

    def refuse(*_what) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr("pathlib.Path.rename", refuse)
    settings, notice = load_settings(path)
    assert settings == Settings()
    assert str(path) in notice
    assert path.read_text() == "{"


@pytest.mark.parametrize("kind", ["folder", "not text"])
def test_a_file_that_cannot_be_read_is_told_and_kept_aside(path, kind):
    if kind == "folder":
        path.mkdir()
    else:
        path.write_bytes(b"\xff\xfe\xfa")
    settings, notice = load_settings(path)
    assert settings == Settings()
    (aside,) = path.parent.glob("settings-unreadable-*.json")
    assert str(aside) in notice
    assert aside.is_dir() if kind == "folder" else aside.read_bytes() == b"\xff\xfe\xfa"
    save_settings(path, Settings(block_start="8:15"))
    assert aside.exists()


def test_a_failed_save_says_why_and_leaves_the_old_settings(path, monkeypatch):
    save_settings(path, Settings(block_start="8:15"))

    def full(_number: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(SettingsError, match=r"can't be saved in .*settings\.json: No space left on device\."):
        save_settings(path, Settings(block_start="9:30"))
    assert load_settings(path)[0].block_start == "8:15"


def test_a_folder_that_cannot_be_made_is_told(tmp_path):
    (tmp_path / "file").write_text("x")
    with pytest.raises(SettingsError, match="can't be saved"):
        save_settings(tmp_path / "file" / "settings.json", Settings())


@pytest.mark.parametrize("time", ["0:00", "00:00", "9:05", "09:05", "23:59"])
def test_a_clock_time_may_be_written_with_or_without_a_leading_zero(time):
    assert Settings(block_start=time).block_start == time


@pytest.mark.parametrize("time", ["24:00", "9:60", "9", "9.30", "", "9:5", "-1:00", "9:00 am", "٩:٠٠"])
def test_anything_else_is_no_clock_time(time):
    with pytest.raises(ValidationError):
        Settings(block_start=time)


def test_settings_cannot_be_changed_in_place():
    with pytest.raises(ValidationError, match="frozen"):
        Settings().block_start = "8:00"


SCREEN = {"name": "HDMI-1"}
ROOM = {"screens": [SCREEN], "wall": SCREEN}
SHAPE = {"name": "Regular", "start": "9:00", "length_s": 4500}


@pytest.mark.parametrize(
    ("name", "value", "left"),
    [
        ("strip_edge", "middle", "bottom"),
        ("picture_height_mm", "tall", None),
        ("back_row_mm", 0, 9000),
        ("tone_level", 101, 50),
        ("rooms", 5, []),
        ("rooms", [ROOM, {"screens": [SCREEN]}], [ROOM]),
        ("rooms", [[]] * 300, []),
        ("kinds", {"review": {"budget_s": 5, "talk": "quiet", "newer": 1}}, {"review": {"talk": "quiet"}}),
        ("kinds", [1], {}),
        (
            "day_shapes",
            {"shapes": [SHAPE, {"name": ""}], "week": {"0": "Regular", "x": "Regular"}},
            {"shapes": [SHAPE], "week": {"0": "Regular"}},
        ),
        ("day_choice", ["2026-03-09"], ["", ""]),
        ("reminders", ["Tape", "", 3], ["Tape"]),
        ("reminders_done", None, ["", []]),
    ],
)
def test_one_value_that_will_not_do_costs_no_other(path, name, value, left):
    path.write_text(json.dumps({"block_start": "10:00", "from_the_future": [1], name: value}))
    settings, notice = load_settings(path)
    assert settings.block_start == "10:00"
    assert settings.model_extra == {"from_the_future": [1]}
    assert getattr(settings, name) == getattr(Settings.model_validate({name: left}), name)
    assert notice.endswith(f"What can't be read was left out of: {name}.")
    (aside,) = path.parent.iterdir()
    assert json.loads(aside.read_text())[name] == value


def test_the_settings_of_an_older_version_hold_and_what_came_since_has_its_starting_value(path):
    path.write_text('{"block_start": "10:00", "start_when_pressed": true, "last_outline": "a{0}.toml"}')
    settings, notice = load_settings(path)
    assert (settings.last_outline, settings.start_when_pressed, notice) == ("a{0}.toml", True, "")
    assert (settings.strip_edge, settings.rooms, settings.kinds) == ("bottom", (), {})


@given(
    st.recursive(
        st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text(max_size=5),
        lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=5), inner, max_size=3),
    ),
    st.sampled_from(sorted(Settings.model_fields)),
)
def test_any_value_of_any_setting_is_taken_or_left_out_and_the_others_hold(value, name):
    with TemporaryDirectory() as folder:
        path = Path(folder) / "settings.json"
        other = "reduced_motion" if name != "reduced_motion" else "tone"
        path.write_text(json.dumps({name: value, other: True}))
        settings, _notice = load_settings(path)
        assert getattr(settings, other) is True


@pytest.fixture
def store(path):
    return SettingsStore(path)


def full_disk(_number: int) -> None:
    """Stands in for a flush of a disk that has no room."""
    raise OSError(28, "No space left on device")


def test_a_change_holds_at_once_and_is_in_the_file(path, store):
    before = store.now
    store.change(block_start="8:15", tone=True)
    assert (store.now.block_start, store.now.tone, store.trouble) == ("8:15", True, "")
    assert load_settings(path) == (store.now, "")
    assert before == Settings(), "who still holds the older settings sees no change in them"


def test_pages_that_change_different_settings_take_nothing_back_from_each_other(path, store):
    """Each hands over only what it changed, however long ago it looked."""
    today, room = store.change, store.change
    today(wall_digits=False)
    room(back_row_mm=7000)
    today(block_start="8:15")
    room(tone=True)
    wanted = Settings(wall_digits=False, back_row_mm=7000, block_start="8:15", tone=True)
    assert (store.now, load_settings(path)[0]) == (wanted, wanted)


@pytest.mark.parametrize("number", ["1e400", "9" * 400 + ".5", "-Infinity"])
def test_numbers_of_a_newer_program_outlive_damage_elsewhere_in_the_file(path, number):
    path.write_text('{"block_start": "nine", "newer": {"kept": [1, ' + number + "]}}")
    settings, notice = load_settings(path)
    assert "left out of: block_start" in notice
    save_settings(path, settings)
    assert number in path.read_text()
    assert load_settings(path) == (settings, "")


def test_a_change_keeps_what_a_newer_program_wrote(path):
    path.write_text('{"block_start": "10:00", "from_the_future": [1, 2]}')
    SettingsStore(path).change(tone=True)
    assert json.loads(path.read_text())["from_the_future"] == [1, 2]


def test_who_asked_is_told_after_each_change_in_the_order_of_asking(store):
    told: list[object] = []
    store.subscribe(lambda: told.append(store.now.tone_level))
    store.subscribe(lambda: told.append("second"))
    store.change(tone_level=20)
    store.change(tone_level=30)
    assert told == [20, "second", 30, "second"]


def test_a_change_out_of_an_answer_to_another_change_leaves_both(path, store):
    def follow() -> None:
        if store.now.tone and store.now.tone_level != 5:
            store.change(tone_level=5)

    store.subscribe(follow)
    store.change(tone=True)
    assert load_settings(path)[0] == Settings(tone=True, tone_level=5) == store.now


def test_what_cannot_be_written_holds_is_told_and_is_written_with_the_next_change(path, store, monkeypatch):
    store.change(block_start="8:15")
    troubles: list[str] = []
    store.subscribe(lambda: troubles.append(store.trouble))
    with monkeypatch.context() as full:
        full.setattr(os, "fsync", full_disk)
        store.change(tone=True)
    assert (store.now.tone, load_settings(path)[0].tone) == (True, False)
    store.change(tone_level=20)
    assert load_settings(path)[0] == Settings(block_start="8:15", tone=True, tone_level=20)
    assert troubles == [f"The settings can't be saved in {path}: No space left on device.", ""]


@pytest.mark.parametrize(
    ("values", "error"),
    [({"tone_level": 0}, ValidationError), ({"loudness": 5}, TypeError), ({"model_extra": {}}, TypeError)],
)
def test_a_value_that_will_not_do_or_a_name_that_is_none_changes_nothing(path, store, values, error):
    told: list[bool] = []
    store.subscribe(lambda: told.append(True))
    with pytest.raises(error):
        store.change(tone=True, **values)
    assert (store.now, path.exists(), told) == (Settings(), False, [])


def test_a_damaged_file_is_told_of_and_the_next_change_starts_from_what_still_holds(path):
    path.write_text('{"block_start": "10:00", "tone_level": 500}')
    store = SettingsStore(path)
    assert store.notice.endswith("left out of: tone_level.")
    store.change(tone=True)
    assert load_settings(path) == (Settings(block_start="10:00", tone=True), "")


CHANGES = {
    "tone": st.booleans(),
    "tone_level": st.integers(1, 100),
    "back_row_mm": st.integers(1000, 40_000),
    "reminders": st.lists(st.text("ab", min_size=1, max_size=3), max_size=3).map(tuple),
    "last_outline": st.text("abc/.", max_size=5),
}


@given(st.lists(st.one_of(*(st.tuples(st.just(name), values) for name, values in CHANGES.items()))))
def test_after_any_changes_each_setting_has_its_last_value_in_memory_and_in_the_file(changes):
    with TemporaryDirectory() as folder:
        path = Path(folder) / "settings.json"
        store = SettingsStore(path)
        for name, value in changes:
            store.change(**{name: value})
        assert store.now == Settings(**dict(changes)) == load_settings(path)[0]


def test_what_another_pacer_set_is_not_taken_back(path):
    one, other = SettingsStore(path), SettingsStore(path)
    one.change(start_when_pressed=True)
    other.change(block_start="8:15")
    one.change(reviewing_cap_s=240)
    read, _notice = load_settings(path)
    assert (read.start_when_pressed, read.block_start, read.reviewing_cap_s) == (True, "8:15", 240)
    assert one.now == read


def test_what_another_pacer_sets_while_this_one_writes_is_not_lost(path, monkeypatch):
    one, other = SettingsStore(path), SettingsStore(path)
    real, asked = whole_file.write_whole, []

    def write(target, data, may=None):
        def late() -> bool:
            if not asked:
                asked.append(1)
                other.change(block_start="8:15")
            return may is None or may()

        return real(target, data, late)

    monkeypatch.setattr(store_module, "write_whole", write)
    one.change(start_when_pressed=True)
    read, _notice = load_settings(path)
    assert (read.start_when_pressed, read.block_start) == (True, "8:15")
    assert one.now == read


def test_what_can_not_be_read_of_another_pacers_settings_takes_nothing_away(path):
    one = SettingsStore(path)
    one.change(start_when_pressed=True)
    path.write_text("{")
    one.change(block_start="8:15")
    read, _notice = load_settings(path)
    assert (read.start_when_pressed, read.block_start) == (True, "8:15")
    assert len(list(path.parent.glob("*unreadable*"))) == 1


def test_what_another_pacer_sets_right_after_this_one_wrote_is_not_lost(path, monkeypatch):
    one, other = SettingsStore(path), SettingsStore(path)

    def keep(folder):
        monkeypatch.undo()
        other.change(block_start="8:15")

    monkeypatch.setattr(whole_file, "keep_names", keep)  # comes between the new name and the look at it
    one.change(start_when_pressed=True)
    one.change(tone=True)
    read, _notice = load_settings(path)
    assert (read.start_when_pressed, read.block_start, read.tone) == (True, "8:15", True)


@pytest.mark.parametrize("begun", [False, True])
def test_what_another_pacer_sets_while_this_one_reads_is_read_the_next_time(path, monkeypatch, begun):
    other = SettingsStore(path)
    other.change(tone=True)
    one = SettingsStore(path) if begun else None
    other.change(start_when_pressed=True)
    real = store_module.read_bounded

    def slowly(file, most):
        data = real(file, most)
        monkeypatch.undo()
        other.change(block_start="8:15")
        return data

    monkeypatch.setattr(store_module, "read_bounded", slowly)
    if one is None:
        one = SettingsStore(path)
    else:
        one.refresh()
    one.change(baseline=True)
    read, _notice = load_settings(path)
    assert (read.start_when_pressed, read.block_start, read.baseline) == (True, "8:15", True)


def test_a_file_that_the_system_does_not_open_for_a_moment_is_not_taken_for_damaged(path, monkeypatch):
    """Ours: where nothing could be opened after a write, what was written was put aside as damaged."""
    store = SettingsStore(path)
    with monkeypatch.context() as patch:
        patch.setattr(Path, "open", Mock(side_effect=OSError(errno.EIO, "out")))
        store.change(back_row_mm=7000)
        assert not store.trouble
        store.change(tone_level=31)
    assert [file.name for file in path.parent.iterdir()] == [path.name]
    store.change(tone_level=32)
    assert load_settings(path) == (store.now, "")
    assert (store.now.back_row_mm, store.now.tone_level) == (7000, 32)
