"""Words rendered to samples by a command that writes a file, as soft as a pattern must be."""

import sys
import wave

import numpy as np
import pytest

from pacer.earpiece import render_words, voice
from pacer.earpiece.patterns import PEAK_CAP, RATE_HZ
from pacer.earpiece.render_words import LONGEST_S, render

FULL_SCALE = 32767
VOICE_HZ = 22_050


def tone_file(path, seconds=0.5, channels=1, hertz=300, silence=0.3, width=2):
    """What a voice writes: silence, a sound as loud as can be, silence."""
    at = np.arange(round(seconds * VOICE_HZ)) / VOICE_HZ
    sound = np.concatenate([np.zeros(round(silence * VOICE_HZ)), np.sin(2 * np.pi * hertz * at)] * 1)
    sound = np.concatenate([sound, np.zeros(round(silence * VOICE_HZ))])
    frames = np.repeat((sound * 32000).astype("<i2"), channels)
    with wave.open(str(path), "wb") as out:
        out.setnchannels(channels)
        out.setsampwidth(width)
        out.setframerate(VOICE_HZ)
        out.writeframes(frames.tobytes() if width == 2 else bytes(len(frames) * width))


@pytest.fixture
def speaks(tmp_path):
    """A voice that writes a file made before, and notes the words that it was given."""

    def make(**file):
        made = tmp_path / "made.wav"
        tone_file(made, **file)
        heard = tmp_path / "heard.txt"
        program = (
            "import pathlib, shutil, sys\n"
            f"pathlib.Path({str(heard)!r}).write_bytes(sys.stdin.buffer.read())\n"
            f"shutil.copy({str(made)!r}, sys.argv[1])"
        )
        voice = lambda path: [sys.executable, "-c", program, str(path)]  # noqa: E731
        return voice, heard

    return make


@pytest.mark.parametrize("channels", [1, 2])
def test_words_become_samples_of_our_rate_without_the_silence_around_them(speaks, channels):
    voice, _heard = speaks(channels=channels)
    samples = render(voice, "time is up")
    assert len(samples) / RATE_HZ == pytest.approx(0.5, abs=0.02)
    spectrum = np.abs(np.fft.rfft(samples.astype(float), n=RATE_HZ))
    assert int(np.argmax(spectrum)) == pytest.approx(300, abs=2)


@pytest.mark.parametrize("level", [1, 50, 100])
def test_they_are_as_loud_as_a_pattern_may_be_and_never_louder(speaks, level):
    voice, _heard = speaks()
    peak = np.abs(render(voice, "move on", level).astype(int)).max()
    assert PEAK_CAP * level / 100 * FULL_SCALE - 2 <= peak <= PEAK_CAP * level / 100 * FULL_SCALE


def test_they_begin_and_end_in_silence_and_a_long_sentence_is_cut_off_softly(speaks):
    voice, _heard = speaks(seconds=9)
    samples = render(voice, "a title that never ends")
    assert len(samples) == round(LONGEST_S * RATE_HZ)
    assert (samples[0], samples[-1]) == (0, 0)
    assert np.abs(samples[-50:]).max() < 0.1 * np.abs(samples).max()


@pytest.mark.parametrize("words", ["Modeling pays", "-w /etc/x; $(ls) `x` \"y\" 'z'", "Más de la mitad"])
def test_the_words_are_no_part_of_the_command(speaks, words, monkeypatch):
    spoken, heard = speaks()
    assert len(render(spoken, words))
    assert heard.read_bytes().decode() == words
    monkeypatch.setattr(voice.shutil, "which", lambda name: name)
    for platform in ("linux", "darwin", "win32"):
        command = voice.find_voice(platform)(heard)
        assert words not in " ".join(command)
        assert str(heard) in command or voice.FILE_IN_ENVIRONMENT in command[-1]


@pytest.mark.parametrize(
    "program",
    ["raise SystemExit(1)", "", "import sys; open(sys.argv[1], 'w').write('no sound')",
     "import sys; open(sys.argv[1], 'w')"],
)  # fmt: skip
def test_a_voice_that_fails_leaves_no_words_and_no_error(program):
    assert len(render(lambda path: [sys.executable, "-c", program, str(path)], "move on")) == 0


def test_a_voice_that_is_not_there_or_hangs_leaves_no_words(monkeypatch):
    assert len(render(lambda _path: ["no-such-voice"], "move on")) == 0
    monkeypatch.setattr(render_words, "LIMIT_S", 0.2)
    assert len(render(lambda _path: [sys.executable, "-c", "import time; time.sleep(60)"], "move on")) == 0


@pytest.mark.parametrize("file", [{"seconds": 0}, {"width": 1}])
def test_a_file_of_silence_or_of_another_kind_leaves_no_words(speaks, file):
    voice, _heard = speaks(**file)
    assert len(render(voice, "move on")) == 0
