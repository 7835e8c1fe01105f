"""What a lesson needs of the laptop: awake from start to end, battery told in time, one tone and no more."""

import subprocess
import sys
import wave
from pathlib import Path
from types import SimpleNamespace
from typing import ClassVar

import pytest
from PySide6.QtCore import QObject, Signal
from PySide6.QtWidgets import QApplication

from pacer.qt.classroom.tone_row import ToneRow
from pacer.qt.lesson.battery import battery_line, read_battery
from pacer.qt.lesson.care import REST_MS, LessonCare
from pacer.qt.lesson.tone_player import TonePlayer
from pacer.settings.model import Settings
from tests.qt.lesson.half_factories import LEG_KINDS, go_to
from tests.qt.window_factories import NotedSettings, settle, timer_of

# How Qt's own sound says that this machine has none; the words differ with the system.
quiet_sound = pytest.mark.qt_log_ignore(r"(?i)pulseaudio|pipewire|audio|playback of this format")

REFUSED = "This laptop may fall asleep by itself."
NO_TONE = "No tone: this laptop has nothing to play it on."


class FakeAwake:
    """Notes what it is asked; ``refused`` is the answer, given only after a while where ``is_waiting``."""

    def __init__(self):
        self.is_asked = False
        self.is_waiting = False
        self.says = ""
        self.taken = 0

    def hold(self):
        self.taken += not self.is_asked
        self.is_asked = True

    def release(self):
        self.is_asked = False

    @property
    def refused(self):
        return self.says if self.is_asked and not self.is_waiting else ""


class FakePlayer(QObject):
    trouble_changed = Signal()

    def __init__(self):
        super().__init__()
        self.trouble = ""
        self.prepared: list[int] = []
        self.played: list[int] = []

    def prepare(self, level):
        self.prepared.append(level)

    def play(self, level):
        self.played.append(level)


class Cared:
    """A lesson in its windows, looked after by a care whose laptop is pretended."""

    def __init__(self, stage, settings):
        self.stage = stage
        self.awake = FakeAwake()
        self.battery = ""
        self.looks = 0
        self.players: list[FakePlayer] = []
        self.care = LessonCare(self.awake, self._battery, self._player)
        self.told: list[tuple[str, ...]] = []
        stage.lesson.tell_of_room = self.told.append
        self.care.attach(stage.lesson, settings)

    def _battery(self):
        self.looks += 1
        return self.battery

    def _player(self):
        self.players.append(FakePlayer())
        return self.players[-1]

    @property
    def played(self):
        return [level for player in self.players for level in player.played]

    def minute(self):
        """What the timer does after a minute."""
        self.care.minute.ticked()
        settle()
        return self


@pytest.fixture
def new_care(new_stage, invented):
    made = []

    def build(**settings):
        stage = new_stage(invented)
        assert stage.enter()
        made.append(Cared(stage, Settings(**settings)))
        return made[-1]

    yield build
    for cared in made:
        cared.care.detach()


@pytest.fixture
def cared(new_care):
    made = new_care()
    made.stage.lesson.start()
    settle()
    return made


def test_the_laptop_is_kept_awake_from_the_start_of_a_lesson_to_its_end_only(new_care):
    cared = new_care()
    settle()
    assert not cared.awake.is_asked, "a lesson that has not started needs nothing"
    cared.stage.lesson.start()
    assert cared.awake.is_asked
    cared.stage.tap("N").wait(100)
    cared.minute()
    assert cared.awake.is_asked
    cared.stage.tap("Ctrl+End")
    assert not cared.awake.is_asked
    cared.stage.tap("PageUp")  # the end is taken back
    assert cared.awake.is_asked


def test_a_lesson_that_runs_already_is_kept_awake_at_once(stage):
    """As after a crash, when it is resumed."""
    cared = Cared(stage, Settings())
    assert cared.awake.is_asked
    cared.care.detach()


def test_leaving_a_lesson_lets_the_laptop_sleep_and_stops_the_timers(cared):
    cared.care.detach()
    assert not cared.awake.is_asked
    cared.stage.tap("N")
    cared.minute()
    assert not cared.awake.is_asked, "what comes afterwards is no longer heard"


