"""The page Library as a teacher uses it: by keyboard and mouse, with broken files, and taken back."""

import errno
from functools import partial

import pytest
from PySide6.QtCore import Qt
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication, QMenu

from pacer.editing.library.shelf import Library
from pacer.paths import template_folder
from pacer.plan.file.reader import read_outline
from pacer.qt.kit.style import wear
from pacer.qt.library.page import LibraryPage
from pacer.run.clock import ManualClock
from pacer.settings.draft_store import DraftStore
from pacer.settings.outline_files import put_away_folder
from tests.qt.window_factories import click, room_time_ms, settle, take_apart

TEXT = 'format = 1\ntitle = "{title}"\nsubject = "{subject}"\n[[phase]]\ntitle = "Go"\nbudget = "3"\n'
CTRL = Qt.KeyboardModifier.ControlModifier


class Bookcase:
    """The page Library in a window of its own, over a folder with outlines and a trash."""

    def __init__(self, folder) -> None:
        self.own = folder / "outlines"
        self.own.mkdir(parents=True)
        for title, subject in (("Halves", "Mathematics"), ("Thirds", "Mathematics"), ("Shadows", "Science")):
            (self.own / f"{title.lower()}.toml").write_text(TEXT.format(title=title, subject=subject))
        broken = TEXT.format(title="Fourths", subject="").replace('"Go"', "\u201cGo\u201d")
        (self.own / "broken.toml").write_text(broken)
        self.trash = folder / "Trash" / "files"
        self.trash.mkdir(parents=True)
        clock = ManualClock(room_time_ms("9:00"))
        library = Library(self.own, DraftStore(folder, clock, folder / "elsewhere"), self.to_trash)
        self.page = LibraryPage(self.own, library, clock, dict)
        wear(self.page)
        self.asked: list[tuple[str, object]] = []
        for name in ("edit", "teach", "card", "new"):
            getattr(self.page, f"{name}_asked").connect(partial(self._on_asked, name))
        self.page.resize(1000, 640)
        self.page.show()
        self.page.activateWindow()
        settle()

    def _on_asked(self, name: str, what: object) -> None:
        self.asked.append((name, what))

    def to_trash(self, path):
        place = self.trash / path.name
        path.rename(place)
        return place

    @property
    def titles(self) -> list[str]:
        shown = self.page.side.list
        return [shown.item(row).text().splitlines()[0] for row in range(shown.count())]

    @property
    def files(self) -> list[str]:
        return sorted(path.name for path in self.own.iterdir())

    def choose(self, title: str) -> "Bookcase":
        self.page.side.list.setCurrentRow(self.titles.index(title))
        self.page.side.list.setFocus()
        settle()
        return self

    def press(self, key: Qt.Key, modifiers=Qt.KeyboardModifier.NoModifier) -> "Bookcase":
        focus = QApplication.focusWidget()
        assert focus is not None, "the keyboard is somewhere"
        QTest.keyClick(focus, key, modifiers)
        settle()
        return self

    def write(self, text: str) -> "Bookcase":
        QTest.keyClicks(QApplication.focusWidget(), text)
        return self

    def ask(self, action: str) -> "Bookcase":
        click(self.page.details.buttons[action])
        return self

    @property
    def said(self) -> str:
        return self.page.notice.text() if self.page.notice.isVisible() else ""


@pytest.fixture
def case(tmp_path, dressed):
    made = Bookcase(tmp_path)
    yield made
    take_apart(made.page, None)


def test_the_order_is_chosen_above_and_only_of_her_own(case):
    order = case.page.side.sort
    assert order.isVisible()
    assert order.width() >= order.sizeHint().width()
    order.setCurrentIndex(1)
    assert case.titles == ["broken.toml", "Halves", "Shadows", "Thirds"]
    click(case.page.side.places["templates"])
    assert not order.isVisible()


def test_own_outlines_templates_and_those_put_away_stand_apart(case):
    assert case.titles == ["broken.toml", "Halves", "Shadows", "Thirds"]
    click(case.page.side.places["templates"])
    assert "Fractions on a number line" in case.titles
    assert "Halves" not in case.titles
    assert "template" in case.page.details.kind.text()
    click(case.page.side.places["away"])
    assert case.titles == []


def test_f2_renames_title_and_file_and_ctrl_z_takes_it_back(case):
    case.choose("Halves").press(Qt.Key.Key_F2)
    case.write("Fair halves").press(Qt.Key.Key_Return)
    assert "fair-halves.toml" in case.files
    assert case.page.side.row().title == "Fair halves"
    assert "Fair halves" in case.said
    case.press(Qt.Key.Key_Z, CTRL)
    assert "halves.toml" in case.files
    assert case.page.side.row().title == "Halves"


