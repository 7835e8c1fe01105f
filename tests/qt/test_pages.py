"""What the pages beside Today hand to each other, and what is kept when the program ends."""

from collections import Counter

import pytest
from PySide6.QtGui import QKeySequence
from PySide6.QtWidgets import QAbstractButton, QApplication, QLabel

from pacer.settings.split_store import load_split
from tests.qt.window_factories import click, settle

LESSON = """Fold a strip 5
Name the parts 8 [everyone]
Mark thirds 10 value 3 needs 2
Cut and compare 13 [materials]"""


def test_the_split_becomes_tomorrows_outline_and_the_rest_the_list_for_the_table(new_program, qtbot):
    running = new_program().show()
    pages = running.program.pages
    pages.show_split()
    pages.split.text.setPlainText(LESSON)
    pages.split.make_button.click()
    settle()
    assert running.window.pages.currentWidget() is pages.outline
    pages.outline.flush()
    saved = [path for path in running.where.outlines.iterdir() if path.suffix == ".toml"]
    (text,) = (path.read_text(encoding="utf-8") for path in saved)
    assert [text.index(title) for title in ("Fold a strip", "Name the parts", "Mark thirds")] == sorted(
        text.index(title) for title in ("Fold a strip", "Name the parts", "Mark thirds")
    )
    assert 'table_list = "Cut and compare 13"' in text


@pytest.mark.slow
def test_the_split_is_still_there_after_the_program_was_closed_at_once(new_program):
    running = new_program().show()
    running.program.pages.show_split()
    running.program.pages.split.text.setPlainText(LESSON)
    running.program.pages.split.tables.setValue(5)
    running.program.pages.shut()
    kept = load_split(running.where.split_file, running.clock)
    assert (kept.text, kept.tables) == (LESSON, 5)
    again = new_program(running.where.data).show()
    again.program.pages.show_split()
    assert again.program.pages.split.text.toPlainText() == LESSON


def test_a_split_that_cannot_be_kept_says_so_and_stays(new_program, monkeypatch):
    running = new_program().show()
    pages = running.program.pages
    pages.show_split()
    pages.split.text.setPlainText(LESSON)

    def full(*_what: object) -> bool:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("pacer.settings.split_store.write_whole", full)
    pages.split_keeper.keep()
    assert "No space left on device" in pages.split.notice.text()
    assert pages.split.notice.isVisible()
    assert pages.split.text.toPlainText() == LESSON
    monkeypatch.undo()
    pages.split_keeper.keep()
    assert not pages.split.notice.isVisible()


def test_the_outline_page_opens_what_today_has_chosen(new_program):
    running = new_program().show().choose("Fractions on a number line")
    running.program.pages.show_outline()
    settle()
    assert running.program.pages.outline.pane.editor.toPlainText().startswith("Skip count 2")


def test_a_page_that_is_shown_has_the_keyboard(new_program):
    running = new_program().show().choose("Fractions on a number line")
    pages, names = running.program.pages, running.window.names
    for name in (*names, *reversed(names)):
        click(names[name])
        assert QApplication.focusWidget() not in names.values(), name
    click(names["outline"])
    assert QApplication.focusWidget() is pages.outline.pane.editor


def test_an_outline_that_was_saved_is_what_today_offers(new_program):
    running = new_program().show()
    page = running.program.pages
    page.show_outline()
    page.outline.open_new(["# Thirds again", "Review 3", "Model 7"])
    page.outline.flush()
    settle()
    assert running.today.chosen_path().parent == running.where.outlines
    assert [phase.title for phase in running.today.entry().outline.phases] == ["Review", "Model"]


def test_changed_kinds_hold_for_every_outline_read_from_then_on_and_the_next_time(new_program, monkeypatch):
    from pacer.plan.kinds import KindChange, kind_of, reviewing_cap_s, use_kinds
    from pacer.plan.rules import Reviewing
    from pacer.qt.outline.kinds_dialog import KindsDialog
    from pacer.settings.store import load_settings

    monkeypatch.setattr(
        KindsDialog,
        "ask",
        staticmethod(lambda *_asked: ({"review": KindChange(cut_tier=3)}, Reviewing(360, 45))),
    )
    running = new_program().show()
    running.program.pages.show_outline()
    running.program.pages.outline.bar.buttons["kinds"].click()
    assert kind_of("review").cut_tier == 3
    running.today.choices.digits.toggle()  # which takes nothing back
    kept, _notice = load_settings(running.where.settings_file)
    assert kept.kinds == {"review": KindChange(cut_tier=3)}
    assert (kept.reviewing_cap_s, kept.problem_s, reviewing_cap_s()) == (360, 45, 360)
    use_kinds({})
    new_program(running.where.data)
    assert kind_of("review").cut_tier == 3
    use_kinds({})


def test_an_outline_that_got_its_order_for_the_week_is_shown_anew(new_program, monkeypatch):
    from pacer.qt.outline.week_dialog import WeekDialog

    running = new_program().show()
    running.program.pages.show_outline()
    page = running.program.pages.outline
    page.open_new(["Review 3"])
    page.head.fields["title"].setText("Thirds")
    page.head.fields["title"].textEdited.emit("Thirds")
    page.flush()
    path = page.editor.file.path
    asked = []

    def put(folder, _owed, _parent):
        asked.append(folder)
        text = path.read_text(encoding="utf-8")
        path.write_text(text.replace("Review", "Review of Monday"), encoding="utf-8")
        return (path,)

    monkeypatch.setattr(WeekDialog, "ask", staticmethod(put))
    page.groups_panel.rotation_button.click()
    assert asked == [running.where.outlines]
    assert page.editor.file.path == path
    assert [phase.title for phase in page.model.draft.phases] == ["Review of Monday"]


@pytest.mark.parametrize("name", ["week", "library", "outline", "split", "look_back", "room"])
def test_no_two_things_in_sight_on_a_page_have_the_same_letter(new_program, name):
    """With two of them Alt and the letter press neither: the keyboard only wanders between them."""
    running = new_program().show().choose("Fractions on a number line")
    getattr(running.program.pages, f"show_{name}")()
    if name == "split":
        running.program.pages.split.text.setPlainText(LESSON)
    settle()
    seen = [
        w for kind in (QAbstractButton, QLabel) for w in running.window.findChildren(kind) if w.isVisible()
    ]
    texts = [w.text() for w in seen if not isinstance(w, QLabel) or w.buddy()]
    letters = Counter(filter(None, (QKeySequence.mnemonic(text).toString() for text in texts)))
    assert [letter for letter, times in letters.items() if times > 1] == []
    assert texts


def test_it_is_seen_that_the_lines_of_the_split_have_the_keyboard(running):
    def inked() -> int:
        """Of the first pixels from the middle of the left edge, those that are dark."""
        picture = split.text.grab().toImage()
        return sum(picture.pixelColor(x, picture.height() // 2).lightness() < 60 for x in range(4))

    running.show().program.pages.show_split()
    split = running.program.pages.split
    running.window.names["split"].setFocus()
    before = inked()
    split.text.setFocus()
    assert (before, inked()) == (0, 2)