@pytest.mark.slow
@pytest.mark.parametrize("key", ["Space", "X"])
def test_a_pause_or_a_blank_wall_of_more_than_ten_minutes_lets_it_sleep_until_the_lesson_goes_on(cared, key):
    assert REST_MS == 600_000
    cared.stage.tap(key).wait(REST_MS // 1000 - 1)
    assert cared.minute().awake.is_asked
    cared.stage.wait(1)
    assert not cared.minute().awake.is_asked
    cared.stage.wait(120)
    assert not cared.minute().awake.is_asked
    cared.stage.tap(key)
    assert cared.awake.is_asked
    assert cared.awake.taken == 2


@pytest.mark.slow
def test_two_short_pauses_are_no_long_one(cared):
    for _pause in range(2):
        cared.stage.tap("Space").wait(400)
        assert cared.minute().awake.is_asked
        cared.stage.tap("Space")
    assert cared.awake.taken == 1


@pytest.mark.slow
def test_the_timer_wakes_when_a_rest_has_lasted_ten_minutes(cared):
    cared.stage.tap("Space").wait(REST_MS // 1000 - 5)
    assert cared.care._until_look_ms() == 5000
    cared.stage.tap("Space")
    assert 50_000 < cared.care._until_look_ms() <= 60_000


@pytest.mark.slow
@pytest.mark.parametrize("kind", LEG_KINDS)
def test_every_leg_of_the_second_half_keeps_it_awake_and_plays_no_tone(new_care, kind):
    cared = new_care(tone=True)
    cared.stage.lesson.start()
    go_to(cared.stage, kind)
    settle()
    cared.stage.wait(200)
    assert cared.minute().awake.is_asked
    assert cared.played == []
    cared.stage.tap("Home")
    assert not cared.awake.is_asked


@pytest.mark.slow
def test_a_lesson_forgotten_after_the_bell_lets_it_sleep_until_a_key_is_pressed(cared):
    go_to(cared.stage, "share")
    cared.stage.clock.advance(cared.stage.session.state.bell_ms - cared.stage.session.now_ms())
    cared.stage.lesson.refresh()  # what went by unseen is written down
    cared.stage.wait(REST_MS // 1000 - 1)
    assert cared.minute().awake.is_asked
    cared.stage.wait(1)
    assert not cared.minute().awake.is_asked
    cared.stage.tap("V")
    assert cared.awake.is_asked


def test_a_refusal_is_told_privately_as_soon_as_it_is_known(new_care, qtbot):
    cared = new_care()
    cared.awake.says, cared.awake.is_waiting = REFUSED, True
    cared.stage.lesson.start()
    settle()
    assert set(cared.told) == {()}
    cared.awake.is_waiting = False
    qtbot.waitUntil(lambda: cared.told[-1] == (REFUSED,), timeout=60_000)


def test_what_is_told_stands_on_the_desk_and_never_on_the_wall(stage):
    awake = FakeAwake()
    awake.says = REFUSED
    care = LessonCare(awake, lambda: "Battery: about 40 min left. Plug in.", FakePlayer)
    care.attach(stage.lesson, Settings())
    settle()
    stage.wait(1)
    assert REFUSED in str(stage.desk.frame)
    assert "Battery: about 40 min left. Plug in." in str(stage.desk.frame)
    assert "Battery" not in str(stage.wall_frames)
    assert "asleep" not in str(stage.wall_frames)
    care.detach()


def test_the_end_is_told_once_although_the_lines_change_with_it(new_care):
    cared = new_care()
    del cared.stage.lesson.tell_of_room  # the real one
    cared.awake.says = REFUSED
    cared.stage.lesson.start()
    settle()
    ends = []
    cared.stage.lesson.ended.connect(lambda: ends.append(1))
    cared.stage.tap("Ctrl+End")
    assert ends == [1]


def test_the_battery_is_looked_at_once_a_minute_and_told_when_it_will_not_last(cared):
    looks = cared.looks
    cared.battery = "Battery: about 40 min left. Plug in."
    cared.stage.tap("V").tap("V")
    assert (cared.looks, cared.told[-1]) == (looks, ())
    cared.minute()
    assert (cared.looks, cared.told[-1]) == (looks + 1, ("Battery: about 40 min left. Plug in.",))
    cared.battery = ""
    cared.minute()
    assert cared.told[-1] == ()


def test_no_timer_runs_before_and_after_a_lesson(new_care):
    cared = new_care()
    settle()
    timer = timer_of(cared.care.minute)
    assert not timer.isActive()
    cared.stage.lesson.start()
    assert timer.isActive()
    cared.stage.tap("Ctrl+End")
    assert not timer.isActive()


# The battery.


@pytest.mark.parametrize(
    ("percent", "secsleft", "plugged", "line"),
    [
        (50, 2460, False, "Battery: about 40 min left. Plug in."),  # 41 min
        (50, 3599, False, "Battery: about 55 min left. Plug in."),
        (50, 3600, False, ""),
        (3, 9 * 60 + 59, False, "Battery: about 9 min left. Plug in."),
        (1, 0, False, "Battery: about 1 min left. Plug in."),
        (19.9, -1, False, "Battery: 19 % left. Plug in."),
        (20, -1, False, ""),
        (5, -2, True, ""),  # plugged in
        (5, 600, True, ""),
        (5, 600, None, ""),  # the system cannot tell
    ],
)
def test_the_battery_is_told_when_unplugged_and_under_an_hour_or_a_fifth(percent, secsleft, plugged, line):
    """An hour: a block lasts as long. A fifth and the fives are our own choice."""
    reading = SimpleNamespace(percent=percent, secsleft=secsleft, power_plugged=plugged)
    assert battery_line(lambda: reading) == line


def test_without_a_battery_nothing_is_told():
    assert battery_line(lambda: None) == ""


@pytest.mark.parametrize("error", [AttributeError, OSError, RuntimeError])
def test_a_system_that_cannot_tell_of_its_battery_is_none_to_complain_about(monkeypatch, error):
    import psutil

    def fail():
        raise error

    monkeypatch.setattr(psutil, "sensors_battery", fail)
    assert read_battery() is None


# The tone.


def until_time_is_up(cared):
    """The first phase has two minutes."""
    return cared.stage.wait(121)


def test_there_is_no_tone_unless_the_teacher_turned_it_on(cared):
    until_time_is_up(cared)
    assert cared.players == []


def test_one_tone_comes_when_a_phase_s_time_is_up_and_none_for_overrun(new_care):
    cared = new_care(tone=True, tone_level=30)
    assert cared.players[0].prepared == [30]
    cared.stage.lesson.start()
    cared.stage.wait(118)
    assert cared.played == []
    cared.stage.wait(3)
    assert cared.played == [30]
    cared.stage.wait(400)
    assert cared.played == [30]


@pytest.mark.slow
def test_no_tone_comes_into_a_partner_burst(new_care):
    cared = new_care(tone=True)
    cared.stage.lesson.start()
    cared.stage.wait(110).tap("P").wait(15)
    assert cared.stage.session.state.talk is not None
    assert cared.played == []


def test_trouble_with_sound_is_told_privately_once(new_care):
    cared = new_care(tone=True)
    cared.stage.lesson.start()
    cared.players[0].trouble = NO_TONE
    cared.players[0].trouble_changed.emit()
    settle()
    cared.minute()
    assert cared.told[-1] == (NO_TONE,)


def no_output(monkeypatch):
    from PySide6 import QtMultimedia

    nothing = SimpleNamespace(defaultAudioOutput=QtMultimedia.QAudioDevice)
    monkeypatch.setattr(QtMultimedia, "QMediaDevices", nothing)


class FakeEffect(QObject):
    """A loudspeaker that notes what is played."""

    statusChanged = Signal()  # noqa: N815 - Qt's own name
    made: ClassVar[list["FakeEffect"]] = []
    Status = SimpleNamespace(Error="error", Ready="ready")

    def __init__(self, _output, parent):
        super().__init__(parent)
        self.now, self.files, self.plays = "ready", [], 0
        FakeEffect.made.append(self)

    def status(self):
        return self.now

    def setSource(self, url):  # noqa: N802
        self.files.append(url.toLocalFile())

    def audioDevice(self):  # noqa: N802
        return "loudspeaker"

    def play(self):
        self.plays += 1


@pytest.fixture
def loudspeaker(monkeypatch):
    from PySide6 import QtMultimedia

    class Output(str):
        def isNull(self):  # noqa: N802
            return False

    outputs = SimpleNamespace(defaultAudioOutput=lambda: Output("loudspeaker"))
    monkeypatch.setattr(QtMultimedia, "QMediaDevices", outputs)
    monkeypatch.setattr(QtMultimedia, "QSoundEffect", FakeEffect)
    FakeEffect.made.clear()
    return FakeEffect.made


@quiet_sound
def test_the_player_plays_the_tone_of_the_level_from_a_file_of_its_own(loudspeaker):
    from pacer.tone import tone_wav

    player = TonePlayer()
    player.prepare(40)
    (effect,) = loudspeaker
    assert effect.plays == 0
    player.play(40)
    player.play(40)
    player.play(10)
    assert (effect.plays, len(effect.files), player.trouble) == (3, 2, "")
    for file, level in zip(effect.files, (40, 10), strict=True):
        assert Path(file).read_bytes() == tone_wav(level)
        with wave.open(file) as held:
            assert held.getnframes() == 76_800
    player.deleteLater()
    settle()


@quiet_sound
def test_a_loudspeaker_that_fails_is_told_and_the_next_try_is_not_lost(loudspeaker):
    player = TonePlayer()
    troubles = []
    player.trouble_changed.connect(lambda: troubles.append(player.trouble))
    player.play(50)
    (effect,) = loudspeaker
    effect.now = "error"
    effect.statusChanged.emit()
    player.play(50)
    assert (troubles, effect.plays) == ([NO_TONE], 1)
    effect.now = "ready"
    player.play(50)
    assert (player.trouble, effect.plays) == ("", 2)
    player.deleteLater()
    settle()


@quiet_sound
def test_without_anything_to_play_on_it_says_so_once_and_never_fails(monkeypatch):
    no_output(monkeypatch)
    player = TonePlayer()
    troubles = []
    player.trouble_changed.connect(lambda: troubles.append(player.trouble))
    player.play(50)
    player.play(50)
    assert troubles == [NO_TONE]


@quiet_sound
def test_without_the_system_s_sound_library_it_says_so_too(monkeypatch):
    monkeypatch.setitem(sys.modules, "PySide6.QtMultimedia", None)  # importing it now fails
    player = TonePlayer()
    player.play(50)
    assert player.trouble == NO_TONE


@quiet_sound
def test_a_full_disk_is_no_reason_to_fail(loudspeaker, monkeypatch):
    def full(*_arguments):
        raise OSError("No space left on device")

    monkeypatch.setattr("pacer.qt.lesson.tone_player.write_whole", full)
    player = TonePlayer()
    player.play(50)
    assert player.trouble == NO_TONE
    player.deleteLater()
    settle()


@quiet_sound
def test_this_machine_s_own_sound_whatever_it_is_never_fails():
    player = TonePlayer()
    player.play(1)
    for _turn in range(20):
        QApplication.processEvents()
    assert player.trouble in ("", NO_TONE)
    player.deleteLater()
    settle()


@pytest.mark.slow
def test_neither_sound_nor_its_arithmetic_is_loaded_while_the_tone_is_off():
    source = """
import sys
import pacer.qt.lesson.care, pacer.qt.classroom.tone_row, pacer.qt.classroom.keys_panel
heavy = {"PySide6.QtMultimedia", "pacer.tone", "wakepy", "psutil"}
print(sorted(heavy & set(sys.modules)))
"""
    found = subprocess.run([sys.executable, "-c", source], capture_output=True, text=True, check=True)
    assert found.stdout.strip() == "[]"


# The row of the tone's choices.


@pytest.fixture
def new_row(dressed, tmp_path):
    made = []

    def build(**settings):
        row_settings = NotedSettings(tmp_path / f"{len(made)}.json", Settings(**settings))
        row = ToneRow(row_settings, FakePlayer())
        row.changes = row_settings.changes
        made.append(row)
        return row

    yield build
    for row in made:
        row.deleteLater()
    settle()


def test_the_tone_is_off_at_first_and_nothing_of_it_can_be_tried(new_row):
    row = new_row()
    assert not row.box.isChecked()
    assert not row.level.isEnabled()
    assert not row.try_it.isEnabled()


def test_the_row_changes_the_settings(new_row):
    row = new_row()
    row.box.setChecked(True)
    row.level.setValue(80)
    row.box.setChecked(False)
    assert row.changes == [{"tone": True}, {"tone_level": 80}, {"tone": False}]
    assert (row.level.minimum(), row.level.maximum()) == (1, 100)


def test_try_it_plays_the_tone_as_loud_as_chosen_and_trouble_stands_below(new_row):
    row = new_row(tone=True, tone_level=20)
    row.try_it.click()
    row.level.setValue(35)
    row.try_it.click()
    player = row._player
    assert player.played == [20, 35]
    assert row.trouble.isHidden()
    player.trouble = NO_TONE
    player.trouble_changed.emit()
    assert not row.trouble.isHidden()
    assert row.trouble.text() == NO_TONE