@pytest.mark.parametrize(
    ("key", "held"), [(Qt.Key.Key_Y, CTRL), (Qt.Key.Key_Z, CTRL | Qt.KeyboardModifier.ShiftModifier)]
)
def test_what_was_taken_back_is_done_again_by_the_keys_that_people_know(case, key, held):
    case.choose("Halves").press(Qt.Key.Key_F2)
    case.write("Fair halves").press(Qt.Key.Key_Return)
    case.press(Qt.Key.Key_Z, CTRL)
    assert case.page.redo_button.text() == "Redo: Rename"
    case.press(key, held)
    assert "fair-halves.toml" in case.files
    assert case.page.side.row().title == "Fair halves"
    assert not case.page.redo_button.isEnabled()


def test_an_undo_while_another_outline_is_chosen_moves_only_the_one_it_is_about(case):
    moved = []
    case.choose("Halves").press(Qt.Key.Key_F2)
    case.write("Fair halves").press(Qt.Key.Key_Return)
    case.page.moved.connect(lambda old, new: moved.append((old.name, new.name)))
    case.choose("Shadows").press(Qt.Key.Key_Z, CTRL)
    case.choose("Shadows").press(Qt.Key.Key_Y, CTRL)
    assert moved == [("fair-halves.toml", "halves.toml"), ("halves.toml", "fair-halves.toml")]


def test_escape_leaves_the_title_as_it_was(case):
    case.choose("Halves").press(Qt.Key.Key_F2)
    case.write("Nonsense").press(Qt.Key.Key_Escape)
    assert case.titles == ["broken.toml", "Halves", "Shadows", "Thirds"]
    assert case.page.details.fields["title"].text() == "Halves"
    assert case.page.side.list.hasFocus()


def test_delete_goes_to_the_trash_and_ctrl_z_brings_it_back(case):
    case.choose("Halves").press(Qt.Key.Key_Delete)
    assert "halves.toml" not in case.files
    assert (case.trash / "halves.toml").exists()
    assert "in the trash" in case.said
    assert case.page.side.row() is not None, "the next one is chosen"
    case.press(Qt.Key.Key_Z, CTRL)
    assert "halves.toml" in case.files
    assert case.page.side.row().title == "Halves"


def test_delete_in_a_field_deletes_letters_and_no_outline(case):
    case.choose("Halves").press(Qt.Key.Key_F2).press(Qt.Key.Key_Delete)
    assert "halves.toml" in case.files
    assert case.page.details.fields["title"].text() == ""


def test_without_a_trash_that_is_said_and_it_is_found_among_those_put_away(case, monkeypatch):
    def none(_path):
        raise OSError(errno.ENOTSUP, "there is none for this folder")

    case.page.library.to_trash = none
    case.choose("Halves").press(Qt.Key.Key_Delete)
    assert "trash doesn't take halves.toml" in case.said
    click(case.page.side.places["away"])
    assert case.titles == ["Halves"]
    case.press(Qt.Key.Key_Z, CTRL)
    assert "halves.toml" in case.files


def test_put_away_and_brought_back(case):
    case.choose("Thirds").ask("away")
    assert (put_away_folder(case.own) / "thirds" / "thirds.toml").exists()
    assert "Thirds" not in case.titles
    click(case.page.side.places["away"])
    case.choose("Thirds").press(Qt.Key.Key_Return)
    assert "thirds.toml" in case.files
    assert (case.page.place, case.page.side.row().title) == ("own", "Thirds")


def test_a_copy_subject_and_unit(case):
    case.choose("Shadows").press(Qt.Key.Key_D, CTRL)
    assert case.page.side.row().title == "Shadows (copy)"
    field = case.page.details.fields["unit"]
    field.setFocus()
    case.write("Light").press(Qt.Key.Key_Return)
    assert read_outline(case.own / "shadows-copy.toml").unit == "Light"
    assert case.page.side.unit.isVisible()


def test_a_search_finds_and_escape_shows_all_again(case):
    case.page.side.list.setFocus()
    case.press(Qt.Key.Key_F, CTRL)
    case.write("science")
    assert case.titles == ["Shadows"]
    case.write("xx")
    assert case.titles == []
    assert "Nothing is found" in case.page.side.nothing.text()
    assert case.page.details.buttons == {}
    case.press(Qt.Key.Key_Escape)
    assert len(case.titles) == 4


def test_a_broken_file_is_told_in_plain_words_mended_and_unmended(case):
    before = (case.own / "broken.toml").read_bytes()
    case.choose("broken.toml")
    words = case.page.details.words.text()
    assert "any further than this" in words
    assert "Line 5" in words
    assert "TOML" not in words
    case.ask("mend")
    assert read_outline(case.own / "broken.toml").title == "Fourths"
    assert "is mended" in case.said
    case.press(Qt.Key.Key_Z, CTRL)
    assert (case.own / "broken.toml").read_bytes() == before


def test_its_text_opens_at_the_line_and_a_change_by_another_program_is_never_written_over(case):
    case.choose("broken.toml").ask("text")
    view = case.page.text
    assert view.editor.hasFocus()
    assert view.editor.textCursor().blockNumber() == 4
    mine = view.editor.toPlainText().replace("\u201c", '"').replace("\u201d", '"')
    view.editor.setPlainText(mine)
    assert "can be read" in view.words.text()
    (case.own / "broken.toml").write_text("another program's")
    case.press(Qt.Key.Key_S, CTRL)
    assert (case.own / "broken.toml").read_text() == "another program's"
    assert (case.own / "broken-mine.toml").read_text() == mine
    assert "Both are kept" in case.said


