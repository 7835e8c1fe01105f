"""The curtain before the first frame, where the room of a lesson can't be made."""

from pacer.qt.app import Program
from tests.qt.window_factories import Running, settle


class NotMadeError(Exception):
    """Stands for a part of the program that is missing."""


def test_where_a_room_cannot_be_made_the_curtain_says_so_and_what_helps(
    dressed, room_clock, tmp_path, monkeypatch, qtbot
):
    def fails(_program: Program) -> None:
        raise NotMadeError

    monkeypatch.setattr(Program, "_make_room", fails)
    running = Running(tmp_path / "data", room_clock)
    with qtbot.captureExceptions() as seen:
        running.program.show()
        qtbot.waitUntil(lambda: bool(seen), timeout=60_000)
        settle()
        said = running.window.curtain.accessibleDescription()
        running.window.hide()  # what would warm up then has no room either
        running.shut()
    assert {kind for kind, _error, _trace in seen} == {NotMadeError}
    words, _line, helps = said.partition("\n")
    assert words == "Pacer could not get ready for a lesson."
    assert helps.startswith("Close this window and start Pacer again.")
