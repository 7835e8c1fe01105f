"""What Library and the other pages hand to each other."""

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest

from tests.qt.window_factories import click, settle

TEXT = 'format = 1\ntitle = "{title}"\n[[phase]]\ntitle = "Go"\nbudget = "3"\n'


@pytest.fixture
def running(tmp_path, new_program):
    own = tmp_path / "data" / "outlines"
    own.mkdir(parents=True)
    for title in ("Halves", "Thirds"):
        (own / f"{title.lower()}.toml").write_text(TEXT.format(title=title))
    (own / "broken.toml").write_text(TEXT.format(title="Fourths").replace('"Go"', "\u201cGo\u201d"))
    return new_program().show()


def test_what_today_and_outline_show_follows_a_new_name(running):
    own, pages = running.where.outlines, running.program.pages
    running.today.choose(own / "halves.toml")
    pages.edit(own / "halves.toml")
    click(running.window.names["library"])
    pages.library.show_path(own / "halves.toml")
    pages.library.act("rename")
    field = pages.library.details.fields["title"]
    QTest.keyClicks(field, "Fair halves")
    QTest.keyClick(field, Qt.Key.Key_Return)
    new = own / "fair-halves.toml"
    assert running.today.chosen_path() == new
    assert pages.outline.editor.file.path == new
    pages.library.act("away")
    assert pages.outline.editor.file.path is None, "nothing that is typed brings it back by itself"
    assert not new.exists()


def test_today_tells_plainly_what_is_wrong_and_leads_to_its_mending(running):
    today, path = running.today, running.where.outlines / "broken.toml"
    today.choose(path)
    settle()
    assert "TOML" not in today.problems.text()
    assert "Line 4" in today.problems.text()
    click(today.mend_button)
    page = running.program.pages.library
    assert running.window.names["library"].isChecked()
    assert page.side.row().path == path
    page.act("mend")
    click(running.window.names["today"])
    assert today.entry().outline.title == "Fourths"
    assert not today.mend_button.isVisible()


def test_a_file_that_outline_can_not_open_leads_to_its_mending(running):
    pages, path = running.program.pages, running.where.outlines / "broken.toml"
    pages.edit(path)
    assert "TOML" not in pages.outline.notice.words.text()
    assert "Line 4" in pages.outline.notice.words.text()
    (button,) = pages.outline.notice.buttons
    click(button)
    assert running.window.names["library"].isChecked()
    assert pages.library.side.row().path == path


def test_the_card_is_printed_and_today_keeps_its_choice_unless_asked_to_teach(running, monkeypatch):
    today, own, printed = running.today, running.where.outlines, []
    today.choose(own / "thirds.toml")

    def print_it() -> None:
        printed.append(today.chosen_path().name)
        today.show_notice("The card is printed.")

    today.card_button.clicked.disconnect()
    today.card_button.clicked.connect(print_it)
    click(running.window.names["library"])
    page = running.program.pages.library
    page.show_path(own / "halves.toml")
    page.act("card")
    assert printed == ["halves.toml"]
    assert today.chosen_path().name == "thirds.toml"
    assert page.notice.text() == "The card is printed."
    page.act("teach")
    assert running.window.names["today"].isChecked()
    assert today.chosen_path().name == "halves.toml"


def test_an_outline_that_gets_another_title_in_outline_is_still_taught(running, qtbot):
    path = running.where.outlines / "halves.toml"
    running.today.choose(path)
    running.program.get_ready(running.today.entry().outline).start()
    qtbot.waitUntil(lambda: bool(running.program.planned.now.taught), timeout=60_000)
    running.program.room.leave()
    running.program.planned.change(lambda days: days.model_copy(update={"taught": {}}))  # as of long ago
    running.program.pages.edit(path)
    page = running.program.pages.outline
    page.head.fields["title"].setText("Fair halves")
    page.head.fields["title"].textEdited.emit("Fair halves")
    page.flush()
    settle()
    assert list(running.program.planned.now.taught.values()) == [path.name]


def test_an_outline_that_was_taught_and_then_renamed_is_still_taught_and_its_twin_is_not(running, qtbot):
    own = running.where.outlines
    (own / "twin.toml").write_text(TEXT.format(title="Halves"))
    running.today.reload()
    running.today.choose(own / "halves.toml")
    lesson = running.program.get_ready(running.today.entry().outline)
    lesson.start()
    qtbot.waitUntil(lambda: bool(running.program.planned.now.taught), timeout=60_000)
    running.program.room.leave()
    click(running.window.names["library"])
    library = running.program.pages.library
    library.show_path(own / "halves.toml")
    library.act("rename")
    field = library.details.fields["title"]
    QTest.keyClicks(field, "Fair halves")
    QTest.keyClick(field, Qt.Key.Key_Return)
    assert library.side.row().title == "Fair halves"
    assert "taught today" in library.side.row().under
    library.show_path(own / "twin.toml")
    assert "taught" not in library.side.row().under


def test_a_running_lesson_goes_on_and_is_resumed_whatever_becomes_of_its_outline(
    running, qtbot, new_program, tmp_path
):
    own, program = running.where.outlines, running.program
    click(running.window.names["library"])
    click(running.window.names["today"])
    running.today.choose(own / "halves.toml")
    lesson = program.get_ready(running.today.entry().outline)
    lesson.start()
    qtbot.waitUntil(lambda: bool(program.planned.now.taught), timeout=60_000)
    library = program.pages._library_page()
    told = library.library.rename(own / "halves.toml", "Fair halves")
    assert told.done
    assert list(program.planned.now.taught.values()) == ["fair-halves.toml"]
    assert library.library.put_away(told.path).done
    assert lesson.session.state.plan.title == "Halves", "it is taught as it was begun"
    running.tap("N")
    assert lesson.session.trouble == ""
    program.room.shut()
    program.kept.records.close()
    again = new_program(tmp_path / "data").show()
    assert "Halves" in again.today.resume_text.text()
    again.today.resume_button.click()
    settle()
    assert again.program.room.lesson.session.state.plan.title == "Halves"


def test_an_outline_that_is_renamed_before_its_lesson_is_noted_goes_by_the_title(running, qtbot):
    own, program = running.where.outlines, running.program
    click(running.window.names["library"])
    click(running.window.names["today"])
    running.today.choose(own / "halves.toml")
    lesson = program.get_ready(running.today.entry().outline)
    program.pages._library_page().library.rename(own / "halves.toml", "Fair halves")
    lesson.start()
    program._note_taught(lesson, own / "halves.toml")
    assert program.planned.now.taught == {}
