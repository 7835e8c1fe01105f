"""Words are rendered beside the main thread, come as they are ready, and stop when nobody wants them."""

import sys
import threading
from pathlib import Path

import numpy as np
import pytest
from PySide6.QtTest import QTest

from pacer.earpiece.render_words import render
from pacer.qt.earpiece import spoken
from pacer.qt.earpiece.spoken import Spoken
from tests.earpiece.sound_server import until
from tests.earpiece.test_render_words import tone_file


@pytest.fixture
def voice(tmp_path):
    """A voice that says the same whatever it is given."""
    tone_file(tmp_path / "made.wav")
    copy = f"import shutil, sys; shutil.copy({str(tmp_path / 'made.wav')!r}, sys.argv[1])"
    return lambda path: [sys.executable, "-c", copy, str(path)]


@pytest.fixture
def new_spoken(qapp):
    made = []

    def build(texts, voice=None):
        made.append(Spoken(texts, 40, voice))
        return made[-1]

    yield build
    for one in made:
        one.shut()
        until(
            lambda: "words" not in [thread.name for thread in threading.enumerate()], "the end of the thread"
        )
        one.deleteLater()


def soon(holds, what):
    def turned():
        QTest.qWait(5)
        return holds()

    until(turned, what)


def test_each_text_comes_as_samples_of_the_level(new_spoken, voice):
    words = new_spoken(["move on", "time is up"], voice)
    assert words.of("move on") == b""
    soon(lambda: words.of("time is up"), "the last of the words")
    wanted = render(voice, "move on", 40).tobytes()
    assert words.of("move on") == words.of("time is up") == wanted
    assert words.of("never asked for") == b""


def test_a_voice_that_fails_leaves_the_tones_alone(new_spoken):
    def broken(_path: Path):
        return ["no-such-voice"]

    words = new_spoken(["move on"], broken)
    until(lambda: "words" not in [thread.name for thread in threading.enumerate()], "the end of the thread")
    QTest.qWait(1)
    assert words.of("move on") == b""


@pytest.mark.parametrize(("texts", "has_voice"), [((), True), (("move on",), False)])
def test_without_words_or_a_voice_no_thread_begins(new_spoken, monkeypatch, voice, texts, has_voice):
    monkeypatch.setattr(spoken, "find_voice", lambda: voice if has_voice else None)
    monkeypatch.setattr(spoken, "Thread", None)
    assert new_spoken(texts).of("move on") == b""


def test_what_is_shut_renders_no_more(new_spoken, voice):
    begun = []

    def counted(path):
        begun.append(path)
        return voice(path)

    words = new_spoken([str(number) for number in range(200)], counted)
    soon(lambda: words.of("0"), "the first of the words")
    words.shut()
    until(lambda: "words" not in [thread.name for thread in threading.enumerate()], "the end of the thread")
    assert len(begun) < 200
    assert np.frombuffer(words.of("0"), np.int16).any()
