"""What Today says of attachments that are not ready: late, beside, and without stopping Start."""

import os

import pytest

from pacer.qt.today import ready_lines
from pacer.settings.outline_shelf import shelf
from tests.qt.attachments.attachment_factories import pdf, save, slow_pdf
from tests.qt.window_factories import settle, timer_of


@pytest.fixture(autouse=True)
def _looks_when_told(monkeypatch):
    """It looks when a test says so, not when a machine that may be busy comes to it."""
    monkeypatch.setattr(ready_lines, "LATE_MS", 3_600_000)


def look(running):
    """The lines, now that the time has come to look into the files."""
    late = timer_of(running.today.ready_lines)
    late.stop()
    late.timeout.emit()
    return running.today.ready_lines


def told(running, qtbot) -> list:
    """What is found wrong, once it was looked into."""
    shown = running.today.ready_lines
    with qtbot.waitSignal(shown.told, timeout=60_000) as heard:
        look(running)
    return heard.args[0]


@pytest.fixture
def own_folder(tmp_path):
    folder = tmp_path / "data" / "outlines"
    folder.mkdir(parents=True)
    return folder


def write(folder, name, *attached):
    rows = ["format = 1", f'title = "{name}"']
    for attach in attached:
        rows += ["[[phase]]", 'title = "Part"', 'budget = "3"', f'attach = "{attach}"']
    (folder / f"{name}.toml").write_text("\n".join(rows), encoding="utf-8")


def lines_of(running, qtbot):
    """The lines once they are there."""
    shown = look(running)
    qtbot.waitUntil(shown.isVisible, timeout=60_000)
    return shown.text().splitlines()


def test_an_outline_with_a_broken_picture_says_so_and_can_be_started(own_folder, new_program, qtbot):
    save(own_folder / "line.png")
    (own_folder / "text.png").write_text("half of a third")
    write(own_folder, "thirds", "line.png", "text.png", "gone.pdf")
    running = new_program()
    assert not running.today.ready_lines.isVisible()
    assert lines_of(running, qtbot) == [
        'Not ready: thirds.toml:10: attach = "text.png": There is no picture in the file. '
        "Save it again as PNG or JPG.",
        'Not ready: thirds.toml:14: attach = "gone.pdf": There is no such file. '
        "It is looked for from the outline's folder on.",
    ]
    assert running.today.plan.isVisible()
    assert running.today.start_button.isEnabled()
    assert running.today.ready_lines.accessibleName()


def test_many_problems_are_a_few_lines_and_a_number(own_folder, new_program, qtbot):
    write(own_folder, "thirds", *[f"gone-{number}.png" for number in range(9)])
    lines = lines_of(new_program(), qtbot)
    assert (len(lines), lines[-1]) == (4, "And 6 more.")


def test_ready_attachments_and_templates_say_nothing(own_folder, new_program, qtbot):
    save(own_folder / "line.png")
    pdf(own_folder / "line.pdf")
    write(own_folder, "thirds", "line.png", "line.pdf")
    running = new_program()
    assert told(running, qtbot) == []
    shown = running.today.ready_lines
    assert (shown.isVisible(), shown.text()) == (False, "")


@pytest.mark.slow
def test_what_is_known_is_shown_at_once_and_a_mended_file_is_looked_into_again(
    own_folder, new_program, qtbot, monkeypatch
):
    (own_folder / "line.png").write_text("half of a third")
    write(own_folder, "thirds", "line.png")
    write(own_folder, "unlike")
    running = new_program().choose("thirds")
    lines_of(running, qtbot)
    with monkeypatch.context() as patch:
        patch.setattr(ready_lines, "work_beside", None)  # whoever looks again fails
        running.choose("Fractions")
        assert not running.today.ready_lines.isVisible()
        running.choose("thirds")
        assert running.today.ready_lines.isVisible()
    save(own_folder / "line.png")
    os.utime(own_folder / "line.png", (1, 1))
    running.today.shelf.reload_if_changed()
    settle()
    assert not running.today.ready_lines.isVisible()
    assert told(running, qtbot) == []
    assert not running.today.ready_lines.isVisible()


@pytest.mark.slow
def test_whoever_walks_through_the_list_gets_the_lines_of_what_is_chosen_last(own_folder, new_program, qtbot):
    (own_folder / "slow.pdf").write_bytes(slow_pdf(20))
    write(own_folder, "slow", "slow.pdf")
    write(own_folder, "thirds", "gone.png")
    running = new_program().choose("slow")
    look(running)
    running.choose("thirds")
    assert lines_of(running, qtbot)[0].startswith("Not ready: thirds.toml:6: ")


def test_nothing_is_opened_before_the_window_has_been_shown_for_a_while(own_folder, new_program, monkeypatch):
    monkeypatch.setattr(ready_lines, "work_beside", None)  # whoever looks fails
    (own_folder / "text.png").write_text("half of a third")
    write(own_folder, "thirds", "text.png")
    late = timer_of(new_program().today.ready_lines)
    assert (late.isActive(), late.isSingleShot(), late.interval()) == (True, True, ready_lines.LATE_MS)
    assert shelf(own_folder)[0].outline is not None
