"""From what a teacher has to an outline of her own: through the window, into the page, onto the disk."""

from PySide6.QtCore import QMimeData, QTimer
from PySide6.QtWidgets import QApplication

from pacer.qt.taken.window import TakenWindow
from tests.qt.window_factories import settle

LESSON = "Thirds on a number line\nWarm-up 5 min\nModel 7 min\nShare 3 min\n"


def answering(running, press: str) -> None:
    """Press a button of the window once it is open."""

    def answer() -> None:
        window = QApplication.activeModalWidget()
        assert isinstance(window, TakenWindow)
        getattr(window, press).click()

    QTimer.singleShot(0, running.window, answer)


def lesson() -> QMimeData:
    mime = QMimeData()
    mime.setText(LESSON)
    return mime


def test_what_is_pasted_becomes_an_outline_that_is_saved_like_any_other(new_program):
    running = new_program().show()
    pages = running.program.pages
    answering(running, "make")
    pages.take(lesson())
    settle()
    assert running.window.pages.currentWidget() is pages.outline
    pages.outline.flush()
    (saved,) = (path for path in running.where.outlines.iterdir() if path.suffix == ".toml")
    text = saved.read_text(encoding="utf-8")
    assert 'title = "Thirds on a number line"' in text
    assert text.count("[[phase]]") == 3
    # Nothing waits in the window any more.
    answering(running, "close_button")
    pages.take()
    assert not list((running.where.data / "taken").glob("*.json"))


def test_what_could_not_be_saved_as_an_outline_waits_in_the_window_as_well(new_program, monkeypatch):
    running = new_program().show()
    pages = running.program.pages

    def full(*_what: object) -> bool:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("pacer.settings.draft_store.write_whole", full)
    answering(running, "make")
    pages.take(lesson())
    assert pages.outline.editor.file.failed
    assert list((running.where.data / "taken").glob("*.json"))
    monkeypatch.undo()


def test_lines_are_added_to_the_open_outline_and_one_undo_takes_them_back(new_program):
    running = new_program().show()
    pages = running.program.pages
    pages.show_outline()
    pages.outline.open_new(["Review 3"])
    answering(running, "add")
    pages.outline.take_asked.emit(lesson())
    settle()
    assert [phase.title for phase in pages.outline.editor.sheet.phases] == [
        "Review",
        "Warm-up",
        "Model",
        "Share",
    ]
    pages.outline.editor.undo()
    assert [phase.title for phase in pages.outline.editor.sheet.phases] == ["Review"]


def test_closed_it_changes_no_outline_and_is_there_the_next_time(new_program):
    running = new_program().show()
    pages = running.program.pages
    answering(running, "close_button")
    pages.take(lesson())
    assert pages.outline is None
    heard = []

    def look() -> None:
        window = QApplication.activeModalWidget()
        heard.append(window.lesson.text)
        window.reject()

    QTimer.singleShot(0, running.window, look)
    pages.take()
    assert heard == [LESSON.rstrip()]
