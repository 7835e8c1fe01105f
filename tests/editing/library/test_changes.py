"""What another program changes while Pacer is open is noticed, and what was there before is kept."""

import pytest

from pacer.editing.library.changes import SeenFiles


@pytest.fixture
def seen(tmp_path):
    for name in ("a", "b"):
        (tmp_path / f"{name}.toml").write_text(name)
    files = SeenFiles()
    files.paths = sorted(tmp_path.glob("*.toml"))
    files.look(files.paths)
    return files


def test_a_change_by_another_program_is_noticed_with_what_was_there_before(seen):
    a, _b = seen.paths
    a.write_text("another program's")
    seen.look(seen.paths)
    assert seen.changed == {a: b"a"}
    a.write_text("another program's again")
    seen.look(seen.paths)
    assert seen.changed == {a: b"a"}, "what Pacer knew last is what is gone back to"
    a.write_text("a")
    seen.look(seen.paths)
    assert seen.changed == {}


def test_what_pacer_wrote_or_she_accepted_is_no_such_change(seen):
    a, _b = seen.paths
    a.write_text("by Pacer")
    seen.own(a)
    seen.look(seen.paths)
    assert seen.changed == {}


def test_what_is_new_or_gone_was_not_changed(seen, tmp_path):
    a, _b = seen.paths
    a.write_text("x")
    seen.look(seen.paths)
    a.unlink()
    (tmp_path / "c.toml").write_text("c")
    seen.look([*seen.paths, tmp_path / "c.toml"])
    assert seen.changed == {}
    seen.own(a)
