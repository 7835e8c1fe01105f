"""Cues play on the chosen output or not at all; what is not there is told in words."""

import pytest

from pacer.earpiece.outputs import Output
from pacer.qt.earpiece.player import NOWHERE, EarPlayer
from tests.qt.earpiece.fake_outputs import EARBUD, SPEAKERS, FakeOutputs, played_bytes

GONE = "Earpiece: Earbud is not there. No cue is heard."


@pytest.fixture
def new_player(qapp, monkeypatch):
    made = []

    def build(chosen=EARBUD, there=(SPEAKERS, EARBUD)):
        monkeypatch.setattr(FakeOutputs, "there", there)
        player = EarPlayer(chosen)
        player.fake = FakeOutputs.made[-1]
        player.told = []
        player.trouble_changed.connect(lambda: player.told.append(player.trouble))
        made.append(player)
        return player

    yield build
    for player in made:
        player.shut()
        player.deleteLater()


def test_a_cue_plays_on_the_chosen_output_at_its_level_and_on_no_other(new_player):
    player = new_player()
    assert player.play("borrowing", 40)
    assert player.fake.played == [(EARBUD, played_bytes("borrowing", 40))]
    assert player.trouble == ""


@pytest.mark.parametrize(
    "there",
    [(), (SPEAKERS,), (Output(EARBUD.id, "Speakers"),), (Output("usb-2", EARBUD.name),), None],
)
def test_where_that_very_output_is_not_there_nothing_plays(new_player, there):
    player = new_player(there=there)
    assert not player.play("move_on", 50)
    assert player.fake.played == []


def test_an_output_that_goes_is_told_and_one_that_is_back_is_not(new_player):
    player = new_player()
    player.fake.now(SPEAKERS)
    player.fake.now(SPEAKERS, Output("x", "Another"))
    player.fake.now(SPEAKERS, EARBUD)
    assert player.told == [GONE, ""]
    assert player.play("closing", 50)


def test_before_the_system_has_told_nothing_is_missed(new_player):
    player = new_player(there=None)
    assert player.trouble == ""
    player.fake.now()
    assert player.trouble == GONE


def test_without_a_choice_there_is_no_sound_and_no_trouble(new_player):
    player = new_player(chosen=NOWHERE)
    assert not player.play("closing", 50)
    assert player.trouble == ""


def test_another_choice_ends_what_plays_and_the_same_one_does_not(new_player):
    player = new_player()
    player.choose(EARBUD)
    assert player.fake.stops == 0
    player.choose(SPEAKERS)
    assert player.fake.stops == 1
    player.play("closing", 50)
    assert [output for output, _pcm in player.fake.played] == [SPEAKERS]


@pytest.mark.parametrize("error", [OSError("no library"), ImportError("no module")])
def test_a_system_without_sound_tells_that_the_output_is_not_there(qapp, error):
    def broken(_parent):
        raise error

    player = EarPlayer(EARBUD, broken)
    assert player.trouble == GONE
    assert player.present == ()
    assert not player.play("closing", 50)
    player.shut()


def test_a_player_that_is_shut_is_silent_for_good(new_player):
    player = new_player()
    player.shut()
    assert player.fake.is_closed
    assert not player.play("closing", 50)
    assert player.present == ()


def test_sounds_made_ready_are_not_made_again(new_player, monkeypatch):
    player = new_player()
    player.prepare("closing", 30)
    monkeypatch.setattr("pacer.qt.earpiece.player.pattern", None)
    player.play("closing", 30)
    assert player.fake.played == [(EARBUD, played_bytes("closing", 30))]