def test_enter_opens_a_broken_file_at_its_line_and_mends_nothing_by_itself(case):
    before = (case.own / "broken.toml").read_bytes()
    case.choose("broken.toml").press(Qt.Key.Key_Return)
    assert case.page.text.isVisible()
    assert (case.own / "broken.toml").read_bytes() == before
    case.press(Qt.Key.Key_Escape)
    assert case.page.side.list.hasFocus()


def test_a_line_set_aside_stays_in_the_file(case):
    path = case.own / "broken.toml"
    path.write_text(TEXT.format(title="Fourths", subject="") + "and so on\n")
    case.page.reload()
    case.choose("broken.toml").ask("text")
    click(case.page.text.aside)
    click(case.page.text.keep)
    assert path.read_text().endswith("# and so on\n")
    assert read_outline(path).title == "Fourths"


def test_a_plain_list_becomes_an_outline_and_the_file_stays(case):
    path = case.own / "list.toml"
    path.write_text("Warm-up 2\nReview 3\nModel 7\n")
    case.page.reload()
    case.choose("list.toml").ask("list")
    assert case.asked == [("new", ("Warm-up 2", "Review 3", "Model 7"))]
    assert path.read_text() == "Warm-up 2\nReview 3\nModel 7\n"


def test_the_menu_of_an_outline_holds_what_its_buttons_do(case):
    case.choose("Halves")
    shown = case.page.side.list
    shown.customContextMenuRequested.emit(shown.visualItemRect(shown.currentItem()).center())
    settle()
    (menu,) = case.page.findChildren(QMenu)
    assert [action.data() for action in menu.actions()] == list(case.page.details.offered)
    next(action for action in menu.actions() if action.data() == "duplicate").trigger()
    menu.close()
    settle()
    assert "halves-copy.toml" in case.files


def test_the_keys_that_people_know_ask_for_what_they_expect(case, monkeypatch, tmp_path):
    elsewhere = tmp_path / "elsewhere.toml"
    monkeypatch.setattr("pacer.qt.library.page.ask_outline", lambda *_what: elsewhere)
    case.choose("Halves").press(Qt.Key.Key_N, CTRL).press(Qt.Key.Key_O, CTRL).press(Qt.Key.Key_P, CTRL)
    case.press(Qt.Key.Key_Return).ask("teach")
    halves = case.own / "halves.toml"
    assert case.asked == [
        ("new", ()), ("edit", elsewhere), ("card", halves), ("edit", halves), ("teach", halves),
    ]  # fmt: skip


def test_looking_at_a_template_copies_nothing_and_its_copy_is_asked_for(case):
    before = case.files
    click(case.page.side.places["templates"])
    case.choose("Fractions on a number line").press(Qt.Key.Key_Return)
    assert case.asked[-1] == ("edit", template_folder() / "number-line-75.toml")
    assert case.files == before
    case.ask("use")
    assert case.files == sorted([*before, "number-line-75.toml"])
    assert (case.page.place, case.page.side.row().title) == ("own", "Fractions on a number line")


def test_a_file_that_came_meanwhile_is_listed_when_the_page_is_shown(case):
    case.page.hide()
    (case.own / "new.toml").write_text(TEXT.format(title="New", subject=""))
    case.page.show()
    assert "New" in case.titles


def test_what_another_program_changed_is_shown_as_that_and_can_be_kept_or_taken_back(case):
    path = case.own / "halves.toml"
    before = path.read_text()
    for key, after in (("keep", "Fair halves"), ("before", "Halves")):
        case.page.hide()
        path.write_text(before.replace("Halves", "Fair halves"))
        case.page.show()
        case.choose("Fair halves")
        assert "changed by another program" in case.page.side.list.currentItem().text()
        assert "Another program changed" in case.page.details.kind.text()
        case.page.act(key)
        assert read_outline(path).title == after
        assert "changed by" not in case.page.side.list.currentItem().text()
        path.write_text(before)
        case.page.seen.own(path)
    case.page.reload()


def test_an_empty_library_says_what_will_stand_there(case):
    for path in case.own.iterdir():
        path.unlink()
    case.page.reload()
    assert case.page.empty.isVisible()
    click(case.page.empty.button)
    assert case.asked == [("new", ())]


def test_every_widget_of_the_page_has_a_name_and_tab_reaches_all_of_them(case):
    from tests.qt.kit.test_widgets import nameless, one_round, reachable

    for title in ("Halves", "broken.toml"):
        case.choose(title)
        assert nameless() == []
        wanted = reachable(case.page)
        assert len(wanted) >= 8
        visited = one_round(case.page.side.list, Qt.Key.Key_Tab)
        assert [widget for widget in wanted if widget not in visited] == []
    case.ask("text")
    assert nameless() == []
