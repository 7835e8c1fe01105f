"""The row of the earpiece: none at first, chosen by name, tried, kept, and told when it is not there."""

import pytest
from PySide6.QtCore import QPoint, QPointF, Qt
from PySide6.QtGui import QWheelEvent
from PySide6.QtTest import QTest
from PySide6.QtWidgets import QApplication

from pacer.qt.classroom import earpiece_row
from pacer.qt.classroom.earpiece_row import EarpieceRow
from pacer.qt.earpiece.player import NOWHERE
from pacer.settings.model import Settings
from pacer.settings.store import load_settings
from tests.qt.earpiece.fake_outputs import EARBUD, HDMI, SPEAKERS, FakeOutputs, played_bytes
from tests.qt.window_factories import NotedSettings, settle


@pytest.fixture
def new_row(dressed, tmp_path, monkeypatch):
    made = []

    def build(*, there=(SPEAKERS, HDMI, EARBUD), **settings):
        monkeypatch.setattr(FakeOutputs, "there", there)
        noted = NotedSettings(tmp_path / "settings.json", Settings(**settings))
        row = EarpieceRow(noted)
        row.changes = noted.changes
        row.file = tmp_path / "settings.json"
        made.append(row)
        row.show()
        settle()
        return row

    yield build
    for row in made:
        row.close()
        row.deleteLater()
    settle()


def listed(row):
    return [row.output.itemText(at) for at in range(row.output.count())]


def choose(row, words):
    """Choose with the keyboard alone: the list's first letter, then Return."""
    row.output.setFocus()
    row.output.showPopup()
    view = row.output.view()
    while view.currentIndex().data() != words:
        before = view.currentIndex().row()
        QTest.keyClick(view, Qt.Key.Key_Down)
        assert view.currentIndex().row() > before, f"{words} is not in the list"
    QTest.keyClick(view, Qt.Key.Key_Return)
    settle()


def try_cue(row, cue):
    row.tries[cue].click()
    return FakeOutputs.made[-1].played[-1]


def test_it_is_off_at_first_and_shows_no_more_than_the_list(new_row):
    row = new_row()
    assert row.output.currentText() == "none"
    assert not row.level.isVisible()
    assert not row.tries["closing"].isVisible()
    assert row.changes == []


def test_none_stands_first_and_what_leads_to_a_screen_is_marked(new_row):
    assert listed(new_row()) == ["none", "Speakers", "HDMI Audio (perhaps the projector)", "Earbud"]


def test_a_choice_by_keyboard_is_kept_with_its_id_and_its_name(new_row):
    row = new_row()
    choose(row, "Earbud")
    assert row.changes == [{"earpiece": EARBUD}]
    assert load_settings(row.file)[0].earpiece == EARBUD
    assert row.caution.isVisible()
    assert "harms hearing" in row.caution.text()
    assert "school's rules on earphones" in row.caution.text()


def test_each_cue_is_tried_on_the_chosen_output_at_the_level_set(new_row):
    row = new_row(earpiece=EARBUD, earpiece_level=20)
    for cue in row.tries:
        assert try_cue(row, cue) == (EARBUD, played_bytes(cue, 20))
    row.level.setValue(80)
    assert row.changes == [{"earpiece_level": 80}]
    assert try_cue(row, "closing") == (EARBUD, played_bytes("closing", 80))


def test_a_try_after_a_new_choice_is_heard_there(new_row):
    row = new_row(earpiece=SPEAKERS)
    choose(row, "Earbud")
    assert try_cue(row, "closing")[0] == EARBUD


def test_words_are_off_at_first_and_kept(new_row, monkeypatch):
    monkeypatch.setattr(earpiece_row, "find_voice", lambda: object())
    row = new_row(earpiece=EARBUD)
    assert not row.words.isChecked()
    row.words.click()
    assert row.changes == [{"earpiece_words": True}]
    assert "Tones alone" not in row.caution.text()


def test_without_a_voice_the_row_says_that_there_are_tones_alone(new_row, monkeypatch):
    monkeypatch.setattr(earpiece_row, "find_voice", lambda: None)
    row = new_row(earpiece=EARBUD, earpiece_words=True)
    assert not row.words.isEnabled()
    assert "Tones alone: this computer has no voice" in row.caution.text()
    assert row.changes == []


def test_back_to_none_all_is_as_at_first(new_row):
    row = new_row(earpiece=EARBUD)
    row.output.setFocus()
    QTest.keyClick(row.output, Qt.Key.Key_Home)
    settle()
    assert row.changes == [{"earpiece": NOWHERE}]
    assert not row.caution.isVisible()


def test_an_output_that_may_be_the_projector_s_is_warned_of(new_row):
    row = new_row()
    choose(row, "HDMI Audio (perhaps the projector)")
    assert "the class hears your cues" in row.trouble.text()


def test_a_chosen_output_that_is_gone_stays_chosen_and_is_told(new_row):
    row = new_row(earpiece=EARBUD, there=(SPEAKERS,))
    assert row.output.currentText() == "Earbud (not there now)"
    assert row.trouble.text() == "Earpiece: Earbud is not there. No cue is heard."
    assert not row.tries["closing"].isEnabled()
    assert row.changes == []


def test_one_that_comes_while_the_row_is_seen_can_be_tried(new_row):
    row = new_row(earpiece=EARBUD, there=(SPEAKERS,))
    FakeOutputs.made[-1].now(SPEAKERS, EARBUD)
    assert row.output.currentText() == "Earbud"
    assert not row.trouble.isVisible()
    assert try_cue(row, "closing")[0] == EARBUD
    FakeOutputs.made[-1].now(SPEAKERS)
    assert not row.tries["closing"].isEnabled()


def test_until_the_system_has_told_nothing_is_called_gone(new_row):
    row = new_row(earpiece=EARBUD, there=None)
    assert row.output.currentText() == "Earbud"
    assert not row.trouble.isVisible()


def test_outputs_are_asked_for_only_while_the_row_is_seen(new_row):
    row = new_row(earpiece=EARBUD)
    (first,) = FakeOutputs.made
    row.hide()
    assert first.is_closed
    row.show()
    settle()
    assert len(FakeOutputs.made) == 2


def test_a_wheel_on_its_way_down_the_page_changes_no_output(new_row):
    row = new_row(earpiece=EARBUD)
    row.output.setFocus()
    turn = QWheelEvent(
        QPointF(5, 5), QPointF(row.output.mapToGlobal(QPoint(5, 5))), QPoint(), QPoint(0, 120),
        Qt.MouseButton.NoButton, Qt.KeyboardModifier.NoModifier, Qt.ScrollPhase.NoScrollPhase, False,
    )  # fmt: skip
    QApplication.sendEvent(row.output, turn)
    assert row.changes == []


def test_everything_in_it_has_a_name_and_the_buttons_say_how_each_cue_sounds(new_row):
    row = new_row(earpiece=EARBUD)
    for widget in (row, row.output, row.level, row.trying):
        assert widget.accessibleName()
    told = [button.accessibleDescription() for button in row.tries.values()]
    assert len(set(told)) == 4
    assert all("tone" in words for words in told)
